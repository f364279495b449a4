package scenes

import (
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/scenes/syntax"
)

// A group is parts that are written once and placed as often as the scene likes. Before a
// scene is decoded, the parts of each place are put beside the scene's own, each with a
// name of its own; its coordinates are taken to the scene when they are read.

const (
	groupWord = "group"
	placeWord = "place"
	withWord  = "with"
)

// placing are the keys of a place.
type placing struct {
	Name   string   `key:"name" type:"name" doc:"what the names of its parts begin with, with a number where it stands at several points; left out, the group's name and a number"`
	Group  string   `key:"group" type:"text" required:"yes" doc:"the name of the group"`
	At     []r2.Vec `key:"at" type:"points" required:"yes" doc:"where the group's own [0, 0] comes to lie, once or several times"`
	Turn   float64  `key:"turn" type:"angle" default:"0" min:"-360" max:"360" doc:"how far it is turned, anticlockwise"`
	Mirror bool     `key:"mirror" type:"flag" default:"false" doc:"mirrored about its own x axis before it is turned: places, lines, areas and sides are, what a thing looks like is not"`
}

var (
	placeKeys = append(parts.KeysOf(reflect.TypeFor[placing]()), parts.Key{Word: setWord, Type: parts.Table, Doc: `what this place changes of the group's with: { high = "5 m" }`})
	groupKeys = []parts.Key{
		{Word: nameWord, Type: parts.Name, Required: true, Doc: "what places call it"},
		{Word: withWord, Type: parts.Table, Doc: `values that a place may change, with those that they have otherwise: { high = "4 m" }. Within the group "$high" stands for the value; in a text it may stand among other words: "$low + 1 m"`},
	}
)

const groupDoc = "Parts that are written once and placed often: a bay of a hall, a dugout. Each is written as [[group.KIND]], in coordinates of the group's own. Names within the group lead to its own parts first."

const groupExample = `[[group]]
name = "store"
with = { tall = "900 mm" }

[[group.pallet]]
at = [[0, 0]]

[[group.crate]]
at = [[-4, 0]]
turn = 8

[[group.barrel]]
at = [[6, -2]]
height = "$tall"

[[place]]
group = "store"
at = [[25, 33]]

[[place]]
group = "store"
at = [[37, 20]]
turn = -75
mirror = true
set = { tall = "600 mm" }`

const placeDoc = "Sets a group into the scene: turned, mirrored, with values of its own. Its parts are called by the place and their own names: bay-1-pier."

const (
	maxGroups  = 200
	maxPlaces  = 1000 // of one group's place, and places of the scene
	maxValues  = 200  // of one group
	maxCopies  = 5000 // parts that all places give
	mostNested = 8    // groups within each other
)

