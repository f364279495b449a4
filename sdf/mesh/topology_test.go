package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// numberedEdges gives every edge a number of its own and bends no face.
type numberedEdges struct{ known map[uint32]int32 }

func (n *numberedEdges) crossing(x, y, z, axis, _ int) int32 {
	k := key(x, y, z, axis)
	if _, ok := n.known[k]; !ok {
		n.known[k] = int32(len(n.known))
	}
	return n.known[k]
}

func (n *numberedEdges) bend(_, _, _, _, _ int, _, _ int32) int32 { return -1 }

// A leaf without finer neighbours is traced from its own signs: the same segments as
// from the marks about it, for every pattern of signs; and the table of tangled patterns
// says what the tracer finds.
func TestPlainLeavesAreTracedAlike(t *testing.T) {
	tangled := 0
	for signs := 1; signs < 255; signs++ {
		maker := &numberedEdges{known: map[uint32]int32{}}
		tr := tracer{maker: maker}
		l := leaf{x: 8, y: 16, z: 24, size: cellSteps, inside: uint8(signs)}
		tr.trace(&l)
		plain, loops, isTangled := append([]segment{}, tr.segments...), len(tr.loops), tr.tangled
		require.Equal(t, isTangled, tangledSigns[signs], "%08b", signs)
		if isTangled {
			tangled++
		} else {
			require.Equal(t, 1, loops)
		}
		tr.segments, tr.tangled = tr.segments[:0], false
		tr.markCorners(&l)
		for axis := range 3 {
			tr.face(8, 16, 24, axis, cellSteps, true)
			hx, hy, hz := along(8, 16, 24, axis, cellSteps)
			tr.face(hx, hy, hz, axis, cellSteps, false)
		}
		require.ElementsMatch(t, plain, tr.segments, "%08b", signs)
		tr.surroundings = surroundings{}
	}
	require.Positive(t, tangled)
	require.Less(t, tangled, 254)
}
