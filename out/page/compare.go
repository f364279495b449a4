package page

import (
	_ "embed"
	"io"
	"strconv"
)

// Comparison is all that the page of a comparison tells of two scenes, A and B.
// Texts are plain; the page escapes them.
type Comparison struct {
	Title   string
	Same    bool   // every base is the same solid
	Verdict string // in one sentence
	Sides   []Fact // what A and B are
	Changed Table  // the values that are not alike
	Table   Table  // of the bases
	Bases   []ComparedBase
	Gained  []Finding // in the scene as a whole: in B and not in A
	Lost    []Finding // in A and not in B
	Tallies []Fact    // what is found in each
	Making  []Fact    // versions, settings
}

// ComparedBase is a base that is not the same on both sides, or what is found on it
// is not.
type ComparedBase struct {
	Name, Result string
	Facts        []Fact
	Picture      *Picture // as it is in A, and beside it in B
	Gained, Lost []Finding
}

//go:embed compare.html.tmpl
var comparisonText string

var comparisonTemplate = Template("comparison", comparisonText)

// comparisonOrder is a comparison as the template wants it.
type comparisonOrder struct {
	Title, Verdict  string
	Severity        severity
	Sides           []Fact
	Changed, Table  *table
	Bases           []comparedBase
	Gained, Lost    []finding
	Tallies, Making []Fact
	Dress
}

type comparedBase struct {
	ID, Name, Result string
	Facts            []Fact
	Picture          *Embedded
	Gained, Lost     []finding
}

// WriteComparison writes the page of a comparison, in UTF-8. It holds all that it needs,
// and runs nothing. It fails only where w does.
func WriteComparison(w io.Writer, c *Comparison) error {
	if c == nil {
		c = &Comparison{}
	}
	o := &comparisonOrder{
		Title: orElse(c.Title, "Two scenes"), Verdict: orElse(c.Verdict, "There is nothing to compare."),
		Severity: graveWarn, Sides: facts(c.Sides), Tallies: facts(c.Tallies), Making: facts(c.Making),
		Changed: arrangeTable(c.Changed, nil),
		Gained:  arrangeFindings(c.Gained, "scene-gained"), Lost: arrangeFindings(c.Lost, "scene-lost"),
		Dress: Dressed(),
	}
	if c.Same {
		o.Severity = graveNone
	}
	var linked []base
	for i, b := range c.Bases {
		id := "base-" + strconv.Itoa(i+1)
		name := orElse(b.Name, "Base "+strconv.Itoa(i+1))
		o.Bases = append(o.Bases, comparedBase{
			ID: id, Name: name, Result: orElse(b.Result, ""), Facts: facts(b.Facts), Picture: show(b.Picture),
			Gained: arrangeFindings(b.Gained, id+"-gained"), Lost: arrangeFindings(b.Lost, id+"-lost"),
		})
		linked = append(linked, base{ID: id, Name: name})
	}
	o.Table = arrangeTable(c.Table, linked)
	return comparisonTemplate.Execute(w, o)
}
