package picture

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// groundSky is the share of the sky in the light on the ground; the rest is the
// key's.
const groundSky = 0.62

// ground is the light on the plane that the meshes stand on, 1 where nothing
// is near: their shadows, and the darkness under their rims.
type ground struct {
	x0, y0, perMM float64
	texels        int       // along a side
	light         []float32 // row by row
}

// grounded makes a map of n texels a side around the box: wide enough for the
// key's shadow, and for the sky's to have faded.
func grounded(box r3.Box, n int) *ground {
	sides := r3.Sub(box.Max, box.Min)
	margin := 1.3*sides.Z + 0.25*max(sides.X, sides.Y)
	g := &ground{x0: box.Min.X - margin, y0: box.Min.Y - margin, texels: n, light: make([]float32, n*n)}
	g.perMM = float64(n) / (max(sides.X, sides.Y, leastSize) + 2*margin)
	return g
}

// fill gives every texel the value at its middle, at height z.
func (g *ground) fill(z float64, value func(p r3.Vec) float64) {
	forTiles(g.texels, g.texels, func(i0, j0, i1, j1 int) {
		for j := j0; j < j1; j++ {
			for i := i0; i < i1; i++ {
				p := r3.Vec{X: g.x0 + (float64(i)+0.5)/g.perMM, Y: g.y0 + (float64(j)+0.5)/g.perMM, Z: z}
				g.light[j*g.texels+i] = float32(value(p))
			}
		}
	})
}

// skyTexelsOnGround is along a side of the map of the sky's light on the ground.
const skyTexelsOnGround = 200

// underSky is the light of the sky alone on the ground around the box.
func underSky(lamps []lamp, box r3.Box) *ground {
	g := grounded(box, skyTexelsOnGround)
	g.fill(box.Min.Z, func(p r3.Vec) float64 { return skyAt(lamps, p, r3.Vec{Z: 1}, r3.Vec{}) })
	// The sky is lamps, whose single shadows must not be told apart.
	for _, step := range []int{1, 2} {
		g.light = blur(g.light, g.texels, step)
	}
	return g
}

// newGround works out the light around the box, as finely as a picture of the
// given size, in pixels, shows.
func newGround(r *rig, box r3.Box, size int) *ground {
	n := max(64, min(768, size*9/20))
	g := grounded(box, n)
	g.fill(r.ground, func(p r3.Vec) float64 { return r.keyAt(p, r3.Vec{Z: 1}) })
	g.light = blur(g.light, n, 1)
	key := slices.Clone(g.light)
	g.fill(r.ground, func(p r3.Vec) float64 {
		// Nearest to what throws it a shadow is darkest.
		s := min(1, r.under.at(p))
		return s * (0.4 + 0.6*s)
	})
	for j := range n {
		for i := range n {
			k := j*n + i
			// No light that is missing at the map's rim may end in a line.
			rim := float64(min(i, j, n-1-i, n-1-j)) / float64(n)
			shade := 1 - groundSky*float64(g.light[k]) - (1-groundSky)*float64(key[k])
			g.light[k] = float32(1 - shade*smoothstep(0, 0.08, rim))
		}
	}
	return g
}

// blur is a mean over 1 4 6 4 1 sixteenths, along and across, of texels that are
// apart steps from each other.
func blur(in []float32, n, apart int) []float32 {
	out := make([]float32, len(in))
	pass := func(from, to []float32, step, other int) {
		workers.AtOnce(n, func(j int) {
			for i := range n {
				at := func(k int) float32 { return from[j*other+max(0, min(n-1, k))*step] }
				to[j*other+i*step] = (at(i-2*apart) + 4*at(i-apart) + 6*at(i) + 4*at(i+apart) + at(i+2*apart)) / 16
			}
		})
	}
	tmp := make([]float32, len(in))
	pass(in, tmp, 1, n)
	pass(tmp, out, n, 1)
	return out
}

// at is the light at a point of the plane.
func (g *ground) at(p r3.Vec) float64 {
	x, y := (p.X-g.x0)*g.perMM-0.5, (p.Y-g.y0)*g.perMM-0.5
	if !(x >= 0 && y >= 0 && x < float64(g.texels-1) && y < float64(g.texels-1)) {
		return 1
	}
	fx, fy := math.Floor(x), math.Floor(y)
	k := int(fy)*g.texels + int(fx)
	x, y = x-fx, y-fy
	lo := float64(g.light[k])*(1-x) + float64(g.light[k+1])*x
	hi := float64(g.light[k+g.texels])*(1-x) + float64(g.light[k+g.texels+1])*x
	return lo*(1-y) + hi*y
}
