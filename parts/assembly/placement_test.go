package assembly

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/ground"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
)

func freeBase(name string, set func(b *base.Base)) *base.Base {
	b := fixtures.BaseAt(name, set)
	b.At = nil
	return b
}

func lay(s *parts.Site) ([]*berth, []parts.Fault) {
	return layBases(s, parts.AllOf[*base.Base](s), true)
}

// Random sets on random ground: what is laid never overlaps, keeps its gap, lies
// on the ground and within the trims, is the same again, and is complete unless
// a fault says how many fitted.
func TestPlacementHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var bases []parts.Part
		want := 0
		for i := range rapid.IntRange(1, 4).Draw(t, "bases") {
			long := rapid.Float64Range(10, 120).Draw(t, "long")
			size := [2]float64{long / 3, rapid.Float64Range(10, long).Draw(t, "short") / 3}
			bases = append(bases, freeBase(fmt.Sprintf("b%d", i), func(b *base.Base) {
				switch rapid.SampledFrom([]string{"round", "oval", "rectangle", "hexagon", "stadium"}).Draw(t, "foot") {
				case "round":
					b.Round = &size[0]
				case "oval":
					b.Oval = &size
				case "stadium":
					b.Stadium = &size
				case "hexagon":
					b.Hexagon = &size[1]
				default:
					b.Rectangle = &size
				}
				b.Gap = rapid.SampledFrom([]float64{0, 1, 3}).Draw(t, "gap")
				b.Count = rapid.IntRange(1, 6).Draw(t, "count")
				b.Seed = rapid.Uint64Range(0, 9).Draw(t, "seed")
				want += b.Count
			}))
		}
		s := fixtures.GroundWith(bases...)
		g := s.Parts[0].(*ground.Ground)
		g.Size = [2]float64{rapid.Float64Range(30, 150).Draw(t, "width"), rapid.Float64Range(30, 150).Draw(t, "depth")}
		if rapid.Bool().Draw(t, "trim") {
			s.Parts = append(s.Parts, &testTrim{parts.Named{Name: "cut"}, sdf.HalfSpace(sdf.V(1, 1, 0), (g.Size[0]+g.Size[1])*0.6)})
		}
		y := yardOf(s)
		laid, faults := lay(s)
		for i, l := range laid {
			require.True(t, y.holds(l.Spot, l.base.Gap-1e-9), "%s lies on the ground", l.name)
			for _, p := range l.OnScene() {
				require.True(t, p.X > -1e-2 && p.Y > -1e-2 && p.X < g.Size[0]+1e-2 && p.Y < g.Size[1]+1e-2)
			}
			for _, o := range laid[:i] {
				require.False(t, l.Overlaps(o.Spot), "%s and %s", l.name, o.name)
				gap := math.Max(l.base.Gap, o.base.Gap)
				require.GreaterOrEqual(t, l.Gap(o.Spot, gap+1), gap-1e-2)
			}
		}
		if len(faults) == 0 {
			require.Len(t, laid, want)
		} else {
			require.Less(t, len(laid), want)
			require.Contains(t, faults[0].Text, "fit")
		}
		again, _ := lay(s)
		require.Equal(t, len(laid), len(again))
		for i := range laid {
			require.Equal(t, laid[i].Spot, again[i].Spot)
		}
	})
}

func TestPlacementPacksWhatJustFits(t *testing.T) {
	// 4 x 3 squares of 24 mm with gaps of 1 mm fill 101 x 76 mm.
	s := fixtures.GroundWith(freeBase("tile", func(b *base.Base) { b.Square, b.Count, b.Turn = new(24.0), 12, new(0.0) }))
	s.Parts[0].(*ground.Ground).Size = [2]float64{101, 76}
	laid, faults := lay(s)
	require.Empty(t, faults)
	require.Len(t, laid, 12)

	s.Parts[1].(*base.Base).Count = 13
	laid, faults = lay(s)
	require.Len(t, laid, 12)
	require.Equal(t, []parts.Fault{{Part: "tile", Key: "count",
		Text:    "no room on the scene: 12 of 13 fit, 1 mm clear of the edge and of the other bases",
		Allowed: "fewer or smaller bases, a smaller gap, or larger ground"}}, faults)
}

