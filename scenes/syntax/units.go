package syntax

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// unit is a full-size unit of length.
type unit struct {
	word string
	mm   float64
}

// units are the units that a text may give a length in. The foot is exactly
// 0.3048 m and the inch 25.4 mm (international yard and pound agreement, 1959).
var units = []unit{{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}, {"ft", 304.8}}

// UnitWords are what the units are sometimes called, for a hint.
var UnitWords = map[string]string{
	"millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
	"centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
	"metre": "m", "metres": "m", "meter": "m", "meters": "m",
	"inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "\"": "in", "''": "in", "'": "ft",
}

var amount = regexp.MustCompile(`^([+-]?)(?:(\d+)\s+(\d+)/(\d+)|(\d+)/(\d+)|(\d*\.?\d+(?:[eE][+-]?\d+)?|\d+\.))\s*([^\d\s./+-][^\d\s]*)\s*`)

// comma is the start of a number with a comma before its decimals.
var comma = regexp.MustCompile(`^[+-]?\d*,\d`)

// ParseLength reads a full-size length such as "3.1 m", "7 3/4 in" or "6 ft 8 in"
// and gives it in mm. The error says what is wrong with the text; nearest is the
// text put right where that can be guessed.
func ParseLength(text string) (mm float64, near string, err error) {
	rest := strings.TrimSpace(text)
	if rest == "" {
		return 0, "", fmt.Errorf("is empty")
	}
	if _, err := strconv.ParseFloat(rest, 64); err == nil {
		return 0, "", fmt.Errorf("has no unit")
	}
	if comma.MatchString(rest) {
		near = strings.Replace(rest, ",", ".", 1)
		if _, other, err := ParseLength(near); err != nil {
			near = other
		}
		return 0, near, fmt.Errorf("has a decimal comma: write a point instead")
	}
	negative := false
	for i := 0; rest != ""; i++ {
		m := amount.FindStringSubmatch(rest)
		if m == nil || i > 1 || i == 1 && m[1] != "" {
			return 0, "", fmt.Errorf("is not a length")
		}
		u, ok := UnitOf(m[8])
		if !ok {
			meant := UnitWords[strings.ToLower(m[8])]
			if u, ok := UnitOf(strings.ToLower(m[8])); ok {
				meant = u.word
			}
			if meant != "" && len(m[0]) == len(rest) && i == 0 {
				near = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), m[8])) + " " + meant
			}
			return 0, near, fmt.Errorf("has an unknown unit %s", Quote(m[8]))
		}
		if i == 0 {
			negative = m[1] == "-"
		}
		if i == 1 && (u.word != "in" || !strings.Contains(text, "ft")) {
			return 0, "", fmt.Errorf("mixes units; only feet and inches go together")
		}
		v, ok := amountOf(m)
		if !ok {
			return 0, "", fmt.Errorf("is not a length")
		}
		mm += v * u.mm
		rest = rest[len(m[0]):]
	}
	if negative {
		mm = -mm
	}
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return 0, "", fmt.Errorf("is too large")
	}
	return mm + 0, "", nil // + 0 turns -0 into 0
}

func UnitOf(word string) (unit, bool) {
	for _, u := range units {
		if u.word == word {
			return u, true
		}
	}
	return unit{}, false
}

// amountOf is the number of a match of amount, without its sign.
func amountOf(m []string) (float64, bool) {
	whole, over, under := m[2], m[3], m[4]
	if m[5] != "" {
		whole, over, under = "0", m[5], m[6]
	}
	if over == "" {
		v, err := strconv.ParseFloat(m[7], 64)
		return v, err == nil
	}
	w, err1 := strconv.ParseFloat(whole, 64)
	o, err2 := strconv.ParseFloat(over, 64)
	u, err3 := strconv.ParseFloat(under, 64)
	return w + o/u, err1 == nil && err2 == nil && err3 == nil && u > 0
}

// FormatNumber writes a number for a message, rounded to five figures.
func FormatNumber(v float64) string {
	if a := math.Abs(v); a >= 1e5 && a < 1e15 || v == math.Trunc(v) && a < 1e15 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 5, 64)
}

// FormatFullSize writes a full-size length, given in mm, for a message: three figures
// and the unit that suits it.
func FormatFullSize(mm float64) string {
	v, word := mm, "mm"
	if math.Abs(mm) >= 1000 {
		v, word = mm/1000, "m"
	}
	if math.Abs(v) >= 1000 {
		return strconv.FormatFloat(v, 'f', 0, 64) + " " + word
	}
	return strconv.FormatFloat(v, 'g', 3, 64) + " " + word
}
