package theme

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mixed is a list of bases of every size.
const mixed = "round25x4,round32x2,round50,oval90x52,square40x2"

// TestEveryThemeKeepsItsPromise: every theme, its own list and a mixed one, at three
// scales, with one of the seeds 1 and 2, or with 1 to 20 where SOCLE_THEMES is set: no
// stand too small, none cut into a step, none in the air.
func TestEveryThemeKeepsItsPromise(t *testing.T) {
	t.Parallel()
	scenes, stands, all := 0, 0, os.Getenv("SOCLE_THEMES") != ""
	var wrong []string
	for _, name := range Names() {
		for _, list := range []string{"", mixed} {
			for i, scale := range []float64{56, 100, 285} {
				first, last := uint64(1+(i+len(list))%2), uint64(1+(i+len(list))%2)
				if all {
					first, last = 1, 20
				}
				for seed := first; seed <= last; seed++ {
					m, err := Scene(Ask{Theme: name, Bases: list, Scale: scale, Seed: seed})
					if err != nil {
						wrong = append(wrong, err.Error())
						continue
					}
					scenes++
					stands += strings.Count(m.Text, "\nstand = ")
				}
			}
		}
	}
	t.Logf("%d scenes with %d stands", scenes, stands)
	require.Empty(t, wrong)
}
