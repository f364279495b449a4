// Package finding holds what an inspection found, as it is written in reports: one finding,
// findings joined by their cause, groups of them, counts by severity, and the advice on
// them. Lengths are in mm, places in base coordinates.
package finding

import (
	"cmp"
	"math"
	"slices"

	"socle/cmd/set/words"
	"socle/parts"
)

// Finding is what the inspection found in one base, or in the scene: one thing
// that the maker may want to change. What is alike in kind and cause is one
// finding with several places. Lengths are in mm.
type Finding struct {
	Severity string       `json:"severity"`
	Harm     float64      `json:"harm"`              // how much of the print it ruins: by this the worst comes first
	Check    string       `json:"check"`             // its word in [inspect.severity]
	Base     string       `json:"base,omitempty"`    // "" for the scene
	Number   int          `json:"number,omitempty"`  // on its base, as the pictures and the report have it; 0 without a place
	Part     string       `json:"part,omitempty"`    // what of the scene it is about, where that is known
	Key      string       `json:"key,omitempty"`     // of the part, or of a table of the scene: printer.pin
	Measure  string       `json:"measure,omitempty"` // which of a thing's measures, where it has several
	What     string       `json:"what"`              // as measured, where it is worst
	Meaning  string       `json:"meaning"`           // at the printer
	Change   string       `json:"change,omitempty"`  // what may help, as keys of parts in words
	Advice   *Advice      `json:"advice,omitempty"`  // what was tried; nil for nothing
	Settled  bool         `json:"settled,omitempty"` // it was seen to, and there is nothing to change
	Value    float64      `json:"value"`
	Limit    float64      `json:"limit,omitempty"`
	At       *[3]float64  `json:"at,omitempty"`     // the worst place, base coordinates
	Size     *[3]float64  `json:"size,omitempty"`   // of the box about it
	Count    int          `json:"count"`            // places in all
	Others   [][3]float64 `json:"others,omitempty"` // the next worst places, mostOthers of them
}

// mostOthers is how many places a finding names besides the worst.
const mostOthers = 24

// Severities, the worst first.
var Severities = []string{parts.SeverityStop, parts.SeverityWarn, parts.SeverityNote}

// Rank puts the worst first.
func Rank(severity string) int { return slices.Index(Severities, severity) }

// Join joins findings of one check on one part of one base into one, with the
// worst of them first, and sorts by severity and by harm. What is gathered may be gathered again.
func Join(single []Finding) (all []Finding) {
	type cause struct{ severity, check, base, part, measure string }
	place := map[cause]int{}
	for _, f := range single {
		why := cause{f.Severity, f.Check, f.Base, f.Part, f.Measure}
		i, known := place[why]
		if !known {
			place[why] = len(all)
			f.Count = max(f.Count, 1)
			all = append(all, f)
			continue
		}
		all[i].join(f)
	}
	slices.SortStableFunc(all, func(a, b Finding) int { return byHarm(&a, &b) })
	return all
}

// byHarm puts the more severe first, and of one severity the more harmful.
func byHarm(a, b *Finding) int {
	return cmp.Or(cmp.Compare(Rank(a.Severity), Rank(b.Severity)), cmp.Compare(b.Harm, a.Harm))
}

// NumberPlaces numbers the findings of one base that have a place, from 1 on.
func NumberPlaces(all []Finding) {
	n := 0
	for i := range all {
		if all[i].At != nil {
			n++
			all[i].Number = n
		}
	}
}

// join takes in another finding of the same cause.
func (f *Finding) join(o Finding) {
	harm := max(f.Harm, o.Harm)
	if o.worseThan(f) {
		*f, o = o, *f
	}
	f.Harm = harm
	f.Count = max(f.Count, 1) + max(o.Count, 1)
	if o.At != nil {
		f.Others = append(f.Others, *o.At)
	}
	f.Others = append(f.Others, o.Others...)
	f.Others = f.Others[:min(len(f.Others), mostOthers)]
}

// worseThan tells whether c misses its limit by more than o, of the same check.
func (f *Finding) worseThan(o *Finding) bool {
	share := func(f *Finding) float64 {
		if f.Limit == 0 || f.Value == 0 {
			return f.Value
		}
		return ShareOf(f.Value, f.Limit)
	}
	return share(f) > share(o)
}

// Tally counts findings by severity.
type Tally struct {
	Stops int `json:"stops"`
	Warns int `json:"warns"`
	Notes int `json:"notes"`
}

func TallyOf(all []Finding) (t Tally) {
	for _, f := range all {
		t.Add(f.Severity)
	}
	return t
}

// Add counts one more.
func (t *Tally) Add(severity string) {
	switch severity {
	case parts.SeverityStop:
		t.Stops++
	case parts.SeverityWarn:
		t.Warns++
	default:
		t.Notes++
	}
}

// String is the tally in words: "1 stop, 3 warnings and 12 notes".
func (t Tally) String() string {
	return words.Count(t.Stops, "stop", "stops") + ", " + words.Count(t.Warns, "warning", "warnings") + " and " + words.Count(t.Notes, "note", "notes")
}

// Subject is what a finding is about, in a word.
func (f *Finding) Subject() string {
	if f.Part == "" {
		return f.Check
	}
	return f.Part
}

// Same says whether another finding tells the same of the same, at least so gravely.
func (f *Finding) Same(o Finding) bool {
	return o.Base == f.Base && o.Check == f.Check && o.Part == f.Part && o.Measure == f.Measure && Rank(o.Severity) <= Rank(f.Severity)
}

// ShareOf is how many times over its limit a value is, either way.
func ShareOf(value, limit float64) float64 {
	if limit == 0 || value == 0 {
		return 1
	}
	return math.Max(value/limit, limit/value)
}
