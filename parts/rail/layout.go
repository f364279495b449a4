package rail

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// layout is a rail worked out for its site, in mm on the print.
type layout struct {
	post, handrail, baluster float64 // thicknesses
	gap                      float64 // widest between balusters
	panel                    float64 // thickness
	bay                      float64 // longest from post to post: one post does not run into the next
	infill                   string  // that is drawn
	stretches                []stretch
	notes                    parts.Notes
}

// settled is the rail's layout, worked out once for its site.
func (r *Rail) settled(s *parts.Site) *layout {
	return parts.Settled(s, r, func() *layout { return r.settle(s) })
}

// Notes say what is drawn otherwise than the scene gives it.
func (r *Rail) Notes(s *parts.Site) []parts.Note { return r.settled(s).notes.List }

// footing is the height of what carries the rail above a point of the plan; the
// posts go through any finish into the structure below it.
type footing struct {
	top  func(p r2.Vec) float64
	sink float64 // how far below top the structure is sure to be reached
}

// stretch is one unbroken stretch of rail.
type stretch struct {
	line  planar.Line
	sides []planar.Leg
	bays  []bay
	on    footing
}

// stretches gives those of the rail, none where a reference is broken.
func (r *Rail) stretches(s *parts.Site, z *layout) []stretch {
	all := r.lines(s, z)
	for i := range all {
		all[i].sides = all[i].line.Sides()
		all[i].bays = bays(all[i].line, all[i].sides, z.bay)
	}
	return all
}

// lines gives the stretches with what they stand on, before their posts are set out.
func (r *Rail) lines(s *parts.Site, z *layout) []stretch {
	inset := max(r.Inset, 0.1) + z.post/2
	if r.Along == "" {
		if r.Level == nil || len(r.Line) < 2 {
			return nil
		}
		level := r.Level.Height
		return []stretch{{line: planar.Line{Pts: planar.RaiseLine(r.Line, level)}, on: flatFooting(s, level, r.Line)}}
	}
	switch on := s.Find(r.Along).(type) {
	case parts.Climber:
		return r.alongStair(s, on, inset, z)
	case parts.Floored:
		for _, f := range on.Floors(s) {
			if f.Role == parts.Slab {
				return r.alongDeck(s, f, inset)
			}
		}
	}
	return nil
}

// flatFooting is a floor at a level under a line of the plan.
func flatFooting(s *parts.Site, level float64, plan []r2.Vec) footing {
	return footing{func(r2.Vec) float64 { return level }, level - parts.StructureUnder(s, level, plan) + parts.Embed}
}

// alongStair gives stretches that follow the line of the nosings from a little up the
// flight, where the first post stands on the first tread, to as far over the landing,
// where the last one stands in line with a rail along the edge there.
func (r *Rail) alongStair(s *parts.Site, st parts.Climber, inset float64, z *layout) []stretch {
	if len(st.Check(s)) > 0 {
		return nil
	}
	l := st.Flight(s)
	from, to := inset, l.End()+inset
	if to-from < 1e-9 {
		return nil // one riser: the edge of the landing
	}
	plan := l.Plan(0, l.End()+2*inset)
	if l.Cheek > 0 { // on the middle of the flank
		inset = max(l.Cheek/2, z.post/2)
	}
	inset = min(inset, l.Width/2)
	on := footing{sink: parts.Embed + max(0, l.To-parts.StructureUnder(s, l.To, plan))}
	on.top = func(p r2.Vec) float64 {
		if h, ok := st.Standing(s, p); ok {
			return h
		}
		return l.To
	}
	posts := []float64{0, to - from}
	if l.Landing > 2*z.post {
		posts = []float64{0, l.Run(), to - from}
	}
	var runs []stretch
	for _, side := range []struct {
		word string
		x    float64
	}{{"left", -l.Width/2 + inset}, {"right", l.Width/2 - inset}} {
		if r.Flank == "both" || r.Flank == side.word {
			runs = append(runs, stretch{line: planar.Line{Pts: l.Nosings(side.x, from, to), Posts: posts}, on: on})
		}
	}
	return runs
}

// alongDeck gives stretches that follow the deck's outline, inset, less the sides that
// the scene leaves out and the places where a stair comes up.
func (r *Rail) alongDeck(s *parts.Site, d parts.Floor, inset float64) []stretch {
	outline := planar.Anticlockwise(d.Area.Outline())
	level := d.Level.Height
	inner, floor := planar.InsetOutline(outline, inset), d.Area.Drawn()
	for i := range inner {
		if !(floor.Distance(inner[i]) < 0) {
			return nil // the deck is narrower than the inset
		}
	}
	on := flatFooting(s, level, outline)
	ring := planar.Line{Pts: planar.RaiseLine(inner, level), Closed: true}
	var lines []planar.Line
	switch direction, ok := compass[r.Edge]; {
	case ok:
		lines = facing(outline, inner, level, direction)
	default:
		lines = []planar.Line{ring}
	}
	gone := r.gaps(s, d, inset)
	var runs []stretch
	for _, l := range lines {
		for _, part := range l.Cut(gone, 0.25) {
			if sides := part.Sides(); len(sides) > 0 && sides[len(sides)-1].To > 2*inset {
				runs = append(runs, stretch{line: part, on: on})
			}
		}
	}
	return runs
}

