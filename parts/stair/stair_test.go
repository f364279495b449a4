package stair

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/deck"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// flightOf is a plain stair with the catalogue's defaults where they matter.
func flightOf(from, to float64) *Stair {
	return &Stair{
		Named: parts.Named{Name: "stair"}, From: parts.Level{Height: from}, To: parts.Level{Height: to},
		Foot: &r2.Vec{}, Facing: 90, Width: 30, Profile: "comfort", Side: "solid", Flanks: "none",
		Waist: 1, Cheek: 1, Upstand: 0.5, Seed: 1,
	}
}

func deckAt(level float64, rect ...float64) *deck.Deck {
	return &deck.Deck{Named: parts.Named{Name: "deck"}, Level: parts.Level{Height: level}, Area: parts.Area{Rect: rect},
		Thickness: 2, On: "solid", Pier: 2, Spacing: 14, Inset: 1, Soffit: "flat", Edge: "plain", Kerb: 1, Upstand: 0.5}
}

// treadHeights drops onto every tread of a stair, close to its back and to the
// left of the middle.
func treadHeights(t require.TestingT, s *parts.Site, st *Stair, f sdf.Field) []float64 {
	l := st.settled(s)
	heights := []float64{l.From}
	for i := range l.Risers - 1 {
		p := l.Place(-st.Width*0.31, float64(i+1)*l.Going-l.Nosing-0.07*l.Going, 0)
		heights = append(heights, sdftest.DropOnto(t, f, p.X, p.Y, l.To+5))
	}
	return append(heights, l.To)
}

func requireEqualRisers(t require.TestingT, s *parts.Site, st *Stair, f sdf.Field) {
	heights := treadHeights(t, s, st, f)
	want := (st.To.Height - st.From.Height) / float64(st.settled(s).Risers)
	for i := 1; i < len(heights); i++ {
		require.InDelta(t, want, heights[i]-heights[i-1], 1e-6, "riser %d of %d", i, len(heights)-1)
	}
}

// The worked examples of references.md section 1 again, on the built solid: the
// full-size rise at a scale, and the risers found by dropping onto the treads.
func TestStairWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		profile    string
		rise       float64
		risers     int
		riser, run float64
	}{
		{"utility", 2700, 15, 180.000, 3780},
		{"dwelling", 2600, 14, 185.714, 3361.4},
		{"general", 3000, 18, 166.667, 5043.3},
		{"private", 1000, 5, 200, 920},
	} {
		for _, scale := range [][2]float64{{56, 1}, {72, 1.1}, {285, 1}, {285, 1.25}} {
			s := partstest.Quarry(scale[0], scale[1])
			st := flightOf(3, 3+s.HeightOnPrint(c.rise))
			st.Profile = c.profile
			s.Parts = []parts.Part{st}
			require.Empty(t, st.Check(s))
			require.Equal(t, c.risers, st.settled(s).Risers, c.profile)
			require.InDelta(t, c.riser, s.FullHeight(st.settled(s).Riser), 0.0005)
			require.InDelta(t, c.run, s.FullSize(st.settled(s).Run()), 0.05)
			requireEqualRisers(t, s, st, st.Solid(s))
			require.Empty(t, st.Notes(s))
		}
	}
}

// A solid block stair of n treads has the volume w G R n(n+1)/2 above its foot:
// w 20, G 5, R 3.2, n 3 gives 1920 mm3. Counted by columns, which is exact for
// boxes on the lattice.
func TestStairVolume(t *testing.T) {
	s := partstest.Quarry(56, 1)
	st := flightOf(0, 4*3.2) // three treads, and the upper level is the fourth riser
	st.Width, st.Profile, st.Risers, st.Going = 20, "free", new(4), new(5.0)
	f := st.Solid(s)
	volume := 0.0
	const step = 0.5
	for x := -10 + step/2; x < 10; x += step {
		for y := step / 2; y < 15; y += step {
			volume += step * step * sdftest.DropOnto(t, f, x, y, 20)
		}
	}
	require.InDelta(t, 1920, volume, 1e-5, "a new stair has sharp edges")
}

