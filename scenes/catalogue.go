package scenes

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"socle/parts"
	_ "socle/parts/all" // the catalogue
	"socle/scenes/syntax"
)

// entry is one kind of part, or one of the scene's own tables, in the catalogue.
type entry struct {
	Word  string     `json:"kind"`
	Stage string     `json:"stage,omitempty"` // "" for the scene's own tables
	Once  bool       `json:"once"`            // written [kind], not [[kind]]
	Doc   string     `json:"doc"`
	Keys  []keyEntry `json:"keys,omitempty"`

	Example string `json:"example,omitempty"` // parts that show it, for ExampleScene
	group   string // of a fitting, on the page
}

// keyEntry is one key in the catalogue. Min and Max are of the resolved value,
// in Unit.
type keyEntry struct {
	Word     string     `json:"key"`
	Type     parts.Type `json:"type"`
	Doc      string     `json:"doc"`
	Unit     string     `json:"unit,omitempty"`
	Default  string     `json:"default,omitempty"`
	Filament string     `json:"filament,omitempty"` // the default on a filament printer, where that is another
	From     string     `json:"from,omitempty"`     // the printer's key that it follows where left out
	Min      *float64   `json:"min,omitempty"`
	Max      *float64   `json:"max,omitempty"`
	Words    []string   `json:"words,omitempty"`
	Required bool       `json:"required,omitempty"`
	Source   string     `json:"source,omitempty"`
	Keys     []keyEntry `json:"keys,omitempty"`
}

// catalogue lists everything that a scene may hold.
func catalogue() []entry {
	var all []entry
	for _, t := range ownTables {
		all = append(all, entry{Word: t.word, Once: true, Doc: t.doc, Keys: keyEntries(t.keys)})
	}
	all = append(all,
		entry{Word: levelsWord, Once: true, Doc: "Named finished heights above the datum z = 0, as quay = 3.0 or mole = \"3.1 m\": the top of the finish, never of the structure below it. One may be set relative to another, such as " + relativeForms + ": it then follows when the other moves."},
		entry{Word: groupWord, Doc: groupDoc, Keys: keyEntries(groupKeys), Example: groupExample},
		entry{Word: placeWord, Doc: placeDoc, Keys: keyEntries(placeKeys)},
		entry{Word: variantWord, Doc: "The same scene with some values changed.", Keys: keyEntries(variantKeys)})
	for _, k := range parts.Kinds() {
		all = append(all, entry{k.Word, k.Stage.String(), k.Once, k.Doc, keyEntries(k.Keys()), strings.Trim(k.Example, "\n"), k.Group})
	}
	return all
}

func keyEntries(keys []parts.Key) []keyEntry {
	all := make([]keyEntry, len(keys))
	for i, k := range keys {
		all[i] = keyEntry{k.Word, k.Type, k.Doc, k.Unit(), k.Default, k.Filament, k.From, k.Min, k.Max, k.Words, k.Required, k.Source, nil}
		if len(k.Sub) > 0 {
			all[i].Keys = keyEntries(k.Sub)
		}
	}
	return all
}

// entriesOf gives the catalogue's entry for a word, or the whole of it for "".
func entriesOf(word string) ([]entry, error) {
	all := catalogue()
	if word == "" {
		return all, nil
	}
	for _, e := range all {
		if e.Word == word {
			return []entry{e}, nil
		}
	}
	help := ""
	if near := syntax.Nearest(word, CatalogueWords()); near != "" {
		help = fmt.Sprintf(" Did you mean %q?", near)
	}
	return nil, fmt.Errorf("no part is called %s.%s \"socle parts\" lists all", syntax.Quote(word), help)
}

// CatalogueWords lists the words that the catalogue has an entry for.
func CatalogueWords() []string {
	var all []string
	for _, e := range catalogue() {
		all = append(all, e.Word)
	}
	return all
}

// CatalogueJSON is what Catalogue writes, as JSON: a list of kinds.
func CatalogueJSON(word string) ([]byte, error) {
	entries, err := entriesOf(word)
	if err != nil {
		return nil, err
	}
	text, err := json.MarshalIndent(entries, "", "  ")
	return append(text, '\n'), err
}

