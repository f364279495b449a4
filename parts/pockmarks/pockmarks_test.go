package pockmarks

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/wall"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func marksOf(set func(p *Pockmarks)) *Pockmarks {
	p := &Pockmarks{Named: parts.Named{Name: "marks"}, Face: "burst", Up: 9, Exponent: 2.5, Depth: 0.28, Rim: new("plain"), Roughness: 0.5, Seed: 3}
	set(p)
	return p
}

// onGround is marks on endless even ground at a level of 3.
func onGround(t *testing.T, set func(p *Pockmarks)) (*parts.Site, *Pockmarks) {
	p := marksOf(func(p *Pockmarks) { p.Level = &parts.Level{Height: 3}; set(p) })
	s := partstest.Quarry(56, 1, p)
	require.Empty(t, p.Check(s))
	return s, p
}

// The number of marks wider than d goes as d^-exponent, between the two sizes.
func TestSizeLaw(t *testing.T) {
	for _, exponent := range []float64{1.5, 2.5, 3.5} {
		s, p := onGround(t, func(p *Pockmarks) {
			p.Area, p.Count, p.Size, p.Exponent = &parts.Area{Rect: []float64{0, 0, 300, 300}}, new(800), &[2]float64{1.5, 12}, exponent
		})
		all := p.laid(s)
		require.Len(t, all, 800, "all found a place")
		require.Empty(t, p.Notes(s))
		// The slope of the law from the layout alone: where wide ones no longer matter.
		wider := func(d float64) float64 {
			n := 0
			for _, m := range all {
				if m.wide > d {
					n++
				}
			}
			return float64(n)
		}
		cut := 800 / (math.Pow(1.5, -exponent) - math.Pow(12, -exponent)) // of the law
		beyond := cut * math.Pow(12, -exponent)                           // wider than the widest, by the law
		slope := math.Log((wider(1.6)+beyond)/(wider(4.5)+beyond)) / math.Log(4.5/1.6)
		require.InDelta(t, exponent, slope, 0.08)
		for i := 1; i < len(all); i++ {
			require.LessOrEqual(t, all[i].wide, all[i-1].wide, "the widest find places first")
		}
	}
}

// A bowl is as deep as it says, by rays into the field, and as wide; none is shallower than
// the least relief.
func TestBowlByRays(t *testing.T) {
	s, p := onGround(t, func(p *Pockmarks) {
		p.Area, p.Count, p.Size = &parts.Area{Round: []float64{20, 20, 80}}, new(60), &[2]float64{0.5, 5}
	})
	require.Equal(t, []string{"size"}, partstest.NotedKeys(s), "marks of 0.5 mm would not show")
	work := sdf.Difference(sdf.HalfSpace(sdf.V(0, 0, 1), 3), p.Cut(s))
	for _, m := range p.laid(s) {
		require.GreaterOrEqual(t, m.depth, s.Print.Relief-1e-9)
		require.InDelta(t, 0.28*m.wide, m.depth, 1e-9)
		require.InDelta(t, 3-m.depth, sdftest.DropOnto(t, work, m.at.X, m.at.Y, 20), 1e-6)
		open := func(x float64) bool { return work.Value(sdf.V(m.at.X+x, m.at.Y, 2.999)) > 0 }
		require.True(t, open(0.47*m.wide))
	}
	sdftest.RequireHonest(t, p.Cut(s), r3.Box{Min: sdf.V(-20, -20, 0), Max: sdf.V(60, 60, 5)}, 4)
}

