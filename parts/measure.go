package parts

import (
	"fmt"
	"math"
	"strconv"
)

// Measure is one size of a part beside life: as printed, in full size, beside the
// yardstick person and against the limits that it would be built to. The codes are
// quoted as geometry for plausible scenery; they are not building advice.
type Measure struct {
	Part      string  // the part's label
	Kind      string  // the word of its kind: "stair"
	What      string  // what is measured: "riser"
	Key       string  // the key that sets it; "" where none does
	Unit      string  // "mm" or "degrees"
	Printed   float64 // on the print, the scene's exaggeration of heights included
	Full      float64 // in full size, exaggeration taken out
	Yardstick string  // beside the person: "2.9 steps to the knee", "hip high"; "" where that says nothing
	Law       string  // what it is held against: a stair's profile, a code or a practice; "" for nothing
	Least     float64 // full size; -Inf for no limit
	Most      float64 // full size; +Inf for no limit
	Within    bool    // Full lies within the two
	Check     string  // the check that it belongs to, one of Severities; "unit" where it is of no other
	Why       string  // one plain sentence
	Source    string  // where the limits come from
}

// Measured is a part with sizes that are held beside life.
type Measured interface {
	Part
	// Measures are its sizes; Part, Kind and Within are filled in from them.
	Measures(s *Site) []Measure
}

// Judge holds the size against its limits; one that is met is met, whatever the
// way to the print and back has rounded off.
func (m *Measure) Judge() {
	play := 1e-6 * math.Max(1, math.Abs(m.Full))
	m.Within = m.Full >= m.Least-play && m.Full <= m.Most+play
}

// Met is true before judge has said so.
func (m Measure) Met() bool {
	m.Judge()
	return m.Within
}

// Unlimited is a measure that is held against nothing yet.
func Unlimited(what, key string, printed, full float64) Measure {
	return Measure{What: what, Key: key, Unit: "mm", Printed: printed, Full: full, Least: math.Inf(-1), Most: math.Inf(1)}
}

// TallBeside is a height of a part, mm on the print, beside a person and held against nothing.
func TallBeside(s *Site, what, key string, printed float64) []Measure {
	m := Unlimited(what, key, printed, s.FullHeight(printed))
	m.Yardstick = s.Beside(m.Full)
	return []Measure{m}
}

// Span is the limits in words: "150 to 170 mm".
func (m Measure) Span() string {
	unit := " " + m.Unit
	switch low, high := math.IsInf(m.Least, -1), math.IsInf(m.Most, 1); {
	case low:
		return "at most " + Short(m.Most) + unit
	case high:
		return "at least " + Short(m.Least) + unit
	}
	return Short(m.Least) + " to " + Short(m.Most) + unit
}

// Short is a full-size number as people write it: to a hundredth, whole from a
// thousand up.
func Short(v float64) string {
	if math.Abs(v) >= 1000 {
		return strconv.FormatFloat(math.Round(v), 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64)
}

// Heights of the body over the floor as shares of stature: knee and hip after
// Drillis and Contini, Body Segment Parameters (1966), from memory; the eye after
// ANSUR II public data, 0.935 for men.
const (
	KneeShare = 0.285
	hipShare  = 0.530
	eyeShare  = 0.936
)

// Person is the height of the yardstick, full-size mm.
func (s *Site) Person() float64 { return 1000 * s.Scale.Person }

// Beside puts a full-size height beside the yardstick: "hip high" near a landmark
// of the body, else a share of it.
func (s *Site) Beside(full float64) string {
	r := full / s.Person()
	const near = 0.06 // of the landmark's own height
	for _, mark := range []struct {
		share float64
		words string
	}{{KneeShare, "knee high"}, {hipShare, "hip high"}, {eyeShare, "eye high"}, {1, "as tall as the person"}} {
		if math.Abs(r-mark.share) <= near*mark.share {
			return mark.words
		}
	}
	return s.Share(full)
}

// Share is a full-size length as a share of the yardstick: "0.24 of the person".
func (s *Site) Share(full float64) string {
	switch r := full / s.Person(); {
	case r >= 1.5:
		return fmt.Sprintf("%.1f persons long", r)
	case r >= 0.1:
		return fmt.Sprintf("%.2f of the person", r)
	default:
		return fmt.Sprintf("%.3f of the person", r)
	}
}
