package scenes

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"socle/parts"
)

// MovePath is what a move changes, as --set has it: "crater.hit.at"; without a name for
// a kind of which a scene has one, and for a table: "ground.surface", "inspect.neck".
func MovePath(m parts.Move) string {
	if k := parts.KindOf(m.Kind); k == nil || k.Once {
		return m.Kind + "." + m.Key
	}
	return m.Kind + "." + m.Part + "." + m.Key
}

// MoveText is a move as a --set text: "crater.hit.at=[128, 92]".
func MoveText(m parts.Move) string {
	w := &moveWriter{}
	w.move(m)
	return w.String()
}

// moveWriter writes moves as --set texts and makes the nodes that reading them would
// give, with no reading.
type moveWriter struct {
	strings.Builder
	src   *source // that holds the text
	start int     // where it starts in it
}

// move writes one move.
func (w *moveWriter) move(m parts.Move) override {
	path := MovePath(m)
	at := w.write(path)
	w.write("=")
	o := override{path, at, w.value(m.Value)}
	o.value.key = at
	if o.value.shape == scalar {
		if text := w.String()[len(path)+1:]; bareWord.MatchString(text) {
			o.value.bare = text
		}
	}
	return o
}

// write adds a text and gives its place.
func (w *moveWriter) write(text string) span {
	from := w.start + w.Len()
	w.WriteString(text)
	return span{w.src, from, from + len(text)}
}

// value writes the value of a move: each sort that parts.Move lists.
func (w *moveWriter) value(v any) *node {
	switch v := v.(type) {
	case float64:
		n := &node{at: w.write(strconv.FormatFloat(v, 'f', -1, 64)), scalar: v}
		if v == math.Trunc(v) && math.Abs(v) < math.MaxInt64 {
			n.scalar = int64(v) // as a whole number is read
		}
		return n
	case int:
		return &node{at: w.write(strconv.Itoa(v)), scalar: int64(v)}
	case uint64:
		return &node{at: w.write(strconv.FormatUint(v, 10)), scalar: int64(v)}
	case string:
		return &node{at: w.write(strconv.Quote(v)), scalar: v}
	case []string:
		return writeList(w, v)
	case [2]float64:
		return writeList(w, v[:])
	case [][2]float64:
		return writeList(w, v)
	case []parts.Setting:
		return writeList(w, []settings{v})
	case settings:
		n := newTable(span{}, span{})
		from := w.write("{ ")
		put := func(mark, word string, v any) {
			w.write(mark)
			key := w.write(word)
			w.write(" = ")
			field := w.value(v)
			field.key = key
			n.put(word, field)
		}
		mark := ""
		for _, s := range v {
			put(mark, s.Key, s.Value)
			mark = ", "
		}
		n.at = span{w.src, from.start, w.write(" }").end}
		return n
	}
	panic(fmt.Sprintf("scenes: a move to %#v", v))
}

// settings is a table within its list.
type settings []parts.Setting

// writeList writes a list.
func writeList[T any](w *moveWriter, items []T) *node {
	n := &node{shape: list}
	from := w.write("[")
	for i, item := range items {
		if i > 0 {
			w.write(", ")
		}
		child := w.value(item)
		child.key = child.at
		n.items = append(n.items, child)
	}
	n.at = span{w.src, from.start, w.write("]").end}
	return n
}