// Structure stepped evenly at R with tread finish t, lower finish a and upper
// finish b has a first riser of R + t - a and a last of R + b - t: 190 and 170
// for R 180, t 30, a b 20, a spread beyond the 9.5 mm that IRC R311.7.5.1
// allows. A stair between finished levels has none, whatever is laid.
func TestStairRisersOverFinishes(t *testing.T) {
	first, last := 180.0+30-20, 180.0+20-30
	require.Equal(t, []float64{190, 170}, []float64{first, last})
	require.Greater(t, first-last, 9.5)

	for _, finish := range []float64{0, 0.3, 1, 2} {
		s := partstest.Quarry(56, 1)
		st, deck := flightOf(2, 2+s.HeightOnPrint(2700)), deckAt(2+s.HeightOnPrint(2700), -40, 70, 80, 30)
		st.Profile, deck.Surface = "utility", new("plain")
		st.Foot = &r2.Vec{Y: 70 - s.OnPrint(3780)}
		s.Parts = []parts.Part{deck, st}
		if finish > 0 {
			partstest.LayAt(s, st.To.Height, finish)
			partstest.LayAt(s, st.From.Height, finish/2)
		}
		require.Empty(t, st.Check(s))
		require.Equal(t, 15, st.settled(s).Risers)
		f := sdf.Union(st.Solid(s), deck.Solid(s))
		requireEqualRisers(t, s, st, f)
		// The structure at the landing leaves room for the finish, also where
		// the stair is let into the deck.
		require.InDelta(t, st.To.Height-finish, sdftest.DropOnto(t, f, 0, 70.2, 100), 1e-6)
		require.InDelta(t, st.To.Height-finish, sdftest.DropOnto(t, f, 0, 80, 100), 1e-6)
	}
}

func TestStairFitsItsDeck(t *testing.T) {
	s := partstest.Quarry(285, 1.2)
	to := s.HeightOnPrint(3100)
	st, mole := flightOf(3, to), deckAt(to, 0, 95, 220, 65)
	st.Foot = &r2.Vec{X: 110, Y: 82}
	s.Parts = []parts.Part{mole, st}
	require.Empty(t, st.Check(s))
	require.Equal(t, 14, st.settled(s).Risers)
	require.InDelta(t, 13, st.settled(s).Run(), 1e-9, "the going is chosen so that the flight ends at the deck")
	head := st.settled(s).HeadLine()
	require.InDelta(t, 95, head[0].Y, 1e-9)
	require.InDelta(t, 95, head[1].Y, 1e-9)
	require.Less(t, head[0].X, head[1].X, "left first, walking north")

	// A change of level re-steps it and it still ends at the deck.
	st.To.Height, mole.Level.Height = to+1, to+1
	s = s.With(s.Parts)
	require.Empty(t, st.Check(s))
	require.InDelta(t, 95, st.settled(s).HeadLine()[0].Y, 1e-9)

	// Too near: the fault says where the foot would have to be.
	st.Foot = &r2.Vec{X: 110, Y: 91}
	s = s.With(s.Parts)
	faults := st.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "foot", faults[0].Key)
	require.Contains(t, faults[0].Allowed, "a foot at [110.00, ")

	// Too far: a landing carries it.
	st.Foot = &r2.Vec{X: 110, Y: 68}
	s = s.With(s.Parts)
	require.Empty(t, st.Check(s))
	f := st.Solid(s)
	require.NotEmpty(t, st.Notes(s))
	require.InDelta(t, st.To.Height, sdftest.DropOnto(t, f, 110, 94.8, 50), 1e-6)
	require.InDelta(t, 95, st.settled(s).HeadLine()[0].Y, 1e-9)
}

