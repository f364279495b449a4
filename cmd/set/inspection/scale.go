package inspection

import (
	"fmt"
	"math"
	"strings"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/parts"
	"socle/parts/assembly"
)

// ScaleMeasure is one size of the scene beside life.
type ScaleMeasure struct {
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

func ScaleMeasureOf(m parts.Measure) ScaleMeasure {
	limit := func(v float64) *float64 {
		if math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	return ScaleMeasure{
		Part: m.Part, Kind: m.Kind, What: m.What, Unit: m.Unit, Printed: m.Printed, Full: m.Full, Yardstick: m.Yardstick,
		Law: m.Law, Least: limit(m.Least), Most: limit(m.Most), Within: m.Within, Source: m.Source,
	}
}

// scaleFinding is a size that is out of its limits.
func scaleFinding(s *set.Set, m parts.Measure) finding.Finding {
	f := finding.Finding{
		Check: m.Check, Part: m.Part, Key: m.Key,
		What: fmt.Sprintf("%s %.2f %s, full size %.0f %s", m.What, m.Printed, m.Unit, m.Full, m.Unit), Meaning: strings.TrimSuffix(m.Why, "."), Value: m.Full, Limit: m.Least,
	}
	if m.Full > m.Most {
		f.Limit = m.Most
	}
	if math.IsInf(f.Limit, 0) {
		f.Limit = 0
	}
	grade(s, &f, finding.ShareOf(f.Value, f.Limit))
	key := f.Key
	one := []finding.Finding{f}
	Suggest(s, nil, one)
	one[0].Key = key // that of the measure
	return one[0]
}

// UnitSign is its unit, short.
func (m *ScaleMeasure) UnitSign() string {
	if m.Unit == "degrees" {
		return "°"
	}
	return m.Unit
}

// OutOfScale lists the sizes of the scene that are out of their limits.
func OutOfScale(s *set.Set) (all []finding.Finding) {
	for _, m := range assembly.Measures(s.Site) {
		if !m.Within {
			all = append(all, scaleFinding(s, m))
		}
	}
	return all
}
