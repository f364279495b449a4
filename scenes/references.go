package scenes

import (
	"fmt"
	"reflect"
	"slices"

	"socle/parts"
	"socle/scenes/syntax"
)

// maxRefs is the most names in one list of references.
const maxRefs = 1000

// refer notes a reference, to be looked up when every part is read.
func (d *decoder) refer(s slot, n *syntax.Node, name string) {
	d.uses = append(d.uses, use{s, n, name})
	if s.owner.part != nil {
		s.owner.part.uses = append(s.owner.part.uses, name)
	}
}

// refs reads a list of references.
func (d *decoder) refs(s slot, n *syntax.Node, dst reflect.Value) bool {
	if n.Shape != syntax.List {
		return d.wrongType(s, n)
	}
	if len(n.Items) > maxRefs {
		d.wrong(s.owner, n.Items[maxRefs].At, fmt.Sprintf("more than %d names in %s", maxRefs, s), "", "")
		return false
	}
	names, right := make([]string, 0, len(n.Items)), true
	taken := make(map[string]bool, len(n.Items))
	for _, item := range n.Items {
		name, ok := item.Text()
		switch {
		case !ok:
			right = d.wrongType(s, item)
		case taken[name]:
			d.wrong(s.owner, item.At, fmt.Sprintf("%s names %s twice", s, syntax.Quote(name)), "each name once", "")
			right = false
		default:
			names, taken[name] = append(names, name), true
			d.refer(s, item, name)
		}
	}
	if right {
		dst.Set(reflect.ValueOf(names))
	}
	return right
}

// lookUp checks that every reference leads to another part of the right kind.
func (d *decoder) lookUp() {
	byName := map[string]*placed{}
	for _, p := range d.scene.placed {
		if name := p.part.Label(); byName[name] == nil {
			byName[name] = p
		}
	}
	for _, u := range d.uses {
		if d.faults.Full() {
			d.faults.More++
			continue
		}
		p := byName[u.name]
		kinds := u.slot.key.Words
		switch {
		case p != nil && p == u.slot.owner.part:
			d.wrong(u.slot.owner, u.node.At, fmt.Sprintf("%s refers to itself", u.slot), "another "+kindsOf(u.slot.key), "")
		case p != nil && (len(kinds) == 0 || slices.Contains(kinds, p.kind.Word)):
		case p != nil:
			d.wrong(u.slot.owner, u.node.At, fmt.Sprintf("%s cannot be %s, which is a %s", u.slot, syntax.Quote(u.name), p.kind.Word), d.candidates(u), "")
		case d.partial: // the part may be in what could not be read
		default:
			d.wrong(u.slot.owner, u.node.At, fmt.Sprintf("%s: no part is called %s", u.slot, syntax.Quote(u.name)), d.candidates(u), d.nearest(u.name, d.names(u)))
		}
	}
}

// names lists the parts that a reference may lead to.
func (d *decoder) names(u use) []string {
	var names []string
	for _, p := range d.scene.placed {
		if p != u.slot.owner.part && (len(u.slot.key.Words) == 0 || slices.Contains(u.slot.key.Words, p.kind.Word)) {
			names = append(names, p.part.Label())
		}
	}
	return names
}

// candidates says what a reference may lead to in this scene.
func (d *decoder) candidates(u use) string {
	names := d.names(u)
	if len(names) == 0 {
		return fmt.Sprintf("the name of a %s, but the scene has none", kindsOf(u.slot.key))
	}
	return fmt.Sprintf("the name of a %s: %s", kindsOf(u.slot.key), syntax.Listed(names))
}

// sound lists the parts that have no fault and refer to none that has.
func (s *Scene) sound() []parts.Part {
	bad := map[string]bool{}
	for _, p := range s.placed {
		if p.bad {
			bad[p.part.Label()] = true
		}
	}
	for changed := true; changed; {
		changed = false
		for _, p := range s.placed {
			if bad[p.part.Label()] {
				continue
			}
			if slices.ContainsFunc(p.uses, func(name string) bool { return bad[name] }) {
				bad[p.part.Label()] = true
				changed = true
			}
		}
	}
	var sound []parts.Part
	for _, p := range s.placed {
		if !bad[p.part.Label()] {
			sound = append(sound, p.part)
		}
	}
	return sound
}
