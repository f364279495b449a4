package scenes

import (
	"errors"
	"fmt"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Limits on what a scene may hold, so that no text can eat the memory.
const (
	maxDepth = 12      // tables and lists within each other
	maxItems = 10_000  // values in one list
	maxNodes = 500_000 // values in one scene
)

// indexer builds the tree of places of a TOML text.
type indexer struct {
	parser unstable.Parser
	src    *source
	shift  int // offset in src of the parser's first byte
	nodes  int
	fault  *Fault
}

// index gives a tree with the shape of the text and the place of every key and
// value; its scalars are not filled in. The error is a fault where a limit is
// broken and the parser's error where the text is not TOML.
func index(src *source, text string, shift int) (root *node, err error) {
	x := &indexer{src: src, shift: shift}
	x.parser.Reset([]byte(text))
	start := span{src, shift, shift}
	root = newTable(start, start)
	current := root
	for x.parser.NextExpression() && x.fault == nil {
		switch e := x.parser.Expression(); e.Kind {
		case unstable.KeyValue:
			at := int(e.Raw.Offset)
			x.keyValue(current, e, at, 0)
		case unstable.Table, unstable.ArrayTable:
			current = x.header(root, e)
		}
	}
	if x.fault != nil {
		return root, *x.fault
	}
	if err := x.parser.Error(); err != nil {
		var at *unstable.ParserError
		if errors.As(err, &at) {
			place := span{src, shift + len(text), shift + len(text)}
			if len(at.Highlight) > 0 {
				r := x.parser.Range(at.Highlight)
				place.start = shift + int(r.Offset)
				place.end = place.start + int(r.Length)
			}
			return root, syntaxFault{place.fault(at.Message)}
		}
		return root, syntaxFault{start.fault(err.Error())}
	}
	return root, nil
}

// syntaxFault is a fault of the TOML text itself.
type syntaxFault struct{ Fault }

func (x *indexer) span(start, end int) span {
	return span{x.src, x.shift + start, x.shift + end}
}

func (x *indexer) key(n *unstable.Node) span {
	return x.span(int(n.Raw.Offset), int(n.Raw.Offset+n.Raw.Length))
}

// stop ends the indexing with a fault.
func (x *indexer) stop(at span, format string, args ...any) {
	if x.fault == nil {
		f := at.fault(fmt.Sprintf(format, args...))
		x.fault = &f
	}
}

// count notes one more value and says whether there may be another.
func (x *indexer) count(at span) bool {
	if x.nodes++; x.nodes > maxNodes {
		x.stop(at, "more than %d values in one scene", maxNodes)
	}
	return x.fault == nil
}

// keys gives the words of a dotted key with their places.
func (x *indexer) keys(e *unstable.Node) (words []string, places []span) {
	for it := e.Key(); it.Next(); {
		n := it.Node()
		words = append(words, string(n.Data))
		places = append(places, x.key(n))
		if len(words) > maxDepth {
			x.stop(places[maxDepth], "a key of more than %d words", maxDepth)
			break
		}
	}
	return words, places
}

// header finds or makes the table that a [header] or [[header]] opens.
func (x *indexer) header(root *node, e *unstable.Node) *node {
	words, places := x.keys(e)
	n := root
	for i, word := range words {
		last := i == len(words)-1
		if !x.count(places[i]) {
			return n
		}
		if last && e.Kind == unstable.ArrayTable {
			all := n.fields[word]
			if all == nil || all.shape != list {
				all = &node{key: places[i], at: places[i], shape: list, tables: true}
				n.put(word, all)
			}
			if len(all.items) == maxItems {
				x.stop(places[i], "more than %d of %s", maxItems, quote(word))
				return n
			}
			item := newTable(places[i], places[i])
			all.items = append(all.items, item)
			return item
		}
		n = x.step(n, word, places[i])
		if last { // a table made by a longer header before gets its own now
			n.key, n.at = places[i], places[i]
		}
	}
	return n
}

// step goes down one word of a key, into the last of an array of tables.
func (x *indexer) step(n *node, word string, at span) *node {
	child := n.fields[word]
	if child != nil && child.shape == list && len(child.items) > 0 {
		child = child.items[len(child.items)-1]
	}
	if child == nil || child.shape != table {
		child = newTable(at, at)
		n.put(word, child)
	}
	return child
}

// keyValue adds a key and its value to a table; it starts at offset at. It gives
// the offset just after the value.
func (x *indexer) keyValue(into *node, e *unstable.Node, at, depth int) int {
	words, places := x.keys(e)
	if x.fault != nil || len(words) == 0 {
		return at
	}
	for i, word := range words[:len(words)-1] {
		into = x.step(into, word, places[i])
	}
	last := len(words) - 1
	at = places[last].end - x.shift
	at = x.skip(at, '=')
	value, end := x.value(e.Value(), at, depth)
	value.key = places[last]
	into.put(words[last], value)
	return end
}

// value gives the node of a value that starts at offset at or after blanks, and
// the offset just after it.
func (x *indexer) value(e *unstable.Node, at, depth int) (*node, int) {
	text := x.parser.Data()
	if !x.count(x.span(at, at+1)) {
		return &node{at: x.span(at, at)}, at
	}
	switch e.Kind {
	case unstable.Array, unstable.InlineTable:
		if depth >= maxDepth {
			x.stop(x.span(at, at+1), "nested more than %d deep", maxDepth)
			return &node{at: x.span(at, at)}, at
		}
		n := newTable(span{}, span{})
		if e.Kind == unstable.Array {
			n = &node{shape: list}
		}
		end := at + 1
		for it := e.Children(); it.Next() && x.fault == nil; {
			end = x.skip(end, ',')
			if n.shape == list {
				if len(n.items) == maxItems {
					x.stop(x.span(end, end+1), "a list of more than %d values", maxItems)
					break
				}
				var item *node
				item, end = x.value(it.Node(), end, depth+1)
				item.key = item.at
				n.items = append(n.items, item)
			} else {
				end = x.keyValue(n, it.Node(), end, depth+1)
			}
		}
		end = min(x.skip(end, ',')+1, len(text))
		n.at = x.span(at, end)
		return n, end
	}
	if e.Raw.Length > 0 {
		at = int(e.Raw.Offset)
	}
	return &node{at: x.span(at, at+int(e.Raw.Length))}, at + int(e.Raw.Length)
}

// skip gives the offset of the next byte that is not a blank, a newline, part of
// a comment or the given mark.
func (x *indexer) skip(at int, mark byte) int {
	text := x.parser.Data()
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
