package plan

import (
	"bytes"
	"fmt"
	"math"
)

// legend are the kinds of line in the order that they are told in.
var legend = []struct {
	line  Line
	words string
}{
	{Footprint, "base, at its foot"},
	{Axis, "x axis of a base"},
	{Stand, "stand, kept clear"},
	{Edge, "edge, seen from above"},
	{Mass, "wall or shaft"},
	{Step, "nosing, sill, threshold"},
	{Way, "way up, with its risers"},
	{Rail, "rail and posts"},
	{Bank, "ticks point downhill"},
	{Hidden, "hidden below"},
	{Fine, "joints, toe of a bank"},
	{Damage, "lip of damage"},
	{Scar, "crack, bowl, floor"},
	{Debris, "reach of debris"},
	{Cut, "trim"},
}

const (
	columnWide = 50.0 // of the legend, mm
	rowHigh    = 4.8
	sampleWide = 9.0
)

// foot sets the title block, the north arrow, the scale bars, the legend and the
// levels below the scene, from y down, and settles how high the page is.
func (s *sheet) foot(y float64) string {
	const block = 26 // mm of height for the title block
	left, right := float64(edgeMargin), s.page.X-edgeMargin
	var below bytes.Buffer
	rule(&below, left, y+block, right)
	high := s.legend(&below, left, y+block+2.5, right)
	s.page.Y = y + block + 2.5 + high + edgeMargin

	w := &bytes.Buffer{}
	rule(w, left, y, right)
	s.titleBlock(w, left, y, right-left-barRoom-14)
	s.scaleBars(w, right-barRoom-10, y+5)
	s.north(w, right-4, y+9)
	w.Write(below.Bytes())
	return w.String()
}

func rule(w *bytes.Buffer, x, y, end float64) {
	fmt.Fprintf(w, "<path class=\"plan-rule\" d=\"M%s %sH%s\"/>\n", number(x), number(y), number(end))
}

// titleBlock is the title with what the drawing is.
func (s *sheet) titleBlock(w *bytes.Buffer, x, y, room float64) {
	w.WriteString("<g id=\"plan-titleblock\" aria-label=\"Title block\">\n")
	class, size := "plan-title", titleSize
	if width(s.Title, bold*size) > room {
		class, size = "plan-name", nameSize
	}
	writeText(w, x, y+7.5, class, fitted(s.Title, bold*size, room))
	pieces := fmt.Sprintf("%d bases", len(s.Bases))
	if len(s.Bases) == 1 {
		pieces = "1 base"
	}
	full := ""
	if drawable(s.Ratio) && s.Ratio > 0 {
		full = fmt.Sprintf(" (%s x %s full size)", metres(s.wide()*s.Ratio), metres(s.high()*s.Ratio))
	}
	for i, line := range []string{
		fmt.Sprintf("Plan at %s, %s; lengths and levels in mm", s.scale(), pieces),
		fmt.Sprintf("Scene %s x %s mm%s", number(s.wide()), number(s.high()), full),
		s.printing(),
	} {
		writeText(w, x, y+12.8+float64(i)*4.2, "", fitted(line, noteSize, room))
	}
	w.WriteString("</g>\n")
}

// printing says how it prints and on what.
func (s *sheet) printing() string {
	on := "larger than A0"
	if paper := paperFor(s.page.X, s.page.Y); paper != "" {
		on = "fits on " + paper
	}
	return fmt.Sprintf("Prints at 1:1 at 100 %%; page %s x %s mm, %s", number(s.page.X), number(s.page.Y), on)
}

// metres is a full-size length given in mm.
func metres(mm float64) string {
	return number(math.Round(mm/100)/10) + " m"
}

// north is an arrow that points up the page.
func (s *sheet) north(w *bytes.Buffer, x, y float64) {
	fmt.Fprintf(w, "<g id=\"plan-north\" aria-label=\"North is up\">\n<path class=\"plan-tip\" d=\"M%[1]s %[2]sl-2.2 8l2.2 -1.6z\"/>\n<path class=\"plan-rule\" d=\"M%[1]s %[2]sl-2.2 8l2.2 -1.6l2.2 1.6z\"/>\n",
		number(x), number(y-2))
	writeText(w, x, y-3, "plan-middle plan-name", "N")
	w.WriteString("</g>\n")
}

const barRoom = 64 // mm of width for the scale bars

// scaleBars are one bar in mm of the print and one in metres of the place.
func (s *sheet) scaleBars(w *bytes.Buffer, x, y float64) {
	w.WriteString("<g id=\"plan-scale\" aria-label=\"Scale bars\">\n")
	bar(w, x, y, 10, 5, func(i int) string { return number(float64(10 * i)) }, "mm")
	if drawable(s.Ratio) && s.Ratio > 0 {
		step := roundStep(6 * s.Ratio / 1000) // metres, at least 6 mm on the print
		long := step * 1000 / s.Ratio
		bar(w, x, y+9, long, max(1, int(50.5/long)), func(i int) string { return number(step * float64(i)) }, "m")
	}
	w.WriteString("</g>\n")
}

// roundStep is the least of 1, 2 and 5 times a power of ten that is no less than v.
func roundStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range [...]float64{1, 2, 5, 10} {
		if k*p >= v*(1-1e-9) {
			return k * p
		}
	}
	return 10 * p
}

