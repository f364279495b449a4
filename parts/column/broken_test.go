package column

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
)

// A column stands up to where a bite reaches it, and goes with its foot; one that none
// reaches is whole.
func TestColumnsBreakWhereTheyAreStruck(t *testing.T) {
	c := &Column{Named: parts.Named{Name: "c"}, At: []r2.Vec{{X: 0}, {X: 20}, {X: 40}}, Level: parts.Level{Height: 5}, Height: 20,
		Diameter: 3, Taper: 1, Base: "none", Capital: "none"}
	s := partstest.Quarry(100, 1, c)
	struck := sdf.Union(sdf.BoxBetween(sdf.V(-9, -9, 17), sdf.V(9, 9, 60)), sdf.BoxBetween(sdf.V(12, -9, -9), sdf.V(29, 9, 60)))
	under := sdf.BoxBetween(sdf.V(-50, -50, -9), sdf.V(90, 50, 5))
	remains := c.Bitten(s, []parts.Bite{{Gone: struck, Rough: struck, Wide: 18, Seed: 3}}, under)
	left := remains[0].Left()
	require.Negative(t, left.Value(sdf.V(0, 0, 10)), "below the bite")
	require.Positive(t, left.Value(sdf.V(0, 0, 20.5)), "above it")
	require.Positive(t, left.Value(sdf.V(20, 0, 6)), "gone with its foot")
	require.Negative(t, left.Value(sdf.V(40, 0, 24)), "whole")
}
