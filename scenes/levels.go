package scenes

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"socle/parts"
	"socle/scenes/syntax"
)

// maxLevels is the most levels of one scene.
const maxLevels = 1000

// levelWord is what a level is called: it must not look like a height.
const levelWord = `[A-Za-z][A-Za-z0-9_-]{0,63}`

// plainPattern is a plain number, as the schema has it too.
const plainPattern = `(\d*\.?\d+([eE][+-]?\d+)?|\d+\.)`

// relativeForms says how a height is told from a level.
const relativeForms = `"yard + 1 m" or "yard - 2.5"`

var (
	levelForm = regexp.MustCompile(`^` + levelWord + `$`)
	// relativeForm is a height told from a level: a name may have a - in it, so one
	// that takes away has a blank before it.
	relativeForm = regexp.MustCompile(`^\s*(` + levelWord + `)(?:\s*(\+)|\s+(-))\s*(.*?)\s*$`)
	// joinedForm is one that lacks that blank.
	joinedForm = regexp.MustCompile(`^\s*(` + levelWord + `)-\s*(\d.*?)\s*$`)
	plainForm  = regexp.MustCompile(`^` + plainPattern + `$`)
)

// levels are the scene's named levels while they are read.
type levels struct {
	words  []string // in the order of the text
	nodes  map[string]*syntax.Node
	state  map[string]progress
	faulty map[string]bool // those whose height could not be read
	open   []string        // those under way, each given by the next
}

func (d *decoder) decodeLevels(root *syntax.Node) {
	n := root.Fields[levelsWord]
	if n == nil {
		return
	}
	o := &owner{what: "[" + levelsWord + "]"}
	if n = d.oneTable(o, levelsWord, n); n == nil {
		return
	}
	l := &d.levels
	l.nodes, l.state, l.faulty = map[string]*syntax.Node{}, map[string]progress{}, map[string]bool{}
	for i, word := range n.Words {
		field := n.Fields[word]
		if i == maxLevels {
			d.wrong(o, field.Key, fmt.Sprintf("more than %d levels", maxLevels), "", "")
			break
		}
		if !levelForm.MatchString(word) {
			d.wrong(o, field.Key, fmt.Sprintf("%s cannot be the name of a level", syntax.Quote(word)), "a letter, then up to 63 letters, digits, - and _", "")
			continue
		}
		l.words, l.nodes[word] = append(l.words, word), field
	}
	for _, word := range l.words {
		d.height(word)
	}
}

// height gives the height of a named level, worked out at the first asking, and
// whether it is right. What is wrong with it is told once.
func (d *decoder) height(word string) (mm float64, ok bool) {
	l := &d.levels
	switch l.state[word] {
	case underWay:
		d.roundabout(l.open[slices.Index(l.open, word):])
		return 0, false
	case untouched:
		l.state[word] = underWay
		l.open = append(l.open, word)
		s := slot{owner: &owner{what: "[" + levelsWord + "]"}, key: parts.Key{Word: word, Type: parts.LevelRef}, path: word}
		v, ok := d.level(s, l.nodes[word])
		l.open = l.open[:len(l.open)-1]
		l.state[word] = done
		l.faulty[word] = !ok
		d.site.Levels[word] = v.Height // a level with a fault is still a level by name
	}
	return d.site.Levels[word], !l.faulty[word]
}

// roundabout tells of levels that are told from each other, at the first of them in
// the text.
func (d *decoder) roundabout(words []string) {
	node := func(word string) *syntax.Node { return d.levels.nodes[word] }
	first := slices.MinFunc(words, func(a, b string) int {
		return cmp.Or(cmp.Compare(node(a).At.Src.Order, node(b).At.Src.Order), cmp.Compare(node(a).At.Start, node(b).At.Start))
	})
	at := slices.Index(words, first)
	var by []string
	for _, word := range slices.Concat(words[at+1:], words[:at]) {
		by = append(by, syntax.Quote(word))
	}
	text := fmt.Sprintf("level %s depends on itself", syntax.Quote(first))
	if len(by) > 0 {
		text += ", by way of " + syntax.Listed(by)
	}
	d.wrong(nil, node(first).At, text, "a height, or a level that does not lead back to this one", "")
}

// level reads a height, the name of a level, or a height told from a level.
func (d *decoder) level(s slot, n *syntax.Node) (parts.Level, bool) {
	text, isText := n.Text()
	if _, isNumber := n.Number(); !isText || isNumber {
		h, ok := d.length(s, n, true)
		return parts.Level{Height: h}, ok && d.inRange(s, n, h)
	}
	if d.levels.nodes[text] != nil {
		h, ok := d.named(s, text)
		return parts.Level{Name: text, Height: h}, ok
	}
	if m := relativeForm.FindStringSubmatch(text); m != nil {
		return d.relative(s, n, m[1], m[2]+m[3], m[4])
	}
	if _, _, err := syntax.ParseLength(text); err != nil && (levelForm.MatchString(text) || s.owner.part != nil) {
		near := ""
		if m := joinedForm.FindStringSubmatch(text); m != nil && d.levels.nodes[m[1]] != nil {
			near = m[1] + " - " + m[2]
		}
		return parts.Level{}, d.unnamed(s, n, text, near)
	}
	h, ok := d.length(s, n, true)
	return parts.Level{Height: h}, ok && d.inRange(s, n, h)
}

// named gives the height of a level that there is. A part that takes a faulty one is
// left out of what is checked.
func (d *decoder) named(s slot, word string) (float64, bool) {
	h, ok := d.height(word)
	if !ok && s.owner.part != nil {
		s.owner.part.bad = true
	}
	return h, ok
}

// relative reads a height told from a level: sign is + or -, amount a plain number
// of mm on the print or a full size.
func (d *decoder) relative(s slot, n *syntax.Node, word, sign, amount string) (parts.Level, bool) {
	if d.levels.nodes[word] == nil {
		return parts.Level{}, d.unnamed(s, n, word, "")
	}
	var by float64
	near, err := "", fmt.Errorf("is not a length")
	plain := plainForm.MatchString(amount)
	switch {
	case plain:
		by, err = strconv.ParseFloat(amount, 64)
	case amount != "" && amount[0] != '+' && amount[0] != '-':
		by, near, err = syntax.ParseLength(amount)
	}
	if err != nil {
		if near != "" {
			near = word + " " + sign + " " + near
		}
		d.wrong(s.owner, n.At, fmt.Sprintf("%s: %s after the %s %v", s, syntax.Quote(amount), sign, err), "a level plus or minus a height, such as "+relativeForms, near)
		return parts.Level{}, false
	}
	base, ok := d.named(s, word)
	if ok && !plain {
		by, ok = d.onPrint(by, true)
	}
	if !ok {
		return parts.Level{}, false
	}
	if sign == "-" {
		by = -by
	}
	h := base + by
	return parts.Level{Height: h}, d.inRange(s, n, h)
}

// unnamed tells that there is no level of a name; near is what was meant, where that
// is known.
func (d *decoder) unnamed(s slot, n *syntax.Node, word, near string) bool {
	if near == "" {
		near = syntax.Nearest(word, d.levels.words)
	}
	if d.partial && near == "" {
		return false // the line that names it may be one that could not be read
	}
	allowed := "a height, or one of [levels]: " + syntax.Listed(d.levels.words)
	if len(d.levels.words) == 0 {
		allowed = "a height, or a level from [levels], which names none"
	}
	d.wrong(s.owner, n.At, fmt.Sprintf("%s: no level is called %s", s, syntax.Quote(word)), allowed, near)
	return false
}
