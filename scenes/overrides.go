package scenes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"socle/parts"
)

// override is one value put in place of another, or in place of a default.
type override struct {
	path  string // "stair.water-stair.width"
	at    span   // where the path is written
	value *node
}

// maxSets is the most --set texts, and changes in one variant.
const maxSets = 200

// readSets reads the --set texts: path=value. The value is written as in a scene,
// but text without blanks at its ends needs no quotes. Moves come after the texts, as
// the values that they are.
func readSets(sets []string, moves []parts.Move, faults *Faults) []override {
	lines := make([]string, 0, len(sets)+len(moves))
	for _, set := range sets {
		lines = append(lines, strings.NewReplacer("\n", " ", "\r", " ").Replace(set))
	}
	for _, m := range moves {
		lines = append(lines, MoveText(m))
	}
	src := newSource("--set", strings.Join(lines, "\n"), 1)
	var all []override
	for i, line := range lines {
		start := src.lines[i]
		whole := span{src, start, start + len(line)}
		if i == maxSets {
			faults.add(whole.fault(fmt.Sprintf("more than %d --set", maxSets)))
			break
		}
		if i >= len(sets) {
			w := &moveWriter{src: src, start: start}
			all = append(all, w.move(moves[i-len(sets)]))
			continue
		}
		path, text, ok := strings.Cut(line, "=")
		if !ok {
			f := whole.fault("no = between a key and its value")
			f.Allowed = "stair.water-stair.width=30, scale.ratio=100"
			faults.add(f)
			continue
		}
		path, pathAt := trim(path, start)
		text, textAt := trim(text, start+strings.IndexByte(line, '=')+1)
		at := span{src, pathAt, pathAt + len(path)}
		if path == "" {
			faults.add(whole.fault("no key before the ="))
			continue
		}
		value, err := parseValue(src, text, textAt)
		if err != nil {
			faults.add(faultOf(err))
			continue
		}
		value.key = at
		all = append(all, override{path, at, value})
	}
	return all
}

// trim cuts blanks off a text that starts at an offset and gives what is left with
// the offset where that starts.
func trim(text string, at int) (string, int) {
	left := strings.TrimLeft(text, " \t")
	return strings.TrimRight(left, " \t"), at + len(text) - len(left)
}

// apply puts overrides into a tree, each as a copy, since others may reach into it.
// What is not a path of the scene is a fault.
func apply(root *node, all []override, faults *Faults) {
	for _, o := range all {
		steps, wrong := target(root, o.path)
		if wrong != nil {
			faults.add(wrong.fault(o.at))
			continue
		}
		n := root
		for _, step := range steps[:len(steps)-1] {
			n = step.down(n, o.at)
		}
		steps[len(steps)-1].put(n, o.value.clone())
	}
}

// step is one word of a path, or the place of one in a list.
type step struct {
	word string
	item int // -1 for a word
}

// down goes to what a step leads to and makes a table where there is nothing.
func (s step) down(n *node, at span) *node {
	if s.item >= 0 {
		return n.items[s.item]
	}
	child := n.fields[s.word]
	if child == nil || child.shape == scalar {
		child = newTable(at, at)
		n.put(s.word, child)
	}
	return child
}

func (s step) put(n *node, value *node) {
	if s.item >= 0 {
		n.items[s.item] = value
		return
	}
	n.put(s.word, value)
}

// misfit says why a path leads nowhere.
type misfit struct {
	word                   string // of the path; "" for all of it
	text, allowed, nearest string
	partial                bool // the path is the beginning of one that leads somewhere
}

// fault points at the misfitting word of a path that is written at a span.
func (m *misfit) fault(at span) Fault {
	if i := strings.LastIndex(at.src.text[at.start:at.end], m.word); m.word != "" && i >= 0 {
		at.start += i
		at.end = at.start + len(m.word)
	}
	f := at.fault(m.text)
	f.Allowed, f.Nearest = m.allowed, m.nearest
	return f
}

