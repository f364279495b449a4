package parts

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Type is what a key's value means; it decides how the reader converts it.
type Type string

// The types of keys, with the Go type of the field that holds each.
const (
	Length   Type = "length"  // float64: mm on the print; text with a unit is full size
	Height   Type = "height"  // float64: a vertical length, stretched by the scale's exaggerate
	Full     Type = "full"    // float64: a full-size length in metres; always text with a unit
	Size     Type = "size"    // [2]float64: two lengths, along x and y
	Angle    Type = "angle"   // float64: degrees
	Number   Type = "number"  // float64: a bare number
	Count    Type = "count"   // int: a whole number
	Seed     Type = "seed"    // uint64: picks the random choices of the part
	Flag     Type = "flag"    // bool
	Text     Type = "text"    // string: any text
	Name     Type = "name"    // string: a name, of letters, digits, - and _
	Word     Type = "word"    // string: one of Words
	LevelRef Type = "level"   // Level: a level's name, or a height
	Ref      Type = "ref"     // string: the name of another part, of one of the kinds in Words if any
	Refs     Type = "refs"    // []string: names of other parts
	Point    Type = "point"   // r2.Vec: [x, y], lengths from the scene's origin
	Points   Type = "points"  // []r2.Vec: a list of points
	Facing   Type = "facing"  // float64: a compass word (Words) or degrees from east
	Table    Type = "table"   // a struct with keys of its own
	Tables   Type = "tables"  // a slice of such structs
	Numbers  Type = "numbers" // []float64: bare numbers
	Lengths  Type = "lengths" // []float64: lengths
	Machine  Type = "machine" // float64: mm of the printer; the scale does not change it, so it takes no unit
	Bed      Type = "bed"     // [2]float64: two such, width and depth
)

// Key is one key of a part as the scene's author sees it, read from the field tags
//
//	key:"riser"            the word in the scene (needed)
//	type:"height"          a Type (needed)
//	doc:"..."              one line: what it is (needed)
//	default:"1.1 m"        the value when left out, written as in a scene without
//	                       quotes; a list is "a, b". No default on a pointer field: nil.
//	min:"0" max:"45"       inclusive range of the resolved value: mm, degrees or number
//	words:"stack,running"  what a word, ref or facing may be
//	of:"flight,slab"       in place of words: a ref leads to a part of a kind that offers
//	                       one of these (KindsOffering)
//	required:"yes"         must be given
//	source:"..."           where the default or the range comes from
//	unit:"s"               of a plain number or a count
//	filament:"3.0"         the default on a filament printer, where that is another
//	from:"clearance"       left out, it is as this key of the printer has it
//	plan:"turn"            how it moves with the plan that it is told in, see Motion: an angle
//	                       told from the east ("turn") or between two things ("aside"), a
//	                       point along the part's own axes ("own"), a line whose left side
//	                       counts ("left"), a side of the plan ("side") or of a walk ("flank").
//	                       On an embedded struct, it is so for the lists of points in it
//
// A pointer field is one that may be left out with no default: nil means unset.
type Key struct {
	Word     string
	Type     Type
	Doc      string
	Default  string
	Min, Max *float64
	Words    []string
	Required bool
	Source   string
	Optional bool // a pointer: unset is nil
	Filament string
	From     string
	Plan     string

	unit string // by its tag

	Index  []int        // field index for reflect.Value.FieldByIndex
	GoType reflect.Type // the field's type, pointer removed
	Sub    []Key        // keys of a Table or Tables
}

// Unit is the unit of a key's plain number, "" where it has none.
func (k Key) Unit() string {
	switch k.Type {
	case Length, Height, Size, Point, Points, LevelRef, Lengths, Machine, Bed:
		return "mm"
	case Full:
		return "m"
	case Angle, Facing:
		return "degrees"
	}
	return k.unit
}

var goTypes = map[Type]string{
	Length: "float64", Height: "float64", Full: "float64", Size: "[2]float64", Angle: "float64", Number: "float64",
	Count: "int", Seed: "uint64", Flag: "bool", Text: "string", Name: "string", Word: "string",
	LevelRef: "parts.Level", Ref: "string", Refs: "[]string", Point: "r2.Vec", Points: "[]r2.Vec",
	Facing: "float64", Numbers: "[]float64", Lengths: "[]float64", Machine: "float64", Bed: "[2]float64",
}

// KeysOf reads the keys of a struct type from its tags; embedded structs count
// as if written out. A tag that makes no sense is a programming error and panics
// (a test in this package reads every kind). They are read once: nobody may change them.
func KeysOf(t reflect.Type) []Key {
	if keys, ok := keysRead.Load(t); ok {
		return keys.([]Key)
	}
	keys := slices.Clip(readKeys(t))
	keysRead.Store(t, keys)
	return keys
}

// keysRead has the keys of each type, until another kind is registered, which a ref may lead to.
var keysRead sync.Map

func readKeys(t reflect.Type) []Key {
	var keys []Key
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			for _, k := range KeysOf(f.Type) {
				if plan := f.Tag.Get("plan"); plan != "" && k.Type == Points {
					k.Plan = plan
				}
				k.Index = append([]int{i}, k.Index...)
				keys = append(keys, k)
			}
			continue
		}
		word, ok := f.Tag.Lookup("key")
		if !ok {
			continue
		}
		k := Key{
			Word: word, Type: Type(f.Tag.Get("type")), Doc: f.Tag.Get("doc"), Default: f.Tag.Get("default"),
			Required: f.Tag.Get("required") == "yes", Source: f.Tag.Get("source"),
			Min: bound(f, "min"), Max: bound(f, "max"), Index: []int{i}, GoType: f.Type,
			Filament: f.Tag.Get("filament"), From: f.Tag.Get("from"), Plan: f.Tag.Get("plan"), unit: f.Tag.Get("unit"),
		}
		if f.Type.Kind() == reflect.Pointer {
			k.Optional, k.GoType = true, f.Type.Elem()
		}
		if w := f.Tag.Get("words"); w != "" {
			k.Words = strings.Split(w, ",")
		}
		if of := f.Tag.Get("of"); of != "" {
			k.Words = KindsOffering(strings.Split(of, ",")...)
		}
		switch k.Type {
		case Table:
			k.Sub = KeysOf(k.GoType)
		case Tables:
			k.Sub = KeysOf(k.GoType.Elem())
		default:
			if want := goTypes[k.Type]; want != k.GoType.String() {
				panic(fmt.Sprintf("parts: %s.%s: type %q wants a Go %s, not %s", t, f.Name, k.Type, want, k.GoType))
			}
		}
		if k.Doc == "" {
			panic(fmt.Sprintf("parts: %s.%s has no doc", t, f.Name))
		}
		keys = append(keys, k)
	}
	return keys
}

func bound(f reflect.StructField, tag string) *float64 {
	text, ok := f.Tag.Lookup(tag)
	if !ok {
		return nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(fmt.Sprintf("parts: %s: bad %s %q", f.Name, tag, text))
	}
	return &v
}
