package wall

import (
	"fmt"

	"socle/parts"
)

// Measures of a coursed wall: its course and its joint against life.
func (w *Wall) Measures(s *parts.Site) []parts.Measure {
	if w.Coursing == "none" {
		return nil
	}
	m := w.settled(s)
	rows, _ := m.grid(w.length())
	course := m.body() / float64(rows)
	life := unitSizes[w.Coursing][1]
	return []parts.Measure{
		s.Unit("course", "coursing", course, s.FullHeight(course), life, fmt.Sprintf("a course of %s, %g mm", w.Coursing, life)),
		s.Unit("joint", "coursing", m.joint, s.FullSize(m.joint), parts.FullJoint, "a joint of 10 mm"),
	}
}
