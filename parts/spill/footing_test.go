package spill

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
)

// hangs counts the upright lines through a heap of debris that meet air under solid, of
// many over a patch of flat ground whose top is at 0.
func hangs(p *Spill, s *parts.Site) (hanging, through int) {
	ground := sdf.BoxBetween(sdf.V(0, 0, -5), sdf.V(60, 40, 0))
	all := sdf.Union(ground, p.Spill(s, ground))
	const step, up = 0.4, 0.06
	for x := 20.0; x < 40; x += step {
		for y := 10.0; y < 30; y += step {
			air, over, met := false, false, false
			for z := 5.0; z > -0.5; z -= up {
				if all.Value(sdf.V(x, y, z)) < 0 {
					met = met || z > 0.1
					over = over || air && met
					air = false
				} else if met {
					air = true
				}
			}
			if met {
				through++
			}
			if over {
				hanging++
			}
		}
	}
	return hanging, through
}

// Under fragments that are filled there is no air: on flat ground every upright line
// through them meets solid all the way down, but for a few through one that lies on the
// flank of another. Left open, many of the same lines do not.
func TestNothingHangsUnderFilledDebris(t *testing.T) {
	open, shut, lines := 0, 0, 0
	for seed := range uint64(4) {
		p := &Spill{
			Named: parts.Named{Name: "debris"}, Area: &parts.Area{Rect: []float64{18, 8, 24, 24}}, Count: new(60),
			Size: &[2]float64{1.5, 4}, Exponent: 2.5, Sherds: 0.3 * float64(seed), Repose: 35, Seed: seed, Under: "open",
		}
		s := fixtures.GroundWith()
		s.Inspect.Overhang = 1.5
		n, through := hangs(p, s)
		open, lines = open+n, lines+through
		p.Under = "filled"
		n, _ = hangs(p, fixtures.GroundWith())
		shut += n
	}
	t.Logf("of %d lines %d hang open, %d filled", lines, open, shut)
	require.Greater(t, open, lines/100)
	require.Less(t, shut, open/20)
}
