package stair

import (
	"fmt"
	"math"

	"socle/parts"
)

// Measures of a stair are held against its own profile.
func (st *Stair) Measures(s *parts.Site) []parts.Measure {
	l := st.settled(s)
	law := stepLawOf(st.Profile)
	f := flight{risers: l.Risers, riser: s.FullHeight(l.Riser), going: s.FullSize(l.Going)}
	size := func(what, key string, printed, full, least, most float64) parts.Measure {
		m := parts.Unlimited(what, key, printed, full)
		if least > 0 {
			m.Least = least
		}
		m.Most, m.Check = most, "stair"
		if law.word != "free" {
			m.Law, m.Source = law.word, law.source
		}
		return m
	}
	riserKey := "riser"
	if st.Riser == nil && st.Risers != nil {
		riserKey = "risers"
	}
	riser := size("riser", riserKey, l.Riser, f.riser, law.riserMin, law.riserMax)
	riser.Yardstick = fmt.Sprintf("%.1f steps to the knee", parts.KneeShare*s.Person()/f.riser)
	riser.Why = riserWhy(s, riser, l.Risers)
	if l.Risers < 2 {
		return []parts.Measure{riser}
	}
	going := size("going", "going", l.Going, f.going, law.goingMin, law.goingMax)
	going.Yardstick = s.Share(f.going)
	going.Why = "The tread from nosing to nosing" + verdict(going, "long", "short")

	step := size("step length 2R + G", "going", 2*l.Riser+l.Going, 2*f.riser+f.going, law.strideMin, law.strideMax)
	step.Yardstick = s.Share(step.Full)
	step.Why = "Two risers and a going, about 630 mm for an easy step" + verdict(step, "long", "short")

	pitch := size("pitch", "going", printedPitch(l), f.pitch(), 0, math.Inf(1))
	if law.pitchMax < 90 {
		pitch.Most = law.pitchMax
	}
	pitch.Unit = "degrees"
	pitch.Why = "The slope of the line through the nosings" + verdict(pitch, "steep", "flat")
	return []parts.Measure{riser, going, step, pitch}
}

func printedPitch(l *layout) float64 { return math.Atan2(l.Riser, l.Going) * 180 / math.Pi }

// verdict ends a sentence: how a size stands to its limits.
func verdict(m parts.Measure, over, under string) string {
	switch {
	case m.Law == "":
		return "."
	case math.IsInf(m.Least, -1) && math.IsInf(m.Most, 1):
		return fmt.Sprintf(", which the %s profile leaves open.", m.Law)
	case m.Met():
		return fmt.Sprintf(": within the %s profile (%s).", m.Law, m.Span())
	case m.Full > m.Most:
		return fmt.Sprintf(": too %s for the %s profile (%s).", over, m.Law, m.Span())
	}
	return fmt.Sprintf(": too %s for the %s profile (%s).", under, m.Law, m.Span())
}

// riserWhy also says where the print's relief, and not the design, has made the riser
// taller than the profile allows.
func riserWhy(s *parts.Site, m parts.Measure, n int) string {
	why := fmt.Sprintf("%d equal risers, finish to finish", n)
	if n == 1 {
		why = "One riser, finish to finish"
	}
	if lawful := s.HeightOnPrint(m.Most); m.Full > m.Most && !m.Met() && lawful < s.Print.Relief {
		return fmt.Sprintf("%s: the %s profile allows %s mm, but that is %.2f mm on the print, under its least relief of %.2f mm, so fewer and taller ones are drawn.",
			why, m.Law, parts.Short(m.Most), lawful, s.Print.Relief)
	}
	return why + verdict(m, "tall", "low")
}
