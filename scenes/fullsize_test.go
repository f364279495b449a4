package scenes

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFullSize checks that a length in full size is divided by the scale's ratio
// and that heights alone are exaggerated.
func TestFullSize(t *testing.T) {
	scene := `[scale]
ratio = 100
exaggerate = 1.5
[levels]
quay = 3
mole = "3 m"
[[stair]]
from = "quay"
to = "mole"
head = ["10 m", 40]
facing = "west"
width = "2 m"
riser = "200 mm"
`
	s, err := Read("s", []byte(scene), nil)
	require.NoError(t, err)
	require.Equal(t, map[string]float64{"quay": 3, "mole": 45}, s.Site.Levels)
	require.Contains(t, fmt.Sprintf("%+v", s.Site.Find("stair-1")), "Facing:180 Width:20 ")
	require.InDelta(t, 1.756, s.Site.Scale.Person, 1e-12)
}
