package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// View says where the camera stands. It always looks at the middle of the
// meshes, upright.
type View struct {
	Azimuth     float64 // where it stands, degrees counter-clockwise from +x
	Elevation   float64 // degrees above the ground, -90 .. 90
	Perspective float64 // the angle of view over the picture's height, degrees, at most 90; 0 is orthographic
}

// The usual views. Top has +x to the right and +y up; Side looks along +y.
var (
	ThreeQuarter = View{Azimuth: -62, Elevation: 34, Perspective: 20}
	Top          = View{Azimuth: -90, Elevation: 90}
	Side         = View{Azimuth: -90, Elevation: 0}
	Underside    = View{Azimuth: -62, Elevation: -52, Perspective: 20}
)

// tidy gives the view with every angle in its range; what is not a number is 0.
func (v View) tidy() View {
	number := func(x float64) float64 {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return 0
		}
		return x
	}
	v.Azimuth = math.Mod(number(v.Azimuth), 360)
	v.Elevation = max(-90, min(90, number(v.Elevation)))
	v.Perspective = max(0, min(90, number(v.Perspective)))
	if v.Perspective < 1 {
		v.Perspective = 0
	}
	return v
}

// camera maps points to samples and back. Its three axes are unit vectors.
type camera struct {
	right, up, back r3.Vec  // back points from the scene to the camera
	focus           r3.Vec  // the point that is drawn at (cx, cy), mm
	cx, cy          float64 // samples; y runs down
	scale           float64 // samples per mm at the focus
	dist            float64 // from the camera to the focus, mm; 0 is orthographic
}

// frame is the rectangle, in samples, that the meshes are fitted into.
type frame struct{ x0, y0, x1, y1 float64 }

// leastSize keeps the scale finite for a mesh that is all but a point, mm.
const leastSize = 1e-3

// aim sets the camera up so that the points fill the frame, or, where perMM is
// not 0, at perMM samples per mm at the focus. height is that of the picture,
// in samples. In perspective, perMM is given up where it would put the camera
// among the points.
func aim(v View, points []r3.Vec, f frame, height, perMM float64) camera {
	sa, ca := sincos(v.Azimuth)
	se, ce := sincos(v.Elevation)
	c := camera{
		right: r3.Vec{X: -sa, Y: ca},
		up:    r3.Vec{X: -se * ca, Y: -se * sa, Z: ce},
		back:  r3.Vec{X: ce * ca, Y: ce * sa, Z: se},
		cx:    (f.x0 + f.x1) / 2, cy: (f.y0 + f.y1) / 2,
		scale: perMM,
	}
	if len(points) == 0 {
		return c
	}
	lo, hi := c.bounds(points)
	mid := r3.Scale(0.5, r3.Add(lo, hi))
	c.focus = r3.Add(r3.Add(r3.Scale(mid.X, c.right), r3.Scale(mid.Y, c.up)), r3.Scale(mid.Z, c.back))
	size := r3.Sub(hi, lo)
	if v.Perspective == 0 {
		if perMM == 0 {
			c.scale = min((f.x1-f.x0)/max(size.X, leastSize), (f.y1-f.y0)/max(size.Y, leastSize))
		}
		return c
	}

	lens := height / 2 / math.Tan(v.Perspective*math.Pi/360) // samples per unit slope
	slopeX, slopeY := (f.x1-f.x0)/2/lens, (f.y1-f.y0)/2/lens
	room := max(length(size)/20, leastSize)
	back := func() { // to where all points are just in the frame
		var need, nearest float64
		for _, p := range points {
			d := r3.Sub(p, c.focus)
			x, y, z := r3.Dot(d, c.right), r3.Dot(d, c.up), r3.Dot(d, c.back)
			need = max(need, z+max(math.Abs(x)/slopeX, math.Abs(y)/slopeY))
			nearest = max(nearest, z+room)
		}
		if perMM > 0 {
			need = lens / perMM
		}
		c.dist = max(need, nearest)
	}
	// The nearer side looks larger, so the focus is shifted to where the
	// outline is in the middle; a few rounds settle it.
	back()
	for range 4 {
		xlo, xhi, ylo, yhi := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range points {
			d := r3.Sub(p, c.focus)
			k := c.dist / (c.dist - r3.Dot(d, c.back))
			x, y := k*r3.Dot(d, c.right), k*r3.Dot(d, c.up)
			xlo, xhi, ylo, yhi = min(xlo, x), max(xhi, x), min(ylo, y), max(yhi, y)
		}
		c.focus = r3.Add(c.focus, r3.Add(r3.Scale((xlo+xhi)/2, c.right), r3.Scale((ylo+yhi)/2, c.up)))
		back()
	}
	c.scale = lens / c.dist
	return c
}

