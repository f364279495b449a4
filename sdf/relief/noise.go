package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// smooth is a relief of noise.
type smooth struct {
	noise *sdf.Noise
	depth float64
	plan  bool // over the plan alone
}

// Smooth is soft lumps up to depth mm deep, by a noise. With plan set they go down through
// a solid: the noise is that of the plane z = 0. Smooth faces make many triangles of a mesh:
// what is broken or hewn is better made of Facets.
func Smooth(noise *sdf.Noise, depth float64, plan bool) Relief {
	return &smooth{noise, depth, plan}
}

func (s *smooth) on(p r3.Vec) r3.Vec {
	if s.plan {
		p.Z = 0
	}
	return p
}

func (s *smooth) Value(p r3.Vec) float64 {
	return s.depth * (0.5 + float64(0.5*s.noise.Value(s.on(p))))
}

func (s *smooth) Gradient(p r3.Vec) (float64, r3.Vec) {
	n, g := s.noise.Gradient(s.on(p))
	if s.plan {
		g.Z = 0
	}
	return s.depth * (0.5 + float64(0.5*n)), r3.Scale(s.depth/2, g)
}

func (s *smooth) Depth() float64    { return s.depth }
func (s *smooth) Steepest() float64 { return s.depth / 2 * s.noise.Slope() }
func (s *smooth) Cost() int         { return 2 }
