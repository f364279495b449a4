package picture

import (
	"image"
	"math"

	"golang.org/x/image/font"
	"gonum.org/v1/gonum/spatial/r3"
)

// LifeDPI is how many pixels of a picture at the size of life go to an inch of the print:
// the pixel of CSS 2.1, and of a plain screen, is a 96th of an inch.
const LifeDPI = 96

const (
	mmPerInch  = 25.4
	lifeMargin = 14 // pixels around what is drawn, for its shadow
)

// LifeSize gives what draws the subject as large as it prints, seen from where v says and
// without perspective: a length across the view, at whatever depth, is true. The picture
// is as large as that takes. It has nothing written on it.
func (s *Subject) LifeSize(v View) Options {
	v.Perspective = 0
	o := Options{View: v, MMPerPixel: mmPerInch / LifeDPI, Supersample: 4, NoScaleBar: true}
	var size r3.Vec
	if len(s.f.points) > 0 {
		c := aim(v.tidy(), s.f.points, frame{}, 0, 1)
		lo, hi := c.bounds(s.f.points)
		size = r3.Sub(hi, lo)
	}
	pixels := func(mm float64) int {
		return int(min(mostPixels, math.Ceil(mm/o.MMPerPixel)+2*lifeMargin))
	}
	o.Width, o.Height = pixels(size.X), pixels(size.Y)
	return o
}

const (
	lifeLetters = 12   // pixels
	lifeRow     = 1000 // the width that rows are filled to, pixels
	leastCell   = 96   // the least width of a cell, for its name, pixels
)

// LifeSheet lays pictures out side by side, none larger or smaller than it is, with
// their lower rims in line, and each over its name and detail. What does not fit within the
// bounds of a sheet is left out, and the sheet says how much. Without pictures it is a
// single blank pixel.
func LifeSheet(title string, cells []Cell) *image.RGBA {
	t := typesetOf(lifeLetters, 20)
	type place struct {
		cell *Cell
		x, y int // the left end of the lower rim
		w    int
	}
	var all []place
	top, left := t.head(true, nil), 0
	x, y, tall, wide, begin := t.gap, top, 0, 0, 0
	end := func() { // of a row
		for i := begin; i < len(all); i++ {
			all[i].y = y + tall
		}
		if begin < len(all) {
			y += tall + t.below(2) + t.gap
		}
		x, tall, begin = t.gap, 0, len(all)
	}
	for i := range cells {
		c := &cells[i]
		if c.Image == nil {
			continue
		}
		size := c.Image.Bounds().Size()
		w := max(size.X, leastCell, font.MeasureString(t.name, c.Name).Ceil(), min(size.X+leastCell, font.MeasureString(t.text, c.Detail).Ceil()))
		w = min(w, mostSide-2*t.gap)
		if x > t.gap && x+w > lifeRow {
			end()
		}
		high, width := y+max(tall, size.Y)+t.below(2)+t.gap, max(wide, x+w+t.gap)
		if high > mostSide || width*high > mostSheet {
			left++
			continue
		}
		all = append(all, place{c, x, 0, w})
		x, tall, wide = x+w+t.gap, max(tall, size.Y), max(wide, x+w+t.gap)
	}
	end()
	if len(all) == 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	s := t.newSheet(wide, y)
	s.title(title, left)
	for _, p := range all {
		size := p.cell.Image.Bounds().Size()
		s.put(p.cell.Image, image.Rect(p.x, p.y-size.Y, p.x+size.X, p.y))
		s.say(t.name, ink, p.cell.Name, p.x, p.y+t.line, p.w)
		s.say(t.text, quietInk, p.cell.Detail, p.x, p.y+2*t.line, p.w)
	}
	return s.RGBA
}
