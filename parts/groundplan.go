package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	tickSpacing = 1.5 // mm
	tickLength  = 1.2 // mm, on a sheer face
)

// Plan is the plot with its terraces: the edge of each at its top, the toe of
// its bank, and ticks down the fall.
func (g *Ground) Plan(s *Site) []Stroke {
	rank := s.floorRank(g.Level.Height, Structure)
	strokes := []Stroke{{Line: LineEdge, Path: straight(g.outline()...), Closed: true, Covers: true, rank: rank}}
	terrace := func(t *Terrace, fall, out float64) {
		// Over the finish of the ground, which ends at its edge.
		rank := s.floorRank(t.Level.Height, Structure)
		strokes = append(strokes, Stroke{Line: LineEdge, Path: t.Area.path(), Closed: true, Covers: true, rank: rank})
		_, cos := sinCos(t.Bank)
		length := tickLength
		if cos > 0 {
			wide := fall / math.Tan(t.Bank*math.Pi/180)
			length = math.Min(wide, 4*tickLength)
			if toe := t.Area.parallel(-out * wide); toe != nil {
				strokes = append(strokes, Stroke{Line: LineFine, Path: toe, Closed: true, rank: rank})
			}
		}
		for _, tick := range ticks(t.Area.outline(), tickSpacing, -out*length) {
			if cos == 0 && g.atEdge(tick[0].To) {
				continue // a sheer side at the edge of the plot has no fall there
			}
			strokes = append(strokes, Stroke{Line: LineBank, Path: tick, rank: rank})
		}
	}
	for i := range g.Raised {
		terrace(&g.Raised[i], g.Raised[i].Level.Height-g.Level.Height, 1)
	}
	for i := range g.Sunk {
		terrace(&g.Sunk[i], g.Level.Height-g.Sunk[i].Level.Height, -1)
	}
	return strokes
}

// atEdge says whether a point lies on the edge of the plot or beyond it.
func (g *Ground) atEdge(p r2.Vec) bool {
	return p.X <= nearly || p.Y <= nearly || p.X >= g.Size[0]-nearly || p.Y >= g.Size[1]-nearly
}
