package ground

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

const (
	tickSpacing = 1.5 // mm
	tickLength  = 1.2 // mm, on a sheer face
)

// Plan is the plot with its terraces: the edge of each at its top, the toe of
// its bank, and ticks down the fall.
func (g *Ground) Plan(s *parts.Site) []parts.Stroke {
	rank := s.FloorRank(g.Level.Height, parts.Structure)
	strokes := []parts.Stroke{{Line: parts.LineEdge, Path: planar.Straight(g.outline()...), Closed: true, Covers: true, Rank: rank}}
	terrace := func(area *parts.Area, level, bank, fall, out float64) {
		// Over the finish of the ground, which ends at its edge.
		rank := s.FloorRank(level, parts.Structure)
		strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Path: area.Path(), Closed: true, Covers: true, Rank: rank})
		_, cos := planar.SinCos(bank)
		length := tickLength
		if cos > 0 {
			wide := fall / math.Tan(bank*math.Pi/180)
			length = math.Min(wide, 4*tickLength)
			if toe := area.Parallel(-out * wide); toe != nil {
				strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Path: toe, Closed: true, Rank: rank})
			}
		}
		for _, tick := range planar.Ticks(area.Outline(), tickSpacing, -out*length) {
			if cos == 0 && g.atEdge(tick[0].To) {
				continue // a sheer side at the edge of the plot has no fall there
			}
			strokes = append(strokes, parts.Stroke{Line: parts.LineBank, Path: tick, Rank: rank})
		}
	}
	for i := range g.Raised {
		t := &g.Raised[i]
		terrace(&t.Area, t.Level.Height, t.Bank, t.Level.Height-g.Level.Height, 1)
	}
	for _, p := range g.settled(s).sunk {
		terrace(p.Area, p.Level, p.Bank, p.Mouth-p.Level, -1)
	}
	return strokes
}

// outline is that of the plot.
func (g *Ground) outline() []r2.Vec {
	return planar.Corners(r2.Box{Max: r2.Vec{X: g.Size[0], Y: g.Size[1]}})
}

// atEdge says whether a point lies on the edge of the plot or beyond it.
func (g *Ground) atEdge(p r2.Vec) bool {
	return p.X <= parts.Nearly || p.Y <= parts.Nearly || p.X >= g.Size[0]-parts.Nearly || p.Y >= g.Size[1]-parts.Nearly
}
