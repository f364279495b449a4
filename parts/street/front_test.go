package street

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func frontOf(s *parts.Site, seed uint64, ruin, wear float64, head string, line ...r2.Vec) *Front {
	return &Front{Course: courseOf(seed, wear, line...), Storeys: 2, Storey: s.HeightOnPrint(3000), Thick: s.OnPrint(327.5), Bay: s.OnPrint(2200),
		Window: s.OnPrint(950), Head: head, Door: 1, Ruin: ruin}
}

// A front is one piece at any scale, broken or not, and its field keeps the promise of
// fields.
func TestFrontIsOnePiece(t *testing.T) {
	for _, ratio := range []float64{100, 285} {
		for seed, ruin := range []float64{0, 0.5, 1} {
			for _, head := range []string{"arched", "flat"} {
				t.Run(fmt.Sprintf("%v-%v-%s", ratio, ruin, head), func(t *testing.T) {
					s := partstest.Quarry(ratio, 1)
					full := s.OnPrint(4400)
					f := frontOf(s, uint64(seed), ruin, 0.4*float64(seed), head, r2.Vec{}, r2.Vec{X: full})
					if seed == 1 {
						f.Points = append(f.Points, r2.Vec{X: full, Y: 0.5 * full})
					}
					s.Parts = []parts.Part{f}
					require.Empty(t, f.Check(s))
					solid, z := f.Solid(s), f.settled(s)
					sdftest.RequireOnePiece(t, solid, r3.Box{}, 0.4)
					require.Less(t, solid.Bounds().Min.Z, 2.6, "let into its floor")
					if ratio == 100 && head == "arched" {
						sdftest.RequireHonest(t, solid, r3.Box{Min: sdf.V(-3, -4, 2), Max: sdf.V(full+3, 4, 5+z.high)}, uint64(seed))
					}
					wide := f.Extents(s)[0].Wide
					for x := 1.0; x < full; x += 0.7 {
						_, ok := topAt(solid, x, -wide-s.OnPrint(300)-0.3, 3+z.high+3)
						require.False(t, ok, "nothing stands out farther than a doorstep")
					}
				})
			}
		}
	}
}

// Its storeys, its windows and its top are where they are given; one in ruins is lower at
// one end, by nearly all but its ground floor.
func TestFrontSizes(t *testing.T) {
	s := partstest.Quarry(100, 1)
	f := frontOf(s, 1, 0, 0, "flat", r2.Vec{}, r2.Vec{X: 44})
	s.Parts = []parts.Part{f}
	solid := f.Solid(s)
	top := 3 + 30*(2+frontParapet)
	require.InDelta(t, top, sdftest.DropOnto(t, solid, 22, 0, 90), 0.3)
	require.InDelta(t, 3000, f.Measures(s)[0].Full, 1e-6)
	// Two bays of 22 mm: in the second of the ground floor a window, in the first a door.
	window := func(x, up float64) float64 { return solid.Value(sdf.V(x, 0.9, 3+up)) }
	require.Positive(t, window(33+2, 30*0.5), "a pane")
	require.Negative(t, window(33+9.5/2+0.6, 30*0.5), "beside it")
	require.Negative(t, window(33+2, 30*(frontSill-0.05)), "under it")
	require.Negative(t, window(33+2, 30*(frontHead+0.05)), "over it")
	require.Positive(t, window(11+2, 30*0.5), "behind the leaf of the door")
	ruined := frontOf(s, 1, 1, 0, "flat", r2.Vec{}, r2.Vec{X: 44})
	broken := ruined.Solid(partstest.Quarry(100, 1, ruined))
	a, b := sdftest.DropOnto(t, broken, 1, 0, 90), sdftest.DropOnto(t, broken, 43, 0, 90)
	require.InDelta(t, top, max(a, b), 4, "one end stands")
	require.InDelta(t, 3+0.45*30, min(a, b), 6, "the other is down")
}

// For what is set on it a front stands as high as its solid does, at any distance along it,
// round its corner too; on floors of two levels it has no foot.
func TestFrontStandsUpright(t *testing.T) {
	for _, ruin := range []float64{0, 0.6} {
		s := partstest.Quarry(100, 1)
		f := frontOf(s, 4, ruin, 0, "arched", r2.Vec{}, r2.Vec{X: 44}, r2.Vec{X: 44, Y: 30})
		s.Parts = []parts.Part{f}
		u, ok := f.Upright(s)
		require.True(t, ok)
		require.Equal(t, 3.0, u.Foot)
		solid := f.Solid(s)
		for _, at := range []struct{ along, x, y float64 }{{2, 2, 0}, {20, 20, 0}, {24, 24, 0}, {41, 41, 0}, {44 + 15, 44, 15}, {44 + 28, 44, 28}} {
			require.InDelta(t, u.Foot+u.Left(at.along), sdftest.DropOnto(t, solid, at.x, at.y, 120), 0.3, "%v", at)
		}
		require.Equal(t, ruin == 0, u.Left(2) == u.High && u.Left(40) == u.High)
	}
	// Its first side stands on a slab at 3, its second on one at 3 or at 5.
	for _, high := range []float64{3, 5} {
		f := frontOf(partstest.Quarry(100, 1), 4, 0.5, 0, "arched", r2.Vec{}, r2.Vec{X: 44}, r2.Vec{X: 44, Y: 30})
		f.Level = nil
		_, ok := f.Upright(partstest.Quarry(100, 1, slab(3, -9, -9, 60, 14), slab(high, 30, 5, 30, 40), f))
		require.Equal(t, high == 3, ok)
	}
}

// flags is a slab at a level over a rectangle.
type flags struct {
	parts.Named
	floor parts.Floor
}

func (f *flags) Floors(*parts.Site) []parts.Floor { return []parts.Floor{f.floor} }

func slab(level float64, rect ...float64) *flags {
	f := &flags{Named: parts.Named{Name: fmt.Sprintf("slab-%v-%v", level, rect)}}
	f.floor = parts.Floor{Part: f, Role: parts.Slab, Area: &parts.Area{Rect: rect}, Level: parts.Level{Height: level}}
	return f
}

// What a bite takes of a front lies near it, and leaves the rest.
func TestFrontBreaks(t *testing.T) {
	s := partstest.Quarry(100, 1)
	f := frontOf(s, 1, 0, 0, "flat", r2.Vec{}, r2.Vec{X: 44})
	s.Parts = []parts.Part{f}
	gone := sdf.Place(sdf.Sphere(9), sdf.At(sdf.V(22, 0, 60)))
	remains := f.Bitten(s, []parts.Bite{{Gone: gone, Rough: gone, Wide: 18, Seed: 2}}, sdf.HalfSpace(sdf.V(0, 0, 1), 3))
	left := remains[0].Left()
	require.Positive(t, left.Value(sdf.V(22, 0, 60)))
	require.Negative(t, left.Value(sdf.V(22, 0, 20)))
	require.Negative(t, f.Solid(s).Value(sdf.V(22, 0, 60)))
}
