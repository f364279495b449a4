package planar

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// LeftNormal is the unit normal to the left as one goes from a to b; zero where
// the two are one point.
func LeftNormal(a, b r2.Vec) r2.Vec {
	e := r2.Sub(b, a)
	if l := r2.Norm(e); l > 0 {
		return r2.Vec{X: -e.Y / l, Y: e.X / l}
	}
	return r2.Vec{}
}

// Line is a line in space that something is set out along.
type Line struct {
	Pts    []r3.Vec
	Closed bool
	Posts  []float64 // distances along the plan that are set out first; nil for its corners
}

// Leg is one straight side of a line.
type Leg struct {
	A, B     r3.Vec
	From, To float64 // distances along the plan
}

// Sides gives the straight sides with their distances along the plan.
func (l Line) Sides() []Leg {
	var sides []Leg
	at := 0.0
	n := len(l.Pts)
	last := n - 1
	if l.Closed {
		last = n
	}
	for i := range last {
		a, b := l.Pts[i], l.Pts[(i+1)%n]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length < 1e-9 {
			continue
		}
		sides = append(sides, Leg{a, b, at, at + length})
		at += length
	}
	return sides
}

// At is the point at a distance along one side.
func (s Leg) At(d float64) r3.Vec {
	t := (d - s.From) / (s.To - s.From)
	return r3.Add(s.A, r3.Scale(t, r3.Sub(s.B, s.A)))
}

// Slope is how much a side rises over its length on the plan.
func (s Leg) Slope() float64 { return (s.B.Z - s.A.Z) / (s.To - s.From) }

// LegNumber is the number of the side that a distance along the plan lies on, the
// last beyond the end.
func LegNumber(sides []Leg, d float64) int {
	return min(sort.Search(len(sides), func(i int) bool { return d <= sides[i].To }), len(sides)-1)
}

// LegAt is the side that a distance along the plan lies on.
func LegAt(sides []Leg, d float64) Leg { return sides[LegNumber(sides, d)] }

// PointAt is the point at a distance along the plan.
func PointAt(sides []Leg, d float64) r3.Vec {
	s := LegAt(sides, d)
	if d > s.To {
		return s.B
	}
	return s.At(max(d, s.From))
}

// cornerTurn is the change of direction, in degrees, that makes a corner; less
// is a curve drawn in short sides.
const cornerTurn = 20

// Corners gives the distances along the plan at which the line turns sharply,
// in plan or in pitch, with both ends of an open line.
func (l Line) Corners() []float64 {
	sides := l.Sides()
	if len(sides) == 0 {
		return nil
	}
	sharp := func(a, b Leg) bool {
		u, v := r3.Unit(r3.Sub(a.B, a.A)), r3.Unit(r3.Sub(b.B, b.A))
		return r3.Dot(u, v) < math.Cos(cornerTurn*math.Pi/180)
	}
	var at []float64
	if !l.Closed || sharp(sides[len(sides)-1], sides[0]) {
		at = append(at, 0)
	}
	for i := 1; i < len(sides); i++ {
		if sharp(sides[i-1], sides[i]) {
			at = append(at, sides[i].From)
		}
	}
	if !l.Closed {
		at = append(at, sides[len(sides)-1].To)
	}
	return at
}

// Cut takes the stretches that lie inside a test away from a line and gives
// what is left, as open lines. The test is sampled every step mm and each change
// is found to a thousandth of that.
func (l Line) Cut(gone func(p r3.Vec) bool, step float64) []Line {
	sides := l.Sides()
	if len(sides) == 0 {
		return nil
	}
	var left []Line
	var now []r3.Vec
	whole := true
	finish := func() {
		if len(now) > 1 {
			left = append(left, Line{Pts: now})
		}
		now = nil
	}
	for _, s := range sides {
		n := max(1, int(math.Ceil((s.To-s.From)/step)))
		was := gone(s.A)
		if was {
			whole = false
		} else if len(now) == 0 {
			now = []r3.Vec{s.A}
		}
		for i := 1; i <= n; i++ {
			d := s.From + (s.To-s.From)*float64(i)/float64(n)
			is := gone(s.At(d))
			if is != was {
				whole = false
				lo, hi := s.From+(s.To-s.From)*float64(i-1)/float64(n), d
				for range 12 {
					if mid := (lo + hi) / 2; gone(s.At(mid)) == was {
						lo = mid
					} else {
						hi = mid
					}
				}
				if is {
					now = append(now, s.At(lo))
					finish()
				} else {
					now = []r3.Vec{s.At(hi)}
				}
			}
			was = is
		}
		if !was {
			now = append(now, s.B)
		}
	}
	if whole {
		return []Line{l}
	}
	finish()
	// On a closed line the last stretch runs on into the first.
	if n := len(left); l.Closed && n > 1 && left[0].Pts[0] == left[n-1].Pts[len(left[n-1].Pts)-1] {
		left[0].Pts = append(left[n-1].Pts, left[0].Pts[1:]...)
		left = left[:n-1]
	}
	return left
}

