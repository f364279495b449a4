package syntax

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Lines of a scene that are not TOML in ways that are easily mended.
var (
	// unquoted is a line whose value is a bare word or words.
	unquoted = regexp.MustCompile(`^\s*[\w."'-]+\s*=\s*([\pL_][\pL\w .-]*?)\s*(?:#.*)?$`)
	// withUnit is a line whose value is a number followed by letters.
	withUnit = regexp.MustCompile(`^\s*[\w."'-]+\s*=\s*([+-]?[\d.]+(?:,\d+)?(?: \d+/\d+)?\s*[\pL'"][\w .]*?)\s*(?:#.*)?$`)
	// valueless is a line that ends behind the =.
	valueless = regexp.MustCompile(`^\s*[\w."' -]+=\s*(?:#.*)?$`)
)

// explain says in plain words why a text is not TOML: expr starts with the expression
// that a reader stopped in, at an offset of it and for some bytes; start is where expr
// starts in src. It goes by the text alone; the reader's own words stand in for what it
// has none for.
func explain(src *Source, start int, expr string, stopped, length int, reader error) Fault {
	at := src.Span(start+stopped, start+stopped+length)
	say := func(text, allowed string) Fault {
		f := at.Fault(text)
		f.Allowed = allowed
		return f
	}
	_, lineStart, line := src.Line(at.Start)
	for _, lax := range []*regexp.Regexp{unquoted, withUnit} {
		m := lax.FindStringSubmatchIndex(line)
		if m == nil {
			continue
		}
		bare := line[m[2]:m[3]]
		if _, err := strconv.ParseFloat(bare, 64); errors.Is(err, strconv.ErrSyntax) && bare != "true" && bare != "false" {
			at = src.Span(lineStart+m[2], lineStart+m[3])
			return say(fmt.Sprintf("%s is not a value as it stands", Quote(bare)), inQuotes(bare))
		}
	}
	if valueless.MatchString(line) {
		return say("no value behind the =", "level = 3")
	}
	c, _ := utf8.DecodeRuneInString(expr[stopped:])
	o := opened(expr[:stopped])
	newline := c == '\n' || c == '\r' && strings.HasPrefix(expr[stopped+1:], "\n")
	switch {
	case c < ' ' && c != '\t' && !newline || c == 0x7f:
		return say("a control character, which a scene may not have", "")
	case o.quote == "" || c == '"' || c == '\'':
	case newline && len(o.quote) == 3:
		return say("a text in three quotes is not closed", o.quote+" at its end")
	case newline:
		return say("a quote is not closed on its line", `text on one line, as "Saltmere Quay"`)
	default:
		return say(`a backslash in "..." starts an escape`, `\\ for a backslash, or the text in '...'`)
	}
	header := strings.HasPrefix(expr, "[")
	word, from := wordAt(expr, stopped)
	inWord := stopped < from+len(word)
	switch {
	case o.quote != "":
	case header && o.brackets == "" && o.last != 0:
		return say("more on the line than a header", "each key on a line of its own")
	case header && o.last == '[':
		return say("a header without a name", "[scale], [[base]]")
	case header && strings.HasPrefix(expr, "[[") && c == ']':
		return say("a header that opens with [[ closes with ]]", "[[base]]")
	case header:
		return say("a header is not closed", "[scale], [[base]]")
	case len(o.brackets) > MaxDepth:
		return say(fmt.Sprintf("nested more than %d deep", MaxDepth), "")
	case o.key && c == '=':
		return say("no key before the =", "level = 3")
	case o.key && !inWord && !newline && !strings.ContainsRune("[]{}", c):
		return say(fmt.Sprintf("no key has a %s in it", Quote(string(c))), "letters, digits, - and _, or a key in quotes")
	case o.key:
		return say("no = between a key and its value", "level = 3")
	case from < stopped && inWord, strings.HasSuffix(word, "."), !newline && strings.ContainsRune("=[,", rune(o.last)):
		if word != "" {
			at.Start, at.End = start+from, start+from+len(word)
		}
		if zeros.MatchString(word) {
			return say("a number starts with a zero", "12 for 012, 0.5 for 00.5")
		}
		return say("this is not a value", `a number, text in quotes, true, false, a list in [...] or a table in {...}`)
	case strings.HasSuffix(o.brackets, "["):
		return say("a list is not closed before this", "a comma or ] behind each value of a list")
	case strings.HasSuffix(o.brackets, "{"):
		return say("a table in braces is not closed before this", "a comma or } behind each value of a table in braces")
	case c == ',':
		return say("a value ends before the comma", "12.5 with a point; lists in brackets, [12, 5]")
	case o.last != 0:
		return say("more on the line than one key and its value", "each key on a line of its own")
	}
	return say("this is not TOML: "+reader.Error(), "")
}

