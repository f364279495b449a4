package scenes_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTopTreadAtANosing: nothing of a deck's nosing lies over the treads of the stair
// that leads up to it, at any scale: upright rays on the finished mesh over all of
// each tread find it at its level, from flank to flank.
func TestTopTreadAtANosing(t *testing.T) {
	t.Parallel()
	const cell, in = 0.3, 0.02
	for i, ratio := range []float64{28, 56, 72, 100, 285} {
		for k, c := range []struct{ kind, more, deck string }{
			{"solid", "", ""},
			{"open", "side = \"open\"", "on = \"piers\""},
			{"with nosings of its own", "nosing = \"30 mm\"", ""},
			{"wide nosing of the deck", "", "kerb = \"500 mm\""},
		} {
			if (i+k)%2 == 1 { // every other, so that each kind comes at several scales
				continue
			}
			t.Run(fmt.Sprintf("1:%g, %s", ratio, c.kind), func(t *testing.T) {
				f := flight{rise: "750 mm", profile: "free", more: "risers = 5\ngoing = \"300 mm\"\n" + c.more, n: 5, riser: 150, going: 300}
				text := strings.Replace(flightScene(f, ratio, 0, 0, "", 0), "[[stair]]", "edge = \"nosing\"\n"+c.deck+"\n[[stair]]", 1)
				p := cut(t, text)
				solid := built(t, &p[0], cell)
				rays := newProbe(&solid.Mesh)
				going, riser := f.going/ratio, f.riser/ratio
				own := 0.0
				if strings.Contains(c.more, "nosing") {
					own = max(30/ratio, 0.3) // the least relief
				}
				zero := rays.top(t, 6.5, -2*going-1) // the ground beside the foot
				for i := range f.n - 1 {
					over, all := 0, 0
					free := going - in
					if i < f.n-2 {
						free -= own // under the next tread's nosing
					}
					for u := -3 + in; u < 3; u += 0.0611 {
						for v := in; v < free; v += going / 23 {
							all++
							if z := rays.top(t, u, -2*going+float64(i)*going+v); z > zero+riser*float64(i+1)+0.1*riser {
								over++
							}
						}
					}
					require.Less(t, 100*over/all, 1, "%% of tread %d lie too high", i+1)
				}
			})
		}
	}
}

// TestNewStairIsSharp: the front edge of a new tread, by upright rays on the finished
// mesh: at its level up to the edge, where no arris is asked for, and rounded to it where
// one is.
func TestNewStairIsSharp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		more  string
		arris float64
	}{{"", 0}, {"arris = 0.4", 0.4}} {
		f := flight{rise: "600 mm", profile: "free", more: "risers = 4\ngoing = \"280 mm\"\n" + c.more, n: 4, riser: 150, going: 280}
		p := cut(t, flightScene(f, 28, 0, 0, "", 0))
		solid := built(t, &p[0], 0.2)
		rays := newProbe(&solid.Mesh)
		going, riser := f.going/28, f.riser/28
		zero := rays.top(t, 6.5, -1.5*going-1) // the ground beside the foot
		for i := range f.n - 1 {
			for _, in := range []float64{0.02, 0.1, 0.3, 0.6} {
				want := zero + riser*float64(i+1)
				if in < c.arris {
					want -= c.arris - math.Sqrt(c.arris*c.arris-(c.arris-in)*(c.arris-in))
				}
				require.InDelta(t, want, rays.top(t, 0.1, (float64(i)-1.5)*going+in), 0.03, "%.2f mm behind the edge of tread %d", in, i+1)
			}
		}
	}
}
