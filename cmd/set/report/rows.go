package report

import (
	"strconv"
	"strings"

	"socle/cmd/set/words"
	"socle/parts"
)

// Figures are the columns of the tables of bases that are set to the right.
var Figures = map[int]bool{2: true, 3: true, 4: true, 5: true, 6: true}

// TimeTaken is the time that a base took to mesh.
func (b *Base) TimeTaken() string {
	if b.Seconds == 0 && b.Kept {
		return "kept"
	}
	return strconv.FormatFloat(b.Seconds, 'f', 1, 64)
}

// Estimates are the rows of what each base takes to print, under their head.
func (r *Report) Estimates() [][]string {
	rows := [][]string{{"base", "footprint", "size mm", "mass g", "layers"}}
	add := func(row int, cell string) { rows[row] = append(rows[row], cell) }
	for _, b := range r.Bases {
		rows = append(rows, []string{b.Name, b.Footprint, b.Box.Size(), strconv.FormatFloat(b.Estimate.Mass, 'f', 1, 64), strconv.Itoa(b.Estimate.Layers)})
	}
	add(0, "time")
	for i, b := range r.Bases {
		add(i+1, words.Hours(b.Estimate.Seconds))
	}
	if r.Printing.Cost != nil {
		add(0, "cost "+r.Printing.Currency)
		for i, b := range r.Bases {
			add(i+1, strconv.FormatFloat(*b.Estimate.Cost, 'f', 2, 64))
		}
	}
	return rows
}

// Size is the three sides of a box: "120.0 x 92.0 x 21.4".
func (b Box) Size() string {
	var sides [3]string
	for k := range sides {
		sides[k] = strconv.FormatFloat(b.Max[k]-b.Min[k], 'f', 1, 64)
	}
	return strings.Join(sides[:], " x ")
}

// NoteLine is a note with what it is about.
func NoteLine(n parts.Note) string {
	where := n.Part
	if n.Key != "" {
		where = strings.TrimPrefix(where+"."+n.Key, ".")
	}
	if where != "" {
		where += ": "
	}
	return where + n.Text
}
