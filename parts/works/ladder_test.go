package works

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// A ladder at the origin that leads so high, in full-size mm.
func ladder(s *parts.Site, full, lean float64) *Ladder {
	high := s.OnPrint(full)
	return &Ladder{Named: parts.Named{Name: "it"}, Facing: 90, Level: &parts.Level{Height: 0}, Height: &high, Lean: lean,
		Over: s.OnPrint(500), Width: s.OnPrint(400), Spacing: s.OnPrint(280), Rung: s.OnPrint(30), Seed: 1}
}

// face is a wall behind the head of a ladder: a band along x whose front is y = 0.
func face() *Girder {
	p := places()
	p.Name, p.At = "face", []r2.Vec{{Y: 1}}
	return &Girder{Places: p, Section: "ipe-300", Length: 40, Pose: "flat", Torn: "none"}
}

// A ladder is one piece with an honest field, as high and as wide as it says, however it
// leans, with a cage and at a scale where it is a panel.
func TestLadders(t *testing.T) {
	for i, c := range []struct {
		ratio, full, lean float64
		cage, leans       bool
		missing           float64
	}{
		{56, 1500, 15, false, true, 0}, {56, 1500, 15, false, false, 0}, {56, 1500, 0, false, false, 0.5}, {56, 1200, 30, false, true, 0.7},
		{285, 4000, 0, false, true, 0}, {285, 4000, 20, false, false, 0}, {150, 4500, 0, true, true, 0},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			s := partstest.Quarry(c.ratio, 1)
			l := ladder(s, c.full, c.lean)
			l.Cage, l.Missing = c.cage, c.missing
			s.Parts = []parts.Part{l}
			if c.leans {
				s.Parts = append(s.Parts, face())
			}
			require.Empty(t, l.Check(s))
			require.Empty(t, l.CheckPlace(s))
			z := l.settled(s)
			require.Equal(t, !c.leans || c.ratio > 200, z.back > 0, "a panel of its own")
			f := l.Solid(s)
			if z.back > 0 && c.missing == 0 { // its rungs stand out of its panel
				at := l.pose(z).Apply(z.tilt().Apply(sdf.V(0, -z.back-0.8*s.Print.Relief, z.step)))
				between := l.pose(z).Apply(z.tilt().Apply(sdf.V(0, -z.back-0.8*s.Print.Relief, 1.5*z.step)))
				require.Negative(t, f.Value(at))
				require.Positive(t, f.Value(between))
			}
			joined := f
			if z.back == 0 && c.lean == 0 { // its brackets end in the face
				joined = sdf.Union(f, sdf.BoxBetween(sdf.V(-z.half, 0, -0.5), sdf.V(z.half, 1, z.climb)))
			}
			sdftest.RequireOnePiece(t, joined, r3.Box{}, 0.2)
			box := f.Bounds()
			sdftest.RequireHonest(t, f, box, uint64(i))
			require.InDelta(t, -parts.Embed, box.Min.Z, 0.3, "let into its floor")
			outline := planar.Polygon(l.Extents(s)[0].Points)
			rng := rand.New(rand.NewPCG(uint64(i), 3))
			high := 0.0
			for range 20000 {
				p := sdf.V(box.Min.X+(box.Max.X-box.Min.X)*rng.Float64(), box.Min.Y+(box.Max.Y-box.Min.Y)*rng.Float64(), (z.top+3)*rng.Float64())
				if f.Value(p) < 0 {
					high = math.Max(high, p.Z)
					require.LessOrEqual(t, outline.At(planar.OnPlan(p)), 0.1, "within its extent at %v", p)
				}
			}
			require.InDelta(t, z.top, high, 0.9)
			require.LessOrEqual(t, high, z.top+1e-6)
			require.NotEmpty(t, l.Plan(s))
			require.Positive(t, l.Pieces(s))
			require.Positive(t, l.Breaks(s, &parts.Patch{Whole: true})[0].Volume)
		})
	}
}

