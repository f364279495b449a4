package paving

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the paving's edge and every stone as it is laid; of a missing one its
// bed shows, and nothing is drawn.
func (p *Paving) Plan(s *parts.Site) []parts.Stroke {
	rank := s.FloorRank(p.Level.Height, parts.Finishing)
	strokes := []parts.Stroke{{Line: parts.LineEdge, Path: p.Area.Path(), Closed: true, Covers: true, Rank: rank}}
	z := p.settled(s)
	area := p.Area.Outline()
	for _, l := range p.laying(s).stones {
		if l.missing {
			continue
		}
		if outline := l.planOutline(area, z.joint); outline != nil {
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Path: planar.Straight(outline...), Closed: true, Rank: rank})
		}
	}
	return strokes
}

// planOutline is the stone's outline; where a corner of the area runs into the stone,
// the part of its place that lies within the area.
func (l *laid) planOutline(area []r2.Vec, joint float64) []r2.Vec {
	if l.outline != nil {
		return l.outline
	}
	u := l.long
	v := r2.Vec{X: -u.Y, Y: u.X}
	c := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
	hu, hv := l.half.X-joint/2, l.half.Y-joint/2
	if hu <= 0 || hv <= 0 {
		return nil
	}
	var place []r2.Vec
	for _, k := range [4]r2.Vec{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}} {
		place = append(place, r2.Add(c, r2.Add(r2.Scale(k.X*hu, u), r2.Scale(k.Y*hv, v))))
	}
	return planar.ClipTo(planar.InsetOutline(area, joint/2), place)
}
