package spill

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf/convex"
)

const (
	// footingBite is how far a footing reaches into what lies under it, mm.
	footingBite = 0.1
	// footingShare is how deep a footing is at most, over the size of its fragment: over
	// an edge a fragment hangs all the same.
	footingShare = 1.5
)

// footed is a fragment that lies on a pile with what is under it filled, straight down:
// nothing is shut in there, and nothing hangs. Where less than all is asked for, it is filled
// only if nothing of it is higher over the pile than deepest, mm.
func (p *pile) footed(f *convex.Polytope, deepest float64, all bool) *convex.Polytope {
	corners := convex.Corners(f.Planes)
	deep, height := 0.0, p.roughly
	if all {
		height = p.height
	}
	for _, c := range lowSide(f, corners) {
		switch gap := c.Z - height(c.X, c.Y); {
		case gap <= deepest:
			deep = math.Max(deep, gap+footingBite)
		case !all:
			return f
		}
	}
	if deep <= footingBite {
		return f
	}
	if out := lowered(f.Planes, corners, deep); out != nil {
		return out
	}
	return f
}

// lowSide are places of a convex solid that look down: its corners, and half way from those
// to their middle.
func lowSide(f *convex.Polytope, corners []r3.Vec) (low []r3.Vec) {
	for _, c := range corners {
		for _, g := range f.Planes {
			if g.N.Z < -1e-3 && r3.Dot(g.N, c) > g.D-1e-6 {
				low = append(low, c)
				break
			}
		}
	}
	var middle r3.Vec
	for _, c := range low {
		middle = r3.Add(middle, r3.Scale(1/float64(len(low)), c))
	}
	for _, c := range low {
		low = append(low, r3.Scale(0.5, r3.Add(c, middle)))
	}
	return low
}

// lowered is what a convex solid passes through that is let down by so much.
func lowered(planes []convex.Plane, corners []r3.Vec, by float64) *convex.Polytope {
	if by <= 0 {
		return nil
	}
	var out []convex.Plane
	for _, f := range planes {
		if f.N.Z < 0 {
			f.D -= f.N.Z * by
		}
		out = append(out, f)
	}
	plan := make([]r2.Vec, len(corners))
	for i, c := range corners {
		plan[i] = r2.Vec{X: c.X, Y: c.Y}
	}
	for _, s := range planar.SidesOf(planHull(plan)) {
		out = append(out, convex.Plane{N: r3.Vec{X: s.Normal.X, Y: s.Normal.Y}, D: s.Offset})
	}
	return convex.New(out)
}

// planHull is the convex hull of points, anticlockwise (Andrew's monotone chain,
// Information Processing Letters 9(5), 1979), without corners nearer than a rounding.
func planHull(points []r2.Vec) []r2.Vec {
	const same = 1e-6 // mm2
	sorted := slices.SortedFunc(slices.Values(points), func(a, b r2.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	var chain []r2.Vec
	add := func(p r2.Vec, least int) {
		for len(chain) >= least+2 && r2.Cross(r2.Sub(chain[len(chain)-1], chain[len(chain)-2]), r2.Sub(p, chain[len(chain)-1])) <= same {
			chain = chain[:len(chain)-1]
		}
		chain = append(chain, p)
	}
	for _, p := range sorted {
		add(p, 0)
	}
	lower := len(chain) - 1
	for _, p := range slices.Backward(sorted[:max(0, len(sorted)-1)]) {
		add(p, lower)
	}
	return chain[:max(0, len(chain)-1)]
}
