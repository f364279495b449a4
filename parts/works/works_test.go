package works

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/partstest"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// one is a thing of each kind as life has it, to be set at the origin.
type one struct {
	word string
	part setout.Thing
	step float64 // of the lattice that tells whether it is one piece, mm
}

func places() setout.Places {
	return setout.Places{Named: parts.Named{Name: "it"}, At: []r2.Vec{{}}, Level: &parts.Level{Height: 0}, Seed: 3}
}

// bodyOf is one of a part that stands on z = 0 about the origin, with its foot let in.
func bodyOf(s *parts.Site, p setout.Thing, seed uint64) sdf.Field {
	s.Parts = []parts.Part{p}
	return p.Body(s, setout.Spot{Foot: -0.6, Seed: seed})
}

// things are those that stand on floors; each call makes them anew.
func things() []one {
	life := func(s float64) float64 { return s / 56 }
	var all []one
	for _, pose := range []string{"edge", "flat", "upright"} {
		for _, raised := range []float64{0, 4} {
			all = append(all, one{"girder " + pose, &Girder{Places: places(), Section: "ipe-300", Length: life(1200), Pose: pose, Raised: raised,
				Splice: true, Stiffeners: 3, Torn: "none", Wear: 0.5}, 0.3})
		}
	}
	for _, lie := range []bool{false, true} {
		all = append(all, one{"drum", &Drum{Places: places(), Diameter: life(585), Height: life(880), Lying: lie, Wear: 0.5}, 0.25},
			one{"tank", &Tank{Places: places(), Diameter: life(700), Length: life(1300), Upright: !lie, Bands: 3, Manhole: lie, Wear: 0.5}, 0.3})
	}
	for _, of := range []string{"brick", "plate"} {
		all = append(all, one{"stack", &Stack{Places: places(), Diameter: life(800), Height: life(900), Of: of, Taper: 0.05}, 0.3})
	}
	return append(all, one{"grating", &Grating{Places: places(), Length: life(700), Width: life(400), Pitch: life(34), Cross: life(100), Raised: life(60)}, 0.15})
}

// Everything that stands on floors is one piece, as high and as wide as it says, with
// honest fields, at usual scales and at a small one.
func TestThings(t *testing.T) {
	for _, ratio := range []float64{56, 285} {
		for i, o := range things() {
			t.Run(fmt.Sprintf("%s %d at %g", o.word, i, ratio), func(t *testing.T) {
				s := partstest.Quarry(ratio, 1)
				f := bodyOf(s, o.part, uint64(5+i))
				bulk := o.part.Bulk(s)
				box := r3.Box{Min: sdf.V(-bulk.X/2, -bulk.Y/2, -0.6), Max: sdf.V(bulk.X/2, bulk.Y/2, bulk.Z)}
				sdftest.RequireOnePiece(t, f, r3.Box{}, o.step)
				sdftest.RequireHonest(t, f, box, 9)
				require.InDelta(t, bulk.Z, topOf(f, box), 0.15, "height")
				lo, hi := across(f, box)
				for _, side := range [][2]float64{{lo.X, box.Min.X}, {lo.Y, box.Min.Y}, {hi.X, box.Max.X}, {hi.Y, box.Max.Y}} {
					require.InDelta(t, side[1], side[0], 0.2, "extent %v", bulk)
				}
				require.Less(t, f.Value(sdf.V(0, 0, -0.5)), 0.1+bulk.X, "it goes down")
				lowest := math.Inf(1)
				for x := box.Min.X; x < box.Max.X && lowest >= 0; x += 0.3 {
					for y := box.Min.Y; y < box.Max.Y; y += 0.3 {
						lowest = math.Min(lowest, f.Value(sdf.V(x, y, -0.55)))
					}
				}
				require.Negative(t, lowest, "it is let in down to its foot")
			})
		}
	}
}

