package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// ellipsoid is about the origin, of the given half-axes, mm: a ball stretched, whose
// distance is a lower bound.
type ellipsoid struct{ semi r3.Vec }

func (e *ellipsoid) least() float64 { return min(e.semi.X, e.semi.Y, e.semi.Z) }

func (e *ellipsoid) Value(p r3.Vec) float64 {
	d, _ := e.Gradient(p)
	return d
}

func (e *ellipsoid) Gradient(p r3.Vec) (float64, r3.Vec) {
	q := sdf.V(p.X/e.semi.X, p.Y/e.semi.Y, p.Z/e.semi.Z)
	k, m := math.Sqrt(float64(q.X*q.X)+float64(q.Y*q.Y)+float64(q.Z*q.Z)), e.least()
	if k == 0 {
		return -m, sdf.V(0, 0, 1)
	}
	return m * (k - 1), r3.Scale(m/k, sdf.V(q.X/e.semi.X, q.Y/e.semi.Y, q.Z/e.semi.Z))
}

func (e *ellipsoid) Bounds() r3.Box     { return r3.Box{Min: r3.Scale(-1, e.semi), Max: e.semi} }
func (e *ellipsoid) Lipschitz() float64 { return 1 }
func (e *ellipsoid) Tightness() float64 { return e.least() / max(e.semi.X, e.semi.Y, e.semi.Z) }
func (e *ellipsoid) Cost() int          { return 1 }

func (e *ellipsoid) Prune(sdf.Ball) sdf.Field { return e }