// target finds what a path leads to: kind.name.key, kind.key for a kind of which
// a scene has one, table.key, and further keys within a key that is a table.
func target(root *node, path string) ([]step, *misfit) {
	words := strings.Split(path, ".")
	if len(words) > maxDepth {
		return nil, &misfit{text: fmt.Sprintf("a path of more than %d words", maxDepth)}
	}
	first := words[0]
	steps := []step{{first, -1}}
	nowhere := func(word string, within string, valid []string) *misfit {
		text := fmt.Sprintf("no %s in %s", quote(word), within)
		if within == "" {
			text = fmt.Sprintf("nothing in a scene is called %s", quote(word))
		}
		near := nearest(word, valid)
		if near != "" {
			near = strings.Replace(path, word, near, 1)
		}
		return &misfit{word: word, text: text, allowed: listed(valid), nearest: near}
	}
	partial := func(valid []string) *misfit {
		m := &misfit{text: fmt.Sprintf("%s is not a whole path", quote(path)), partial: true}
		if len(valid) > 0 {
			m.allowed = path + " with a dot and one of " + listed(valid)
		}
		return m
	}
	var keys []parts.Key
	rest := words[1:]
	kind := parts.KindOf(first)
	switch {
	case first == titleWord || first == seedWord:
		if len(rest) > 0 {
			return nil, &misfit{text: fmt.Sprintf("%s has no keys below it", first), allowed: first, nearest: first}
		}
		return steps, nil
	case ownKeys(first) != nil:
		keys = ownKeys(first)
	case first == levelsWord:
		var names []string
		if n := root.fields[levelsWord]; n != nil {
			names = n.words
		}
		if len(rest) == 0 {
			return nil, partial(names)
		}
		if len(names) == 0 || root.fields[levelsWord].fields[rest[0]] == nil {
			return nil, nowhere(rest[0], "[levels]", names)
		}
		if len(rest) > 1 {
			return nil, &misfit{text: "a level has no keys below it", allowed: levelsWord + "." + rest[0]}
		}
		return append(steps, step{rest[0], -1}), nil
	case kind == nil:
		var valid []string
		for _, w := range topWords() {
			if w != variantWord {
				valid = append(valid, w)
			}
		}
		return nil, nowhere(first, "", valid)
	case kind.Once:
		if n := root.fields[first]; n == nil || n.shape != table {
			return nil, &misfit{text: fmt.Sprintf("the scene has no %s to change", first)}
		}
		keys = kind.Keys()
	default:
		n := root.fields[first]
		if n == nil || n.shape != list || len(n.items) == 0 {
			return nil, &misfit{text: fmt.Sprintf("the scene has no %s to change", first)}
		}
		if len(rest) == 0 {
			return nil, partial(namesOf(n, first))
		}
		i := slices.IndexFunc(n.items, func(item *node) bool { return givenName(item) == rest[0] })
		if i < 0 {
			names := namesOf(n, first)
			if i = slices.Index(names, rest[0]); i < 0 {
				return nil, nowhere(rest[0], "the scene's "+first+" parts", names)
			}
		}
		steps = append(steps, step{"", i})
		rest, keys = rest[1:], kind.Keys()
	}
	return below(steps, rest, keys, root, nowhere, partial)
}

// ownKeys are the keys of one of the scene's own tables, nil for any other word.
func ownKeys(word string) []parts.Key {
	for _, t := range ownTables {
		if t.word == word {
			return t.keys
		}
	}
	return nil
}

// below follows the words of a path within the keys of a table.
func below(steps []step, rest []string, keys []parts.Key, root *node,
	nowhere func(word, within string, valid []string) *misfit, partial func([]string) *misfit,
) ([]step, *misfit) {
	within := "the keys of " + steps[0].word
	for len(rest) > 0 {
		word, item, indexed := splitIndex(rest[0])
		i := slices.IndexFunc(keys, func(k parts.Key) bool { return k.Word == word })
		if i < 0 {
			return nil, nowhere(word, within, words(keys))
		}
		k := keys[i]
		steps = append(steps, step{word, -1})
		rest = rest[1:]
		if indexed {
			if k.Type != parts.Tables {
				return nil, &misfit{text: fmt.Sprintf("%s is not a list of tables", word), allowed: word, nearest: word}
			}
			n := follow(root, steps)
			if n == nil || n.shape != list || item >= len(n.items) || n.items[item].shape != table {
				return nil, &misfit{text: fmt.Sprintf("%s has no table [%d]: they count from 0", word, item)}
			}
			steps = append(steps, step{"", item})
		}
		if len(rest) == 0 {
			return steps, nil
		}
		if len(k.Sub) == 0 || k.Type == parts.Tables && !indexed {
			return nil, &misfit{text: fmt.Sprintf("%s has no keys below it", word), allowed: allowedValues(k)}
		}
		keys, within = k.Sub, "the keys of "+word
	}
	return nil, partial(words(keys))
}

// follow gives what steps lead to, or nil.
func follow(n *node, steps []step) *node {
	for _, s := range steps {
		switch {
		case n == nil:
			return nil
		case s.item >= 0:
			if n.shape != list || s.item >= len(n.items) {
				return nil
			}
			n = n.items[s.item]
		default:
			n = n.fields[s.word]
		}
	}
	return n
}

// splitIndex splits "magnet[1]" into its word and its index.
func splitIndex(word string) (bare string, item int, ok bool) {
	open := strings.IndexByte(word, '[')
	if open < 0 || !strings.HasSuffix(word, "]") {
		return word, 0, false
	}
	i, err := strconv.Atoi(word[open+1 : len(word)-1])
	if err != nil || i < 0 {
		return word, 0, false
	}
	return word[:open], i, true
}

// namesOf lists the names of the parts of one kind, as written or made up.
func namesOf(n *node, kind string) []string {
	if n == nil || n.shape != list {
		return nil
	}
	names := make([]string, len(n.items))
	for i, item := range n.items {
		names[i] = fmt.Sprintf("%s-%d", kind, i+1)
		if given := givenName(item); given != "" {
			names[i] = given
		}
	}
	return names
}

// givenName is the name that a part is given where it is written, "" for none.
func givenName(n *node) string {
	name, _ := n.field(nameWord).text()
	return name
}
