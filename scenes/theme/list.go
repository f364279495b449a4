package theme

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/agnivade/levenshtein"

	"socle/parts"
)

const (
	// MostBases is the most bases of one themed set: what one sheet and one
	// evening at the printer still hold (common practice, no source).
	MostBases = 60
	// longestList is the most characters of a list that is read at all.
	longestList = 4000
)

// entry is one entry of a list of bases: a footprint and how many of it.
type entry struct {
	foot  foot
	count int
}

// shape is a footprint that a base may have, by its key.
type shape struct {
	word        string
	two         bool    // two sizes, not one
	least, most float64 // mm
}

// shapes lists the footprints that a base may have: its keys whose doc says so.
func shapes() []shape {
	var out []shape
	for _, k := range parts.KindOf("base").Keys() {
		if strings.HasPrefix(k.Doc, "footprint:") && k.Min != nil && k.Max != nil {
			out = append(out, shape{k.Word, k.Type == parts.Size, *k.Min, *k.Max})
		}
	}
	return out
}

// ListHelp says how a list of bases is written.
func ListHelp() string {
	return "round32x10 is ten rounds of 32 mm, oval120x92 one oval, oval120x92x3 three of them"
}

// readList reads a list of bases, as "round32x10,oval120x92". Entries of one
// footprint are joined. The error says which entry is at fault and what is
// allowed.
func readList(text string) ([]entry, error) {
	if len(text) > longestList {
		return nil, fmt.Errorf("the list of bases is %d characters long; allowed: at most %d", len(text), longestList)
	}
	if strings.TrimSpace(text) == "" {
		return nil, fmt.Errorf("the list of bases is empty: %s", ListHelp())
	}
	var out []entry
	total := 0
	for i, field := range strings.Split(text, ",") {
		e, err := readEntry(strings.TrimSpace(field))
		if err != nil {
			return nil, fmt.Errorf("entry %d of the bases, %s: %w", i+1, quoted(strings.TrimSpace(field)), err)
		}
		if total += e.count; total > MostBases {
			return nil, fmt.Errorf("entry %d of the bases, %s: makes %d bases in all; allowed: at most %d", i+1, quoted(strings.TrimSpace(field)), total, MostBases)
		}
		joined := false
		for k := range out {
			if out[k].foot == e.foot {
				out[k].count += e.count
				joined = true
			}
		}
		if !joined {
			out = append(out, e)
		}
	}
	return out, nil
}

// readEntry reads "oval120x92x3".
func readEntry(text string) (entry, error) {
	all := shapes()
	if text == "" {
		return entry{}, fmt.Errorf("nothing between two commas: %s", ListHelp())
	}
	cut := strings.IndexFunc(text, func(r rune) bool { return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') })
	if cut < 0 {
		cut = len(text)
	}
	word := strings.ToLower(text[:cut])
	var of *shape
	var words []string
	for i := range all {
		words = append(words, all[i].word)
		if all[i].word == word {
			of = &all[i]
		}
	}
	if of == nil {
		help := ""
		if near := nearestOf(word, words); near != "" {
			help = fmt.Sprintf("did you mean %q? ", near)
		}
		return entry{}, fmt.Errorf("no footprint is called %s; %sallowed: %s, each with its size in mm", quoted(word), help, strings.Join(words, ", "))
	}
	sizes := 1
	example := of.word + "40 or " + of.word + "40x5 for five"
	if of.two {
		sizes = 2
		example = of.word + "75x42 or " + of.word + "75x42x5 for five"
	}
	numbers := strings.Split(strings.ToLower(text[cut:]), "x")
	if len(numbers) < sizes || len(numbers) > sizes+1 || numbers[0] == "" {
		return entry{}, fmt.Errorf("%s needs %s in mm and, if you like, how many; allowed: %s", of.word, [...]string{"one size", "two sizes"}[sizes-1], example)
	}
	var size [2]float64
	for i := range sizes {
		v, err := strconv.ParseFloat(numbers[i], 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || !plain(numbers[i]) {
			return entry{}, fmt.Errorf("%s is not a size in mm; allowed: %s", quoted(numbers[i]), example)
		}
		if v < of.least || v > of.most {
			return entry{}, fmt.Errorf("a size of %g mm; allowed: %g to %g mm", v, of.least, of.most)
		}
		size[i] = v
	}
	if sizes == 1 {
		size[1] = size[0]
	}
	if (of.word == "oval" || of.word == "stadium") && size[0] < size[1] {
		return entry{}, fmt.Errorf("%g mm long and %g mm short; allowed: the long size first, as %s%gx%g", size[0], size[1], of.word, size[1], size[0])
	}
	count := 1
	if len(numbers) > sizes {
		n, err := strconv.Atoi(numbers[sizes])
		if err != nil || n < 1 || n > MostBases {
			return entry{}, fmt.Errorf("%s is not a number of bases; allowed: 1 to %d", quoted(numbers[sizes]), MostBases)
		}
		count = n
	}
	return entry{foot{of.word, size[0], size[1]}, count}, nil
}

// plain says that a number is written with digits and one point at most: no
// exponents, signs or underscores.
func plain(text string) bool {
	return strings.Trim(text, "0123456789.") == "" && strings.Count(text, ".") <= 1
}

// quoted shows a word of the user's in a message, cut short where it is long.
func quoted(text string) string {
	const longest = 40
	if r := []rune(text); len(r) > longest {
		text = string(r[:longest]) + "…"
	}
	return strconv.Quote(text)
}

// nearestOf is the valid word that a mistyped one most resembles, or "".
func nearestOf(word string, valid []string) string {
	const longest = 64
	if len(word) > longest {
		return ""
	}
	best, least := "", 0
	for _, v := range valid {
		d := levenshtein.ComputeDistance(strings.ToLower(word), v)
		if d == 2 && sameLetters(strings.ToLower(word), v) {
			d = 1
		}
		if d > max(1, (max(len(word), len(v))+1)/3) {
			continue
		}
		if best == "" || d < least {
			best, least = v, d
		}
	}
	return best
}

// sameLetters says that two words are of the same letters.
func sameLetters(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}