func TestStairHeadGiven(t *testing.T) {
	s := partstest.Quarry(100, 1)
	st := flightOf(0, 27)
	st.Foot, st.Head, st.Facing = nil, &r2.Vec{X: 50, Y: 20}, 180
	s.Parts = []parts.Part{st}
	require.Empty(t, st.Check(s))
	head := st.settled(s).HeadLine()
	require.InDelta(t, 50, head[0].X, 1e-9)
	require.InDelta(t, 20, (head[0].Y+head[1].Y)/2, 1e-9)
	l := st.settled(s)
	require.InDelta(t, 50+st.settled(s).Run(), l.Place(0, 0, 0).X, 1e-9)
}

func TestStairCoarserAtSmallScale(t *testing.T) {
	s := partstest.Quarry(1000, 1)
	st := flightOf(0, 3) // 3 m full size: 18 risers of 0.17 mm
	f := st.Solid(s)
	require.GreaterOrEqual(t, st.settled(s).Riser, 0.3-1e-9)
	require.Equal(t, 10, st.settled(s).Risers)
	require.Len(t, st.Notes(s), 1)
	require.Contains(t, st.Notes(s)[0].Text, "print's relief of 0.30 mm: 10 of 0.30 mm")
	requireEqualRisers(t, s, st, f)
	// At 1:300 a riser of 0.6 mm is left alone.
	s = partstest.Quarry(300, 1)
	st = flightOf(0, 9)
	require.Empty(t, st.Notes(s))
}

func TestStairFaults(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(st *Stair)
		key     string
		text    string
		allowed string
	}{
		{"downward", func(st *Stair) { st.To.Height = -1 }, "to", "not upward", "swap"},
		{"level", func(st *Stair) { st.To.Height = st.From.Height }, "to", "not upward", "swap"},
		{"nowhere", func(st *Stair) { st.Foot = nil }, "foot", "neither", "head = [x, y]"},
		{"riser and risers", func(st *Stair) { st.Risers, st.Riser = new(15), new(2.0) }, "riser", "does not agree with 15 risers", "180.0 mm"},
		{"too few", func(st *Stair) { st.Risers = new(8) }, "risers", "337.5 mm", "140.0 to 200.0"},
		{"steep", func(st *Stair) { st.Going = new(1.5) }, "going", "150.0 mm beside a riser of 168.8 mm", "full size"},
		{"head aside", func(st *Stair) { st.Head = &r2.Vec{X: 3, Y: 40} }, "head", "to its side", "straight ahead of the foot"},
		{"narrow", func(st *Stair) { st.Width, st.Flanks = 2, "wall" }, "width", "no treads between flanks", "at least 2.30"},
	} {
		s := partstest.Quarry(100, 1)
		st := flightOf(0, 27)
		c.change(st)
		s.Parts = []parts.Part{st}
		faults := st.Check(s)
		require.Len(t, faults, 1, c.name)
		require.Equal(t, c.key, faults[0].Key, c.name)
		require.Contains(t, faults[0].Text, c.text, c.name)
		require.Contains(t, faults[0].Allowed, c.allowed, c.name)
		require.Equal(t, "stair", faults[0].Part)
	}
	s := partstest.Quarry(100, 1)
	st := flightOf(0, 27)
	st.Risers, st.Profile = new(8), "free"
	require.Empty(t, st.Check(s), "the free profile allows what others do not")
}

// Wear dishes the treads and chips the nosings, and leaves the back of every
// tread at its height, beside the flight's middle and on it.
func TestStairWearKeepsRisers(t *testing.T) {
	s := partstest.Quarry(56, 1)
	st := flightOf(0, s.HeightOnPrint(2700))
	st.Wear, st.Nosing = 1, 0.5
	f := st.Solid(s)
	requireEqualRisers(t, s, st, f)
	l := st.settled(s)
	worn := 0
	for i := range l.Risers - 1 {
		z := sdftest.DropOnto(t, f, 0, (float64(i)+0.1)*l.Going, l.TreadTop(i)+l.Riser/2)
		require.LessOrEqual(t, z, l.TreadTop(i)+1e-9)
		require.Greater(t, z, l.TreadTop(i)-l.Riser/2)
		if z < l.TreadTop(i)-0.02 {
			worn++
		}
	}
	require.Equal(t, l.Risers-1, worn)
	again := st.Solid(s)
	for i := range 200 {
		p := sdf.V(float64(i%17)-8, float64(i)*0.3, float64(i)*0.2)
		require.Equal(t, f.Value(p), again.Value(p), "the same wear every time")
	}
}

