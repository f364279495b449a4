package crater

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// At each distance before the first narrows, the mean of the rays over the circle is 1;
// ground between them is bare; and no change exceeds its bound.
func TestRaysShareOutTheMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, c := plainCrater()
		radius := rapid.Float64Range(6, 50).Draw(t, "radius")
		reach := radius * rapid.Float64Range(1.6, 4).Draw(t, "reach")
		y := newRays(s.Rand("hit", rapid.Uint64().Draw(t, "seed"), "rays"), c.At, radius, reach)
		first := math.Inf(1)
		for _, k := range y.all {
			first = math.Min(first, k.from)
		}
		const n = 20000
		for _, r := range []float64{radius, first} {
			sum, before, most := 0.0, math.NaN(), 0.0
			for i := range n + 1 {
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
				b, _, _ := y.at(r2.Add(c.At, r2.Scale(r, r2.Vec{X: cos, Y: sin})), r)
				if i > 0 {
					sum += b / n
					require.LessOrEqual(t, math.Abs(b-before), y.steepest*2*math.Pi/n+1e-9)
				}
				before, most = b, math.Max(most, b)
			}
			require.InDelta(t, 1, sum, 1e-3)
			require.LessOrEqual(t, most, y.richest+1e-9)
		}
		b, _, _ := y.at(r2.Add(c.At, r2.Vec{X: reach * 1.5}), reach*1.5)
		require.Zero(t, b, "nothing beyond the reach")
	})
}

// The exponent -3 (McGetchin, Settle and Head 1973), recovered from the finished heights of
// a rough crater, averaged over rings out to where the first ray narrows.
func TestRoughEjectaKeepTheLaw(t *testing.T) {
	s, c := plainCrater()
	c.Diameter, c.Roughness, c.Rim = 60, 0.5, new(3.0)
	s = s.With(s.Parts)
	z := c.settled(s)
	require.Zero(t, z.uplift, "all of the rim fell there")
	e := c.sheet(s, z)
	whole := newEjecta(s, e, nil, c.loose(s, "clods"))
	var xs, ys []float64
	first := math.Inf(1)
	for _, k := range e.rays.all {
		first = math.Min(first, k.from)
	}
	for r := 1.05 * z.radius; r < first; r += 1.5 {
		const n = 360
		sum, law := 0.0, 0.0
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
			at := r2.Add(c.At, r2.Scale(r, r2.Vec{X: cos, Y: sin}))
			if h, ok := fall(whole, at, z.level+10, z.level); ok {
				sum += (h - z.level) / n
			}
			law += e.thickness(e.plan.At(at)) / n
		}
		require.InEpsilon(t, law, sum, 0.2, "at %.1f mm", r)
		xs, ys = append(xs, math.Log(r)), append(ys, math.Log(sum))
	}
	mx, my, sxy, sxx := 0.0, 0.0, 0.0, 0.0
	for i := range xs {
		mx, my = mx+xs[i]/float64(len(xs)), my+ys[i]/float64(len(xs))
	}
	for i := range xs {
		sxy += (xs[i] - mx) * (ys[i] - my)
		sxx += (xs[i] - mx) * (xs[i] - mx)
	}
	require.InDelta(t, -3, sxy/sxx, 0.35)
}

// What is thrown is a field as any other, on rough ground and against a wall; it drifts
// higher in front of the wall than behind it.
func TestEjectaDriftAgainstAWall(t *testing.T) {
	s, c := plainCrater()
	c.Roughness, c.Rim = 0.5, new(2.0)
	testGround(s).Of = "earth"
	wall := partstest.Block("wall", sdf.V(125, 60, -2), sdf.V(128, 140, 15))
	s = s.With(append(s.Parts, wall))
	work := sdf.Union(testGround(s).Solid(s), wall.Solid(s))
	f := c.ThrowOn(s, work)
	sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(60, 60, -4), Max: sdf.V(140, 140, 9)}, 3)
	z := c.settled(s)
	e := c.sheet(s, z)
	e.drift = newDrift(work, c.At, z.radius, z.level, e.edge)
	require.NotNil(t, e.drift)
	front, _ := e.drift.at(sdf.V(124.5, 100, 0))
	behind, _ := e.drift.at(sdf.V(129.5, 100, 0))
	clear, _ := e.drift.at(sdf.V(118, 100, 0))
	require.Equal(t, driftMost, front)
	require.Less(t, behind, 0.6*driftMost)
	require.Zero(t, clear)
	require.Nil(t, newDrift(testGround(s).Solid(s), c.At, z.radius, z.level, e.edge), "open ground")
}

// Clods are no larger at a distance than the law has it, each is let into what it lies on,
// and none lies on a crack.
func TestClodsAreBeddedAndFallOff(t *testing.T) {
	s, c := plainCrater()
	c.Roughness, c.Cracks = 0.5, new(6)
	s = s.With(s.Parts)
	z := c.settled(s)
	e := c.sheet(s, z)
	work := testGround(s).Solid(s)
	blanket := newEjecta(s, e, work, c.loose(s, "clods"))
	all := c.clods(s, z, e, work, []sdf.Field{blanket})
	require.Greater(t, len(all), 40)
	on := sdf.Union(work, blanket)
	law := clodLaw{radius: 1.12 * z.radius, least: leastClod(s)}
	far := 0
	for _, f := range all {
		b := f.Bounds()
		mid := r2.Vec{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
		r := r2.Norm(r2.Sub(mid, c.At))
		wide := math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
		require.LessOrEqual(t, wide, 1.25*math.Max(law.least, law.most(0.95*r)), "at %.1f mm", r)
		require.Negative(t, on.Value(sdf.V(mid.X, mid.Y, b.Min.Z+0.05*wide)), "its foot is let in")
		require.True(t, offCracks(c.cracks(s), mid, 0.3*wide))
		if r > e.edge {
			far++
		}
	}
	require.Greater(t, far, 3, "single clods beyond the sheet")
}
