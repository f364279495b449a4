package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// senseFaults reports what each part may be by its own rules and what makes no sense
// in the scene: parts that lie wholly off the ground, flights that come up inside what
// they lead to, damage larger than the ground. A scene without ground has none of it.
func senseFaults(s *Site, faulty map[string]bool) []Fault {
	g := groundOf(s)
	if g == nil || faulty[g.Name] {
		return nil
	}
	var faults []Fault
	for _, p := range s.Parts {
		if faulty[p.Label()] {
			continue
		}
		found := offGround(s, g, p)
		if st, ok := p.(*Stair); ok && len(found) == 0 {
			found = st.buried(s)
		}
		if d, ok := p.(Damager); ok && len(found) == 0 {
			found = largerThan(g, d)
		}
		faults = append(faults, found...)
	}
	return faults
}

// plotted is where on the plan a part lies: an area, a line, or the disc or band about
// one.
type plotted struct {
	key    string
	pts    []r2.Vec
	closed bool
	wide   float64 // to every side, mm
	ground bool    // it lies on the ground, and not on a deck beyond it
}

// plots are the places of a part that a scene gives by themselves.
func plots(s *Site, p Part) []plotted {
	switch p := p.(type) {
	case *Ground:
		var all []plotted
		for i := range p.Sunk {
			all = append(all, plotted{key: fmt.Sprintf("sunk[%d].area", i), pts: p.Sunk[i].Area.outline(), closed: true, ground: true})
		}
		for i := range p.Raised {
			all = append(all, plotted{key: fmt.Sprintf("raised[%d].area", i), pts: p.Raised[i].Area.outline(), closed: true, ground: true})
		}
		return all
	case *Deck:
		return []plotted{{key: "area", pts: p.Area.outline(), closed: true, ground: true}}
	case *Paving:
		return []plotted{{key: "area", pts: p.Area.outline(), closed: true}}
	case *Spill:
		if p.Area != nil {
			return []plotted{{key: "area", pts: p.Area.outline(), closed: true}}
		}
	case *Wall:
		return []plotted{{key: "line", pts: p.Line, wide: p.Thickness / 2}}
	case *Column:
		var all []plotted
		for i, at := range p.At {
			all = append(all, plotted{key: fmt.Sprintf("at[%d]", i), pts: []r2.Vec{at}, wide: p.Diameter / 2})
		}
		return all
	case *Rail:
		if len(p.Line) > 0 {
			return []plotted{{key: "line", pts: p.Line}}
		}
	case *Stair:
		l := p.layout(s)
		key := "foot"
		if p.Foot == nil {
			key = "head"
		}
		return []plotted{{key: key, pts: p.plan(l, -l.nosing, l.run()+l.landing), closed: true}}
	case *Crater:
		return []plotted{{key: "at", pts: []r2.Vec{p.At}, wide: p.Diameter / 2}}
	case *Gouge:
		key := "line"
		if len(p.Line) == 0 {
			key = "from"
		}
		return []plotted{{key: key, pts: p.points(), wide: p.Width / 2}}
	}
	return nil
}

// meets says whether some of it lies within an outline.
func (p *plotted) meets(outline []r2.Vec) bool {
	shape := newPolygonShape(outline)
	n := len(p.pts)
	for i, a := range p.pts {
		if shape.at(a) <= p.wide+nearly {
			return true
		}
		b := p.pts[(i+1)%n]
		if n < 2 || i == n-1 && !p.closed {
			continue
		}
		for k, c := range outline {
			if sidesMeet(a, b, c, outline[(k+1)%len(outline)]) || segmentDistance(c, a, b) <= p.wide+nearly {
				return true
			}
		}
	}
	return p.closed && newPolygonShape(p.pts).at(outline[0]) < 0
}

// segmentDistance is how far p lies from the straight way between a and b.
func segmentDistance(p, a, b r2.Vec) float64 {
	ab := r2.Sub(b, a)
	t := 0.0
	if l := r2.Norm2(ab); l > 0 {
		t = math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, a), ab)/l))
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, ab))))
}

