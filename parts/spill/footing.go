package spill

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

const (
	// footingBite is how far a footing reaches into what lies under it, mm.
	footingBite = 0.1
	// footingShare is how deep a footing is at most, over the size of its fragment: over
	// an edge a fragment hangs all the same.
	footingShare = 1.5
	// thinShare is that under a thin plate that leans.
	thinShare = 0.6
)

// settled is a fragment that bites into the pile at places as it stays there, so that no
// resin is shut in under it, none of it begins in the air, and none hangs too far out: what
// is lower than a crevice is filled, and its lowest corner is propped. What is thin would
// stand free: it is filled under. It does not stay where that would be too deep: deeper
// only at the last place that it is tried at.
func (l *layer) settled(f shard, bodies []body, bites []r2.Vec, turn float64, last bool) ([]body, bool) {
	out := slices.Clone(bodies)
	for i, b := range bodies {
		low := lowSide(b.Polytope, b.corners)
		if len(low) == 0 {
			continue
		}
		if l.filled {
			out[i] = l.footed(b, low, footingShare*f.size)
			continue
		}
		lowest, most, beyond := low[0], 0.0, 0.0
		for _, c := range low {
			gap := c.Z - l.roughly(c.X, c.Y)
			most = math.Max(most, gap)
			if gap > l.crevice {
				beyond = math.Max(beyond, outside(bites, r2.Vec{X: c.X, Y: c.Y}))
			}
			if c.Z < lowest.Z {
				lowest = c
			}
		}
		thin := f.thick > 0 && f.thick < l.wall
		switch {
		case most <= l.crevice:
			out[i] = l.footed(b, low, l.crevice)
		case thin || beyond > l.hang:
			deepest := thinShare * f.size
			if last {
				deepest = footingShare * f.size
			}
			if most > deepest {
				return nil, false
			}
			out[i] = l.footed(b, low, deepest)
		case lowest.Z-l.roughly(lowest.X, lowest.Y) > l.crevice/2:
			prop := l.prop(lowest, turn)
			if prop == nil || l.cutShort([]body{*prop}, r2.Vec{X: lowest.X, Y: lowest.Y}) {
				return nil, false
			}
			out = append(out, *prop)
		}
	}
	return out, true
}

// outside is how far a place is from the hull of others, mm.
func outside(hull []r2.Vec, q r2.Vec) float64 {
	if len(hull) > 2 {
		return math.Max(0, planar.NewConvex(hull).At(q))
	}
	near := math.Inf(1)
	for i, p := range hull {
		near = math.Min(near, planar.SegmentDistance(q, hull[max(0, i-1)], p))
	}
	return near
}

// prop is a small stone under a corner that is in the air.
func (l *layer) prop(at r3.Vec, turn float64) *body {
	const bite = 0.15 // mm, into both
	foot, top := l.height(at.X, at.Y)-bite, at.Z+bite
	if math.IsInf(foot, -1) {
		return nil
	}
	head := 0.6 * l.chip
	wide := head + 0.35*(top-foot)
	planes := []convex.Plane{{N: sdf.V(0, 0, -1), D: -foot}, {N: sdf.V(0, 0, 1), D: top}}
	const sides = 5
	for i := range sides {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/sides + 0.3*float64(i%2))
		planes = append(planes, through(sdf.V(cos, sin, (wide-head)/(top-foot)), sdf.V(at.X+wide*cos, at.Y+wide*sin, foot)))
	}
	corners := convex.Corners(planes)
	if solid := convex.Of(planes, corners); solid != nil {
		return &body{solid, corners}
	}
	return nil
}

// footed is a fragment with what is under it filled, straight down, as deep as a depth, mm.
func (l *layer) footed(b body, low []r3.Vec, deepest float64) body {
	deep := 0.0
	for _, c := range low {
		if gap := c.Z - l.roughly(c.X, c.Y); gap <= deepest {
			deep = math.Max(deep, gap+footingBite)
		}
	}
	if deep <= footingBite {
		return b
	}
	planes, corners := lowered(b.Planes, b.corners, deep)
	if solid := convex.Of(planes, corners); solid != nil {
		return body{solid, corners}
	}
	return b
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
func lowered(planes []convex.Plane, corners []r3.Vec, by float64) ([]convex.Plane, []r3.Vec) {
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
	return out, convex.Corners(out)
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
