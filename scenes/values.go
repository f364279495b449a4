package scenes

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/scenes/syntax"
)

// nameWord is the key that names a part.
const nameWord = "name"

// measured matches a number with a unit of any sort behind it.
var measured = regexp.MustCompile(`^\s*[+-]?[\d./]+(\s+\d+/\d+)?\s*[^\s\d:.]+\s*$`)

// Limits on what one key may hold.
const (
	maxText   = 200    // characters of a text
	maxNumber = 1e9    // of a number without a range of its own
	maxAngle  = 36_000 // degrees
	maxTables = 1000   // tables in a list of them
)

// compass gives the degrees from east of each compass word.
var compass = map[string]float64{
	"east": 0, "north-east": 45, "north": 90, "north-west": 135,
	"west": 180, "south-west": 225, "south": 270, "south-east": 315,
}

// defaultNode gives the value of a key's default, placed where it is left out.
func defaultNode(k parts.Key, at syntax.Span) *syntax.Node {
	one := func(text string) *syntax.Node {
		n := &syntax.Node{At: at, Scalar: text}
		switch k.Type {
		case parts.Text, parts.Name, parts.Word, parts.Ref, parts.Refs:
		case parts.Flag:
			n.Scalar = text == "true"
		default:
			if i, err := strconv.ParseInt(text, 10, 64); err == nil {
				n.Scalar = i
			} else if v, err := strconv.ParseFloat(text, 64); err == nil {
				n.Scalar = v
			}
		}
		return n
	}
	switch k.Type {
	case parts.Size, parts.Bed, parts.Point, parts.Numbers, parts.Lengths, parts.Refs:
		n := &syntax.Node{At: at, Shape: syntax.List}
		for text := range strings.SplitSeq(k.Default, ",") {
			n.Items = append(n.Items, one(strings.TrimSpace(text)))
		}
		return n
	}
	return one(k.Default)
}

// wrongType records that a value is of the wrong type.
func (d *decoder) wrongType(s slot, n *syntax.Node) bool {
	d.wrong(s.owner, n.At, fmt.Sprintf("%s cannot be %s", s, n.Describe()), allowedValues(s.key), "")
	return false
}

// value converts a value to what its key wants and sets dst to it. It says
// whether the value is right; where it is not, dst is left as it was.
func (d *decoder) value(s slot, n *syntax.Node, dst reflect.Value) bool {
	switch s.key.Type {
	case parts.Length, parts.Height, parts.Full, parts.Angle, parts.Number, parts.Facing, parts.Machine:
		v, ok := d.real(s, n)
		if ok {
			dst.SetFloat(v)
		}
		return ok
	case parts.Size, parts.Bed, parts.Numbers, parts.Lengths:
		return d.reals(s, n, dst)
	case parts.Count:
		v, ok := d.whole(s, n)
		if ok {
			dst.SetInt(v)
		}
		return ok
	case parts.Seed:
		v, ok := n.Scalar.(int64)
		if !ok || n.Shape != syntax.Scalar {
			return d.wrongType(s, n)
		}
		if v < 0 {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s is %d", s, v), allowedValues(s.key), "")
			return false
		}
		dst.SetUint(uint64(v))
		return true
	case parts.Flag:
		v, ok := n.Scalar.(bool)
		if !ok || n.Shape != syntax.Scalar {
			return d.wrongType(s, n)
		}
		dst.SetBool(v)
		return true
	case parts.Text, parts.Name, parts.Word, parts.Ref:
		v, ok := d.word(s, n)
		if ok {
			dst.SetString(v)
		}
		return ok
	case parts.Refs:
		return d.refs(s, n, dst)
	case parts.LevelRef:
		v, ok := d.level(s, n)
		if ok {
			dst.Set(reflect.ValueOf(v))
		}
		return ok
	case parts.Point:
		v, ok := d.point(s, n)
		if ok {
			dst.Set(reflect.ValueOf(v))
		}
		return ok
	case parts.Points:
		return d.points(s, n, dst)
	case parts.Table:
		if n.Shape != syntax.Table {
			return d.wrongType(s, n)
		}
		d.table(s.owner, n, s.key.Sub, dst, s.path+".")
		return true
	case parts.Tables:
		return d.tables(s, n, dst)
	}
	panic(fmt.Sprintf("scenes: no reading of type %q", s.key.Type))
}

