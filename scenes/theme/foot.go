package theme

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf/polygon"
)

// foot is the outline of a base at its foot: the key of the footprint and its
// sizes in mm along its own axes. A hexagon's sizes are both across flats.
type foot struct {
	word        string
	long, short float64
}

// side is the short side, mm.
func (f foot) side() float64 { return math.Min(f.long, f.short) }

// two says that the footprint is written with two sizes.
func (f foot) two() bool { return f.word == "oval" || f.word == "rectangle" || f.word == "stadium" }

// value is the footprint as its key's value in a scene.
func (f foot) value() string {
	if f.two() {
		return fmt.Sprintf("[%s, %s]", mm(f.long), mm(f.short))
	}
	return mm(f.long)
}

// outline gives the corners, anticlockwise, turned by so many degrees; a curve
// by points on it, close enough that its sides lie within 0.06 mm of it for the
// largest base.
func (f foot) outline(turn float64) []r2.Vec {
	const around = 120
	var out []r2.Vec
	x, y := f.long/2, f.short/2
	switch f.word {
	case "hexagon":
		for i := range 6 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 3)
			out = append(out, r2.Vec{X: f.long / math.Sqrt(3) * cos, Y: f.long / math.Sqrt(3) * sin})
		}
	case "rectangle", "square":
		out = []r2.Vec{{X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}, {X: -x, Y: -y}}
	case "stadium":
		for i := range around {
			sin, cos := math.Sincos((float64(i) + 0.5) * 2 * math.Pi / around)
			out = append(out, r2.Vec{X: math.Copysign(x-y, cos) + y*cos, Y: y * sin})
		}
	default: // round, oval
		for i := range around {
			sin, cos := math.Sincos(float64(i) * 2 * math.Pi / around)
			out = append(out, r2.Vec{X: x * cos, Y: y * sin})
		}
	}
	for i := range out {
		out[i] = turned(out[i], turn)
	}
	return out
}

// turned turns a point about the origin by degrees, exactly for quarters.
func turned(p r2.Vec, degrees float64) r2.Vec {
	switch math.Mod(degrees+720, 360) {
	case 0:
		return p
	case 90:
		return r2.Vec{X: -p.Y, Y: p.X}
	case 180:
		return r2.Vec{X: -p.X, Y: -p.Y}
	case 270:
		return r2.Vec{X: p.Y, Y: -p.X}
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return r2.Vec{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}
}

// extent is the half width and half depth of an outline about the origin.
func extent(outline []r2.Vec) r2.Vec {
	var e r2.Vec
	for _, p := range outline {
		e.X, e.Y = math.Max(e.X, math.Abs(p.X)), math.Max(e.Y, math.Abs(p.Y))
	}
	return e
}

// depthIn is how deep a point lies within a convex outline that runs
// anticlockwise, mm; negative outside, and then no more than the distance.
func depthIn(outline []r2.Vec, p r2.Vec) float64 {
	least := math.Inf(1)
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		x, y := b.X-a.X, b.Y-a.Y
		if d := (x*(p.Y-a.Y) - y*(p.X-a.X)) / math.Sqrt(x*x+y*y); d < least {
			least = d
		}
	}
	return least
}

// apart is the distance between two polygons, mm; 0 where they meet or one lies
// in the other. Polygons may be of two points: a line. The first must be convex
// and run anticlockwise.
func apart(a, b []r2.Vec) float64 {
	for _, p := range b {
		if depthIn(a, p) >= 0 {
			return 0
		}
	}
	if len(b) > 2 && polygon.Contains(b, a[0]) {
		return 0
	}
	least := math.Inf(1)
	for i := range a {
		p, q := a[i], a[(i+1)%len(a)]
		for k := range b {
			r, s := b[k], b[(k+1)%len(b)]
			if crossing(p, q, r, s) {
				return 0
			}
			for _, d := range [4]float64{toSide(p, r, s), toSide(q, r, s), toSide(r, p, q), toSide(s, p, q)} {
				least = math.Min(least, d)
			}
		}
	}
	return least
}

// crossing says that two segments share a point within both.
func crossing(p, q, r, s r2.Vec) bool {
	side := func(a, b, c r2.Vec) float64 { return r2.Cross(r2.Sub(b, a), r2.Sub(c, a)) }
	return side(p, q, r)*side(p, q, s) < 0 && side(r, s, p)*side(r, s, q) < 0
}

// toSide is the distance of a point from a segment.
func toSide(p, a, b r2.Vec) float64 {
	e := r2.Sub(b, a)
	t := 0.0
	if l := r2.Norm2(e); l > 0 {
		t = math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, a), e)/l))
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, e))))
}

// box is an upright rectangle's corners, anticlockwise.
func box(x0, y0, x1, y1 float64) []r2.Vec {
	return []r2.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}
