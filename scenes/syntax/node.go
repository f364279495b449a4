package syntax

import "strings"

// shape says which of the three sorts of value a node is.
type shape int

const (
	Scalar shape = iota
	List
	Table
)

// Node is one value of a scene with the places where its key and the value
// itself are written. Of a table with a header both are the header's last word.
type Node struct {
	Key, At Span
	Shape   shape

	Scalar any    // string, bool, int64, float64 or a date
	Bare   string // of a --set value written without quotes: its text

	Items  []*Node // of a list
	Tables bool    // a list written with [[headers]]

	Copy *Copy // of what is placed from elsewhere in the text: how it came here

	Words  []string // keys of a table, in the order of the text
	Fields map[string]*Node
	opened opening
}

// Copy is one placing of a table that is written once.
type Copy struct {
	Place *Node  // the table that places it; nil where it is placed nowhere
	Item  int    // which of the places that the table gives
	Up    *Copy  // the placing that the place itself comes with
	Name  string // what names of what is placed begin with
}

// MarkCopy says of a node and all below it that they are placed from elsewhere.
func (n *Node) MarkCopy(c *Copy) {
	n.Copy = c
	for _, item := range n.Items {
		item.MarkCopy(c)
	}
	for _, field := range n.Fields {
		field.MarkCopy(c)
	}
}

// opening says how the text opens a table, and with that what may still be added to it.
type opening int

const (
	closed   opening = iota // by braces, or no table: nothing
	byItself                // by a header of its own, or as the whole text
	byHeader                // by a longer header: it may get its own
	byDots                  // by keys with dots: more of those
)

func NewTable(key, at Span) *Node {
	return &Node{Key: key, At: at, Shape: Table, Fields: map[string]*Node{}}
}

// Put adds or replaces a key of a table.
func (n *Node) Put(word string, child *Node) {
	if _, ok := n.Fields[word]; !ok {
		n.Words = append(n.Words, word)
	}
	n.Fields[word] = child
}

// Clone copies a node and all below it, so that a variant's changes stay its own.
func (n *Node) Clone() *Node {
	c := *n
	if n.Items != nil {
		c.Items = make([]*Node, len(n.Items))
		for i, item := range n.Items {
			c.Items[i] = item.Clone()
		}
	}
	if n.Fields != nil {
		c.Words = append([]string(nil), n.Words...)
		c.Fields = make(map[string]*Node, len(n.Fields))
		for word, field := range n.Fields {
			c.Fields[word] = field.Clone()
		}
	}
	return &c
}

// Describe says what a value is, for a message about one of the wrong type.
func (n *Node) Describe() string {
	switch n.Shape {
	case List:
		return "a list"
	case Table:
		return "a table"
	}
	switch v := n.Scalar.(type) {
	case string:
		return "the text " + Quote(v)
	case bool:
		if v {
			return "true"
		}
		return "false"
	case int64:
		return "the number " + FormatNumber(float64(v))
	case float64:
		return "the number " + FormatNumber(v)
	}
	return "a date or a time"
}

// Text gives a value that is text; a --set value needs no quotes.
func (n *Node) Text() (string, bool) {
	if n == nil || n.Shape != Scalar {
		return "", false
	}
	if n.Bare != "" {
		return n.Bare, true
	}
	s, ok := n.Scalar.(string)
	return s, ok
}

// Number gives a value that is a number.
func (n *Node) Number() (float64, bool) {
	switch v := n.Scalar.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, true
	}
	return 0, false
}

// Field gives what a table has under a word; nil of nothing is nothing.
func (n *Node) Field(word string) *Node {
	if n == nil || n.Shape != Table {
		return nil
	}
	return n.Fields[word]
}

// Length is how many values a list has; nothing has none.
func (n *Node) Length() int {
	if n == nil || n.Shape != List {
		return 0
	}
	return len(n.Items)
}

// Written is a value as it is written, on one line; a table under a header of its own is
// put in braces. Nothing is "".
func (n *Node) Written() string {
	if n == nil || n.At.Src == nil {
		return ""
	}
	text := n.At.Written()
	switch {
	case n.Shape == Scalar, strings.HasPrefix(text, "{"), strings.HasPrefix(text, "["):
		return text
	case n.Shape == List:
		var all []string
		for _, item := range n.Items {
			all = append(all, item.Written())
		}
		return "[" + strings.Join(all, ", ") + "]"
	}
	var all []string
	for _, word := range n.Words {
		all = append(all, word+" = "+n.Fields[word].Written())
	}
	return "{ " + strings.Join(all, ", ") + " }"
}
