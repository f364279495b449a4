package picture

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mark is a place that is ringed in the picture.
type Mark struct {
	At     r3.Vec
	Radius float64 // of the ring, mm; it is never drawn too small to be seen
	Label  string  // beside the ring: a number; "" for a ring alone
	Grade  Grade
}

// Grade is how grave what a mark rings is. It is told by colour and by the ring's
// line, so that it does not hang on colour alone.
type Grade uint8

// The grades.
const (
	Note    Grade = iota // a thin broken ring
	Warning              // a ring
	Stop                 // two rings, one in the other
)

// gradeInk is the colour of each grade: the graver, the darker.
var gradeInk = [...]color.RGBA{
	Note:    {58, 96, 128, 255},
	Warning: {148, 86, 10, 255},
	Stop:    {142, 26, 28, 255},
}

// halo lies under rings and tags, so that they read on dark and on light.
var halo = color.RGBA{250, 249, 246, 255}

func (g Grade) tidy() Grade { return min(g, Stop) }

// whereabouts is where a place is on the picture.
type whereabouts struct {
	spot          // pixels
	perMM float64 // pixels at its depth
	in    bool    // on the picture, and before the camera
	// hidden tells that a surface lies before it.
	hidden bool
}

// behindBy is how far behind the surface that is seen a place may lie to count
// as seen itself, mm: what is found of a thin wall lies in the middle of it.
const behindBy = 0.4

// locate finds a place on the picture.
func (s *scene) locate(at r3.Vec) whereabouts {
	if !finite(at.X, at.Y, at.Z) || s.cam.scale == 0 {
		return whereabouts{}
	}
	n := float64(s.side)
	x, y, near := s.cam.project(at)
	perMM := s.cam.scale / n
	if s.cam.dist > 0 {
		perMM *= near
	}
	w := whereabouts{spot: spot{x / n, y / n}, perMM: perMM}
	i, j := math.Floor(x), math.Floor(y)
	w.in = perMM > 0 && i >= 0 && j >= 0 && i < float64(s.view.width) && j < float64(s.height)
	if !w.in {
		return w
	}
	limit := s.cam.depth(near) + max(behindBy, 2/perMM)
	w.hidden = true
	for _, d := range [5][2]int{{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		k, l := int(i)+d[0]*s.side, int(j)+d[1]*s.side
		if k < 0 || l < 0 || k >= s.view.width || l >= s.height {
			continue
		}
		if seen := s.view.near[l*s.view.width+k]; seen == nothing || s.cam.depth(float64(seen)) <= limit {
			w.hidden = false
		}
	}
	return w
}

// depth is the height over the focus, toward the camera, in mm, that a nearness
// stands for.
func (c *camera) depth(near float64) float64 {
	if c.dist == 0 {
		return near
	}
	return c.dist - c.dist/near
}

// ringUnit is the thickness of a plain ring, in pixels.
func ringUnit(w, h int) float64 { return max(1.9, 0.0028*float64(min(w, h))) }

// ringed is a mark as it is drawn.
type ringed struct {
	Mark
	whereabouts
	r float64 // of the ring, pixels
}

// rings gives the marks that are on the picture, in their order. A ring is
// large enough to be seen, and at most a sixth of the picture's shorter side
// in radius.
func (s *scene) rings(marks []Mark, width, height int) []ringed {
	var all []ringed
	most := float64(min(width, height)) / 6
	least := min(5*ringUnit(width, height), most)
	for _, m := range marks {
		w := s.locate(m.At)
		if !w.in {
			continue
		}
		m.Grade = m.Grade.tidy()
		r := m.Radius * w.perMM
		if !(r >= least) { // where it is not a number too
			r = least
		}
		all = append(all, ringed{m, w, min(r, most)})
	}
	return all
}

// drawRings rings the marks, with their labels beside them, clear of the places
// to keep where there is room.
func drawRings(img *image.RGBA, all []ringed, keep []rect) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	unit := ringUnit(w, h)
	b := &brush{img: img}
	tags := placeTags(all, rect{0, 0, float64(w), float64(h)}, keep, tagLetters(w, h))
	for i := range tags {
		tags[i].leader(b, halo, 2.6*unit, 0.75)
	}
	for i := range all {
		m := &all[i]
		ring(b, m.spot, m.r, unit, m.Grade, m.hidden)
	}
	for i := range tags {
		c := gradeInk[tags[i].of.Grade]
		tags[i].leader(b, c, 0.7*unit, 1)
	}
	for i := range tags {
		tags[i].draw(b, unit)
	}
}

// ring draws the ring of a grade: fainter, and of dots, where what it rings is
// hidden.
func ring(b *brush, c spot, r, unit float64, g Grade, hidden bool) {
	ink, strength, under := gradeInk[g], 1.0, 0.8
	if hidden {
		strength, under = 0.75, 0.45
	}
	type line struct{ r, width, dash float64 }
	var lines []line
	switch g {
	case Stop:
		lines = []line{{r + 1.2*unit, 1.5 * unit, 0}, {r - 1.2*unit, 0.9 * unit, 0}}
	case Warning:
		lines = []line{{r, 1.25 * unit, 0}}
	default:
		lines = []line{{r, 0.8 * unit, 4.2 * unit}}
	}
	outer, inner := lines[0].r+lines[0].width/2, lines[len(lines)-1].r-lines[len(lines)-1].width/2
	b.fill(halo, under, band(c, (outer+inner)/2, outer-inner+1.8*unit)...)
	for _, l := range lines {
		var all []outline
		switch {
		case hidden:
			n := max(6, math.Round(2*math.Pi*l.r/(3.1*unit)))
			if g == Note {
				n = max(5, math.Round(n/2))
			}
			for k := range int(n) {
				sn, cs := math.Sincos(2 * math.Pi * float64(k) / n)
				all = append(all, disc(spot{c.x + l.r*cs, c.y + l.r*sn}, 0.62*max(l.width, unit)))
			}
		case l.dash > 0:
			n := max(6, math.Round(2*math.Pi*l.r/(1.75*l.dash)))
			for k := range int(n) {
				from := 360 * float64(k) / n
				all = append(all, sector(c, l.r, l.width, from, from+0.58*360/n))
			}
		default:
			all = band(c, l.r, l.width)
		}
		b.fill(ink, strength, all...)
	}
}

// drawMarks rings the marks of o. s must have been seen with o.
func drawMarks(img *image.RGBA, o Options, s *scene) {
	if all := s.rings(o.Marks, o.Width, o.Height); len(all) > 0 {
		drawRings(img, all, o.lettered(all))
	}
}
