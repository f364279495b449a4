package scenes

import (
	"fmt"

	"socle/parts"
)

// Variant is the same scene with some values changed.
type Variant struct {
	Name string

	changes []override
}

// maxVariants is the most variants of one scene.
const maxVariants = 64

// variantKeys are the keys of a variant.
var variantKeys = []parts.Key{
	{Word: nameWord, Type: parts.Name, Required: true, Doc: "what the variant and its files are called"},
	{Word: setWord, Type: parts.Table, Required: true, Doc: `the values to change, by path: { "crater.hit.depth" = 5 }`},
}

const setWord = "set"

// Variant gives a variant of the scene. The error is a *Faults where the scene's
// rules do not hold for it.
func (s *Scene) Variant(name string) (*Scene, error) {
	var names []string
	for _, v := range s.Variants {
		if v.Name == name {
			faults := &Faults{}
			changed := s.vary(v, faults)
			if err := faults.found(); err != nil {
				return nil, err
			}
			return changed, nil
		}
		names = append(names, v.Name)
	}
	if near := nearest(name, names); near != "" {
		return nil, fmt.Errorf("%s has no variant %s; did you mean %q?", s.src.name, quote(name), near)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no variant %s, nor any other", s.src.name, quote(name))
	}
	return nil, fmt.Errorf("%s has no variant %s; it has: %s", s.src.name, quote(name), listed(names))
}

// vary decodes the scene with a variant's changes.
func (s *Scene) vary(v Variant, faults *Faults) *Scene {
	changed := &Scene{src: s.src, root: s.root.clone()}
	apply(changed.root, v.changes, faults)
	changed.decode(changed.root, faults, false)
	if changed.Site.Title == "" {
		changed.Site.Title = s.Site.Title
	}
	return changed
}

// readVariants reads the variants and checks each as a scene of its own. That
// waits until the scene itself is free of faults, as they share most of it.
func (s *Scene) readVariants(faults *Faults) {
	n := s.root.fields[variantWord]
	if n == nil {
		return
	}
	d := &decoder{faults: faults, site: s.Site, scene: s, scaled: true}
	if n.shape != list {
		d.wrong(nil, n.at, "variant is not a list of tables", "[[variant]], as a scene may have several", "")
		return
	}
	if len(n.items) > maxVariants {
		d.wrong(nil, n.items[maxVariants].at, fmt.Sprintf("more than %d variants", maxVariants), "", "")
		return
	}
	taken := map[string]bool{}
	for _, item := range n.items {
		if v, ok := s.readVariant(d, item); ok {
			if taken[v.Name] {
				d.wrong(nil, item.fields[nameWord].at, fmt.Sprintf("another variant is called %s", quote(v.Name)), "a name of its own for each", "")
				continue
			}
			taken[v.Name] = true
			s.Variants = append(s.Variants, v)
		}
	}
	if len(faults.List) > 0 {
		return
	}
	for _, v := range s.Variants {
		found := &Faults{}
		s.vary(v, found)
		for _, f := range found.List {
			f.Text = fmt.Sprintf("in variant %s: %s", quote(v.Name), f.Text)
			faults.add(f)
		}
		faults.More += found.More
	}
}

// readVariant reads one variant.
func (s *Scene) readVariant(d *decoder, n *node) (v Variant, ok bool) {
	if n.shape != table {
		d.wrong(nil, n.at, fmt.Sprintf("a variant is a table, not %s", n.describe()), "[[variant]] with keys below it", "")
		return v, false
	}
	o := &owner{what: "variant"}
	if field := n.fields[nameWord]; field != nil {
		if name, isText := field.text(); isText {
			o.what += " " + quote(name)
		}
	}
	ok = true
	for _, word := range n.words {
		if word != nameWord && word != setWord {
			d.wrong(o, n.fields[word].key, fmt.Sprintf("unknown key %s in %s", quote(word), o.what), listed(words(variantKeys)), nearest(word, words(variantKeys)))
		}
	}
	for _, k := range variantKeys {
		field := n.fields[k.Word]
		sl := slot{owner: o, key: k, path: k.Word}
		switch {
		case field == nil:
			d.wrong(o, n.at, fmt.Sprintf("%s lacks the key %s", o.what, quote(k.Word)), k.Word+" is "+k.Doc, "")
			ok = false
		case k.Word == nameWord:
			var right bool
			v.Name, right = d.word(sl, field)
			ok = ok && right
		case field.shape != table:
			ok = d.wrongType(sl, field)
		default:
			ok = s.changes(d, &v, field, "") && ok
		}
	}
	return v, ok
}

// changes gathers the values that a variant sets. A path may be one key in quotes
// or keys joined by dots, which TOML reads as tables within each other.
func (s *Scene) changes(d *decoder, v *Variant, n *node, path string) bool {
	ok := true
	for _, word := range n.words {
		field := n.fields[word]
		full := path + word
		_, wrong := target(s.root, full)
		switch {
		case wrong == nil:
			if len(v.changes) == maxSets {
				d.wrong(nil, field.key, fmt.Sprintf("more than %d changes in one variant", maxSets), "", "")
				return false
			}
			v.changes = append(v.changes, override{full, field.key, field})
		case wrong.partial && field.shape == table && len(field.words) > 0:
			ok = s.changes(d, v, field, full+".") && ok
		default:
			d.faults.add(wrong.fault(field.key))
			ok = false
		}
	}
	return ok
}
