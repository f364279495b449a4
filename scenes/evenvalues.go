package scenes

import (
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"
)

// spreadForms says how evenly spread values are written.
const spreadForms = "FROM:TO:COUNT with plain numbers, as 3:9:4, or with full sizes of one unit, as 2 m:4 m:3; COUNT is 2 to 64"

// end is an end of evenly spread values: a number and, of a full size, its unit. Its
// figures are limited, so that it can be taken as the fraction that it is.
var end = regexp.MustCompile(`^([+-]?(?:\d{1,20}(?:\.\d{0,20})?|\.\d{1,20})(?:[eE][+-]?\d{1,2})?)\s*(\pL*)$`)

// evenValues gives evenly spread values, both ends among them. It counts in fractions:
// a tenth is a tenth.
func evenValues(fromText, toText, countText string) ([]string, error) {
	count, err := strconv.Atoi(countText)
	if err != nil || count < 2 || count > MostCombinations {
		return nil, fmt.Errorf("COUNT is %s: allowed: a whole number from 2 to %d", quote(countText), MostCombinations)
	}
	from, unit, err := readEnd("FROM", fromText)
	if err != nil {
		return nil, err
	}
	to, other, err := readEnd("TO", toText)
	switch {
	case err != nil:
		return nil, err
	case unit != other:
		return nil, fmt.Errorf("FROM is in %s and TO in %s: allowed: both in one unit, or both plain numbers", unitNamed(unit), unitNamed(other))
	case from.Cmp(to) == 0:
		return nil, fmt.Errorf("FROM and TO are both %s: allowed: two that differ", quote(fromText))
	}
	step := new(big.Rat).Sub(to, from)
	step.Quo(step, big.NewRat(int64(count-1), 1))
	if unit != "" {
		unit = " " + unit
	}
	values := make([]string, count)
	for i := range values {
		v := new(big.Rat).Mul(step, big.NewRat(int64(i), 1))
		values[i] = decimal(v.Add(v, from), step) + unit
	}
	return values, nil
}

// readEnd reads one end; word is what messages call it.
func readEnd(word, text string) (v *big.Rat, unit string, err error) {
	bare := unquotedValue(text)
	m := end.FindStringSubmatch(strings.TrimSpace(bare))
	if m == nil {
		return nil, "", fmt.Errorf("%s is %s: allowed: %s", word, quote(bare), spreadForms)
	}
	if _, ok := unitOf(m[2]); !ok && m[2] != "" {
		help := "mm, cm, m, in, ft"
		if near := unitWords[strings.ToLower(m[2])]; near != "" {
			help += fmt.Sprintf("; did you mean %q?", near)
		}
		return nil, "", fmt.Errorf("%s has an unknown unit %s: allowed: %s", word, quote(m[2]), help)
	}
	v, ok := new(big.Rat).SetString(m[1])
	if !ok {
		return nil, "", fmt.Errorf("%s is %s: allowed: %s", word, quote(bare), spreadForms)
	}
	return v, m[2], nil
}

func unitNamed(unit string) string {
	if unit == "" {
		return "no unit"
	}
	return unit
}

// decimal writes a fraction: as it is where it ends within 12 places, as a tenth
// does, and else to a thousandth of the step.
func decimal(v, step *big.Rat) string {
	const most = 12
	places, ends := v.FloatPrec()
	if !ends || places > most {
		size := new(big.Rat).Abs(step)
		places = 3
		for one := big.NewRat(1, 1); size.Cmp(one) < 0 && places < 60; places++ {
			size.Mul(size, big.NewRat(10, 1))
		}
	}
	text := v.FloatString(places)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}
