package theme

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/scenes"
	"socle/sdf/polygon"
)

const (
	// leastGap is the least gap between two bases, mm.
	leastGap = 1.0
	// railMargin is how far within a base a rail or a flight with rails must lie
	// if it is on it at all, mm: the rim's taper and a little.
	railMargin = 1.2
	// shownShare is how much of a base what it shows must cover in the plan, at least.
	shownShare = 0.004
)

// Check says what of a themed scene is not as it should be: bases that lie too
// near each other or have no place of their own, flights and rails that a base's
// edge cuts through, bases with nothing on them but paving, stands that are too small for
// a figure or lie on no one floor. It looks at the plan
// alone and makes no solid.
func Check(scene *scenes.Scene) []string {
	s := scene.Site
	var wrong []string
	var bases []laidBase
	for _, b := range parts.AllOf[*parts.Base](s) {
		if b.At == nil || b.Count > 1 {
			wrong = append(wrong, fmt.Sprintf("base %q has no place of its own", b.Name))
			continue
		}
		bases = append(bases, layOf(b))
	}
	for i, a := range bases {
		for _, b := range bases[:i] {
			if r2.Norm(r2.Sub(a.at, b.at)) > a.reach+b.reach+leastGap {
				continue
			}
			if gap := apart(a.outline, b.outline); gap < leastGap {
				wrong = append(wrong, fmt.Sprintf("bases %q and %q are %.2f mm apart", b.name, a.name, gap))
			}
		}
	}
	guarded := guardedPlaces(s)
	for _, b := range bases {
		for _, g := range guarded {
			if deep, far := b.depth(g.plan), b.far(g.plan); deep < railMargin && far < railMargin {
				wrong = append(wrong, fmt.Sprintf("base %q cuts across %s", b.name, g.name))
			}
		}
		if b.shown(s) < 1 {
			wrong = append(wrong, fmt.Sprintf("base %q shows nothing but paving", b.name))
		}
	}
	return append(wrong, standFaults(s)...)
}

// laidBase is a base with its outline on the ground.
type laidBase struct {
	name    string
	at      r2.Vec
	outline []r2.Vec
	reach   float64
}

func layOf(b *parts.Base) laidBase {
	f := footOf(b)
	turn := 0.0
	if b.Turn != nil {
		turn = *b.Turn
	}
	out := laidBase{name: b.Name, at: *b.At, outline: f.outline(turn)}
	for i := range out.outline {
		out.reach = math.Max(out.reach, r2.Norm(out.outline[i]))
		out.outline[i] = r2.Add(out.outline[i], *b.At)
	}
	return out
}

// footOf is a base's footprint.
func footOf(b *parts.Base) foot {
	switch {
	case b.Round != nil:
		return foot{"round", *b.Round, *b.Round}
	case b.Oval != nil:
		return foot{"oval", b.Oval[0], b.Oval[1]}
	case b.Rectangle != nil:
		return foot{"rectangle", b.Rectangle[0], b.Rectangle[1]}
	case b.Square != nil:
		return foot{"square", *b.Square, *b.Square}
	case b.Hexagon != nil:
		return foot{"hexagon", *b.Hexagon, *b.Hexagon}
	case b.Stadium != nil:
		return foot{"stadium", b.Stadium[0], b.Stadium[1]}
	}
	return foot{}
}

// depth is how deep all of a shape lies within the base, mm; negative where some
// of it does not.
func (b *laidBase) depth(plan []r2.Vec) float64 {
	least := math.Inf(1)
	for _, p := range plan {
		least = math.Min(least, depthIn(b.outline, p))
	}
	return least
}

// far is how far a shape lies from the base, mm.
func (b *laidBase) far(plan []r2.Vec) float64 {
	least := math.Inf(1)
	for _, p := range plan {
		least = math.Min(least, r2.Norm(r2.Sub(p, b.at))-b.reach)
	}
	longest := 0.0
	for i, p := range plan {
		longest = math.Max(longest, r2.Norm(r2.Sub(p, plan[(i+1)%len(plan)])))
	}
	if least > longest+railMargin {
		return least - longest
	}
	return apart(b.outline, plan)
}

// guardedPlace is a flight with its rails, or a stretch of rail, in the plan.
type guardedPlace struct {
	name string
	plan []r2.Vec
}

// guardedPlaces lists the flights and rails of a site that no base may cut.
func guardedPlaces(s *parts.Site) []guardedPlace {
	var out []guardedPlace
	flat := func(st *parts.Stair, more float64) []r2.Vec {
		flight := st.Flight(s)
		head := flight.HeadLine()
		a, b := r2.Vec{X: head[0].X, Y: head[0].Y}, r2.Vec{X: head[1].X, Y: head[1].Y}
		sin, cos := math.Sincos(st.Facing * math.Pi / 180)
		up := r2.Vec{X: cos, Y: sin}
		foot, over := r2.Scale(-flight.Run(), up), r2.Scale(more, up)
		return []r2.Vec{r2.Add(a, over), r2.Add(a, foot), r2.Add(b, foot), r2.Add(b, over)}
	}
	for _, r := range parts.AllOf[*parts.Rail](s) {
		post := math.Max(r.Post, s.Print.Pin)
		switch on := s.Find(r.Along).(type) {
		case *parts.Stair:
			out = append(out, guardedPlace{fmt.Sprintf("rail %q and its stair %q", r.Name, on.Name), flat(on, r.Inset+post)})
		case *parts.Deck:
			out = append(out, guardedPlace{fmt.Sprintf("rail %q along deck %q", r.Name, on.Name), nil})
		default:
			for i := 1; i < len(r.Line); i++ {
				out = append(out, guardedPlace{fmt.Sprintf("rail %q", r.Name), strip(r.Line[i-1], r.Line[i], post)})
			}
		}
	}
	for _, st := range parts.AllOf[*parts.Stair](s) {
		out = append(out, guardedPlace{fmt.Sprintf("stair %q", st.Name), flat(st, 0)})
	}
	return out
}

