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
func defaultNode(k parts.Key, at span) *node {
	one := func(text string) *node {
		n := &node{at: at, scalar: text}
		switch k.Type {
		case parts.Text, parts.Name, parts.Word, parts.Ref, parts.Refs:
		case parts.Flag:
			n.scalar = text == "true"
		default:
			if i, err := strconv.ParseInt(text, 10, 64); err == nil {
				n.scalar = i
			} else if v, err := strconv.ParseFloat(text, 64); err == nil {
				n.scalar = v
			}
		}
		return n
	}
	switch k.Type {
	case parts.Size, parts.Bed, parts.Point, parts.Numbers, parts.Lengths, parts.Refs:
		n := &node{at: at, shape: list}
		for text := range strings.SplitSeq(k.Default, ",") {
			n.items = append(n.items, one(strings.TrimSpace(text)))
		}
		return n
	}
	return one(k.Default)
}

// wrongType records that a value is of the wrong type.
func (d *decoder) wrongType(s slot, n *node) bool {
	d.wrong(s.owner, n.at, fmt.Sprintf("%s cannot be %s", s, n.describe()), allowedValues(s.key), "")
	return false
}

// value converts a value to what its key wants and sets dst to it. It says
// whether the value is right; where it is not, dst is left as it was.
func (d *decoder) value(s slot, n *node, dst reflect.Value) bool {
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
		v, ok := n.scalar.(int64)
		if !ok || n.shape != scalar {
			return d.wrongType(s, n)
		}
		if v < 0 {
			d.wrong(s.owner, n.at, fmt.Sprintf("%s is %d", s, v), allowedValues(s.key), "")
			return false
		}
		dst.SetUint(uint64(v))
		return true
	case parts.Flag:
		v, ok := n.scalar.(bool)
		if !ok || n.shape != scalar {
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
		if n.shape != table {
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
func (d *decoder) real(s slot, n *node) (v float64, ok bool) {
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
func (d *decoder) plainNumber(s slot, n *node) (float64, bool) {
	v, ok := n.number()
	if !ok || n.shape != scalar {
		if text, isText := n.text(); isText && measured.MatchString(text) {
			d.wrong(s.owner, n.at, fmt.Sprintf("%s takes no unit: %s", s, quote(text)), allowedValues(s.key), "")
			return 0, false
		}
		return 0, d.wrongType(s, n)
	}
	return v + 0, d.finite(s, n, v)
}

func (d *decoder) finite(s slot, n *node, v float64) bool {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		d.wrong(s.owner, n.at, fmt.Sprintf("%s is not a finite number", s), allowedValues(s.key), "")
		return false
	}
	return true
}

// length reads a length: a number is mm on the print, a text is full size.
func (d *decoder) length(s slot, n *node, vertical bool) (float64, bool) {
	if v, ok := n.number(); ok && n.shape == scalar {
		return v + 0, d.finite(s, n, v)
	}
	text, ok := n.text()
	if !ok {
		return 0, d.wrongType(s, n)
	}
	mm, near, err := quantity(text)
	if err != nil {
		d.wrong(s.owner, n.at, fmt.Sprintf("%s: %s %v", s, quote(text), err), lengthForms, near)
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
func (d *decoder) full(s slot, n *node) (float64, bool) {
	if v, ok := n.number(); ok {
		near, allowed := "", allowedValues(s.key)
		if lo, hi := bounds(s.key); v >= lo && v <= hi {
			near = number(v) + " m"
		} else if s.key.Min != nil {
			allowed += "; from " + fullSize(1000*lo) + " to " + fullSize(1000*hi)
		}
		d.wrong(s.owner, n.at, fmt.Sprintf("%s is a full size and needs a unit", s), allowed, near)
		return 0, false
	}
	text, ok := n.text()
	if !ok {
		return 0, d.wrongType(s, n)
	}
	mm, near, err := quantity(text)
	if err != nil {
		d.wrong(s.owner, n.at, fmt.Sprintf("%s: %s %v", s, quote(text), err), allowedValues(s.key), near)
		return 0, false
	}
	return mm / 1000, true
}

// facing reads a compass word or degrees from east.
func (d *decoder) facing(s slot, n *node) (float64, bool) {
	text, ok := n.text()
	if _, isNumber := n.number(); !ok || isNumber {
		return d.plainNumber(s, n)
	}
	words := facingWords(s.key)
	if !slices.Contains(words, text) {
		if measured.MatchString(text) {
			return d.plainNumber(s, n)
		}
		d.wrong(s.owner, n.at, fmt.Sprintf("%s: %s is no direction", s, quote(text)), allowedValues(s.key), nearest(text, words))
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
func (d *decoder) reals(s slot, n *node, dst reflect.Value) bool {
	if n.shape != list {
		return d.wrongType(s, n)
	}
	pair := s.key.Type == parts.Size || s.key.Type == parts.Bed
	if pair && len(n.items) != 2 {
		d.wrong(s.owner, n.at, fmt.Sprintf("%s is two values, not %d", s, len(n.items)), allowedValues(s.key), "")
		return false
	}
	values, right := make([]float64, len(n.items)), true
	for i, item := range n.items {
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
func (d *decoder) whole(s slot, n *node) (int64, bool) {
	v, ok := n.scalar.(int64)
	if !ok || n.shape != scalar {
		return 0, d.wrongType(s, n)
	}
	if s.assumed {
		return v, true
	}
	return v, d.inRange(s, n, float64(v))
}

// word reads text of any of the textual types.
func (d *decoder) word(s slot, n *node) (string, bool) {
	text, ok := n.text()
	if !ok {
		return "", d.wrongType(s, n)
	}
	switch s.key.Type {
	case parts.Text:
		if most := textLimit(s.key); len([]rune(text)) > most {
			d.wrong(s.owner, n.at, fmt.Sprintf("%s is longer than %d characters", s, most), allowedValues(s.key), "")
			return "", false
		}
		if text != printable(text) {
			d.wrong(s.owner, n.at, fmt.Sprintf("%s has characters that cannot be shown", s), "one line of plain text", "")
			return "", false
		}
	case parts.Name:
		if why, allowed, near := nameFault(text); why != "" {
			if allowed == nameAllowed {
				allowed = allowedValues(s.key)
			}
			d.wrong(s.owner, n.at, why, allowed, near)
			return "", false
		}
	case parts.Word:
		if !slices.Contains(s.key.Words, text) {
			d.wrong(s.owner, n.at, fmt.Sprintf("%s cannot be %s", s, quote(text)), listed(s.key.Words), nearest(text, s.key.Words))
			return "", false
		}
	case parts.Ref:
		d.refer(s, n, text)
	}
	return text, true
}

// point reads [x, y].
func (d *decoder) point(s slot, n *node) (r2.Vec, bool) {
	if n.shape != list {
		return r2.Vec{}, d.wrongType(s, n)
	}
	if len(n.items) != 2 {
		d.wrong(s.owner, n.at, fmt.Sprintf("%s: a point is two values, not %d", s, len(n.items)), "[x, y]", "")
		return r2.Vec{}, false
	}
	var xy [2]float64
	right := true
	for i, item := range n.items {
		v, ok := d.length(s, item, false)
		right = ok && d.inRange(s, item, v) && right
		xy[i] = v
	}
	return r2.Vec{X: xy[0], Y: xy[1]}, right
}

func (d *decoder) points(s slot, n *node, dst reflect.Value) bool {
	if n.shape != list {
		return d.wrongType(s, n)
	}
	points, right := make([]r2.Vec, len(n.items)), true
	for i, item := range n.items {
		var ok bool
		points[i], ok = d.point(s, item)
		right = right && ok
	}
	if right {
		dst.Set(reflect.ValueOf(points))
	}
	return right
}

func (d *decoder) tables(s slot, n *node, dst reflect.Value) bool {
	if n.shape != list {
		return d.wrongType(s, n)
	}
	if len(n.items) > maxTables {
		d.wrong(s.owner, n.items[maxTables].at, fmt.Sprintf("more than %d %s", maxTables, s), "", "")
		return false
	}
	all, right := reflect.MakeSlice(dst.Type(), len(n.items), len(n.items)), true
	for i, item := range n.items {
		if item.shape != table {
			right = d.wrongType(s, item)
			continue
		}
		d.table(s.owner, item, s.key.Sub, all.Index(i), fmt.Sprintf("%s[%d].", s.path, i))
	}
	dst.Set(all)
	return right
}
