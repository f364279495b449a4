package scenes

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// decoder fills a site from a tree of values and collects every fault.
type decoder struct {
	faults *Faults
	site   *parts.Site
	scene  *Scene

	// partial says that some of the text could not be read at all, so that what
	// seems to be missing may be there.
	partial bool
	scaled  bool // the scale is known, so full-size lengths can be converted
	levels  levels
	bad     bool // a fault in what every part stands on

	places map[*syntax.Node]*placing // those of groups; nil for one at fault
	told   map[string]bool           // faults of parts of groups, without the name of the copy

	uses []use // references to look up once all parts are read
}

// placed is a part with the place it is written at.
type placed struct {
	kind *parts.Kind
	keys []parts.Key
	part parts.Part
	node *syntax.Node
	bad  bool // it has faults of its own
	uses []string
}

// owner is the part or table whose keys are being read.
type owner struct {
	what   string  // for messages: `stair "water-stair"`
	part   *placed // nil for the scene's own tables
	shared bool    // a fault here leaves every part's rules in doubt
}

// slot is one key of one owner.
type slot struct {
	owner   *owner
	key     parts.Key
	path    string // "area.rect"
	assumed bool   // the value is the key's default
}

func (s slot) String() string { return s.path + " of " + s.owner.what }

// use is a reference to a part by name.
type use struct {
	slot slot
	node *syntax.Node
	name string
}

// wrong records a fault in an owner.
func (d *decoder) wrong(o *owner, at syntax.Span, text, allowed, near string) {
	if o != nil && o.part != nil && o.part.node.Copy != nil {
		// What is wrong in the text of a group is so at each of its places.
		once := fmt.Sprint(at.Src.Order, at.Start, strings.ReplaceAll(text, o.part.node.Copy.Name+"-", ""))
		if d.told[once] || d.faults.At(at) {
			o.part.bad = true
			return
		}
		if d.told == nil {
			d.told = map[string]bool{}
		}
		d.told[once] = true
		text += origin(o.part.node.Copy)
	}
	if d.faults.Full() {
		d.faults.More++
	} else {
		f := at.Fault(text)
		f.Allowed, f.Nearest = allowed, near
		d.faults.Add(f)
	}
	switch {
	case o == nil:
	case o.part != nil:
		o.part.bad = true
	case o.shared:
		d.bad = true
	}
}

// mostNearest is the most faults that are told with the nearest valid word: it is sought
// among all names of a scene.
const mostNearest = 50

// nearest is the valid word that a mistyped one most resembles, for the first faults.
func (d *decoder) nearest(word string, valid []string) string {
	if len(d.faults.List) >= mostNearest {
		return ""
	}
	return nearest(word, valid)
}

// Words of the scene's own, beside the kinds of part.
const (
	titleWord    = "title"
	seedWord     = "seed"
	scaleWord    = "scale"
	printerWord  = "printer"
	materialWord = "material"
	inspectWord  = "inspect"
	levelsWord   = "levels"
	variantWord  = "variant"
)

// formerPrint is a table that scenes had once.
const formerPrint = "print"

// topKeys are the scene's own single keys.
var topKeys = []parts.Key{
	{Word: titleWord, Type: parts.Text, Doc: "what the scene is called"},
	{Word: seedWord, Type: parts.Seed, Doc: "seed of all random choices that no part's own seed makes", Default: "1"},
}

var (
	scaleKeys    = parts.KeysOf(reflect.TypeFor[parts.Scale]())
	printerKeys  = parts.KeysOf(reflect.TypeFor[parts.Printer]())
	materialKeys = parts.KeysOf(reflect.TypeFor[parts.Material]())
	inspectKeys  = parts.KeysOf(reflect.TypeFor[parts.Inspection]())
)

// ownTables are the scene's own tables with fixed keys, each written once.
var ownTables = []struct {
	word string
	keys []parts.Key
	doc  string
}{
	{scaleWord, scaleKeys, "The scale of the place on the print."},
	{printerWord, printerKeys, "The printer: what it is, what its plate holds, how long it takes, and the least sizes that it can make. Details that would be smaller at the scene's scale are drawn at these sizes. A fine build takes its cell and its tolerance from the printer: see socle build --help."},
	{materialWord, materialKeys, "The material of the print, for the estimate of mass and cost."},
	{inspectWord, inspectKeys, "How solids are inspected before they are printed: how they lie on the plate, what happens to loose bits, from which size on things are reported, and how severe each finding is."},
}

