package fracture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// upright is a field as it is at one height, at all heights.
type upright struct {
	f sdf.Field
	z float64
}

// Upright are bites as they are at one height, at all heights: a slab with room beneath
// it is holed right through.
func Upright(bites []parts.Bite, z float64) []parts.Bite {
	out := make([]parts.Bite, len(bites))
	for i, b := range bites {
		b.Gone = &upright{b.Gone, z}
		out[i] = b
	}
	return out
}

func (u *upright) at(p r3.Vec) r3.Vec { return sdf.V(p.X, p.Y, u.z) }

func (u *upright) Value(p r3.Vec) float64 { return u.f.Value(u.at(p)) }

func (u *upright) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := u.f.Gradient(u.at(p))
	g.Z = 0
	return d, g
}

func (u *upright) Bounds() r3.Box {
	b := u.f.Bounds()
	b.Min.Z, b.Max.Z = math.Inf(-1), math.Inf(1)
	return b
}

func (u *upright) Lipschitz() float64 { return u.f.Lipschitz() }
func (u *upright) Tightness() float64 { return u.f.Tightness() }
func (u *upright) Cost() int          { return u.f.Cost() }

func (u *upright) Prune(b sdf.Ball) sdf.Field {
	if f := u.f.Prune(sdf.Ball{C: u.at(b.C), R: b.R + 1e-9}); f != u.f {
		return &upright{f, u.z}
	}
	return u
}
