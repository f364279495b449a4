package scenes_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"socle/sdf/mesh"
)

// leaning is the area, mm2, that faces down to within 20 degrees, lies within 0.1 mm of
// z = 0 and not on it, and the greatest height of it. A chamfer, at 45 degrees, is none.
func leaning(m *mesh.Mesh) (area, highest float64) {
	for _, t := range m.Triangles {
		var c [3][3]float64
		top := 0.0
		for k, v := range t {
			for j, x := range m.Vertices[v] {
				c[k][j] = float64(x)
			}
			top = max(top, c[k][2])
		}
		var n [3]float64
		for j := range 3 {
			a, b := (j+1)%3, (j+2)%3
			n[j] = ((c[1][a]-c[0][a])*(c[2][b]-c[0][b]) - (c[1][b]-c[0][b])*(c[2][a]-c[0][a])) / 2
		}
		whole := math.Hypot(math.Hypot(n[0], n[1]), n[2])
		if top > 0 && top < 0.1 && n[2] < -math.Cos(20*math.Pi/180)*whole {
			area += whole
			highest = max(highest, top)
		}
	}
	return area, highest
}

// TestFootIsFlatToTheRim: what faces down by the foot lies on z = 0, up to the rim and to
// the edges of pockets and hollows, however little of a cell is left there. In a hollow,
// the tips of the corners between wall and ribs are narrower than a cell, and are cut off
// by small slopes. Every shape meets every cell, and every sort of base too.
func TestFootIsFlatToTheRim(t *testing.T) {
	t.Parallel()
	cells := []float64{0.4, 0.5, 0.6}
	for i, shape := range []string{
		"round = 25", "oval = [32, 22]", "rectangle = [24, 20]", "square = 20", "square = 20\ncorner = 3", "hexagon = 22", "stadium = [28, 20]",
	} {
		for k, c := range []struct {
			keys string
			most float64 // mm2
		}{
			{"", 0}, {"chamfer = 0", 0}, {"chamfer = 0.6\ntaper = 2", 0}, {"magnet = [{ disc = [4, 2], count = 2 }]", 0},
			{"underside = \"hollow\"", 0.1},
		} {
			p := cut(t, flat+"[[base]]\nname = \"plain\"\nat = [40, 30]\n"+shape+"\n"+c.keys)
			cell := cells[(i+k)%len(cells)]
			area, highest := leaning(&built(t, &p[0], cell).Mesh)
			assert.LessOrEqual(t, area, c.most, "%q, %q, cell %g: to %.4f mm", shape, c.keys, cell, highest)
		}
	}
}

// TestStonesKeepToTheirLevel: nothing of a paving, new or worn, stands over its level,
// by as little as a step of the lattice.
func TestStonesKeepToTheirLevel(t *testing.T) {
	t.Parallel()
	for _, bond := range []string{"stack", "running", "herringbone", "basketweave", "hexagonal", "random"} {
		deep := 4
		if bond != "hexagonal" && bond != "stack" && bond != "random" {
			deep = 2
		}
		for _, wear := range []float64{0, 0.3} {
			p := cut(t, flat+fmt.Sprintf(`
[[paving]]
level = "yard"
area = { rect = [0, 0, 80, 60] }
bond = %q
stone = [4, %d]
thickness = 1
joint = 0.4
wear = %g
[[base]]
name = "paved"
round = 16
at = [40, 30]
`, bond, deep, wear))
			level, top := p[0].Base.Height, built(t, &p[0], 0.5).Proof.Box.Max.Z
			assert.LessOrEqual(t, top, level, "%s, wear %g", bond, wear)
			require.InDelta(t, level, top, 0.15, "%s, wear %g", bond, wear)
		}
	}
}
