package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// A stand lies at its level, at its height over the base's, or on the floor or the
// step under its middle; several alike each on their own.
func TestWhereAStandLies(t *testing.T) {
	deck := &Deck{Named: Named{"deck"}, Level: Level{Height: 14}, Thickness: 2, On: "solid", Area: Area{Rect: []float64{50, 0, 50, 80}}}
	for _, c := range []struct {
		stand Stand
		want  float64 // over the base's level, at 10
	}{
		{Stand{At: r2.Vec{X: -5}, Round: 6, Clear: 9}, 0},
		{Stand{At: r2.Vec{X: 5}, Round: 6, Clear: 9}, 4},
		{Stand{At: r2.Vec{X: 5}, Round: 6, Clear: 9, Height: new(1.0)}, 1},
		{Stand{At: r2.Vec{X: -5}, Round: 6, Clear: 9, Level: &Level{Name: "up", Height: 11.5}}, 1.5},
	} {
		s := GroundWith(deck, BaseAt("b", func(b *Base) {
			b.Round, b.Lift, b.Level, b.Stands = new(30.0), 2, &Level{Height: 10}, []Stand{c.stand}
		}))
		p := onePiece(t, s)
		pad := p.Intent(s).Pads[0]
		require.InDelta(t, 4+2+c.want, pad.Top, 1e-12)
		require.Less(t, p.Field.Value(sdf.V(pad.At.X, pad.At.Y, pad.Top-0.01)), 0.0)
		require.Greater(t, p.Field.Value(sdf.V(pad.At.X, pad.At.Y, pad.Top+0.01)), 0.0)
		for _, r := range pad.Rim {
			require.InDelta(t, pad.Round/2+0.1, r2.Norm(r2.Sub(r.At, pad.At)), 1e-12)
			want := 6.0 // of the ground, or of the deck to the east of the middle
			if r.At.X >= 0 {
				want = 10
			}
			require.InDelta(t, want, r.Floor, 1e-12)
		}
		require.Len(t, pad.Rim, int(math.Ceil(2*math.Pi*3.1/0.2)))
	}

	s, st := flightSite()
	l := st.Flight(s)
	at := l.Place(0, l.Going/2, 0)
	floor, ok := s.FloorAt(r2.Vec{X: at.X, Y: at.Y})
	require.True(t, ok)
	require.InDelta(t, l.TreadTop(0), floor, 1e-12)
}
