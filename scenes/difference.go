package scenes

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"socle/parts"
)

// Difference is one thing that two scenes do not have alike.
type Difference struct {
	Path string // as --set has it: "stair.steps.width", "base.walker.magnet[0].count"; of a part, "crater.hit"
	Was  string // the value as it is written in the first; "" where it is left out
	Now  string // and in the second

	Added   bool // a part, or one of a list of tables, that only the second has
	Removed bool // one that only the first has
}

// Differences lists what two scenes that were read have not alike, by the values that
// are written: each may be a variant, or have --set values in it. Parts are matched by
// kind and name, wherever they stand; 5 is 5.0, and "3.1 m" is "310 cm". Variants,
// comments and order do not count. They come in the order of the second one's text,
// with what only the first has at the end of each part, and of the whole.
func Differences(a, b *Scene) []Difference {
	var found differences
	was := map[string]section{}
	for _, t := range a.sections() {
		was[t.path] = t
	}
	for _, t := range b.sections() {
		old, both := was[t.path]
		delete(was, t.path)
		if !both && t.part {
			found = append(found, Difference{Path: t.path, Added: true})
			continue
		}
		found.below(t.path, t.keys, old.node, t.node)
	}
	for _, t := range a.sections() {
		if _, left := was[t.path]; !left {
			continue
		}
		if t.part {
			found = append(found, Difference{Path: t.path, Removed: true})
			continue
		}
		found.below(t.path, t.keys, t.node, nil)
	}
	return found
}

// section is a part of a scene, one of its own tables, or its own single keys.
type section struct {
	path string
	part bool
	keys []parts.Key // nil for the levels, whose words are their own
	node *node
}

// sections lists a scene's, in the order of its text; what stands elsewhere, as a
// printer's file does, comes last.
func (s *Scene) sections() []section {
	all := []section{{keys: topKeys, node: s.root}}
	for _, word := range s.root.words {
		n, kind := s.root.fields[word], parts.KindOf(word)
		switch {
		case word == levelsWord:
			all = append(all, section{path: word, node: n})
		case ownKeys(word) != nil:
			all = append(all, section{path: word, keys: ownKeys(word), node: n})
		case kind == nil:
		case kind.Once:
			all = append(all, section{word, true, kind.Keys(), n})
		default:
			for i, name := range namesOf(n, word) {
				all = append(all, section{word + "." + name, true, kind.Keys(), n.items[i]})
			}
		}
	}
	elsewhere := func(t section) int {
		if t.node.at.src == s.src {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(all[1:], func(x, y section) int {
		return cmp.Or(cmp.Compare(elsewhere(x), elsewhere(y)), cmp.Compare(x.node.at.start, y.node.at.start))
	})
	return all
}

// differences are those found so far.
type differences []Difference

// below compares the keys of a table, which may be nil on one side.
func (found *differences) below(path string, keys []parts.Key, was, now *node) {
	var words []string
	for _, n := range []*node{now, was} {
		if n == nil || n.shape != table {
			continue
		}
		for _, word := range n.words {
			if !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
	}
	for _, word := range words {
		key := parts.Key{Word: word, Type: parts.Height} // a level
		if keys != nil {
			i := slices.IndexFunc(keys, func(k parts.Key) bool { return k.Word == word })
			if i < 0 {
				continue // of the root: a section of its own
			}
			key = keys[i]
		}
		if key.Type == parts.Name && word == nameWord {
			continue // the path has it
		}
		full := word
		if path != "" {
			full = path + "." + word
		}
		found.at(full, key, was.field(word), now.field(word))
	}
}

// at compares one value, either of which may be nil.
func (found *differences) at(path string, key parts.Key, was, now *node) {
	switch key.Type {
	case parts.Table:
		found.below(path, key.Sub, was, now)
		return
	case parts.Tables:
		for i := range max(was.length(), now.length()) {
			item := fmt.Sprintf("%s[%d]", path, i)
			switch {
			case i >= was.length():
				*found = append(*found, Difference{Path: item, Now: now.items[i].shown(), Added: true})
			case i >= now.length():
				*found = append(*found, Difference{Path: item, Was: was.items[i].shown(), Removed: true})
			default:
				found.below(item, key.Sub, was.items[i], now.items[i])
			}
		}
		return
	}
	if was == nil || now == nil || !sameValue(was, now, key.Type) {
		*found = append(*found, Difference{Path: path, Was: was.shown(), Now: now.shown()})
	}
}

// sameValue says whether two values of a key's type are the same value.
func sameValue(n, other *node, t parts.Type) bool {
	if n.shape != other.shape {
		return false
	}
	if n.shape == list {
		return slices.EqualFunc(n.items, other.items, func(x, y *node) bool { return sameValue(x, y, t) })
	}
	if x, ok := n.number(); ok {
		if y, ok := other.number(); ok {
			return x == y
		}
	}
	x, isText := n.text()
	y, otherIsText := other.text()
	if !isText || !otherIsText {
		return n.scalar == other.scalar
	}
	switch t {
	case parts.Text, parts.Name, parts.Word, parts.Ref, parts.Refs:
		return x == y
	}
	return x == y || sameQuantity(x, y)
}

// sameQuantity says whether two texts are the same full size.
func sameQuantity(x, y string) bool {
	const play = 1e-12 // of it: what the units' own fractions leave
	v, _, err := quantity(x)
	w, _, otherErr := quantity(y)
	return err == nil && otherErr == nil && math.Abs(v-w) <= play*math.Abs(v)
}
