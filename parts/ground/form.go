package ground

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// newHollow is what a sunk terrace takes out: its outline at the mouth, its
// floor below, and a slope in degrees between. It reaches a little above the mouth.
func newHollow(a *parts.Area, mouth, floor, slope float64) sdf.Field {
	sin, cos := planar.SinCos(slope)
	return &planar.Bank{Shape: a.Shape(), Box: a.Bounds(), At: mouth, Lo: floor, Hi: mouth + 1, Sin: sin, Cos: -cos}
}

// newMound is a raised terrace: its outline at the top, a slope in degrees down
// from there to the foot.
func newMound(a *parts.Area, top, foot, slope float64) sdf.Field {
	sin, cos := planar.SinCos(slope)
	return &planar.Bank{Shape: a.Shape(), Box: a.Bounds(), At: top, Lo: foot, Hi: top, Sin: sin, Cos: cos}
}

// dips is land that dips below a level by a noise over the plan. Is a lower bound.
type dips struct {
	level, depth float64 // mm
	noise        *sdf.Noise
	scale        float64
}

// contrast widens the noise, which is seldom far from its middle, so that the
// land uses all of its depth; what it pushes past the ends is level.
const contrast = 1.8

func newDips(level, depth float64, noise *sdf.Noise) sdf.Field {
	slope := contrast / 2 * depth * noise.Slope()
	return &dips{level: level, depth: depth, noise: noise, scale: 1 / math.Sqrt(1+slope*slope)}
}

// Share is the part of the depth that a noise value takes off.
func (d *dips) Share(v float64) float64 {
	return math.Max(0, math.Min(1, (1+float64(contrast*v))/2))
}

func (d *dips) Value(p r3.Vec) float64 {
	n := d.Share(d.noise.Value(sdf.V(p.X, p.Y, 0)))
	return (p.Z - d.level + float64(d.depth*n)) * d.scale
}

func (d *dips) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := d.noise.Gradient(sdf.V(p.X, p.Y, 0))
	n := d.Share(v)
	k := d.scale * d.depth * contrast / 2
	if n == 0 || n == 1 {
		k = 0
	}
	return (p.Z - d.level + float64(d.depth*n)) * d.scale, sdf.V(k*g.X, k*g.Y, d.scale)
}

func (d *dips) Bounds() r3.Box           { return sdf.HalfSpace(sdf.V(0, 0, 1), d.level).Bounds() }
func (d *dips) Lipschitz() float64       { return 1 }
func (d *dips) Tightness() float64       { return d.scale }
func (d *dips) Prune(sdf.Ball) sdf.Field { return d }
func (d *dips) Cost() int                { return 1 }
