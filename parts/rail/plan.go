package rail

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the middle of the handrail and every post.
func (r *Rail) Plan(s *parts.Site) []parts.Stroke {
	z := r.settled(s)
	var strokes []parts.Stroke
	for _, run := range z.stretches {
		b := builder{r: r, z: z, run: run}
		if len(run.sides) == 0 {
			continue
		}
		pts := make([]r2.Vec, len(run.line.Pts))
		for i, p := range run.line.Pts {
			pts[i] = planar.OnPlan(p)
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineRail, Path: planar.Straight(pts...), Closed: run.line.Closed})
		for i, bay := range run.bays {
			strokes = append(strokes, b.postPlan(bay.from))
			if last := i == len(run.bays)-1; last && !run.line.Closed || !last && run.bays[i+1].from != bay.to {
				strokes = append(strokes, b.postPlan(bay.to))
			}
		}
	}
	return strokes
}

// postPlan is the outline of the post at a distance along the line.
func (b *builder) postPlan(at float64) parts.Stroke {
	p := planar.OnPlan(planar.PointAt(b.run.sides, at))
	path := planar.CirclePath(p, b.z.post/2)
	if b.r.Section == "square" {
		path = planar.SquarePath(p, b.z.post, b.heading(at))
	}
	return parts.Stroke{Line: parts.LineRail, Path: path, Closed: true, Covers: true}
}
