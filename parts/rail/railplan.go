package rail

import (
	"socle/parts"
	"socle/parts/planar"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the middle of the handrail and every post.
func (r *Rail) Plan(s *parts.Site) []parts.Stroke {
	z := r.sizes(s, false)
	var strokes []parts.Stroke
	for _, run := range r.runs(s) {
		b := railBuilder{r: r, z: z, run: run, sides: run.line.Sides()}
		if len(b.sides) == 0 {
			continue
		}
		pts := make([]r2.Vec, len(run.line.Pts))
		for i, p := range run.line.Pts {
			pts[i] = planar.OnPlan(p)
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineRail, Path: planar.Straight(pts...), Closed: run.line.Closed})
		bays := r.bays(run.line, z)
		for i, bay := range bays {
			strokes = append(strokes, b.postPlan(bay.from))
			if last := i == len(bays)-1; last && !run.line.Closed || !last && bays[i+1].from != bay.to {
				strokes = append(strokes, b.postPlan(bay.to))
			}
		}
	}
	return strokes
}

// postPlan is the outline of the post at a distance along the line.
func (b *railBuilder) postPlan(at float64) parts.Stroke {
	p := planar.OnPlan(planar.PointAt(b.sides, at))
	path := planar.CirclePath(p, b.z.post/2)
	if b.r.Section == "square" {
		path = planar.SquarePath(p, b.z.post, b.heading(at))
	}
	return parts.Stroke{Line: parts.LineRail, Path: path, Closed: true, Covers: true}
}