// parameter is how a value of a group's with is written.
var (
	parameterForm = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_-]{0,63}$`)
	parameterUse  = regexp.MustCompile(`\$[A-Za-z][A-Za-z0-9_-]{0,63}`)
)

// grouping expands the groups of one tree.
type grouping struct {
	root   *syntax.Node
	faults *Faults
	groups map[string]*syntax.Node
	names  []string        // of the groups
	placed map[string]int  // copies of each group
	called map[string]bool // names of places
	copies int
	full   bool
}

// expand puts the parts of all places into a tree, in place of those that were there
// before. It gives the parts of groups that are placed nowhere, by kind: their keys are
// checked, and no more.
func expand(root *syntax.Node, faults *Faults) (unplaced *syntax.Node) {
	for _, word := range slices.Clone(root.Words) {
		n := root.Fields[word]
		if n.Shape != syntax.List || !slices.ContainsFunc(n.Items, isCopy) {
			continue
		}
		n.Items = slices.DeleteFunc(slices.Clone(n.Items), isCopy)
		if len(n.Items) == 0 {
			delete(root.Fields, word)
			root.Words = slices.DeleteFunc(root.Words, func(w string) bool { return w == word })
		}
	}
	g := &grouping{root: root, faults: faults, groups: map[string]*syntax.Node{}, placed: map[string]int{}, called: map[string]bool{}}
	g.read()
	for _, n := range g.tables(root, placeWord, maxPlaces) {
		g.place(n, "", nil, nil, root)
	}
	unplaced = syntax.NewTable(root.Key, root.At)
	for _, name := range g.names {
		if g.placed[name] == 0 && !g.full {
			g.instance(name, name, &syntax.Copy{Name: name}, g.values(g.groups[name], nil), []string{name}, unplaced)
		}
	}
	return unplaced
}

func isCopy(n *syntax.Node) bool { return n.Copy != nil }

func (g *grouping) wrong(at syntax.Span, text, allowed, near string) {
	if g.faults.Full() {
		g.faults.More++
		return
	}
	f := at.Fault(text)
	f.Allowed, f.Nearest = allowed, near
	g.faults.Add(f)
}

// tables are the tables of a word, which stand under headers of their own.
func (g *grouping) tables(n *syntax.Node, word string, most int) []*syntax.Node {
	list := n.Fields[word]
	switch {
	case list == nil:
		return nil
	case list.Shape == syntax.Table:
		g.wrong(list.At, word+" is in single brackets", fmt.Sprintf("[[%s]], as a scene may have several", word), "")
		return nil
	case list.Shape == syntax.Scalar || slices.ContainsFunc(list.Items, func(n *syntax.Node) bool { return n.Shape != syntax.Table }):
		g.wrong(list.At, word+" is not a list of tables", fmt.Sprintf("[[%s]] with keys below it", word), "")
		return nil
	case len(list.Items) > most:
		g.wrong(list.Items[most].At, fmt.Sprintf("more than %d of %s", most, syntax.Quote(word)), "", "")
		return nil
	}
	return list.Items
}

// read reads what groups there are.
func (g *grouping) read() {
	var allowed []string
	for _, k := range parts.Kinds() {
		if !k.Once {
			allowed = append(allowed, k.Word)
		}
	}
	for _, n := range g.tables(g.root, groupWord, maxGroups) {
		name, isText := n.Fields[nameWord].Text()
		if !isText {
			at := n.At
			if n.Fields[nameWord] != nil {
				at = n.Fields[nameWord].At
			}
			g.wrong(at, "a group needs a name", nameAllowed, "")
			continue
		}
		why, allow, near := nameFault(name)
		switch {
		case why != "":
			g.wrong(n.Fields[nameWord].At, why, allow, near)
			continue
		case g.groups[name] != nil:
			g.wrong(n.Fields[nameWord].At, fmt.Sprintf("another group is called %s", syntax.Quote(name)), "names that differ", "")
			continue
		}
		g.groups[name] = n
		g.names = append(g.names, name)
		for _, word := range n.Words {
			field := n.Fields[word]
			if word != nameWord && word != withWord && word != placeWord && !slices.Contains(allowed, word) {
				text, may := fmt.Sprintf("a group cannot have %s", syntax.Quote(word)), slices.Concat([]string{nameWord, withWord, placeWord}, allowed)
				g.wrong(field.Key, text, "name, with, and parts: [[group.column]], [[group.place]]", syntax.Nearest(word, may))
			}
		}
		g.parameters(name, n)
	}
}

// parameters holds the values that a group takes to their form, and each to a use.
func (g *grouping) parameters(name string, n *syntax.Node) {
	with := n.Fields[withWord]
	if with == nil {
		return
	}
	if with.Shape != syntax.Table {
		g.wrong(with.At, "with is a table, not "+with.Describe(), `with = { high = "4 m" }`, "")
		return
	}
	if len(with.Words) > maxValues {
		g.wrong(with.Fields[with.Words[maxValues]].Key, fmt.Sprintf("more than %d values of one group", maxValues), "", "")
		return
	}
	used := map[string]bool{}
	for _, word := range n.Words {
		if word != withWord {
			uses(n.Fields[word], used)
		}
	}
	for use := range used {
		if with.Fields[use] == nil {
			return // one of its values may be meant, which is told
		}
	}
	for _, word := range with.Words {
		switch {
		case !parameterForm.MatchString(word):
			g.wrong(with.Fields[word].Key, fmt.Sprintf("%s cannot be the name of a value", syntax.Quote(word)), "a letter, then up to 63 letters, digits, - and _", "")
		case !used[word]:
			g.wrong(with.Fields[word].Key, fmt.Sprintf("nothing in group %s uses %s", syntax.Quote(name), syntax.Quote(word)), fmt.Sprintf(`"$%s" as a value in the group, or no %s`, word, word), "")
		}
	}
}

// uses gathers the values that are used below a node.
func uses(n *syntax.Node, used map[string]bool) {
	if text, ok := n.Scalar.(string); ok {
		for _, use := range parameterUse.FindAllString(text, -1) {
			used[use[1:]] = true
		}
	}
	for _, item := range n.Items {
		uses(item, used)
	}
	for _, field := range n.Fields {
		uses(field, used)
	}
}

// values are those that a group has at a place: its own, and over them those that are set.
func (g *grouping) values(group, place *syntax.Node) map[string]*syntax.Node {
	all := map[string]*syntax.Node{}
	if with := group.Fields[withWord]; with != nil && with.Shape == syntax.Table {
		maps.Copy(all, with.Fields)
	}
	set := place.Field(setWord)
	if set == nil {
		return all
	}
	if set.Shape != syntax.Table {
		g.wrong(set.At, "set of a place is a table, not "+set.Describe(), `set = { high = "5 m" }`, "")
		return all
	}
	for _, word := range set.Words {
		if all[word] == nil {
			name, _ := place.Fields[groupWord].Text()
			known := slices.Sorted(maps.Keys(all))
			g.wrong(set.Fields[word].Key, fmt.Sprintf("group %s has no value %s", syntax.Quote(name), syntax.Quote(word)), syntax.Listed(known), syntax.Nearest(word, known))
			continue
		}
		all[word] = set.Fields[word]
	}
	return all
}

// place puts the parts of one place into a tree and gives their names, without the
// prefix: before is what their names begin with, up the placing of the group that the
// place stands in, within the groups that it stands in.
func (g *grouping) place(n *syntax.Node, before string, up *syntax.Copy, within []string, into *syntax.Node) (names []string) {
	for _, word := range n.Words {
		if valid := words(placeKeys); !slices.Contains(valid, word) {
			g.wrong(n.Fields[word].Key, fmt.Sprintf("unknown key %s in place", syntax.Quote(word)), syntax.Listed(valid), syntax.Nearest(word, valid))
		}
	}
	field := n.Fields[groupWord]
	group, isText := field.Text()
	switch {
	case field == nil:
		g.wrong(n.At, "a place lacks the key \"group\"", "group is the name of one: "+syntax.Listed(g.names), "")
		return nil
	case !isText || g.groups[group] == nil:
		g.wrong(field.At, fmt.Sprintf("no group is called %s", syntax.Quote(group)), syntax.Listed(g.names), syntax.Nearest(group, g.names))
		return nil
	case slices.Contains(within, group):
		g.wrong(field.At, fmt.Sprintf("group %s is placed within itself", syntax.Quote(group)), "a group that does not lead back to this one", "")
		return nil
	case len(within) >= mostNested:
		g.wrong(field.At, fmt.Sprintf("groups nested more than %d deep", mostNested), "", "")
		return nil
	}
	at, given := n.Fields[atWord], n.Fields[nameWord]
	name, named := given.Text()
	switch {
	case at == nil:
		g.wrong(n.At, "a place lacks the key \"at\"", "at is a list of points: [[30, 20], [60, 20]]", "")
		return nil
	case at.Length() > maxPlaces:
		g.wrong(at.At, fmt.Sprintf("a place of more than %d points", maxPlaces), "", "")
		return nil
	case named && g.called[before+name]:
		g.wrong(given.At, fmt.Sprintf("another place is called %s", syntax.Quote(name)), "names that differ", "")
		return nil
	}
	if named {
		g.called[before+name] = true
	}
	values := g.values(g.groups[group], n)
	for i := range max(1, at.Length()) {
		own := name
		switch g.placed[group]++; {
		case !named && before == "":
			own = fmt.Sprintf("%s-%d", group, g.placed[group])
		case !named && at.Length() < 2:
			own = group
		case !named:
			own = fmt.Sprintf("%s-%d", group, i+1)
		case at.Length() > 1:
			own = fmt.Sprintf("%s-%d", name, i+1)
		}
		c := &syntax.Copy{Place: n, Item: i, Up: up, Name: before + own}
		for _, local := range g.instance(group, c.Name, c, values, append(slices.Clone(within), group), into) {
			names = append(names, own+"-"+local)
		}
	}
	return names
}

// atWord is the key of where a group is placed.
const atWord = "at"

// instance puts one copy of a group's parts into a tree and gives their names, without
// the prefix.
func (g *grouping) instance(group, prefix string, c *syntax.Copy, values map[string]*syntax.Node, within []string, into *syntax.Node) (names []string) {
	n := g.groups[group]
	type made struct {
		kind *parts.Kind
		node *syntax.Node
	}
	var all []made
	for _, k := range parts.Kinds() {
		list := n.Fields[k.Word]
		if list == nil || k.Once {
			continue
		}
		if list.Shape != syntax.List {
			if c.Item == 0 {
				g.wrong(list.At, fmt.Sprintf("%s is not a list of tables", k.Word), fmt.Sprintf("[[group.%s]] with keys below it", k.Word), "")
			}
			continue
		}
		for i, name := range namesOf(list, k.Word) {
			if g.copies++; g.copies > maxCopies {
				if !g.full {
					g.wrong(list.Items[i].At, fmt.Sprintf("the places of groups give more than %d parts", maxCopies), "fewer places", "")
				}
				g.full = true
				return names
			}
			item := list.Items[i]
			if item.Shape != syntax.Table {
				g.wrong(item.At, fmt.Sprintf("a %s is a table, not %s", k.Word, item.Describe()), fmt.Sprintf("[[group.%s]] with keys below it", k.Word), "")
				continue
			}
			part := g.filled(item.Clone(), group, values)
			part.MarkCopy(c)
			called := &syntax.Node{Key: part.At, At: part.At, Copy: c}
			if given := part.Fields[nameWord]; given != nil {
				called.Key, called.At = given.Key, given.At
			}
			called.Scalar = prefix + "-" + name
			part.Put(nameWord, called)
			all, names = append(all, made{k, part}), append(names, name)
		}
	}
	for _, item := range g.tables(n, placeWord, maxPlaces) {
		if g.full {
			break
		}
		inner := g.filled(item.Clone(), group, values)
		names = append(names, g.place(inner, prefix+"-", c, within, into)...)
	}
	local := make(map[string]bool, len(names))
	for _, name := range names {
		local[name] = true
	}
	for _, m := range all {
		lead(m.node, m.kind.Keys(), prefix, local)
		list := into.Fields[m.kind.Word]
		if list == nil {
			list = &syntax.Node{Key: m.node.Key, At: m.node.At, Shape: syntax.List, Tables: true}
			into.Put(m.kind.Word, list)
		}
		if list.Shape == syntax.List { // else it is told of where it stands
			list.Items = append(slices.Clip(list.Items), m.node)
		}
	}
	return names
}

// filled puts values where a node uses them.
func (g *grouping) filled(n *syntax.Node, group string, values map[string]*syntax.Node) *syntax.Node {
	for i, item := range n.Items {
		n.Items[i] = g.filled(item, group, values)
	}
	for _, word := range n.Words {
		n.Fields[word] = g.filled(n.Fields[word], group, values)
	}
	text, isText := n.Scalar.(string)
	if !isText || !strings.Contains(text, "$") {
		return n
	}
	value := func(use string) *syntax.Node {
		v := values[use[1:]]
		if v == nil {
			known := slices.Sorted(maps.Keys(values))
			g.wrong(n.At, fmt.Sprintf("group %s has no value %s", syntax.Quote(group), syntax.Quote(use[1:])), "a value of its with: "+syntax.Listed(known), syntax.Nearest(use[1:], known))
		}
		return v
	}
	if use := parameterUse.FindString(text); use == text {
		v := value(use)
		if v == nil {
			return n
		}
		v = v.Clone()
		v.Key = n.Key
		return v
	}
	n.Scalar = parameterUse.ReplaceAllStringFunc(text, func(use string) string {
		v := value(use)
		if given, ok := v.Text(); ok {
			return given
		}
		if v != nil && v.Shape == syntax.Scalar {
			if number, ok := v.Number(); ok {
				return syntax.FormatNumber(number)
			}
		}
		return use
	})
	return n
}

// lead gives the references of a copy to parts of its own group the names that those
// have here.
func lead(n *syntax.Node, keys []parts.Key, prefix string, local map[string]bool) {
	rename := func(at *syntax.Node) {
		if name, ok := at.Scalar.(string); ok && local[name] {
			at.Scalar = prefix + "-" + name
		}
	}
	for _, k := range keys {
		field := n.Field(k.Word)
		switch {
		case field == nil:
		case k.Type == parts.Ref:
			rename(field)
		case k.Type == parts.Refs, k.Type == parts.Tables:
			for _, item := range field.Items {
				if rename(item); item.Shape == syntax.Table {
					lead(item, k.Sub, prefix, local)
				}
			}
		case k.Type == parts.Table:
			lead(field, k.Sub, prefix, local)
		}
	}
}
