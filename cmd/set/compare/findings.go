package compare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set/finding"
)

// samePlace is how far apart two places of one kind and cause may lie and still be
// taken for the same one, mm: common practice, no source.
const samePlace = 2.0

// ChangedFinding is something that the inspection found on one side only, or with
// another severity on each.
type ChangedFinding struct {
	Severity string      `json:"severity"`
	Was      string      `json:"was,omitempty"` // its severity in A, where it is found in both
	Check    string      `json:"check"`
	Base     string      `json:"base,omitempty"`
	Part     string      `json:"part,omitempty"`
	Measure  string      `json:"measure,omitempty"`
	What     string      `json:"what"` // as measured, where it is worst
	Meaning  string      `json:"meaning"`
	Change   string      `json:"change,omitempty"`
	At       *[3]float64 `json:"at,omitempty"` // base coordinates
	Count    int         `json:"count"`        // places in all

	of *finding.Finding // that it is of
}

// place is one place of a finding.
type place struct {
	of   *finding.Finding
	at   *[3]float64 // nil where it has none
	main bool        // the one that the finding tells of
}

// findingsBetween tells what is found in b and not in a, and what is found in a and
// not in b, of one base or of the scene. Two findings are the same where check, part
// and measure are, and the places lie near one another.
func findingsBetween(a, b []finding.Finding) (gained, lost []ChangedFinding) {
	type cause struct{ check, part, measure string }
	var order []cause
	sides := map[cause]*[2][]place{}
	hidden := map[cause]*[2]int{} // places that are counted and not told
	for side, all := range [2][]finding.Finding{a, b} {
		for i := range all {
			f := &all[i]
			why := cause{f.Check, f.Part, f.Measure}
			if sides[why] == nil {
				sides[why], hidden[why] = &[2][]place{}, &[2]int{}
				order = append(order, why)
			}
			places := &sides[why][side]
			*places = append(*places, place{f, f.At, true})
			for k := range f.Others {
				*places = append(*places, place{f, &f.Others[k], false})
			}
			hidden[why][side] += max(0, f.Count-1-len(f.Others))
		}
	}
	for _, why := range order {
		was, now := sides[why][0], sides[why][1]
		fresh, gone, graver := matchPlaces(was, now)
		unseen := *hidden[why]
		gained = append(gained, graver...)
		if unseen != [2]int{} {
			// Places that are counted only may be any of these: what is sure is
			// by how many there are more.
			more := len(now) + unseen[1] - len(was) - unseen[0]
			fresh, gone = counted(fresh, now, more), counted(gone, was, -more)
		}
		gained = append(gained, changedFindings(fresh)...)
		lost = append(lost, changedFindings(gone)...)
	}
	bySeverity := func(x, y ChangedFinding) int { return finding.Rank(x.Severity) - finding.Rank(y.Severity) }
	slices.SortStableFunc(gained, bySeverity)
	slices.SortStableFunc(lost, bySeverity)
	return gained, lost
}

// counted gives so many places: those that are told first, and then more of the same
// finding that are not; none where n is below 0.
func counted(named, all []place, n int) []place {
	named = named[:min(len(named), max(0, n))]
	for len(named) < n {
		named = append(named, place{of: all[0].of})
	}
	return named
}

// matchPlaces pairs places with the nearest of the other side and gives those left
// over; what is graver or milder now is told once for each finding.
func matchPlaces(was, now []place) (fresh, gone []place, graver []ChangedFinding) {
	taken := make([]bool, len(was))
	listed := map[*finding.Finding]bool{}
	for _, n := range now {
		best, least := -1, math.Inf(1)
		for i, w := range was {
			if d := apart(w.at, n.at); !taken[i] && d <= samePlace && d < least {
				best, least = i, d
			}
		}
		if best < 0 {
			fresh = append(fresh, n)
			continue
		}
		taken[best] = true
		if w := was[best].of; w.Severity != n.of.Severity && !listed[n.of] {
			listed[n.of] = true
			f := changedFindingOf(n)
			f.Was, f.Count = w.Severity, max(1, n.of.Count)
			graver = append(graver, f)
		}
	}
	for i, w := range was {
		if !taken[i] {
			gone = append(gone, w)
		}
	}
	return fresh, gone, graver
}

// apart is the distance between two places; what has none is with what has none.
func apart(a, b *[3]float64) float64 {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil || b == nil:
		return math.Inf(1)
	}
	return r3.Norm(r3.Sub(finding.Vec(*a), finding.Vec(*b)))
}

// changedFindings joins the places of one finding into one.
func changedFindings(all []place) (out []ChangedFinding) {
	at := map[*finding.Finding]int{}
	for _, p := range all {
		i, known := at[p.of]
		if !known {
			i = len(out)
			at[p.of] = i
			out = append(out, changedFindingOf(p))
		}
		out[i].Count++
	}
	return out
}

func changedFindingOf(p place) ChangedFinding {
	c := p.of
	f := ChangedFinding{
		Severity: c.Severity, Check: c.Check, Base: c.Base, Part: c.Part, Measure: c.Measure,
		What: c.What, Meaning: c.Meaning, Change: c.Change, At: p.at, of: c,
	}
	if !p.main {
		f.What = "no worse than elsewhere on it: " + c.What
	}
	return f
}

// Tallied counts found things by severity.
func Tallied(all []ChangedFinding) (t finding.Tally) {
	for _, f := range all {
		t.Add(f.Severity)
	}
	return t
}
