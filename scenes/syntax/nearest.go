package syntax

import (
	"fmt"
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// longestWord is the most characters of a word that a nearest one is sought for.
const longestWord = 64

// Nearest gives the valid word that a mistyped one most resembles, or "" where
// none is close: no more than a third of its letters may differ. Of equally
// close words the first is taken.
func Nearest(word string, valid []string) string {
	if len(word) > longestWord {
		return ""
	}
	folded := strings.ToLower(word)
	best, least := "", 0
	for _, v := range valid {
		d := levenshtein.ComputeDistance(folded, strings.ToLower(v))
		if d == 2 && swapped(folded, strings.ToLower(v)) {
			d = 1
		}
		longest := max(len(folded), len(v))
		if d > max(1, (longest+1)/3) || d == longest {
			continue
		}
		if best == "" || d < least {
			best, least = v, d
		}
	}
	return best
}

// swapped says that two words are of the same letters.
func swapped(a, b string) bool {
	x, y := []byte(a), []byte(b)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}

// Quote shows a word of the author's in a message, cut short where it is long.
func Quote(s string) string {
	if r := []rune(s); len(r) > longestWord {
		s = string(r[:longestWord]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// Listed joins words for a message and cuts a long list short.
func Listed(words []string) string {
	const most = 60
	if len(words) > most {
		return strings.Join(words[:most], ", ") + fmt.Sprintf(" and %d more", len(words)-most)
	}
	return strings.Join(words, ", ")
}
