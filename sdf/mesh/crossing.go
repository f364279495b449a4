package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// crossing finds where the surface crosses a minimal edge.
func (c *contour) crossing(x, y, z, axis, size int) int32 {
	k := key(x, y, z, axis)
	if v, ok := c.edges.get(k); ok {
		return v
	}
	lo := c.t.at(c.b.at, x, y, z)
	length := int32(size) * c.t.step
	at := c.root(lo, axis, length)
	p := c.t.within(lo, axis, int32(math.Round(at)))
	p[axis] = min(max(p[axis], lo[axis]+cornerGap), lo[axis]+length-cornerGap)
	_, g := c.gradient(c.f, p.vec())
	v := c.add(p, onEdge, g)
	c.edges.put(k, v)
	return v
}

func unitOrZero(g r3.Vec) r3.Vec {
	n := r3.Norm(g)
	if n < 1e-9 {
		return r3.Vec{}
	}
	return r3.Scale(1/n, g)
}

// rootTolerance is the |field| in mm at which a crossing is found: an eighth of
// a unit.
const rootTolerance = unit / 8

// root finds where along an edge of length units the field changes sign, in
// units from its low end: Illinois false position, then halving.
func (c *contour) root(lo ipoint, axis int, length int32) float64 {
	base := lo.vec()
	at := func(s float64) float64 {
		p := base
		switch axis {
		case 0:
			p.X += s * unit
		case 1:
			p.Y += s * unit
		default:
			p.Z += s * unit
		}
		return c.value(c.f, p)
	}
	a, b := 0.0, float64(length)
	fa, fb := at(a), at(b)
	for i := range 60 {
		if b-a < 0.25 {
			break
		}
		m := a + (b-a)*fa/(fa-fb)
		if i > 8 || !(m > a && m < b) {
			m = (a + b) / 2
		}
		fm := at(m)
		if math.Abs(fm) < rootTolerance {
			return m
		}
		if (fm < 0) == (fa < 0) {
			a, fa = m, fm
			fb /= 2
		} else {
			b, fb = m, fm
			fa /= 2
		}
	}
	return (a + b) / 2
}
