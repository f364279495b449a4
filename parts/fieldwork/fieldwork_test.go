package fieldwork

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
	"socle/parts/planar"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// site is a quarry at a ratio with one part, on a floor of its own level.
func site(ratio float64, p parts.Part) *parts.Site { return partstest.Quarry(ratio, 1, p) }

// lineTo is a line of a work from the origin, as long as told in full-size mm, at a level.
func lineTo(s *parts.Site, seed uint64, full ...float64) Line {
	l := Line{Line: course.Line{Named: parts.Named{Name: "work"}, Points: []r2.Vec{{}}}, Level: &parts.Level{Height: 3}, Seed: seed}
	for i, long := range full {
		turn := float64(i) * 70 * math.Pi / 180
		l.Points = append(l.Points, r2.Add(l.Points[i], r2.Vec{X: s.OnPrint(long) * math.Cos(turn), Y: s.OnPrint(long) * math.Sin(turn)}))
	}
	return l
}

// ceiling is the highest of a solid over a region of the plan, dropping onto it every step.
func ceiling(f sdf.Field, box r3.Box, step float64) float64 {
	high := math.Inf(-1)
	for x := box.Min.X; x <= box.Max.X; x += step {
		for y := box.Min.Y; y <= box.Max.Y; y += step {
			for z, n := box.Max.Z+1, 0; z > box.Min.Z && z > high && n < 500; n++ {
				d := f.Value(sdf.V(x, y, z))
				if d < 1e-4 {
					high = z
				}
				z -= math.Max(d, 1e-4)
			}
		}
	}
	return high
}

// works are those that run along a line, by what the scene may give of them.
var works = []struct {
	name string
	make func(s *parts.Site, l Line) work
	// over is how far above its height and beside its width a piece may reach, of a bag, a
	// board or a rod, as a share of the height: pieces lie askew.
	over float64
}{
	{"sandbags", func(s *parts.Site, l Line) work {
		return &Sandbags{Line: l, Height: s.OnPrint(900), Length: s.OnPrint(500), Width: s.OnPrint(250), Thickness: s.OnPrint(120), Bond: "headers"}
	}, 0.06},
	{"stretchers", func(s *parts.Site, l Line) work {
		return &Sandbags{Line: l, Height: s.OnPrint(600), Length: s.OnPrint(500), Width: s.OnPrint(250), Thickness: s.OnPrint(120), Bond: "stretchers"}
	}, 0.1},
	{"ruin", func(s *parts.Site, l Line) work {
		return &Sandbags{Line: l, Height: s.OnPrint(900), Length: s.OnPrint(500), Width: s.OnPrint(250), Thickness: s.OnPrint(120), Bond: "headers", Ruin: 0.7}
	}, 0.06},
	{"duckboards", func(s *parts.Site, l Line) work {
		return &Duckboards{Line: l, Width: s.OnPrint(450), Slat: s.OnPrint(90), Gap: s.OnPrint(25), Height: s.OnPrint(75), Wear: 0.5}
	}, 0.15},
	{"boards", revetmentOf("boards"), 0.03}, {"wattle", revetmentOf("wattle"), 0.03}, {"sheet", revetmentOf("sheet"), 0.03},
	{"barricade", func(s *parts.Site, l Line) work {
		return &Barricade{Line: l, Height: s.OnPrint(1500), Width: s.OnPrint(1600), Doors: 0.4}
	}, 0.15},
}

func revetmentOf(word string) func(s *parts.Site, l Line) work {
	return func(s *parts.Site, l Line) work {
		return &Revetment{Line: l, Height: s.OnPrint(1200), Of: word, Lean: 6, Spacing: s.OnPrint(900), Stake: s.OnPrint(80), Wear: 0.4}
	}
}

