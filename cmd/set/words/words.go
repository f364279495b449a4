// Package words says how counts, times, places and texts from files are written.
package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Count is a count with its word.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Grouped writes a count with a comma between thousands.
func Grouped(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// Hours is a time in hours and minutes.
func Hours(seconds float64) string {
	d := time.Duration(seconds * float64(time.Second)).Round(time.Minute)
	if d < time.Hour {
		return strconv.Itoa(int(d.Minutes())) + " min"
	}
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}

// Place gives a place to a tenth of a mm, with no minus before a zero.
func Place(at [3]float64) string {
	for i, v := range at {
		at[i] = math.Round(10*v)/10 + 0 // -0 + 0 is 0
	}
	return fmt.Sprintf("(%.1f, %.1f, %.1f)", at[0], at[1], at[2])
}

// Sentence makes a sentence of words.
func Sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:] + "."
}

// Operand is a path that no command takes for a flag.
func Operand(path string) string {
	if strings.HasPrefix(path, "-") {
		return "./" + path
	}
	return path
}

// ShellQuoted is a word as a POSIX shell reads it back (IEEE Std 1003.1, 2.2.2).
func ShellQuoted(word string) string {
	const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_@%+=:,./-"
	if word != "" && strings.Trim(word, plain) == "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
