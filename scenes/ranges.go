package scenes

import (
	"fmt"
	"math"

	"socle/parts"
)

// maxLength is the most of any length on the print, in mm, whatever its key.
const maxLength = 10_000

// bounds gives the inclusive range of a key's resolved values: its own, or the
// one that all keys of its type have.
func bounds(k parts.Key) (lo, hi float64) {
	lo, hi = -maxNumber, maxNumber
	switch k.Type {
	case parts.Length, parts.Height, parts.Size, parts.Point, parts.Points, parts.Lengths, parts.LevelRef:
		lo, hi = -maxLength, maxLength
	case parts.Angle, parts.Facing:
		lo, hi = -maxAngle, maxAngle
	}
	if k.Min != nil {
		lo = *k.Min
	}
	if k.Max != nil {
		hi = *k.Max
	}
	return lo, hi
}

// textLimit is the most characters of a key's text.
func textLimit(k parts.Key) int {
	if k.Max != nil {
		return int(*k.Max)
	}
	return maxText
}

// inRange checks a resolved value against its key's range. The range is
// widened by a billionth of itself for what full-size text loses in the division.
func (d *decoder) inRange(s slot, n *node, v float64) bool {
	lo, hi := bounds(s.key)
	text, isText := n.text()
	if _, isNumber := n.number(); isNumber {
		isText = false
	}
	slack := 0.0
	if isText {
		slack = 1e-9
	}
	if v >= lo-slack*math.Abs(lo) && v <= hi+slack*math.Abs(hi) {
		return true
	}
	given := number(v)
	if isText && s.key.Unit() == "mm" {
		given = fmt.Sprintf("%s, %s mm on the print at 1:%s", quote(text), number(v), number(d.site.Scale.Ratio))
	} else if u := s.key.Unit(); u != "" {
		given += " " + u
	}
	where := "too small"
	if v > hi {
		where = "too large"
	}
	allowed := d.rangeText(s.key, lo, hi)
	if isText && s.key.Unit() == "mm" {
		if mm, _, err := quantity(text); err == nil && lo <= mm && mm <= hi && v < lo {
			allowed += fmt.Sprintf("; %s without its unit is %s mm on the print", number(mm), number(mm))
		}
	}
	d.wrong(s.owner, n.at, fmt.Sprintf("%s is %s: %s", s, where, given), allowed, "")
	return false
}

// rangeText writes a range with its unit, and lengths also in full size.
func (d *decoder) rangeText(k parts.Key, lo, hi float64) string {
	text := number(lo) + " to " + number(hi)
	if u := k.Unit(); u == "mm" && k.Type != parts.Machine && k.Type != parts.Bed {
		text += " mm on the print"
		if d.scaled {
			full := d.site.Scale.Ratio
			if k.Type == parts.Height || k.Type == parts.LevelRef {
				full /= d.site.Scale.Exaggerate
			}
			text += fmt.Sprintf(" (%s to %s full size at 1:%s)", fullSize(lo*full), fullSize(hi*full), number(d.site.Scale.Ratio))
		}
	} else if u != "" {
		text += " " + u
	}
	return text
}

// clamp brings a default that is out of range at this scale into it, and notes it.
func (d *decoder) clamp(s slot, v float64) float64 {
	lo, hi := bounds(s.key)
	c := min(max(v, lo), hi)
	if c != v && d.scaled {
		part := ""
		if s.owner.part != nil {
			part = s.owner.part.part.Label()
		}
		d.site.Note(part, s.path, "left out; %s would be %s %s on the print at this scale, so %s is taken", s.key.Default, number(v), s.key.Unit(), number(c))
	}
	return c
}
