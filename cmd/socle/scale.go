package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"socle/parts"
)

// measureReport is one size of the scene beside life.
type measureReport struct {
	Part      string   `json:"part"`
	Kind      string   `json:"kind"`
	What      string   `json:"what"`
	Unit      string   `json:"unit"`
	Printed   float64  `json:"printed"`   // on the print
	Full      float64  `json:"full_size"` // exaggeration of heights taken out
	Yardstick string   `json:"yardstick,omitempty"`
	Law       string   `json:"law,omitempty"` // that it is held against
	Least     *float64 `json:"least,omitempty"`
	Most      *float64 `json:"most,omitempty"`
	Within    bool     `json:"within"`
	Source    string   `json:"source,omitempty"`
}

func measureReportOf(m parts.Measure) measureReport {
	limit := func(v float64) *float64 {
		if math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	return measureReport{
		Part: m.Part, Kind: m.Kind, What: m.What, Unit: m.Unit, Printed: m.Printed, Full: m.Full, Yardstick: m.Yardstick,
		Law: m.Law, Least: limit(m.Least), Most: limit(m.Most), Within: m.Within, Source: m.Source,
	}
}

// concernOfMeasure is a size that is out of its limits.
func (s *scene) concernOfMeasure(m parts.Measure) concern {
	c := concern{
		Check: m.Check, Part: m.Part, Key: m.Key,
		What: fmt.Sprintf("%s %.2f %s, full size %.0f %s", m.What, m.Printed, m.Unit, m.Full, m.Unit), Meaning: strings.TrimSuffix(m.Why, "."), Value: m.Full, Limit: m.Least,
	}
	if m.Full > m.Most {
		c.Limit = m.Most
	}
	if math.IsInf(c.Limit, 0) {
		c.Limit = 0
	}
	s.weigh(&c, shareOf(c.Value, c.Limit))
	key := c.Key
	one := []concern{c}
	s.suggest(nil, one)
	one[0].Key = key // that of the measure
	return one[0]
}

// unitSign is its unit, short.
func (m *measureReport) unitSign() string {
	if m.Unit == "degrees" {
		return "°"
	}
	return m.Unit
}

// printScale prints the sizes of the scene beside life, a part a block.
func printScale(w io.Writer, site *parts.Site, all []measureReport) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\nscale 1:%g; the yardstick of %g m is %.1f mm tall\n", site.Scale.Ratio, site.Scale.Person, site.HeightOnPrint(1000*site.Scale.Person))
	rows := make([][]string, len(all))
	last := ""
	for i, m := range all {
		name := m.Part
		if name == last {
			name = ""
		}
		last = m.Part
		unit := m.unitSign()
		mark := ""
		if !m.Within {
			mark = "outside " + m.Law
		}
		rows[i] = []string{name, m.What, fmt.Sprintf("%.2f %s", m.Printed, unit), fmt.Sprintf("%.0f %s full size", m.Full, unit), m.Yardstick, mark}
	}
	printColumns(w, "  ", rows, map[int]bool{2: true, 3: true})
}

// printColumns prints rows in columns as wide as their widest cell; right are the
// columns that are set to the right.
func printColumns(w io.Writer, indent string, rows [][]string, right map[int]bool) {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := indent
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				line += "  "
			}
			if right[i] {
				line += pad + cell
			} else {
				line += cell + pad
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}