// topWords lists every word that may stand at the top of a scene.
func topWords() []string {
	words := []string{titleWord, seedWord}
	for _, t := range ownTables {
		words = append(words, t.word)
	}
	words = append(words, levelsWord)
	for _, k := range parts.Kinds() {
		words = append(words, k.Word)
	}
	return append(words, groupWord, placeWord, variantWord)
}

// maxParts is the most parts of one kind: any of them may have to do with any other.
const maxParts = 2000

// decode reads the whole tree.
func (d *decoder) decode(root *syntax.Node) {
	allowed := topWords()
	for _, word := range root.Words {
		switch {
		case slices.Contains(allowed, word):
		case word == formerPrint:
			d.wrong(&owner{shared: true}, root.Fields[word].Key, "there is no [print]: what it held is in [printer]",
				"[printer] with pin, wall and gap, and with emboss and engrave in place of relief", "")
		default:
			text, o := fmt.Sprintf("unknown part %s", syntax.Quote(word)), &owner{shared: true}
			if root.Fields[word].Shape == syntax.Scalar {
				text, o = fmt.Sprintf("unknown key %s at the top of the scene", syntax.Quote(word)), nil
			}
			d.wrong(o, root.Fields[word].Key, text, topAllowed(), syntax.Nearest(word, allowed))
		}
	}
	scene := &owner{what: "the scene"}
	for _, k := range topKeys {
		dst := reflect.ValueOf(&d.site.Title).Elem()
		if k.Word == seedWord {
			dst = reflect.ValueOf(&d.site.Seed).Elem()
		}
		d.field(slot{owner: scene, key: k, path: k.Word}, root, dst)
	}
	d.decodeScale(root)
	d.decodePrinter(root)
	d.decodeMaterial(root)
	d.plain(root, inspectWord, inspectKeys, reflect.ValueOf(&d.site.Inspect).Elem(), false)
	d.decodeLevels(root)
	d.decodeParts(root)
}

func (d *decoder) decodeScale(root *syntax.Node) {
	before := len(d.faults.List) + d.faults.More
	if root.Fields[scaleWord] == nil {
		if d.partial {
			return
		}
		d.wrong(&owner{shared: true}, root.At, "the scene has no [scale]", "[scale] with ratio = 285 for a scene at 1:285", "")
	}
	// The stature is a full-size length and needs no scale.
	d.plain(root, scaleWord, scaleKeys, reflect.ValueOf(&d.site.Scale).Elem(), true)
	d.scaled = len(d.faults.List)+d.faults.More == before && d.site.Scale.Ratio > 0
}

// decodePrinter reads the printer, whose least sizes every part depends on, and
// what of it does not go together.
func (d *decoder) decodePrinter(root *syntax.Node) {
	before := len(d.faults.List) + d.faults.More
	o := d.plain(root, printerWord, printerKeys, reflect.ValueOf(&d.site.Printer).Elem(), true)
	d.site.Print = d.site.Printer.Drawn()
	if !d.partial && len(d.faults.List)+d.faults.More == before {
		// What is at odds with each other leaves the least sizes as they are.
		d.atOdds(&owner{what: o.what}, root.Fields[printerWord], d.site.Printer.Check())
	}
}

// decodeMaterial reads the material, which no part looks at.
func (d *decoder) decodeMaterial(root *syntax.Node) {
	before := len(d.faults.List) + d.faults.More
	o := d.plain(root, materialWord, materialKeys, reflect.ValueOf(&d.site.Material).Elem(), false)
	if !d.partial && len(d.faults.List)+d.faults.More == before {
		d.atOdds(o, root.Fields[materialWord], d.site.Material.Check())
	}
}

// atOdds points at the keys of a table that do not go together.
func (d *decoder) atOdds(o *owner, n *syntax.Node, found []parts.Fault) {
	for _, f := range found {
		d.wrong(o, n.Fields[f.Key].At, slot{owner: o, path: f.Key}.String()+": "+f.Text, f.Allowed, "")
	}
}