// Fragments fly evenly in all directions: of those that strike a floor within R from a burst h
// above it, the share within r is (1 - h/sqrt(h^2+r^2)) / (1 - h/sqrt(h^2+R^2)). Geometry.
func TestShotsThinOutByTheLaw(t *testing.T) {
	s, p := onGround(t, func(p *Pockmarks) { p.At, p.Up, p.Reach = &r2.Vec{X: 7, Y: -4}, 6, new(30.0) })
	rng := rand.New(rand.NewPCG(5, 6))
	var hits []float64
	for len(hits) < 6000 {
		if _, at, ok := p.shot(rng, p.settled(s)); ok {
			hits = append(hits, r2.Norm(at))
		}
	}
	law := func(r float64) float64 { return 1 - 6/math.Hypot(6, r) }
	for _, r := range []float64{2, 5, 10, 20} {
		n := 0
		for _, h := range hits {
			if h <= r {
				n++
			}
		}
		require.InDelta(t, law(r)/law(30), float64(n)/float64(len(hits)), 0.02, "within %v mm", r)
	}
}

// wallSite is marks beside a wall along x from 20 to 80, at y = 40, with a window.
func wallSite(t *testing.T, set func(p *Pockmarks)) (*parts.Site, *wall.Wall, *Pockmarks) {
	w := &wall.Wall{Named: parts.Named{Name: "yard"}, Line: []r2.Vec{{X: 20, Y: 40}, {X: 80, Y: 40}}, Thickness: 4, From: parts.Level{Height: 10},
		Height: new(24.0), Coursing: "ashlar", Coping: "none", Wear: 0.2, Seed: 3, Surface: new("plain"),
		Openings: []wall.WallOpening{{At: 30, Width: 8, Sill: 6, Head: 18}}}
	p := marksOf(func(p *Pockmarks) { p.On = "yard"; set(p) })
	s := fixtures.GroundWith(w, p)
	require.Empty(t, p.Check(s))
	return s, w, p
}

// Marks of a wall lie on the face that looks to the burst, within their stretch and band, in
// sound work, and are as deep as they say by rays along the face's normal.
func TestMarksOnAWall(t *testing.T) {
	s, w, p := wallSite(t, func(p *Pockmarks) {
		p.At, p.Count, p.From, p.To, p.Low, p.High = &r2.Vec{X: 55, Y: 20}, new(60), new(8.0), new(52.0), 3, new(20.0)
		p.Size = &[2]float64{1.2, 3}
	})
	all := p.laid(s)
	require.Greater(t, len(all), 45)
	z := p.settled(s)
	require.Len(t, z.faces, 1)
	left := sdf.Difference(w.Solid(s), p.Cut(s))
	for _, m := range all {
		at := z.faces[m.face].pose.Apply(sdf.V(m.at.X, m.at.Y, 0))
		require.InDelta(t, 38, at.Y, 1e-9, "the south face")
		require.True(t, at.X >= 28 && at.X <= 72 && at.Z >= 13 && at.Z <= 30)
		require.False(t, math.Abs(at.X-50) < 4 && at.Z > 16 && at.Z < 28, "not in the window")
		// A joint or another mark may be deeper there.
		require.Positive(t, left.Value(sdf.V(at.X, 38+m.depth-0.02, at.Z)))
		require.Negative(t, left.Value(sdf.V(at.X, 38+m.depth+0.4, at.Z)))
	}
	sdftest.RequireOnePiece(t, left, r3.Box{}, 0.5)
	only, _ := p.Narrow()
	require.Equal(t, []string{"yard"}, only)
	for _, e := range p.Extents(s) {
		require.Equal(t, []r2.Vec{{X: 28, Y: 40}, {X: 72, Y: 40}}, e.Points)
	}
	require.Len(t, p.Plan(s), len(all))
}

// Without a burst both faces of a wall are marked, about as much.
func TestBothFaces(t *testing.T) {
	s, _, p := wallSite(t, func(p *Pockmarks) { p.Count, p.Size = new(80), &[2]float64{1.2, 2} })
	n := 0
	for _, m := range p.laid(s) {
		n += m.face
	}
	require.InDelta(t, 40, n, 14)
}

