package scenes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// override is one value put in place of another, or in place of a default.
type override struct {
	path  string      // "stair.water-stair.width"
	at    syntax.Span // where the path is written
	value *syntax.Node
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
	src := syntax.NewSource("--set", strings.Join(lines, "\n"), 1)
	var all []override
	for i, line := range lines {
		start := src.Lines[i]
		whole := src.Span(start, start+len(line))
		if i == maxSets {
			faults.Add(whole.Fault(fmt.Sprintf("more than %d --set", maxSets)))
			break
		}
		if i >= len(sets) {
			w := &moveWriter{src: src, start: start}
			all = append(all, w.move(moves[i-len(sets)]))
			continue
		}
		path, text, ok := strings.Cut(line, "=")
		if !ok {
			f := whole.Fault("no = between a key and its value")
			f.Allowed = "stair.water-stair.width=30, scale.ratio=100"
			faults.Add(f)
			continue
		}
		path, pathAt := trim(path, start)
		text, textAt := trim(text, start+strings.IndexByte(line, '=')+1)
		at := src.Span(pathAt, pathAt+len(path))
		if path == "" {
			faults.Add(whole.Fault("no key before the ="))
			continue
		}
		value, err := syntax.ParseValue(src, text, textAt)
		if err != nil {
			faults.Add(syntax.FaultOf(err))
			continue
		}
		value.Key = at
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

// ofGroups says whether a value is one of a group or of a place, from which parts follow.
func ofGroups(o override) bool {
	word, _, _ := strings.Cut(o.path, ".")
	return word == groupWord || word == placeWord
}

// apply puts overrides into a tree, each as a copy, since others may reach into it: those
// of groups and places first, and then the parts that follow from them. What is not a path
// of the scene is a fault.
func apply(root *syntax.Node, all []override, faults *Faults) {
	put(root, all, true, faults)
	if slices.ContainsFunc(all, ofGroups) {
		expand(root, faults)
	}
	put(root, all, false, faults)
}

// put puts those of groups and places into a tree, or the others.
func put(root *syntax.Node, all []override, groups bool, faults *Faults) {
	for _, o := range all {
		if ofGroups(o) != groups {
			continue
		}
		steps, wrong := target(root, o.path)
		if wrong != nil {
			faults.Add(wrong.fault(o.at))
			continue
		}
		n := root
		for _, step := range steps[:len(steps)-1] {
			n = step.down(n, o.at)
		}
		steps[len(steps)-1].put(n, o.value.Clone())
	}
}

// step is one word of a path, or the place of one in a list.
type step struct {
	word string
	item int // -1 for a word
}

// down goes to what a step leads to and makes a table where there is nothing.
func (s step) down(n *syntax.Node, at syntax.Span) *syntax.Node {
	if s.item >= 0 {
		return n.Items[s.item]
	}
	child := n.Fields[s.word]
	if child == nil || child.Shape == syntax.Scalar {
		child = syntax.NewTable(at, at)
		n.Put(s.word, child)
	}
	return child
}

func (s step) put(n *syntax.Node, value *syntax.Node) {
	if s.item >= 0 {
		n.Items[s.item] = value
		return
	}
	n.Put(s.word, value)
}

// misfit says why a path leads nowhere.
type misfit struct {
	word                   string // of the path; "" for all of it
	text, allowed, nearest string
	partial                bool // the path is the beginning of one that leads somewhere
}

// fault points at the misfitting word of a path that is written at a span.
func (m *misfit) fault(at syntax.Span) Fault {
	if i := strings.LastIndex(at.Src.Text[at.Start:at.End], m.word); m.word != "" && i >= 0 {
		at.Start += i
		at.End = at.Start + len(m.word)
	}
	f := at.Fault(m.text)
	f.Allowed, f.Nearest = m.allowed, m.nearest
	return f
}

// target finds what a path leads to: kind.name.key, kind.key for a kind of which
// a scene has one, table.key, and further keys within a key that is a table.
func target(root *syntax.Node, path string) ([]step, *misfit) {
	words := strings.Split(path, ".")
	if len(words) > syntax.MaxDepth {
		return nil, &misfit{text: fmt.Sprintf("a path of more than %d words", syntax.MaxDepth)}
	}
	first := words[0]
	steps := []step{{first, -1}}
	nowhere := func(word string, within string, valid []string) *misfit {
		text := fmt.Sprintf("no %s in %s", syntax.Quote(word), within)
		if within == "" {
			text = fmt.Sprintf("nothing in a scene is called %s", syntax.Quote(word))
		}
		near := nearest(word, valid)
		if near != "" {
			near = strings.Replace(path, word, near, 1)
		}
		return &misfit{word: word, text: text, allowed: syntax.Listed(valid), nearest: near}
	}
	partial := func(valid []string) *misfit {
		m := &misfit{text: fmt.Sprintf("%s is not a whole path", syntax.Quote(path)), partial: true}
		if len(valid) > 0 {
			m.allowed = path + " with a dot and one of " + syntax.Listed(valid)
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
		if n := root.Fields[levelsWord]; n != nil {
			names = n.Words
		}
		if len(rest) == 0 {
			return nil, partial(names)
		}
		if len(names) == 0 || root.Fields[levelsWord].Fields[rest[0]] == nil {
			return nil, nowhere(rest[0], "[levels]", names)
		}
		if len(rest) > 1 {
			return nil, &misfit{text: "a level has no keys below it", allowed: levelsWord + "." + rest[0]}
		}
		return append(steps, step{rest[0], -1}), nil
	case first == groupWord || first == placeWord:
		return ofGroup(root, steps, rest, nowhere, partial)
	case kind == nil:
		var valid []string
		for _, w := range topWords() {
			if w != variantWord {
				valid = append(valid, w)
			}
		}
		return nil, nowhere(first, "", valid)
	case kind.Once:
		if n := root.Fields[first]; n == nil || n.Shape != syntax.Table {
			return nil, &misfit{text: fmt.Sprintf("the scene has no %s to change", first)}
		}
		keys = kind.Keys()
	default:
		var wrong *misfit
		if steps, wrong = named(root, first, steps, rest, nowhere, partial); wrong != nil {
			return nil, wrong
		}
		rest, keys = rest[1:], kind.Keys()
	}
	return below(steps, rest, keys, root, nowhere, partial)
}

// named follows a path to one of several tables of a word: the one of a name.
func named(of *syntax.Node, word string, steps []step, rest []string,
	nowhere func(word, within string, valid []string) *misfit, partial func([]string) *misfit,
) ([]step, *misfit) {
	n := of.Fields[word]
	if n == nil || n.Shape != syntax.List || len(n.Items) == 0 {
		return nil, &misfit{text: fmt.Sprintf("the scene has no %s to change", word)}
	}
	if len(rest) == 0 {
		return nil, partial(namesOf(n, word))
	}
	i := slices.IndexFunc(n.Items, func(item *syntax.Node) bool { return givenName(item) == rest[0] })
	if i < 0 {
		names := namesOf(n, word)
		if i = slices.Index(names, rest[0]); i < 0 {
			return nil, nowhere(rest[0], "the scene's "+word+" parts", names)
		}
	}
	return append(steps, step{"", i}), nil
}

// ofGroup follows a path into a group, place.NAME.key or group.NAME.KIND.NAME.key; its
// with, and the set of a place, have words of their own.
func ofGroup(root *syntax.Node, steps []step, rest []string,
	nowhere func(word, within string, valid []string) *misfit, partial func([]string) *misfit,
) ([]step, *misfit) {
	first, keys, free := steps[0].word, groupKeys, withWord
	if first == placeWord {
		keys, free = placeKeys, setWord
	}
	steps, wrong := named(root, first, steps, rest, nowhere, partial)
	if wrong != nil {
		return nil, wrong
	}
	n := follow(root, steps)
	rest = rest[1:]
	switch {
	case len(rest) == 2 && rest[0] == free:
		group := n
		if first == placeWord {
			name, _ := n.Fields[groupWord].Text()
			if i := slices.Index(namesOf(root.Fields[groupWord], groupWord), name); i >= 0 {
				group = root.Fields[groupWord].Items[i]
			}
		}
		if with := group.Field(withWord); with.Field(rest[1]) == nil {
			var valid []string
			if with != nil {
				valid = with.Words
			}
			return nil, nowhere(rest[1], "the group's with", valid)
		}
		return append(steps, step{free, -1}, step{rest[1], -1}), nil
	case first == groupWord && len(rest) > 0 && parts.KindOf(rest[0]) != nil && n.Field(rest[0]) != nil:
		kind := parts.KindOf(rest[0])
		if steps, wrong = named(n, kind.Word, append(steps, step{kind.Word, -1}), rest[1:], nowhere, partial); wrong != nil {
			return nil, wrong
		}
		return below(steps, rest[2:], kind.Keys(), root, nowhere, partial)
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
func below(steps []step, rest []string, keys []parts.Key, root *syntax.Node,
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
			if n == nil || n.Shape != syntax.List || item >= len(n.Items) || n.Items[item].Shape != syntax.Table {
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
func follow(n *syntax.Node, steps []step) *syntax.Node {
	for _, s := range steps {
		switch {
		case n == nil:
			return nil
		case s.item >= 0:
			if n.Shape != syntax.List || s.item >= len(n.Items) {
				return nil
			}
			n = n.Items[s.item]
		default:
			n = n.Fields[s.word]
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
func namesOf(n *syntax.Node, kind string) []string {
	if n == nil || n.Shape != syntax.List {
		return nil
	}
	names := make([]string, len(n.Items))
	for i, item := range n.Items {
		names[i] = fmt.Sprintf("%s-%d", kind, i+1)
		if given := givenName(item); given != "" {
			names[i] = given
		}
	}
	return names
}

// givenName is the name that a part is given where it is written, "" for none.
func givenName(n *syntax.Node) string {
	name, _ := n.Field(nameWord).Text()
	return name
}
