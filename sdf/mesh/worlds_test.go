package mesh

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// mustBuild builds and checks the whole promise once more from the written mesh.
func mustBuild(t *testing.T, f sdf.Field, o Options) *Solid {
	t.Helper()
	s, err := Build(context.Background(), f, o)
	require.NoError(t, err)
	p, err := Prove(context.Background(), &s.Mesh)
	require.NoError(t, err)
	require.Equal(t, p, s.Proof)
	require.True(t, p.Closed && p.Outward && p.Crossings == 0 && p.Shells == 1, "%+v", p)
	return s
}

// foam is the worst a field can be for its cell size: noise as coarse as a
// cell, so that every corner's sign is close to chance.
type foam struct {
	n *sdf.Noise
	r float64
}

func (f *foam) Value(p r3.Vec) float64 { return f.n.Value(p) / f.n.Slope() }
func (f *foam) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := f.n.Gradient(p)
	return v / f.n.Slope(), r3.Scale(1/f.n.Slope(), g)
}
func (f *foam) Bounds() r3.Box {
	return r3.Box{Min: sdf.V(-f.r, -f.r, -f.r), Max: sdf.V(f.r, f.r, f.r)}
}
func (f *foam) Lipschitz() float64       { return 1 }
func (f *foam) Tightness() float64       { return 1e-9 }
func (f *foam) Prune(sdf.Ball) sdf.Field { return f }
func (f *foam) Cost() int                { return 1 }

func TestFoam(t *testing.T) {
	multi := 0
	for seed := range uint64(4) {
		n := sdf.NewNoise(seed, 0.9, 2)
		f := sdf.Intersection(sdf.Box(sdf.V(4, 3.5, 3), 0), &foam{n: n, r: 5})
		for _, tolerance := range []float64{-1, 0} {
			s := mustBuild(t, f, Options{Cell: 0.5, Tolerance: tolerance})
			multi += s.Stats.Multi
			if tolerance < 0 {
				require.Zero(t, s.Stats.Mended, "the contour alone must not cross")
			}
			t.Logf("seed %d: %d triangles, genus %d, %d crumbs, %d multi leaves, mended %d", seed, len(s.Triangles), s.Proof.Genus, len(s.Crumbs), s.Stats.Multi, s.Stats.Mended)
		}
	}
	require.Positive(t, multi, "the guard for leaves with several loops must have been reached")
}

// Surfaces exactly on grid planes, edges exactly on grid lines.
func TestOnGridPlanes(t *testing.T) {
	const cell = 0.5
	g, _ := newGrid(r3.Box{Min: sdf.V(-5, -5, -5), Max: sdf.V(5, 5, 5)}, cell, nil)
	lo := g.at([3]int32{}, 4*cellSteps, 4*cellSteps, 4*cellSteps).vec()
	hi := g.at([3]int32{}, 11*cellSteps, 9*cellSteps, 7*cellSteps).vec()
	f := sdf.BoxBetween(lo, hi)
	s := mustBuild(t, f, Options{Cell: cell, Box: r3.Box{Min: sdf.V(-5, -5, -5), Max: sdf.V(5, 5, 5)}})
	d := r3.Sub(hi, lo)
	require.InEpsilon(t, d.X*d.Y*d.Z, s.Proof.Volume, 0.005)
}

// Heights that are asked for come out to the unit, whatever the grid.
func TestHeightsAreExact(t *testing.T) {
	const cell = 0.3
	g, _ := newGrid(r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 9)}, cell, nil)
	var heights []float64
	var steps []sdf.Field
	for k := range 4 { // treads exactly on the planes of the grid as it would be
		z := g.at([3]int32{}, 0, 0, 2*cellSteps+5*cellSteps/4*k).vec().Z
		heights = append(heights, z)
		steps = append(steps, sdf.BoxBetween(sdf.V(-4+2*float64(k), -4, 0), sdf.V(4, 4, z)))
	}
	s := mustBuild(t, sdf.Union(steps...), Options{Cell: cell, Heights: heights, Box: r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 9)}})
	for k, z := range heights {
		// The highest surface over the middle of each tread.
		x, top := -3.1+2*float64(k), 0.0
		for _, tri := range s.Triangles {
			a, b, c := s.Vertices[tri[0]], s.Vertices[tri[1]], s.Vertices[tri[2]]
			if over(x, 0.123, a, b, c) {
				require.Equal(t, a[2], b[2])
				require.Equal(t, a[2], c[2])
				top = math.Max(top, float64(a[2]))
			}
		}
		require.InDelta(t, z, top, unit/2)
	}
}

