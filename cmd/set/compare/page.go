package compare

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"socle/cmd/set/output"
	"socle/cmd/set/words"
	"socle/out/page"
)

// PageFile is the file of the page.
const PageFile = "compare.html"

// writeFiles writes the page and the document; the pictures have been written.
func (c *Comparison) writeFiles() error {
	files := c.files
	file, err := files.Add(PageFile, func(w io.Writer) error { return page.WriteComparison(w, c.page()) })
	if err != nil {
		return err
	}
	c.Report.Page = &file
	file, err = files.Add("compare.json", func(w io.Writer) error { return output.WriteJSON(w, c.Report.filed(files.Path)) })
	if err != nil {
		return err
	}
	c.Report.Document = &file
	return nil
}

// filed is the document as it is written into a folder: with the places of files
// within it.
func (r *Report) filed(dir string) *Report {
	f := *r
	put := func(file *output.File) *output.File {
		if file == nil {
			return nil
		}
		there := *file
		there.Path = output.Within(dir, there.Path)
		return &there
	}
	f.Page = put(r.Page)
	f.Bases = append([]Base{}, r.Bases...)
	for i := range f.Bases {
		f.Bases[i].Picture = put(f.Bases[i].Picture)
	}
	return &f
}

// page puts together what the page shows.
func (c *Comparison) page() *page.Comparison {
	r := c.Report
	p := &page.Comparison{
		Title: r.A.Title, Same: r.Same, Verdict: words.Sentence(strings.TrimPrefix(r.Verdict(), "differs: ")),
		Sides: []page.Fact{{Name: "A", Value: c.Sides[0].InWords()}, {Name: "B", Value: c.Sides[1].InWords()}},
		Changed: page.Table{
			Caption: "Changed values", Head: []string{"what", "in A", "in B"},
		},
		Table: page.Table{
			Caption: "Volumes in mm3, sizes in mm", Head: []string{"base", "result", "added", "taken away", "size in A", "size in B", "findings gained", "lost"},
			Figures: []bool{false, false, true, true, true, true, true, true},
		},
		Gained: onPage(r.Gained), Lost: onPage(r.Lost),
		Making: []page.Fact{{Name: "made by", Value: r.Made}},
	}
	if r.B.Title != r.A.Title {
		p.Title += " and " + r.B.Title
	}
	if r.Unmade < len(r.Bases) {
		p.Tallies = []page.Fact{{Name: "Inspection of A", Value: r.A.Tally.String()}, {Name: "Inspection of B", Value: r.B.Tally.String()}}
		if r.Unmade > 0 {
			p.Tallies = append(p.Tallies, page.Fact{Name: "Not counted", Value: words.Count(r.Unmade, "base", "bases") + " of which nothing has changed"})
		}
	}
	for _, k := range r.Keys {
		p.Changed.Rows = append(p.Changed.Rows, k.row())
	}
	for i := range r.Bases {
		b := &r.Bases[i]
		p.Table.Rows = append(p.Table.Rows, b.row())
		if (b.Result == Same || b.Result == OtherTriangles) && b.Moved == nil && len(b.Gained)+len(b.Lost) == 0 {
			continue
		}
		shown := page.ComparedBase{Name: b.Name, Result: b.Words(), Gained: onPage(b.Gained), Lost: onPage(b.Lost), Facts: b.facts()}
		if drawn, ok := c.images[b.Name]; ok {
			shown.Picture = &drawn
		}
		p.Bases = append(p.Bases, shown)
	}
	for i, side := range c.Sides {
		for k, line := range strings.Split(side.Resolution.String(), "\n") {
			p.Making = append(p.Making, page.Fact{Name: [2]string{"A", "B"}[i] + [...]string{", setting", ", and"}[k], Value: strings.TrimSpace(line)})
		}
	}
	return p
}

func (k *ChangedKey) row() []string {
	was, now := k.Was, k.Now
	switch {
	case k.Added:
		was, now = "not there", "there"
	case k.Removed:
		was, now = "there", "not there"
	case was == "":
		was = "left out"
	case now == "":
		now = "left out"
	}
	return []string{k.Path, was, now}
}

// row is a base in the table.
func (b *Base) row() []string {
	row := []string{b.Name, strings.ReplaceAll(b.Result, "-", " "), "", "", "", "", strconv.Itoa(len(b.Gained)), strconv.Itoa(len(b.Lost))}
	if b.Added != nil {
		row[2], row[3] = fmt.Sprintf("%.2f", *b.Added), fmt.Sprintf("%.2f", *b.Removed)
	}
	for i, s := range [2]*solidSide{b.A, b.B} {
		if s != nil && s.Box != nil {
			row[4+i] = s.Box.Size()
		}
	}
	return row
}

// facts are what there is to say of a base.
func (b *Base) facts() (all []page.Fact) {
	for i, s := range [2]*solidSide{b.A, b.B} {
		if s == nil {
			continue
		}
		value := s.words()
		if s.Why != "" {
			value = s.Why
		}
		all = append(all, page.Fact{Name: [2]string{"In A", "In B"}[i], Value: value})
	}
	if b.Moved != nil {
		all = append(all, page.Fact{Name: "On the scene", Value: b.Moved.words()})
	}
	return all
}

// onPage gives what is found on one side only as the page tells it.
func onPage(all []ChangedFinding) (out []page.Finding) {
	for i := range all {
		f := &all[i]
		shown := page.Finding{Severity: f.Severity, Check: f.Check, Part: f.Part, What: f.What, Meaning: f.Meaning, Change: f.Change, Count: f.Count}
		if f.At != nil {
			shown.Place = words.Place(*f.At) + " mm from the middle of the foot"
		}
		if f.Was != "" {
			shown.Meaning += "; " + f.wasInA()
		}
		out = append(out, shown)
	}
	return out
}
