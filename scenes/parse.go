package scenes

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Limits on what a scene may hold, so that no text can eat the memory.
const (
	maxDepth = 12      // tables and lists within each other
	maxItems = 10_000  // values in one list
	maxNodes = 500_000 // values in one scene
)

// parser builds the tree of a TOML text. The library gives expressions, one after the
// other, with the places of their keys and scalars; which of them go together, and how
// large a number may be, is left to us.
type parser struct {
	toml  unstable.Parser
	src   *source
	shift int // offset in src of the text's first byte
	nodes int
	err   error // a Fault or a syntaxFault
}

// syntaxFault is a fault of the TOML text itself.
type syntaxFault struct{ Fault }

// parse reads a TOML text into a tree of values with their places. The error is a
// Fault where a limit is broken, and a syntaxFault where the text is not TOML.
func parse(src *source, text string, shift int) (*node, error) {
	if !strings.HasSuffix(text, "\n") && !strings.HasSuffix(text, "\r") {
		text += "\n" // so that what is not closed at the end is found behind it
	}
	p := &parser{src: src, shift: shift}
	p.toml.Reset([]byte(text))
	start := span{src, shift, shift}
	root := newTable(start, start)
	current, end := root, 0
	for p.err == nil && p.toml.NextExpression() {
		if e := p.toml.Expression(); e.Kind == unstable.KeyValue {
			end = p.keyValue(current, e, int(e.Raw.Offset), 0)
		} else {
			current, end = p.header(root, e)
		}
	}
	if p.err != nil {
		return nil, p.err
	}
	if err := p.toml.Error(); err != nil {
		return nil, p.wrongSyntax(err, end)
	}
	return root, nil
}

func (p *parser) span(start, end int) span {
	return span{p.src, p.shift + start, p.shift + end}
}

func (p *parser) place(e *unstable.Node) span {
	return p.span(int(e.Raw.Offset), int(e.Raw.Offset+e.Raw.Length))
}

// stop ends the reading with a fault.
func (p *parser) stop(at span, format string, args ...any) {
	if p.err == nil {
		p.err = at.fault(fmt.Sprintf(format, args...))
	}
}

// twice ends the reading at a key or a table that there is already.
func (p *parser) twice(at span, allowed string) {
	if p.err == nil {
		f := at.fault(fmt.Sprintf("%s is given twice", quote(p.src.text[at.start:at.end])))
		f.Allowed = allowed
		p.err = syntaxFault{f}
	}
}

// What is allowed in place of a key or a table that is given twice.
const (
	keyOnce   = "each key once in a table"
	tableOnce = "each table once; several parts of a kind as [[kind]] with two brackets"
)

// count notes one more value and says whether there may be another.
func (p *parser) count(at span) bool {
	if p.nodes++; p.nodes > maxNodes {
		p.stop(at, "more than %d values in one scene", maxNodes)
	}
	return p.err == nil
}

// keys gives the words of a dotted key with their places.
func (p *parser) keys(e *unstable.Node) (words []string, places []span) {
	for it := e.Key(); it.Next(); {
		words = append(words, string(it.Node().Data))
		places = append(places, p.place(it.Node()))
		if len(words) > maxDepth {
			p.stop(places[maxDepth], "a key of more than %d words", maxDepth)
			break
		}
	}
	return words, places
}

// header finds or makes the table that a [header] or [[header]] opens. It gives the
// offset just after the last word, too.
func (p *parser) header(root *node, e *unstable.Node) (n *node, end int) {
	words, places := p.keys(e)
	last := len(words) - 1
	end = places[last].end - p.shift
	n = root
	for i, word := range words {
		if !p.count(places[i]) {
			return n, end
		}
		child, at := n.fields[word], places[i]
		switch {
		case child == nil && i == last && e.Kind == unstable.ArrayTable:
			child = &node{key: at, at: at, shape: list, tables: true}
			n.put(word, child)
		case child == nil:
			child = newTable(at, at)
			child.opened = byHeader
			n.put(word, child)
		case child.opened == closed && !child.tables:
			p.twice(at, tableOnce)
			return n, end
		}
		switch {
		case i < last && child.tables:
			child = child.items[len(child.items)-1]
		case i < last:
		case e.Kind == unstable.ArrayTable:
			if !child.tables {
				p.twice(at, tableOnce)
				return n, end
			}
			if len(child.items) == maxItems {
				p.stop(at, "more than %d of %s", maxItems, quote(word))
				return n, end
			}
			item := newTable(at, at)
			child.items = append(child.items, item)
			child = item
		case child.opened != byHeader:
			p.twice(at, tableOnce)
			return n, end
		default: // one made by a longer header before gets its own now
			child.key, child.at, child.opened = at, at, byItself
		}
		n = child
	}
	return n, end
}

