package wild

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/sdftest"
)

const level = 3 // mm, that things stand on

func places(seed uint64) setout.Places {
	return setout.Places{Named: parts.Named{Name: "it"}, At: []r2.Vec{{}}, Level: &parts.Level{Height: level}, Seed: seed}
}

// solid is a thing's solid on its site.
func solid(t *testing.T, s *parts.Site, thing parts.Part) sdf.Field {
	s.Parts = []parts.Part{thing}
	partstest.LayAt(s, level, 0.7)
	require.Empty(t, thing.(parts.Checker).Check(s))
	return thing.(parts.Solider).Solid(s)
}

// shape is how far a solid stands over its floor, and the box of what does so by more than
// 0.2 mm, looked at from above every step mm.
func shape(t *testing.T, f sdf.Field, reach, step float64) (high float64, box r2.Box) {
	over := sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), level))
	box = r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for x := -reach; x <= reach; x += step {
		for y := -reach; y <= reach; y += step {
			z := sdftest.DropOnto(t, over, x, y, 100) - level
			high = math.Max(high, z)
			if z > 0.2 {
				box.Min = r2.Vec{X: math.Min(box.Min.X, x), Y: math.Min(box.Min.Y, y)}
				box.Max = r2.Vec{X: math.Max(box.Max.X, x), Y: math.Max(box.Max.Y, y)}
			}
		}
	}
	return high, box
}

// TestThings: each is one piece of an honest field, let into its floor, as tall and as wide
// as it says to within what its texture takes off.
func TestThings(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(p setout.Places, scale float64) setout.Thing
		slip float64 // of the bulk, over the texture, for what is broken or turned by chance
	}{
		{"boulder", func(p setout.Places, scale float64) setout.Thing {
			return &Boulder{Places: p, Size: 900 * scale, Flatness: 0.35, Wear: 0.3}
		}, 0.06},
		{"flat boulder", func(p setout.Places, scale float64) setout.Thing {
			return &Boulder{Places: p, Size: 1400 * scale, Flatness: 1, Wear: 1}
		}, 0.06},
		{"outcrop", func(p setout.Places, scale float64) setout.Thing {
			return &Outcrop{Places: p, Length: 1500 * scale, Width: 1200 * scale, Height: 800 * scale, Dip: 18, Bed: 120 * scale}
		}, 0.08},
		{"steep outcrop", func(p setout.Places, scale float64) setout.Thing {
			return &Outcrop{Places: p, Length: 700 * scale, Width: 900 * scale, Height: 700 * scale, Dip: 45, Bed: 200 * scale}
		}, 0.12},
		{"log", func(p setout.Places, scale float64) setout.Thing {
			return &Log{Places: p, Length: 1500 * scale, Diameter: 400 * scale, Taper: 0.8, Ends: "mixed"}
		}, 0.04},
		{"broken log", func(p setout.Places, scale float64) setout.Thing {
			return &Log{Places: p, Length: 800 * scale, Diameter: 300 * scale, Taper: 0.5, Ends: "broken"}
		}, 0.15},
		{"stump", func(p setout.Places, scale float64) setout.Thing {
			return &Stump{Places: p, Height: 450 * scale, Diameter: 500 * scale, Spread: 2.6, Roots: 6, Top: "sawn"}
		}, 0.15},
		{"broken stump", func(p setout.Places, scale float64) setout.Thing {
			return &Stump{Places: p, Height: 900 * scale, Diameter: 400 * scale, Spread: 1.3, Roots: 9, Top: "broken"}
		}, 0.15},
		{"beams", func(p setout.Places, scale float64) setout.Thing {
			return &Beams{Places: p, Length: 1500 * scale, Width: 150 * scale, Depth: 200 * scale, Count: 4}
		}, 0.15},
		{"reeds", func(p setout.Places, scale float64) setout.Thing {
			return &Reeds{Places: p, Height: 500 * scale, Clump: 350 * scale, Count: 14}
		}, 0.2},
	} {
		for seed := range uint64(2) {
			for _, ratio := range []float64{56, 285}[:2-seed] { // the small ones once
				t.Run(fmt.Sprintf("%s %d 1:%v", c.name, seed, ratio), func(t *testing.T) {
					s := partstest.Quarry(ratio, 1)
					thing := c.make(places(seed), 1/ratio)
					f := solid(t, s, thing)
					bulk := thing.Bulk(s)
					half := math.Max(bulk.X, bulk.Y) / 2
					sdftest.RequireOnePiece(t, f, r3.Box{}, math.Max(0.25, half/16))
					sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-half, -half, level-1), Max: sdf.V(half, half, level+bulk.Z)}, seed)
					require.Negative(t, f.Value(sdf.V(0, 0, level-0.7)), "it meets the structure under its floor")
					require.GreaterOrEqual(t, f.Value(sdf.V(0, 0, level-0.7-parts.Embed-1e-6)), 0.0)
					high, box := shape(t, f, half+1, math.Max(0.15, half/18))
					within := 2*s.Print.Relief + c.slip*half
					require.InDelta(t, bulk.Z, high, within)
					require.LessOrEqual(t, high, bulk.Z+1e-6)
					for _, side := range []struct{ is, says float64 }{{-box.Min.X, bulk.X}, {box.Max.X, bulk.X}, {-box.Min.Y, bulk.Y}, {box.Max.Y, bulk.Y}} {
						require.InDelta(t, side.says/2, side.is, within+0.1*side.says)
						require.LessOrEqual(t, side.is, side.says/2+1e-6)
					}
				})
			}
		}
	}
}

