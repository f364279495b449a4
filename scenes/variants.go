package scenes

import (
	"fmt"
	"slices"
	"strings"

	"socle/scenes/syntax"
)

// variants reads the variants of a scene: each by itself, then what each takes
// over from the one that it extends, wherever that stands in the text.
type variants struct {
	*decoder
	all   []variantRead
	found map[string][]Fault // by the name of a variant: what its check found
}

// variantRead is a variant under way.
type variantRead struct {
	Variant
	set   *syntax.Node // the table of its changes; nil where it has none
	state progress     // of its resolving
}

// progress is how far something that leads to others has come.
type progress int

const (
	untouched progress = iota
	underWay
	done
)

// readVariants reads the variants and checks each as a scene of its own. That
// waits until the scene itself is free of faults, as they share most of it.
// partial says that some of the text could not be read.
func (s *Scene) readVariants(faults *Faults, partial bool) {
	n := s.root.Fields[variantWord]
	if n == nil {
		return
	}
	d := &decoder{faults: faults, site: s.Site, scene: s, scaled: true, partial: partial}
	if n.Shape != syntax.List {
		d.wrong(nil, n.At, "variant is not a list of tables", "[[variant]], as a scene may have several", "")
		return
	}
	if len(n.Items) > maxVariants {
		d.wrong(nil, n.Items[maxVariants].At, fmt.Sprintf("more than %d variants", maxVariants), "", "")
		return
	}
	r := &variants{decoder: d, found: map[string][]Fault{}}
	for _, item := range n.Items {
		r.read(item)
	}
	for i := range r.all {
		r.resolve(&r.all[i], nil)
	}
	if len(faults.List) > 0 {
		return
	}
	for i := range r.all {
		s.Variants = append(s.Variants, r.all[i].Variant)
	}
	for i := range r.all {
		r.check(&r.all[i])
	}
}

// read reads one variant, but for the paths in it.
func (r *variants) read(n *syntax.Node) {
	if n.Shape != syntax.Table {
		r.wrong(nil, n.At, fmt.Sprintf("a variant is a table, not %s", n.Describe()), "[[variant]] with keys below it", "")
		return
	}
	o := &owner{what: "variant"}
	if field := n.Fields[nameWord]; field != nil {
		if name, isText := field.Text(); isText {
			o.what += " " + syntax.Quote(name)
		}
	}
	for _, word := range n.Words {
		if valid := words(variantKeys); !slices.Contains(valid, word) {
			r.wrong(o, n.Fields[word].Key, fmt.Sprintf("unknown key %s in %s", syntax.Quote(word), o.what), syntax.Listed(valid), syntax.Nearest(word, valid))
		}
	}
	v, named := variantRead{}, false
	for _, k := range variantKeys {
		field := n.Fields[k.Word]
		sl := slot{owner: o, key: k, path: k.Word}
		switch {
		case field == nil && k.Required && !r.partial:
			r.wrong(o, n.At, fmt.Sprintf("%s lacks the key %s", o.what, syntax.Quote(k.Word)), k.Word+" is "+k.Doc, "")
		case field == nil:
		case k.Word == nameWord:
			v.Name, named = r.word(sl, field)
			named = named && r.free(v.Name, field)
		case k.Word == extendsWord:
			v.Extends, _ = r.word(sl, field)
			v.extendsAt = field.At
		case field.Shape != syntax.Table:
			r.wrongType(sl, field)
		default:
			v.set = field
		}
	}
	if named {
		r.all = append(r.all, v)
	} else if v.set != nil {
		r.changes(r.scene.root.Clone(), &v.Variant, v.set, "") // for the faults in it
	}
}

// free says whether a variant may take a name.
func (r *variants) free(name string, n *syntax.Node) bool {
	if why, allowed, near := variantFault(name); why != "" {
		r.wrong(nil, n.At, why, allowed, near)
		return false
	}
	for i := range r.all {
		if other := r.all[i].Name; strings.EqualFold(other, name) {
			r.wrong(nil, n.At, fmt.Sprintf("another variant is called %s", syntax.Quote(other)), "names that differ in more than capitals", "")
			return false
		}
	}
	return true
}

// find gives the variant of a name, or nil.
func (r *variants) find(name string) *variantRead {
	for i := range r.all {
		if r.all[i].Name == name {
			return &r.all[i]
		}
	}
	return nil
}

// resolve gives a variant all its changes, those of what it extends first; below
// are the variants that wait for it. It says whether there is no circle.
func (r *variants) resolve(v *variantRead, below []*variantRead) bool {
	switch v.state {
	case done:
		return true
	case underWay:
		r.circle(below[slices.Index(below, v):])
		return false
	}
	v.state = underWay
	sound, tree := true, r.scene.root.Clone()
	if v.extendsAt.Src != nil && v.Extends != "" {
		if first := r.extended(v); first != nil {
			if sound = r.resolve(first, append(below, v)); sound {
				v.changes = first.changes
				apply(tree, v.changes, &Faults{}) // what is at fault there is told there
			}
		}
	}
	if v.set != nil {
		r.changes(tree, &v.Variant, v.set, "")
	}
	v.changes = laidOver(v.changes, v.own)
	v.state = done
	return sound
}

