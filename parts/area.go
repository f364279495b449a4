package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
	"socle/sdf"
)

// Area is a region of the plan, given in one of four ways.
type Area struct {
	Rect    []float64 `key:"rect" type:"lengths" doc:"[x, y, width, depth] from its south-west corner"`
	Round   []float64 `key:"round" type:"lengths" doc:"[x, y, diameter] about its centre"`
	Oval    []float64 `key:"oval" type:"lengths" doc:"[x, y, long, short] about its centre: a true ellipse"`
	Polygon []r2.Vec  `key:"polygon" type:"points" doc:"corners in order, either way round; sides must not cross"`
	Turn    float64   `key:"turn" type:"angle" plan:"turn" doc:"turn of the area about its centre" default:"0" min:"-360" max:"360"`
}

// MostCorners keeps the test of every side against every other short.
const MostCorners = 1000

// Check reports what is wrong with the area at a key of a part: exactly one of
// the four ways, the right count of numbers, sizes above zero, and a polygon of
// three corners or more whose sides neither cross nor touch.
func (a *Area) Check(part, key string) []Fault {
	fault := func(word, text, allowed string) []Fault {
		if word != "" {
			word = key + "." + word
		} else {
			word = key
		}
		return []Fault{{Part: part, Key: word, Text: text, Allowed: allowed}}
	}
	ways := []struct {
		word    string
		numbers []float64
		names   []string
	}{
		{"rect", a.Rect, []string{"x", "y", "width", "depth"}},
		{"round", a.Round, []string{"x", "y", "diameter"}},
		{"oval", a.Oval, []string{"x", "y", "long", "short"}},
	}
	const oneOf = "one of rect, round, oval and polygon"
	used := 0
	for _, w := range ways {
		if len(w.numbers) > 0 {
			used++
		}
	}
	if len(a.Polygon) > 0 {
		used++
	}
	switch {
	case used == 0:
		return fault("", "the area has no shape", oneOf)
	case used > 1:
		return fault("", "the area has more than one shape", oneOf)
	}
	for _, w := range ways {
		if len(w.numbers) == 0 {
			continue
		}
		if len(w.numbers) != len(w.names) {
			return fault(w.word, fmt.Sprintf("has %d numbers", len(w.numbers)), fmt.Sprintf("%d: %v", len(w.names), w.names))
		}
		for i, v := range w.numbers {
			if math.IsNaN(v) || math.Abs(v) > MostReach {
				return fault(w.word, fmt.Sprintf("%s is %v mm", w.names[i], v), fmt.Sprintf("within %v mm of the origin", float64(MostReach)))
			}
			if i >= 2 && v < LeastSize {
				return fault(w.word, fmt.Sprintf("%s is %v mm", w.names[i], v), fmt.Sprintf("at least %v mm", LeastSize))
			}
		}
	}
	if len(a.Polygon) > 0 {
		if text, allowed := polygonFault(a.Polygon); text != "" {
			return fault("polygon", text, allowed)
		}
	}
	return nil
}

const (
	MostReach = 1e5  // mm: a hundred metres of print
	LeastSize = 0.01 // mm
)

// polygonFault says what is wrong with a polygon, "" where nothing is.
func polygonFault(corners []r2.Vec) (text, allowed string) {
	n := len(corners)
	switch {
	case n < 3:
		return fmt.Sprintf("has %d corners", n), "3 corners or more"
	case n > MostCorners:
		return fmt.Sprintf("has %d corners", n), fmt.Sprintf("at most %d corners", MostCorners)
	}
	for i, p := range corners {
		if math.IsNaN(p.X+p.Y) || math.Max(math.Abs(p.X), math.Abs(p.Y)) > MostReach {
			return fmt.Sprintf("corner %d is at (%v, %v) mm", i+1, p.X, p.Y), fmt.Sprintf("within %v mm of the origin", float64(MostReach))
		}
		if q := corners[(i+1)%n]; r2.Norm(r2.Sub(p, q)) < 1e-6 {
			return fmt.Sprintf("corners %d and %d are one point", i+1, (i+1)%n+1), "corners apart from each other"
		}
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			a, b, c, d := corners[i], corners[(i+1)%n], corners[j], corners[(j+1)%n]
			var meet bool
			switch {
			case j == i+1: // b is c: the sides may only fold back
				meet = foldsBack(a, b, d)
			case (j+1)%n == i: // d is a
				meet = foldsBack(c, a, b)
			default:
				meet = planar.SidesMeet(a, b, c, d)
			}
			if meet {
				return fmt.Sprintf("sides %d and %d meet or cross", i+1, j+1), "sides that meet only at the corner they share"
			}
		}
	}
	if math.Abs(planar.SignedArea(corners)) < LeastSize*LeastSize {
		return "has no area", "corners that are not in one line"
	}
	return "", ""
}