// topOf is the highest of a solid in a box, looked for from above on a lattice.
func topOf(f sdf.Field, box r3.Box) float64 {
	top := box.Min.Z
	const step = 0.15
	for x := box.Min.X + step/2; x < box.Max.X; x += step {
		for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
			z := box.Max.Z + 1
			for z > top {
				d := f.Value(sdf.V(x, y, z))
				if d < 1e-3 {
					top = z
					break
				}
				z -= d
			}
		}
	}
	return top
}

// across is how far a solid over the floor reaches along x and y: by where planes that
// come in from outside first meet it.
func across(f sdf.Field, box r3.Box) (lo, hi r2.Vec) {
	const step = 0.2
	reach := func(dir r3.Vec) float64 {
		u, v := sdf.V(dir.Y, dir.X, 0), sdf.V(0, 0, 1)
		size := r3.Sub(box.Max, box.Min)
		wide, far := math.Abs(r3.Dot(u, size))/2, math.Abs(r3.Dot(dir, size))/2+1
		best := math.Inf(-1)
		for a := -wide - 0.5; a <= wide+0.5; a += step {
			for b := 0.03; b < box.Max.Z; b += step {
				for d := far; d > math.Max(best, -far); {
					p := r3.Add(r3.Scale(d, dir), r3.Add(r3.Scale(a, u), r3.Scale(b, v)))
					w := f.Value(p)
					if w < 1e-3 {
						best = d
						break
					}
					d -= w
				}
			}
		}
		return best
	}
	return r2.Vec{X: -reach(sdf.V(-1, 0, 0)), Y: -reach(sdf.V(0, -1, 0))}, r2.Vec{X: reach(sdf.V(1, 0, 0)), Y: reach(sdf.V(0, 1, 0))}
}

// A girder at full thickness is the published section: its depth, its flange, its web.
func TestGirderIsItsSection(t *testing.T) {
	for word, of := range sections {
		s := partstest.Quarry(4, 1) // so large that nothing is raised
		g := &Girder{Places: places(), Section: word, Length: 300, Pose: "edge", Torn: "none"}
		f := bodyOf(s, g, 1)
		require.Empty(t, g.Notes(s))
		require.InDelta(t, of.depth/4, sdftest.DropOnto(t, f, 0, 0, 200), 1e-6, word)
		inside := func(y, z float64) bool { return f.Value(sdf.V(10, y, z)) < 0 }
		for _, e := range []struct{ y, z float64 }{
			{of.flange / 8, of.depth/4 - of.thick/8}, // the edge of the upper flange
			{of.web / 8, of.depth / 8},               // the face of the web
		} {
			require.True(t, inside(e.y-0.01, e.z), word)
			require.False(t, inside(e.y+0.01, e.z), word)
		}
		require.True(t, inside(of.flange/10, of.depth/4-of.thick/4+0.01))
		require.False(t, inside(of.flange/10, of.depth/4-of.thick/4-0.01), "under the flange")
	}
}

// A torn girder is one piece, differs by seed, and what is too thin to print is raised.
func TestTornGirders(t *testing.T) {
	for _, pose := range []string{"edge", "flat", "upright"} {
		var last float64
		for seed := range uint64(3) {
			s := partstest.Quarry(56, 1)
			g := &Girder{Places: places(), Section: "heb-300", Length: 20, Pose: pose, Torn: "both", Wear: 1, Splice: true}
			f := bodyOf(s, g, seed)
			sdftest.RequireOnePiece(t, f, r3.Box{}, 0.3)
			require.NotEmpty(t, g.Notes(s), "its web is under a wall")
			at := f.Value(sdf.V(9, 1, 2)) + f.Value(sdf.V(1, 1, 20))
			require.NotEqual(t, last, at)
			last = at
		}
	}
}

// line is a course with one corner, on a floor at 0.
func line() Course {
	return Course{Line: course.Line{Named: parts.Named{Name: "it"}, Points: []r2.Vec{{X: -20}, {X: 4}, {X: 20, Y: 9}}}, Level: &parts.Level{Height: 0}, Seed: 3}
}

// runner is a kind that runs along a line.
type runner interface {
	parts.Solider
	parts.Checker
	parts.Placed
}