// keyValue adds a key and its value, which starts at offset at, to a table. It gives
// the offset just after the value.
func (p *parser) keyValue(into *node, e *unstable.Node, at, depth int) int {
	words, places := p.keys(e)
	if p.err != nil {
		return at
	}
	last := len(words) - 1
	for i, word := range words[:last] {
		child := into.fields[word]
		if child == nil {
			child = newTable(places[i], places[i])
			child.opened = byDots
			into.put(word, child)
		}
		if child.opened != byDots {
			p.twice(places[i], keyOnce)
			return at
		}
		into = child
	}
	if into.fields[words[last]] != nil {
		p.twice(places[last], keyOnce)
		return at
	}
	value, end := p.value(e.Value(), p.skip(places[last].end-p.shift, '='), depth)
	value.key = places[last]
	into.put(words[last], value)
	return end
}

// value gives the node of a value that starts at offset at or after blanks, and the
// offset just after it.
func (p *parser) value(e *unstable.Node, at, depth int) (*node, int) {
	if !p.count(p.span(at, at+1)) {
		return &node{}, at
	}
	if e.Kind != unstable.Array && e.Kind != unstable.InlineTable {
		n := &node{at: p.place(e)}
		n.scalar = p.scalar(e, n.at)
		return n, int(e.Raw.Offset + e.Raw.Length)
	}
	if depth >= maxDepth {
		p.stop(p.span(at, at+1), "nested more than %d deep", maxDepth)
		return &node{}, at
	}
	n := newTable(span{}, span{})
	if e.Kind == unstable.Array {
		n = &node{shape: list}
	}
	end := at + 1
	for it := e.Children(); it.Next() && p.err == nil; {
		end = p.skip(end, ',')
		if n.shape == table {
			end = p.keyValue(n, it.Node(), end, depth+1)
			continue
		}
		if len(n.items) == maxItems {
			p.stop(p.span(end, end+1), "a list of more than %d values", maxItems)
			break
		}
		var item *node
		item, end = p.value(it.Node(), end, depth+1)
		item.key = item.at
		n.items = append(n.items, item)
	}
	end = p.skip(end, ',') + 1
	n.at = p.span(at, end)
	return n, end
}

// date is a date or a time as it is written: no key of a scene takes one.
type date string

// scalar is the value of what is neither a list nor a table.
func (p *parser) scalar(e *unstable.Node, at span) any {
	text := string(e.Data)
	var v any
	var err error
	switch e.Kind {
	case unstable.String:
		return text
	case unstable.Bool:
		return text == "true"
	case unstable.Integer:
		base := 10
		if len(text) > 1 && text[0] == '0' {
			base = 0 // 0x, 0o or 0b
		}
		v, err = strconv.ParseInt(strings.ReplaceAll(text, "_", ""), base, 64)
	case unstable.Float:
		if strings.HasSuffix(text, "nan") {
			return math.NaN()
		}
		v, err = strconv.ParseFloat(strings.ReplaceAll(text, "_", ""), 64)
	default:
		return date(text)
	}
	if err != nil && p.err == nil {
		p.err = syntaxFault{at.fault("this number is too large")}
	}
	return v
}

// skip gives the offset of the next byte that is not a blank, a newline, part of
// a comment or the given mark.
func (p *parser) skip(at int, mark byte) int {
	text := p.toml.Data()
	for at < len(text) {
		switch c := text[at]; c {
		case ' ', '\t', '\r', '\n', mark:
			at++
		case '#':
			for at < len(text) && text[at] != '\n' {
				at++
			}
		default:
			return at
		}
	}
	return at
}

// wrongSyntax is the fault of a text that the library refuses; end is where the last
// expression ends that it took.
func (p *parser) wrongSyntax(err error, end int) error {
	text, stopped, length := string(p.toml.Data()), len(p.toml.Data())-1, 1
	var at *unstable.ParserError
	if errors.As(err, &at) && len(at.Highlight) > 0 {
		r := p.toml.Range(at.Highlight)
		stopped, length = int(r.Offset), int(r.Length)
	}
	if end > 0 { // a comment may stand behind it
		_, rest, _ := strings.Cut(text[end:], "\n")
		end = len(text) - len(rest)
	}
	from := min(p.skip(end, ' '), stopped)
	return syntaxFault{explain(p.src, p.shift+from, text[from:], stopped-from, length, err)}
}

// faultOf gives the fault inside an error of parse.
func faultOf(err error) Fault {
	var syntax syntaxFault
	if errors.As(err, &syntax) {
		return syntax.Fault
	}
	var f Fault
	errors.As(err, &f)
	return f
}