// real reads one number of any of the real types, within the key's range.
func (d *decoder) real(s slot, n *syntax.Node) (v float64, ok bool) {
	switch s.key.Type {
	case parts.Length, parts.Size, parts.Lengths:
		v, ok = d.length(s, n, false)
	case parts.Height:
		v, ok = d.length(s, n, true)
	case parts.Full:
		v, ok = d.full(s, n)
	case parts.Facing:
		v, ok = d.facing(s, n)
	default:
		v, ok = d.plainNumber(s, n)
	}
	if !ok {
		return 0, false
	}
	if s.assumed {
		return d.clamp(s, v), true
	}
	return v, d.inRange(s, n, v)
}

// plainNumber reads a number that has no unit.
func (d *decoder) plainNumber(s slot, n *syntax.Node) (float64, bool) {
	v, ok := n.Number()
	if !ok || n.Shape != syntax.Scalar {
		if text, isText := n.Text(); isText && measured.MatchString(text) {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s takes no unit: %s", s, syntax.Quote(text)), allowedValues(s.key), "")
			return 0, false
		}
		return 0, d.wrongType(s, n)
	}
	return v + 0, d.finite(s, n, v)
}

func (d *decoder) finite(s slot, n *syntax.Node, v float64) bool {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		d.wrong(s.owner, n.At, fmt.Sprintf("%s is not a finite number", s), allowedValues(s.key), "")
		return false
	}
	return true
}

// length reads a length: a number is mm on the print, a text is full size.
func (d *decoder) length(s slot, n *syntax.Node, vertical bool) (float64, bool) {
	if v, ok := n.Number(); ok && n.Shape == syntax.Scalar {
		return v + 0, d.finite(s, n, v)
	}
	text, ok := n.Text()
	if !ok {
		return 0, d.wrongType(s, n)
	}
	mm, near, err := syntax.ParseLength(text)
	if err != nil {
		d.wrong(s.owner, n.At, fmt.Sprintf("%s: %s %v", s, syntax.Quote(text), err), lengthForms, near)
		return 0, false
	}
	return d.onPrint(mm, vertical)
}

// onPrint brings a full size in mm to the print.
func (d *decoder) onPrint(mm float64, vertical bool) (float64, bool) {
	if !d.scaled {
		return 0, false // the fault in [scale] is reported; this value may be right
	}
	mm /= d.site.Scale.Ratio
	if vertical {
		mm *= d.site.Scale.Exaggerate
	}
	return mm, true
}

// full reads a full-size length and gives metres.
func (d *decoder) full(s slot, n *syntax.Node) (float64, bool) {
	if v, ok := n.Number(); ok {
		near, allowed := "", allowedValues(s.key)
		if lo, hi := bounds(s.key); v >= lo && v <= hi {
			near = syntax.FormatNumber(v) + " m"
		} else if s.key.Min != nil {
			allowed += "; from " + syntax.FormatFullSize(1000*lo) + " to " + syntax.FormatFullSize(1000*hi)
		}
		d.wrong(s.owner, n.At, fmt.Sprintf("%s is a full size and needs a unit", s), allowed, near)
		return 0, false
	}
	text, ok := n.Text()
	if !ok {
		return 0, d.wrongType(s, n)
	}
	mm, near, err := syntax.ParseLength(text)
	if err != nil {
		d.wrong(s.owner, n.At, fmt.Sprintf("%s: %s %v", s, syntax.Quote(text), err), allowedValues(s.key), near)
		return 0, false
	}
	return mm / 1000, true
}

// facing reads a compass word or degrees from east.
func (d *decoder) facing(s slot, n *syntax.Node) (float64, bool) {
	text, ok := n.Text()
	if _, isNumber := n.Number(); !ok || isNumber {
		return d.plainNumber(s, n)
	}
	words := facingWords(s.key)
	if !slices.Contains(words, text) {
		if measured.MatchString(text) {
			return d.plainNumber(s, n)
		}
		d.wrong(s.owner, n.At, fmt.Sprintf("%s: %s is no direction", s, syntax.Quote(text)), allowedValues(s.key), syntax.Nearest(text, words))
		return 0, false
	}
	return compass[text], true
}

// facingWords are the compass words that a key takes: all eight where it names none.
func facingWords(k parts.Key) []string {
	if len(k.Words) > 0 {
		return k.Words
	}
	return []string{"east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"}
}