// requireCourse holds a course to what all of them promise: no fault, one piece, honest, as
// high as it says over the middle of its line, and no wider than its extents.
func requireCourse(t *testing.T, s *parts.Site, p runner, high, step float64) sdf.Field {
	s.Parts = []parts.Part{p}
	require.Empty(t, p.Check(s))
	f := p.Solid(s)
	sdftest.RequireOnePiece(t, f, r3.Box{}, step)
	box := f.Bounds()
	sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-20, -5, -0.4), Max: sdf.V(0, 5, high)}, 4)
	require.InDelta(t, high, topOf(f, r3.Box{Min: sdf.V(-20, -5, box.Min.Z), Max: sdf.V(4, 5, high+2)}), 0.12)
	require.LessOrEqual(t, box.Min.Z, -0.4, "let into its floor")
	half := p.Extents(s)[0].Wide
	for x := -18.0; x < 0; x += 0.37 {
		for z := 0.05; z < high; z += 0.21 {
			require.Positive(t, f.Value(sdf.V(x, half+0.05, z)))
			require.Positive(t, f.Value(sdf.V(x, -half-0.05, z)))
		}
	}
	return f
}

func track(s *parts.Site) *Track {
	return &Track{Course: line(), Gauge: s.OnPrint(1435), Spacing: s.OnPrint(600), Sleeper: "timber", Long: s.OnPrint(2600), Wide: s.OnPrint(250),
		Bed: s.OnPrint(250), Wear: 0.3}
}

// A track has its gauge between its rails and a sleeper every 600 mm.
func TestTrack(t *testing.T) {
	for _, ratio := range []float64{150, 285} {
		for _, word := range []string{"timber", "concrete"} {
			for _, bed := range []float64{0, 1.2} {
				s := partstest.Quarry(ratio, 1)
				k := track(s)
				k.Sleeper, k.Bed = word, bed
				requireCourse(t, s, k, k.settled(s).top(), 0.2)
			}
		}
	}
	s := partstest.Quarry(56, 1)
	k := track(s)
	k.Wear = 0
	k.Points = []r2.Vec{{X: -30}, {X: 30}}
	s.Parts = []parts.Part{k}
	z, f := k.settled(s), k.Solid(s)
	rail := z.top() - 0.3*z.head
	first, last := 0.0, 0.0 // the faces of the heads, in from the middle
	for y := 0.0; y < 20; y += 0.002 {
		if f.Value(sdf.V(0, y, rail)) < 0 {
			first = y
			break
		}
	}
	for y := 0.0; y < 20; y += 0.002 {
		if f.Value(sdf.V(0, -y, rail)) < 0 {
			last = y
			break
		}
	}
	require.InDelta(t, 1435.0/56, first+last, 0.01)
	count, inside := 0, false // of the sleepers, along their ends
	for x := -30.0; x < 30; x += 0.05 {
		in := f.Value(sdf.V(x, 0.47*k.Long, z.bed+0.4*z.sleeper)) < 0
		if in && !inside {
			count++
		}
		inside = in
	}
	require.Equal(t, 5, count, "in 60 mm, one every 10.7 mm")
}

// Lines that no course follows are refused.
func TestCourseFaults(t *testing.T) {
	s := partstest.Quarry(56, 1)
	for _, along := range [][]r2.Vec{{{}}, {{}, {X: 0.1}}, {{}, {X: 30}, {X: 2, Y: 3}}} {
		k := track(s)
		k.Points = along
		s := s.With([]parts.Part{k})
		faults := k.Check(s)
		require.Len(t, faults, 1)
		require.Equal(t, "line", faults[0].Key)
	}
}

