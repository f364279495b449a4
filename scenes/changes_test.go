package scenes

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestChangesAreToldAsWritten(t *testing.T) {
	const text = `title = "Weir"
[scale]
ratio = 56
[levels]
yard = 3
[ground]
size = [80, 60]
level = "yard"
[[crater]]
name = "hit"
at = [20, 20]
diameter = 12
[[base]]
name = "scout"
round = 25
[[variant]]
name = "near-miss"
set = { "crater.hit.at" = [ 60,
  40 ], "crater.hit.depth" = 3 }
[[variant]]
name = "flood"
set.levels.yard = "1.2 m"
`
	s, err := Read("weir.toml", []byte(text), []string{"crater.hit.diameter=14"})
	require.NoError(t, err)
	require.Len(t, s.Variants, 2)
	require.Equal(t, []Change{
		{Path: "crater.hit.at", Value: "[ 60, 40 ]", Was: "[20, 20]", From: "near-miss", Line: 18},
		{Path: "crater.hit.depth", Value: "3", From: "near-miss", Line: 19},
	}, s.Changes(s.Variants[0]))
	require.Equal(t, []Change{{Path: "levels.yard", Value: `"1.2 m"`, Was: "3", From: "flood", Line: 22}}, s.Changes(s.Variants[1]))
	require.Equal(t, text, s.Text())
}
