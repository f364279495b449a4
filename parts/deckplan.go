package parts

import (
	"socle/sdf"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the slab with its kerb or nosing, and below it, hidden, the piers or
// walls that carry it.
func (d *Deck) Plan(s *Site) []Stroke {
	rank := s.floorRank(d.Level.Height, Structure)
	edge := Stroke{Line: LineEdge, Path: d.Area.path(), Closed: true, Covers: true, rank: rank}
	var strokes []Stroke
	switch d.Edge {
	case "nosing":
		// The nosing overhangs: its own edge is seen, and the slab's lies below it.
		out := max(d.Kerb, s.Print.Relief)
		under := edge
		under.Line, under.Covers = LineHidden, false
		edge.Path = d.Area.parallel(-out)
		strokes = append(strokes, edge, under)
	case "kerb":
		strokes = append(strokes, edge)
		if inner := d.Area.parallel(max(d.Kerb, s.Print.Wall)); inner != nil {
			// It stands on the finish, if any. Where it leaves gaps is not drawn.
			strokes = append(strokes, Stroke{Line: LineEdge, Path: inner, Closed: true, rank: s.floorRank(d.Level.Height, Fitting)})
		}
	default:
		strokes = append(strokes, edge)
	}
	if d.On == "solid" {
		return strokes
	}
	for _, path := range d.carrierPlans(s) {
		strokes = append(strokes, Stroke{Line: LineHidden, Path: path, Closed: true})
	}
	return strokes
}

// carrierPlans are the outlines of the piers or walls below the slab, as carriers
// sets them out.
func (d *Deck) carrierPlans(s *Site) [][]Node {
	pose, half := d.frame()
	side := max(d.Pier, s.Print.Wall)
	if d.On == "piers" {
		side = max(side, s.Print.Pin)
	}
	us := stations(half.X-d.Inset-side/2, d.Spacing)
	vs := stations(half.Y-d.Inset-side/2, d.Spacing)
	place := func(u, v float64) r2.Vec {
		p := pose.Apply(sdf.V(u, v, 0))
		return r2.Vec{X: p.X, Y: p.Y}
	}
	rectangle := func(u, v, hu, hv float64) []r2.Vec {
		return []r2.Vec{place(u-hu, v-hv), place(u+hu, v-hv), place(u+hu, v+hv), place(u-hu, v+hv)}
	}
	floor := d.Area.drawn()
	var out [][]Node
	if d.On == "piers" {
		for _, u := range us {
			for _, v := range vs {
				if pier := rectangle(u, v, side/2, side/2); holdsAll(floor, pier) {
					out = append(out, straight(pier...))
				}
			}
		}
		return out
	}
	along, across := us, half.X >= half.Y
	if !across {
		along = vs
	}
	inner := d.Area.outline()
	if d.Inset > 0 {
		inner = insetOutline(inner, d.Inset)
	}
	for _, a := range along {
		if !d.wallStands(floor, pose, half, a) {
			continue
		}
		wall := rectangle(a, 0, side/2, half.Y)
		if !across {
			wall = rectangle(0, a, half.X, side/2)
		}
		if cut := clipTo(inner, wall); cut != nil {
			out = append(out, straight(cut...))
		}
	}
	return out
}