// Each work along a line is one piece, an honest field, and as high and as wide as it says.
func TestWorksAlongALine(t *testing.T) {
	for _, c := range works {
		for _, ratio := range []float64{56, 285} {
			for seed := range uint64(2) {
				if ratio == 56 && seed > 0 {
					continue // a large field, and the small one shows more of what may come apart
				}
				s := site(ratio, nil)
				w := c.make(s, lineTo(s, seed, 1300, 800))
				s.Parts = []parts.Part{w}
				of := fmt.Sprintf("%s at 1:%g, seed %d", c.name, ratio, seed)
				require.Empty(t, w.(parts.Checker).Check(s), of)
				f := w.(parts.Solider).Solid(s)
				box := f.Bounds()
				sdftest.RequireOnePiece(t, f, r3.Box{}, math.Max(0.25, s.OnPrint(20)))
				if seed == 0 {
					sdftest.RequireHonest(t, f, box, seed)
				}
				wide, high := w.across(s)
				top := ceiling(f, box, math.Max(0.25, s.OnPrint(50)))
				require.LessOrEqual(t, top, 3+high*(1+c.over)+0.15, of)
				if c.name != "ruin" {
					require.InDelta(t, 3+high, top, high*c.over+0.2, of)
				}
				for _, q := range outsideOf(w.(parts.Placed).Extents(s), 0.5*wide*c.over+0.35, box) {
					for z := 3 + 0.1*high; z < 3+high; z += 0.2 * high {
						require.Positive(t, f.Value(sdf.V(q.X, q.Y, z)), "%s: within its width at %v, %v", of, q, z)
					}
				}
				require.Less(t, f.Bounds().Min.Z, 3.0, "%s is let into its floor", of)
				require.NotEmpty(t, w.(parts.Planner).Plan(s))
				require.NotEmpty(t, w.(parts.Placed).Extents(s))
				require.Positive(t, w.(parts.Counter).Pieces(s))
				whole := w.(parts.Crumbler).Breaks(s, &parts.Patch{Whole: true})
				require.Len(t, whole, 1)
				require.Positive(t, whole[0].Volume)
			}
		}
	}
}

// outsideOf are places of the plan beyond extents, by more than told.
func outsideOf(extents []parts.Extent, by float64, box r3.Box) (out []r2.Vec) {
	for i := range 400 {
		q := r2.Vec{X: box.Min.X + (box.Max.X-box.Min.X)*float64(i%20)/19, Y: box.Min.Y + (box.Max.Y-box.Min.Y)*float64(i/20)/19}
		near := math.Inf(1)
		for _, e := range extents {
			near = math.Min(near, planar.Polygon(e.Points).At(q))
		}
		if near > by {
			out = append(out, q)
		}
	}
	return out
}

// things are those that stand in places.
var things = []struct {
	name string
	make func(s *parts.Site, p setout.Places) setout.Thing
	over float64 // how far its highest may be below its bulk's, as a share of it
}{
	{"round", func(s *parts.Site, p setout.Places) setout.Thing {
		return &Stakes{Places: p, Height: s.OnPrint(1200), Thickness: s.OnPrint(135), Of: "round", Head: "pointed"}
	}, 0.02},
	{"aslant", func(s *parts.Site, p setout.Places) setout.Thing {
		return &Stakes{Places: p, Height: s.OnPrint(900), Thickness: s.OnPrint(135), Of: "sawn", Head: "beaten", Lean: 40}
	}, 0.08},
	{"angles", func(s *parts.Site, p setout.Places) setout.Thing {
		return &Obstacle{Places: p, Form: "angles", Length: s.OnPrint(1800), Leg: s.OnPrint(140), Thick: s.OnPrint(13), Wear: 0.3}
	}, 0.1},
	{"beams", func(s *parts.Site, p setout.Places) setout.Thing {
		return &Obstacle{Places: p, Form: "beams", Length: s.OnPrint(1500), Leg: s.OnPrint(140), Thick: s.OnPrint(13), Wear: 0.3}
	}, 0.1},
	{"trestle", func(s *parts.Site, p setout.Places) setout.Thing {
		return &Trestle{Places: p, Length: s.OnPrint(2400), Height: s.OnPrint(1100), Spread: s.OnPrint(750), Pole: s.OnPrint(120), Leg: s.OnPrint(100)}
	}, 0.02},
}

