package build

import (
	"bytes"
	"fmt"
	"image"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"socle/cmd/set/finding"
	"socle/cmd/set/look"
	"socle/cmd/set/report"
	"socle/cmd/set/words"
	"socle/out/page"
	"socle/out/plan"
	"socle/parts"
	"socle/parts/assembly"
)

// pageColumns is how many columns the sheet of the set has on the page, where it is
// not to be larger than a window.
const pageColumns = 3

// writePage writes the report of a build as a page: the same figures as the
// document, with what was drawn.
func (b *Build) writePage(w io.Writer) error {
	r := b.Report
	p := &page.Report{
		Title: r.Title, Scene: r.Scene,
		Lead:     b.lead(),
		Tally:    page.Tally{Stops: r.Tally.Stops, Warns: r.Tally.Warns, Notes: r.Tally.Notes, Words: r.Tally.String()},
		Table:    r.BaseTable(),
		Scale:    r.ScaleTable(),
		Printing: r.PrintingFacts(),
		Estimate: r.EstimateTable(), Plates: r.Printing.Plates,
		Source:   r.Source,
		Making:   b.howMade(),
		Files:    r.FileTable(b.To),
		Cautions: r.Cautions,
	}
	var drawing bytes.Buffer
	if err := plan.Write(&drawing, look.PlanOf(b.Set)); err != nil {
		return err
	}
	p.Plan = drawing.Bytes()
	var err error
	if p.Sheet, err = pagedSheet(b.sheet("", pageColumns), "each as large as fits", "all bases of the set"); err != nil {
		return err
	}
	if p.LifeSheet, err = pagedSheet(b.lifeSheet(""), "as large as they print, on a screen of 96 pixels an inch", "all bases at the size of life"); err != nil {
		return err
	}
	if p.VariantSheet, err = pagedSheet(b.variantSheet, "the variants", "the bases of each variant side by side"); err != nil {
		return err
	}
	for i := range b.Set.Pieces {
		if l := b.looks[b.Set.Pieces[i].Name]; l != nil {
			p.Bases = append(p.Bases, b.pageBase(&b.Set.Pieces[i], l))
		}
	}
	for i := range r.Findings {
		if c := &r.Findings[i]; c.Base == "" {
			p.Findings = append(p.Findings, onPage(c, nil))
		}
	}
	for _, f := range r.Failed {
		p.Failed = append(p.Failed, page.Fact{Name: f.Name, Value: f.Why})
	}
	for _, v := range r.Variants {
		shown := page.Variant{Name: v.Name}
		for _, c := range v.Changes {
			value := c.Value
			if c.Was != "" {
				value += ", in place of " + c.Was
			}
			shown.Changes = append(shown.Changes, page.Fact{Name: c.Path, Value: value})
		}
		p.Variants = append(p.Variants, shown)
	}
	for _, n := range r.Notes {
		p.Notes = append(p.Notes, report.NoteLine(n))
	}
	return page.Write(w, p)
}

// lead is what the set is, in a few lines.
func (b *Build) lead() []page.Fact {
	site := b.Set.Site
	scale := fmt.Sprintf("1:%g", site.Scale.Ratio)
	if e := site.Scale.Exaggerate; e != 1 {
		scale += fmt.Sprintf(", heights drawn %g times as tall", e)
	}
	facts := []page.Fact{
		{Name: "Bases", Value: fmt.Sprintf("%d: %s", len(b.Set.Pieces), footprints(b.Set.Pieces))},
		{Name: "Scale", Value: scale},
		{Name: "Yardstick", Value: look.YardstickText(b.Set)},
		{Name: "Printer", Value: printerWords(&site.Printer)},
		{Name: "Meshed", Value: fmt.Sprintf("%s: cells of %g mm, tolerance %g mm", b.Set.Resolution.Setting, b.Set.Resolution.Cell, b.Set.Resolution.Tolerance)},
	}
	if b.Variant != "" {
		facts = slices.Insert(facts, 0, page.Fact{Name: "Variant", Value: b.Variant})
	}
	if b.Set.Resolution.Coarse(site.Printer) {
		facts = append(facts, page.Fact{Name: "For looking", Value: b.Set.Resolution.Caution(site.Printer)})
	}
	return append(facts, page.Fact{Name: "Takes", Value: b.Report.Printing.Line(len(b.Report.Bases))})
}