// bar is a ruler of n fields, every other one filled.
func bar(w *bytes.Buffer, x, y, field float64, n int, mark func(int) string, unit string) {
	const high = 1.2
	for i := range n {
		class := "plan-rule"
		if i%2 == 0 {
			class = "plan-tip"
		}
		fmt.Fprintf(w, "<rect class=\"%s\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n",
			class, number(x+float64(i)*field), number(y), number(field), number(high))
	}
	for i := range n + 1 {
		text := mark(i)
		if i == n {
			text += " " + unit
			writeText(w, x+float64(i)*field-width(mark(i), smallSize)/2, y+high+3, "plan-small", text)
			continue
		}
		writeText(w, x+float64(i)*field, y+high+3, "plan-small plan-middle", text)
	}
	fmt.Fprintf(w, "<rect class=\"plan-rule\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n", number(x), number(y), number(float64(n)*field), number(high))
}

// legend tells what the lines mean that are used, what the levels are and what is
// left out, in columns; it gives its height.
func (s *sheet) legend(w *bytes.Buffer, x, y, right float64) float64 {
	w.WriteString("<g id=\"plan-legend\" aria-label=\"Legend\">\n")
	columns := max(1, int((right-x)/columnWide))
	wide := (right - x) / float64(columns)
	type entry struct {
		line Line
		text string
	}
	var entries []entry
	for _, l := range legend {
		if s.used[l.line] {
			entries = append(entries, entry{l.line, l.words})
		}
	}
	entries = append(entries, entry{"", "grid of " + number(s.gridStep()) + " mm"})
	rows := (len(entries) + columns - 1) / columns
	for i, e := range entries {
		ex, ey := x+float64(i/rows)*wide, y+float64(i%rows)*rowHigh+rowHigh/2
		sample(w, e.line, ex, ey)
		writeText(w, ex+sampleWide+1.5, ey+1.05, "", fitted(e.text, noteSize, wide-sampleWide-3))
	}
	w.WriteString("</g>\n")
	high := float64(rows) * rowHigh
	for _, line := range s.remarks(right - x) {
		high += rowHigh
		writeText(w, x, y+high-rowHigh/2+1.05, "", line)
	}
	return high
}

// remarks are the levels and what is left out, in lines no longer than a room.
func (s *sheet) remarks(room float64) []string {
	var lines []string
	wrap := func(head string, items []string) {
		line := head
		for i, item := range items {
			if i < len(items)-1 {
				item += ","
			}
			if width(line+" "+item, noteSize) > room {
				lines = append(lines, fitted(line, noteSize, room))
				line = " "
			}
			line += " " + item
		}
		lines = append(lines, fitted(line, noteSize, room))
	}
	if levels := s.levels(); len(levels) > 0 {
		wrap("Levels:", levels)
	}
	if len(s.leftOut) > 0 {
		wrap(fmt.Sprintf("Joints left out, more than %d in a part or %d in all:", MaxFine, MaxAllFine), s.leftOut)
	}
	return lines
}

// sample draws a line as the scene has it.
func sample(w *bytes.Buffer, line Line, x, y float64) {
	end := x + sampleWide
	switch line {
	case "":
		fmt.Fprintf(w, "<path class=\"plan-grid\" d=\"M%s %sh%s\"/>\n", number(x), number(y), number(sampleWide))
	case Mass:
		fmt.Fprintf(w, "<rect class=\"plan-line plan-mass\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"2\"/>\n", number(x), number(y-1), number(sampleWide))
	case Bank:
		d := ""
		for i := range 6 {
			d += fmt.Sprintf("M%s %sv%s", number(x+0.75+1.5*float64(i)), number(y-0.6), []string{"1.2", "0.6"}[i%2])
		}
		fmt.Fprintf(w, "<path class=\"plan-line plan-edge\" d=\"M%s %sH%s\"/>\n<path class=\"plan-line plan-bank\" d=\"%s\"/>\n", number(x), number(y-0.6), number(end), d)
	case Way:
		fmt.Fprintf(w, "<path class=\"plan-line plan-way\" d=\"M%[1]s %[2]sH%[3]s\"/>\n<path class=\"plan-tip\" d=\"M%[3]s %[2]sl-1.8 0.6v-1.2z\"/>\n<circle class=\"plan-tip\" cx=\"%[1]s\" cy=\"%[2]s\" r=\"0.5\"/>\n",
			number(x), number(y), number(end))
	case Rail:
		fmt.Fprintf(w, "<path class=\"plan-line plan-rail\" d=\"M%s %sH%s\"/>\n", number(x), number(y), number(end))
		for i := range 3 {
			fmt.Fprintf(w, "<circle class=\"plan-line plan-rail plan-covers\" cx=\"%s\" cy=\"%s\" r=\"0.4\"/>\n", number(x+1+3.5*float64(i)), number(y))
		}
	case Axis:
		fmt.Fprintf(w, "<path class=\"plan-line plan-footprint\" d=\"M%[1]s %[2]sv2.4\"/>\n<path class=\"plan-line plan-axis\" d=\"M%[1]s %[3]sh-2.5\"/>\n",
			number(x+sampleWide/2+1), number(y-1.2), number(y))
	default:
		fmt.Fprintf(w, "<path class=\"plan-line plan-%s\" d=\"M%s %sH%s\"/>\n", identifier(string(line)), number(x), number(y), number(end))
	}
}
