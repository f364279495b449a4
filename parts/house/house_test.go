package house

import (
	"fmt"
	"math"
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

func storeyOf(set func(f *Storey)) *Storey {
	f := &Storey{Named: parts.Named{Name: "upper"}, Level: parts.Level{Height: 24}, Area: parts.Area{Rect: []float64{20, 20, 34, 24}},
		Joist: [2]float64{1.2, 3}, Spacing: 6, Boards: 1.1, Broken: 0, Post: 2, Seed: 5}
	set(f)
	return f
}

// wallOf is a plain wall of 4 mm along a line, on ground at a level of 10.
func wallOf(name string, line ...r2.Vec) *wall.Wall {
	return &wall.Wall{Named: parts.Named{Name: name}, Line: line, Thickness: 4, From: parts.Level{Height: 10}, Height: new(22.0),
		Coursing: "none", Coping: "none", Seed: 3, Surface: new("plain")}
}

// house is two walls along the storey, whose inner faces are the sides of its area.
func house(work ...parts.Part) *parts.Site {
	return fixtures.GroundWith(append([]parts.Part{wallOf("south", r2.Vec{X: 12, Y: 18}, r2.Vec{X: 62, Y: 18}),
		wallOf("north", r2.Vec{X: 12, Y: 46}, r2.Vec{X: 62, Y: 46})}, work...)...)
}

// all is the solid of everything on a site.
func all(s *parts.Site) sdf.Field {
	var solids []sdf.Field
	for _, p := range parts.AllOf[parts.Solider](s) {
		solids = append(solids, p.Solid(s))
	}
	return sdf.Union(solids...)
}

var around = r3.Box{Min: sdf.V(8, 8, 8), Max: sdf.V(66, 60, 45)}

// A storey is let into the walls beside it, and stands on posts where there are none; whole or
// in ruin nothing of it floats.
func TestStoreyNeverFloats(t *testing.T) {
	for _, walled := range []bool{true, false} {
		for seed, ruin := range []float64{0, 0.3, 0.7, 1} {
			t.Run(fmt.Sprintf("%v-%v", walled, ruin), func(t *testing.T) {
				f := storeyOf(func(f *Storey) { f.Ruin, f.Seed = ruin, uint64(seed) })
				s := fixtures.GroundWith(f)
				if walled {
					s = house(f)
				}
				require.Empty(t, f.Check(s))
				z := f.settled(s)
				require.Equal(t, [2]bool{!walled, !walled}, z.beams, "posts where no wall is")
				sdftest.RequireOnePiece(t, all(s), around, 0.45)
				if walled {
					sdftest.RequireHonest(t, f.Solid(s), around, uint64(seed))
				}
			})
		}
	}
}

// Its boards lie at its level, by rays; joists span the short way at their spacing, and lie
// lower by their depth.
func TestStoreySizes(t *testing.T) {
	f := storeyOf(func(*Storey) {})
	s := house(f)
	require.Empty(t, f.Check(s))
	solid := f.Solid(s)
	for x := 21.3; x < 53; x += 2.7 {
		for y := 21.3; y < 43; y += 2.7 {
			z := sdftest.DropOnto(t, solid, x, y, 40)
			require.LessOrEqual(t, z, 24+1e-9)
			require.GreaterOrEqual(t, z, 24-2.5*s.Print.Relief)
		}
	}
	under := func(x float64) float64 { // the underside at the middle of the span
		return -sdftest.DropOnto(t, sdf.Place(solid, sdf.Turn(sdf.V(1, 0, 0), 180)), x, -32, -12)
	}
	for _, j := range f.settled(s).joists {
		require.InDelta(t, 24-1.1-3, under(37+j.at), 0.15)
		require.InDelta(t, 24-1.1, under(37+j.at-math.Copysign(2, j.at)), 0.15)
	}
	require.Len(t, f.settled(s).joists, 7, "six bays of 5.5 mm in 32.8")
	level, ok := s.LevelAt(r2.Vec{X: 30, Y: 30})
	require.True(t, ok)
	require.InDelta(t, 24, level, 1e-9)
}

// Ruin takes the end that looks the given way, and leaves ends of joists in the walls.
func TestStoreyRuin(t *testing.T) {
	for heading, kept := range map[float64][2]float64{0: {22, 51}, 180: {51, 22}, 200: {51, 22}} {
		f := storeyOf(func(f *Storey) { f.Ruin, f.Broken = 0.5, heading })
		s := house(f)
		require.Empty(t, f.Check(s))
		solid := f.Solid(s)
		require.Greater(t, sdftest.DropOnto(t, sdf.Union(solid, sdf.HalfSpace(sdf.V(0, 0, 1), 0)), kept[0], 32, 40), 23.0)
		require.Less(t, sdftest.DropOnto(t, sdf.Union(solid, sdf.HalfSpace(sdf.V(0, 0, 1), 0)), kept[1], 32, 40), 1.0)
		require.Len(t, f.Floors(s), 1)
		require.True(t, f.Floors(s)[0].Area.Contains(r2.Vec{X: kept[0], Y: 32}))
		require.False(t, f.Floors(s)[0].Area.Contains(r2.Vec{X: kept[1], Y: 32}))
		stubs := 0
		for _, j := range f.settled(s).joists {
			if !j.whole && j.stubs[0]+j.stubs[1] > 0 {
				stubs++
			}
		}
		require.Positive(t, stubs)
	}
}

// An opening is open right through, and joists run round it.
func TestStoreyOpening(t *testing.T) {
	f := storeyOf(func(f *Storey) { f.Openings = []Well{{Area: parts.Area{Rect: []float64{30, 26, 9, 8}}}} })
	s := house(f)
	require.Empty(t, f.Check(s))
	solid := sdf.Union(f.Solid(s), sdf.HalfSpace(sdf.V(0, 0, 1), 0))
	for _, q := range []r2.Vec{{X: 31, Y: 27}, {X: 38, Y: 33}, {X: 34, Y: 30}} {
		require.InDelta(t, 0, sdftest.DropOnto(t, solid, q.X, q.Y, 40), 1e-6)
	}
	for _, q := range []r3.Vec{{X: 29.5, Y: 30, Z: 21}, {X: 39.5, Y: 30, Z: 21}, {X: 34, Y: 25.5, Z: 21}, {X: 34, Y: 34.5, Z: 21}} {
		require.Negative(t, solid.Value(q), "a timber at %v", q)
	}
	sdftest.RequireOnePiece(t, all(s), around, 0.45)
}

// A bite takes boards and joists where it is, and leaves the rest.
func TestStoreyBreaks(t *testing.T) {
	f := storeyOf(func(*Storey) {})
	s := house(f)
	gone := sdf.BoxBetween(sdf.V(30, 26, 18), sdf.V(42, 38, 60))
	var left []sdf.Field
	for _, r := range f.Bitten(s, []parts.Bite{{Gone: gone, Rough: gone, Wide: 12, Seed: 2}}, sdf.Nothing()) {
		left = append(left, r.Left())
	}
	solid := sdf.Union(left...)
	require.Positive(t, solid.Value(sdf.V(36, 32, 23.4)))
	require.Negative(t, solid.Value(sdf.V(23, 32, 23.4)))
	require.Negative(t, solid.Value(sdf.V(52, 32, 23.4)))
	for _, j := range f.settled(s).joists {
		if x := 37 + j.at; x > 31 && x < 41 {
			require.Positive(t, solid.Value(sdf.V(x, 32, 21)))
		} else if x < 29 || x > 43 {
			require.Negative(t, solid.Value(sdf.V(x, 32, 21)))
		}
	}
}

func roofOf(set func(f *Roof)) *Roof {
	f := &Roof{Named: parts.Named{Name: "roof"}, Area: parts.Area{Rect: []float64{16, 20, 36, 24}}, Eaves: parts.Level{Height: 20}, Pitch: new(40.0),
		Form: "lean-to", Facing: 270, Cover: "slates", Rafter: [2]float64{1.2, 2.2}, Spacing: 7, Overhang: 2, Under: "solid", Post: 2, Ruin: 0.4, Wear: 0.4, Seed: 4}
	set(f)
	return f
}

// A roof is one piece with the ground in every form, bare or whole, and its field keeps the
// promise of fields.
func TestRoofIsOnePiece(t *testing.T) {
	for _, form := range []string{"lean-to", "gable"} {
		for _, under := range []string{"solid", "open"} {
			for seed, cover := range []string{"slates", "tiles", "none"} {
				for _, reach := range []float64{0, 7} {
					t.Run(fmt.Sprintf("%s-%s-%s-%v", form, under, cover, reach), func(t *testing.T) {
						f := roofOf(func(f *Roof) {
							f.Form, f.Under, f.Cover, f.Seed, f.Ruin = form, under, cover, uint64(seed), 0.25+0.35*float64(seed)
							if reach > 0 {
								f.Reach = &reach
							}
						})
						s := fixtures.GroundWith(f)
						require.Empty(t, f.Check(s))
						sdftest.RequireOnePiece(t, all(s), around, 0.4)
						if cover == "slates" {
							sdftest.RequireHonest(t, f.Solid(s), around, uint64(seed))
						}
					})
				}
			}
		}
	}
}

// Its rafters run from the eaves to the top at the pitch that is given, by rays; every one of
// them is there even where all else is gone.
func TestRafters(t *testing.T) {
	for _, facing := range []float64{270, 90} {
		f := roofOf(func(f *Roof) { f.Ruin, f.Cover, f.Under, f.Facing = 1, "none", "open", facing })
		s := fixtures.GroundWith(f)
		require.Empty(t, f.Check(s))
		solid, z := f.Solid(s), f.settled(s)
		frame := z.frame(f, 0)
		rafters := f.left(s)[0].rafters
		require.Len(t, rafters, 6)
		for _, x := range rafters {
			for up := 1.0; up < z.length()-1; up += 1.3 {
				require.Negative(t, solid.Value(frame.Apply(sdf.V(x, up, -0.5*z.deep))))
			}
			a, b := frame.Apply(sdf.V(x, 3.3, 0)), frame.Apply(sdf.V(x, 15.7, 0))
			ha, hb := sdftest.DropOnto(t, solid, a.X, a.Y, 60), sdftest.DropOnto(t, solid, b.X, b.Y, 60)
			require.InDelta(t, math.Tan(40*math.Pi/180), (hb-ha)/math.Abs(b.Y-a.Y), 0.02)
			require.InDelta(t, a.Z, ha, 0.02)
		}
	}
	f := roofOf(func(f *Roof) { f.Pitch, f.Ridge = nil, &parts.Level{Height: 32} })
	require.InDelta(t, 0.5, f.settled(fixtures.GroundWith(f)).tan, 1e-9, "12 mm over 24")
}

// Ruin is the share of the slates that are gone; battens are fewer the more of it, and every
// slate that stays has one under it.
func TestRoofRuin(t *testing.T) {
	broken := -1
	for _, ruin := range []float64{0, 0.25, 0.5, 0.8, 1} {
		f := roofOf(func(f *Roof) { f.Ruin = ruin })
		left := f.left(fixtures.GroundWith(f))[0]
		gone, snapped := 0, 0
		for _, t := range left.slates {
			if t.gone {
				gone++
			}
		}
		for _, course := range left.battens {
			for _, whole := range course {
				if !whole {
					snapped++
				}
			}
		}
		require.InDelta(t, ruin, float64(gone)/float64(len(left.slates)), 0.02)
		require.GreaterOrEqual(t, snapped, broken)
		broken = snapped
		for _, x := range left.slates {
			for b, whole := range left.battens[x.course] {
				if !x.gone && left.rafters[b] < x.to && left.rafters[b+1] > x.from {
					require.True(t, whole)
				}
			}
		}
	}
	require.Positive(t, broken)
}

// A plate is carried by a wall where one stands under it, else by posts; solid work ends
// within a wall.
func TestRoofOnAWall(t *testing.T) {
	w := wallOf("south", r2.Vec{X: 12, Y: 22}, r2.Vec{X: 56, Y: 22})
	w.Height = new(10.0)
	f := roofOf(func(f *Roof) { f.Under = "open" })
	s := fixtures.GroundWith(w, f)
	require.Empty(t, f.Check(s))
	bare := fixtures.GroundWith(f)
	require.Less(t, len(f.plates(s, f.settled(s))), len(f.plates(bare, f.settled(bare))))
	sdftest.RequireOnePiece(t, all(s), around, 0.45)
	f.Under = "solid"
	s = s.With(s.Parts)
	require.Greater(t, f.insets(s, f.settled(s), 9)[0], 0.4)
	require.Zero(t, f.insets(s, f.settled(s), 9)[1])
	sdftest.RequireOnePiece(t, all(s), around, 0.45)
}

func TestFaults(t *testing.T) {
	for _, c := range []struct {
		key string
		set func(f *Storey)
	}{
		{"area", func(f *Storey) { f.Area = parts.Area{Round: []float64{30, 30, 20}} }},
		{"area.rect", func(f *Storey) { f.Area.Rect[2] = 2 }},
		{"level", func(f *Storey) { f.Level.Height = 10.5 }},
		{"spacing", func(f *Storey) { f.Area.Rect[2], f.Spacing = 3000, 0.5 }},
		{"opening[0].area", func(f *Storey) { f.Openings = []Well{{Area: parts.Area{Rect: []float64{10, 26, 9, 8}}}} }},
		{"opening[0].area", func(f *Storey) { f.Openings = []Well{{Area: parts.Area{Round: []float64{35, 30, 8}}}} }},
		{"opening", func(f *Storey) { f.Openings = make([]Well, 21) }},
	} {
		f := storeyOf(c.set)
		faults := f.Check(house(f))
		require.NotEmpty(t, faults, c.key)
		require.Equal(t, c.key, faults[0].Key, faults)
		require.NotEmpty(t, faults[0].Allowed)
	}
	for _, c := range []struct {
		key string
		set func(f *Roof)
	}{
		{"area", func(f *Roof) { f.Area = parts.Area{Oval: []float64{30, 30, 20, 10}} }},
		{"pitch", func(f *Roof) { f.Ridge = &parts.Level{Height: 40} }},
		{"ridge", func(f *Roof) { f.Pitch, f.Ridge = nil, &parts.Level{Height: 19} }},
		{"reach", func(f *Roof) { f.Reach = new(1.0) }},
		{"eaves", func(f *Roof) { f.Eaves.Height = 8 }},
		{"area.rect", func(f *Roof) { f.Area.Rect[2], f.Area.Rect[3] = 900, 900 }},
	} {
		f := roofOf(c.set)
		faults := f.Check(fixtures.GroundWith(f))
		require.Len(t, faults, 1, c.key)
		require.Equal(t, c.key, faults[0].Key, faults)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

func TestAnyKeysBuild(t *testing.T) { partstest.RequireAnyKeysBuild(t, 20, "storey", "roof") }
