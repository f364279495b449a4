package paving

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/planar"
)

func TestPavingShowsItsStones(t *testing.T) {
	for _, area := range []parts.Area{{Rect: []float64{0, 0, 40, 30}}, {Round: []float64{20, 20, 36}},
		{Polygon: []r2.Vec{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 12}, {X: 14, Y: 12}, {X: 14, Y: 36}, {X: 0, Y: 36}}}} {
		p := quay("quay", 1, 4)
		p.Area, p.Missing = area, new(0.2)
		s := partstest.Quarry(100, 1, p)
		laid, missing := p.laying(s).stones, 0
		for _, l := range laid {
			if l.missing {
				missing++
			}
		}
		require.Positive(t, missing)
		var stones []parts.Stroke
		for _, k := range p.Plan(s) {
			if k.Line == parts.LineFine {
				stones = append(stones, k)
			}
		}
		require.Len(t, stones, len(laid)-missing)
		sum := 0.0
		for _, k := range stones {
			pts := partstest.PointsOf(t, k.Path)
			sum += planar.SignedArea(planar.Anticlockwise(pts))
			for _, q := range pts {
				require.LessOrEqual(t, area.Distance(q), 0.02, "a stone out of the area")
			}
		}
		require.Less(t, sum, area.Size())
		require.Greater(t, sum, 0.5*area.Size())
	}
}
