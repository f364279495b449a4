package vary

import (
	"fmt"
	"io"
	"strconv"

	"socle/cmd/set/output"
	"socle/cmd/set/words"
	"socle/out/picture"
)

// Report is the JSON document of vary. The bases are in the order of the scene,
// the trials in that of the sheet.
type Report struct {
	Title   string     `json:"title"`
	Setting string     `json:"setting"`
	Cell    float64    `json:"cell"`
	Seed    uint64     `json:"seed"`
	Tried   []*Outcome `json:"tried"`

	Laid bool `json:"-"` // of layouts, which are sorted by their score
}

// Heading is the number with what is tried; once where both are the same.
func (o *Outcome) Heading() string {
	name := Trial{Number: o.Number}.name()
	if o.Label == name {
		return name
	}
	return name + ": " + o.Label
}

func Tenth(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }

func (f *Figures) Row(name string) []string {
	return []string{name, Tenth(f.Removed), Tenth(100 * f.Touched), strconv.Itoa(f.Crumbs), f.thin(),
		strconv.Itoa(f.Stops), strconv.Itoa(f.Warns), Tenth(f.Resin)}
}

func (f *Figures) thin() string {
	if f.Thinnest == nil {
		return "-"
	}
	return strconv.FormatFloat(*f.Thinnest, 'f', 2, 64)
}

// safety says in words and by a shape how well it prints.
func (f *Figures) safety() string {
	switch {
	case f.Stops > 0:
		return "■ " + words.Count(f.Stops, "stop", "stops")
	case f.Warns > 0:
		return "▲ " + words.Count(f.Warns, "warning", "warnings")
	}
	return "● prints well"
}

// write begins the sheet and the document.
func (v *Variation) write(doc *Report) error {
	var choices []picture.Choice
	for _, t := range doc.Tried {
		c := picture.Choice{Name: Trial{Number: t.Number}.name(), Fault: t.Fault}
		if t.Label != c.Name {
			c.Lines = append(c.Lines, t.Label)
		}
		if t.Fault == "" {
			c.Lines = append(c.Lines, t.Total.safety(), fmt.Sprintf("%.1f %% touched, %.0f ml", 100*t.Total.Touched, t.Total.Resin))
			if v.laid {
				c.Lines = append(c.Lines, "score "+Tenth(t.Score))
			}
		}
		for i := range t.Bases {
			b := &t.Bases[i]
			cell := picture.ChoiceCell{Image: t.thumbs[i], Name: b.Name, Lines: []string{b.safety(), fmt.Sprintf("%.1f %% touched, %.0f mm3 gone", 100*b.Touched, b.Removed)}}
			if b.Fault != "" {
				cell.Lines = []string{"■ not made", b.Fault}
			}
			c.Cells = append(c.Cells, cell)
		}
		choices = append(choices, c)
	}
	sheet := picture.Choices(doc.Title+": what might be", choices)
	if _, err := v.Files.Add(v.set.Name+"-vary.png", func(w io.Writer) error { return picture.WritePNG(w, sheet) }); err != nil {
		return err
	}
	_, err := v.Files.Add(v.set.Name+"-vary.json", func(w io.Writer) error { return output.WriteJSON(w, doc) })
	return err
}
