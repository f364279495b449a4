package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"

	"golang.org/x/image/font"
)

var paper = color.RGBA{240, 240, 238, 255}

// Cell is one picture of a sheet with what is written below it: a name and, in
// a second line, what it is.
type Cell struct {
	Image        image.Image
	Name, Detail string
}

// A sheet is at most so large: along a side, so that every program opens it,
// and in all, pixels.
const (
	mostSide  = 1<<16 - 1
	mostSheet = 1 << 26
)

// ContactSheet lays pictures out in rows, left to right, each over its name and
// detail, with a title on top unless it is "". All cells are as large as the
// largest picture. columns 0, or below, chooses a number that makes a sheet
// somewhat wider than tall with few places left over. A sheet holds at most 64
// megapixels and 65535 pixels along a side; pictures that do not fit are left
// out, and the sheet says how many. Without pictures it is a single blank
// pixel.
func ContactSheet(title string, cells []Cell, columns int) *image.RGBA {
	var w, h, lines int
	for _, c := range cells {
		if c.Image != nil {
			w, h = max(w, c.Image.Bounds().Dx()), max(h, c.Image.Bounds().Dy())
		}
		if c.Detail != "" {
			lines = max(lines, 2)
		} else if c.Name != "" {
			lines = max(lines, 1)
		}
	}
	if w == 0 || h == 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	t := newTypeset(w, h)
	cellW, cellH := w+t.gap, h+t.gap
	if lines > 0 {
		cellH += t.below(lines)
	}
	if columns <= 0 {
		columns = goodColumns(len(cells), float64(cellW)/float64(cellH))
	}
	columns = max(1, min(columns, len(cells), (mostSide-t.gap)/cellW, mostSheet/(cellW*cellH)))
	rows := (len(cells) + columns - 1) / columns
	rows = max(1, min(rows, (mostSide-t.head(true, nil))/cellH, mostSheet/(columns*cellW*cellH)))
	shown := min(len(cells), rows*columns)
	top := t.head(title != "" || shown < len(cells), nil)

	s := t.newSheet(columns*cellW+t.gap, top+rows*cellH)
	s.title(title, len(cells)-shown)
	for i, c := range cells[:shown] {
		x, y := t.gap+i%columns*cellW, top+i/columns*cellH
		s.put(c.Image, image.Rect(x, y, x+w, y+h))
		s.say(t.name, ink, c.Name, x, y+h+t.line, w)
		s.say(t.text, quietInk, c.Detail, x, y+h+2*t.line, w)
	}
	return s.RGBA
}

// goodColumns finds the number of columns for n cells of a shape, width to
// height.
func goodColumns(n int, shape float64) int {
	const wanted = 1.5
	best, least := 1, math.Inf(1)
	for c := 1; c <= n; c++ {
		rows := (n + c - 1) / c
		cost := math.Abs(math.Log(float64(c)/float64(rows)*shape/wanted)) + 3*float64(rows*c-n)/float64(rows*c)
		if cost < least {
			best, least = c, cost
		}
	}
	return best
}

// Column is one column of a grid.
type Column struct {
	Name   string
	Lines  []string               // what is changed in it, below its name
	Images map[string]image.Image // by the name of the row
}

// missing stands where a column has no picture of a row.
const missing = "not in this variant"

// Grid lays the same things out side by side as they are in several variants: a
// column each, a row for each thing, named before it. The lines of a column are
// wrapped to at most three. Where a column has no picture of a row, its place is
// drawn empty. The size is limited as that of a contact sheet.
func Grid(title string, rows []string, columns []Column) *image.RGBA {
	var w, h int
	for _, r := range rows {
		for _, c := range columns {
			if m := c.Images[r]; m != nil {
				w, h = max(w, m.Bounds().Dx()), max(h, m.Bounds().Dy())
			}
		}
	}
	if w == 0 || h == 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	t := newTypeset(w, h)
	side := t.side(rows, w)
	cellW, cellH := w+t.gap, h+t.gap
	wide := max(1, min(len(columns), (mostSide-side-t.gap)/cellW, mostSheet/(cellW*cellH)))
	heads := make([][]string, wide)
	var deep int
	for c := range heads {
		heads[c] = wrapped(t.text, strings.Join(columns[c].Lines, ", "), w, 3)
		deep = max(deep, len(heads[c]))
	}
	tall := max(1, min(len(rows), (mostSide-t.head(true, &deep))/cellH, mostSheet/((side+wide*cellW)*cellH)))
	left := len(columns)*len(rows) - wide*tall
	top := t.head(title != "" || left > 0, &deep)

	s := t.newSheet(side+wide*cellW+t.gap, top+tall*cellH)
	s.title(title, left)
	for c := range wide {
		x, y := side+t.gap+c*cellW, top-t.gap/2-deep*t.line-t.line/4
		s.say(t.name, ink, columns[c].Name, x, y, w)
		for i, line := range heads[c] {
			s.say(t.text, quietInk, line, x, y+(i+1)*t.line, w)
		}
	}
	for r := range tall {
		y := top + r*cellH
		for i, line := range wrapped(t.name, rows[r], side-t.gap, 3) {
			s.say(t.name, ink, line, t.gap, y+(i+1)*t.line, side-t.gap)
		}
		for c := range wide {
			x := side + t.gap + c*cellW
			box := image.Rect(x, y, x+w, y+h)
			if m := columns[c].Images[rows[r]]; m != nil {
				s.put(m, box)
			} else {
				s.empty(box, missing)
			}
		}
	}
	return s.RGBA
}

