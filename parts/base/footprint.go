package base

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// Footprint is the outline of a base at the foot of its rim, centred on the
// origin with its own axes along x and y. All footprints are convex: each is a
// core (a point, a segment, a polygon or an ellipse) grown by a radius.
type Footprint struct {
	Word   string  // its key: "oval"
	Size   r2.Vec  // full extent along x and y, mm; a hexagon's flats are square to y
	corner float64 // radius of the corners of a rectangle or square, mm
}

// Footprints lists the footprints that the keys of a base give, in the order
// of the keys; a sound base has one.
func (b *Base) Footprints() []Footprint {
	var out []Footprint
	if b.Round != nil {
		out = append(out, Footprint{Word: "round", Size: r2.Vec{X: *b.Round, Y: *b.Round}})
	}
	if b.Oval != nil {
		out = append(out, Footprint{Word: "oval", Size: r2.Vec{X: b.Oval[0], Y: b.Oval[1]}})
	}
	if b.Rectangle != nil {
		out = append(out, Footprint{Word: "rectangle", Size: r2.Vec{X: b.Rectangle[0], Y: b.Rectangle[1]}, corner: b.Corner})
	}
	if b.Square != nil {
		out = append(out, Footprint{Word: "square", Size: r2.Vec{X: *b.Square, Y: *b.Square}, corner: b.Corner})
	}
	if b.Hexagon != nil {
		out = append(out, Footprint{Word: "hexagon", Size: r2.Vec{X: 2 / math.Sqrt(3) * *b.Hexagon, Y: *b.Hexagon}})
	}
	if b.Stadium != nil {
		out = append(out, Footprint{Word: "stadium", Size: r2.Vec{X: b.Stadium[0], Y: b.Stadium[1]}})
	}
	return out
}