// TestBouldersAreUnlike: the seed picks the shape, and the same seed gives the same one.
func TestBouldersAreUnlike(t *testing.T) {
	make := func(seed uint64) sdf.Field {
		s := partstest.Quarry(56, 1)
		return solid(t, s, &Boulder{Places: places(seed), Size: 16, Flatness: 0.3})
	}
	a, same, other := make(1), make(1), make(2)
	unlike := 0
	for i := range 100 {
		p := sdf.V(float64(i%10)-4.5, float64(i/10)-4.5, level+5)
		require.Equal(t, a.Value(p), same.Value(p))
		if math.Abs(a.Value(p)-other.Value(p)) > 0.2 {
			unlike++
		}
	}
	require.Greater(t, unlike, 30)
}

// TestBoulderHeights: a share of the size between the least flat and the flattest.
func TestBoulderHeights(t *testing.T) {
	for flat, share := range map[float64]float64{0: 0.8, 0.5: 0.5, 1: 0.2} {
		s := partstest.Quarry(56, 1)
		b := &Boulder{Places: places(1), Size: 20, Flatness: flat}
		s.Parts = []parts.Part{b}
		require.InDelta(t, share*20, b.Bulk(s).Z, 1e-9)
		require.Empty(t, b.Notes(s))
	}
	s := partstest.Quarry(285, 1)
	b := &Boulder{Places: places(1), Size: 1, Flatness: 1}
	s.Parts = []parts.Part{b}
	require.InDelta(t, 0, r3.Norm(r3.Sub(sdf.V(2.5, 1.95, 1), b.Bulk(s))), 1e-9)
	require.Len(t, b.Notes(s), 2)
}

// TestOutcropDip: the tops of its beds lean by the dip, down towards -y.
func TestOutcropDip(t *testing.T) {
	for _, dip := range []float64{0, 18, 40} {
		s := partstest.Quarry(56, 1)
		o := &Outcrop{Places: places(2), Length: 30, Width: 24, Height: 12, Dip: dip, Bed: 3}
		f := solid(t, s, o)
		over := sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), level))
		const step = 0.3
		var leans []float64
		for x := -10.0; x < 10; x++ {
			for y := -8.0; y < 8; y++ {
				if z := sdftest.DropOnto(t, over, x, y, 50); z > level+0.5 && z < level+11.9 { // not its foot, nor the cap of its highest edge
					leans = append(leans, math.Atan((sdftest.DropOnto(t, over, x, y+step, 50)-z)/step)*180/math.Pi)
				}
			}
		}
		require.Greater(t, len(leans), 50)
		slices.Sort(leans)
		require.InDelta(t, dip, leans[len(leans)/2], 2.5)
	}
}

