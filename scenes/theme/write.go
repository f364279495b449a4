package theme

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// chapter is a part of the scene's text, in the order that a person writes it.
type chapter int

const (
	structure chapter = iota
	finishes
	fittings
	damage
	set
	otherDays
)

var headings = [...]string{
	structure: "structure",
	finishes:  "finishes: their thickness lies below the level",
	fittings:  "fittings",
	damage:    "damage and debris: worked after everything above",
	set:       "the set",
	otherDays: "the same place on another day: socle build THIS-FILE.toml --variant NAME",
}

// noteColumn is where the comment behind a key or a header begins.
const noteColumn = 30

// page gathers the text of a scene.
type page struct {
	head     strings.Builder
	chapters [otherDays + 1]strings.Builder
}

// line is one line of a table: a key, its value as written, a comment or "".
type line struct{ key, value, note string }

// table writes one table of a chapter. A line without a key is left out.
func (p *page) table(in chapter, kind, note string, lines ...line) {
	w := &p.chapters[in]
	if w.Len() > 0 {
		w.WriteByte('\n')
	}
	writeLine(w, "[["+kind+"]]", note)
	for _, l := range lines {
		if l.key != "" {
			writeLine(w, l.key+" = "+l.value, l.note)
		}
	}
}

// when is a line that is written where something is so.
func when(so bool, l line) line {
	if so {
		return l
	}
	return line{}
}

// writeLine writes a line with its comment, set in a column.
func writeLine(w *strings.Builder, text, note string) {
	w.WriteString(text)
	if note != "" {
		w.WriteString(strings.Repeat(" ", max(1, noteColumn-len([]rune(text)))))
		w.WriteString("# " + note)
	}
	w.WriteByte('\n')
}

// text is the whole scene.
func (p *page) text() string {
	var w strings.Builder
	w.WriteString(p.head.String())
	for i := range p.chapters {
		if p.chapters[i].Len() == 0 {
			continue
		}
		const wide = 80
		rule := strings.Repeat("-", max(3, wide-len(headings[i])-7))
		fmt.Fprintf(&w, "\n# --- %s %s\n\n", headings[i], rule)
		w.WriteString(p.chapters[i].String())
	}
	return w.String()
}

// tenth rounds to a tenth of a mm: what is written is what was worked out.
func tenth(v float64) float64 { return math.Round(v*10) / 10 }

// tenthOf rounds a place so, tenths some places where they are.
func tenthOf(p r2.Vec) r2.Vec { return r2.Vec{X: tenth(p.X), Y: tenth(p.Y)} }

func tenths(ps []r2.Vec) {
	for i, p := range ps {
		ps[i] = tenthOf(p)
	}
}

// mm writes a number as short as it goes.
func mm(v float64) string {
	text := strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
	if text == "-0" {
		return "0"
	}
	return text
}

func point(p r2.Vec) string { return "[" + mm(p.X) + ", " + mm(p.Y) + "]" }

func points(ps ...r2.Vec) string {
	words := make([]string, len(ps))
	for i, p := range ps {
		words[i] = point(p)
	}
	const row = 6 // of a long list, in a line
	if len(words) <= row {
		return "[" + strings.Join(words, ", ") + "]"
	}
	out := "[\n"
	for some := range slices.Chunk(words, row) {
		out += "  " + strings.Join(some, ", ") + ",\n"
	}
	return out + "]"
}

func rect(x0, y0, x1, y1 float64) string {
	return fmt.Sprintf("{ rect = [%s, %s, %s, %s] }", mm(x0), mm(y0), mm(x1-x0), mm(y1-y0))
}

func disc(at r2.Vec, diameter float64) string {
	return fmt.Sprintf("{ round = [%s, %s, %s] }", mm(at.X), mm(at.Y), mm(diameter))
}

// str writes a text value: a name, a level, a word.
func str(text string) string { return strconv.Quote(text) }
