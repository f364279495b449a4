package sdf

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"reflect"
	"slices"
)

// Digest is what a value is made of, in short: values of one digest are made alike,
// down to the last bit. Fields of one digest have the same values everywhere.
type Digest [sha256.Size]byte

func (d Digest) String() string { return hex.EncodeToString(d[:]) }

// DigestOf gives the digest of a value and all that it holds: numbers, texts,
// structs, lists, maps, what pointers lead to and what interfaces hold. Types count
// by their names, pointers by what they point at. A struct field tagged
// `digest:"-"` is passed over: it follows from the others. It fails for what cannot be
// told by its content: functions, channels, locks, and pointers in a circle.
func DigestOf(v any) (Digest, error) { return new(Digester).Of(v) }

// Digester gives digests, and remembers those of what pointers lead to: for many
// values that share parts. The values must not change meanwhile. It is not safe for
// concurrent use. The zero value is ready.
type Digester struct {
	known map[pointee]Digest
	open  map[pointee]bool // on the way here
	bare  map[reflect.Type]*layoutOf
}

// pointee is what a pointer of a type leads to: a struct and its first field have
// one address.
type pointee struct {
	at uintptr
	of reflect.Type
}

// layoutOf is what is told of a struct type.
type layoutOf struct {
	name   string
	fields []int // that count
}

// Of gives the digest of a value; see DigestOf.
func (g *Digester) Of(v any) (Digest, error) {
	if g.known == nil {
		g.known, g.open, g.bare = map[pointee]Digest{}, map[pointee]bool{}, map[reflect.Type]*layoutOf{}
	}
	text, err := g.append(nil, reflect.ValueOf(v))
	if err != nil {
		return Digest{}, err
	}
	return sha256.Sum256(text), nil
}

// The first byte of what is not plain.
const (
	digestNil = iota
	digestFull
)

// append adds what tells v from any other value.
func (g *Digester) append(to []byte, v reflect.Value) ([]byte, error) {
	number := func(n uint64) ([]byte, error) { return binary.LittleEndian.AppendUint64(to, n), nil }
	switch v.Kind() {
	case reflect.Invalid:
		return append(to, digestNil), nil
	case reflect.Bool:
		if v.Bool() {
			return append(to, 1), nil
		}
		return append(to, 0), nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return number(uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return number(v.Uint())
	case reflect.Float32, reflect.Float64:
		return number(math.Float64bits(v.Float()))
	case reflect.String:
		return appendText(to, v.String()), nil
	case reflect.Pointer:
		return g.appendPointer(to, v)
	case reflect.Interface:
		if v.IsNil() {
			return append(to, digestNil), nil
		}
		to = appendText(append(to, digestFull), nameOf(v.Elem().Type()))
		return g.append(to, v.Elem())
	case reflect.Struct:
		return g.appendStruct(to, v)
	case reflect.Array, reflect.Slice:
		to = binary.LittleEndian.AppendUint64(to, uint64(v.Len()))
		for i := range v.Len() {
			var err error
			if to, err = g.append(to, v.Index(i)); err != nil {
				return nil, err
			}
		}
		return to, nil
	case reflect.Map:
		return g.appendMap(to, v)
	case reflect.Func:
		if v.IsNil() {
			return append(to, digestNil), nil
		}
	}
	return nil, fmt.Errorf("sdf: a %s has no digest", v.Type())
}

func (g *Digester) appendPointer(to []byte, v reflect.Value) ([]byte, error) {
	if v.IsNil() {
		return append(to, digestNil), nil
	}
	at := pointee{v.Pointer(), v.Type().Elem()}
	d, known := g.known[at]
	if !known {
		if g.open[at] {
			return nil, fmt.Errorf("sdf: a %s that leads back to itself has no digest", v.Type())
		}
		g.open[at] = true
		text, err := g.append(nil, v.Elem())
		delete(g.open, at)
		if err != nil {
			return nil, err
		}
		d = sha256.Sum256(text)
		g.known[at] = d
	}
	return append(append(to, digestFull), d[:]...), nil
}

func (g *Digester) appendStruct(to []byte, v reflect.Value) ([]byte, error) {
	l := g.bare[v.Type()]
	if l == nil {
		if v.Type().PkgPath() == "sync" || v.Type().PkgPath() == "sync/atomic" {
			return nil, fmt.Errorf("sdf: a %s has no digest", v.Type())
		}
		l = &layoutOf{name: nameOf(v.Type())}
		for i := range v.NumField() {
			if v.Type().Field(i).Tag.Get("digest") != "-" {
				l.fields = append(l.fields, i)
			}
		}
		g.bare[v.Type()] = l
	}
	to = appendText(to, l.name)
	for _, i := range l.fields {
		var err error
		if to, err = g.append(to, v.Field(i)); err != nil {
			return nil, err
		}
	}
	return to, nil
}

// appendMap adds a map in an order of its own making.
func (g *Digester) appendMap(to []byte, v reflect.Value) ([]byte, error) {
	var all [][]byte
	for it := v.MapRange(); it.Next(); {
		one, err := g.append(nil, it.Key())
		if err == nil {
			one, err = g.append(one, it.Value())
		}
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(one)
		all = append(all, sum[:])
	}
	slices.SortFunc(all, slices.Compare)
	to = binary.LittleEndian.AppendUint64(to, uint64(len(all)))
	for _, one := range all {
		to = append(to, one...)
	}
	return to, nil
}

func appendText(to []byte, text string) []byte {
	return append(binary.LittleEndian.AppendUint64(to, uint64(len(text))), text...)
}

func nameOf(t reflect.Type) string { return t.PkgPath() + "." + t.String() }