// zeros is a number with a zero before its digits.
var zeros = regexp.MustCompile(`^[+-]?0[\d_]`)

// wordAt gives the word around an offset, of what numbers, dates and bare keys are made
// of, and where it starts.
func wordAt(text string, at int) (word string, from int) {
	in := func(c byte) bool {
		return c == '_' || c == '+' || c == '-' || c == '.' || c == ':' || '0' <= c && c <= '9' || 'a' <= c|0x20 && c|0x20 <= 'z'
	}
	from, to := at, at
	for from > 0 && in(text[from-1]) {
		from--
	}
	for to < len(text) && in(text[to]) {
		to++
	}
	return text[from:to], from
}

// inQuotes says how a value that lacks its quotes is written, and what a length could
// mean without its unit.
func inQuotes(bare string) string {
	mm, near, err := ParseLength(bare)
	switch {
	case err == nil && mm <= mostPrinted:
		return fmt.Sprintf("%s for %s mm on the print, or text in quotes, %s, for a full size, which the scale makes smaller", FormatNumber(mm), FormatNumber(mm), Quote(bare))
	case err == nil:
		return fmt.Sprintf("text in quotes, for a full size: %s", Quote(bare))
	case near != "":
		return inQuotes(near)
	}
	return "text in quotes: " + Quote(bare)
}

// mostPrinted is the most that a length which lacks its quotes may be, mm, for it to be
// meant on the print: the side of a large plate. Common practice, no source.
const mostPrinted = 500

// openings are what stands open where a reader stopped.
type openings struct {
	quote    string // ", ', or three of either; "" outside of texts
	brackets string // those of lists and tables in braces, and a header's
	key      bool   // a key and not its value
	last     byte   // the last byte that is no blank and in no comment
}

// opened gives what an expression has opened and not closed.
func opened(expr string) (o openings) {
	o.key = true
	for i := 0; i < len(expr); i++ {
		switch c := expr[i]; {
		case o.quote != "":
			switch {
			case c == '\\' && o.quote[0] == '"':
				i++
			case strings.HasPrefix(expr[i:], o.quote):
				i += len(o.quote) - 1
				o.quote = ""
			}
		case c == '"' || c == '\'':
			o.quote = string(c)
			if three := strings.Repeat(o.quote, 3); strings.HasPrefix(expr[i:], three) && !o.key {
				o.quote = three
				i += 2
			}
		case c == '#':
			end := strings.IndexByte(expr[i:], '\n')
			if end < 0 {
				return o
			}
			i += end
			continue
		case c == '=':
			o.key = false
		case c == ',':
			o.key = strings.HasSuffix(o.brackets, "{")
		case c == '[' || c == '{':
			o.brackets += string(c)
			o.key = c == '{'
		case (c == ']' || c == '}') && o.brackets != "":
			o.brackets = o.brackets[:len(o.brackets)-1]
			o.key = false
		}
		if i < len(expr) && !strings.ContainsRune(" \t\r\n", rune(expr[i])) {
			o.last = expr[i]
		}
	}
	return o
}
