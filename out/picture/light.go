package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The rig. The sky is a number of lamps far away, spread evenly over the half
// sphere; where the light of one cannot reach, its shadow map tells.
const (
	skyLamps   = 44
	keyHeight  = 38 // elevation of the key, degrees: low enough to rake what is shallow
	fillHeight = 25
)

// lamp is light that comes from far away, and the map of what it reaches
// first.
type lamp struct {
	dir     r3.Vec
	u, v, h r3.Vec  // along the map's rows, its columns and dir; texels per mm long
	u0, v0  float64 // of the map's corner, texels
	texel   float64 // mm
	size    int     // texels along a side
	reach   layer   // nearness is the height along dir, texels
	weight  float64 // of a sky lamp
	beyond  *lamp   // the same light, coarser, for what the map does not hold; nil: nothing is there
}

// rig holds all lamps.
type rig struct {
	sky          []lamp
	under        *ground // the light of the sky on the ground
	key          lamp
	keyDirection r3.Vec
	fill         r3.Vec
	axis         float64 // 1: the sky is above; -1: below, for pictures of the underside
	ground       float64 // z of the ground, mm
}

// newRig hangs the lamps around the camera, so that every view is lit from its
// own upper left. Seen from below the sky is turned over and there is no ground. The
// key's map is not drawn yet.
func newRig(v View, all *sky, box r3.Box) *rig {
	r := &rig{sky: all.lamps, under: all.under, axis: all.axis, ground: box.Min.Z}
	// From the side a picture is best lit from the front left; from above, from
	// the far left, or hollows read as bumps.
	turn := 70 + 65*smoothstep(35, 85, math.Abs(v.Elevation))
	r.keyDirection = direction(v.Azimuth-turn, keyHeight, r.axis)
	r.fill = direction(v.Azimuth-turn+125, fillHeight, r.axis)
	return r
}

// skyTexels is along a side of a sky lamp's map.
const skyTexels = 448

// newSky hangs the lamps of the sky above (axis 1) or below (-1) what is in a box.
// Their maps are not drawn yet.
func newSky(f *facets, box r3.Box, axis float64) *sky {
	k := &sky{axis: axis, f: f, box: box}
	var sum float64
	for i := range skyLamps { // spiral of equal steps in height: evenly spread
		z := (float64(i) + 0.5) / skyLamps
		l := newLamp(box, direction(float64(i)*goldenAngle, math.Asin(z)*180/math.Pi, axis), skyTexels)
		l.weight = 0.55 + 0.45*z // the sky is brighter overhead
		sum += l.weight * z
		k.lamps = append(k.lamps, l)
	}
	for i := range k.lamps {
		k.lamps[i].weight /= sum // flat open ground gets 1 in all
	}
	return k
}

// goldenAngle, degrees, keeps the points of a spiral evenly apart.
const goldenAngle = 137.50776405003785

// direction is a unit vector; axis -1 turns it below the ground.
func direction(azimuth, elevation, axis float64) r3.Vec {
	sa, ca := sincos(azimuth)
	se, ce := sincos(elevation)
	return r3.Vec{X: ce * ca, Y: ce * sa, Z: axis * se}
}

// newLamp fits the lamp's map around the box.
func newLamp(box r3.Box, dir r3.Vec, size int) lamp {
	l := lamp{dir: dir, size: size}
	side := r3.Vec{Z: 1}
	if math.Abs(dir.Z) > 0.9 {
		side = r3.Vec{Y: 1}
	}
	u := unit(r3.Cross(side, dir))
	v := r3.Cross(dir, u)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range box.Vertices() {
		for k, c := range [2]float64{r3.Dot(p, u), r3.Dot(p, v)} {
			lo[k], hi[k] = min(lo[k], c), max(hi[k], c)
		}
	}
	l.texel = max(hi[0]-lo[0], hi[1]-lo[1], leastSize) / float64(size-4)
	l.u, l.v, l.h = r3.Scale(1/l.texel, u), r3.Scale(1/l.texel, v), r3.Scale(1/l.texel, dir)
	l.u0, l.v0 = lo[0]/l.texel-2, lo[1]/l.texel-2
	return l
}

