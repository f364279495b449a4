package parts

import (
	"math"
	"socle/sdf"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// rayHit gives how far along the unit direction dir, in mm, a ray from p first
// meets a closed outline; ok is false where it does not within far.
func rayHit(outline []r2.Vec, p, dir r2.Vec, far float64) (t float64, ok bool) {
	t = far
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		e := r2.Sub(b, a)
		det := r2.Cross(dir, e)
		if math.Abs(det) < 1e-12 {
			continue // parallel: the neighbouring sides are met at their ends
		}
		ap := r2.Sub(a, p)
		along, across := r2.Cross(ap, e)/det, r2.Cross(ap, dir)/det
		if along >= 0 && along <= t && across >= -1e-12 && across <= 1+1e-12 {
			t, ok = along, true
		}
	}
	return t, ok
}

// anticlockwise gives the outline with its inside on the left.
func anticlockwise(outline []r2.Vec) []r2.Vec {
	area := 0.0
	for i, a := range outline {
		area += r2.Cross(a, outline[(i+1)%len(outline)])
	}
	if area >= 0 {
		return outline
	}
	turned := make([]r2.Vec, len(outline))
	for i, a := range outline {
		turned[len(outline)-1-i] = a
	}
	return turned
}

// insetOutline moves each side of an anticlockwise outline inward by d mm and
// mitres the corners; a mitre is cut off at four times d.
func insetOutline(outline []r2.Vec, d float64) []r2.Vec {
	n := len(outline)
	out := make([]r2.Vec, n)
	for i, p := range outline {
		u, v := leftNormal(outline[(i+n-1)%n], p), leftNormal(p, outline[(i+1)%n])
		m := r2.Add(u, v)
		scale := 2 / max(r2.Norm2(m), 1.0/8)
		out[i] = r2.Add(p, r2.Scale(d*scale, m))
	}
	return out
}

// leftNormal is the unit normal to the left of the way from a to b; zero where
// the two are one point.
func leftNormal(a, b r2.Vec) r2.Vec {
	e := r2.Sub(b, a)
	if l := r2.Norm(e); l > 0 {
		return r2.Vec{X: -e.Y / l, Y: e.X / l}
	}
	return r2.Vec{}
}

// line3 is a line in space that something is set out along.
type line3 struct {
	pts    []r3.Vec
	closed bool
	posts  []float64 // distances along the plan that are set out first; nil for its corners
}

// side3 is one straight side of a line.
type side3 struct {
	a, b     r3.Vec
	from, to float64 // distances along the plan
}

// sides gives the straight sides with their distances along the plan.
func (l line3) sides() []side3 {
	var sides []side3
	at := 0.0
	n := len(l.pts)
	last := n - 1
	if l.closed {
		last = n
	}
	for i := range last {
		a, b := l.pts[i], l.pts[(i+1)%n]
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length < 1e-9 {
			continue
		}
		sides = append(sides, side3{a, b, at, at + length})
		at += length
	}
	return sides
}

// at is the point at a distance along one side.
func (s side3) at(d float64) r3.Vec {
	t := (d - s.from) / (s.to - s.from)
	return r3.Add(s.a, r3.Scale(t, r3.Sub(s.b, s.a)))
}

// slope is how much a side rises over its length on the plan.
func (s side3) slope() float64 { return (s.b.Z - s.a.Z) / (s.to - s.from) }

// sideNumber is the number of the side that a distance along the plan lies on, the
// last beyond the end.
func sideNumber(sides []side3, d float64) int {
	return min(sort.Search(len(sides), func(i int) bool { return d <= sides[i].to }), len(sides)-1)
}

func sideAt(sides []side3, d float64) side3 { return sides[sideNumber(sides, d)] }

// pointAt is the point at a distance along the plan.
func pointAt(sides []side3, d float64) r3.Vec {
	s := sideAt(sides, d)
	if d > s.to {
		return s.b
	}
	return s.at(math.Max(d, s.from))
}

// cornerTurn is the change of direction, in degrees, that makes a corner; less
// is a curve drawn in short sides.
const cornerTurn = 20

// corners gives the distances along the plan at which the line turns sharply,
// in plan or in pitch, with both ends of an open line.
func (l line3) corners() []float64 {
	sides := l.sides()
	if len(sides) == 0 {
		return nil
	}
	sharp := func(a, b side3) bool {
		u, v := r3.Unit(r3.Sub(a.b, a.a)), r3.Unit(r3.Sub(b.b, b.a))
		return r3.Dot(u, v) < math.Cos(cornerTurn*math.Pi/180)
	}
	var at []float64
	if !l.closed || sharp(sides[len(sides)-1], sides[0]) {
		at = append(at, 0)
	}
	for i := 1; i < len(sides); i++ {
		if sharp(sides[i-1], sides[i]) {
			at = append(at, sides[i].from)
		}
	}
	if !l.closed {
		at = append(at, sides[len(sides)-1].to)
	}
	return at
}

