package parts

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// onPlan drops the height.
func onPlan(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }

// Plan is the flight's outline, the nosing of every tread, its flanks and the way
// up, from the foot of the first riser to the head of the last.
func (st *Stair) Plan(s *Site) []Stroke {
	l := st.layout(s)
	at := func(x, y float64) r2.Vec { return onPlan(l.Place(x, y, 0)) }
	half, end := st.Width/2, l.Run()+l.Landing
	if end == 0 { // one riser: the edge of the upper level is the step
		return []Stroke{{Line: LineStep, Layer: Standing, Path: straight(at(-half, 0), at(half, 0))}}
	}
	front := -l.Nosing
	strokes := []Stroke{{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
		Path: straight(at(-half, front), at(half, front), at(half, end), at(-half, end))}}
	treads := half
	if l.Cheek > 0 {
		treads -= l.Cheek
		for _, side := range [2]float64{-1, 1} {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
				Path: straight(at(side*treads, 0), at(side*half, 0), at(side*half, end), at(side*treads, end))})
		}
	}
	for i := range l.Risers {
		y := float64(i) * l.Going
		if i < l.Risers-1 {
			y -= l.Nosing // the last riser has the landing over it
		}
		strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Path: straight(at(-treads, y), at(treads, y))})
	}
	return append(strokes, Stroke{Line: LineWay, Layer: Standing, Path: straight(at(0, 0), at(0, l.Run()))})
}

// PlanLabels says how many risers go up, beside the foot of the flight.
func (st *Stair) PlanLabels(s *Site) []Label {
	l := st.layout(s)
	const before = 2.2 // mm before the foot
	return []Label{{At: onPlan(l.Place(0, -l.Nosing-before, 0)), Text: fmt.Sprintf("%d up", l.Risers)}}
}

// Plan is the wall as it is cut between its sills and its heads: solid between the
// openings, their thresholds and sills across them. A coping is drawn as a line
// beside it.
func (w *Wall) Plan(s *Site) []Stroke {
	m := w.masonry(s)
	line := line3{pts: raiseLine(w.Line, 0)}
	sides := line.sides()
	if len(sides) == 0 {
		return nil
	}
	total := sides[len(sides)-1].to
	var strokes []Stroke
	if m.proud > 0 {
		strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
			Path: straight(band(stretch(sides, 0, total), m.thick/2+m.proud)...)})
	}
	solid := func(from, to float64) {
		if to-from > leastSize {
			strokes = append(strokes, Stroke{Line: LineMass, Layer: Standing, Closed: true, Covers: true,
				Path: straight(band(stretch(sides, from, to), m.thick/2)...)})
		}
	}
	from := 0.0
	for _, o := range openingsAlong(w.Openings) {
		width := max(o.Width, s.Print.Gap)
		lo, hi := max(o.At-width/2, 0), min(o.At+width/2, total)
		solid(from, lo)
		from = max(from, hi)
		if hi-lo < leastSize {
			continue
		}
		way := stretch(sides, lo, hi)
		strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Closed: true, Covers: true,
			Path: straight(band(way, m.thick/2)...)})
		if o.Sill > 0 { // the glass line of a window
			strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Path: straight(way...)})
		}
	}
	solid(from, total)
	return strokes
}

// openingsAlong gives the openings in the order of the wall.
func openingsAlong(all []WallOpening) []WallOpening {
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b WallOpening) int { return cmp.Compare(a.At, b.At) })
	return sorted
}

// stretch is the line between two distances along its sides, corners included.
func stretch(sides []side3, from, to float64) []r2.Vec {
	pts := []r2.Vec{onPlan(pointAt(sides, from))}
	for _, s := range sides {
		if s.to > from+1e-9 && s.to < to-1e-9 {
			pts = append(pts, onPlan(s.b))
		}
	}
	return append(pts, onPlan(pointAt(sides, to)))
}

// band is the outline of what lies within a distance on both sides of a line: its
// ends square, its corners mitred, no further out than a right angle needs.
func band(line []r2.Vec, half float64) []r2.Vec {
	n := len(line)
	left, right := make([]r2.Vec, n), make([]r2.Vec, n)
	for i, p := range line {
		var u, v r2.Vec
		if i > 0 {
			u = leftNormal(line[i-1], p)
		}
		if i < n-1 {
			v = leftNormal(p, line[i+1])
		}
		if i == 0 {
			u = v
		}
		if i == n-1 {
			v = u
		}
		m := r2.Add(u, v)
		across := r2.Scale(half*2/max(r2.Norm2(m), 2), m)
		left[n-1-i], right[i] = r2.Add(p, across), r2.Sub(p, across)
	}
	return anticlockwise(append(right, left...))
}

// Plan is the shaft's foot as a cut, its base and its capital as they are seen
// from above.
func (c *Column) Plan(s *Site) []Stroke {
	foot := max(c.Diameter, s.Print.Pin)
	head := max(c.Diameter*c.Taper, s.Print.Pin)
	var strokes []Stroke
	for _, at := range c.At {
		if side := c.plinthSide(foot); side > 0 {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true, Path: squarePath(at, side, 0)})
		}
		if c.Capital != "none" && c.Broken == 0 {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true, Path: squarePath(at, 1.3*head, 0)})
		}
		strokes = append(strokes, Stroke{Line: LineMass, Layer: Standing, Closed: true, Covers: true, Path: circlePath(at, foot/2)})
	}
	return strokes
}

// plinthSide is the side of the square that a shaft stands on, 0 for none.
func (c *Column) plinthSide(diameter float64) float64 {
	switch c.Base {
	case "none":
		return 0
	case "plinth":
		return 1.3 * diameter
	}
	return 1.35 * diameter
}

// Plan is the middle of the handrail and every post.
func (r *Rail) Plan(s *Site) []Stroke {
	z := r.sizes(s, false)
	var strokes []Stroke
	for _, run := range r.runs(s) {
		b := railBuilder{r: r, z: z, run: run, sides: run.line.sides()}
		if len(b.sides) == 0 {
			continue
		}
		pts := make([]r2.Vec, len(run.line.pts))
		for i, p := range run.line.pts {
			pts[i] = onPlan(p)
		}
		strokes = append(strokes, Stroke{Line: LineRail, Path: straight(pts...), Closed: run.line.closed})
		bays := r.bays(run.line, z)
		for i, bay := range bays {
			strokes = append(strokes, b.postPlan(bay.from))
			if last := i == len(bays)-1; last && !run.line.closed || !last && bays[i+1].from != bay.to {
				strokes = append(strokes, b.postPlan(bay.to))
			}
		}
	}
	return strokes
}

// postPlan is the outline of the post at a distance along the line.
func (b *railBuilder) postPlan(at float64) Stroke {
	p := onPlan(pointAt(b.sides, at))
	path := circlePath(p, b.z.post/2)
	if b.r.Section == "square" {
		path = squarePath(p, b.z.post, b.heading(at))
	}
	return Stroke{Line: LineRail, Path: path, Closed: true, Covers: true}
}
