package finding

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestToChange says on what ground.
func TestToChange(t *testing.T) {
	for _, c := range []struct {
		advice     *Advice
		lead, says string
	}{
		{nil, "May help (not tested): ", "less depth"},
		{&Advice{Tried: 14}, "To change: ", "none found: 14 changes were tried, and none clears it. May help: less depth"},
		{&Advice{Tried: 3, Clears: []Change{{"crater.hit.depth=3.2"}}}, "To change: ", "crater.hit.depth=3.2 clears it (tested)"},
		{&Advice{Tried: 3, Clears: []Change{{"a=1", "b=2"}, {"crater.hit.seed=4"}}}, "To change: ", "a=1 with b=2 clears it (tested); so does crater.hit.seed=4"},
	} {
		lead, says := (&Finding{Change: "less depth", Advice: c.advice}).ToChange()
		require.Equal(t, c.lead, lead)
		require.Equal(t, c.says, says)
	}
}

func TestNumbersAreOfWhatHasAPlace(t *testing.T) {
	at := [3]float64{1, 2, 3}
	all := []Finding{{At: &at}, {}, {At: &at}}
	NumberPlaces(all)
	require.Equal(t, []int{1, 0, 2}, []int{all[0].Number, all[1].Number, all[2].Number})
}
