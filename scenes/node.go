package scenes

import "strings"

// shape says which of the three sorts of value a node is.
type shape int

const (
	scalar shape = iota
	list
	table
)

// node is one value of a scene with the places where its key and the value
// itself are written. Of a table with a header both are the header's last word.
type node struct {
	key, at span
	shape   shape

	scalar any    // string, bool, int64, float64 or a date
	bare   string // of a --set value written without quotes: its text

	items  []*node // of a list
	tables bool    // a list written with [[headers]]

	words  []string // keys of a table, in the order of the text
	fields map[string]*node
	opened opening
}

// opening says how the text opens a table, and with that what may still be added to it.
type opening int

const (
	closed   opening = iota // by braces, or no table: nothing
	byItself                // by a header of its own, or as the whole text
	byHeader                // by a longer header: it may get its own
	byDots                  // by keys with dots: more of those
)

func newTable(key, at span) *node {
	return &node{key: key, at: at, shape: table, fields: map[string]*node{}}
}

// put adds or replaces a key of a table.
func (n *node) put(word string, child *node) {
	if _, ok := n.fields[word]; !ok {
		n.words = append(n.words, word)
	}
	n.fields[word] = child
}

// clone copies a node and all below it, so that a variant's changes stay its own.
func (n *node) clone() *node {
	c := *n
	if n.items != nil {
		c.items = make([]*node, len(n.items))
		for i, item := range n.items {
			c.items[i] = item.clone()
		}
	}
	if n.fields != nil {
		c.words = append([]string(nil), n.words...)
		c.fields = make(map[string]*node, len(n.fields))
		for word, field := range n.fields {
			c.fields[word] = field.clone()
		}
	}
	return &c
}

// describe says what a value is, for a message about one of the wrong type.
func (n *node) describe() string {
	switch n.shape {
	case list:
		return "a list"
	case table:
		return "a table"
	}
	switch v := n.scalar.(type) {
	case string:
		return "the text " + quote(v)
	case bool:
		if v {
			return "true"
		}
		return "false"
	case int64:
		return "the number " + number(float64(v))
	case float64:
		return "the number " + number(v)
	}
	return "a date or a time"
}

// text gives a value that is text; a --set value needs no quotes.
func (n *node) text() (string, bool) {
	if n == nil || n.shape != scalar {
		return "", false
	}
	if n.bare != "" {
		return n.bare, true
	}
	s, ok := n.scalar.(string)
	return s, ok
}

// number gives a value that is a number.
func (n *node) number() (float64, bool) {
	switch v := n.scalar.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, true
	}
	return 0, false
}

// field gives what a table has under a word; nil of nothing is nothing.
func (n *node) field(word string) *node {
	if n == nil || n.shape != table {
		return nil
	}
	return n.fields[word]
}

// length is how many values a list has; nothing has none.
func (n *node) length() int {
	if n == nil || n.shape != list {
		return 0
	}
	return len(n.items)
}

// shown is a value as it is written, on one line; a table under a header of its own is
// put in braces. Nothing is "".
func (n *node) shown() string {
	if n == nil || n.at.src == nil {
		return ""
	}
	text := n.at.written()
	switch {
	case n.shape == scalar, strings.HasPrefix(text, "{"), strings.HasPrefix(text, "["):
		return text
	case n.shape == list:
		var all []string
		for _, item := range n.items {
			all = append(all, item.shown())
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	var all []string
	for _, word := range n.words {
		all = append(all, word+" = "+n.fields[word].shown())
	}
	return "{ " + strings.Join(all, ", ") + " }"
}
