package page

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// order is a report in the order in which it is read, with ids and links, as the
// template wants it.
type order struct {
	Title, Scene string
	Lead         []Fact
	Verdict      verdict
	Sheet        *Embedded
	LifeSheet    *Embedded
	Table        *table
	First        first
	Plan         template.HTML
	Bases        []base
	Overall      []finding // of the scene as a whole
	Failed       []Fact
	Scale        *table
	Printing     []Fact
	Estimate     *table
	Plates       [][]string
	VariantSheet *Embedded
	Variants     []Variant
	Notes        []string
	Source       string
	Making       []Fact
	Files        *table
	Cautions     []string

	Dress
}

// verdict is what the whole comes to.
type verdict struct {
	Severity severity
	Words    string // in one sentence
	Tally    string
	Held     []link // bases that are held back, or were not made
}

// link leads to a place of the page.
type link struct{ ID, Text string }

// first is what to do first.
type first struct {
	Stops     []group
	Warns     []group
	MoreWarns []group // beyond the first few
}

// group is what several findings have in common: one thing to change.
type group struct {
	Severity         severity
	Check, Part, Key string
	Meaning          string
	Remedy           remedy
	Places           []spot
	Rest             []spot // beyond the first few
}

// More counts the findings of a group beyond the first.
func (g group) More() int { return len(g.Places) + len(g.Rest) - 1 }

// spot is one finding of a group.
type spot struct {
	ID     string
	Base   string // "" for the scene as a whole
	Number int
	What   string
}

// base is one base of the page.
type base struct {
	ID, Name, Footprint string
	Held                bool
	Facts               []Fact
	Pictures            []Embedded
	Orbit               template.HTML
	Findings            []finding // that stop or warn
	Notes               []finding
	Counts              string
}

// finding is one finding of the page.
type finding struct {
	ID                                     string
	Severity                               severity
	Number                                 int
	Check, Part, Key, What, Meaning, Place string
	Remedy                                 remedy
	Count                                  int
	Picture                                *Embedded
}

// remedy is what to change, and on what ground.
type remedy struct {
	Change, Key  string
	Clears, Well string // changes that clear it, as tried; "" for none
	Tried        string // how many were, in words; "" for none
}

func remedyOf(f *Finding) remedy {
	r := remedy{Change: orElse(f.Change, ""), Key: orElse(f.Key, "")}
	if len(f.Clears) > 0 {
		r.Clears = orElse(f.Clears[0], "")
	}
	if len(f.Clears) > 1 {
		r.Well = orElse(f.Clears[1], "")
	}
	if f.Tried > 0 {
		r.Tried = plural(f.Tried, "change was", "changes were")
	}
	return r
}

// Any says whether there is anything to say.
func (r remedy) Any() bool { return r != remedy{} }

// severity is how grave a finding is, told by a word and a sign.
type severity struct {
	Class string // stop, warn or note
	Word  string
	Sign  string
}

var (
	graveStop = severity{"stop", "Stop", "■"}
	graveWarn = severity{"warn", "Warning", "▲"}
	graveNote = severity{"note", "Note", "○"}
	graveNone = severity{"clear", "Clear", "✓"}
)

// severityOf takes a word that is not known for a warning, so that what it says is
// not put away with the notes.
func severityOf(word string) severity {
	switch word {
	case "stop":
		return graveStop
	case "note":
		return graveNote
	}
	return graveWarn
}

// table is a table with cells that know how they are set.
type table struct {
	Caption string
	Head    []cell
	Rows    [][]cell
}

// Short tells a table that goes onto one sheet of paper with what is around it.
func (t *table) Short() bool { return len(t.Rows) <= 16 }

type cell struct {
	Text   string
	Figure bool
	Link   string // an id, "" for none
	First  bool   // the first of its row is its head
}

// someSpots is how many places a group shows before the rest is folded away.
const someSpots = 8

// someWarns is how many things that warn are shown before the rest is folded away.
const someWarns = 12

