package scenes

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
