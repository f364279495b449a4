package scenes

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
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

// KeyText is a move as a scene has it: "at = [128, 92]", of a table of the scene's own
// with its name: "[inspect] neck = "thicken"".
func KeyText(m parts.Move) string {
	w := &moveWriter{}
	if parts.KindOf(m.Kind) == nil {
		w.WriteString("[" + m.Kind + "] ")
	}
	w.WriteString(m.Key + " = ")
	w.value(m.Value)
	return w.String()
}

// moveWriter writes moves as --set texts and makes the nodes that reading them would
// give, with no reading.
type moveWriter struct {
	strings.Builder
	src   *syntax.Source // that holds the text
	start int            // where it starts in it
}

// move writes one move.
func (w *moveWriter) move(m parts.Move) override {
	path := MovePath(m)
	at := w.write(path)
	w.write("=")
	o := override{path, at, w.value(m.Value)}
	o.value.Key = at
	if o.value.Shape == syntax.Scalar {
		if text := w.String()[len(path)+1:]; syntax.BareWord.MatchString(text) {
			o.value.Bare = text
		}
	}
	return o
}

// write adds a text and gives its place.
func (w *moveWriter) write(text string) syntax.Span {
	from := w.start + w.Len()
	w.WriteString(text)
	return w.src.Span(from, from+len(text))
}

// value writes the value of a move: each sort that parts.Move lists.
func (w *moveWriter) value(v any) *syntax.Node {
	switch v := v.(type) {
	case float64:
		n := &syntax.Node{At: w.write(strconv.FormatFloat(v, 'f', -1, 64)), Scalar: v}
		if v == math.Trunc(v) && math.Abs(v) < math.MaxInt64 {
			n.Scalar = int64(v) // as a whole number is read
		}
		return n
	case int:
		return &syntax.Node{At: w.write(strconv.Itoa(v)), Scalar: int64(v)}
	case uint64:
		return &syntax.Node{At: w.write(strconv.FormatUint(v, 10)), Scalar: int64(v)}
	case bool:
		return &syntax.Node{At: w.write(strconv.FormatBool(v)), Scalar: v}
	case string:
		return &syntax.Node{At: w.write(strconv.Quote(v)), Scalar: v}
	case []string:
		return writeList(w, v)
	case [2]float64:
		return writeList(w, v[:])
	case [][2]float64:
		return writeList(w, v)
	case []parts.Setting:
		return writeList(w, []settings{v})
	case settings:
		n := syntax.NewTable(syntax.Span{}, syntax.Span{})
		from := w.write("{ ")
		put := func(mark, word string, v any) {
			w.write(mark)
			key := w.write(word)
			w.write(" = ")
			field := w.value(v)
			field.Key = key
			n.Put(word, field)
		}
		mark := ""
		for _, s := range v {
			put(mark, s.Key, s.Value)
			mark = ", "
		}
		n.At = w.src.Span(from.Start, w.write(" }").End)
		return n
	}
	panic(fmt.Sprintf("scenes: a move to %#v", v))
}

// settings is a table within its list.
type settings []parts.Setting

// writeList writes a list.
func writeList[T any](w *moveWriter, items []T) *syntax.Node {
	n := &syntax.Node{Shape: syntax.List}
	from := w.write("[")
	for i, item := range items {
		if i > 0 {
			w.write(", ")
		}
		child := w.value(item)
		child.Key = child.At
		n.Items = append(n.Items, child)
	}
	n.At = w.src.Span(from.Start, w.write("]").End)
	return n
}
