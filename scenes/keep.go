package scenes

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// Keep gives the text of a scene with one more variant at its end: its name, the
// variant that it extends, "" for none, and the changes of sets, --set texts, as
// they are given. All that stood there stays, byte for byte. The text that comes
// out reads without a fault, and its new variant is what With makes of the sets. The
// error is a *Faults where the scene or the sets are at fault; a name that is taken
// is an error too, as nothing is written over.
func Keep(text []byte, name, extends string, sets []string) ([]byte, error) {
	const file = "scene" // as messages call it
	s, err := Read(file, text, nil)
	if err != nil {
		return nil, err
	}
	if err := s.keepable(name, sets); err != nil {
		return nil, err
	}
	base := s
	if extends != "" {
		if base, err = s.Variant(extends); err != nil {
			return nil, err
		}
	}
	want, err := base.With(sets)
	if err != nil {
		return nil, err
	}
	kept := append(bytes.Clone(text), s.addition(text, name, extends, sets)...)
	read, err := Read(file, kept, nil)
	if err != nil {
		return nil, fmt.Errorf("the scene with the variant %s in it would be at fault: %w", syntax.Quote(name), err)
	}
	got, err := read.Variant(name)
	if err != nil {
		return nil, fmt.Errorf("the variant %s would be at fault: %w", syntax.Quote(name), err)
	}
	if !reflect.DeepEqual(got.Site, want.Site) {
		return nil, fmt.Errorf("the variant %s would not be what the values make; this is a fault of socle, not of the scene", syntax.Quote(name))
	}
	return kept, nil
}

// keepable says whether the scene can take one more variant of a name.
func (s *Scene) keepable(name string, sets []string) error {
	if len(sets) == 0 {
		return errors.New("a variant to keep needs a change: allowed: one PATH=VALUE or more")
	}
	if err := CheckVariantName(name); err != nil {
		return err
	}
	for _, v := range s.Variants {
		if strings.EqualFold(v.Name, name) {
			return fmt.Errorf("the scene has a variant %s already, and it is not overwritten: allowed: a name that differs in more than capitals", syntax.Quote(v.Name))
		}
	}
	if n := s.root.Fields[variantWord]; n != nil && !n.Tables {
		number, _, _ := n.Key.Src.Line(n.Key.Start)
		return fmt.Errorf("the variants in line %d are in a list, and no other can be added after it: allowed: each under its own [[%s]]", number, variantWord)
	}
	return nil
}

// addition is what stands behind a scene's text for a variant. The sets are sound.
func (s *Scene) addition(text []byte, name, extends string, sets []string) string {
	newline := "\n"
	if crlf := bytes.Count(text, []byte("\r\n")); 2*crlf > bytes.Count(text, []byte("\n")) {
		newline = "\r\n"
	}
	var b strings.Builder
	end := bytes.TrimPrefix(text, []byte("\uFEFF"))
	blank := bytes.TrimRight(end, " \t\r\n")
	switch {
	case len(end) > 0 && end[len(end)-1] != '\n':
		b.WriteString(newline + newline)
	case bytes.Count(end[len(blank):], []byte("\n")) == 1 && len(blank) > 0:
		b.WriteString(newline)
	}
	fmt.Fprintf(&b, "[[%s]]%s%s = \"%s\"%s", variantWord, newline, nameWord, name, newline)
	if extends != "" {
		fmt.Fprintf(&b, "%s = \"%s\"%s", extendsWord, extends, newline)
	}
	var changes []string
	for _, o := range lastOnes(readSets(sets, nil, &Faults{})) {
		changes = append(changes, fmt.Sprintf("\"%s\" = %s", o.path, s.literal(o)))
	}
	fmt.Fprintf(&b, "%s = { %s }%s", setWord, strings.Join(changes, ", "), newline)
	return b.String()
}

// lastOnes leaves out what a later value is laid over: a table has a key once.
func lastOnes(all []override) []override {
	var last []override
	for _, o := range all {
		last = laidOver(last, []override{o})
	}
	return last
}

// literal is a value of a --set as TOML has it: as it is given, in quotes where it is
// text without them.
func (s *Scene) literal(o override) string {
	at := o.value.At
	given := at.Src.Text[at.Start:at.End]
	if o.value.Bare == "" || !s.takesText(o) {
		return given
	}
	return fmt.Sprintf("\"%s\"", o.value.Bare) // bareWord has nothing that needs a backslash
}

// takesText says whether a bare value counts as text where its path leads.
func (s *Scene) takesText(o override) bool {
	if _, isText := o.value.Scalar.(string); isText {
		return true
	}
	key := s.keyOf(o.path)
	if key == nil {
		return false
	}
	_, isNumber := o.value.Number()
	switch key.Type {
	case parts.Text, parts.Name, parts.Word, parts.Ref:
		return true
	case parts.LevelRef, parts.Facing:
		return !isNumber
	}
	return false
}

// keyOf gives the key that a path leads to; nil for a level, and where it leads
// nowhere.
func (s *Scene) keyOf(path string) *parts.Key {
	words := strings.Split(path, ".")
	keys, rest := ownKeys(words[0]), words[1:]
	if kind := parts.KindOf(words[0]); kind != nil {
		if keys = kind.Keys(); !kind.Once && len(rest) > 0 {
			rest = rest[1:]
		}
	} else if words[0] == placeWord && len(rest) > 0 {
		keys, rest = placeKeys, rest[1:]
	} else if keys == nil {
		keys, rest = topKeys, words[:1]
	}
	var found *parts.Key
	for _, word := range rest {
		bare, _, _ := splitIndex(word)
		found = nil
		for i := range keys {
			if keys[i].Word == bare {
				found = &keys[i]
			}
		}
		if found == nil {
			return nil
		}
		keys = found.Sub
	}
	return found
}
