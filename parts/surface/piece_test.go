package surface_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/partstest"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// deepest is the deepest place of a relief on a face of 8 by 6 mm, and the share of it
// that is at the surface.
func deepest(h relief.Relief) (deep, whole float64) {
	n := 0
	for x := -3.97; x < 4; x += 0.06 {
		for y := -2.97; y < 3; y += 0.06 {
			v := h.Value(sdf.V(x, y, 0))
			deep, n = max(deep, v), n+1
			if v == 0 {
				whole++
			}
		}
	}
	return deep, whole / float64(n)
}

// At any scale every texture is at least as deep as shows on the print, no deeper than it
// may be, and that of a piece that must lie true leaves a good part of it at its level.
func TestTexturesShowAndKeepTheirRoom(t *testing.T) {
	outline := planar.NewConvex([]r2.Vec{{X: -4, Y: -3}, {X: 4, Y: -3}, {X: 4, Y: 3}, {X: -4, Y: 3}})
	for _, ratio := range []float64{1, 28, 72, 285, 2000} {
		s := partstest.Quarry(ratio, 1)
		for seed := range uint64(10) {
			for _, word := range []string{"rubbed", "tooled", "rock-faced", "domed", "brick", "concrete", "boards", "plate"} {
				p := surface.Piece{Seed: seed, Half: r2.Vec{X: 4, Y: 3}, Depth: 0.15, Outline: outline}
				deep, _ := deepest(p.Face(s, word))
				require.Greater(t, deep, 0.8*s.Grain(), "%s at 1:%g", word, ratio)
				p.Most = 0.1
				deep, _ = deepest(p.Face(s, word))
				require.LessOrEqual(t, deep, 0.1+1e-9, "%s at 1:%g", word, ratio)
				deep, _ = deepest(p.True(s, word))
				require.LessOrEqual(t, deep, 0.1+1e-9, "%s at 1:%g, true", word, ratio)
				p.Most = 0
				deep, whole := deepest(p.True(s, word))
				require.LessOrEqual(t, deep, 0.5*s.Print.Relief+1e-9, "%s at 1:%g", word, ratio)
				require.Greater(t, whole, 0.08, "%s at 1:%g, true", word, ratio)
			}
		}
		require.Nil(t, surface.Piece{}.Face(s, "plain"))
		require.Nil(t, surface.Floor(s, "plain", 1))
	}
}
