package sdf

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// offset is a solid grown or shrunk.
type offset struct {
	f Field
	d float64
}

// Offset grows a solid by d mm all round, with round outer edges; a negative d
// shrinks it. Is exact where f is and where f is exact on that side.
func Offset(f Field, d float64) Field {
	if d == 0 {
		return f
	}
	return &offset{f, d}
}

func (o *offset) Value(p r3.Vec) float64 { return o.f.Value(p) - o.d }

func (o *offset) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := o.f.Gradient(p)
	return v - o.d, g
}

// Bounds: f <= d holds no further than d/tightness outside f's box. A shrunk
// solid keeps the box of the whole one.
func (o *offset) Bounds() r3.Box {
	return boxGrow(o.f.Bounds(), max(0, o.d)/o.f.Tightness())
}

func (o *offset) Lipschitz() float64 { return o.f.Lipschitz() }
func (o *offset) Tightness() float64 { return o.f.Tightness() }
func (o *offset) Cost() int          { return o.f.Cost() }

func (o *offset) Prune(b Ball) Field {
	if f := o.f.Prune(b); f != o.f {
		return &offset{f, o.d}
	}
	return o
}

func (o *offset) Plane() (r3.Vec, float64, bool) {
	pl, ok := o.f.(Planar)
	if !ok {
		return r3.Vec{}, 0, false
	}
	n, d, ok := pl.Plane()
	return n, d + o.d, ok
}