// Any stair: equal risers on the solid, nothing above the upper level, the foot
// let into what it stands on.
func TestStairAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := partstest.Quarry(rapid.SampledFrom([]float64{48, 72, 144, 285}).Draw(t, "ratio"), rapid.Float64Range(0.8, 1.5).Draw(t, "exaggerate"))
		finish := rapid.Float64Range(0.1, 2).Draw(t, "finish")
		from := rapid.Float64Range(-5, 5).Draw(t, "from")
		st := flightOf(from, from+s.HeightOnPrint(rapid.Float64Range(400, 6000).Draw(t, "rise")))
		st.Facing = rapid.SampledFrom([]float64{0, 90, 180, 270, 33, -61.7}).Draw(t, "facing")
		st.Foot = &r2.Vec{X: rapid.Float64Range(-50, 50).Draw(t, "x"), Y: rapid.Float64Range(-50, 50).Draw(t, "y")}
		st.Width = rapid.Float64Range(6, 40).Draw(t, "width")
		st.Profile = rapid.SampledFrom([]string{"comfort", "dwelling", "public", "private", "utility", "general", "industrial", "free"}).Draw(t, "profile")
		st.Side = rapid.SampledFrom([]string{"solid", "open"}).Draw(t, "side")
		st.Flanks = rapid.SampledFrom([]string{"none", "string", "wall"}).Draw(t, "flanks")
		st.Wear = rapid.SampledFrom([]float64{0, 0.3, 1}).Draw(t, "wear")
		st.Nosing = rapid.SampledFrom([]float64{0, 0.2}).Draw(t, "nosing")
		st.Arris = rapid.SampledFrom([]*float64{nil, new(0.0), new(0.05)}).Draw(t, "arris")
		s.Parts = []parts.Part{st}
		partstest.LayAt(s, from, finish)
		require.Empty(t, st.Check(s))
		f := st.Solid(s)
		require.GreaterOrEqual(t, st.Pieces(s), st.settled(s).Risers)
		requireEqualRisers(t, s, st, f)
		require.LessOrEqual(t, f.Bounds().Max.Z, st.To.Height+1e-8)
		require.Less(t, f.Bounds().Min.Z, from-finish-0.49)
	})
}

func TestStairIsOnePiece(t *testing.T) {
	for _, side := range []string{"solid", "open"} {
		for _, flanks := range []string{"none", "string", "wall"} {
			for _, scale := range []float64{56, 285} {
				for _, wear := range []float64{0, 1} {
					s := partstest.Quarry(scale, 1)
					st := flightOf(1, 1+s.HeightOnPrint(1900))
					st.Width, st.Side, st.Flanks, st.Wear, st.Seed = 6, side, flanks, wear, uint64(scale)
					s.Parts = []parts.Part{st}
					partstest.LayAt(s, 1, 0.8)
					require.Empty(t, st.Check(s))
					sdftest.RequireOnePiece(t, st.Solid(s), r3.Box{}, s.OnPrint(20)+0.12)
				}
			}
		}
	}
}

