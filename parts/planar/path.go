package planar

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Node is a corner of a path and the line that leads to it: straight, or an arc of an
// ellipse.
type Node struct {
	To        r2.Vec
	Radii     r2.Vec  // half-axes of the arc, mm; zero for a straight line
	Turn      float64 // of the first half-axis, degrees
	Large     bool    // the longer of the two arcs
	Clockwise bool
}

// Straight is a path along straight sides.
func Straight(pts ...r2.Vec) []Node {
	path := make([]Node, len(pts))
	for i, p := range pts {
		path[i].To = p
	}
	return path
}

// CirclePath is a whole circle, anticlockwise from the east.
func CirclePath(c r2.Vec, radius float64) []Node {
	return EllipsePath(c, radius, radius, 0)
}

// EllipsePath is a whole ellipse with the half-axes rx and ry, the first turned
// by degrees, anticlockwise in quarters: the middle of half an ellipse between its
// ends would hang on the last decimal of where they are.
func EllipsePath(c r2.Vec, rx, ry, turn float64) []Node {
	u, v := r2.Scale(rx, Heading(turn)), r2.Scale(ry, Heading(turn+90))
	path := Straight(r2.Add(c, u), r2.Add(c, v), r2.Sub(c, u), r2.Sub(c, v), r2.Add(c, u))
	for i := range path[1:] {
		path[i+1].Radii, path[i+1].Turn = r2.Vec{X: rx, Y: ry}, turn
	}
	return path
}

// Around is the line at a distance d outside an anticlockwise outline: arcs
// round its outer corners, mitres in its inner ones. An outline that runs along a
// line and back gives the line at d on both sides with half-round ends.
func Around(outline []r2.Vec, d float64) []Node {
	var path []Node
	n := len(outline)
	for i, p := range outline {
		before, after := outline[(i+n-1)%n], outline[(i+1)%n]
		u, v := LeftNormal(before, p), LeftNormal(p, after)
		if u == (r2.Vec{}) || v == (r2.Vec{}) {
			continue
		}
		turn := math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
		if math.Abs(turn) > math.Pi-1e-9 { // the end of a line
			turn = math.Pi
		}
		if turn < 0 {
			m := r2.Add(u, v)
			path = append(path, Node{To: r2.Sub(p, r2.Scale(2*d/max(r2.Norm2(m), 1.0/8), m))})
			continue
		}
		path = append(path, Node{To: r2.Sub(p, r2.Scale(d, u))})
		radii := r2.Vec{X: d, Y: d}
		if turn > math.Pi/2 { // in two, as an ellipse is in quarters
			sin, cos := math.Sincos(turn / 2)
			m := r2.Vec{X: cos*u.X - sin*u.Y, Y: sin*u.X + cos*u.Y}
			path = append(path, Node{To: r2.Sub(p, r2.Scale(d, m)), Radii: radii})
		}
		if turn > 1e-9 {
			path = append(path, Node{To: r2.Sub(p, r2.Scale(d, v)), Radii: radii})
		}
	}
	return path
}

// Alongside is the line at a distance on both sides of a line of straight sides,
// its ends half-round; round a single point it is a circle.
func Alongside(line []r2.Vec, d float64) []Node {
	if len(line) == 1 {
		return CirclePath(line[0], d)
	}
	there := append([]r2.Vec{}, line...)
	for i := len(line) - 2; i > 0; i-- {
		there = append(there, line[i])
	}
	return Around(there, d)
}

// SquarePath is a square of a side about a point, turned by degrees.
func SquarePath(c r2.Vec, side, turn float64) []Node {
	u := r2.Scale(side/2, Heading(turn))
	v := r2.Vec{X: -u.Y, Y: u.X}
	return Straight(
		r2.Sub(r2.Sub(c, u), v), r2.Sub(r2.Add(c, u), v),
		r2.Add(r2.Add(c, u), v), r2.Add(r2.Sub(c, u), v))
}

// Ticks are short lines square to the sides of an anticlockwise outline, length
// mm to its inside, or to its outside where that is less than 0. They stand
// spacing mm apart, every other one half as long.
func Ticks(outline []r2.Vec, spacing, length float64) [][]Node {
	var out [][]Node
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		in, long := LeftNormal(a, b), r2.Norm(r2.Sub(b, a))
		n := int(long / spacing)
		for k := range n {
			p := r2.Add(a, r2.Scale((float64(k)+0.5)/float64(n), r2.Sub(b, a)))
			reach := length
			if k%2 == 1 {
				reach /= 2
			}
			out = append(out, Straight(p, r2.Add(p, r2.Scale(reach, in))))
		}
	}
	return out
}
