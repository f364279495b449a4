package scenes

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
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

// plainer says in plain words what the decoder says in its own; the first line
// whose words are in the decoder's message counts.
var plainer = []struct{ words, text, allowed string }{
	{"out of range", "this number is too large", ""},
	{"newlines not allowed", "a quote is not closed on its line", `text on one line, as "Saltmere Quay"`},
	{"strings cannot contain newlines", "a quote is not closed on its line", `text on one line, as "Saltmere Quay"`},
	{"array terminator", "a list is not closed before this", "a comma or ] behind each value of a list"},
	{"inline table terminator", "a table in braces is not closed before this", "a comma or } behind each value of a table in braces"},
	{"end of table array name", "a header that opens with [[ closes with ]]", "[[base]]"},
	{"to end table name", "a header is not closed", "[scale], [[base]]"},
	{"expected '.' or '='", "no = between a key and its value", "level = 3"},
	{"but got ','", "a value ends before the comma", "12.5 with a point; lists in brackets, [12, 5]"},
	{"to end with a newline", "more on the line than one key and its value", "each key on a line of its own"},
	{"leading zero", "a number starts with a zero", "12 for 012, 0.5 for 00.5"},
	{"invalid escape", `a backslash in "..." means more than itself`, `\\ for a backslash, or the text in '...'`},
	{"control characters", "a control character, which no text file has", ""},
	{"expected value but found", "this is not a value", `a number, text in quotes, true, false, a list in [...] or a table in {...}`},
}

// decodeFault turns the decoder's error into a fault at its place.
func decodeFault(src *source, text string, shift int, err error) error {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		return syntaxFault{span{src, shift, shift}.fault("this is not TOML: " + err.Error())}
	}
	start := min(max(pe.Position.Start, 0), len(text))
	at := span{src, shift + start, shift + start + pe.Position.Len}
	_, lineStart, line := src.line(at.start)
	for _, lax := range []*regexp.Regexp{unquoted, withUnit} {
		m := lax.FindStringSubmatchIndex(line)
		if m == nil {
			continue
		}
		bare := line[m[2]:m[3]]
		if _, err := strconv.ParseFloat(bare, 64); err != nil && errors.Is(err, strconv.ErrSyntax) && bare != "true" && bare != "false" {
			f := span{src, lineStart + m[2], lineStart + m[3]}.fault(fmt.Sprintf("%s is not a value as it stands", quote(bare)))
			f.Allowed = inQuotes(bare)
			return syntaxFault{f}
		}
	}
	if valueless.MatchString(line) {
		f := at.fault("no value behind the =")
		f.Allowed = "level = 3"
		return syntaxFault{f}
	}
	return syntaxFault{decoderWords(at, line, pe)}
}

// inQuotes says how a value that lacks its quotes is written, and what a length could
// mean without its unit.
func inQuotes(bare string) string {
	mm, near, err := quantity(bare)
	switch {
	case err == nil && mm <= mostPrinted:
		return fmt.Sprintf("%s for %s mm on the print, or text in quotes, %s, for a full size, which the scale makes smaller", number(mm), number(mm), quote(bare))
	case err == nil:
		return fmt.Sprintf("text in quotes, for a full size: %s", quote(bare))
	case near != "":
		return inQuotes(near)
	}
	return "text in quotes: " + quote(bare)
}

// mostPrinted is the most that a length which lacks its quotes may be, mm, for it to be
// meant on the print: the side of a large plate. Common practice, no source.
const mostPrinted = 500

// decoderWords puts the decoder's message into plain words.
func decoderWords(at span, line string, pe toml.ParseError) Fault {
	if strings.Contains(pe.Message, "already") {
		name := at.src.text[at.start:min(at.end, len(at.src.text))]
		f := at.fault(fmt.Sprintf("%s is given twice", quote(name)))
		f.Allowed = "each key once in a table"
		if strings.HasPrefix(strings.TrimSpace(line), "[") {
			f.Allowed = "each table once; several parts of a kind as [[kind]] with two brackets"
		}
		return f
	}
	for _, p := range plainer {
		if strings.Contains(pe.Message, p.words) {
			f := at.fault(p.text)
			f.Allowed = p.allowed
			return f
		}
	}
	return at.fault("this is not TOML: " + pe.Message)
}