// offGround reports what of a part lies on no ground, nor on a deck that reaches out
// over its edge.
func offGround(s *Site, g *Ground, p Part) (faults []Fault) {
	for _, at := range plots(s, p) {
		on := at.meets(g.outline())
		for _, d := range AllOf[*Deck](s) {
			on = on || !at.ground && len(d.Area.check(d.Name, "area")) == 0 && at.meets(d.Area.outline())
		}
		if on {
			continue
		}
		allowed := fmt.Sprintf("a place on the ground, within x 0 to %g and y 0 to %g mm", g.Size[0], g.Size[1])
		if !at.ground {
			allowed += ", or on a deck"
		}
		faults = append(faults, Fault{Part: p.Label(), Key: at.key, Text: "lies wholly off the ground", Allowed: allowed})
	}
	return faults
}

// buried reports a flight of whose last tread half or more lies inside what the flight
// leads to: it comes up there from within.
func (st *Stair) buried(s *Site) []Fault {
	l := st.layout(s)
	if l.n == 1 {
		return nil
	}
	z := l.treadTop(l.n - 2)
	y := l.run() - l.going/2
	at := func(share float64) string { return st.within(s, onPlan(l.place(share*st.Width, y, 0)), z) }
	name := at(0)
	if name == "" || at(-0.4) == "" && at(0.4) == "" {
		return nil
	}
	return []Fault{{Part: st.Name, Key: "facing",
		Text:    fmt.Sprintf("leads into %s from within: its last tread lies %.2f mm below the top there", name, l.to-z),
		Allowed: "a flight that comes up to the edge from outside: turn facing round, or move head or foot"}}
}

// within names what at the upper level a place of the plan at a lower height lies in;
// "" where it lies in the open.
func (st *Stair) within(s *Site, p r2.Vec, z float64) string {
	for _, d := range AllOf[*Deck](s) {
		if math.Abs(d.Level.Height-st.To.Height) <= sameHeight && len(d.Area.check(d.Name, "area")) == 0 && d.Area.contains(p) {
			return fmt.Sprintf("deck %q", d.Name)
		}
	}
	g := groundOf(s)
	if g == nil || newPolygonShape(g.outline()).at(p) > 0 {
		return ""
	}
	for i := range g.Raised {
		if math.Abs(g.Raised[i].Level.Height-st.To.Height) <= sameHeight && g.Raised[i].Area.contains(p) {
			return "the raised terrace"
		}
	}
	if g.Level.Height-g.dip(s) <= z {
		return ""
	}
	for i := range g.Sunk {
		if g.Sunk[i].Area.contains(p) {
			return ""
		}
	}
	return "the ground"
}

// largerThan reports damage that takes all of the ground.
func largerThan(g *Ground, d Damager) []Fault {
	var pts []r2.Vec
	var key string
	var wide float64
	switch d := d.(type) {
	case *Crater:
		pts, key, wide = []r2.Vec{d.At, d.At}, "diameter", d.Diameter
	case *Gouge:
		pts, key, wide = d.points(), "width", d.Width
	default:
		return nil
	}
	far := 0.0 // of the corners from the line
	for _, c := range g.outline() {
		near := math.Inf(1)
		for i := 1; i < len(pts); i++ {
			near = math.Min(near, segmentDistance(c, pts[i-1], pts[i]))
		}
		far = math.Max(far, near)
	}
	if far > wide/2 {
		return nil
	}
	return []Fault{{Part: d.Label(), Key: key,
		Text:    fmt.Sprintf("%.2f mm is larger than the scene: all of the ground lies inside", wide),
		Allowed: fmt.Sprintf("less than %.2f mm there, on ground of %g x %g mm", 2*far, g.Size[0], g.Size[1])}}
}

