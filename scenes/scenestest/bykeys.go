package scenestest

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"socle/parts"
)

// placing are the keys of which things that are set on floors have one.
var placing = []string{"at", "along", "area"}

// byKeys draws a part of a kind that has no row from what its keys say of themselves:
// type, range, words, default. What must be given is, and of the rest about half.
func (s *sketch) byKeys(k *parts.Kind) {
	s.part(func(t *table) {
		way, ways := "", 0 // the one of at, along and area that says where it is, where all three may
		for _, key := range k.Keys() {
			if slices.Contains(placing, key.Word) && !key.Required {
				if ways++; s.IntN(ways) == 0 {
					way = key.Word
				}
			}
		}
		for _, key := range k.Keys() {
			if ways == len(placing) {
				switch {
				case key.Word == way:
					t.set(key.Word, "%s", s.value(key))
					continue
				case slices.Contains(placing, key.Word), key.Word == "spacing" && way == "at":
					continue
				}
			}
			if given := s.chance(0.5); !key.Required && !given || key.Type == parts.Name {
				continue
			}
			if value := s.value(key); value != "" {
				t.set(key.Word, "%s", value)
			}
		}
	})
}

// value is a value of a key as a scene has it; "" where there is none.
func (s *sketch) value(k parts.Key) string {
	list := func(values ...string) string { return "[" + strings.Join(values, ", ") + "]" }
	number := func() string { return fmt.Sprintf("%g", s.inRange(k)) }
	switch k.Type {
	case parts.Length, parts.Height, parts.Angle, parts.Number, parts.Machine:
		return number()
	case parts.Size, parts.Bed, parts.Numbers, parts.Lengths:
		return list(number(), number())
	case parts.Full:
		return fmt.Sprintf("\"%g m\"", s.inRange(k))
	case parts.Count:
		return fmt.Sprint(int(s.inRange(k)))
	case parts.Seed:
		return fmt.Sprint(s.IntN(100))
	case parts.Flag:
		return fmt.Sprint(s.chance(0.5))
	case parts.Text:
		return `"drawn"`
	case parts.Word:
		return fmt.Sprintf("%q", pick(s, k.Words...))
	case parts.LevelRef:
		return fmt.Sprintf("%q", s.level())
	case parts.Facing:
		return fmt.Sprintf("%g", s.turn())
	case parts.Point:
		return fmt.Sprintf("[%g, %g]", s.x(), s.y())
	case parts.Points:
		return fmt.Sprintf("[[%g, %g], [%g, %g]]", s.x(), s.y(), s.x(), s.y())
	case parts.Ref, parts.Refs:
		kinds := k.Words
		if len(kinds) == 0 {
			kinds = damaged()
		}
		of := s.before.Of(kinds...)
		switch n := s.IntN(4); {
		case len(of) == 0:
			return ""
		case k.Type == parts.Ref:
			return fmt.Sprintf("%q", of[n%len(of)].name)
		default:
			return fmt.Sprintf("[%q]", of[n%len(of)].name)
		}
	case parts.Table:
		if k.GoType == reflect.TypeFor[parts.Area]() {
			return s.area()
		}
		return s.inline(k.Sub)
	case parts.Tables:
		return list(s.inline(k.Sub))
	}
	panic(fmt.Sprintf("nothing draws a key of type %q", k.Type))
}

// inline is a table of keys in braces.
func (s *sketch) inline(keys []parts.Key) string {
	var all []string
	for _, k := range keys {
		given := s.chance(0.5)
		if value := s.value(k); value != "" && (k.Required || given) {
			all = append(all, k.Word+" = "+value)
		}
	}
	return "{ " + strings.Join(all, ", ") + " }"
}

// inRange is a number in the range of a key: about the size of its default, or where it
// has none of a part of the plot.
func (s *sketch) inRange(k parts.Key) float64 {
	lo, hi := 0.5, 12.0
	if k.Type == parts.Angle {
		lo, hi = -180, 180
	}
	var usual float64
	if _, err := fmt.Sscanf(k.Default, "%g", &usual); err == nil && !strings.ContainsAny(k.Default, "mcif,") {
		lo, hi = usual/2, 2*usual
	}
	if k.Min != nil {
		lo = math.Max(lo, *k.Min)
		hi = math.Max(hi, lo)
	}
	if k.Max != nil {
		hi = math.Min(hi, *k.Max)
		lo = math.Min(lo, hi)
	}
	return math.Min(hi, math.Max(lo, s.between(lo, hi)))
}

// damaged are the kinds that damage may be narrowed to, or spare.
func damaged() (words []string) {
	for _, k := range parts.Kinds() {
		if _, ok := k.New().(parts.Solider); ok && !k.Once {
			words = append(words, k.Word)
		}
	}
	return words
}