// plain reads one of the scene's own tables, or its defaults where it is left
// out, and gives its owner; shared says that every part depends on it.
func (d *decoder) plain(root *syntax.Node, word string, keys []parts.Key, dst reflect.Value, shared bool) *owner {
	o := &owner{what: "[" + word + "]", shared: shared}
	n := root.Fields[word]
	if n == nil {
		d.defaults(o, keys, dst, "", root)
	} else if n = d.oneTable(o, word, n); n != nil {
		d.table(o, n, keys, dst, "")
	}
	return o
}

// oneTable gives the table of a word that is written once.
func (d *decoder) oneTable(o *owner, word string, n *syntax.Node) *syntax.Node {
	switch {
	case n.Shape == syntax.Table:
		return n
	case n.Shape == syntax.List && n.Tables:
		at := n.Items[0].At
		if len(n.Items) > 1 {
			at = n.Items[1].At
		}
		d.wrong(o, at, fmt.Sprintf("a scene has one %s", word), fmt.Sprintf("[%s] once, with one bracket", word), "")
		return n.Items[0]
	}
	d.wrong(o, n.At, fmt.Sprintf("%s is a table, not %s", word, n.Describe()), fmt.Sprintf("[%s] with keys below it", word), "")
	return nil
}

// decodeParts reads every part, in the order of the text.
func (d *decoder) decodeParts(root *syntax.Node) {
	var all []*placed
	for _, k := range parts.Kinds() {
		n := root.Fields[k.Word]
		if n == nil {
			continue
		}
		keys := k.Keys()
		if k.Once {
			o := &owner{what: k.Word, shared: true}
			if n = d.oneTable(o, k.Word, n); n != nil {
				all = append(all, place(k, keys, n, k.Word))
			}
			continue
		}
		switch {
		case n.Shape == syntax.Table:
			d.wrong(nil, n.At, fmt.Sprintf("%s is in single brackets", k.Word), fmt.Sprintf("[[%s]], as a scene may have several", k.Word), "")
			all = append(all, place(k, keys, n, k.Word+"-1"))
		case n.Shape == syntax.Scalar:
			d.wrong(nil, n.At, fmt.Sprintf("%s is a part, not %s", k.Word, n.Describe()), fmt.Sprintf("[[%s]] with keys below it", k.Word), "")
		case len(n.Items) > maxParts:
			d.wrong(&owner{shared: true}, n.Items[maxParts].At, fmt.Sprintf("more than %d of %s", maxParts, syntax.Quote(k.Word)), "", "")
		default:
			for i, item := range n.Items {
				if item.Shape != syntax.Table {
					d.wrong(nil, item.At, fmt.Sprintf("a %s is a table, not %s", k.Word, item.Describe()), fmt.Sprintf("[[%s]] with keys below it", k.Word), "")
					continue
				}
				all = append(all, place(k, keys, item, fmt.Sprintf("%s-%d", k.Word, i+1)))
			}
		}
	}
	slices.SortStableFunc(all, func(a, b *placed) int { return cmp.Compare(a.node.At.Start, b.node.At.Start) })
	d.decodeUnplaced()
	taken := map[string]*placed{}
	for _, p := range all {
		d.decodePart(p)
		d.scene.placed = append(d.scene.placed, p)
		d.site.Parts = append(d.site.Parts, p.part)
		key := strings.ToLower(p.part.Label())
		if other, ok := taken[key]; ok {
			d.duplicate(p, other)
		} else {
			taken[key] = p
		}
	}
	d.lookUp()
}

// decodeUnplaced reads the keys of the parts of groups that are placed nowhere, for the
// faults in them.
func (d *decoder) decodeUnplaced() {
	n, known := d.scene.unplaced, len(d.uses)
	if n == nil {
		return
	}
	for _, word := range n.Words {
		k := parts.KindOf(word)
		for _, item := range n.Fields[word].Items {
			d.decodePart(place(k, k.Keys(), item, word))
		}
	}
	d.uses = d.uses[:known]
}

// place makes an empty part, named where the text names it.
func place(k *parts.Kind, keys []parts.Key, n *syntax.Node, name string) *placed {
	p := &placed{kind: k, keys: keys, part: k.New(), node: n}
	if field := n.Fields[nameWord]; field != nil {
		if given, ok := field.Text(); ok {
			name = given
		}
	}
	p.part.SetLabel(name)
	return p
}

