package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// growOver lets stones that are rectangles in the courses grow over slivers beside
// them, as a mason lays a longer stone in place of a thin cut: a side of a stone moves
// out over slivers where nothing else lies before it. It changes slabs in place. It
// returns the slivers that are left, in order.
func (c *cutter) growOver(slabs, slivers []slab) []slab {
	g := &plot{size: 0}
	for _, set := range [2][]slab{slabs, slivers} {
		for i := range set {
			b := planar.Bounds(set[i].corners)
			g.size = max(g.size, max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y))
		}
	}
	g.at = make(map[[2]int][]int)
	for i := range slabs {
		g.put(i, planar.Bounds(slabs[i].corners))
	}
	covered := make([]float64, len(slivers))
	for i := range slivers {
		v := &slivers[i]
		if v.outline == nil || !isBox(v.corners) {
			continue
		}
		thin := planar.Bounds(v.outline)
		for _, n := range g.near(planar.GrownBox(thin, c.joint)) {
			if !isBox(slabs[n].corners) {
				continue
			}
			from := planar.Bounds(slabs[n].corners)
			to, ok := reachOver(from, thin)
			if !ok || g.taken(slabs, n, to, from) {
				continue
			}
			if s, got := c.cutTo(cell{corners: planar.Corners(to), course: slabs[n].course, n: slabs[n].n}); got == cutKept {
				slabs[n] = s
				g.put(n, to)
			}
		}
	}
	var left []slab
	for i := range slivers {
		thin := planar.Bounds(slivers[i].outlineOrCorners())
		for _, n := range g.near(thin) {
			covered[i] += sharedArea(thin, planar.Bounds(slabs[n].corners))
		}
		if covered[i] < (thin.Max.X-thin.Min.X)*(thin.Max.Y-thin.Min.Y)-1e-6 {
			left = append(left, slivers[i])
		}
	}
	return left
}

func (s *slab) outlineOrCorners() []r2.Vec {
	if s.outline != nil {
		return s.outline
	}
	return s.corners
}

// isBox says whether corners are an upright rectangle, from its south-west corner.
func isBox(corners []r2.Vec) bool {
	return len(corners) == 4 && corners[0].Y == corners[1].Y && corners[1].X == corners[2].X &&
		corners[2].Y == corners[3].Y && corners[3].X == corners[0].X
}

// reachOver moves the one side of a box that faces a thin box beside it out to
// that one's far side; ok is false where the two do not lie side by side.
func reachOver(from, thin r2.Box) (to r2.Box, ok bool) {
	const touch = 1e-6
	alongX := min(from.Max.X, thin.Max.X)-max(from.Min.X, thin.Min.X) > touch
	alongY := min(from.Max.Y, thin.Max.Y)-max(from.Min.Y, thin.Min.Y) > touch
	to = from
	switch {
	case alongX && math.Abs(thin.Min.Y-from.Max.Y) < touch:
		to.Max.Y = thin.Max.Y
	case alongX && math.Abs(thin.Max.Y-from.Min.Y) < touch:
		to.Min.Y = thin.Min.Y
	case alongY && math.Abs(thin.Min.X-from.Max.X) < touch:
		to.Max.X = thin.Max.X
	case alongY && math.Abs(thin.Max.X-from.Min.X) < touch:
		to.Min.X = thin.Min.X
	default:
		return to, false
	}
	return to, true
}

func sharedArea(a, b r2.Box) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	d := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || d <= 0 {
		return 0
	}
	return w * d
}

// plot finds the stones near a place: a grid of squares as large as the largest
// stone. The map is only looked up, never walked.
type plot struct {
	size float64
	at   map[[2]int][]int
}

func (g *plot) squares(b r2.Box) (x0, y0, x1, y1 int) {
	return int(math.Floor(b.Min.X / g.size)), int(math.Floor(b.Min.Y / g.size)),
		int(math.Floor(b.Max.X / g.size)), int(math.Floor(b.Max.Y / g.size))
}

func (g *plot) put(n int, b r2.Box) {
	x0, y0, x1, y1 := g.squares(b)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			g.at[[2]int{x, y}] = append(g.at[[2]int{x, y}], n)
		}
	}
}

// near lists, once each, the stones whose squares a box meets.
func (g *plot) near(b r2.Box) []int {
	var out []int
	seen := make(map[int]bool)
	x0, y0, x1, y1 := g.squares(b)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for _, n := range g.at[[2]int{x, y}] {
				if !seen[n] {
					seen[n] = true
					out = append(out, n)
				}
			}
		}
	}
	return out
}

// taken says whether any other stone lies where stone n would grow from one
// box to another.
func (g *plot) taken(slabs []slab, n int, to, from r2.Box) bool {
	for _, m := range g.near(to) {
		b := planar.Bounds(slabs[m].corners)
		if m != n && sharedArea(b, to)-sharedArea(b, from) > 1e-9 {
			return true
		}
	}
	return false
}
