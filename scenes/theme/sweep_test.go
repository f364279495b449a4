package theme

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mixed is a list of bases of every size.
const mixed = "round25x4,round32x2,round50,oval90x52,square40x2"

// TestEveryThemeKeepsItsPromise: every theme, seeds 1 to 20, its own list and a mixed one,
// at three scales: no stand too small, none cut into a step, none in the air.
func TestEveryThemeKeepsItsPromise(t *testing.T) {
	scenes, stands := 0, 0
	var wrong []string
	for _, name := range Names() {
		for _, list := range []string{"", mixed} {
			for _, scale := range []float64{56, 100, 285} {
				for seed := uint64(1); seed <= 20; seed++ {
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