// shown counts what is on the base besides land and finishes, in the plan: what
// stands on it or is cut into it with enough of itself, and edges of floors.
func (b *laidBase) shown(s *parts.Site) int {
	least := shownShare * math.Pi * b.reach * b.reach
	n := 0
	see := func(plan []r2.Vec) {
		// Sampled: only whether there is enough matters.
		lo, hi := plan[0], plan[0]
		for _, p := range plan {
			lo = r2.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
			hi = r2.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
		}
		if hi.X < b.at.X-b.reach || lo.X > b.at.X+b.reach || hi.Y < b.at.Y-b.reach || lo.Y > b.at.Y+b.reach {
			return
		}
		const side = 24
		seen := 0
		for i := range side {
			for k := range side {
				p := r2.Vec{X: lo.X + (float64(i)+0.5)/side*(hi.X-lo.X), Y: lo.Y + (float64(k)+0.5)/side*(hi.Y-lo.Y)}
				if polygon.Contains(plan, p) && depthIn(b.outline, p) > taper {
					seen++
				}
			}
		}
		if float64(seen)/(side*side)*(hi.X-lo.X)*(hi.Y-lo.Y) >= math.Min(least, 1.5) {
			n++
		}
	}
	// An edge shows where it crosses the base, a few mm within.
	edge := func(plan []r2.Vec) {
		in := 0
		if len(plan) == 0 {
			return
		}
		for _, p := range b.outline {
			if polygon.Contains(plan, r2.Add(b.at, r2.Scale(0.8, r2.Sub(p, b.at)))) {
				in++
			}
		}
		inner := depthIn(b.outline, plan[0]) > 0
		if in > 0 && in < len(b.outline) || in == 0 && inner {
			n++
		}
	}
	for _, p := range s.Parts {
		if f, ok := p.(parts.Floored); ok {
			for _, floor := range f.Floors(s) {
				if floor.Role != parts.Plot && floor.Area != nil {
					edge(outlineOf(*floor.Area))
				}
			}
			continue
		}
		if d, ok := p.(parts.Debris); ok && d.Source() != "" {
			continue // it lies about what it comes from
		}
		d, ok := p.(parts.Planner)
		if stage := parts.StageOf(p); !ok || stage == parts.Finishing || stage >= parts.Trimming {
			continue
		}
		for _, stroke := range d.Plan(s) {
			if stroke.Closed && stroke.Line != parts.LineHidden && len(stroke.Path) > 1 {
				see(outlineAlong(stroke.Path))
			}
		}
	}
	return n
}

// outlineAlong is a path of the plan in straight sides.
func outlineAlong(path []parts.Node) []r2.Vec {
	const sides = 6 // of an arc
	out := []r2.Vec{path[0].To}
	for i, n := range path[1:] {
		if n.Radii.X > 0 && n.Radii.Y > 0 {
			// On the circle of radius 1 that the ellipse is a picture of.
			circle := func(p r2.Vec) r2.Vec {
				p = turned(p, -n.Turn)
				return r2.Vec{X: p.X / n.Radii.X, Y: p.Y / n.Radii.Y}
			}
			a, b := circle(path[i].To), circle(n.To)
			half := r2.Scale(0.5, r2.Sub(b, a))
			off := math.Sqrt(math.Max(0, 1/math.Max(r2.Norm2(half), 1e-12)-1)) // of its centre, to the left, in halves
			if n.Large != n.Clockwise {
				off = -off
			}
			c := r2.Add(r2.Add(a, half), r2.Scale(off, r2.Vec{X: -half.Y, Y: half.X}))
			from, to := math.Atan2(a.Y-c.Y, a.X-c.X), math.Atan2(b.Y-c.Y, b.X-c.X)
			if sweep := to - from; n.Clockwise && sweep > 0 {
				to -= 2 * math.Pi
			} else if !n.Clockwise && sweep < 0 {
				to += 2 * math.Pi
			}
			for k := 1; k < sides; k++ {
				sin, cos := math.Sincos(from + (to-from)*float64(k)/sides)
				out = append(out, turned(r2.Vec{X: n.Radii.X * (c.X + cos), Y: n.Radii.Y * (c.Y + sin)}, n.Turn))
			}
		}
		out = append(out, n.To)
	}
	return out
}

// outlineOf is an area's outline; none for one that is turned or a polygon,
// which no theme writes.
func outlineOf(a parts.Area) []r2.Vec {
	switch {
	case len(a.Rect) == 4:
		return box(a.Rect[0], a.Rect[1], a.Rect[0]+a.Rect[2], a.Rect[1]+a.Rect[3])
	case len(a.Round) == 3:
		return ringOf(r2.Vec{X: a.Round[0], Y: a.Round[1]}, a.Round[2]/2)
	}
	return nil
}
