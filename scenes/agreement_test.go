package scenes

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// plainValue is a node's value as the library has it. A date is nil: no scene takes one.
func plainValue(n *node) any {
	switch n.shape {
	case list:
		all := []any{}
		for _, item := range n.items {
			all = append(all, plainValue(item))
		}
		return all
	case table:
		all := map[string]any{}
		for word, field := range n.fields {
			all[word] = plainValue(field)
		}
		return all
	}
	switch v := n.scalar.(type) {
	case date:
		return nil
	case float64:
		if math.IsNaN(v) {
			return "not a number"
		}
	}
	return n.scalar
}

// readValue brings what the library gives into the same form.
func readValue(v any) any {
	switch v := v.(type) {
	case []any:
		all := []any{}
		for _, item := range v {
			all = append(all, readValue(item))
		}
		return all
	case map[string]any:
		all := map[string]any{}
		for word, field := range v {
			all[word] = readValue(field)
		}
		return all
	case time.Time, toml.LocalDate, toml.LocalTime, toml.LocalDateTime:
		return nil
	case float64:
		if math.IsNaN(v) {
			return "not a number"
		}
	}
	return v
}

// holds says whether any node of a tree is so.
func (n *node) holds(so func(*node) bool) bool {
	below := func(n *node) bool { return n.holds(so) }
	return so(n) || slices.ContainsFunc(n.items, below) || slices.ContainsFunc(slices.Collect(maps.Values(n.fields)), below)
}

// isDate is a date or a time: one that no calendar has is left to the keys, none of
// which takes any.
func isDate(n *node) bool {
	_, ok := n.scalar.(date)
	return ok
}

// agreement holds the reading of a text against that of the library as a whole, of which
// we take the expressions alone: both take it, with the same values, or both refuse it.
func agreement(text string) (taken bool, err error) {
	root, ours := parse(newSource("text", text, 0), text, 0)
	var syntax syntaxFault
	if ours != nil && !errors.As(ours, &syntax) {
		return false, nil // more than a scene may hold
	}
	var values map[string]any
	theirs := toml.Unmarshal([]byte(text), &values)
	switch {
	case ours != nil && theirs != nil, theirs != nil && root.holds(isDate):
		return false, nil
	case ours != nil:
		return false, fmt.Errorf("refused here alone: %w", ours)
	case theirs != nil:
		return false, fmt.Errorf("refused there alone: %w", theirs)
	}
	if here, there := fmt.Sprintf("%#v", plainValue(root)), fmt.Sprintf("%#v", readValue(values)); here != there {
		return true, fmt.Errorf("here %s, there %s", here, there)
	}
	return true, nil
}

// tomlText draws a text that is TOML but for keys that are given twice, which its few
// words make likely.
func tomlText(t *rapid.T) string {
	blank := rapid.SampledFrom([]string{"", " ", "\t", "  "})
	word := rapid.SampledFrom([]string{"a", "b", "c", "d-1", "2", `"a"`, `'b'`, `"q k"`, `"\u0063"`, `""`})
	key := func() string {
		key := word.Draw(t, "key")
		for range rapid.SampledFrom([]int{0, 0, 0, 1, 1, 2}).Draw(t, "dots") {
			key += blank.Draw(t, "blank") + "." + blank.Draw(t, "blank") + word.Draw(t, "key")
		}
		return key
	}
	scalars := rapid.SampledFrom([]string{
		"0", "-0", "+7", "12", "1_000", "0x1F", "0o17", "0b101", "0xdead_BEEF", "9223372036854775807", "-9223372036854775808", "9223372036854775808",
		"1.5", "-0.25", "+3.0", "6e3", "1E-2", "1_0.2_5", "1e999", "1e-999", "inf", "-inf", "+nan", "nan", "true", "false",
		`""`, `"a # b"`, `"\t\"\\\u00e9\U0001F600"`, `"\x41\e"`, `''`, `'C:\q'`, `'"'`, `""""""`, "\"\"\"\none\\\n   two\"\"\"", `"""a "" b"""`, "'''\na\n'b'''", `'''''a'''''`,
		"1979-05-27", "07:32", "1979-05-27T07:32:00Z", "1979-05-27 07:32:00.5-07:00",
	})
	space := rapid.SampledFrom([]string{"", " ", "\n", "\n\t# , ] }\n", "\r\n"})
	var value func(depth int) string
	value = func(depth int) string {
		sort := rapid.IntRange(0, 9).Draw(t, "sort")
		if depth > 2 || sort > 3 {
			return scalars.Draw(t, "scalar")
		}
		open, end := "[", "]"
		if sort > 1 {
			open, end = "{", "}"
		}
		text, n := open, rapid.IntRange(0, 3).Draw(t, "values")
		for i := range n {
			text += space.Draw(t, "space")
			if sort > 1 {
				text += key() + blank.Draw(t, "blank") + "=" + blank.Draw(t, "blank")
			}
			text += value(depth+1) + space.Draw(t, "space")
			if i < n-1 || rapid.Bool().Draw(t, "last comma") {
				text += ","
			}
		}
		return text + space.Draw(t, "space") + end
	}
	var b strings.Builder
	for range rapid.IntRange(0, 6).Draw(t, "lines") {
		switch rapid.IntRange(0, 9).Draw(t, "line") {
		case 0, 1, 2:
			b.WriteString("[" + blank.Draw(t, "blank") + key() + "]")
		case 3:
			b.WriteString("[[" + key() + blank.Draw(t, "blank") + "]]")
		case 4:
			b.WriteString("# \u00e9 = [")
		default:
			b.WriteString(key() + blank.Draw(t, "blank") + "=" + blank.Draw(t, "blank") + value(0))
		}
		b.WriteString(rapid.SampledFrom([]string{"\n", "\r\n", " # end\n", "\n\n"}).Draw(t, "end"))
	}
	return b.String()
}

// TestReadersAgree: texts that are TOML, those whose keys are given twice, and those
// with a few bytes changed are taken or refused as by the whole library.
func TestReadersAgree(t *testing.T) {
	junk := []string{
		"", " ", "\n", "\r", "=", "[", "]", "{", "}", ",", ".", `"`, "'", "#", "-", "_", "0", "1", "e", "x", "a", "\\", `"""`, "'''", "\x00", "\x7f", "\xff", "\u00e9",
	}
	taken := 0
	rapid.Check(t, func(t *rapid.T) {
		text := tomlText(t)
		for range rapid.SampledFrom([]int{0, 0, 1, 1, 2, 3}).Draw(t, "changes") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 3).Draw(t, "length"))
			text = text[:from] + rapid.SampledFrom(junk).Draw(t, "junk") + text[to:]
		}
		ok, err := agreement(text)
		if err != nil {
			t.Fatalf("%v\n%q\n%s", err, text, text)
		}
		if ok {
			taken++
		}
	})
	require.NotZero(t, taken)
}
