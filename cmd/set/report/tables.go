package report

import (
	"fmt"
	"strconv"

	"socle/cmd/set/finding"
	"socle/cmd/set/output"
	"socle/cmd/set/words"
	"socle/out/page"
)

// BaseTable lists the bases.
func (r *Report) BaseTable() page.Table {
	t := page.Table{
		Caption: "The bases",
		Head:    []string{"base", "footprint", "size mm", "volume ml", "mass g", "triangles", "stops", "warnings", "notes"},
		Figures: []bool{false, false, true, true, true, true, true, true, true},
	}
	for _, b := range r.Bases {
		found := map[string]int{}
		for _, f := range r.Findings {
			if f.Base == b.Name {
				found[f.Severity]++
			}
		}
		row := []string{b.Name, b.Footprint, b.Box.Size(), fmt.Sprintf("%.2f", b.Volume/1000), fmt.Sprintf("%.1f", b.Estimate.Mass), words.Grouped(b.Triangles)}
		for _, s := range finding.Severities {
			row = append(row, strconv.Itoa(found[s]))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// ScaleTable lists the sizes of the scene beside life.
func (r *Report) ScaleTable() page.Table {
	t := page.Table{
		Caption: "Sizes compared with real ones",
		Head:    []string{"part", "what", "on the print", "full size", "beside a person", "held against"},
		Figures: []bool{false, false, true, true, false, false},
	}
	for _, m := range r.Scale {
		unit := m.UnitSign()
		law := m.Law
		if law != "" && !m.Within {
			law = "outside " + law
		}
		t.Rows = append(t.Rows, []string{m.Part, m.What, fmt.Sprintf("%.2f %s", m.Printed, unit), fmt.Sprintf("%.0f %s", m.Full, unit), m.Yardstick, law})
	}
	return t
}

// PrintingFacts say what the set takes to print.
func (r *Report) PrintingFacts() []page.Fact {
	p := &r.Printing
	facts := []page.Fact{
		{Name: "Volume", Value: fmt.Sprintf("%.1f ml", p.Volume/1000)},
		{Name: "Mass", Value: fmt.Sprintf("%.1f g; with supports and waste %.1f g", p.Mass, p.Material)},
	}
	cost, time := p.CostNeeds(), "about "+words.Hours(p.Seconds)
	if p.Cost != nil {
		cost = fmt.Sprintf("%.2f %s", *p.Cost, p.Currency)
	}
	if words := p.AssumedInWords(); words != "" {
		time += ": " + words
	}
	return append(facts, page.Fact{Name: "Cost", Value: cost}, page.Fact{Name: "Time", Value: time})
}

// EstimateTable lists what each base takes to print.
func (r *Report) EstimateTable() page.Table {
	rows := r.Estimates()
	t := page.Table{Caption: "What each base takes to print to print", Head: rows[0], Rows: rows[1:]}
	for i := range t.Head {
		t.Figures = append(t.Figures, Figures[i])
	}
	return t
}

// FileTable lists what was written besides the report itself, by its place in the
// folder.
func (r *Report) FileTable(dir string) page.Table {
	t := page.Table{Caption: "Files", Head: []string{"file", "bytes", "SHA-256"}, Figures: []bool{false, true, false}}
	for _, f := range r.Files() {
		t.Rows = append(t.Rows, []string{output.Within(dir, f.Path), words.Grouped(int(f.Bytes)), f.SHA256})
	}
	return t
}

// Files are all that was written so far, the solids first.
func (r *Report) Files() (all []*output.File) {
	for i := range r.Bases {
		if f := &r.Bases[i].File; f.Path != "" {
			all = append(all, f)
		}
	}
	for i := range r.Sets {
		all = append(all, &r.Sets[i].File)
	}
	for _, f := range []*output.File{r.Set, r.Plan, r.Page} {
		if f != nil {
			all = append(all, f)
		}
	}
	for i := range r.Sheets {
		all = append(all, &r.Sheets[i])
	}
	for i := range r.Pictures {
		all = append(all, &r.Pictures[i].File)
	}
	return all
}

// Written are all that was written, the document too.
func (r *Report) Written() []*output.File {
	all := r.Files()
	if r.Document != nil {
		all = append(all, r.Document)
	}
	return all
}

// Facts are the figures of a base.
func (b *Base) Facts() []page.Fact {
	facts := []page.Fact{
		{Name: "Size", Value: b.Box.Size() + " mm"},
		{Name: "Volume", Value: fmt.Sprintf("%.2f ml", b.Volume/1000)},
		{Name: "Mass", Value: fmt.Sprintf("%.1f g", b.Estimate.Mass)},
		{Name: "Layers", Value: strconv.Itoa(b.Estimate.Layers)},
	}
	alone := "about " + words.Hours(b.Estimate.Seconds)
	if len(b.Estimate.Assumed) > 0 {
		alone += ", as assumed"
	}
	facts = append(facts, page.Fact{Name: "Alone on a plate", Value: alone})
	if c := b.Estimate.Cost; c != nil {
		facts = append(facts, page.Fact{Name: "Cost", Value: fmt.Sprintf("%.2f %s", *c, b.Estimate.Currency)})
	}
	return append(facts,
		page.Fact{Name: "Triangles", Value: words.Grouped(b.Triangles)},
		page.Fact{Name: "Proven", Value: "closed, turned outward, free of crossings, one piece"},
	)
}
