package theme

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// TestOutlineAlongArcs: an arc is followed the way round that it goes.
func TestOutlineAlongArcs(t *testing.T) {
	at := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	for _, c := range []struct {
		to     parts.Node
		middle r2.Vec
	}{
		{parts.Node{To: at(0, 2), Radii: at(3, 2)}, at(3/1.4142135623730951, 2/1.4142135623730951)},
		{parts.Node{To: at(0, 2), Radii: at(3, 2), Clockwise: true}, at(3-3/1.4142135623730951, 2-2/1.4142135623730951)},
		{parts.Node{To: at(0, 2), Radii: at(3, 2), Clockwise: true, Large: true}, at(-3/1.4142135623730951, -2/1.4142135623730951)},
		{parts.Node{To: at(0, 3), Radii: at(3, 3), Turn: 30}, at(3/1.4142135623730951, 3/1.4142135623730951)},
	} {
		out := outlineAlong([]parts.Node{{To: at(3, 0)}, c.to})
		require.Len(t, out, 7)
		require.Equal(t, c.to.To, out[6])
		require.InDelta(t, c.middle.X, out[3].X, 1e-9, "%+v", c.to)
		require.InDelta(t, c.middle.Y, out[3].Y, 1e-9, "%+v", c.to)
	}
}