// draw draws the map: of what faces the lamp and lies in it.
func (l *lamp) draw(f *facets) (done mapWork) {
	l.reach = layer{width: l.size, y1: l.size, near: make([]float32, l.size*l.size)}
	l.reach.clear()
	q := &f.patches
	var dots [patchPoints]dot
	for i := range q.all {
		p := &q.all[i]
		if p.facesAway(l.dir) || !l.meets(p) {
			continue
		}
		for k, o := range q.points[p.point : p.point+p.points] {
			v := vec(o)
			dots[k] = toDot(r3.Dot(v, l.u)-l.u0, r3.Dot(v, l.v)-l.v0, r3.Dot(v, l.h))
		}
		done.triangles += p.facets
		done.texels += paint(&l.reach, dots[:p.points], q.corners[p.facet:p.facet+p.facets], 0, clockwise)
	}
	return done
}

// mapWork counts what maps took.
type mapWork struct {
	triangles int // looked at
	texels    int // written, those drawn over included
}

func (w mapWork) plus(o mapWork) mapWork {
	return mapWork{w.triangles + o.triangles, w.texels + o.texels}
}

// meets tells whether the box of a patch may reach into the map.
func (l *lamp) meets(p *patch) bool {
	lo, hi := vec(p.lo), vec(p.hi)
	mid, half := r3.Scale(0.5, r3.Add(lo, hi)), r3.Scale(0.5, r3.Sub(hi, lo))
	within := func(along r3.Vec, from float64) bool {
		at := r3.Dot(mid, along) - from
		reach := half.X*math.Abs(along.X) + half.Y*math.Abs(along.Y) + half.Z*math.Abs(along.Z) + 1
		return at+reach >= 0 && at-reach <= float64(l.size)
	}
	return within(l.u, l.u0) && within(l.v, l.v0)
}

// skyLift is how far off its own surface a point is lifted to look it up in a sky
// lamp's map, in texels.
const skyLift = 1.3

// open tells how much of the lamp's light comes to a point, 0 .. 1. The point
// must have been lifted off its own surface, along lift, by skyLift; what is hardly
// higher than it casts no full shadow, which hides the steps of the map.
func (l *lamp) open(p, lift r3.Vec) float64 {
	x := int(p.X*l.u.X + p.Y*l.u.Y + p.Z*l.u.Z - l.u0)
	y := int(p.X*l.v.X + p.Y*l.v.Y + p.Z*l.v.Z - l.v0)
	if uint(x) >= uint(l.size) || uint(y) >= uint(l.size) {
		if l.beyond != nil {
			return l.beyond.open(r3.Add(p, r3.Scale(skyLift*(l.beyond.texel-l.texel), lift)), lift)
		}
		return 1
	}
	over := float64(l.reach.near[y*l.size+x]) - (p.X*l.h.X + p.Y*l.h.Y + p.Z*l.h.Z)
	if over <= 0.2 {
		return 1
	}
	return max(0, 1.2-over)
}

// skyAt is the light of the sky on a surface at p with unit normal n, 1 on
// flat open ground. lift is the normal of the facet itself.
func (r *rig) skyAt(p, n, lift r3.Vec) float64 { return skyAt(r.sky, p, n, lift) }

func skyAt(lamps []lamp, p, n, lift r3.Vec) float64 {
	p = r3.Add(p, r3.Scale(skyLift*lamps[0].texel, lift))
	var sum float64
	for i := range lamps {
		l := &lamps[i]
		if c := n.X*l.dir.X + n.Y*l.dir.Y + n.Z*l.dir.Z; c > 0 {
			sum += l.weight * c * l.open(p, lift)
		}
	}
	return sum
}

func smoothstep(lo, hi, x float64) float64 {
	t := max(0, min(1, (x-lo)/(hi-lo)))
	return t * t * (3 - 2*t)
}