// foldsBack says whether the side b-c runs back along a-b.
func foldsBack(a, b, c r2.Vec) bool {
	u, v := r2.Sub(a, b), r2.Sub(c, b)
	return math.Abs(r2.Cross(u, v)) <= 1e-9*r2.Norm(u)*r2.Norm(v) && r2.Dot(u, v) > 0
}

// Centre is what the area turns about: the middle of a rect, round or oval, the
// centroid of a polygon.
func (a *Area) Centre() r2.Vec {
	switch {
	case len(a.Rect) > 0:
		return r2.Vec{X: a.Rect[0] + a.Rect[2]/2, Y: a.Rect[1] + a.Rect[3]/2}
	case len(a.Round) > 0:
		return r2.Vec{X: a.Round[0], Y: a.Round[1]}
	case len(a.Oval) > 0:
		return r2.Vec{X: a.Oval[0], Y: a.Oval[1]}
	}
	return planar.Centroid(a.Polygon)
}

// Outline gives the corners anticlockwise. A curve's corners lie on it, its
// sides at most curveChord within it.
func (a *Area) Outline() []r2.Vec {
	var out []r2.Vec
	switch {
	case len(a.Rect) > 0:
		x, y, w, d := a.Rect[0], a.Rect[1], a.Rect[2], a.Rect[3]
		out = []r2.Vec{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + d}, {X: x, Y: y + d}}
	case len(a.Round) > 0:
		out = planar.Ellipse(a.Centre(), a.Round[2]/2, a.Round[2]/2)
	case len(a.Oval) > 0:
		out = planar.Ellipse(a.Centre(), a.Oval[2]/2, a.Oval[3]/2)
	default:
		out = planar.Anticlockwise(a.Polygon)
	}
	if a.Turn == 0 || len(a.Round) > 0 {
		return out
	}
	pose, turned := a.pose(), make([]r2.Vec, len(out))
	for i, p := range out {
		q := pose.Apply(sdf.V(p.X, p.Y, 0))
		turned[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	return turned
}

// pose is the area's turn about its centre.
func (a *Area) pose() sdf.Pose {
	c := a.Centre()
	return sdf.At(sdf.V(-c.X, -c.Y, 0)).Then(sdf.Turn(sdf.V(0, 0, 1), a.Turn)).Then(sdf.At(sdf.V(c.X, c.Y, 0)))
}

// Drawn is the area as a shape of the kernel.
func (a *Area) Drawn() sdf.Shape {
	switch {
	case len(a.Round) > 0:
		return sdf.Moved(sdf.Circle(a.Round[2]/2), a.Centre(), 0)
	case len(a.Oval) > 0:
		return sdf.Moved(sdf.EllipseShape(a.Oval[2]/2, a.Oval[3]/2), a.Centre(), a.Turn)
	}
	return sdf.Polygon(a.Outline())
}

// Shape is the area as a signed distance in the plan. Is exact, curves included.
func (a *Area) Shape() planar.Shape { return &planar.Drawn{S: a.Drawn()} }

// Distance is the signed distance in the plan from p to the area's edge, mm,
// negative inside.
func (a *Area) Distance(p r2.Vec) float64 { return a.Drawn().Distance(p) }

// Contains says whether p lies inside the area.
func (a *Area) Contains(p r2.Vec) bool {
	if r := a.Rect; len(r) == 4 && a.Turn == 0 {
		return p.X > r[0] && p.X < r[0]+r[2] && p.Y > r[1] && p.Y < r[1]+r[3]
	}
	return a.mayContain(p) && a.Distance(p) < 0
}

// mayContain is false only where p lies outside: it costs next to nothing, so that one
// of many areas about a place is found at once.
func (a *Area) mayContain(p r2.Vec) bool {
	if len(a.Polygon) == 0 {
		c, half := a.Centre(), 0.0 // of the circle about it
		switch {
		case len(a.Rect) > 0:
			half = math.Hypot(a.Rect[2], a.Rect[3]) / 2
		case len(a.Round) > 0:
			half = a.Round[2] / 2
		case len(a.Oval) > 0:
			half = math.Max(a.Oval[2], a.Oval[3]) / 2
		}
		half += LeastSize
		return math.Abs(p.X-c.X) <= half && math.Abs(p.Y-c.Y) <= half
	}
	if a.Turn != 0 {
		return true
	}
	var left, right, under, over bool
	for _, q := range a.Polygon {
		left, right = left || q.X <= p.X, right || q.X >= p.X
		under, over = under || q.Y <= p.Y, over || q.Y >= p.Y
		if left && right && under && over {
			return true
		}
	}
	return false
}

// Bounds is the least box about the area in the plan.
func (a *Area) Bounds() r2.Box { return planar.Bounds(a.Outline()) }

// Size is the area in mm2, exact for every shape.
func (a *Area) Size() float64 {
	switch {
	case len(a.Rect) > 0:
		return a.Rect[2] * a.Rect[3]
	case len(a.Round) > 0:
		return math.Pi * a.Round[2] * a.Round[2] / 4
	case len(a.Oval) > 0:
		return math.Pi * a.Oval[2] * a.Oval[3] / 4
	}
	return math.Abs(planar.SignedArea(a.Polygon))
}

// FirstHit gives how far along the unit direction dir, in mm, a ray from p
// first meets the area's edge; ok is false where it does not within far.
func (a *Area) FirstHit(p, dir r2.Vec, far float64) (t float64, ok bool) {
	return planar.RayHit(a.Outline(), p, dir, far)
}

// Prism is the solid over the area between two heights. Is exact.
func (a *Area) Prism(lo, hi float64) sdf.Field {
	if len(a.Rect) > 0 {
		x, y := a.Rect[0], a.Rect[1]
		box := sdf.BoxBetween(sdf.V(x, y, lo), sdf.V(x+a.Rect[2], y+a.Rect[3], hi))
		if a.Turn == 0 {
			return box
		}
		return sdf.Place(box, a.pose())
	}
	return sdf.Extrude(a.Drawn(), lo, hi)
}

// Path is the area's outline, anticlockwise, its curves true arcs.
func (a *Area) Path() []planar.Node {
	switch {
	case len(a.Round) > 0:
		return planar.CirclePath(a.Centre(), a.Round[2]/2)
	case len(a.Oval) > 0:
		return planar.EllipsePath(a.Centre(), a.Oval[2]/2, a.Oval[3]/2, a.Turn)
	}
	return planar.Straight(a.Outline()...)
}

// Parallel is a line at a distance inside the area's edge, or outside it where d
// is less than 0: true arcs about a circle, mitres inside corners, arcs round
// them outside. About an oval it is drawn in short sides, at most curveChord
// from the parallel.
func (a *Area) Parallel(d float64) []planar.Node {
	switch {
	case len(a.Round) > 0:
		if d >= a.Round[2]/2 {
			return nil
		}
		return planar.CirclePath(a.Centre(), a.Round[2]/2-d)
	case d < 0:
		return planar.Around(a.Outline(), -d)
	}
	inner := planar.InsetOutline(a.Outline(), d)
	for _, p := range inner {
		if -a.Distance(p) < 0.5*d { // the sides have run into each other
			return nil
		}
	}
	return planar.Straight(inner...)
}
