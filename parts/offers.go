package parts

import (
	"cmp"
	"reflect"
	"slices"
	"strings"
)

// offers are what kinds offer to parts of other kinds, by the words that keys have for it.
var offers = map[string]func(k *Kind) bool{
	"flight":  makes[Climber],
	"slab":    func(k *Kind) bool { return makes[Floored](k) && !k.Once }, // the land is the floor that a scene has once
	"upright": makes[Walled],
	"debris":  makes[Strewer],
	"layout":  makes[Movable],
	"matter":  makes[Crumbler],
}

// makes says whether the parts of a kind are Ts.
func makes[T Part](k *Kind) bool {
	_, ok := k.New().(T)
	return ok
}

// KindsOffering lists the words of the kinds that offer something: the first of what is
// named first, and of each by families, in the order of work and by name.
func KindsOffering(what ...string) (words []string) {
	family := func(k *Kind) string { return reflect.TypeOf(k.New()).Elem().PkgPath() }
	all := slices.SortedStableFunc(slices.Values(kinds), func(a, b *Kind) int { return cmp.Compare(family(a), family(b)) })
	for _, w := range what {
		for _, k := range all {
			if offers[w](k) && !slices.Contains(words, k.Word) {
				words = append(words, k.Word)
			}
		}
	}
	return words
}

// OneOf names kinds for a sentence: "deck, storey or raft".
func OneOf(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