// pageWidth is how wide the catalogue is, in characters.
const pageWidth = 96

// Catalogue writes what the parts of a scene are: all of them, a line each, or
// every key of the one called word. The error names the nearest part where none
// is called so.
func Catalogue(w io.Writer, word string) error {
	entries, err := entriesOf(word)
	if err != nil {
		return err
	}
	p := &page{w: w}
	if word != "" {
		p.kind(entries[0])
		return p.err
	}
	width := 0
	var stages []string
	for _, e := range entries {
		width = max(width, len(e.Word))
		if !slices.Contains(stages, e.Stage) {
			stages = append(stages, e.Stage)
		}
	}
	for _, stage := range stages {
		title := stage
		if stage == "" {
			title = "the scene"
		}
		p.line("%s", title)
		for _, e := range entries {
			if e.Stage == stage {
				p.beside(fmt.Sprintf("  %-*s  ", width, e.Word), e.Doc)
			}
		}
		p.line("")
	}
	p.line("The order of work is the order above, whatever the order in the file.")
	return p.err
}

// page writes lines and keeps the first error.
type page struct {
	w   io.Writer
	err error
}

func (p *page) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, strings.TrimRight(fmt.Sprintf(format, args...), " "))
	}
}

// beside writes text wrapped to the right of a margin.
func (p *page) beside(margin, text string) {
	for _, line := range syntax.Wrap(text, pageWidth-len(margin)) {
		p.line("%s%s", margin, line)
		margin = strings.Repeat(" ", len(margin))
	}
}

// kind writes one kind with all its keys.
func (p *page) kind(e entry) {
	brackets := e.brackets()
	if e.Stage != "" {
		brackets += ", stage " + e.Stage
	}
	p.line("%s   %s", e.Word, brackets)
	p.beside("", e.Doc)
	if len(e.Keys) > 0 {
		p.line("")
		p.keys(e.Keys, "  ")
		if e.scaled() {
			p.line("")
			p.beside("", scaledNote)
		}
	}
	if e.Example != "" {
		p.line("")
		p.line("# An example, for a ground at the level \"floor\" and a base round 44 at [32, 24], 1:%s.", syntax.FormatNumber(exampleRatio))
		p.line("%s", e.Example)
	}
}

// scaledNote says how values in mm are written.
const scaledNote = `For a value in mm, a plain number is mm on the print, and text with a unit, such as "3.1 m", is full size. Ranges are on the print.`

// scaled says that some of its values may be given in full size.
func (e entry) scaled() bool { return slices.ContainsFunc(e.Keys, keyEntry.scaled) }

// brackets are how the entry is written in a scene.
func (e entry) brackets() string {
	if e.Once {
		return "[" + e.Word + "], once"
	}
	return "[[" + e.Word + "]]"
}

// keys writes keys below each other: word, type, default and range in columns,
// the rest below.
func (p *page) keys(keys []keyEntry, margin string) {
	alike := len(keys) > 1 && len(keys[0].Words) > 0 &&
		!slices.ContainsFunc(keys, func(k keyEntry) bool { return !slices.Equal(k.Words, keys[0].Words) })
	if alike {
		p.beside(margin, "each is "+keys[0].choices())
	}
	word, kind, start := len("key"), len("value"), len("default")
	for _, k := range keys {
		word, kind, start = max(word, len(k.Word)), max(kind, len(k.shown())), max(start, len(k.initial()))
	}
	p.line("%s%-*s  %-*s  %-*s  %s", margin, word, "key", kind, "value", start, "default", "range")
	for _, k := range keys {
		p.line("%s%-*s  %-*s  %-*s  %s", margin, word, k.Word, kind, k.shown(), start, k.initial(), k.limits())
		below := margin + strings.Repeat(" ", word+2)
		p.beside(below, k.Doc)
		if len(k.Words) > 0 && !alike {
			p.beside(below, k.choices())
		}
		if k.From != "" {
			p.beside(below, "left out: "+k.From+" of [printer]")
		}
		if k.Source != "" {
			p.beside(below, "source: "+k.Source)
		}
		if len(k.Keys) > 0 {
			p.keys(k.Keys, below)
		}
	}
}