// over says whether (x, y) lies in the triangle seen from above.
func over(x, y float64, a, b, c [3]float32) bool {
	side := func(p, q [3]float32) float64 {
		return (float64(q[0])-float64(p[0]))*(y-float64(p[1])) - (float64(q[1])-float64(p[1]))*(x-float64(p[0]))
	}
	s, t, u := side(a, b), side(b, c), side(c, a)
	return s > 0 && t > 0 && u > 0 || s < 0 && t < 0 && u < 0
}

func TestTouchingSolids(t *testing.T) {
	box := func(x, y, z float64) sdf.Field {
		return sdf.BoxBetween(sdf.V(x, y, z), sdf.V(x+3, y+3, z+3))
	}
	for name, f := range map[string]sdf.Field{
		"corner to corner": sdf.Union(box(0, 0, 0), box(3, 3, 3)),
		"edge to edge":     sdf.Union(box(0, 0, 0), box(3, 3, 0)),
		"face to face":     sdf.Union(box(0, 0, 0), box(3, 0, 0)),
		"a thin wall":      sdf.Union(box(0, 0, 0), sdf.BoxBetween(sdf.V(2, 1, 1), sdf.V(8, 1.1, 3))),
		"a thin gap":       sdf.Difference(box(0, 0, 0), sdf.BoxBetween(sdf.V(-1, 1.5, 1), sdf.V(5, 1.55, 9))),
		"a knife edge":     sdf.Intersection(box(0, 0, 0), sdf.HalfSpace(sdf.V(1, 0, 20), 3)),
	} {
		t.Run(name, func(t *testing.T) {
			for _, cell := range []float64{0.5, 0.3} {
				s := mustBuild(t, f, Options{Cell: cell})
				t.Logf("%g: %.4f mm3, %d triangles, genus %d, %d crumbs", cell, s.Proof.Volume, len(s.Triangles), s.Proof.Genus, len(s.Crumbs))
			}
		})
	}
}

// onProcessors has the rest of a test run on so many processors.
func onProcessors(t *testing.T, n int) {
	before := runtime.GOMAXPROCS(n)
	t.Cleanup(func() { runtime.GOMAXPROCS(before) })
}

// The same bytes for any number of workers.
func TestDeterminism(t *testing.T) {
	n := sdf.NewNoise(7, 3, 3)
	f := sdf.Displace(sdf.Union(sdf.Box(sdf.V(12, 9, 5), 0.4), sdf.Place(sdf.Box(sdf.V(3, 3, 12), 0), sdf.Turn(sdf.V(1, 1, 0), 20))), n, 0.3)
	var first *Solid
	for _, procs := range []int{1, 2, 8} {
		onProcessors(t, procs)
		s := mustBuild(t, f, Options{Cell: 0.25})
		if first == nil {
			first = s
			continue
		}
		require.Equal(t, first, s)
	}
	// And with all that the reference solid brings: splits, creases, slivers, many blocks.
	place, box := referenceSolid(930)
	onProcessors(t, 1)
	one := mustBuild(t, place, Options{Cell: 0.4, Tolerance: 0.005, Box: box})
	onProcessors(t, 5)
	require.Equal(t, one, mustBuild(t, place, Options{Cell: 0.4, Tolerance: 0.005, Box: box}))
}

func TestBuildStopsWhenTold(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Build(ctx, sdf.Box(sdf.V(30, 30, 30), 0), Options{Cell: 0.2})
	require.ErrorIs(t, err, context.Canceled)
}

func TestBuildRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		f sdf.Field
		o Options
	}{
		"no solid":    {sdf.Nothing(), Options{Cell: 0.5}},
		"no end":      {sdf.HalfSpace(sdf.V(0, 0, 1), 0), Options{Cell: 0.5}},
		"a tiny cell": {sdf.Box(sdf.V(1, 1, 1), 0), Options{Cell: 1e-9}},
		"a huge cell": {sdf.Box(sdf.V(1, 1, 1), 0), Options{Cell: 1e9}},
		"too far out": {sdf.Box(sdf.V(1e5, 1, 1), 0), Options{Cell: 0.5}},
	} {
		_, err := Build(context.Background(), c.f, c.o)
		require.Error(t, err, name)
	}
}
