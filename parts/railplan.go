package parts

import "gonum.org/v1/gonum/spatial/r2"

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
