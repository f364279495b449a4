package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// round is a relief wrapped about the z axis.
type round struct {
	h      Relief
	radius float64
}

// Round wraps a relief about a shaft of a radius along z, mm, its x along the girth and
// its y along z; the two halves of the girth, either side of the x axis, are alike. It
// runs out towards the axis, from three quarters of the radius to half of it.
func Round(h Relief, radius float64) Relief {
	if h == nil || radius <= 0 {
		return nil
	}
	return &round{h, radius}
}

func (r *round) Value(p r3.Vec) float64 {
	h, _ := r.Gradient(p)
	return h
}

func (r *round) Gradient(p r3.Vec) (float64, r3.Vec) {
	d := math.Sqrt(float64(p.X*p.X) + float64(p.Y*p.Y))
	fade := (d/r.radius - 0.5) * 4
	if fade <= 0 {
		return 0, r3.Vec{}
	}
	angle := math.Atan2(p.Y, p.X)
	side := 1.0
	if angle < 0 {
		angle, side = -angle, -1
	}
	h, g := r.h.Gradient(r3.Vec{X: r.radius * angle, Y: p.Z})
	along := side * g.X * r.radius / d // a mm of girth
	out := 0.0
	if fade < 1 {
		out = 4 * h / r.radius
		h, along, g.Y = fade*h, fade*along, fade*g.Y
	}
	x, y := p.X/d, p.Y/d
	return h, r3.Vec{X: float64(out*x) - float64(along*y), Y: float64(out*y) + float64(along*x), Z: g.Y}
}

func (r *round) Depth() float64    { return r.h.Depth() }
func (r *round) Steepest() float64 { return 2*r.h.Steepest() + 4*r.h.Depth()/r.radius }
func (r *round) Cost() int         { return r.h.Cost() + 1 }

// Prune unrolls a ball that lies to one side of the girth's ends, well off the axis: of a
// ball of radius R at a distance d, the girth is within radius*R/(d-R) of its middle's.
func (r *round) Prune(b sdf.Ball) Relief {
	d := math.Sqrt(float64(b.C.X*b.C.X) + float64(b.C.Y*b.C.Y))
	if d-b.R < r.radius/2 || math.Abs(b.C.Y) <= b.R {
		return r
	}
	angle := math.Abs(math.Atan2(b.C.Y, b.C.X))
	wide := max(1, r.radius/(d-b.R))*b.R + slack
	if h := r.h.Prune(sdf.Ball{C: r3.Vec{X: r.radius * angle, Y: b.C.Z}, R: wide}); h != r.h {
		return &round{h, r.radius}
	}
	return r
}
