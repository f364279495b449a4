package main

import (
	"fmt"
	"strconv"

	"socle/out/page"
)

// baseTable lists the bases.
func (r *report) baseTable() page.Table {
	t := page.Table{
		Caption: "The bases",
		Head:    []string{"base", "footprint", "size mm", "volume ml", "mass g", "triangles", "stops", "warnings", "notes"},
		Figures: []bool{false, false, true, true, true, true, true, true, true},
	}
	for _, b := range r.Bases {
		found := map[string]int{}
		for _, c := range r.Concerns {
			if c.Base == b.Name {
				found[c.Severity]++
			}
		}
		row := []string{b.Name, b.Footprint, b.Box.size(), fmt.Sprintf("%.2f", b.Volume/1000), fmt.Sprintf("%.1f", b.Estimate.Mass), grouped(b.Triangles)}
		for _, s := range severities {
			row = append(row, strconv.Itoa(found[s]))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// scaleTable lists the sizes of the scene beside life.
func (r *report) scaleTable() page.Table {
	t := page.Table{
		Caption: "Sizes beside life",
		Head:    []string{"part", "what", "on the print", "full size", "beside a person", "held against"},
		Figures: []bool{false, false, true, true, false, false},
	}
	for _, m := range r.Scale {
		unit := m.unitSign()
		law := m.Law
		if law != "" && !m.Within {
			law = "outside " + law
		}
		t.Rows = append(t.Rows, []string{m.Part, m.What, fmt.Sprintf("%.2f %s", m.Printed, unit), fmt.Sprintf("%.0f %s", m.Full, unit), m.Yardstick, law})
	}
	return t
}

// printingFacts say what the set takes to print.
func (r *report) printingFacts() []page.Fact {
	p := &r.Printing
	facts := []page.Fact{
		{Name: "Volume", Value: fmt.Sprintf("%.1f ml", p.Volume/1000)},
		{Name: "Mass", Value: fmt.Sprintf("%.1f g; with supports and waste %.1f g", p.Mass, p.Material)},
	}
	cost, time := p.costWants(), "about "+inHours(p.Seconds)
	if p.Cost != nil {
		cost = fmt.Sprintf("%.2f %s", *p.Cost, p.Currency)
	}
	if words := p.assumed(); words != "" {
		time += ": " + words
	}
	return append(facts, page.Fact{Name: "Cost", Value: cost}, page.Fact{Name: "Time", Value: time})
}

// estimateTable lists what each base takes to print.
func (r *report) estimateTable() page.Table {
	rows := r.estimates()
	t := page.Table{Caption: "What each base takes", Head: rows[0], Rows: rows[1:]}
	for i := range t.Head {
		t.Figures = append(t.Figures, figures[i])
	}
	return t
}

// fileTable lists what was written besides the report itself, by its place in the
// folder.
func (r *report) fileTable(dir string) page.Table {
	t := page.Table{Caption: "Files", Head: []string{"file", "bytes", "SHA-256"}, Figures: []bool{false, true, false}}
	for _, f := range r.files() {
		t.Rows = append(t.Rows, []string{within(dir, f.File), grouped(int(f.Bytes)), f.SHA256})
	}
	return t
}

// files are all that was written so far, the solids first.
func (r *report) files() (all []*fileReport) {
	for i := range r.Bases {
		if f := &r.Bases[i].fileReport; f.File != "" {
			all = append(all, f)
		}
	}
	for i := range r.Sets {
		all = append(all, &r.Sets[i].fileReport)
	}
	for _, f := range []*fileReport{r.Set, r.Plan, r.Page} {
		if f != nil {
			all = append(all, f)
		}
	}
	for i := range r.Sheets {
		all = append(all, &r.Sheets[i])
	}
	for i := range r.Pictures {
		all = append(all, &r.Pictures[i].fileReport)
	}
	return all
}

// written are all that was written, the document too.
func (r *report) written() []*fileReport {
	all := r.files()
	if r.Document != nil {
		all = append(all, r.Document)
	}
	return all
}

// facts are the figures of a base.
func (r *baseReport) facts() []page.Fact {
	facts := []page.Fact{
		{Name: "Size", Value: r.Box.size() + " mm"},
		{Name: "Volume", Value: fmt.Sprintf("%.2f ml", r.Volume/1000)},
		{Name: "Mass", Value: fmt.Sprintf("%.1f g", r.Estimate.Mass)},
		{Name: "Layers", Value: strconv.Itoa(r.Estimate.Layers)},
	}
	alone := "about " + inHours(r.Estimate.Seconds)
	if len(r.Estimate.Assumed) > 0 {
		alone += ", as assumed"
	}
	facts = append(facts, page.Fact{Name: "Alone on a plate", Value: alone})
	if c := r.Estimate.Cost; c != nil {
		facts = append(facts, page.Fact{Name: "Cost", Value: fmt.Sprintf("%.2f %s", *c, r.Estimate.Currency)})
	}
	return append(facts,
		page.Fact{Name: "Triangles", Value: grouped(r.Triangles)},
		page.Fact{Name: "Proven", Value: "closed, turned outward, free of crossings, one piece"},
	)
}
