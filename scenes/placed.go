package scenes

import (
	"fmt"
	"reflect"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// motion is how a copy of a group's parts comes to lie in the scene. What is wrong with
// its place is told once.
func (d *decoder) motion(c *syntax.Copy) (parts.Motion, bool) {
	if c == nil || c.Place == nil {
		return parts.Motion{}, true
	}
	up, ok := d.motion(c.Up)
	if !ok {
		return up, false
	}
	read, known := d.places[c.Place]
	if !known {
		before := len(d.faults.List) + d.faults.More
		o := &owner{what: "place", shared: true}
		if name, isText := c.Place.Fields[nameWord].Text(); isText {
			o.what += " " + syntax.Quote(name)
		}
		read = &placing{}
		for _, k := range placeKeys {
			if k.Word == groupWord || k.Word == setWord {
				continue
			}
			d.field(slot{owner: o, key: k, path: k.Word}, c.Place, reflect.ValueOf(read).Elem().FieldByIndex(k.Index))
		}
		if len(d.faults.List)+d.faults.More > before {
			read = nil
		}
		if d.places == nil {
			d.places = map[*syntax.Node]*placing{}
		}
		d.places[c.Place] = read
	}
	if read == nil || c.Item >= len(read.At) {
		return up, false
	}
	own := parts.Motion{Mirror: read.Mirror, Turn: read.Turn, At: read.At[c.Item]}
	return own.Then(up), true
}

// carry takes a part that a group gave from the group's plan to the scene's. Values that
// are put over those of the group are told in the scene's.
func (d *decoder) carry(o *owner, p *placed) {
	m, ok := d.motion(p.node.Copy)
	if !ok {
		p.bad = true
		return
	}
	ofScene := func(word string) bool { f := p.node.Fields[word]; return f != nil && f.Copy == nil }
	for _, f := range m.Carry(p.part, p.keys, ofScene) {
		at := p.node.At
		if field := p.node.Fields[f.Key]; field != nil {
			at = field.At
		}
		d.wrong(o, at, f.Key+" of "+o.what+": "+f.Text, f.Allowed, "")
	}
	for _, k := range p.keys {
		field := p.node.Field(k.Word)
		if k.GoType != reflect.TypeFor[parts.Area]() || field == nil || field.Copy == nil {
			continue
		}
		for _, word := range field.Words {
			if f := field.Fields[word]; f.Copy == nil {
				d.wrong(o, f.Key, fmt.Sprintf("%s.%s of %s: the rest of its area is told by its group", k.Word, word, o.what), "the whole area: "+k.Word+" = { ... }", "")
			}
		}
	}
}

// origin says, for a message, where a copied part comes from; "" for one that is written
// where it counts.
func origin(c *syntax.Copy) string {
	if c == nil {
		return ""
	}
	if c.Place == nil {
		return " (in a group that is placed nowhere)"
	}
	var lines []string
	for ; c != nil; c = c.Up {
		number, _, _ := c.Place.At.Src.Line(c.Place.At.Start)
		lines = append(lines, fmt.Sprint(number))
	}
	return " (placed in line " + strings.Join(lines, ", in turn in line ") + ")"
}
