package main

import (
	"fmt"
	"math"
	"strings"

	"socle/parts"
)

// measureReport is one size of the scene beside life.
type measureReport struct {
	Part      string   `json:"part"`
	Kind      string   `json:"kind"`
	What      string   `json:"what"`
	Unit      string   `json:"unit"`
	Printed   float64  `json:"printed"`   // on the print
	Full      float64  `json:"full_size"` // exaggeration of heights taken out
	Yardstick string   `json:"yardstick,omitempty"`
	Law       string   `json:"law,omitempty"` // that it is held against
	Least     *float64 `json:"least,omitempty"`
	Most      *float64 `json:"most,omitempty"`
	Within    bool     `json:"within"`
	Source    string   `json:"source,omitempty"`
}

func measureReportOf(m parts.Measure) measureReport {
	limit := func(v float64) *float64 {
		if math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	return measureReport{
		Part: m.Part, Kind: m.Kind, What: m.What, Unit: m.Unit, Printed: m.Printed, Full: m.Full, Yardstick: m.Yardstick,
		Law: m.Law, Least: limit(m.Least), Most: limit(m.Most), Within: m.Within, Source: m.Source,
	}
}

// concernOfMeasure is a size that is out of its limits.
func (s *Set) concernOfMeasure(m parts.Measure) concern {
	c := concern{
		Check: m.Check, Part: m.Part, Key: m.Key,
		What: fmt.Sprintf("%s %.2f %s, full size %.0f %s", m.What, m.Printed, m.Unit, m.Full, m.Unit), Meaning: strings.TrimSuffix(m.Why, "."), Value: m.Full, Limit: m.Least,
	}
	if m.Full > m.Most {
		c.Limit = m.Most
	}
	if math.IsInf(c.Limit, 0) {
		c.Limit = 0
	}
	s.weigh(&c, shareOf(c.Value, c.Limit))
	key := c.Key
	one := []concern{c}
	s.suggest(nil, one)
	one[0].Key = key // that of the measure
	return one[0]
}

// unitSign is its unit, short.
func (m *measureReport) unitSign() string {
	if m.Unit == "degrees" {
		return "°"
	}
	return m.Unit
}

// measured lists the sizes of the scene that are out of their limits.
func (s *Set) measured() (all []concern) {
	for _, m := range parts.Measures(s.site) {
		if !m.Within {
			all = append(all, s.concernOfMeasure(m))
		}
	}
	return all
}
