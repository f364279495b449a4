package scenes

import (
	"fmt"
	"slices"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// topAllowed says what may stand at the top of a scene: the kinds of part are too many to be
// listed.
func topAllowed() string {
	own := []string{titleWord, seedWord}
	for _, t := range ownTables {
		own = append(own, t.word)
	}
	own = append(own, levelsWord, variantWord)
	var some []string
	stage := parts.Stage(-1)
	for _, k := range parts.Kinds() { // the first of each stage
		if k.Stage != stage {
			some, stage = append(some, k.Word), k.Stage
		}
	}
	return fmt.Sprintf("%s, or a part, such as %s; \"socle parts\" lists all", strings.Join(own, ", "), strings.Join(some, ", "))
}

// lengthForms says how a length is written.
const lengthForms = `12.5 (mm on the print), or full size in mm, cm, m, in or ft: "180 mm", "3.1 m", "7 in", "6 ft 8 in"`

// allowedValues says what a key's value may be, for messages and the catalogue.
func allowedValues(k parts.Key) string {
	switch k.Type {
	case parts.Length:
		return "a length: " + lengthForms
	case parts.Height:
		return "a height: " + lengthForms
	case parts.Full:
		return `a full size with its unit, mm, cm, m, in or ft: "1.75 m", "5 ft 9 in"`
	case parts.Size:
		return "two lengths: [40, 25]"
	case parts.Angle:
		return "a plain number of degrees"
	case parts.Number:
		lo, hi := bounds(k)
		if k.Min == nil && k.Max == nil {
			return "a plain number" + of(k)
		}
		return "a plain number" + of(k) + " from " + syntax.FormatNumber(lo) + " to " + syntax.FormatNumber(hi)
	case parts.Bed:
		return "two plain numbers of mm: [130, 80]"
	case parts.Machine:
		lo, hi := bounds(k)
		return "a plain number of mm, from " + syntax.FormatNumber(lo) + " to " + syntax.FormatNumber(hi) + ": the scale does not change a printer"
	case parts.Count:
		lo, hi := bounds(k)
		if k.Min == nil && k.Max == nil {
			return "a whole number"
		}
		return "a whole number from " + syntax.FormatNumber(lo) + " to " + syntax.FormatNumber(hi)
	case parts.Seed:
		return "a whole number from 0 up"
	case parts.Flag:
		return "true or false"
	case parts.Text:
		return fmt.Sprintf("text in quotes, of %d characters at most", textLimit(k))
	case parts.Name:
		return nameAllowed + ", in quotes"
	case parts.Word:
		return "one of " + strings.Join(quoted(k.Words), ", ")
	case parts.LevelRef:
		return "the name of one of [levels] in quotes, one plus or minus a height, such as " + relativeForms + ", or a height: " + lengthForms
	case parts.Ref:
		return "the name of a " + kindsOf(k) + " in quotes"
	case parts.Refs:
		return "a list of names of a " + kindsOf(k) + `: ["a", "b"]`
	case parts.Point:
		return "a point: [x, y]"
	case parts.Points:
		return "a list of points: [[0, 0], [20, 0], [20, 10]]"
	case parts.Facing:
		return strings.Join(quoted(facingWords(k)), ", ") + ", or degrees from east, anticlockwise"
	case parts.Table:
		return "a table: { " + strings.Join(words(k.Sub), ", ") + " }"
	case parts.Tables:
		return "a list of tables: [{ " + strings.Join(words(k.Sub), ", ") + " }]"
	case parts.Numbers:
		return "a list of plain numbers: [1, 2.5]"
	case parts.Lengths:
		return "a list of lengths: [10, \"2 m\"]"
	}
	return string(k.Type)
}

// of is the unit of a key's plain number, for a sentence.
func of(k parts.Key) string {
	if u := k.Unit(); u != "" {
		return " of " + u
	}
	return ""
}

func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = `"` + w + `"`
	}
	return out
}

// taken are words that are taken for each other: a part runs along its line, and things stand
// along one.
var taken = map[string]string{"along": "line", "line": "along"}

// nearest is the valid word that a mistyped one most resembles, or that it was taken for.
func nearest(word string, valid []string) string {
	if slices.Contains(valid, taken[word]) {
		return taken[word]
	}
	return syntax.Nearest(word, valid)
}

func words(keys []parts.Key) []string {
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = k.Word
	}
	return out
}

// kindsOf names the kinds of part that a reference may lead to.
func kindsOf(k parts.Key) string {
	if len(k.Words) == 0 {
		return "part"
	}
	return parts.OneOf(k.Words)
}