// arrange puts a report in order.
func arrange(r *Report) *order {
	o := &order{
		Title:        orElse(r.Title, orElse(r.Scene, "A set of bases")),
		Scene:        orElse(r.Scene, ""),
		Lead:         facts(r.Lead),
		Sheet:        show(r.Sheet),
		LifeSheet:    show(r.LifeSheet),
		Failed:       facts(r.Failed),
		Scale:        arrangeTable(r.Scale, nil),
		Printing:     facts(r.Printing),
		Plates:       plates(r.Plates),
		VariantSheet: show(r.VariantSheet),
		Notes:        texts(r.Notes),
		Source:       printable(r.Source),
		Plan:         template.HTML(r.Plan),
		Making:       facts(r.Making),
		Files:        arrangeTable(r.Files, nil),
		Cautions:     texts(r.Cautions),
	}
	for i := range r.Bases {
		o.Bases = append(o.Bases, arrangeBase(&r.Bases[i], i+1))
	}
	o.Table = arrangeTable(r.Table, o.Bases)
	o.Estimate = arrangeTable(r.Estimate, o.Bases)
	o.Overall = arrangeFindings(r.Findings, "scene")
	for _, v := range r.Variants {
		o.Variants = append(o.Variants, Variant{Name: orElse(v.Name, "A variant without a name"), Changes: facts(v.Changes)})
	}
	o.First = o.whatFirst()
	o.Verdict = o.verdict(r)
	return o
}

func arrangeBase(b *Base, number int) base {
	id := "base-" + strconv.Itoa(number)
	out := base{
		ID:        id,
		Name:      orElse(b.Name, "Base "+strconv.Itoa(number)),
		Footprint: orElse(b.Footprint, ""),
		Facts:     facts(b.Facts),
		Pictures:  showAll(b.Pictures),
		Orbit:     orbit(b.Solid, id, orElse(b.Name, "Base "+strconv.Itoa(number))),
	}
	var stop, warn int
	for _, f := range arrangeFindings(b.Findings, id) {
		switch f.Severity {
		case graveStop:
			stop++
		case graveWarn:
			warn++
		case graveNote:
			out.Notes = append(out.Notes, f)
			continue
		}
		out.Findings = append(out.Findings, f)
	}
	slices.SortStableFunc(out.Findings, func(a, b finding) int {
		return strings.Compare(a.Severity.Class, b.Severity.Class) // "stop" < "warn"
	})
	out.Held = stop > 0
	out.Counts = inWords(stop, warn, len(out.Notes))
	return out
}

func arrangeFindings(all []Finding, id string) (out []finding) {
	for i, f := range all {
		out = append(out, finding{
			ID:       fmt.Sprintf("%s-finding-%d", id, i+1),
			Severity: severityOf(f.Severity),
			Number:   max(f.Number, 0),
			Check:    orElse(f.Check, "finding"),
			Part:     orElse(f.Part, ""), Key: orElse(f.Key, ""),
			What: capital(orElse(f.What, "")), Meaning: capital(orElse(f.Meaning, "")), Remedy: remedyOf(&f),
			Place: capital(orElse(f.Place, "")), Count: max(f.Count, 1),
			Picture: show(f.Picture),
		})
	}
	return out
}

// whatFirst joins the findings that stop or warn by what there is to do about them,
// in the order in which they come; what stops goes before what warns.
func (o *order) whatFirst() (out first) {
	var all []group
	at := map[string]int{}
	add := func(base string, f finding) {
		if f.Severity == graveNote {
			return
		}
		cause := strings.Join([]string{f.Severity.Class, f.Check, f.Part, f.Key, f.Meaning, f.Remedy.Change, f.Remedy.Clears}, "\x00")
		i, known := at[cause]
		if !known {
			i = len(all)
			at[cause] = i
			all = append(all, group{Severity: f.Severity, Check: f.Check, Part: f.Part, Key: f.Key, Meaning: f.Meaning, Remedy: f.Remedy})
		}
		all[i].Places = append(all[i].Places, spot{ID: f.ID, Base: base, Number: f.Number, What: f.What})
	}
	for _, f := range o.Overall {
		add("", f)
	}
	for _, b := range o.Bases {
		for _, f := range b.Findings {
			add(b.Name, f)
		}
	}
	for _, g := range all {
		n := min(someSpots, len(g.Places))
		g.Places, g.Rest = g.Places[:n:n], g.Places[n:]
		if g.Severity == graveStop {
			out.Stops = append(out.Stops, g)
		} else {
			out.Warns = append(out.Warns, g)
		}
	}
	n := min(someWarns, len(out.Warns))
	out.Warns, out.MoreWarns = out.Warns[:n:n], out.Warns[n:]
	return out
}

