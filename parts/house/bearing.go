package house

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// rectangle is the plan of a storey or a roof: a frame about its middle, and half its sides.
type rectangle struct {
	pose sdf.Pose
	half r2.Vec
}

// rectangleOf is that of an area that is a rect, its own y along a heading, degrees.
func rectangleOf(a *parts.Area, heading float64) rectangle {
	c := a.Centre()
	off := math.Mod(heading-a.Turn-90, 180)
	half := r2.Vec{X: a.Rect[2] / 2, Y: a.Rect[3] / 2}
	if math.Abs(math.Abs(off)-90) < 45 {
		half.X, half.Y = half.Y, half.X
	}
	return rectangle{sdf.Turn(sdf.V(0, 0, 1), heading-90).Then(sdf.At(sdf.V(c.X, c.Y, 0))), half}
}

// headings are the four of the sides of a rect, the first along its longer side.
func headings(a *parts.Area) [4]float64 {
	h := a.Turn
	if a.Rect[3] > a.Rect[2] {
		h += 90
	}
	return [4]float64{h, h + 180, h + 90, h + 270}
}

// nearest is the one of some headings that is nearest to another.
func nearest(to float64, of ...float64) float64 {
	best, most := of[0], math.Inf(-1)
	for _, h := range of {
		if along := planar.Dot2(planar.Heading(h), planar.Heading(to)); along > most+1e-9 {
			best, most = h, along
		}
	}
	return best
}

// plan is a rectangle about its axes, in the scene, anticlockwise.
func (r *rectangle) plan(lo, hi r2.Vec) []r2.Vec {
	var out []r2.Vec
	for _, q := range planar.Corners(r2.Box{Min: lo, Max: hi}) {
		out = append(out, planar.OnPlan(r.pose.Apply(planar.Raise(q))))
	}
	return out
}

// box is a block in the frame.
func (r *rectangle) box(lo, hi r3.Vec) sdf.Field { return sdf.Place(sdf.BoxBetween(lo, hi), r.pose) }

// rectFault reports an area that is not a rect, or one narrower than least, mm.
func rectFault(part string, a *parts.Area, least float64) []parts.Fault {
	if faults := a.Check(part, "area"); len(faults) > 0 {
		return faults
	}
	if len(a.Rect) == 0 {
		return []parts.Fault{{Part: part, Key: "area", Text: "is no rectangle", Allowed: "rect = [x, y, width, depth], with turn"}}
	}
	if math.Min(a.Rect[2], a.Rect[3]) < least {
		return []parts.Fault{{Part: part, Key: "area.rect", Text: "is too narrow", Allowed: "sides of at least " + parts.Short(least) + " mm"}}
	}
	return nil
}

// walls is all that stands up along lines: what timbers may be let into. Only what keeps its
// own rules counts.
func walls(s *parts.Site) sdf.Field {
	type standing struct{ sdf.Field }
	return parts.Settled(s, nil, func() standing {
		var all []sdf.Field
		for _, p := range s.Parts {
			w, ok := p.(parts.Walled)
			if !ok {
				continue
			}
			if c, checks := p.(parts.Checker); checks && len(c.Check(s)) > 0 {
				continue
			}
			all = append(all, w.Solid(s))
		}
		return standing{sdf.Union(all...)}
	}).Field
}

// groundUnder is how far down a post goes under a plan to be held, mm.
func groundUnder(s *parts.Site, plan []r2.Vec, below float64) float64 {
	if ground, ok := s.LandUnder(plan); ok {
		return math.Min(ground, below) - parts.Embed
	}
	return math.Min(0, below) - parts.Embed
}

// posts carry a line between two places of a frame at even spacing, up to a height: square,
// of a side.
func (r *rectangle) posts(s *parts.Site, a, b r2.Vec, side, spacing, top float64) (solids []sdf.Field, at []r2.Vec) {
	long := planar.Norm2(r2.Sub(b, a))
	n := planar.EqualBays(long-side, spacing)
	for i := range n + 1 {
		t := (side/2 + (long-side)*float64(i)/float64(n)) / math.Max(long, 1e-9)
		q := r2.Add(a, r2.Scale(t, r2.Sub(b, a)))
		h := r2.Vec{X: side / 2, Y: side / 2}
		lo, hi := r2.Sub(q, h), r2.Add(q, h)
		foot := groundUnder(s, r.plan(lo, hi), top)
		solids = append(solids, r.box(sdf.V(lo.X, lo.Y, foot), sdf.V(hi.X, hi.Y, top)))
		at = append(at, planar.OnPlan(r.pose.Apply(planar.Raise(q))))
	}
	return solids, at
}
