package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

func TestIntentIsTheKeysOfTheBase(t *testing.T) {
	s := GroundWith(BaseAt("b", func(b *Base) {
		b.Oval, b.Height, b.Lift, b.Taper, b.Chamfer, b.Floor, b.Top = &[2]float64{60, 40}, 5, 1.5, 0.8, 0.3, 1.4, new(30.0)
		ring, pair := MagnetOf(5, 2), MagnetOf(3, 1)
		ring.Count = 3
		pair.At, pair.Skin = []r2.Vec{{X: 2, Y: 1}}, 1.1
		b.Magnets = []Magnet{ring, pair}
		b.Stands = []Stand{{At: r2.Vec{X: -8, Y: 3}, Round: 10, Height: new(0.4), Clear: 25}}
	}))
	in := onePiece(t, s).Intent(s)
	require.Equal(t, []float64{5, 1.5, 0.8, 0.3, 30, 1.4, 40}, []float64{in.Height, in.Lift, in.Taper, in.Chamfer, in.Top, in.Floor, in.Short})
	require.Nil(t, in.Hollow)
	// An ellipse's area, pi a b (references.md section 9), less what chords of
	// 0.001 mm leave out of a perimeter of about 159 mm.
	require.InDelta(t, math.Pi*30*20, signedArea(in.Outline), 0.12)
	in.Pads[0].Rim = nil
	require.Equal(t, []PadIntent{{At: r2.Vec{X: -8, Y: 3}, Round: 10, Top: 6.9, Clear: 25}}, in.Pads)

	require.Len(t, in.Pockets, 4)
	for i, p := range in.Pockets[:3] {
		require.Equal(t, 0, p.Magnet)
		require.Equal(t, [2]float64{5, 2}, p.Disc)
		require.InDelta(t, 5.15, p.Diameter, 1e-12)
		require.InDelta(t, 2.15, p.Depth, 1e-12)
		require.Equal(t, 0.8, p.Skin)
		// On a ring at 0.6 of the way to the edge: inside the ellipse's own equation.
		require.InDelta(t, 0.6, math.Hypot(p.At.X/30, p.At.Y/20), 1e-4, "pocket %d", i)
	}
	require.Equal(t, PocketIntent{At: r2.Vec{X: 2, Y: 1}, Magnet: 1, Disc: [2]float64{3, 1}, Diameter: 3.15, Depth: 1.15, Skin: 1.1}, in.Pockets[3])
}

func TestIntentWithoutATop(t *testing.T) {
	s := GroundWith(BaseAt("b", func(b *Base) { b.Hexagon = new(30.0) }))
	in := onePiece(t, s).Intent(s)
	require.True(t, math.IsInf(in.Top, 1))
	require.Equal(t, 30.0, in.Short, "across flats")
	require.InDelta(t, 779.422863, signedArea(in.Outline), 1e-6, "references.md section 9")
	require.Empty(t, in.Pockets)
	require.Empty(t, in.Pads)
}

// What is meant is there: pockets, vents and pads are found in the solid at the
// places and sizes that the intent gives, and no further.
func TestIntentIsInTheSolid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(30, 60).Draw(t, "size")
		ribs := rapid.IntRange(0, 3).Draw(t, "ribs")
		hollow := rapid.Bool().Draw(t, "hollow")
		b := BaseAt("b", func(b *Base) {
			b.Round, b.Height, b.Ribs = new(size), 5, ribs
			if hollow {
				b.Underside = "hollow"
			}
			m, off := MagnetOf(4, 2), 4.0
			if hollow {
				off = 0.5 // its boss then parts off no room of its own
			}
			m.At = []r2.Vec{{X: rapid.Float64Range(-off, off).Draw(t, "x"), Y: rapid.Float64Range(-off, off).Draw(t, "y")}}
			b.Magnets = []Magnet{m}
			b.Stands = []Stand{{At: r2.Vec{X: 3}, Round: 8, Height: new(rapid.Float64Range(-0.25, 2).Draw(t, "height")), Clear: 10}}
		})
		s := GroundWith(b, block("post", sdf.V(50, 38, 5), sdf.V(56, 42, 30)))
		sc, err := Assemble(s)
		require.NoError(t, err)
		p := sc.Pieces()[0]
		in := p.Intent(s)
		solid := func(q r2.Vec, z float64) bool { return p.Field.Value(sdf.V(q.X, q.Y, z)) < 0 }

		k := in.Pockets[0]
		east := r2.Vec{X: k.Diameter / 2}
		require.False(t, solid(k.At, k.Depth-0.01))
		require.True(t, solid(k.At, k.Depth+0.01))
		require.True(t, solid(k.At, k.Depth+k.Skin-0.01))
		require.False(t, solid(r2.Add(k.At, r2.Scale(0.99, east)), 0.01))
		require.True(t, solid(r2.Add(k.At, r2.Scale(1.01, east)), 1))

		pad := in.Pads[0]
		require.True(t, solid(pad.At, pad.Top-0.01))
		require.False(t, solid(pad.At, pad.Top+0.01), "the post stands there, but for the pad")
		require.False(t, solid(pad.At, pad.Top+pad.Clear-0.01))
		require.True(t, p.Box.Max.Z < pad.Top+pad.Clear+0.01 || solid(pad.At, pad.Top+pad.Clear+0.01))

		require.Equal(t, hollow, in.Hollow != nil)
		if !hollow {
			return
		}
		// A rib through the middle parts a round hollow in two, more do in two each.
		require.Equal(t, max(1, 2*ribs), in.Hollow.Rooms)
		vented := map[int]bool{}
		for _, v := range in.Hollow.Vents {
			vented[v.Room] = true
			require.False(t, solid(v.At, v.Height-0.05))
			require.True(t, solid(v.At, v.Height+0.05))
			side := r2.Scale(v.Width/2, r2.Vec{X: -v.Out.Y, Y: v.Out.X})
			require.False(t, solid(r2.Add(v.At, r2.Scale(0.98, side)), 0.05))
			require.InDelta(t, size/2-1, r2.Norm(v.At), 0.01, "half of a wall of 2 mm in from the foot")
			require.InDelta(t, 1, r2.Dot(v.Out, r2.Unit(v.At)), 1e-6)
		}
		require.Len(t, vented, in.Hollow.Rooms)
		require.GreaterOrEqual(t, len(in.Hollow.Vents), 2)
	})
}

// The intent of a piece is that of its base, wherever it lies and whatever stands there.
func TestIntentIsThatOfTheBase(t *testing.T) {
	s := GroundWith(freeBase("scout", func(b *Base) { b.Round, b.Count = new(14.0), 3 }))
	pieces := assembled(t, s).Pieces()
	require.NotEqual(t, pieces[0].Pose.Apply(r3.Vec{}), pieces[1].Pose.Apply(r3.Vec{}))
	require.Equal(t, pieces[0].Intent(s), pieces[2].Intent(s))
}