// bounds gives the box of the points along the camera's axes.
func (c *camera) bounds(points []r3.Vec) (lo, hi r3.Vec) {
	lo = r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi = r3.Scale(-1, lo)
	for _, p := range points {
		x, y, z := r3.Dot(p, c.right), r3.Dot(p, c.up), r3.Dot(p, c.back)
		lo = r3.Vec{X: min(lo.X, x), Y: min(lo.Y, y), Z: min(lo.Z, z)}
		hi = r3.Vec{X: max(hi.X, x), Y: max(hi.Y, y), Z: max(hi.Z, z)}
	}
	return lo, hi
}

// project gives the place of a point in samples, and its nearness: greater is
// nearer to the camera, and along a straight line it changes evenly with the
// place on the picture. Orthographic, it is the height over the focus in mm; in
// perspective the magnification against the focus.
func (c *camera) project(p r3.Vec) (x, y, near float64) { return c.onPicture(c.inAxes(p)) }

// inAxes gives a point along the camera's axes, from the focus, mm.
func (c *camera) inAxes(p r3.Vec) r3.Vec {
	d := r3.Sub(p, c.focus)
	return r3.Vec{X: r3.Dot(d, c.right), Y: r3.Dot(d, c.up), Z: r3.Dot(d, c.back)}
}

// onPicture is project for what inAxes gave.
func (c *camera) onPicture(p r3.Vec) (x, y, near float64) {
	k, near := c.scale, p.Z
	if c.dist > 0 {
		near = c.dist / (c.dist - near)
		k *= near
	}
	return c.cx + p.X*k, c.cy - p.Y*k, near
}

// dot is the point on the picture; away where it is behind the camera or all but at
// it.
func (c *camera) dot(p r3.Vec) dot {
	q := c.inAxes(p)
	if c.dist > 0 && q.Z > (1-nearest)*c.dist {
		return dot{x: away}
	}
	return toDot(c.onPicture(q))
}

// ofPicture is the inverse of onPicture.
func (c *camera) ofPicture(x, y, near float64) r3.Vec {
	k, z := 1/c.scale, near
	if c.dist > 0 {
		k /= near
		z = c.dist - c.dist/near
	}
	return r3.Vec{X: (x - c.cx) * k, Y: (c.cy - y) * k, Z: z}
}

// unproject is the inverse of project.
func (c *camera) unproject(x, y, near float64) r3.Vec {
	q := c.ofPicture(x, y, near)
	return r3.Vec{
		X: c.focus.X + q.X*c.right.X + q.Y*c.up.X + q.Z*c.back.X,
		Y: c.focus.Y + q.X*c.right.Y + q.Y*c.up.Y + q.Z*c.back.Y,
		Z: c.focus.Z + q.X*c.right.Z + q.Y*c.up.Z + q.Z*c.back.Z,
	}
}

// toward is the unit vector from a point to the camera.
func (c *camera) toward(p r3.Vec) r3.Vec {
	if c.dist == 0 {
		return c.back
	}
	return unit(r3.Sub(r3.Add(c.focus, r3.Scale(c.dist, c.back)), p))
}

// onPlane gives the point of the level plane at z that is seen at (x, y);
// ok is false where that is behind the camera, or the plane is seen edge on.
func (c *camera) onPlane(x, y, z float64) (p r3.Vec, ok bool) {
	if c.scale == 0 {
		return p, false
	}
	near := 0.0
	if c.dist > 0 {
		near = 1
	}
	p = c.unproject(x, y, near)
	d := r3.Scale(-1, c.toward(p))
	if math.Abs(d.Z) < 1e-3 {
		return p, false
	}
	t := (z - p.Z) / d.Z
	p = r3.Add(p, r3.Scale(t, d))
	return p, c.dist == 0 || r3.Dot(r3.Sub(p, c.focus), c.back) < c.dist
}

func sincos(degrees float64) (s, c float64) {
	switch degrees { // exact where it shows: a side seen edge on stays edge on
	case 90:
		return 1, 0
	case -90:
		return -1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}
