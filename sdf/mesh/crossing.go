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
	hx, hy, hz := along(x, y, z, axis, size)
	at, g := c.root(lo, axis, length, c.corner(x, y, z), c.corner(hx, hy, hz))
	p := c.t.within(lo, axis, int32(math.Round(at)), 1)
	p[axis] = min(max(p[axis], lo[axis]+cornerGap), lo[axis]+length-cornerGap)
	v := c.add(p, onEdge, g)
	c.edges.put(k, v)
	return v
}

// corners remembers the field at the corners of the cells of the block in hand.
type corners struct {
	cells  [cellPlaces]float64 // at whole cells; NaN where it is not known
	places keyTable            // at the steps between them, in values
	values []float64
}

func (k *corners) forget() {
	for i := range k.cells {
		k.cells[i] = math.NaN()
	}
	k.places.reset()
	k.values = k.values[:0]
}

// corner is the field at a corner of cells.
func (c *contour) corner(x, y, z int) float64 {
	if (x|y|z)%cellSteps == 0 {
		v := &c.known.cells[cellPlace(x, y, z)]
		if *v != *v {
			*v = c.value(c.f, c.t.at(c.b.at, x, y, z).vec())
		}
		return *v
	}
	k := key(x, y, z, 0)
	if i, ok := c.known.places.get(k); ok {
		return c.known.values[i]
	}
	v := c.value(c.f, c.t.at(c.b.at, x, y, z).vec())
	c.known.places.put(k, int32(len(c.known.values)))
	c.known.values = append(c.known.values, v)
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

// root finds where along an edge of length units the field changes sign from fa to fb,
// in units from its low end, and the gradient there: Illinois false position, then
// halving. The first guess is right where the surface is flat, so it takes the gradient
// at once.
func (c *contour) root(lo ipoint, axis int, length int32, fa, fb float64) (float64, r3.Vec) {
	base := lo.vec()
	point := func(s float64) r3.Vec {
		p := base
		switch axis {
		case 0:
			p.X += s * unit
		case 1:
			p.Y += s * unit
		default:
			p.Z += s * unit
		}
		return p
	}
	a, b := 0.0, float64(length)
	for i := range 60 {
		m := a + (b-a)*fa/(fa-fb)
		if i > 8 || !(m > a && m < b) {
			m = (a + b) / 2
		}
		var fm float64
		var g r3.Vec
		if i == 0 {
			fm, g = c.gradient(c.f, point(m))
		} else {
			fm = c.value(c.f, point(m))
		}
		if math.Abs(fm) < rootTolerance || b-a < 0.25 {
			if i > 0 {
				_, g = c.gradient(c.f, point(m))
			}
			return m, g
		}
		if (fm < 0) == (fa < 0) {
			a, fa = m, fm
			fb /= 2
		} else {
			b, fb = m, fm
			fa /= 2
		}
	}
	m := (a + b) / 2
	_, g := c.gradient(c.f, point(m))
	return m, g
}