// The edge of a tread is rounded to the arris, the landing's own too, and a landing
// meets its deck without a groove.
func TestStairArris(t *testing.T) {
	s := partstest.Quarry(56, 1)
	st, deck := flightOf(0, 12), deckAt(12, -30, 30, 60, 20)
	st.Risers, st.Going, st.Profile, st.Arris = new(4), new(5.0), "free", new(0.5)
	s.Parts = []parts.Part{deck, st}
	require.Empty(t, st.Check(s))
	f := sdf.Union(deck.Solid(s), st.Solid(s))
	for i, front := range []float64{0, 5, 10, 15} { // 15: the landing, to the deck at 30
		top := 3 * float64(i+1)
		for _, in := range []float64{0.05, 0.2, 0.4} {
			// A quarter round: 0.5 less the root of 0.25 - (0.5 - in)^2 lower.
			require.InDelta(t, top-0.5+math.Sqrt(0.25-(0.5-in)*(0.5-in)), sdftest.DropOnto(t, f, 2, front+in, 20), 1e-6)
		}
		require.InDelta(t, top, sdftest.DropOnto(t, f, 2, front+0.6, 20), 1e-6)
	}
	for _, y := range []float64{29.9, 29.999, 30.001, 30.1} {
		require.InDelta(t, 12, sdftest.DropOnto(t, f, 2, y, 20), 1e-6, "at the edge of the deck")
	}
	st.Arris = new(4.0)
	s = s.With(s.Parts)
	require.Contains(t, partstest.NotedKeys(s), "arris")
	require.InDelta(t, 1.5, st.settled(s).Arris, 1e-12)
	st.Arris, st.Wear = new(0.0), 0.5
	s = s.With(s.Parts)
	require.Zero(t, st.settled(s).Arris, "worn, with sharp edges")
	st.Arris = nil
	s = s.With(s.Parts)
	require.InDelta(t, 3*(0.06+0.12*0.5), st.settled(s).Arris, 1e-12)
}

// A flank stands its upstand over the true line of the nosings, through the front edges
// of the treads, whatever their overhang.
func TestFlanksOverTheNosings(t *testing.T) {
	for _, nosing := range []float64{0, 0.5} {
		s := partstest.Quarry(56, 1)
		st := flightOf(0, 15)
		st.Risers, st.Going, st.Profile, st.Flanks, st.Nosing = new(5), new(5.0), "free", "wall", nosing
		s.Parts = []parts.Part{st}
		require.Empty(t, st.Check(s))
		f := st.Solid(s)
		for _, y := range []float64{1, 7.3, 13} {
			line := 3 + (y+nosing)*3/5
			require.InDelta(t, line+st.Upstand, sdftest.DropOnto(t, f, st.Width/2-0.4, y, 30), 1e-6)
		}
	}
}

// Textured treads keep their backs and their nosings at their heights, to the bit, and
// between them none stands over it.
func TestTexturedTreadsKeepTheirLevels(t *testing.T) {
	for _, word := range []string{"rubbed", "tooled", "rock-faced", "concrete", "boards", "plate"} {
		for _, side := range []string{"solid", "open"} {
			s := partstest.Quarry(56, 1)
			st := flightOf(0, 4*3.2)
			st.Width, st.Profile, st.Risers, st.Going, st.Surface, st.Side = 20, "free", new(4), new(5.0), word, side
			f, cut := st.Solid(s), 0
			for i := range 3 {
				y, top := 5*float64(i), 3.2*float64(i+1)
				for x := -9.7; x < 9.7; x += 0.43 {
					require.InDelta(t, top, sdftest.DropOnto(t, f, x, y+0.1, 20), 1e-9, "the nosing")
					for _, back := range []float64{0.74, 0.85, 0.95} {
						require.InDelta(t, top, sdftest.DropOnto(t, f, x, y+5*back, 20), 1e-9)
					}
					for _, in := range []float64{0.2, 0.4, 0.6} {
						z := sdftest.DropOnto(t, f, x, y+5*in, 20)
						require.LessOrEqual(t, z, top+1e-9)
						require.GreaterOrEqual(t, z, top-0.3-1e-6)
						if z < top-0.03 {
							cut++
						}
					}
				}
			}
			require.Greater(t, cut, 40, "%s: a good part of the treads is worked", word)
		}
	}
}
