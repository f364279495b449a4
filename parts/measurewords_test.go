package parts

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestYardstick(t *testing.T) {
	s := &Site{Scale: Scale{Ratio: 60, Exaggerate: 1}}
	s.Scale.Person = 1.75
	for _, c := range []struct {
		share float64
		want  string
	}{
		{0.285, "knee high"}, {0.530, "hip high"}, {0.936, "eye high"}, {1, "as tall as the person"},
		{0.530 * 1.059, "hip high"}, {0.530 * 1.07, "0.57 of the person"}, {0.24, "0.24 of the person"}, {0.03, "0.030 of the person"}, {3, "3.0 persons long"},
	} {
		require.Equal(t, c.want, s.beside(1750*c.share))
	}
}

// How much a 10 mm joint is enlarged to 0.3 mm: the last row of the table of model sizes
// in references.md section 3.
func TestEnlargement(t *testing.T) {
	for ratio, factor := range map[float64]float64{300: 9, 220: 6.6, 160: 4.8, 100: 3, 72: 2.16, 60: 2, 56: 2, 48: 2} {
		s := &Site{Scale: Scale{Ratio: ratio, Exaggerate: 1}}
		require.InDelta(t, factor, s.enlargement(), 1e-9)
	}
}