// The rungs of a ladder at full size are 280 mm apart and 30 mm thick, the last at the level
// that it leads to: as EN ISO 14122-4 has it (225 to 300 mm, 20 to 35 mm; from memory).
func TestLadderRungs(t *testing.T) {
	s := partstest.Quarry(1, 1)
	l := ladder(s, 2800, 0)
	s.Parts = []parts.Part{l, face()}
	require.Empty(t, l.Notes(s))
	z, f := l.settled(s), l.Solid(s)
	require.Equal(t, 10, z.rungs)
	var from, to []float64
	inside := false
	for up := 1.0; up < 3500; up += 0.25 {
		in := f.Value(sdf.V(0, -z.off+parts.Embed*0.15, up)) < 0
		switch {
		case in && !inside:
			from = append(from, up)
		case !in && inside:
			to = append(to, up)
		}
		inside = in
	}
	require.Len(t, from, 10)
	for i := range from {
		require.InDelta(t, 280*float64(i+1), (from[i]+to[i])/2, 0.3)
		require.InDelta(t, 30, to[i]-from[i], 0.5)
	}
	for _, m := range l.Measures(s) {
		require.True(t, m.Met(), m.What)
	}
	l.Spacing = 400
	s = s.With(s.Parts)
	require.False(t, l.Measures(s)[1].Met(), "rungs 400 mm apart are too far apart")
}

// Hoops are at most 1500 mm apart, and stand out 650 to 800 mm from the rungs, the lowest
// 2200 to 3000 mm over the floor: EN ISO 14122-4, from memory.
func TestLadderCage(t *testing.T) {
	s := partstest.Quarry(1, 1)
	l := ladder(s, 6000, 0)
	l.Cage = true
	s.Parts = []parts.Part{l, face()}
	z := l.settled(s)
	require.Empty(t, l.CheckPlace(s))
	require.LessOrEqual(t, (z.top-z.from)/float64(z.hoops-1), 1500.0)
	require.GreaterOrEqual(t, z.far(), 600.0)
	require.LessOrEqual(t, z.far(), 800.0)
	require.Negative(t, l.Solid(s).Value(sdf.V(0, -z.off-z.far(), z.from)), "the lowest hoop, before the climber")
	require.GreaterOrEqual(t, z.from, 2200.0)
	require.LessOrEqual(t, z.from, 3000.0)
}

// What no ladder can be is refused by the key that does it.
func TestLadderFaults(t *testing.T) {
	for key, spoil := range map[string]func(l *Ladder){
		"":        func(l *Ladder) { l.Height = nil },
		"height":  func(l *Ladder) { l.To = &parts.Level{Height: 30} },
		"cage":    func(l *Ladder) { l.Cage, l.Lean = true, 10 },
		"to":      func(l *Ladder) { l.Height, l.To = nil, &parts.Level{Height: 0.5} },
		"spacing": func(l *Ladder) { l.Spacing = 0.05 },
	} {
		s := partstest.Quarry(56, 1)
		l := ladder(s, 1500, 0)
		spoil(l)
		s.Parts = []parts.Part{l}
		faults := l.Check(s)
		require.Len(t, faults, 1, key)
		require.Equal(t, key, faults[0].Key)
	}
	s := partstest.Quarry(56, 1)
	l := ladder(s, 1500, 0)
	l.Cage = true
	s.Parts = []parts.Part{l}
	require.Empty(t, l.Check(s))
	require.Equal(t, "cage", l.CheckPlace(s)[0].Key, "too low for a cage")
	l.Cage, l.Level = false, nil
	require.Equal(t, "at", l.CheckPlace(s.With(s.Parts))[0].Key, "no floor")
}

// What bites take of a ladder or a duct adds nothing, and takes something.
func TestLinesUnderBites(t *testing.T) {
	s := partstest.Quarry(56, 1)
	l := ladder(s, 1500, 15)
	d := duct(s)
	d.Points = []r2.Vec{{X: -20}, {X: 20}}
	for _, c := range []struct {
		part interface {
			parts.Breaker
			parts.Solider
		}
		at r3.Vec
	}{{l, sdf.V(0, -3, 18)}, {d, sdf.V(0, 0, 9)}} {
		s := s.With([]parts.Part{c.part})
		whole := c.part.Solid(s)
		bite := parts.Bite{Gone: sdf.Place(sdf.Sphere(4), sdf.At(c.at)), Wide: 8, Seed: 4}
		bite.Rough = bite.Gone
		var all []sdf.Field
		for _, r := range c.part.Bitten(s, []parts.Bite{bite}, sdf.HalfSpace(sdf.V(0, 0, 1), 0)) {
			all = append(all, r.Left())
		}
		left := sdf.Union(all...)
		lost := 0
		for i := range 8000 {
			p := r3.Add(c.at, sdf.V(float64(i%20)/2-5, float64(i/20%20)/2-5, float64(i/400)/2-5))
			if whole.Value(p) >= 0 {
				require.GreaterOrEqual(t, left.Value(p), -1e-9, "adds nothing at %v", p)
			} else if left.Value(p) > 0 {
				lost++
			}
		}
		require.Positive(t, lost)
	}
}