func TestPlacementKeepsClearOfFixedBases(t *testing.T) {
	s := fixtures.GroundWith(fixtures.BaseAt("walker", func(b *base.Base) { b.Oval = &[2]float64{60, 40} }),
		freeBase("scout", func(b *base.Base) { b.Round, b.Count = new(16.0), 6 }))
	pieces := assembled(t, s).Pieces()
	var names []string
	for _, p := range pieces {
		names = append(names, p.Name)
	}
	require.Equal(t, []string{"scout-1", "scout-2", "scout-3", "scout-4", "scout-5", "scout-6", "walker"}, names)
	require.Equal(t, "oval 60 x 40", pieces[6].Footprint)
}

// Bases of another name, seed or place in the file move nothing that was laid
// before them.
func TestPlacementDependsOnNamesAndSeeds(t *testing.T) {
	a := freeBase("a", func(b *base.Base) { b.Round, b.Count = new(25.0), 2 })
	b := freeBase("b", func(b *base.Base) { b.Round = new(20.0) })
	one, _ := lay(fixtures.GroundWith(a, b))
	two, _ := lay(fixtures.GroundWith(b, a))
	require.Equal(t, one, two)
	b.Seed = 99
	three, _ := lay(fixtures.GroundWith(a, b))
	require.Equal(t, one[:2], three[:2])
	require.NotEqual(t, one[2].At, three[2].At)
}

func TestPlacementNeedsGround(t *testing.T) {
	s := fixtures.GroundWith(freeBase("a", func(b *base.Base) { b.Round = new(25.0) }))
	s.Parts = s.Parts[1:]
	faults := Check(s)
	require.Len(t, faults, 1)
	require.Contains(t, faults[0].Text, "the scene has none")
}

func TestFixedBaseFaults(t *testing.T) {
	round := func(x, y float64) func(b *base.Base) {
		return func(b *base.Base) { b.Round, b.At = new(32.0), &r2.Vec{X: x, Y: y} }
	}
	texts := func(bases ...parts.Part) []string {
		var out []string
		for _, f := range Check(fixtures.GroundWith(bases...)) {
			require.Equal(t, "at", f.Key)
			out = append(out, f.Part+": "+f.Text)
		}
		return out
	}
	require.Empty(t, texts(fixtures.BaseAt("a", round(16, 16)), fixtures.BaseAt("b", round(48, 16)), fixtures.BaseAt("c", round(84, 64))), "at the edge, and edge to edge")
	require.Equal(t, []string{`b: the base overlaps base "a"`},
		texts(fixtures.BaseAt("a", round(20, 20)), fixtures.BaseAt("b", round(50, 25))))
	require.Equal(t, []string{"a: the base reaches from x 70.00 to 102.00 and y 24.00 to 56.00 mm, beyond the ground"},
		texts(fixtures.BaseAt("a", round(86, 40))))
	trim := &testTrim{parts.Named{Name: "cut"}, sdf.HalfSpace(sdf.V(1, 0, 0), 70)}
	require.Equal(t, []string{"a: the base reaches from x 40.00 to 72.00 and y 24.00 to 56.00 mm, beyond a trim of the scene"},
		texts(trim, fixtures.BaseAt("a", round(56, 40))))
	require.Empty(t, texts(trim, fixtures.BaseAt("a", round(54, 40))))
	level := &testTrim{parts.Named{Name: "level"}, sdf.HalfSpace(sdf.V(0, 0, 1), 9.5)}
	require.Empty(t, texts(level, fixtures.BaseAt("a", round(54, 40))), "a level cut has no edge")
}

func TestPieceNamesAreFilesOfTheirOwn(t *testing.T) {
	faults := Check(fixtures.GroundWith(
		freeBase("scout", func(b *base.Base) { b.Round, b.Count = new(12.0), 3 }),
		freeBase("Scout-2", func(b *base.Base) { b.Round = new(12.0) })))
	require.Len(t, faults, 1)
	require.Equal(t, "Scout-2", faults[0].Part)
	require.Equal(t, "name", faults[0].Key)
}

func TestTooManyBases(t *testing.T) {
	faults := Check(fixtures.GroundWith(
		freeBase("a", func(b *base.Base) { b.Round, b.Count = new(12.0), 200 }),
		freeBase("b", func(b *base.Base) { b.Round, b.Count = new(12.0), 101 })))
	require.Len(t, faults, 1)
	require.Contains(t, faults[0].Text, "301")
}