// TestLogTapers: its underside is level, and its top falls from its thick end to its thin
// one by what its taper says.
func TestLogTapers(t *testing.T) {
	s := partstest.Quarry(56, 1)
	s.Print.Relief = 0
	l := &Log{Places: places(1), Length: 30, Diameter: 8, Taper: 0.6, Ends: "sawn"}
	f := solid(t, s, l)
	const near = 13.0
	for x, radius := range map[float64]float64{-near: 4 - 1.6*(15-near)/30, 0: 3.2, near: 2.4 + 1.6*(15-near)/30} {
		require.InDelta(t, level-0.48+2*radius, sdftest.DropOnto(t, f, x, 0, 50), 0.05, "x %v", x)
	}
}

// TestStump: its roots fall all the way to the floor, one of them as far out as they spread;
// a small one has as many as print.
func TestStump(t *testing.T) {
	s := partstest.Quarry(56, 1)
	s.Print.Relief = 0
	p := &Stump{Places: places(3), Height: 8, Diameter: 9, Spread: 2.6, Roots: 6, Top: "sawn"}
	f := solid(t, s, p)
	require.InDelta(t, level+8, sdftest.DropOnto(t, f, 0.2, 0.1, 50), 1e-6)
	require.Empty(t, p.Notes(s))
	over := sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), level))
	far, before := 0.0, 8.0
	for r := 5.9; r < 13; r += 0.2 {
		high := 0.0
		for a := 0.0; a < 360; a++ {
			q := sdf.Turn(sdf.V(0, 0, 1), a).Rotate(sdf.V(r, 0, 0))
			high = math.Max(high, sdftest.DropOnto(t, over, q.X, q.Y, 50)-level)
		}
		require.LessOrEqual(t, high, before+1e-6, "no root rises on its way")
		if before = high; high > 0 {
			far = r
		}
	}
	require.InDelta(t, 2.6*4.5, far, 0.8)
	p.Diameter = 1
	s = s.With(s.Parts)
	require.Equal(t, 3, p.settled(s).roots)
	require.Len(t, p.Notes(s), 2)
}

// TestBeamsLean: the first lies level, and the longest that leans on it is let a fifth of its
// depth into it where they cross.
func TestBeamsLean(t *testing.T) {
	s := partstest.Quarry(56, 1)
	s.Print.Relief = 0
	b := &Beams{Places: places(1), Length: 30, Width: 3, Depth: 4, Count: 1}
	require.InDelta(t, level+4*(1-0.12), sdftest.DropOnto(t, solid(t, s, b), 5, 0, 50), 0.02)
	b = &Beams{Places: places(1), Length: 30, Width: 3, Depth: 4, Count: 2}
	s = partstest.Quarry(56, 1)
	s.Print.Relief = 0
	f := solid(t, s, b)
	rise := 4 * (1 - 0.12 - 0.2 + 0.3) / (0.56 * 0.62 * 30) // of it, over its run
	require.InDelta(t, level+4*(0.8-0.12)+4*math.Hypot(1, rise), sdftest.DropOnto(t, f, 0, 0, 50), 0.05)
}

// TestReedsPrint: a blade is thicker than a pin, and than a fourteenth of the height.
func TestReedsPrint(t *testing.T) {
	for high, blade := range map[float64]float64{5: 0.88, 9: 0.88, 28: 2} {
		s := partstest.Quarry(56, 1)
		p := &Reeds{Places: places(1), Height: high, Clump: 14, Count: 3}
		f := solid(t, s, p)
		require.InDelta(t, level+high, sdftest.DropOnto(t, f, 0, 0, 50), 1e-6)
		wide := 0.0
		for x := -3.0; x < 3; x += 0.01 {
			if f.Value(sdf.V(x, 0, level+0.45*high)) < 0 {
				wide += 0.01
			}
		}
		require.GreaterOrEqual(t, wide, blade-0.02)
		require.Less(t, wide, 1.3*blade)
	}
}