// typeset is the sizes of a sheet, which follow from those of its pictures, in
// pixels.
type typeset struct {
	name, text, large font.Face
	gap, line         int
}

func newTypeset(w, h int) *typeset {
	return typesetOf(max(10, 0.044*float64(min(w, h))), max(6, min(w, h)/18))
}

// typesetOf is the typeset for letters of a size.
func typesetOf(letters float64, gap int) *typeset {
	return &typeset{
		name: face(medium(), letters), text: face(regular(), 0.92*letters), large: face(medium(), 1.6*letters),
		gap: gap, line: int(math.Ceil(1.38 * letters)),
	}
}

// below is the height of the lines below a picture.
func (t *typeset) below(lines int) int { return lines*t.line + t.line/4 }

// head is where the pictures begin: below the title and, in a grid, the
// names of the columns and their lines.
func (t *typeset) head(titled bool, changes *int) int {
	y := t.gap
	if titled {
		y += 2*t.line + t.gap/2
	}
	if changes != nil {
		y += (1+*changes)*t.line + t.gap/2
	}
	return y
}

// side is the width of the names before the rows, the gap before them included.
func (t *typeset) side(rows []string, w int) int {
	var wide int
	for _, r := range rows {
		wide = max(wide, font.MeasureString(t.name, r).Ceil())
	}
	if wide == 0 {
		return 0
	}
	return t.gap + min(wide+2, 45*w/100)
}

// sheet is what is laid out.
type sheet struct {
	*image.RGBA
	*typeset
}

func (t *typeset) newSheet(w, h int) *sheet {
	s := &sheet{image.NewRGBA(image.Rect(0, 0, w, h)), t}
	draw.Draw(s.RGBA, s.Rect, image.NewUniform(paper), image.Point{}, draw.Src)
	return s
}

// title writes the title, and to its right how many pictures are left out.
func (s *sheet) title(title string, left int) {
	width := s.Rect.Dx() - 2*s.gap
	y := s.gap + s.line
	if left > 0 {
		note := fmt.Sprintf("%d more do not fit on this sheet", left)
		taken := font.MeasureString(s.text, note).Ceil()
		s.say(s.text, quietInk, note, s.Rect.Dx()-s.gap-taken, y, taken)
		width -= taken + s.gap
	}
	s.say(s.large, ink, title, s.gap, y, width)
}

// say writes a line, cut to the width.
func (s *sheet) say(fc font.Face, c color.RGBA, text string, x, y, width int) {
	if text != "" {
		write(s.RGBA, fc, c, fitting(fc, text, width), x, y)
	}
}

// put draws a picture in the middle of a box that is at least as large.
func (s *sheet) put(m image.Image, box image.Rectangle) {
	if m == nil {
		return
	}
	b := m.Bounds()
	at := box.Min.Add(box.Size().Sub(b.Size()).Div(2))
	draw.Draw(s.RGBA, image.Rectangle{at, at.Add(b.Size())}, m, b.Min, draw.Over)
}

// empty draws a box of dashes around a word.
func (s *sheet) empty(box image.Rectangle, word string) {
	b := &brush{img: s.RGBA}
	unit := max(1, float64(s.line)/16)
	dash := 6 * unit
	x0, y0, x1, y1 := float64(box.Min.X)+unit, float64(box.Min.Y)+unit, float64(box.Max.X)-unit, float64(box.Max.Y)-unit
	var dashes []outline
	side := func(p, q spot) {
		l := math.Hypot(q.x-p.x, q.y-p.y)
		n := math.Max(1, math.Round(l/dash/2))
		for i := range int(n) { // half a dash at both ends, so that corners are closed
			for _, d := range [2][2]float64{{0, 0.25}, {0.75, 1}} {
				from, to := (float64(i)+d[0])/n, (float64(i)+d[1])/n
				dashes = append(dashes, stroke(
					spot{p.x + (q.x-p.x)*from, p.y + (q.y-p.y)*from}, spot{p.x + (q.x-p.x)*to, p.y + (q.y-p.y)*to}, unit))
			}
		}
	}
	side(spot{x0, y0}, spot{x1, y0})
	side(spot{x1, y0}, spot{x1, y1})
	side(spot{x1, y1}, spot{x0, y1})
	side(spot{x0, y1}, spot{x0, y0})
	b.fill(quietInk, 0.6, dashes...)
	word = fitting(s.text, word, box.Dx()-s.gap)
	wide := font.MeasureString(s.text, word).Ceil()
	s.say(s.text, quietInk, word, (box.Min.X+box.Max.X-wide)/2, (box.Min.Y+box.Max.Y)/2+s.line/4, wide)
}