// levelFaults reports bases whose level is higher than every floor under them: their
// body would bury all that they were to show.
func levelFaults(s *Site, berths []*berth) []Fault {
	var faults []Fault
	told := map[*Base]bool{}
	for _, at := range berths {
		b := at.base
		if b.Level == nil || told[b] || groundOf(s) == nil {
			continue
		}
		plan := at.plan()
		floor := highestFloor(s, at, plan)
		body := StructureUnder(s, b.Level.Height, plan) - groundRoughness(s, b.Level.Height) - bedded
		if floor >= body {
			continue
		}
		told[b] = true
		faults = append(faults, Fault{Part: b.Name, Key: "level",
			Text:    fmt.Sprintf("%.3f mm is above all that lies under the base, at most %.3f mm there: its body would bury it", b.Level.Height, floor),
			Allowed: "the level of a floor that the base lies on, or a place on that floor; left out, it is found"})
	}
	return faults
}

// highestFloor is the highest floor, tread or top of a wall that a footprint has some of.
func highestFloor(s *Site, at *berth, plan []r2.Vec) float64 {
	high := math.Inf(-1)
	has := func(outline []r2.Vec, h float64) {
		if h > high && outlinesMeet(plan, outline) {
			high = h
		}
	}
	g := groundOf(s)
	sunk := false
	for i := range g.Sunk {
		has(g.Sunk[i].Area.outline(), g.Sunk[i].Level.Height)
		sunk = sunk || allWithin(plan, newPolygonShape(g.Sunk[i].Area.outline()))
	}
	for i := range g.Raised {
		has(g.Raised[i].Area.outline(), g.Raised[i].Level.Height)
	}
	if !sunk {
		has(g.outline(), g.Level.Height)
	}
	for _, d := range AllOf[*Deck](s) {
		has(d.Area.outline(), d.Level.Height)
	}
	for _, w := range AllOf[*Wall](s) {
		if line := (plotted{pts: w.Line, wide: w.Thickness / 2}); line.meets(plan) {
			high = math.Max(high, w.From.Height+w.height())
		}
	}
	for _, st := range AllOf[*Stair](s) {
		l := st.layout(s)
		if !outlinesMeet(plan, st.plan(l, 0, l.run()+l.landing)) {
			continue
		}
		for _, p := range plan {
			for _, share := range [...]float64{0, 0.25, 0.5, 0.75, 1} {
				if z, ok := st.standing(l, r2.Add(at.at, r2.Scale(share, r2.Sub(p, at.at)))); ok {
					high = math.Max(high, z)
				}
			}
		}
	}
	return high
}

// noteIdle notes flights that lead to no floor, and damage and walls of which no base
// has anything.
func (sc *Scene) noteIdle(berths []*berth) {
	for _, st := range AllOf[*Stair](sc.site) {
		if !st.arrives(sc.site) {
			sc.site.Note(st.Name, "to", "no floor lies at %.2f mm behind its last riser: it leads to nothing", st.To.Height)
		}
	}
	note := func(p Part, fields ...sdf.Field) {
		for _, f := range fields {
			if f == nil {
				continue
			}
			for _, b := range berths {
				if boxReaches(f.Bounds(), b.spot) {
					return
				}
			}
		}
		sc.site.Note(p.Label(), "", "reaches no base: nothing of it is built")
	}
	for _, w := range sc.shares {
		if wall, ok := w.part.(*Wall); ok {
			note(wall, w.field)
		}
	}
	for i := range sc.damage.blows {
		note(sc.damage.blows[i].Damager, sc.damage.cuts[i], sc.damage.thrown[i])
	}
}

// arrives says whether a floor at the upper level lies behind the last riser.
func (st *Stair) arrives(s *Site) bool {
	l := st.layout(s)
	for _, share := range [3]float64{-0.4, 0, 0.4} {
		level, ok := levelAt(s, onPlan(l.place(share*st.Width, l.run()+l.landing+embed, 0)))
		if ok && math.Abs(level-l.to) <= sameHeight {
			return true
		}
	}
	return false
}

// boxReaches says whether a box comes over the circle about a footprint.
func boxReaches(b r3.Box, at *spot) bool {
	x := math.Max(0, math.Max(b.Min.X-at.at.X, at.at.X-b.Max.X))
	y := math.Max(0, math.Max(b.Min.Y-at.at.Y, at.at.Y-b.Max.Y))
	return math.Hypot(x, y) < at.reach()
}
