package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// bent is a relief whose lines along y bend.
type bent struct {
	h     Relief
	seed  uint64
	pitch float64 // from bend to bend, mm
	stray float64 // how far a bend lies off the straight, mm
}

// Bent lets what runs straight along y, such as grooves, bend about every pitch mm (at
// least 0.001), by up to stray mm: straight between the bends.
func Bent(h Relief, seed uint64, pitch, stray float64) Relief {
	if h == nil || stray == 0 {
		return h
	}
	return &bent{h, seed, max(pitch, 1e-3), stray}
}

// at gives the point of the straight relief, and how far x moves with y.
func (b *bent) at(p r3.Vec) (r3.Vec, float64) {
	y := p.Y / b.pitch
	j := math.Floor(y)
	from := b.stray * signed(sdf.Hash(b.seed, int64(j), 0, 21))
	to := b.stray * signed(sdf.Hash(b.seed, int64(j)+1, 0, 21))
	p.X += from + float64((to-from)*(y-j))
	return p, (to - from) / b.pitch
}

func (b *bent) Value(p r3.Vec) float64 {
	p, _ = b.at(p)
	return b.h.Value(p)
}

func (b *bent) Gradient(p r3.Vec) (float64, r3.Vec) {
	p, k := b.at(p)
	v, g := b.h.Gradient(p)
	g.Y += float64(k * g.X)
	return v, g
}

func (b *bent) Depth() float64 { return b.h.Depth() }

// Steepest: the slope is that along x and along y, and a share of that along x again.
func (b *bent) Steepest() float64 { return b.h.Steepest() * (1 + 2*b.stray/b.pitch) }
func (b *bent) Cost() int         { return b.h.Cost() + 1 }

func (b *bent) Prune(in sdf.Ball) Relief {
	c, _ := b.at(in.C)
	h := b.h.Prune(sdf.Ball{C: c, R: in.R*(1+2*b.stray/b.pitch) + slack})
	if _, ok := h.(*even); ok {
		return h
	}
	if h != b.h {
		return &bent{h, b.seed, b.pitch, b.stray}
	}
	return b
}