// Each thing is one piece, an honest field, and as large as it says.
func TestThings(t *testing.T) {
	for _, c := range things {
		for _, ratio := range []float64{56, 285} {
			for seed := range uint64(3) {
				s := site(ratio, nil)
				k := c.make(s, setout.Places{Named: parts.Named{Name: "thing"}, At: []r2.Vec{{X: 5, Y: -4}}, Turn: 25, Level: &parts.Level{Height: 3}, Seed: seed})
				s.Parts = []parts.Part{k}
				of := fmt.Sprintf("%s at 1:%g, seed %d", c.name, ratio, seed)
				require.Empty(t, k.(parts.Checker).Check(s), of)
				f := k.(parts.Solider).Solid(s)
				bulk := k.Bulk(s)
				box := f.Bounds()
				sdftest.RequireOnePiece(t, f, box, math.Max(0.2, s.OnPrint(18)))
				if seed == 0 {
					sdftest.RequireHonest(t, f, box, seed)
				}
				top := ceiling(f, box, math.Max(0.1, s.OnPrint(20)))
				require.LessOrEqual(t, top, 3+bulk.Z+0.05, of)
				require.InDelta(t, 3+bulk.Z, top, c.over*bulk.Z+0.1, of)
				for _, q := range outsideOf(k.(parts.Placed).Extents(s), 0.1, box) {
					for z := 3.05; z < 3+bulk.Z; z += 0.1 * bulk.Z {
						require.Positive(t, f.Value(sdf.V(q.X, q.Y, z)), "%s: beyond its bulk at %v, %v", of, q, z)
					}
				}
			}
		}
	}
}

// A stake leans as far as it is told.
func TestStakesLean(t *testing.T) {
	s := site(28, nil)
	k := things[1].make(s, setout.Places{Named: parts.Named{Name: "thing"}, At: []r2.Vec{{}}, Level: &parts.Level{}, Seed: 1}).(*Stakes)
	s.Parts = []parts.Part{k}
	f, high := k.Solid(s), s.OnPrint(900)
	middle := func(z float64) float64 {
		sum, n := 0.0, 0.0
		for x := -high; x < high; x += 0.02 {
			if f.Value(sdf.V(x, 0, z)) < 0 {
				sum, n = sum+x, n+1
			}
		}
		return sum / n
	}
	require.InDelta(t, math.Tan(40*math.Pi/180), (middle(0.7*high)-middle(0.2*high))/(0.5*high), 0.03)
}

// The legs of a trestle meet under its pole: half way up they stand half as far apart.
func TestTrestleIsAnA(t *testing.T) {
	s := site(28, nil)
	k := things[4].make(s, setout.Places{Named: parts.Named{Name: "thing"}, At: []r2.Vec{{}}, Level: &parts.Level{}, Seed: 1}).(*Trestle)
	s.Parts = []parts.Part{k}
	f, z := k.Solid(s), k.settled(s)
	outer := func(up float64) float64 { // half the width over both legs
		for y := z.spread; ; y -= 0.01 {
			for x := -0.8 * z.leg; x < 0.8*z.leg; x += 0.1 {
				if f.Value(sdf.V(z.frame+x, y, up)) < 0 {
					return y
				}
			}
		}
	}
	fork := z.high - z.pole - 0.2*z.leg
	slope := (outer(0.1*fork) - outer(0.7*fork)) / (0.6 * fork)
	require.InDelta(t, (z.spread/2-0.6*z.leg)/fork, slope, 0.03)
	require.InDelta(t, z.high, sdftest.DropOnto(t, f, 0, 0, 60), 0.2*z.pole, "the pole's top")
	require.Positive(t, f.Value(sdf.V(0, 0, 0.6*z.high)), "open under it")
}