// extended gives the variant that another extends; nil where there is none.
func (r *variants) extended(v *variantRead) *variantRead {
	first := r.find(v.Extends)
	if first != nil || r.partial {
		return first
	}
	var names []string
	for i := range r.all {
		if r.all[i].Name != v.Name {
			names = append(names, r.all[i].Name)
		}
	}
	allowed := "the name of another variant: " + syntax.Listed(names)
	if len(names) == 0 {
		allowed = "the name of another variant, but the scene has none"
	}
	r.wrong(nil, v.extendsAt, fmt.Sprintf("extends of variant %s: no variant is called %s", syntax.Quote(v.Name), syntax.Quote(v.Extends)), allowed, syntax.Nearest(v.Extends, names))
	return nil
}

// circle tells, once and at the first of them in the text, of variants that extend
// each other.
func (r *variants) circle(around []*variantRead) {
	const allowed = "another variant, which does not lead back to this one"
	if len(around) == 1 {
		v := around[0]
		r.wrong(nil, v.extendsAt, fmt.Sprintf("variant %s extends itself", syntax.Quote(v.Name)), allowed, "")
		return
	}
	first := 0
	for i, v := range around {
		if v.extendsAt.Start < around[first].extendsAt.Start {
			first = i
		}
	}
	around = slices.Concat(around[first:], around[:first])
	var names []string
	for _, v := range around[1:] {
		names = append(names, syntax.Quote(v.Name))
	}
	r.wrong(nil, around[0].extendsAt, fmt.Sprintf("variant %s extends itself, by way of %s", syntax.Quote(around[0].Name), syntax.Listed(names)), allowed, "")
}

// laidOver puts changes over inherited ones. One that is changed again, or lies in
// what is, is left out.
func laidOver(inherited, own []override) []override {
	var all []override
	for _, o := range inherited {
		if !slices.ContainsFunc(own, func(over override) bool { return within(o.path, over.path) }) {
			all = append(all, o)
		}
	}
	return append(all, own...)
}

// within says whether a path is another or lies below it.
func within(path, above string) bool {
	rest, ok := strings.CutPrefix(path, above)
	return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
}

// check holds a variant to the rules of a scene. What the one that it extends was
// told is not told again.
func (r *variants) check(v *variantRead) {
	if _, already := r.found[v.Name]; already {
		return
	}
	var inherited []Fault
	if v.Extends != "" {
		first := r.find(v.Extends)
		r.check(first)
		inherited = r.found[first.Name]
	}
	found := &Faults{}
	r.scene.vary(v.Variant, found)
	r.found[v.Name] = append([]Fault{}, found.List...)
	r.faults.More += found.More
	for _, f := range found.List {
		if !slices.Contains(inherited, f) {
			f.Text = fmt.Sprintf("in variant %s: %s", syntax.Quote(v.Name), f.Text)
			r.faults.Add(f)
		}
	}
}

// changes gathers the values that a variant sets in a tree, and puts them into it: a
// path may lead into what the one before has made. It may be one key in quotes or
// keys joined by dots, which TOML reads as tables within each other.
// It says whether there was room for all of them: no more are looked at.
func (r *variants) changes(tree *syntax.Node, v *Variant, n *syntax.Node, path string) bool {
	for _, word := range n.Words {
		field := n.Fields[word]
		full := path + word
		_, wrong := target(tree, full)
		if wrong != nil && wrong.partial && field.Shape == syntax.Table && len(field.Words) > 0 {
			if !r.changes(tree, v, field, full+".") {
				return false
			}
			continue
		}
		if v.count++; v.count > maxSets {
			r.wrong(nil, field.Key, fmt.Sprintf("more than %d changes in one variant", maxSets), "", "")
			return false
		}
		if wrong != nil {
			r.faults.Add(wrong.fault(field.Key))
			continue
		}
		if r.twice(v, full, field) {
			continue
		}
		o := override{full, field.Key, field}
		v.own = append(v.own, o)
		apply(tree, []override{o}, r.faults)
	}
	return true
}

// twice tells of a change that nothing would be left of an earlier one by.
func (r *variants) twice(v *Variant, path string, n *syntax.Node) bool {
	i := slices.IndexFunc(v.own, func(o override) bool { return within(o.path, path) })
	if i < 0 {
		return false
	}
	first := v.own[i]
	line, _, _ := first.at.Src.Line(first.at.Start)
	text := fmt.Sprintf("%s is set twice, first in line %d", path, line)
	if first.path != path {
		text = fmt.Sprintf("%s overwrites %s, which is set in line %d", path, first.path, line)
	}
	r.wrong(nil, n.Key, text, "each path once", "")
	return true
}
