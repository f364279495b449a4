package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// displaced is a surface roughened by noise.
type displaced struct {
	f         Field
	n         *Noise
	amplitude float64
	stretch   float64 // what keeps it 1-Lipschitz: L(f) + amplitude*slope
}

// Displace roughens the surface of f: noise moves it by up to amplitude mm,
// out where the noise is positive, in where it is negative. A zero amplitude is
// f itself. Is a lower bound: the value is divided by 1 + amplitude*n.Slope(), so
// that it never changes faster than distance does.
func Displace(f Field, n *Noise, amplitude float64) Field {
	amplitude = math.Abs(amplitude)
	if amplitude == 0 {
		return f
	}
	return &displaced{f: f, n: n, amplitude: amplitude, stretch: f.Lipschitz() + amplitude*n.Slope()}
}

func (d *displaced) Value(p r3.Vec) float64 {
	return (d.f.Value(p) - float64(d.amplitude*d.n.Value(p))) / d.stretch
}

func (d *displaced) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := d.f.Gradient(p)
	w, h := d.n.Gradient(p)
	return (v - float64(d.amplitude*w)) / d.stretch, r3.Scale(1/d.stretch, r3.Sub(g, r3.Scale(d.amplitude, h)))
}

// Bounds: where f > amplitude nothing is inside, and outside f's box that is
// so from amplitude/tightness on.
func (d *displaced) Bounds() r3.Box     { return boxGrow(d.f.Bounds(), d.amplitude/d.f.Tightness()) }
func (d *displaced) Lipschitz() float64 { return 1 }
func (d *displaced) Tightness() float64 { return d.f.Tightness() / d.stretch }

// Cost counts an octave of noise like a primitive.
func (d *displaced) Cost() int { return d.f.Cost() + d.n.octaves }

func (d *displaced) Prune(b Ball) Field {
	if f := d.f.Prune(b); f != d.f {
		return &displaced{f: f, n: d.n, amplitude: d.amplitude, stretch: d.stretch}
	}
	return d
}