// verdict says what the whole comes to. It counts what the page shows, so that the
// words cannot say other than the lists do; the tally is as it was given.
func (o *order) verdict(r *Report) verdict {
	v := verdict{Severity: graveNone, Tally: orElse(r.Tally.Words, inWords(r.Tally.Stops, r.Tally.Warns, r.Tally.Notes))}
	var stop, warn int
	for _, g := range o.First.Stops {
		stop += len(g.Places) + len(g.Rest)
	}
	for _, g := range slices.Concat(o.First.Warns, o.First.MoreWarns) {
		warn += len(g.Places) + len(g.Rest)
	}
	stop, warn = max(stop, r.Tally.Stops), max(warn, r.Tally.Warns)
	for _, b := range o.Bases {
		if b.Held {
			v.Held = append(v.Held, link{b.ID, b.Name})
		}
	}
	shownAs := map[string]bool{}
	for _, b := range o.Bases {
		shownAs[b.Name] = true
	}
	for _, f := range o.Failed {
		if !shownAs[f.Name] {
			v.Held = append(v.Held, link{"not-made", f.Name})
		}
	}
	switch {
	case stop > 0:
		v.Severity = graveStop
		v.Words = plural(stop, "thing stops", "things stop") + " this set from printing as it is."
	case len(v.Held) > 0:
		v.Severity = graveStop
		v.Words = plural(len(v.Held), "base was", "bases were") + " not made."
	case warn > 0:
		v.Severity = graveWarn
		v.Words = "Nothing stops this set. " + plural(warn, "thing is", "things are") + " worth a look before you print."
	default:
		v.Words = "This set has no stops and no warnings."
	}
	return v
}

// arrangeTable gives a table, nil where it has nothing to show. A first cell that
// is the name of a base leads to it.
func arrangeTable(t Table, bases []base) *table {
	if len(t.Head) == 0 || len(t.Rows) == 0 {
		return nil
	}
	at := map[string]string{}
	for _, b := range bases {
		if _, twice := at[b.Name]; !twice {
			at[b.Name] = b.ID
		}
	}
	figure := func(column int) bool { return column < len(t.Figures) && t.Figures[column] }
	out := &table{Caption: orElse(t.Caption, "Figures")}
	for k, h := range t.Head {
		out.Head = append(out.Head, cell{Text: orElse(h, "–"), Figure: figure(k)})
	}
	for _, row := range t.Rows {
		cells := make([]cell, len(t.Head))
		for k := range cells {
			cells[k] = cell{Text: "–", Figure: figure(k), First: k == 0}
			if k < len(row) {
				cells[k].Text = orElse(row[k], "–")
			}
			if k == 0 {
				cells[k].Link = at[cells[k].Text]
			}
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

func facts(all []Fact) (out []Fact) {
	for _, f := range all {
		out = append(out, Fact{orElse(f.Name, "–"), orElse(f.Value, "–")})
	}
	return out
}

// capital begins a text with a capital letter.
func capital(s string) string {
	if s == "" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

func texts(all []string) (out []string) {
	for _, s := range all {
		if s = orElse(s, ""); s != "" {
			out = append(out, s)
		}
	}
	return out
}

// plates gives the names on each plate, without plates that hold nothing.
func plates(all [][]string) (out [][]string) {
	for _, p := range all {
		if names := texts(p); len(names) > 0 {
			out = append(out, names)
		}
	}
	return out
}

// inWords counts findings: "1 stop, 3 warnings and 12 notes"; "" where there is none.
func inWords(stop, warn, note int) string {
	var parts []string
	for _, c := range []struct {
		n         int
		one, many string
	}{{stop, "stop", "stops"}, {warn, "warning", "warnings"}, {note, "note", "notes"}} {
		if c.n > 0 {
			parts = append(parts, plural(c.n, c.one, c.many))
		}
	}
	switch len(parts) {
	case 0:
		return ""
	case 1:
		return parts[0]
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
