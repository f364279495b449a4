package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// shape is the footprint as a signed distance in the plan. Is exact.
func (f footprint) shape() planShape { return &drawnShape{f.drawn()} }

func (f footprint) drawn() sdf.Shape {
	switch f.word {
	case "round":
		return sdf.Circle(f.size.X / 2)
	case "oval":
		return sdf.EllipseShape(f.size.X/2, f.size.Y/2)
	case "hexagon":
		return sdf.Polygon(f.outline())
	case "stadium":
		return sdf.Stadium(f.size.X, f.size.Y)
	}
	return sdf.Rectangle(f.size.X, f.size.Y, f.corner)
}

func (f footprint) box() r2.Box {
	return r2.Box{Min: r2.Scale(-0.5, f.size), Max: r2.Scale(0.5, f.size)}
}

// drum is an upright cylinder between two heights. Is exact.
func drum(at r2.Vec, radius, lo, hi float64) sdf.Field {
	return sdf.Extrude(sdf.Moved(sdf.Circle(radius), at, 0), lo, hi)
}

// tapered is a footprint drawn in by inset mm all round, a true parallel of its
// outline, and narrowing with the rim: from the top of the chamfer, where the
// base is widest and has its nominal size, to the top of the rim, and upright
// from there to hi.
func (b *Base) tapered(f footprint, inset, lo, hi float64) sdf.Field {
	shape := f.shape()
	if inset > 0 {
		shape = &insetShape{shape, inset}
	}
	if b.Taper == 0 {
		return post(shape, f.box(), lo, hi)
	}
	rise := b.Height - b.Chamfer
	slope := math.Hypot(b.Taper, rise)
	rim := &bank{shape: shape, box: f.box(), at: b.Chamfer, lo: lo, hi: math.Min(hi, b.Height), sin: rise / slope, cos: b.Taper / slope}
	if hi <= b.Height {
		return rim
	}
	return sdf.Union(rim, post(&insetShape{shape, b.Taper}, f.box(), math.Max(lo, 0), hi))
}

// column is all that a base may fill, from its foot at z = 0 to hi: the rim with
// its taper and chamfer, and the upright over the rim's top.
func (b *Base) column(f footprint, hi float64) sdf.Field {
	c := b.tapered(f, 0, 0, hi)
	if b.Chamfer > 0 {
		c = sdf.Intersection(c, &bank{shape: f.shape(), box: f.box(), at: b.Chamfer, lo: -1, hi: hi + 1, sin: math.Sqrt2 / 2, cos: -math.Sqrt2 / 2})
	}
	return c
}

// within is the column without a band of the given width inside its edge, open
// at the foot.
func (b *Base) within(f footprint, width, hi float64) sdf.Field {
	return b.tapered(f, width, -1, hi+1)
}