// String is the footprint in words: "oval 120 x 92", sizes in mm.
func (f Footprint) String() string {
	mm := func(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
	switch f.Word {
	case "round":
		return "round " + mm(f.Size.X)
	case "hexagon":
		return "hexagon " + mm(f.Size.Y)
	}
	text := fmt.Sprintf("%s %s x %s", f.Word, mm(f.Size.X), mm(f.Size.Y))
	if f.Word == "square" {
		text = "square " + mm(f.Size.X)
	}
	if f.corner > 0 {
		text += ", corners " + mm(f.corner)
	}
	return text
}

// Area is the area in mm2, in closed form (references.md section 9).
func (f Footprint) Area() float64 {
	l, w := f.Size.X, f.Size.Y
	switch f.Word {
	case "round", "oval":
		return math.Pi / 4 * l * w
	case "hexagon":
		return math.Sqrt(3) / 2 * w * w
	case "stadium":
		return math.Pi/4*w*w + w*(l-w)
	}
	return l*w - (4-math.Pi)*f.corner*f.corner
}

// radius is how far the core is grown, mm.
func (f Footprint) radius() float64 {
	switch f.Word {
	case "round", "stadium":
		return f.Size.Y / 2
	}
	return f.corner
}

// support is the point of the core farthest along a direction, which need not
// be of length one.
func (f Footprint) support(u r2.Vec) r2.Vec {
	h := r2.Scale(0.5, f.Size)
	switch f.Word {
	case "round":
		return r2.Vec{}
	case "oval":
		x, y := h.X*u.X, h.Y*u.Y
		n := math.Hypot(x, y)
		if n == 0 {
			return r2.Vec{X: h.X}
		}
		return r2.Vec{X: h.X * x / n, Y: h.Y * y / n}
	case "stadium":
		return r2.Vec{X: math.Copysign(h.X-h.Y, u.X)}
	case "hexagon":
		end := r2.Vec{X: math.Copysign(h.X, u.X)}
		side := r2.Vec{X: math.Copysign(h.X/2, u.X), Y: math.Copysign(h.Y, u.Y)}
		if r2.Dot(end, u) > r2.Dot(side, u) {
			return end
		}
		return side
	}
	return r2.Vec{X: math.Copysign(h.X-f.corner, u.X), Y: math.Copysign(h.Y-f.corner, u.Y)}
}

// Reach is the radius of the least circle about the centre that holds the footprint, mm.
func (f Footprint) Reach() float64 {
	switch f.Word {
	case "round", "oval", "stadium", "hexagon":
		return f.Size.X / 2
	}
	return math.Hypot(f.Size.X/2-f.corner, f.Size.Y/2-f.corner) + f.corner
}

// fineChord is the most that the sides of a footprint's outline lie within it, mm.
const fineChord = 1e-3

// Outline gives the footprint's corners anticlockwise; a curve's lie on it, its
// sides at most fineChord within it.
func (f Footprint) Outline() []r2.Vec {
	switch f.Word {
	case "hexagon":
		h := r2.Scale(0.5, f.Size)
		return []r2.Vec{{X: h.X}, {X: h.X / 2, Y: h.Y}, {X: -h.X / 2, Y: h.Y}, {X: -h.X}, {X: -h.X / 2, Y: -h.Y}, {X: h.X / 2, Y: -h.Y}}
	case "round", "oval":
		return f.arcs(f.Size.X/2, f.Size.Y/2, func(r2.Vec) r2.Vec { return r2.Vec{} })
	}
	return f.arcs(f.radius(), f.radius(), f.support)
}

// arcs is a quarter of an ellipse about each of the core's four corners.
func (f Footprint) arcs(rx, ry float64, about func(quarter r2.Vec) r2.Vec) []r2.Vec {
	steps := max(1, int(math.Ceil(math.Pi/2/math.Sqrt(8*fineChord/math.Max(math.Max(rx, ry), fineChord)))))
	var out []r2.Vec
	for q := range 4 {
		sign := [4]r2.Vec{{X: 1, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}, {X: 1, Y: -1}}[q]
		c := about(sign)
		for i := range steps + 1 {
			sin, cos := math.Sincos(float64(i) / float64(steps) * math.Pi / 2)
			if i == steps {
				sin, cos = 1, 0
			}
			for range q {
				sin, cos = cos, -sin
			}
			out = append(out, r2.Vec{X: c.X + rx*cos, Y: c.Y + ry*sin})
		}
	}
	return planar.Tidy(out)
}

// Spot is a footprint laid on the scene.
type Spot struct {
	Footprint
	At       r2.Vec  // its centre
	Turn     float64 // degrees
	sin, cos float64 // of the turn
}

func NewSpot(f Footprint, at r2.Vec, turn float64) *Spot {
	s := &Spot{Footprint: f, At: at, Turn: turn}
	switch t := math.Mod(turn+360, 360); t {
	case 0:
		s.cos = 1
	case 90:
		s.sin = 1
	case 180:
		s.cos = -1
	case 270:
		s.sin = -1
	default:
		s.sin, s.cos = math.Sincos(t * math.Pi / 180)
	}
	return s
}

// Place takes a point of the footprint to the scene.
func (s *Spot) Place(p r2.Vec) r2.Vec {
	return r2.Vec{X: s.At.X + s.cos*p.X - s.sin*p.Y, Y: s.At.Y + s.sin*p.X + s.cos*p.Y}
}

// farthest is the point of the placed core farthest along a direction of the
// scene; shrink moves it so many mm toward the centre, at most.
func (s *Spot) farthest(u r2.Vec, shrink float64) r2.Vec {
	p := s.support(r2.Vec{X: s.cos*u.X + s.sin*u.Y, Y: s.cos*u.Y - s.sin*u.X})
	if shrink > 0 {
		p = r2.Scale(math.Max(0, 1-shrink/s.Reach()), p)
	}
	return s.Place(p)
}

// Bounds is the least box about the placed footprint. Is exact.
func (s *Spot) Bounds() r2.Box {
	r := s.radius()
	return r2.Box{
		Min: r2.Vec{X: s.farthest(r2.Vec{X: -1}, 0).X - r, Y: s.farthest(r2.Vec{Y: -1}, 0).Y - r},
		Max: r2.Vec{X: s.farthest(r2.Vec{X: 1}, 0).X + r, Y: s.farthest(r2.Vec{Y: 1}, 0).Y + r},
	}
}

// Local brings a place of the plan to the footprint's own axes.
func (s *Spot) Local(p r2.Vec) r2.Vec {
	d := r2.Sub(p, s.At)
	return r2.Vec{X: s.cos*d.X + s.sin*d.Y, Y: s.cos*d.Y - s.sin*d.X}
}

// OnScene is the outline of the footprint, in the scene.
func (at *Spot) OnScene() []r2.Vec {
	plan := make([]r2.Vec, 0, 64)
	for _, p := range at.Outline() {
		plan = append(plan, at.Place(p))
	}
	return plan
}

// Path is the outline of the placed footprint, anticlockwise. Is exact: curves
// are arcs.
func (s *Spot) Path() []planar.Node {
	h := r2.Scale(0.5, s.Size)
	switch s.Word {
	case "round", "oval":
		return planar.EllipsePath(s.At, h.X, h.Y, s.Turn)
	case "hexagon":
		var pts []r2.Vec
		for _, p := range s.Outline() {
			pts = append(pts, s.Place(p))
		}
		return planar.Straight(pts...)
	}
	r := s.radius()
	core := []r2.Vec{}
	for _, q := range [4]r2.Vec{{X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}} {
		core = append(core, s.support(q))
	}
	var path []planar.Node
	for i, c := range core { // a side to each corner, and round it
		from := [4]r2.Vec{{Y: -1}, {X: 1}, {Y: 1}, {X: -1}}[i]
		to := r2.Vec{X: -from.Y, Y: from.X}
		path = append(path, planar.Node{To: s.Place(r2.Add(c, r2.Scale(r, from)))})
		if r > 0 {
			path = append(path, planar.Node{To: s.Place(r2.Add(c, r2.Scale(r, to))), Radii: r2.Vec{X: r, Y: r}})
		}
	}
	return path
}
