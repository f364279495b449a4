package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
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

func holdsAll(floor sdf.Shape, pts []r2.Vec) bool {
	for _, p := range pts {
		if !(floor.Distance(p) < 0) {
			return false
		}
	}
	return true
}

// clipTo is what of an outline lies within a convex one; nil where nothing does.
func clipTo(outline, convex []r2.Vec) []r2.Vec {
	for _, s := range sidesOf(anticlockwise(convex)) {
		if outline = clipLine(outline, s.normal, s.offset); outline == nil {
			return nil
		}
	}
	return outline
}

// Plan is the paving's edge and every stone as it is laid; of a missing one its
// bed shows, and nothing is drawn.
func (p *Paving) Plan(s *Site) []Stroke {
	rank := s.floorRank(p.Level.Height, Finishing)
	strokes := []Stroke{{Line: LineEdge, Path: p.Area.path(), Closed: true, Covers: true, rank: rank}}
	z, _ := p.sizes(s)
	area := p.Area.outline()
	for _, l := range p.lay(s, z).stones {
		if l.missing {
			continue
		}
		if outline := l.planOutline(area, z.joint); outline != nil {
			strokes = append(strokes, Stroke{Line: LineFine, Path: straight(outline...), Closed: true, rank: rank})
		}
	}
	return strokes
}

// planOutline is the stone's outline; of one that a corner of the area runs
// into, what of its place lies within the area.
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
	return clipTo(insetOutline(area, joint/2), place)
}