// HeadingOf is the direction of v on the plan in degrees from east, exact along
// the axes.
func HeadingOf(v r3.Vec) float64 {
	switch {
	case v.Y == 0 && v.X >= 0:
		return 0
	case v.X == 0 && v.Y > 0:
		return 90
	case v.Y == 0:
		return 180
	case v.X == 0:
		return 270
	}
	return math.Atan2(v.Y, v.X) * 180 / math.Pi
}

// SegmentDistance is how far p lies from the segment between a and b.
func SegmentDistance(p, a, b r2.Vec) float64 {
	ab := r2.Sub(b, a)
	t := 0.0
	if l := r2.Norm2(ab); l > 0 {
		t = max(0, min(1, r2.Dot(r2.Sub(p, a), ab)/l))
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, ab))))
}

// OnPlan drops the height.
func OnPlan(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }

// NearestAlong is how far along a line of the plan the place lies that is nearest to a point,
// and how far off the point is, mm.
func NearestAlong(line []r2.Vec, p r2.Vec) (along, off float64) {
	off = math.Inf(1)
	start := 0.0
	for i, b := range line[1:] {
		a := line[i]
		side := r2.Sub(b, a)
		length := r2.Norm(side)
		if length == 0 {
			continue
		}
		on := math.Max(0, math.Min(length, r2.Dot(r2.Sub(p, a), side)/length))
		if d := r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(on/length, side)))); d < off {
			along, off = start+on, d
		}
		start += length
	}
	return along, off
}

// Stretch is the line between two distances along its sides, corners included.
func Stretch(sides []Leg, from, to float64) []r2.Vec {
	pts := []r2.Vec{OnPlan(PointAt(sides, from))}
	for _, s := range sides {
		if s.To > from+1e-9 && s.To < to-1e-9 {
			pts = append(pts, OnPlan(s.B))
		}
	}
	return append(pts, OnPlan(PointAt(sides, to)))
}

// LengthOf is the length of a line of the plan, mm.
func LengthOf(line []r2.Vec) (sum float64) {
	for i := 1; i < len(line); i++ {
		sum += Norm2(r2.Sub(line[i], line[i-1]))
	}
	return sum
}

// Band is the outline of what lies within a distance on both sides of a line: its
// ends square, its corners mitred, no further out than a right angle needs.
func Band(line []r2.Vec, half float64) []r2.Vec { return Strip(line, half, half) }

// Strip is the same with a distance to the left and one to the right, of which one may be
// less than 0: then the strip lies beside the line.
func Strip(line []r2.Vec, toLeft, toRight float64) []r2.Vec {
	n := len(line)
	left, right := make([]r2.Vec, n), make([]r2.Vec, n)
	for i, p := range line {
		var u, v r2.Vec
		if i > 0 {
			u = LeftNormal(line[i-1], p)
		}
		if i < n-1 {
			v = LeftNormal(p, line[i+1])
		}
		if i == 0 {
			u = v
		}
		if i == n-1 {
			v = u
		}
		m := r2.Add(u, v)
		across := func(d float64) r2.Vec { return r2.Scale(d*2/max(r2.Norm2(m), 2), m) }
		left[n-1-i], right[i] = r2.Add(p, across(toLeft)), r2.Sub(p, across(toRight))
	}
	return Anticlockwise(append(right, left...))
}

// RaiseLine is a line of the plan in space, at height z.
func RaiseLine(pts []r2.Vec, z float64) []r3.Vec {
	out := make([]r3.Vec, len(pts))
	for i, p := range pts {
		out[i] = sdf.V(p.X, p.Y, z)
	}
	return out
}

// Heading is the unit vector at degrees from east, exact at the quarter turns.
func Heading(degrees float64) r2.Vec {
	d := math.Mod(degrees, 360)
	quarter := math.Round(d / 90)
	v := r2.Vec{X: 1}
	if rest := d - 90*quarter; rest != 0 {
		sin, cos := math.Sincos(rest * math.Pi / 180)
		v = r2.Vec{X: cos, Y: sin}
	}
	for range (int(quarter)%4 + 4) % 4 {
		v = r2.Vec{X: -v.Y, Y: v.X}
	}
	return v
}

// Raise is a place of the plan in space, at height 0.
func Raise(p r2.Vec) r3.Vec { return sdf.V(p.X, p.Y, 0) }

// Rounding keeps a limit that is met exactly from being missed by the last bit.
const Rounding = 1e-9

// EqualBays divides a length into the fewest equal bays none of which is longer
// than spacing; both in mm. It gives at least one.
func EqualBays(length, spacing float64) int {
	if length <= spacing || spacing <= 0 {
		return 1
	}
	return int(math.Ceil(length/spacing - Rounding))
}

// Above is the point at a height over another.
func Above(q r3.Vec, h float64) r3.Vec { return r3.Add(q, sdf.V(0, 0, h)) }
