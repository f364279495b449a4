package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The relief of a surface near by: joints, tool marks, worn edges. The maps of the sky
// are too coarse for them, so that the samples of the picture themselves are asked how
// high the horizon stands.

// reliefReaches is how far away the horizon is looked for, mm of the print: from what
// just prints to the width of a stone.
var reliefReaches = [...]float64{0.1, 0.2, 0.5, 1.3}

// reliefWays are the directions on the picture in which it is looked for.
var reliefWays = func() (ways [7][2]float64) {
	for i := range ways {
		sn, cs := sincos((float64(i) + 0.37) * 360 / float64(len(ways)))
		ways[i] = [2]float64{cs, sn}
	}
	return ways
}()

// relief looks at the samples around one for what stands above the plane of the facet,
// with unit normal n, or falls away from it. hollow is the share of the light of an
// even sky, by the cosine, that the horizon leaves: 1 where nothing stands above; ridge
// runs from 0 to about 1 on an outward edge.
func (s *scene) relief(x, y int, n r3.Vec) (hollow, ridge float64) {
	c := &s.cam
	m := r3.Vec{X: r3.Dot(n, c.right), Y: r3.Dot(n, c.up), Z: r3.Dot(n, c.back)}
	near := float64(s.view.near[y*s.view.width+x])
	p := c.ofPicture(float64(x)+0.5, float64(y)+0.5, near)
	perMM := c.scale
	if c.dist > 0 {
		perMM *= near
	}
	var steps [len(reliefReaches)]float64 // samples
	for i, r := range reliefReaches {
		steps[i] = max(r*perMM, 1.3*float64(i+1))
	}
	reach := 1.25 * steps[len(steps)-1] / perMM // mm; farther is another thing, in front or behind
	fades := 1 / (reach * reach)
	atX, atY := float64(x)+0.5, float64(y)+0.5
	var above, below float64
	for _, way := range reliefWays {
		var highest float64
		for k, step := range steps {
			i, j := int(atX+way[0]*step), int(atY+way[1]*step)
			if uint(i) >= uint(s.view.width) || uint(j) >= uint(s.height) {
				break
			}
			there := s.view.near[j*s.view.width+i]
			if there == nothing {
				break
			}
			d := r3.Sub(c.ofPicture(float64(i)+0.5, float64(j)+0.5, float64(there)), p)
			far := d.X*d.X + d.Y*d.Y + d.Z*d.Z
			fade := max(0, 1-far*fades)
			h := (d.X*m.X + d.Y*m.Y + d.Z*m.Z) * fade / math.Sqrt(far+1e-30) // sine of the height over the plane
			highest = max(highest, h)
			if k < 2 {
				below += max(0, -0.06-h)
			}
		}
		above += max(0, highest-0.04)
	}
	return max(0.1, 1-1.15*above/float64(len(reliefWays))), min(1, 2*below/float64(2*len(reliefWays)))
}