// An angle of an obstacle has the section of EN 10056-1, 140 x 140 x 13 mm, and the three are
// square to each other: a third of the way up each is its middle.
func TestAnglesOfAnObstacle(t *testing.T) {
	s := partstest.Quarry(10, 1)
	o := things[2].make(s, setout.Places{Named: parts.Named{Name: "thing"}, At: []r2.Vec{{}}, Level: &parts.Level{}, Seed: 1}).(*Obstacle)
	o.Wear = 0
	s.Parts = []parts.Part{o}
	f, z := o.Solid(s), o.settled(s)
	require.InDelta(t, 1800/math.Sqrt(3)/2, s.FullSize(z.mid), 1e-9)
	pose := aimed(sdf.V(math.Sqrt(2), 0, 1), 45).Then(sdf.At(sdf.V(0, 0, z.mid)))
	c, up := 0.32*z.leg, 0.35*z.long
	run := func(at func(v float64) r3.Vec) float64 {
		n := 0
		for v := -0.5 * z.leg; v < 1.5*z.leg; v += 0.005 {
			if f.Value(pose.Apply(at(v))) < 0 {
				n++
			}
		}
		return s.FullSize(0.005 * float64(n))
	}
	require.InDelta(t, 13, run(func(v float64) r3.Vec { return sdf.V(v-c, 0.6*z.leg-c, up) }), 2.5, "thickness, less its rust")
	require.InDelta(t, 140, run(func(v float64) r3.Vec { return sdf.V(0.5*z.thick-c, v-c, up) }), 3, "leg")
}

// What bites take of a work leaves none of it afloat, and nothing of it far off is changed.
func TestWorksUnderBites(t *testing.T) {
	for _, c := range works {
		s := site(56, nil)
		w := c.make(s, lineTo(s, 3, 2500))
		s.Parts = []parts.Part{w}
		whole := w.(parts.Solider).Solid(s)
		wide, high := w.across(s)
		bite := parts.Bite{Gone: sdf.Place(sdf.Sphere(0.3*high+1), sdf.At(sdf.V(s.OnPrint(1250), -wide/2, 3+0.7*high))), Wide: 0.6*high + 2, Seed: 4}
		bite.Rough = bite.Gone
		ground := sdf.HalfSpace(sdf.V(0, 0, 1), 3)
		left := w.(parts.Breaker).Bitten(s, []parts.Bite{bite}, ground)
		var all []sdf.Field
		for _, r := range left {
			all = append(all, r.Left())
		}
		f := sdf.Union(all...)
		lost := 0
		b := whole.Bounds()
		for i := range 4000 {
			p := sdf.V(b.Min.X+(b.Max.X-b.Min.X)*float64(i%40)/39, b.Min.Y+(b.Max.Y-b.Min.Y)*float64(i/40%10)/9, b.Min.Z+(b.Max.Z-b.Min.Z)*float64(i/400)/9)
			if math.Abs(s.FullSize(p.X)-1250) > 1000 && whole.Value(p) < 0 && p.Z < 3+0.5*high {
				require.Negative(t, f.Value(p), "%s: far off at %v", c.name, p)
			}
			if whole.Value(p) > 0 {
				require.GreaterOrEqual(t, f.Value(p), -1e-9, "%s: bites add nothing at %v", c.name, p)
			} else if f.Value(p) > 0 {
				lost++
			}
		}
		require.Positive(t, lost, c.name)
	}
}

// Lines that are none, or far too long, are faults.
func TestLineFaults(t *testing.T) {
	s := site(56, nil)
	for _, c := range []struct {
		along []r2.Vec
		n     int
	}{
		{[]r2.Vec{{}}, 1},
		{[]r2.Vec{{}, {X: 20}, {X: 20}}, 1},
		{[]r2.Vec{{}, {X: 20}}, 0},
		{[]r2.Vec{{}, {X: 1e6}}, 1},
	} {
		w := works[0].make(s, Line{Line: course.Line{Named: parts.Named{Name: "work"}, Points: c.along}, Level: &parts.Level{}})
		s = s.With([]parts.Part{w})
		require.Len(t, w.(parts.Checker).Check(s), c.n, "%v", c.along)
	}
	w := works[0].make(s, Line{Line: course.Line{Named: parts.Named{Name: "work"}, Points: []r2.Vec{{}, {X: 20}}}})
	s = s.With([]parts.Part{w})
	require.Len(t, w.(parts.PlaceChecker).CheckPlace(s), 1, "no ground")
}

