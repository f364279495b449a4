package deck

import (
	"socle/parts"
	"socle/parts/planar"
)

// Plan is the slab with its kerb or nosing, and below it, hidden, the piers or
// walls that carry it.
func (d *Deck) Plan(s *parts.Site) []parts.Stroke {
	z := d.settled(s)
	rank := s.FloorRank(d.Level.Height, parts.Structure)
	edge := parts.Stroke{Line: parts.LineEdge, Path: d.Area.Path(), Closed: true, Covers: true, Rank: rank}
	var strokes []parts.Stroke
	switch d.Edge {
	case "nosing":
		// The nosing overhangs: its own edge is seen, and the slab's lies below it.
		under := edge
		under.Line, under.Covers = parts.LineHidden, false
		edge.Path = d.Area.Parallel(-z.kerb)
		strokes = append(strokes, edge, under)
	case "kerb":
		strokes = append(strokes, edge)
		if inner := d.Area.Parallel(z.kerb); inner != nil {
			// It stands on the finish, if any. Where it leaves gaps is not drawn.
			strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Path: inner, Closed: true, Rank: s.FloorRank(d.Level.Height, parts.Fitting)})
		}
	default:
		strokes = append(strokes, edge)
	}
	if d.On == "solid" {
		return strokes
	}
	for _, path := range d.carrierPlans(z) {
		strokes = append(strokes, parts.Stroke{Line: parts.LineHidden, Path: path, Closed: true})
	}
	return strokes
}

// carrierPlans are the outlines of the piers or walls below the slab.
func (d *Deck) carrierPlans(z *layout) (paths [][]planar.Node) {
	for _, p := range z.piers {
		paths = append(paths, planar.Straight(z.rectangle(p.X, p.Y, z.side/2, z.side/2)...))
	}
	if len(z.walls) == 0 {
		return paths
	}
	inner := d.Area.Outline()
	if d.Inset > 0 {
		inner = planar.InsetOutline(inner, d.Inset)
	}
	for _, a := range z.walls {
		wall := z.rectangle(a, 0, z.side/2, z.half.Y)
		if !z.wallsAcross {
			wall = z.rectangle(0, a, z.half.X, z.side/2)
		}
		if cut := planar.ClipTo(inner, wall); cut != nil {
			paths = append(paths, planar.Straight(cut...))
		}
	}
	return paths
}
