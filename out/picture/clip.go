package picture

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// nearest is how near to the camera something may be, of the distance to the focus, and
// still be drawn. What is nearer is cut away.
const nearest = 0.05

// The sides of what can be drawn: in front of the camera, and on the grid. Each tells how
// far inside of it a point lies that inAxes gave; negative is outside.
func (c *camera) sides() []func(p r3.Vec) float64 {
	const most = offGrid / 2 // samples from the focus
	reach := func(p r3.Vec) float64 { return most / c.scale }
	if c.dist > 0 {
		reach = func(p r3.Vec) float64 { return most / c.scale * (1 - p.Z/c.dist) }
	}
	sides := []func(p r3.Vec) float64{
		func(p r3.Vec) float64 { return reach(p) - p.X }, func(p r3.Vec) float64 { return reach(p) + p.X },
		func(p r3.Vec) float64 { return reach(p) - p.Y }, func(p r3.Vec) float64 { return reach(p) + p.Y },
	}
	if c.dist > 0 {
		sides = append(sides, func(p r3.Vec) float64 { return (1-nearest)*c.dist - p.Z })
	}
	return sides
}

// clip gives, as triangles, what can be drawn of the facets that reach from where it can
// be to where it cannot; dots are of the points of all patches. Their corners are in more,
// and owner tells whose each is. Facets that share an edge are cut at the same places of it.
func (c *camera) clip(f *facets, dots []dot) (more []dot, cut [][3]int32, owner []int32) {
	sides := c.sides()
	var polygon, left []r3.Vec
	for _, p := range f.patches.all {
		own := dots[p.point : p.point+p.points]
		if !slices.ContainsFunc(own, func(d dot) bool { return d.x == away }) {
			continue
		}
		for i := p.facet; i < p.facet+p.facets; i++ {
			if k := f.patches.corners[i]; own[k[0]].x != away && own[k[1]].x != away && own[k[2]].x != away {
				continue
			}
			polygon = polygon[:0]
			for _, k := range f.corners[i] {
				polygon = append(polygon, c.inAxes(f.points[k]))
			}
			for _, side := range sides {
				left = left[:0]
				for k, p := range polygon {
					q := polygon[(k+1)%len(polygon)]
					from, to := side(p), side(q)
					if from >= 0 {
						left = append(left, p)
					}
					if (from >= 0) != (to >= 0) {
						if from < 0 { // always from inside, so that both facets at an edge agree
							p, q, from, to = q, p, to, from
						}
						left = append(left, r3.Add(p, r3.Scale(from/(from-to), r3.Sub(q, p))))
					}
				}
				polygon, left = left, polygon
			}
			first := int32(len(more))
			for k, p := range polygon {
				more = append(more, toDot(c.onPicture(p)))
				if k >= 2 {
					cut = append(cut, [3]int32{first, first + int32(k) - 1, first + int32(k)})
					owner = append(owner, int32(i))
				}
			}
		}
	}
	return more, cut, owner
}