// A raised rim stands over the floor, by a ray; nothing is marked under a wall.
func TestRaisedRims(t *testing.T) {
	s, p := onGround(t, func(p *Pockmarks) {
		p.At, p.Count, p.Size, p.Rim, p.Roughness = &r2.Vec{}, new(12), &[2]float64{3, 5}, new("raised"), 0
	})
	rims := p.Throw(s)
	for _, m := range p.laid(s) {
		high := sdftest.DropOnto(t, rims, m.at.X+0.53*m.wide, m.at.Y, 20) - 3
		require.GreaterOrEqual(t, high, s.Print.Relief-1e-6)
		require.LessOrEqual(t, high, math.Max(ringHeight*5*0.28, s.Print.Relief)+1e-6)
	}
	sdftest.RequireHonest(t, rims, r3.Box{Min: sdf.V(-20, -20, 1), Max: sdf.V(20, 20, 5)}, 4)
	require.Nil(t, marksOf(func(p *Pockmarks) { p.Area = &parts.Area{Rect: []float64{0, 0, 9, 9}}; p.Level = &parts.Level{} }).Throw(s))
}

func TestNothingIsMarkedUnderAWall(t *testing.T) {
	s, _, _ := wallSite(t, func(*Pockmarks) {})
	p := marksOf(func(p *Pockmarks) { p.At, p.Count, p.Name = &r2.Vec{X: 50, Y: 38}, new(150), "floor-marks" })
	s = s.With(append(s.Parts, p))
	require.Empty(t, p.Check(s))
	all := p.laid(s)
	require.Greater(t, len(all), 60)
	for _, m := range all {
		y := p.settled(s).faces[0].pose.Apply(sdf.V(m.at.X, m.at.Y, 0)).Y
		require.Greater(t, math.Abs(y-40), 2+0.8*m.wide)
	}
}

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		key string
		set func(p *Pockmarks)
	}{
		{"", func(*Pockmarks) {}},
		{"area", func(p *Pockmarks) { p.At, p.Area = &r2.Vec{X: 30, Y: 30}, &parts.Area{Rect: []float64{1, 1, 2, 2}} }},
		{"area", func(p *Pockmarks) { p.Area = &parts.Area{} }},
		{"at", func(p *Pockmarks) { p.At = &r2.Vec{X: 900} }},
		{"from", func(p *Pockmarks) { p.At, p.From = &r2.Vec{X: 30, Y: 30}, new(2.0) }},
		{"face", func(p *Pockmarks) { p.At, p.Face = &r2.Vec{X: 30, Y: 30}, "left" }},
		{"density", func(p *Pockmarks) { p.At, p.Count, p.Density = &r2.Vec{X: 30, Y: 30}, new(3), new(3.0) }},
		{"size", func(p *Pockmarks) { p.At, p.Size = &r2.Vec{X: 30, Y: 30}, &[2]float64{3, 2} }},
		{"reach", func(p *Pockmarks) { p.On, p.Reach = "yard", new(4.0) }},
		{"to", func(p *Pockmarks) { p.On, p.From, p.To = "yard", new(30.0), new(20.0) }},
		{"low", func(p *Pockmarks) { p.On, p.Low, p.High = "yard", 9, new(3.0) }},
		{"only", func(p *Pockmarks) { p.On, p.Only = "yard", []string{"ground"} }},
		{"spares", func(p *Pockmarks) { p.On, p.Spares = "yard", []string{"yard"} }},
		{"at", func(p *Pockmarks) { p.On, p.At, p.Face = "yard", &r2.Vec{X: 50, Y: 60}, "right" }},
	} {
		s, _, _ := wallSite(t, func(*Pockmarks) {})
		p := marksOf(c.set)
		p.Name = "other"
		s = s.With(append(s.Parts, p))
		faults := p.Check(s)
		require.Len(t, faults, 1, "%+v", p)
		require.Equal(t, c.key, faults[0].Key, faults)
		require.NotEmpty(t, faults[0].Allowed)
	}
	// A wall that is too thin.
	s, w, p := wallSite(t, func(*Pockmarks) {})
	w.Thickness, w.Coursing, s.Printer.Wall, s.Printer.Joined = 1, "none", 1, new(0.8)
	s = s.With(s.Parts)
	require.Equal(t, "on", p.Check(s)[0].Key)
}