// Bags of a course break the joints of the course below, and no bag lies on air: in a ruin
// each lies on all that it would lie on in a whole wall.
func TestBondOfBags(t *testing.T) {
	s := site(56, nil)
	for _, bond := range []string{"headers", "stretchers"} {
		w := works[0].make(s, lineTo(s, 1, 4000)).(*Sandbags)
		w.Bond = bond
		s = s.With([]parts.Part{w})
		z := w.settled(s)
		require.InDelta(t, w.Height, z.high, z.rise/2, "courses to the nearest of its height")
		whole := w.laid(s)
		for _, b := range whole {
			for _, o := range whole {
				same := b.course == o.course+1 && b.header == o.header && b.row == o.row
				if same && math.Min(b.from, o.from) > 0.01 {
					require.Greater(t, math.Abs(b.from-o.from), 0.3*z.wide, "%s: a joint over a joint at %v, course %d", bond, b.from, b.course)
				}
			}
		}
		w.Ruin = 0.8
		s = s.With([]parts.Part{w})
		left := w.laid(s)
		require.Less(t, len(left), len(whole))
		for _, b := range left {
			if b.course > 0 {
				under := 0.0
				for _, o := range left {
					if o.course == b.course-1 {
						under += math.Max(0, math.Min(b.to, o.to)-math.Max(b.from, o.from)) * math.Max(0, math.Min(b.face, o.face)-math.Max(b.back, o.back))
					}
				}
				require.GreaterOrEqual(t, under, 0.96*(b.to-b.from)*(b.face-b.back), "%s: course %d at %v", bond, b.course, b.from)
			}
		}
	}
}

// Slats of duckboards are as far apart as they say: between two is a gap of the print, down to
// the mud, and the runners are there under each.
func TestSlatsOfDuckboards(t *testing.T) {
	s := site(56, nil)
	d := &Duckboards{Line: lineTo(s, 1, 2300), Width: s.OnPrint(450), Slat: s.OnPrint(90), Gap: s.OnPrint(25), Height: s.OnPrint(75)}
	s.Parts = []parts.Part{d}
	f, z := d.Solid(s), d.settled(s)
	require.InDelta(t, 115, s.FullSize(z.slat+z.gap), 1e-9)
	require.Len(t, d.bodies(s), 20)
	for i := range 19 {
		x := s.OnPrint(115) * float64(i)
		require.InDelta(t, 3+z.high, sdftest.DropOnto(t, f, x+s.OnPrint(57), 0, 20), 0.6*z.thick, "slat %d", i)
		if i > 0 {
			require.InDelta(t, 3+z.high-0.9*z.thick, sdftest.DropOnto(t, f, x, 0, 20), 1e-6, "gap %d", i)
			require.InDelta(t, 3+z.high-0.6*z.thick, sdftest.DropOnto(t, f, x, 0.45*z.wide, 20), 1e-6, "runner at %d", i)
		}
	}
}

// A sheet has the corrugation of the trade, 18 mm deep every 76 mm, and leans as it is told.
func TestCorrugationOfASheet(t *testing.T) {
	s := partstest.Quarry(28, 1) // large enough that neither is raised
	v := revetmentOf("sheet")(s, lineTo(s, 1, 1520)).(*Revetment)
	v.Lean, v.Wear, v.Spacing = 0, 0, s.OnPrint(2000)
	s.Parts = []parts.Part{v}
	f, z := v.Solid(s), v.settled(s)
	require.InDelta(t, 76, s.FullSize(z.pitch), 1e-9)
	face := func(x float64) float64 { // from behind, where no stakes are
		y := 10.0
		for f.Value(sdf.V(x, y, 10)) > 1e-9 {
			y -= f.Value(sdf.V(x, y, 10))
		}
		return y
	}
	p := s.OnPrint(76)
	for i := 3.0; i < 12; i++ {
		require.InDelta(t, 18, s.FullSize(face(p*(i+0.25))-face(p*(i+0.75))), 0.5)
	}
	v.Lean = 10
	s = s.With([]parts.Part{v})
	f = v.Solid(s)
	low := face(p * 5.25)
	high := 10.0
	for f.Value(sdf.V(p*5.25, high, 20)) > 1e-9 {
		high -= f.Value(sdf.V(p*5.25, high, 20))
	}
	require.InDelta(t, math.Tan(10*math.Pi/180), (high-low)/10, 1e-3)
}
