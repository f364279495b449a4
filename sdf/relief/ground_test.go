package relief

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/sdf"
)

// groundReliefs are one of each kind that the ground has.
func groundReliefs(seed uint64, pitch, depth, share float64) []Relief {
	soil, stones := NewFacets(seed, pitch, depth, share), NewStones(seed, pitch, depth, share)
	return []Relief{
		Shallowest(soil, stones), Shallowest(soil, Even(depth/2)),
		Faded(soil, NewFacets(seed, 2*pitch, share, 0)),
		Bent(NewGrooves(seed, pitch, pitch, depth, share, 0), seed, 2*pitch, pitch),
		NewSteps(seed, pitch, depth, share*pitch),
		NewPrints(seed, 4*pitch, 3*pitch, 2*pitch, pitch/2, depth, share*pitch/4, 1),
	}
}

// A puddle is flat at its water line and no hollow lies below it.
func TestPuddlesAreFlat(t *testing.T) {
	h := Shallowest(NewFacets(3, 2, 0.4, 0), Even(0.3))
	wet := 0
	for x := 0.0; x < 40; x += 0.37 {
		for y := 0.0; y < 40; y += 0.41 {
			v, g := h.Gradient(sdf.V(x, y, 0))
			require.LessOrEqual(t, v, 0.3)
			if v == 0.3 {
				require.Zero(t, g)
				wet++
			}
		}
	}
	require.Greater(t, wet, 100)
}

// Soles: a print every pace, left and right of the line in turn, of the given area.
func TestPrintsKeepStep(t *testing.T) {
	const lines, pace, length, width, depth, step = 40.0, 10.0, 4.0, 1.6, 0.3, 0.05
	f := NewPrints(5, lines, pace, length, width, depth, 0, 1)
	area, left, right := 0.0, 0, 0
	mean := 0.0
	for pass := range 2 {
		for x := -lines / 2; x < lines/2; x += step {
			for y := -5 * pace; y < 5*pace; y += step {
				if f.Value(sdf.V(x, y, 0)) <= 0 {
					continue
				}
				switch {
				case pass == 0:
					area += step * step
					mean += x * step * step
				case x < mean:
					left++
				default:
					right++
				}
			}
		}
		if pass == 0 {
			mean /= area
		}
	}
	require.InEpsilon(t, 1, float64(left)/float64(right), 0.1)
	// The octagon: the rectangle less four corners, each cut off from a quarter of the
	// width at the end of the sole.
	const corner = width / 4 * (width / 4 * 0.8 / 0.6) / 2
	require.InEpsilon(t, 10*(length*width-4*corner), area, 0.02)
}
