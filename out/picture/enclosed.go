package picture

import "gonum.org/v1/gonum/spatial/r3"

// stand sets the camera up as aim does. A camera that would stand inside a solid steps
// back out of it: the angle of view is halved, so that the frame is still filled, until
// the camera is in the open or, without perspective, infinitely far away.
func stand(v View, f *facets, points []r3.Vec, in frame, height, perMM float64) camera {
	for {
		c := aim(v, points, in, height, perMM)
		if v.Perspective == 0 || !f.enclose(r3.Add(c.focus, r3.Scale(c.dist, c.back)), &c) {
			return c
		}
		v.Perspective /= 2
		v = v.tidy()
	}
}

// enclose tells whether a point lies inside solids: whether a ray from it, away from
// what the camera looks at, leaves them more often than it enters them. Along a shared
// edge or through a shared vertex the ray meets one facet of those that meet there.
func (f *facets) enclose(p r3.Vec, c *camera) bool {
	px, py, pz := r3.Dot(p, c.right), r3.Dot(p, c.up), r3.Dot(p, c.back)
	type seen struct{ x, y, z float64 }
	points := make([]seen, len(f.points))
	for i, q := range f.points {
		points[i] = seen{r3.Dot(q, c.right) - px, r3.Dot(q, c.up) - py, r3.Dot(q, c.back) - pz}
	}
	// crosses gives the side on which an edge passes the ray: 1 where it runs up to the
	// right of it, -1 where down, 0 where it does not.
	crosses := func(i, j int32) int {
		sign := 1
		if i > j { // the same sums for both facets at the edge
			i, j, sign = j, i, -1
		}
		a, b := points[i], points[j]
		if (a.y > 0) == (b.y > 0) {
			return 0
		}
		if a.y > 0 {
			a, b, sign = b, a, -sign
		}
		if a.x*b.y-b.x*a.y > 0 {
			return sign
		}
		return 0
	}
	left := 0
	for _, t := range f.corners {
		turn := crosses(t[0], t[1]) + crosses(t[1], t[2]) + crosses(t[2], t[0])
		if turn == 0 {
			continue
		}
		// The facet's plane, where it passes the ray.
		a, b, d := points[t[0]], points[t[1]], points[t[2]]
		u := seen{b.x - a.x, b.y - a.y, b.z - a.z}
		w := seen{d.x - a.x, d.y - a.y, d.z - a.z}
		n := seen{u.y*w.z - u.z*w.y, u.z*w.x - u.x*w.z, u.x*w.y - u.y*w.x}
		if height := n.x*a.x + n.y*a.y + n.z*a.z; height*float64(turn) > 0 {
			left += turn
		}
	}
	return left > 0
}
