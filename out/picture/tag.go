package picture

import (
	"image"
	"image/color"
	"math"
	"sort"

	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
)

// tag is the label of a mark in its place.
type tag struct {
	rect
	of   *ringed
	text string
	face font.Face
}

// tagLetters is the size of the letters in tags, in pixels.
func tagLetters(w, h int) float64 { return max(9, 0.0225*float64(min(w, h))) }

// mostTags bounds the labels in one picture: it is full long before. Further
// rings are left without.
const mostTags = 200

// placeTags finds a place beside its ring for every label, the gravest marks
// first: on the picture, clear of the tags before and, where there is room, of
// all rings and of the places to keep.
func placeTags(all []ringed, page rect, keep []rect, letters float64) []tag {
	var order []*ringed
	for i := range all {
		if all[i].Label != "" {
			order = append(order, &all[i])
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return order[i].Grade > order[j].Grade })
	order = order[:min(len(order), mostTags)]

	fc := face(medium(), letters)
	high := 1.6 * letters
	avoid := make([]rect, len(all), len(all)+len(keep))
	for i := range all {
		r := all[i].r + 0.25*letters
		avoid[i] = rect{all[i].x - r, all[i].y - r, all[i].x + r, all[i].y + r}
	}
	avoid = append(avoid, keep...)
	var placed []tag
	for _, m := range order {
		text := fitting(fc, m.Label, int(0.3*(page.x1-page.x0)))
		wide := max(high, float64(font.MeasureString(fc, text))/64+0.9*letters)
		best, least := rect{}, math.Inf(1)
		try := func(c spot) {
			at := rect{c.x - wide/2, c.y - high/2, c.x + wide/2, c.y + high/2}
			if cost := tagCost(at, m, page, placed, avoid, letters); cost < least {
				best, least = at, cost
			}
		}
		for _, away := range [...]float64{0.9, 2, 3.5, 5.5, 8} {
			for k := range 16 {
				sn, cs := math.Sincos((-45 + 22.5*float64(k)) * math.Pi / 180)
				d := m.r + away*letters
				try(spot{m.x + (d+wide/2)*cs, m.y + (d+high/2)*sn})
			}
		}
		if least >= overlapping { // crowded: anywhere that is free
			gap := 0.3 * letters
			for y := page.y0 + high/2 + gap; y+high/2 <= page.y1; y += high + gap {
				for x := page.x0 + wide/2 + gap; x+wide/2 <= page.x1; x += wide + gap {
					try(spot{x, y})
				}
			}
		}
		placed = append(placed, tag{rect: best, of: m, text: text, face: fc})
	}
	return placed
}

// overlapping is the least cost of a tag that lies on another or is cut off.
const overlapping = 1e6

// tagCost weighs a place: lower is better.
func tagCost(at rect, m *ringed, page rect, placed []tag, avoid []rect, letters float64) float64 {
	size := letters * letters
	middle := at.middle()
	from := at.nearest(m.spot)
	cost := math.Hypot(from.x-m.x, from.y-m.y)/letters +
		0.25*(1-(middle.x-m.x)/max(1e-9, math.Hypot(middle.x-m.x, middle.y-m.y))) // to the right, like a written note
	edge := page.grown(-0.4 * letters)
	if over := (at.x1-at.x0)*(at.y1-at.y0) - at.shared(edge); over > 1e-6*size {
		cost += overlapping + 1e3*over/size
	}
	for i := range placed {
		p := &placed[i]
		if over := at.shared(p.grown(0.25 * letters)); over > 0 {
			cost += overlapping + 1e3*over/size
		}
		if crosses(m.spot, from, p.of.spot, p.nearest(p.of.spot)) {
			cost += 12
		}
		if p.cut(m.spot, from) || at.cut(p.of.spot, p.nearest(p.of.spot)) {
			cost += 20
		}
	}
	for _, a := range avoid {
		if over := at.shared(a); over > 0 {
			cost += 6 + 6*over/size
		}
	}
	return cost
}

// crosses tells whether two straight lines meet inside both.
func crosses(a, b, c, d spot) bool {
	side := func(p, q, r spot) float64 { return (q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// cut tells whether the line from p to q runs through the rectangle.
func (r rect) cut(p, q spot) bool {
	return crosses(p, q, spot{r.x0, r.y0}, spot{r.x1, r.y1}) || crosses(p, q, spot{r.x0, r.y1}, spot{r.x1, r.y0})
}

// from is where the line to the tag leaves the ring.
func (t *tag) from() spot {
	to := t.nearest(t.of.spot)
	dx, dy := to.x-t.of.x, to.y-t.of.y
	l := math.Hypot(dx, dy)
	if l <= t.of.r {
		return to
	}
	return spot{t.of.x + dx/l*t.of.r, t.of.y + dy/l*t.of.r}
}

// leader draws the line from the ring to the tag.
func (t *tag) leader(b *brush, c color.RGBA, width, strength float64) {
	if line := stroke(t.from(), t.nearest(t.of.spot), width); line != nil {
		b.fill(c, strength, line)
	}
}

// draw draws the tag: that of the gravest is filled, that of a note has a thin
// rim.
func (t *tag) draw(b *brush, unit float64) {
	ink := gradeInk[t.of.Grade]
	radius := (t.y1 - t.y0) / 2
	rim := map[Grade]float64{Note: 0.7, Warning: 1.3}[t.of.Grade] * unit
	b.fill(halo, 0.8, t.grown(0.9*unit).rounded(radius+0.9*unit))
	b.fill(ink, 1, t.rounded(radius))
	letters := ink
	if rim > 0 {
		b.fill(halo, 1, t.grown(-rim).rounded(radius))
	} else {
		letters = halo
	}
	c := t.middle()
	d := font.Drawer{Dst: b.img, Src: image.NewUniform(letters), Face: t.face}
	height := t.face.Metrics().CapHeight
	d.Dot = fixed.Point26_6{
		X: fixed.Int26_6(c.x*64) - d.MeasureString(t.text)/2,
		Y: fixed.Int26_6(c.y*64+0.5) + height/2,
	}
	d.DrawString(t.text)
}