var compass = map[string]r2.Vec{"north": {Y: 1}, "east": {X: 1}, "south": {Y: -1}, "west": {X: -1}}

// facing gives the stretches of the inner outline whose side of the outer one
// faces within 45 degrees of a direction.
func facing(outline, inner []r2.Vec, level float64, direction r2.Vec) []planar.Line {
	n := len(outline)
	faces := make([]bool, n)
	start, all := 0, true
	for i := range n {
		out := r2.Scale(-1, planar.LeftNormal(outline[i], outline[(i+1)%n]))
		faces[i] = r2.Dot(out, direction) > math.Sqrt2/2-1e-9
		all = all && faces[i]
		if !faces[i] {
			start = i + 1
		}
	}
	pts := planar.RaiseLine(inner, level)
	if all {
		return []planar.Line{{Pts: pts, Closed: true}}
	}
	var lines []planar.Line
	var now []r3.Vec
	for k := range n {
		i := (start + k) % n
		if !faces[i] {
			if now != nil {
				lines = append(lines, planar.Line{Pts: now})
			}
			now = nil
			continue
		}
		if now == nil {
			now = []r3.Vec{pts[i]}
		}
		now = append(now, pts[(i+1)%n])
	}
	if now != nil {
		lines = append(lines, planar.Line{Pts: now})
	}
	return lines
}

// gaps says which points of the inset line carry no rail: the head or foot of
// a stair, and for an open edge whatever joins the deck at its level.
func (r *Rail) gaps(s *parts.Site, d parts.Floor, inset float64) func(p r3.Vec) bool {
	type passage struct {
		pose       sdf.Pose
		half, deep float64
		y0         float64
	}
	var passages []passage
	for _, st := range parts.AllOf[parts.Climber](s) {
		if len(st.Check(s)) > 0 {
			continue
		}
		l := st.Flight(s)
		edge := min(inset, l.Width/2)
		if l.Cheek > 0 {
			edge = l.Cheek / 2
		}
		half := l.Width/2 - edge // up to the middle of the stair's own rail
		switch {
		case math.Abs(l.To-d.Level.Height) < parts.SameHeight:
			passages = append(passages, passage{l.Pose, half, 2 * inset, l.End()})
		case math.Abs(l.From-d.Level.Height) < parts.SameHeight:
			passages = append(passages, passage{l.Pose, half, 2 * inset, 0})
		}
	}
	var joins []parts.Floor
	if r.Edge == "open" {
		for _, other := range s.Slabs() {
			if other.Part != d.Part && math.Abs(other.Level.Height-d.Level.Height) < parts.SameHeight {
				joins = append(joins, other)
			}
		}
	}
	return func(p r3.Vec) bool {
		for _, w := range passages {
			q := w.pose.Invert(p)
			if math.Abs(q.X) < w.half && math.Abs(q.Y-w.y0) < w.deep {
				return true
			}
		}
		for _, other := range joins {
			for _, c := range [4]r2.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				if other.Area.Contains(r2.Add(r2.Vec{X: p.X, Y: p.Y}, r2.Scale(2*inset, c))) {
					return true
				}
			}
		}
		return false
	}
}

// bay is the stretch between two posts, from middle to middle along the plan.
type bay struct{ from, to float64 }

// bays sets posts at the corners of a line and equal bays between them, none longer than
// given, mm.
func bays(l planar.Line, sides []planar.Leg, longest float64) []bay {
	if len(sides) == 0 {
		return nil
	}
	total := sides[len(sides)-1].To
	at := l.Posts
	if at == nil {
		at = l.Corners()
	}
	if l.Closed {
		if len(at) == 0 {
			at = []float64{0}
		}
		at = append(at, at[0]+total)
	}
	var all []bay
	for i := 1; i < len(at); i++ {
		length := at[i] - at[i-1]
		n := planar.EqualBays(length, longest)
		for k := range n {
			all = append(all, bay{at[i-1] + length*float64(k)/float64(n), at[i-1] + length*float64(k+1)/float64(n)})
		}
	}
	return all
}

// balusters gives how many balusters of thickness b stand in a clear span so
// that no gap is wider than widest, and the gap that results. All in mm.
//
//	n = ceil((span - widest)/(b + widest))   gap = (span - n b)/(n + 1)
func balusters(span, b, widest float64) (n int, gap float64) {
	if span > widest {
		n = int(math.Ceil((span-widest)/(b+widest) - planar.Rounding))
	}
	return n, (span - float64(n)*b) / float64(n+1)
}