// footprints counts the footprints of pieces: "4 round 25, oval 120 x 92".
func footprints(pieces []assembly.Piece) string {
	var kinds []string
	count := map[string]int{}
	for _, p := range pieces {
		if count[p.Footprint] == 0 {
			kinds = append(kinds, p.Footprint)
		}
		count[p.Footprint]++
	}
	for i, k := range kinds {
		if n := count[k]; n > 1 {
			kinds[i] = fmt.Sprintf("%d of %s", n, k)
		}
	}
	return strings.Join(kinds, "; ") + " mm"
}

// printerWords says what printer the set is for.
func printerWords(p *parts.Printer) string {
	across, up := p.Across(), p.Up()
	words := fmt.Sprintf("%s, %s %g mm, %s %g mm", p.Process, across.Word, across.Size, up.Word, up.Size)
	if p.Plate != nil {
		words += fmt.Sprintf(", plate %g x %g mm", p.Plate[0], p.Plate[1])
	}
	return words
}

// howMade says how the set was made, so that it can be made again.
func (b *Build) howMade() []page.Fact {
	facts := []page.Fact{{Name: "made by", Value: b.Report.Made}}
	if b.Variant != "" {
		facts = append(facts, page.Fact{Name: "variant", Value: b.Variant})
	}
	for _, set := range b.Sets {
		facts = append(facts, page.Fact{Name: "with", Value: "--set " + set})
	}
	if b.Printer != "" {
		facts = append(facts, page.Fact{Name: "with", Value: "--printer " + path.Base(b.Printer)})
	}
	for i, line := range strings.Split(b.Set.Resolution.String(), "\n") {
		facts = append(facts, page.Fact{Name: [...]string{"setting", "and"}[i], Value: strings.TrimSpace(line)})
	}
	for _, s := range b.Report.Seeds {
		facts = append(facts, page.Fact{Name: strings.TrimSpace("seed " + s.Part), Value: strconv.FormatUint(s.Seed, 10)})
	}
	return facts
}

// pageBase is one base with what was drawn of it.
func (b *Build) pageBase(p *assembly.Piece, l *look.Drawn) page.Base {
	shown := page.Base{Name: p.Name, Footprint: p.Footprint, Solid: l.Solid}
	for _, s := range l.Shots {
		shown.Pictures = append(shown.Pictures, s.Small)
	}
	for i := range b.Report.Bases {
		if r := &b.Report.Bases[i]; r.Name == p.Name {
			shown.Facts = r.Facts()
		}
	}
	for i := range b.Report.Findings {
		if f := &b.Report.Findings[i]; f.Base == p.Name {
			shown.Findings = append(shown.Findings, onPage(f, l))
		}
	}
	return shown
}

// onPage is a finding as the page tells it, with what was drawn of its place.
func onPage(c *finding.Finding, l *look.Drawn) page.Finding {
	f := page.Finding{
		Number: c.Number, Severity: c.Severity, Check: c.Check, Part: c.Part, Key: c.Key,
		What: c.What, Meaning: c.Meaning, Change: c.Change, Count: c.Count,
	}
	if c.Advice != nil {
		f.Tried = c.Advice.Tried
		for _, way := range c.Advice.Clears {
			f.Clears = append(f.Clears, way.String())
		}
	}
	if c.At != nil {
		f.Place = words.Place(*c.At) + " mm from the middle of the foot"
	}
	if l != nil {
		if drawn, ok := l.Places[c.Number]; ok && c.Number > 0 {
			f.Picture = &drawn
		}
	}
	return f
}

// pagedSheet is a sheet for the page; nil where there is none.
func pagedSheet(drawn image.Image, caption, alt string) (*page.Picture, error) {
	if drawn == nil {
		return nil, nil
	}
	p, err := look.ForPage(drawn, caption, alt)
	return &p, err
}