// A pipe has the published outside diameter, and is raised to what prints.
func TestPipe(t *testing.T) {
	for _, ratio := range []float64{56, 285} {
		for _, valve := range []bool{false, true} {
			s := partstest.Quarry(ratio, 1)
			p := &Pipe{Course: line(), Bore: "dn-200", Height: 4, Flanges: 12, Supports: 9}
			if d := 9.0; valve {
				p.Valve = &d
			}
			requireCourse(t, s, p, p.top(p.settled(s)), 0.2)
		}
	}
	for word, of := range bores {
		s := partstest.Quarry(10, 1)
		p := &Pipe{Course: line(), Bore: word, Height: 50, Flanges: 400, Supports: 400}
		p.Points = []r2.Vec{{}, {X: 400}}
		s.Parts = []parts.Part{p}
		require.Empty(t, p.Check(s))
		z, f := p.settled(s), p.Solid(s)
		require.InDelta(t, 50+of.outside/20, sdftest.DropOnto(t, f, 200, 0, 200), 1e-6, word)
		require.InDelta(t, 50+of.flange/20, sdftest.DropOnto(t, f, z.plate/2, 0, 200), 0.5*z.bolt.across, word)
		off := 500.0
		p.Valve = &off
		require.Equal(t, "valve", p.Check(s)[0].Key)
	}
}

// A drum of 200 l is 880 mm high and 585 mm over its hoops, and holds about 200 l.
func TestDrumOfLife(t *testing.T) {
	s := partstest.Quarry(56, 1)
	d := &Drum{Places: places(), Diameter: s.OnPrint(585), Height: s.OnPrint(880)}
	f := bodyOf(s, d, 1)
	bulk := d.Bulk(s)
	volume := sdftest.Volume(f, r3.Box{Min: sdf.V(-6, -6, 0), Max: sdf.V(6, 6, 16)}, 0.2) * 56 * 56 * 56 / 1e6
	require.InDelta(t, 210, volume, 20, "litres")
	require.InDelta(t, 880.0/56, bulk.Z, 1e-9)
	require.InDelta(t, 585.0/56, bulk.X, 1e-9)
}

// The ends of a tank are dished by 0.194 of its diameter.
func TestTankEnds(t *testing.T) {
	s := partstest.Quarry(56, 1)
	k := &Tank{Places: places(), Diameter: 20, Length: 40, Upright: true}
	f := bodyOf(s, k, 1)
	top := sdftest.DropOnto(t, f, 0, 0, 90)
	require.InDelta(t, k.Bulk(s).Z, top, 0.3)
	require.Negative(t, f.Value(sdf.V(9.5, 0, top-0.194*20-0.5)))
	require.Positive(t, f.Value(sdf.V(9.5, 0, top-0.194*20+1.6)))
}

// A broken stack is one piece under its height, and another by another seed.
func TestBrokenStacks(t *testing.T) {
	s := partstest.Quarry(56, 1)
	k := &Stack{Places: places(), Diameter: 14, Height: 20, Of: "brick", Taper: 0.05, Broken: 0.5}
	var last float64
	for seed := range uint64(4) {
		f := bodyOf(s, k, seed)
		sdftest.RequireOnePiece(t, f, r3.Box{}, 0.3)
		top := topOf(f, r3.Box{Min: sdf.V(-8, -8, 0), Max: sdf.V(8, 8, 20)})
		require.InDelta(t, 19.2, top, 1)
		at := f.Value(sdf.V(5, 2, 17)) + f.Value(sdf.V(-5, 2, 17))
		require.NotEqual(t, last, at)
		last = at
	}
}

// A grating is open between its bars: as many openings across as its pitch gives.
func TestGratingOpenings(t *testing.T) {
	s := partstest.Quarry(10, 1)
	g := &Grating{Places: places(), Length: 60, Width: 40, Pitch: 3.4, Cross: 10, Raised: 4}
	f := bodyOf(s, g, 1)
	z := g.settled(s)
	require.Empty(t, g.Notes(s))
	count, inside := 0, true
	for y := -20 + z.frame; y < 20-z.frame; y += 0.01 {
		in := f.Value(sdf.V(-30+z.frame+4.9, y, 4-z.deep/2)) < 0
		if !in && inside {
			count++
		}
		inside = in
	}
	require.InDelta(t, (40-2*z.frame)/3.4, float64(count), 0.51)
}