// reals reads a list of numbers or lengths; a size or a bed has just two.
func (d *decoder) reals(s slot, n *syntax.Node, dst reflect.Value) bool {
	if n.Shape != syntax.List {
		return d.wrongType(s, n)
	}
	pair := s.key.Type == parts.Size || s.key.Type == parts.Bed
	if pair && len(n.Items) != 2 {
		d.wrong(s.owner, n.At, fmt.Sprintf("%s is two values, not %d", s, len(n.Items)), allowedValues(s.key), "")
		return false
	}
	values, right := make([]float64, len(n.Items)), true
	for i, item := range n.Items {
		var ok bool
		values[i], ok = d.real(s, item)
		right = right && ok
	}
	if !right {
		return false
	}
	if pair {
		dst.Set(reflect.ValueOf([2]float64(values)))
	} else {
		dst.Set(reflect.ValueOf(values))
	}
	return true
}

// whole reads a whole number within the key's range.
func (d *decoder) whole(s slot, n *syntax.Node) (int64, bool) {
	v, ok := n.Scalar.(int64)
	if !ok || n.Shape != syntax.Scalar {
		return 0, d.wrongType(s, n)
	}
	if s.assumed {
		return v, true
	}
	return v, d.inRange(s, n, float64(v))
}

// word reads text of any of the textual types.
func (d *decoder) word(s slot, n *syntax.Node) (string, bool) {
	text, ok := n.Text()
	if !ok {
		return "", d.wrongType(s, n)
	}
	switch s.key.Type {
	case parts.Text:
		if most := textLimit(s.key); len([]rune(text)) > most {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s is longer than %d characters", s, most), allowedValues(s.key), "")
			return "", false
		}
		if text != syntax.Printable(text) {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s has characters that cannot be shown", s), "one line of plain text", "")
			return "", false
		}
	case parts.Name:
		if why, allowed, near := nameFault(text); why != "" {
			if allowed == nameAllowed {
				allowed = allowedValues(s.key)
			}
			d.wrong(s.owner, n.At, why, allowed, near)
			return "", false
		}
	case parts.Word:
		if !slices.Contains(s.key.Words, text) {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s cannot be %s", s, syntax.Quote(text)), syntax.Listed(s.key.Words), syntax.Nearest(text, s.key.Words))
			return "", false
		}
	case parts.Ref:
		d.refer(s, n, text)
	}
	return text, true
}

// point reads [x, y].
func (d *decoder) point(s slot, n *syntax.Node) (r2.Vec, bool) {
	if n.Shape != syntax.List {
		return r2.Vec{}, d.wrongType(s, n)
	}
	if len(n.Items) != 2 {
		d.wrong(s.owner, n.At, fmt.Sprintf("%s: a point is two values, not %d", s, len(n.Items)), "[x, y]", "")
		return r2.Vec{}, false
	}
	var xy [2]float64
	right := true
	for i, item := range n.Items {
		v, ok := d.length(s, item, false)
		right = ok && d.inRange(s, item, v) && right
		xy[i] = v
	}
	return r2.Vec{X: xy[0], Y: xy[1]}, right
}

func (d *decoder) points(s slot, n *syntax.Node, dst reflect.Value) bool {
	if n.Shape != syntax.List {
		return d.wrongType(s, n)
	}
	points, right := make([]r2.Vec, len(n.Items)), true
	for i, item := range n.Items {
		var ok bool
		points[i], ok = d.point(s, item)
		right = right && ok
	}
	if right {
		dst.Set(reflect.ValueOf(points))
	}
	return right
}

func (d *decoder) tables(s slot, n *syntax.Node, dst reflect.Value) bool {
	if n.Shape != syntax.List {
		return d.wrongType(s, n)
	}
	if len(n.Items) > maxTables {
		d.wrong(s.owner, n.Items[maxTables].At, fmt.Sprintf("more than %d %s", maxTables, s), "", "")
		return false
	}
	all, right := reflect.MakeSlice(dst.Type(), len(n.Items), len(n.Items)), true
	for i, item := range n.Items {
		if item.Shape != syntax.Table {
			right = d.wrongType(s, item)
			continue
		}
		d.table(s.owner, item, s.key.Sub, all.Index(i), fmt.Sprintf("%s[%d].", s.path, i))
	}
	dst.Set(all)
	return right
}