// cut takes the stretches that lie inside a test away from a line and gives
// what is left, as open lines. The test is sampled every step mm and each change
// is found to a thousandth of that.
func (l line3) cut(gone func(p r3.Vec) bool, step float64) []line3 {
	sides := l.sides()
	if len(sides) == 0 {
		return nil
	}
	var left []line3
	var now []r3.Vec
	whole := true
	finish := func() {
		if len(now) > 1 {
			left = append(left, line3{pts: now})
		}
		now = nil
	}
	for _, s := range sides {
		n := max(1, int(math.Ceil((s.to-s.from)/step)))
		was := gone(s.a)
		if was {
			whole = false
		} else if len(now) == 0 {
			now = []r3.Vec{s.a}
		}
		for i := 1; i <= n; i++ {
			d := s.from + (s.to-s.from)*float64(i)/float64(n)
			is := gone(s.at(d))
			if is != was {
				whole = false
				lo, hi := s.from+(s.to-s.from)*float64(i-1)/float64(n), d
				for range 12 {
					if mid := (lo + hi) / 2; gone(s.at(mid)) == was {
						lo = mid
					} else {
						hi = mid
					}
				}
				if is {
					now = append(now, s.at(lo))
					finish()
				} else {
					now = []r3.Vec{s.at(hi)}
				}
			}
			was = is
		}
		if !was {
			now = append(now, s.b)
		}
	}
	if whole {
		return []line3{l}
	}
	finish()
	// On a closed line the last stretch runs on into the first.
	if n := len(left); l.closed && n > 1 && left[0].pts[0] == left[n-1].pts[len(left[n-1].pts)-1] {
		left[0].pts = append(left[n-1].pts, left[0].pts[1:]...)
		left = left[:n-1]
	}
	return left
}

// headingOf is the direction of v on the plan in degrees from east, exact along
// the axes.
func headingOf(v r3.Vec) float64 {
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

// segmentDistance is how far p lies from the straight way between a and b.
func segmentDistance(p, a, b r2.Vec) float64 {
	ab := r2.Sub(b, a)
	t := 0.0
	if l := r2.Norm2(ab); l > 0 {
		t = math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, a), ab)/l))
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, ab))))
}

// onPlan drops the height.
func onPlan(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }

// stretch is the line between two distances along its sides, corners included.
func stretch(sides []side3, from, to float64) []r2.Vec {
	pts := []r2.Vec{onPlan(pointAt(sides, from))}
	for _, s := range sides {
		if s.to > from+1e-9 && s.to < to-1e-9 {
			pts = append(pts, onPlan(s.b))
		}
	}
	return append(pts, onPlan(pointAt(sides, to)))
}

// band is the outline of what lies within a distance on both sides of a line: its
// ends square, its corners mitred, no further out than a right angle needs.
func band(line []r2.Vec, half float64) []r2.Vec {
	n := len(line)
	left, right := make([]r2.Vec, n), make([]r2.Vec, n)
	for i, p := range line {
		var u, v r2.Vec
		if i > 0 {
			u = leftNormal(line[i-1], p)
		}
		if i < n-1 {
			v = leftNormal(p, line[i+1])
		}
		if i == 0 {
			u = v
		}
		if i == n-1 {
			v = u
		}
		m := r2.Add(u, v)
		across := r2.Scale(half*2/max(r2.Norm2(m), 2), m)
		left[n-1-i], right[i] = r2.Add(p, across), r2.Sub(p, across)
	}
	return anticlockwise(append(right, left...))
}

func raiseLine(pts []r2.Vec, z float64) []r3.Vec {
	out := make([]r3.Vec, len(pts))
	for i, p := range pts {
		out[i] = sdf.V(p.X, p.Y, z)
	}
	return out
}

// heading is the unit vector at degrees from east, exact at the quarter turns.
func heading(degrees float64) r2.Vec {
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

// raise is a place of the plan in space, at height 0.
func raise(p r2.Vec) r3.Vec { return sdf.V(p.X, p.Y, 0) }

// rounding keeps a limit that is met exactly from being missed by the last bit.
const rounding = 1e-9

// equalBays divides a length into the fewest equal bays none of which is longer
// than spacing; both in mm. It gives at least one.
func equalBays(length, spacing float64) int {
	if length <= spacing || spacing <= 0 {
		return 1
	}
	return int(math.Ceil(length/spacing - rounding))
}

// above is the point so far over another.
func above(q r3.Vec, h float64) r3.Vec { return r3.Add(q, sdf.V(0, 0, h)) }
