package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// course is work that runs along a line: a fence, a track, a wall of sandbags.
type course struct {
	kind string
	stem string
	note string
	keys []line
	over bool // it runs over the rim of a base; else it ends within
}

// breadth is how wide a course is on the plan as it is drawn, mm; without end where the kind
// cannot be drawn at the scale.
func (w *work) breadth(c *course) float64 {
	if v, ok := w.girths[c.stem]; ok {
		return v
	}
	const middle = 1000.0
	along := points(r2.Vec{X: 900, Y: middle}, r2.Vec{X: 1100, Y: middle})
	all, wide := w.probe(c.kind, append([]line{{"line", along, ""}}, c.keys...)...), 0.0
	for _, e := range all {
		for _, p := range e.Points {
			wide = math.Max(wide, 2*(math.Abs(p.Y-middle)+e.Wide))
		}
	}
	if len(all) == 0 {
		wide = math.Inf(1)
	}
	w.girths[c.stem] = wide
	return wide
}

// course writes a course along a line on a base.
func (w *work) course(b *berth, c *course, along ...r2.Vec) { w.courseOn([]*berth{b}, c, along...) }

// courseOn writes a course along a line that runs through bases.
func (w *work) courseOn(bases []*berth, c *course, along ...r2.Vec) {
	name := w.name(c.stem)
	tenths(along)
	in := fittings
	switch c.kind {
	case "front", "trench":
		in = structure
	case "crack":
		in = damage
	}
	lines := append([]line{{"name", str(name), ""}, {"line", points(along...), ""}}, c.keys...)
	w.page.table(in, c.kind, w.once(c.stem, c.note), lines...)
	for _, b := range bases {
		b.keepAlong(w.breadth(c)+0.6, along)
		if c.kind != "crack" {
			b.spares = append(b.spares, name)
		}
	}
}

// through writes a course that runs through all bases of a zone at a place north of its line:
// one, or where that were very long one for each base.
func (w *work) through(z *zone, c *course, north float64) {
	const longest = 600 // mm
	stretch := func(bases ...*berth) {
		x0, x1 := math.Inf(1), math.Inf(-1)
		for _, b := range bases {
			x0, x1 = math.Min(x0, b.at.X-b.half.X-1), math.Max(x1, b.at.X+b.half.X+1)
		}
		w.courseOn(bases, c, r2.Vec{X: x0, Y: z.at + north}, r2.Vec{X: x1, Y: z.at + north})
	}
	if w.size.X <= longest && used(z) {
		stretch(z.berths...)
		return
	}
	for _, b := range z.berths {
		stretch(b)
	}
}

// across is the station of a course across a base, with others within it along the same line
// and a figure's foot before it.
func (w *work) across(word string, least, most float64, c *course, within ...*course) *station {
	return &station{
		word: word, least: least, most: most, stand: r2.Vec{Y: -1},
		offset: func(b *berth) (float64, bool) {
			wide := w.breadth(c)
			if w.reserves(b) {
				return 0, 2*taper+w.footWide(b)+besideStand+0.8+wide <= 0.92*b.side()
			}
			return 0, wide <= 0.45*b.side()
		},
		build: func(b *berth) {
			luck := w.rand("course on " + b.name)
			wide := w.breadth(c)
			y := b.at.Y + between(luck, 0.2, 0.35)*b.half.Y
			if b.kept != nil {
				y = math.Max(y, b.kept.at.Y+b.kept.wide/2+wide/2+besideStand+0.4)
			}
			y0, y1 := y, math.Min(y+between(luck, 0, 0.25)*b.half.Y, math.Max(y, b.at.Y+0.5*b.half.Y))
			x0, x1 := b.at.X-b.half.X-1, b.at.X+b.half.X+1
			if luck.IntN(2) == 0 {
				y0, y1 = y1, y0
			}
			if !c.over {
				x0, x1 = b.within(x0, x1, math.Max(y0, y1)+wide/2, math.Min(y0, y1)-wide/2)
			}
			if x1-x0 < 5 {
				w.hit(b, w.off(b, "instead", 0.13), 0.32*b.side())
				return
			}
			for _, c := range append([]*course{c}, within...) {
				w.course(b, c, r2.Vec{X: x0, Y: y0}, r2.Vec{X: x1, Y: y1})
			}
			if c.kind == "crack" { // what shook it down lies beside it
				at, far := w.spot(b, "beside the crack")
				w.heap(b, roundPatch(at, math.Max(3, math.Min(1.5*far, 0.3*b.side()))), 0.27)
			}
		},
	}
}

// within is how much of a stretch along x lies clear of a base's rim at two heights of the
// plan.
func (b *berth) within(x0, x1, high, low float64) (float64, float64) {
	outline := b.outline()
	clear := func(x float64) bool {
		return math.Min(depthIn(outline, r2.Vec{X: x, Y: high}), depthIn(outline, r2.Vec{X: x, Y: low})) >= clearOfRim
	}
	for x0 < x1 && !clear(x0) {
		x0 += 0.25
	}
	for x1 > x0 && !clear(x1) {
		x1 -= 0.25
	}
	return x0, x1
}