// scaled says that the value may be given in full size.
func (k keyEntry) scaled() bool {
	return k.Unit == "mm" && k.Type != parts.Machine && k.Type != parts.Bed
}

// shown is a type with its unit.
func (k keyEntry) shown() string {
	switch k.Type {
	case parts.Full:
		return "full size, " + k.Unit
	case parts.Machine:
		return "number, " + k.Unit
	case parts.Bed:
		return "two numbers, " + k.Unit
	case parts.Number, parts.Count:
		if k.Unit != "" {
			return string(k.Type) + ", " + k.Unit
		}
	case parts.Length, parts.Height, parts.Angle, parts.Size, parts.Lengths, parts.Point, parts.Points:
		return string(k.Type) + ", " + k.Unit
	}
	return string(k.Type)
}

func (k keyEntry) initial() string {
	if k.Required {
		return "required"
	}
	if k.From != "" {
		return "the printer's"
	}
	if k.Filament != "" {
		return k.Default + ", filament " + k.Filament
	}
	return k.Default
}

func (k keyEntry) limits() string {
	switch {
	case k.Type == parts.Text && k.Max != nil:
		return syntax.FormatNumber(*k.Max) + " characters or less"
	case k.Min != nil && k.Max != nil:
		return syntax.FormatNumber(*k.Min) + " to " + syntax.FormatNumber(*k.Max)
	case k.Min != nil:
		return syntax.FormatNumber(*k.Min) + " or more"
	case k.Max != nil:
		return syntax.FormatNumber(*k.Max) + " or less"
	}
	return ""
}

func (k keyEntry) choices() string {
	switch k.Type {
	case parts.Ref, parts.Refs:
		return "names a " + parts.OneOf(k.Words)
	case parts.Facing:
		return "one of " + strings.Join(k.Words, ", ") + ", or degrees from east, anticlockwise"
	}
	return "one of " + strings.Join(k.Words, ", ")
}

// PageEntry is an entry of the catalogue in words, for a page.
type PageEntry struct {
	Word, Doc string
	Written   string // "[[stair]]"
	Stage     string // "" for a table of the scene itself
	Group     string // that it is told in: "Structure", "Goods"
	Example   string // "" where it has none
	Keys      []PageKey
	Note      string // how values are written; "" for nothing to say
}

// PageKey is a key in words: "area.rect" is one of the keys of area.
type PageKey struct{ Path, Value, Default, Range, Doc, Choices, Source string }

// stageGroups are the groups of a page by stage. Fittings go by groups of their own.
var stageGroups = map[string]string{
	"":                       "The scene itself",
	parts.Structure.String(): "Structure",
	parts.Finishing.String(): "Finishes",
	parts.Fitting.String():   "Fittings",
	parts.Damaging.String():  "Damage",
	parts.Spilling.String():  "Debris",
	parts.Trimming.String():  "Trims",
	parts.Cutting.String():   "Bases",
}

// PageEntries gives the entry for a word, or all for "", in the order of work.
func PageEntries(word string) ([]PageEntry, error) {
	entries, err := entriesOf(word)
	if err != nil {
		return nil, err
	}
	var all []PageEntry
	for _, e := range entries {
		p := PageEntry{
			Word: e.Word, Doc: e.Doc, Written: e.brackets(), Stage: e.Stage, Group: stageGroups[e.Stage],
			Example: e.Example, Keys: pageKeys(e.Keys, ""),
		}
		if e.Stage == parts.Fitting.String() && e.group != "" {
			p.Group = e.group
		}
		if e.scaled() {
			p.Note = scaledNote
		}
		all = append(all, p)
	}
	return all, nil
}

// pageKeys puts keys in words, those of a table right after it.
func pageKeys(keys []keyEntry, path string) []PageKey {
	var all []PageKey
	for _, k := range keys {
		p := PageKey{Path: path + k.Word, Value: k.shown(), Default: k.initial(), Range: k.limits(), Doc: k.Doc, Source: k.Source}
		switch {
		case len(k.Words) > 0:
			p.Choices = k.choices()
		case k.From != "":
			p.Choices = "left out: " + k.From + " of [printer]"
		}
		all = append(append(all, p), pageKeys(k.Keys, path+k.Word+".")...)
	}
	return all
}
