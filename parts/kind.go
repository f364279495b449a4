// Package parts holds the parts that a scene is made of: one file for each,
// with its keys, its defaults, its rules and its solid.
//
// A part is a plain struct whose exported fields carry the scene keys as tags.
// The reader, the catalogue, the JSON Schema and the docs are all made from
// those tags, so a new part is one new file here.
//
// All values in a part are resolved: lengths and heights in millimetres on the
// print, angles in degrees counter-clockwise from +x (east), z up. The package
// knows nothing of file syntax and nothing of meshes.
package parts

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
)

// Stage is a part's place in the trade's order of work. Parts are always
// joined in this order, whatever the order of the file.
type Stage int

// The order of work.
const (
	Structure Stage = iota // ground, decks, stairs, walls
	Finishing              // paving and other layers on structure
	Fitting                // rails and what is fixed to the finished work
	Damaging               // what takes material away
	Spilling               // debris laid in and around damage
	Trimming               // straight cuts through the whole scene
	Cutting                // bases
)

func (s Stage) String() string {
	return [...]string{"structure", "finish", "fitting", "damage", "spill", "trim", "base"}[s]
}

// Part is one thing in the scene. What it does beyond having a name is said by
// the other interfaces of this package: Checker, Solider, Damager, Spiller, Trimmer.
type Part interface {
	// Label is the part's name: given in the scene, or made from its kind and number.
	Label() string
	// SetLabel names a part that the scene left without a name.
	SetLabel(string)
}

// Named is embedded by every part.
type Named struct {
	Name string `key:"name" type:"name" doc:"what other parts, messages and files call it; unique in the scene"`
}

// Label is the part's name.
func (n *Named) Label() string { return n.Name }

// SetLabel names the part.
func (n *Named) SetLabel(name string) { n.Name = name }

// Kind describes a kind of part: the word for it in a scene, its place in the
// order of work and how to make one with nothing set.
type Kind struct {
	Word  string // the table name in a scene: "stair"
	Stage Stage  // its place in the order of work
	Doc   string // one or two sentences for the catalogue
	Once  bool   // at most one in a scene, written as a plain table
	// Group is what the plan calls the parts of its layer that are like it: "Rails"; "" for
	// the usual words of the layer.
	Group string
	// NoteUnused: it is noted where no base has anything of it.
	NoteUnused bool
	// Example is the text of parts that show the kind at its best: one of it, and what it
	// stands on or hits. They lie on a ground called "ground", 64 by 48 mm at the level
	// "floor" of 0 mm, 1 : 56, and one base, round 44 about [32, 24], is cut from them. It may
	// have a ground or a base of its own, in their place.
	Example string
	New     func() Part // a pointer to a zero struct; the reader fills in defaults
}

var kinds []*Kind

// Register adds a kind to the catalogue; each part's file calls it from init.
func Register(k Kind) {
	for _, other := range kinds {
		if other.Word == k.Word {
			panic("parts: two kinds called " + k.Word)
		}
	}
	kinds = append(kinds, &k)
	keysRead.Clear()
	kindsByType[reflect.TypeOf(k.New())] = &k
	slices.SortFunc(kinds, func(a, b *Kind) int {
		return cmp.Or(cmp.Compare(a.Stage, b.Stage), cmp.Compare(a.Word, b.Word))
	})
}

// Kinds lists every kind of part in the order of work, then by name.
func Kinds() []*Kind { return kinds }

// KindOf gives the kind called word, or nil.
func KindOf(word string) *Kind {
	for _, k := range kinds {
		if k.Word == word {
			return k
		}
	}
	return nil
}

// kindsByType are the kinds by the type of their parts.
var kindsByType = map[reflect.Type]*Kind{}

// KindOfPart gives the kind that makes parts of p's type.
func KindOfPart(p Part) *Kind {
	if k := kindsByType[reflect.TypeOf(p)]; k != nil {
		return k
	}
	panic(fmt.Sprintf("parts: %T is of no registered kind", p))
}

// WordOf is the kind word of a part: "stair".
func WordOf(p Part) string { return KindOfPart(p).Word }

// StageOf is a part's place in the order of work.
func StageOf(p Part) Stage { return KindOfPart(p).Stage }

// Keys lists the keys of the kind in the order of its struct.
func (k *Kind) Keys() []Key { return KeysOf(reflect.TypeOf(k.New()).Elem()) }