func (d *decoder) decodePart(p *placed) {
	o := &owner{what: p.kind.Word, part: p}
	label := p.part.Label()
	if label != p.kind.Word {
		o.what += " " + syntax.Quote(label)
	}
	d.table(o, p.node, p.keys, reflect.ValueOf(p.part).Elem(), "")
	if p.part.Label() == "" {
		p.part.SetLabel(label)
	}
	if p.node.Copy != nil && !p.bad {
		d.carry(o, p)
	}
}

// duplicate reports a name that an earlier part has.
func (d *decoder) duplicate(p, other *placed) {
	at := p.node.At
	if n := p.node.Fields[nameWord]; n != nil {
		at = n.At
	}
	number, _, _ := other.node.At.Src.Line(other.node.At.Start)
	text := fmt.Sprintf("the name %s is taken by the %s of line %d", syntax.Quote(p.part.Label()), other.kind.Word, number)
	if p.part.Label() != other.part.Label() {
		text += fmt.Sprintf(" (%s; files of both could not lie side by side everywhere)", syntax.Quote(other.part.Label()))
	}
	d.wrong(&owner{part: p}, at, text, "names that differ in more than capitals; a part without a name is called by its kind and number", "")
}

// table reads the keys of a table into a struct.
func (d *decoder) table(o *owner, n *syntax.Node, keys []parts.Key, dst reflect.Value, path string) {
	words := words(keys)
	meant := map[string]bool{} // keys that a mistyped one was meant to be
	for _, word := range n.Words {
		if !slices.Contains(words, word) {
			near := d.nearest(word, words)
			meant[near] = true
			in := o.what
			if path != "" {
				in = strings.TrimSuffix(path, ".") + " of " + o.what
			}
			d.wrong(o, n.Fields[word].Key, fmt.Sprintf("unknown key %s in %s", syntax.Quote(word), in), syntax.Listed(words), near)
		}
	}
	for _, k := range keys {
		k.Required = k.Required && !meant[k.Word]
		d.field(slot{owner: o, key: k, path: path + k.Word}, n, dst.FieldByIndex(k.Index))
	}
}

// field reads one key of a table into a field, or its default where it is left out.
func (d *decoder) field(s slot, n *syntax.Node, dst reflect.Value) {
	field := n.Fields[s.key.Word]
	if field == nil {
		if s.key.Required && !d.partial {
			d.wrong(s.owner, n.At, fmt.Sprintf("%s lacks the key %s", s.owner.what, syntax.Quote(s.path)), s.key.Word+" is "+allowedValues(s.key), "")
		}
		d.assume(s, n, dst)
		return
	}
	if s.key.Optional {
		made := reflect.New(s.key.GoType)
		d.value(s, field, made.Elem())
		dst.Set(made)
		return
	}
	d.value(s, field, dst)
}

// defaults fills in the defaults of a table that is left out; holder is what it
// is left out of.
func (d *decoder) defaults(o *owner, keys []parts.Key, dst reflect.Value, path string, holder *syntax.Node) {
	for _, k := range keys {
		d.assume(slot{owner: o, key: k, path: path + k.Word}, holder, dst.FieldByIndex(k.Index))
	}
}

// assume fills in the default of one key.
func (d *decoder) assume(s slot, holder *syntax.Node, dst reflect.Value) {
	switch {
	case s.key.Optional:
	case s.key.From != "":
		dst.Set(printerField(d.site, s.key.From))
	case s.key.Type == parts.Table:
		d.defaults(s.owner, s.key.Sub, dst, s.path+".", holder)
	case s.key.Default != "":
		s.assumed = true
		if s.key.Filament != "" && d.site.Printer.Extrudes() {
			s.key.Default = s.key.Filament
		}
		d.value(s, defaultNode(s.key, holder.At), dst)
	}
}

// printerField is the value of one key of the printer.
func printerField(site *parts.Site, word string) reflect.Value {
	i := slices.IndexFunc(printerKeys, func(k parts.Key) bool { return k.Word == word })
	return reflect.ValueOf(site.Printer).FieldByIndex(printerKeys[i].Index)
}
