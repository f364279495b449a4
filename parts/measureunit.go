package parts

import (
	"fmt"
	"math"
)

// Units are the repeated things of masonry and paving: stones, courses, joints.
// Small ones are drawn larger than life so that they print.

const (
	// fullJoint is a mortar joint, full-size mm (BS EN 771 usage).
	fullJoint = 10.0
	// shownJoint is the joint on the print that finds its way to the eye, mm: the
	// factor that brings a 10 mm joint there is how much larger than life small
	// things are drawn, x1.8 at 1:60, x3 at 1:100, x9 at 1:300.
	shownJoint = 0.3
	// plainEnlargement is how much larger than life details are drawn where the
	// print would hold less: x1.5 to x2 at 28 to 32 mm figures.
	plainEnlargement = 2.0

	enlargementSource = "enlarged to the print's minimum and no further: common practice, no source"
)

// enlargement is how many times larger than life details are drawn at most at the
// site's scale.
func (s *Site) enlargement() float64 {
	return math.Max(plainEnlargement, shownJoint*s.Scale.Ratio/fullJoint)
}

// unit is a repeated thing held against life, or against what was asked for.
func (s *Site) unit(what, key string, printed, full, life float64, than string) Measure {
	m := unlimited(what, key, printed, full)
	m.Check, m.Yardstick, m.Law, m.Source = "unit", s.share(full), "usual enlargement", enlargementSource
	m.Most = math.Round(1e6*life*s.enlargement()) / 1e6
	times := full / life
	switch {
	case times <= 1.005 && times >= 0.995:
		m.Why = fmt.Sprintf("Drawn as large as %s.", than)
	case times < 1:
		m.Why = fmt.Sprintf("Drawn at %.2f of the size of %s.", times, than)
	case m.met():
		m.Why = fmt.Sprintf("Drawn %.1f times as large as %s; up to %.1f is usual at 1:%g.", times, than, s.enlargement(), s.Scale.Ratio)
	default:
		m.Why = fmt.Sprintf("Drawn %.1f times as large as %s, more than the %.1f that is usual at 1:%g: fewer, larger ones read better, or none.",
			times, than, s.enlargement(), s.Scale.Ratio)
	}
	return m
}
