package compare

import (
	"fmt"
	"math"
	"strings"

	"socle/cmd/set/words"
	"socle/parts"
)

// Words tells what became of a base.
func (b *Base) Words() string {
	switch b.Result {
	case OnlyInA:
		return "only in A"
	case OnlyInB:
		return "only in B"
	case NotMade:
		return "not compared"
	case OtherTriangles:
		return "the same shape with other triangles"
	case Differs:
		return fmt.Sprintf("differs: %s added, %s removed", cubic(*b.Added), cubic(*b.Removed))
	}
	if b.Moved != nil {
		return "the same solid, " + b.Moved.words()
	}
	return "the same"
}

func (s *solidSide) words() string {
	if s.Box == nil {
		return s.Footprint + " mm"
	}
	return fmt.Sprintf("%s, size %s mm, %.2f ml", s.Footprint, s.Box.Size(), s.Volume/1000)
}

// words tells how a base lies otherwise.
func (m *movedBase) words() string {
	text := fmt.Sprintf("moved by %s mm", words.Place(m.By))
	if math.Abs(m.Turn) >= 0.05 {
		text += fmt.Sprintf(" and turned by %.1f degrees", m.Turn)
	}
	return text
}

// cubic is a volume to be read: a small one to the hundredth of a mm3.
func cubic(mm3 float64) string {
	switch {
	case mm3 == 0:
		return "nothing"
	case mm3 < 0.01:
		return "under 0.01 mm3"
	case mm3 < 10:
		return fmt.Sprintf("%.2f mm3", mm3)
	case mm3 < 10000:
		return fmt.Sprintf("%.1f mm3", mm3)
	}
	return fmt.Sprintf("%.2f ml", mm3/1000)
}

// wasInA says what a finding was in A that is in both.
func (f *ChangedFinding) wasInA() string {
	return "a " + map[string]string{parts.SeverityStop: "stop", parts.SeverityWarn: "warning", parts.SeverityNote: "note"}[f.Was] + " in A"
}

// Verdict sums the comparison up.
func (r *Report) Verdict() string {
	results := map[string]int{}
	for i := range r.Bases {
		results[r.Bases[i].Result]++
	}
	if r.Same {
		return fmt.Sprintf("the same: %s", words.Count(len(r.Bases), "base", "bases"))
	}
	var counts []string
	for _, c := range []struct{ result, one, many string }{
		{Differs, "base differs", "bases differ"}, {OtherTriangles, "has other triangles only", "have other triangles only"}, {OnlyInA, "base is only in A", "bases are only in A"},
		{OnlyInB, "base is only in B", "bases are only in B"}, {NotMade, "base could not be compared", "bases could not be compared"},
		{Same, "is the same", "are the same"},
	} {
		if n := results[c.result]; n > 0 {
			counts = append(counts, words.Count(n, c.one, c.many))
		}
	}
	return "differs: " + strings.Join(counts, ", ")
}

// Changed lists what is found on one side only, of the scene and of every base.
func (r *Report) Changed() (gained, lost []ChangedFinding) {
	gained, lost = append(gained, r.Gained...), append(lost, r.Lost...)
	for i := range r.Bases {
		gained, lost = append(gained, r.Bases[i].Gained...), append(lost, r.Bases[i].Lost...)
	}
	return gained, lost
}

// Lines are what else there is to tell of a base.
func (b *Base) Lines() (all []string) {
	for i, s := range [2]*solidSide{b.A, b.B} {
		if s != nil && s.Why != "" {
			all = append(all, fmt.Sprintf("%s: %s", [2]string{"A", "B"}[i], s.Why))
		}
	}
	switch b.Result {
	case OnlyInA:
		all = append(all, b.A.words())
	case OnlyInB:
		all = append(all, b.B.words())
	case Differs:
		if b.A.Footprint != b.B.Footprint {
			all = append(all, fmt.Sprintf("footprint: %s -> %s mm", b.A.Footprint, b.B.Footprint))
		}
		if one, other := b.A.Box.Size(), b.B.Box.Size(); one != other {
			all = append(all, fmt.Sprintf("size: %s -> %s mm", one, other))
		} else {
			all = append(all, fmt.Sprintf("size: %s mm, in both", one))
		}
		if b.Moved != nil {
			all = append(all, b.Moved.words())
		}
	}
	return all
}

// Line tells a finding that is on one side only.
func (f *ChangedFinding) Line() string {
	text := f.Check
	if f.Base != "" {
		text = f.Base + ": " + text
	}
	if f.Part != "" {
		text += " of " + f.Part
	}
	text += ", " + f.What
	if f.At != nil {
		text += ", at " + words.Place(*f.At)
	}
	if f.Count > 1 {
		text += fmt.Sprintf("; %s more", words.Count(f.Count-1, "place", "places"))
	}
	if f.Was != "" {
		text += " (" + f.wasInA() + ")"
	}
	return text
}
