package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// rgb is linear light, 1 is the brightest that shows.
type rgb [3]float64

func (a rgb) times(b rgb) rgb { return rgb{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }

func (a rgb) scaled(k float64) rgb { return rgb{a[0] * k, a[1] * k, a[2] * k} }

func (a rgb) plus(b rgb) rgb { return rgb{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }

// The look, as sRGB where it is a colour. The tones differ in lightness, so that they can
// be told apart in grey. What is broken and what is strewn keep close to the hue of the
// clay: darker, and paler.
var (
	hues = [...]rgb{
		Clay: fromSRGB(188, 167, 147), Broken: fromSRGB(162, 135, 113), Strewn: fromSRGB(208, 193, 176), Figure: fromSRGB(68, 82, 98),
		Added: fromSRGB(10, 52, 118), Removed: fromSRGB(255, 224, 150),
	}
	inside    = fromSRGB(92, 108, 128)  // of a surface that is open or turned inside out
	groundMid = fromSRGB(229, 229, 227) // behind the meshes
	groundRim = fromSRGB(203, 204, 205) // in the picture's corners
	shadowHue = rgb{1.01, 1.0, 0.99}    // what a shadow on the ground takes more of, by power

	keyLight  = rgb{1.05, 1.015, 0.96}
	skyLight  = rgb{0.415, 0.425, 0.435}
	fillLight = rgb{0.085, 0.095, 0.11}
	bounce    = rgb{0.15, 0.145, 0.14} // off the ground, on what faces down
)

// scene is all that a band of the picture is shaded from.
type scene struct {
	cam    camera
	f      *facets
	rig    *rig
	ground *ground // nil where there is none
	tall   float64 // of the meshes, mm
	view   layer   // all samples
	edges  float64
	height int // samples
	side   int // samples along a side of a pixel

	around     []reliefSteps // by the grade of nearness, from firstGrade on
	firstGrade int
}

// skyHeld is how open the sky is at a place, held for those beside it.
type skyHeld struct {
	p, n r3.Vec
	open float64
	have bool
}

// openNear gives how open the sky is at a place, about 1 where nothing stands around: of
// held where that is on the same surface close by. It changes slowly, and what is fine in
// it relief makes up for.
func (s *scene) openNear(held *skyHeld, p, n, lift r3.Vec) float64 {
	d := r3.Sub(p, held.p)
	if !held.have || r3.Dot(n, held.n) < 0.97 || math.Abs(r3.Dot(d, held.n))*s.cam.scale > 0.7*float64(s.side) || length(d) > heldTexels*s.rig.sky[0].texel {
		*held = skyHeld{p, n, s.rig.skyAt(p, n, lift) / s.rig.even(n), true}
	}
	return held.open
}

// even is the light of an even sky on a surface of unit normal n where nothing stands
// around; one that faces away from it is seen as if it were upright.
func (r *rig) even(n r3.Vec) float64 { return 0.5 + 0.5*max(0, n.Z*r.axis) }

// Pixels that share a held place, across and down.
const heldAcross, heldDown = 4, 2

// heldTexels is how far apart places may be that share the sky, in texels of its maps.
const heldTexels = 3

// shadeRow works out the pixels from x0 on in row y, as linear light. held has a
// place for every heldAcross of them.
func (s *scene) shadeRow(x0, y int, out []rgb, held []skyHeld) (shaded int) {
	n := s.side
	share := 1 / float64(n*n)
	for x := range out {
		if s.alike((x0+x)*n, y*n) {
			if i, j := (x0+x)*n, y*n; s.view.id[j*s.view.width+i] < 0 {
				out[x] = s.behind((float64(x0+x)+0.5)*float64(n), (float64(y)+0.5)*float64(n))
			} else {
				id := s.view.id[j*s.view.width+i]
				p := s.cam.unproject(float64(i)+0.5, float64(j)+0.5, float64(s.view.near[j*s.view.width+i]))
				out[x] = s.surface(i, j, id, p, s.f.normalAt(id, p), &held[x/heldAcross])
				shaded++
			}
			continue
		}
		var sum, last, back rgb
		var lastN, lastP r3.Vec
		lastID := int32(-1)
		have, haveBack := false, false
		for k := range n * n {
			i, j := (x0+x)*n+k%n, y*n+k/n
			id := s.view.id[j*s.view.width+i]
			if id < 0 {
				if !haveBack {
					back, haveBack = s.behind((float64(x0+x)+0.5)*float64(n), (float64(y)+0.5)*float64(n)), true
				}
				sum = sum.plus(back)
				continue
			}
			if have && id == lastID && s.edges == 0 {
				sum = sum.plus(last)
				continue
			}
			p := s.cam.unproject(float64(i)+0.5, float64(j)+0.5, float64(s.view.near[j*s.view.width+i]))
			normal := s.f.normalAt(id, p)
			// Samples of one pixel on one surface share their light.
			if !have || id != lastID &&
				(r3.Dot(normal, lastN) < 0.99 || math.Abs(r3.Dot(r3.Sub(p, lastP), lastN))*s.cam.scale > 0.7*float64(n)) {
				last, lastN, lastP, lastID, have = s.surface(i, j, id, p, normal, &held[x/heldAcross]), normal, p, id, true
				shaded++
			}
			c := last
			if s.edges > 0 && s.onEdge(i, j, id, p) {
				c = c.scaled(1 - 0.6*s.edges)
			}
			sum = sum.plus(c)
		}
		out[x] = sum.scaled(share)
	}
	return shaded
}

// alike tells whether all samples of a pixel, whose first is x, y, show the same facet, and so
// the same light, or none.
func (s *scene) alike(x, y int) bool {
	if s.edges > 0 {
		return false
	}
	id := s.view.id[y*s.view.width+x]
	for j := y; j < y+s.side; j++ {
		for _, other := range s.view.id[j*s.view.width+x:][:s.side] {
			if other != id {
				return false
			}
		}
	}
	return true
}

// surface is the light that comes from a point of a facet.
func (s *scene) surface(x, y int, id int32, p, n r3.Vec, held *skyHeld) rgb {
	eye := s.cam.toward(p)
	lift := s.f.normal[id]
	hue := hues[s.f.tone[id]]
	if r3.Dot(lift, eye) < 0 { // the inside
		hue = inside
		lift, n = r3.Scale(-1, lift), r3.Scale(-1, n)
	}
	hollow, ridge := s.relief(x, y, lift)
	r := s.rig

	open, even := s.openNear(held, p, n, lift), r.even(n)
	// Light that is held back comes again by way of the clay, and warmer.
	var ambient rgb
	for k := range ambient {
		held := max(0, min(1, open)) * hollow
		again := held / (1 - 0.55*hue[k]*(1-held))
		ambient[k] = skyLight[k] * even * max(open, 1) * again
	}
	if down := 0.5 - 0.5*n.Z*r.axis; down > 0 && r.axis > 0 {
		// Close to the ground, little falls on it to be thrown back.
		lit := 0.3 + 0.7*smoothstep(0, 0.5, (p.Z-r.ground)/max(s.tall, leastSize))
		ambient = ambient.plus(bounce.scaled(down * lit * hollow))
	}

	light := ambient
	if c := r3.Dot(n, r.key.dir); c > 0 {
		reaches := r.keyAt(p, lift) * (0.4 + 0.6*hollow)
		light = light.plus(keyLight.scaled(c * reaches))
		if h := r3.Dot(n, unit(r3.Add(r.key.dir, eye))); h > 0 { // a faint sheen
			light = light.plus(keyLight.scaled(0.09 * reaches * sheen(h)))
		}
	}
	light = light.plus(fillLight.scaled(max(0, 0.25+0.75*r3.Dot(n, r.fill)) * hollow * min(1, open)))
	return hue.times(light).scaled(1 + 0.2*ridge)
}

// sheen is the 24th power: how a dull surface throws back a light that is near the mirror's
// direction, by the cosine.
func sheen(h float64) float64 {
	h2 := h * h
	h8 := h2 * h2 * h2 * h2
	return h8 * h8 * h8
}

// behind is what shows where no mesh is: the ground, or the air, which are one.
func (s *scene) behind(x, y float64) rgb {
	w, h := float64(s.view.width), float64(s.height)
	dx, dy := (x-w/2)/w, (y-0.46*h)/h
	rim := smoothstep(0.12, 0.95, math.Sqrt(dx*dx+dy*dy)*1.25)
	c := groundMid.scaled(1 - rim).plus(groundRim.scaled(rim))
	if s.ground == nil {
		return c
	}
	p, ok := s.cam.onPlane(x, y, s.rig.ground)
	if !ok {
		return c
	}
	light := s.ground.at(p)
	if light >= 1 {
		return c
	}
	light = max(0.12, light)
	for k := range c {
		c[k] *= 1 - shadowHue[k]*(1-light)*0.94
	}
	return c
}

// onEdge tells whether the surface breaks off or turns sharply beside a sample.
func (s *scene) onEdge(x, y int, id int32, p r3.Vec) bool {
	n := s.f.normal[id]
	for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		i, j := x+d[0], y+d[1]
		if uint(i) >= uint(s.view.width) || uint(j) >= uint(s.height) {
			continue
		}
		k := j*s.view.width + i
		other := s.view.id[k]
		if other == id {
			continue
		}
		if other < 0 || r3.Dot(n, s.f.normal[other]) < 0.8 {
			return true
		}
		q := s.cam.unproject(float64(i)+0.5, float64(j)+0.5, float64(s.view.near[k]))
		if r3.Dot(r3.Sub(q, p), n)*s.cam.scale < -3*float64(s.side) {
			return true
		}
	}
	return false
}

func fromSRGB(r, g, b uint8) rgb {
	var c rgb
	for k, v := range [3]uint8{r, g, b} {
		x := float64(v) / 255
		if x <= 0.04045 {
			c[k] = x / 12.92
		} else {
			c[k] = math.Pow((x+0.055)/1.055, 2.4)
		}
	}
	return c
}

// toSRGB maps 4096 steps of linear light to bytes (IEC 61966-2-1, from memory).
var toSRGB = func() (table [4097]uint8) {
	for i := range table {
		x := float64(i) / 4096
		if x <= 0.0031308 {
			x *= 12.92
		} else {
			x = 1.055*math.Pow(x, 1/2.4) - 0.055
		}
		table[i] = uint8(x*255 + 0.5)
	}
	return table
}()

// encode bends light that is too bright under 1 and gives the byte.
func encode(x float64) uint8 {
	const knee = 0.75
	if x > knee {
		x = knee + (1-knee)*(1-math.Exp(-(x-knee)/(1-knee)))
	}
	return toSRGB[int(max(0, min(1, x))*4096+0.5)]
}
