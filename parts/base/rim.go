package base

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
	"socle/sdf"
)

// Shape is the footprint as a signed distance in the plan. Is exact.
func (f Footprint) Shape() planar.Shape { return &planar.Drawn{S: f.drawn()} }

func (f Footprint) drawn() sdf.Shape {
	switch f.Word {
	case "round":
		return sdf.Circle(f.Size.X / 2)
	case "oval":
		return sdf.EllipseShape(f.Size.X/2, f.Size.Y/2)
	case "hexagon":
		return sdf.Polygon(f.Outline())
	case "stadium":
		return sdf.Stadium(f.Size.X, f.Size.Y)
	}
	return sdf.Rectangle(f.Size.X, f.Size.Y, f.corner)
}

// Box is the least box about the footprint. Is exact.
func (f Footprint) Box() r2.Box {
	return r2.Box{Min: r2.Scale(-0.5, f.Size), Max: r2.Scale(0.5, f.Size)}
}

// drum is an upright cylinder between two heights. Is exact.
func drum(at r2.Vec, radius, lo, hi float64) sdf.Field {
	return sdf.Extrude(sdf.Moved(sdf.Circle(radius), at, 0), lo, hi)
}

// tapered is a footprint drawn in by inset mm all round, a true parallel of its
// outline, and narrowing with the rim: from the top of the chamfer, where the
// base is widest and has its nominal size, to the top of the rim, and upright
// from there to hi.
func (b *Base) tapered(f Footprint, inset, lo, hi float64) sdf.Field {
	shape := f.Shape()
	if inset > 0 {
		shape = &planar.Inset{F: shape, D: inset}
	}
	if b.Taper == 0 {
		return planar.Prism(shape, f.Box(), lo, hi)
	}
	rise := b.Height - b.Chamfer
	slope := math.Hypot(b.Taper, rise)
	rim := &planar.Bank{Shape: shape, Box: f.Box(), At: b.Chamfer, Lo: lo, Hi: math.Min(hi, b.Height), Sin: rise / slope, Cos: b.Taper / slope}
	if hi <= b.Height {
		return rim
	}
	return sdf.Union(rim, planar.Prism(&planar.Inset{F: shape, D: b.Taper}, f.Box(), math.Max(lo, 0), hi))
}

// Column is all that a base may fill, from its foot at z = 0 to hi: the rim with
// its taper and chamfer, and the upright over the rim's top.
func (b *Base) Column(f Footprint, hi float64) sdf.Field {
	c := b.tapered(f, 0, 0, hi)
	if b.Chamfer > 0 {
		c = sdf.Intersection(c, &planar.Bank{Shape: f.Shape(), Box: f.Box(), At: b.Chamfer, Lo: -1, Hi: hi + 1, Sin: math.Sqrt2 / 2, Cos: -math.Sqrt2 / 2})
	}
	return c
}

// Within is the column without a band of the given width inside its edge, open
// at the foot.
func (b *Base) Within(f Footprint, width, hi float64) sdf.Field {
	return b.tapered(f, width, -1, hi+1)
}
