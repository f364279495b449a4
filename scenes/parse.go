package scenes

import (
	"errors"
	"maps"
	"slices"

	"github.com/BurntSushi/toml"
)

// parse reads a TOML text into a tree of values with their places. Values come
// from one TOML library and places from another; a text that either of them
// refuses is refused. The error is a Fault or a syntaxFault.
func parse(src *source, text string, shift int) (*node, error) {
	places, err := index(src, text, shift)
	var syntax syntaxFault
	if err != nil && (!errors.As(err, &syntax) || !tame(text)) {
		return nil, err
	}
	var values map[string]any
	if _, wrong := toml.Decode(text, &values); wrong != nil {
		err = decodeFault(src, text, shift, wrong)
	}
	if err != nil {
		return nil, err
	}
	return fill(values, places, places), nil
}

// tame says that the nesting of a text, however it is read, is no danger to a
// reader that calls itself for each level.
func tame(text string) bool {
	depth, deepest, dots := 0, 0, 0
	for i := range len(text) {
		switch text[i] {
		case '[', '{':
			depth++
			deepest = max(deepest, depth)
		case ']', '}':
			depth--
		case '.':
			dots++
		case '\n':
			dots = 0
		}
		if deepest > 1000 || dots > 1000 {
			return false
		}
	}
	return true
}

// fill gives the tree of the decoded values, each at its place; a value whose
// place is not known has that of what holds it.
func fill(v any, place, holder *node) *node {
	if place == nil {
		place = &node{key: holder.key, at: holder.at, shape: scalar}
	}
	switch v := v.(type) {
	case map[string]any:
		n := newTable(place.key, place.at)
		for _, word := range place.words {
			if field, ok := v[word]; ok {
				n.put(word, fill(field, place.fields[word], place))
			}
		}
		for _, word := range slices.Sorted(maps.Keys(v)) {
			if _, ok := n.fields[word]; !ok {
				n.put(word, fill(v[word], nil, place))
			}
		}
		return n
	case []map[string]any:
		items := make([]any, len(v))
		for i := range v {
			items[i] = v[i]
		}
		n := fill(items, place, holder)
		n.tables = place.tables
		return n
	case []any:
		n := &node{key: place.key, at: place.at, shape: list, tables: place.tables}
		for i, item := range v {
			var p *node
			if i < len(place.items) {
				p = place.items[i]
			}
			n.items = append(n.items, fill(item, p, place))
		}
		return n
	}
	return &node{key: place.key, at: place.at, shape: scalar, scalar: v}
}
