package plan

import (
	"math"
	"unicode"
)

// Sizes of lettering, mm of the em. Capitals and figures stand about 0.72 of it
// high (DejaVu Sans 0.73, Arial 0.716), so the smallest are 2 mm tall on paper.
const (
	titleSize  = 6.0
	nameSize   = 3.8
	narrowSize = 3.0 // of a name where its footprint is narrow
	noteSize   = 3.0
	smallSize  = 2.8
	lineHeight = 1.25 // of the size
	bold       = 1.08 // how much wider bold letters are
)

// width is about how wide a text is in a common sans-serif, mm: as in the wide ones
// (DejaVu Sans, Verdana), so that what is given room has it in all.
func width(text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		switch {
		case r == ' ' || r == '.' || r == ',' || r == ':' || r == 'i' || r == 'l' || r == 'j' || r == '\'' || r == '|':
			sum += 0.34
		case r == 'f' || r == 't' || r == 'r' || r == '-' || r == '(' || r == ')':
			sum += 0.42
		case r == 'm' || r == 'w' || r == 'M' || r == 'W' || r == '%' || r == '@':
			sum += 0.98
		case r > 0x2e80: // scripts written in squares
			sum += 1.05
		case unicode.IsUpper(r):
			sum += 0.76
		default:
			sum += 0.64
		}
	}
	return sum * size
}

// fitted shortens a text to a room, with an ellipsis.
func fitted(text string, size, room float64) string {
	if width(text, size) <= room {
		return text
	}
	runes := []rune(text)
	for len(runes) > 0 && width(string(runes)+"...", size) > room {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "..."
}

// frame is an upright rectangle on the scene.
type frame struct{ min, max Point }

// about is a frame of a size round a middle.
func about(c Point, w, h float64) frame {
	return frame{Point{c.X - w/2, c.Y - h/2}, Point{c.X + w/2, c.Y + h/2}}
}

func (f frame) middle() Point { return Point{(f.min.X + f.max.X) / 2, (f.min.Y + f.max.Y) / 2} }

func (f frame) meets(g frame) bool {
	return f.min.X < g.max.X && g.min.X < f.max.X && f.min.Y < g.max.Y && g.min.Y < f.max.Y
}

func (f frame) within(g frame) bool {
	return f.min.X >= g.min.X && f.max.X <= g.max.X && f.min.Y >= g.min.Y && f.max.Y <= g.max.Y
}

// crossed tells whether a straight line runs through the frame (Liang and Barsky,
// ACM Trans. Graph. 3, 1984, from memory).
func (f frame) crossed(a, b Point) bool {
	t0, t1 := 0.0, 1.0
	for _, k := range [4][2]float64{
		{a.X - b.X, a.X - f.min.X}, {b.X - a.X, f.max.X - a.X},
		{a.Y - b.Y, a.Y - f.min.Y}, {b.Y - a.Y, f.max.Y - a.Y},
	} {
		switch t := k[1] / k[0]; {
		case k[0] == 0 && k[1] < 0:
			return false
		case k[0] < 0:
			t0 = max(t0, t)
		case k[0] > 0:
			t1 = min(t1, t)
		}
	}
	return t0 <= t1
}

// spread is what lettering keeps clear of.
type spread struct {
	within frame   // the scene
	taken  []frame // lettering that is set
	lines  [][2]Point
	owned  [][]Node // footprints, which lettering about the scene stays out of
}

// avoid keeps later lettering off a path; arcs are taken as their chords and the
// corners of their quarters.
func (s *spread) avoid(path []Node, closed bool) {
	for i, n := range path {
		switch {
		case i > 0:
			s.lines = append(s.lines, chords(path[i-1].To, n)...)
		case closed:
			s.lines = append(s.lines, [2]Point{path[len(path)-1].To, n.To})
		}
	}
}

// cost is how badly lettering would sit: what it would cover weighs most.
func (s *spread) cost(f frame) int {
	cost := 0
	if !f.within(s.within) {
		cost += 100
	}
	for _, g := range s.taken {
		if f.meets(g) {
			cost += 20
		}
	}
	for _, p := range s.owned {
		if holds(p, about(f.middle(), 0, 0)) {
			cost++
		}
	}
	return cost + s.crossings(f)
}

// crossings counts the lines that run through a frame.
func (s *spread) crossings(f frame) int {
	n := 0
	for _, l := range s.lines {
		if f.crossed(l[0], l[1]) {
			n++
		}
	}
	return n
}

// nearest is the place for lettering within a footprint, and takes it: nearest to
// the middle where no line runs through it, else where no other lettering is,
// else the middle.
func (s *spread) nearest(b Base, w, h float64) Point {
	const around, rings = 16, 12
	reach := 0.0
	for _, n := range b.Path {
		reach = math.Max(reach, math.Hypot(n.To.X-b.At.X, n.To.Y-b.At.Y))
	}
	at, best := b.At, 3
	for ring := range rings {
		for k := range around {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / around)
			r := reach * float64(ring) / rings
			p := Point{b.At.X + r*cos, b.At.Y + r*sin}
			f := about(p, w, h)
			bad := 0
			if s.crossings(f) > 0 {
				bad = 1
			}
			for _, g := range s.taken {
				if f.meets(g) {
					bad = 2
				}
			}
			if bad < best && (ring == 0 || holds(b.Path, about(p, w+2, h+2))) {
				at, best = p, bad
			}
		}
	}
	s.taken = append(s.taken, about(at, w, h))
	return at
}

// best is the first of the places that costs least, and takes it.
func (s *spread) best(places []Point, w, h float64) (Point, bool) {
	at, least := Point{}, -1
	for _, p := range places {
		if !p.drawable() {
			continue
		}
		if c := s.cost(about(p, w, h)); least < 0 || c < least {
			at, least = p, c
		}
		if least == 0 {
			break
		}
	}
	if least >= 0 {
		s.taken = append(s.taken, about(at, w, h))
	}
	return at, least >= 0
}
