package picture

import "image"

// Choice is one of several that a person picks from: what it is called, what is
// told of all of it, and its pictures.
type Choice struct {
	Name  string   // "3", "as it is"
	Lines []string // below the name; each is wrapped to at most three
	Cells []ChoiceCell
	Fault string // why it has no pictures; "" where it has
}

// ChoiceCell is one picture of a choice with short lines below it.
type ChoiceCell struct {
	Image image.Image
	Name  string
	Lines []string
}

// Choices lays choices out below each other, each with its name to the left and its
// pictures in a row. A picture that is missing, and a choice that has none, are told
// in a box of dashes. The size is limited as that of a contact sheet; choices that do
// not fit are left out, and the sheet says how many pictures those have.
func Choices(title string, choices []Choice) *image.RGBA {
	var w, h, wide, below int
	for _, c := range choices {
		wide = max(wide, len(c.Cells))
		for _, cell := range c.Cells {
			below = max(below, 1+len(cell.Lines))
			if cell.Image != nil {
				w, h = max(w, cell.Image.Bounds().Dx()), max(h, cell.Image.Bounds().Dy())
			}
		}
	}
	if w == 0 || h == 0 || wide == 0 {
		return image.NewRGBA(image.Rect(0, 0, 1, 1))
	}
	const larger = 1.4 // than on a contact sheet: it is read at arm's length
	t := newTypeset(int(larger*float64(w)), int(larger*float64(h)))
	side := t.gap + 3*w/4
	cellW, rowH := w+t.gap, h+t.below(below)+2*t.gap
	wide = max(1, min(wide, (mostSide-side-t.gap)/cellW))
	width := side + wide*cellW + t.gap
	top := t.head(true, nil)
	rows := max(1, min(len(choices), (mostSide-top)/rowH, (mostSheet/width-top)/rowH))
	left := 0
	for i, c := range choices {
		if i >= rows {
			left += len(c.Cells)
		} else {
			left += max(0, len(c.Cells)-wide)
		}
	}
	s := t.newSheet(width, top+rows*rowH)
	s.title(title, left)
	for r, c := range choices[:rows] {
		y := top + r*rowH
		s.say(t.large, ink, c.Name, t.gap, y+2*t.line, side-2*t.gap)
		line := y + 2*t.line
		for _, text := range c.Lines {
			for _, part := range wrapped(t.text, text, side-2*t.gap, 3) {
				line += t.line
				s.say(t.text, quietInk, part, t.gap, line, side-2*t.gap)
			}
			line += t.line / 3
		}
		if c.Fault != "" {
			box := image.Rect(side, y, width-t.gap, y+h)
			s.empty(box, "")
			s.say(t.name, ink, "not made", box.Min.X+t.gap, y+2*t.line, box.Dx()-2*t.gap)
			for i, part := range wrapped(t.text, c.Fault, box.Dx()-2*t.gap, 4) {
				s.say(t.text, quietInk, part, box.Min.X+t.gap, y+(i+3)*t.line, box.Dx()-2*t.gap)
			}
			continue
		}
		for k, cell := range c.Cells[:min(len(c.Cells), wide)] {
			x := side + k*cellW
			box := image.Rect(x, y, x+w, y+h)
			if cell.Image != nil {
				s.put(cell.Image, box)
			} else {
				s.empty(box, "not made")
			}
			s.say(t.name, ink, cell.Name, x, y+h+t.line, w)
			for i, text := range cell.Lines {
				s.say(t.text, quietInk, text, x, y+h+(i+2)*t.line, w)
			}
		}
	}
	return s.RGBA
}
