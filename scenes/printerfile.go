package scenes

import (
	"fmt"
	"slices"

	"socle/scenes/syntax"
)

// PrinterFile is a printer in a file of its own: a TOML text with [printer] and
// the keys that a scene has there, and nothing else, so that the table can be
// carried over as it stands.
type PrinterFile struct{ src *syntax.Source }

// printerOrder is the order of a printer's file among the sources of faults: after
// the scene and the --set texts.
const printerOrder = 2

// OpenPrinter reads the text of a printer's file. What is wrong in it, a size over
// MaxSize too, is found when a scene is read on it.
func OpenPrinter(path string) (*PrinterFile, error) {
	text, err := readText(path, "printer")
	if err != nil {
		return nil, err
	}
	return NewPrinter(path, text), nil
}

// NewPrinter takes the text of a printer's file; name is what messages call it.
func NewPrinter(name string, text []byte) *PrinterFile {
	return &PrinterFile{syntax.NewText(name, text, printerOrder)}
}

// On has a scene, and all its variants, read with a printer from a file of its
// own in place of the scene's [printer]: wholly, so that what the file leaves out
// is as if no scene said it. Nil leaves the scene's own.
func On(p *PrinterFile) Option { return func(r *reading) { r.printer = p } }

// replace puts the file's printer into the tree of a scene, which may be nil, and
// says whether all of the file could be read.
func (p *PrinterFile) replace(scene *syntax.Node, faults *Faults) bool {
	root, partial := syntax.ParsePartly(p.src, faults)
	if root == nil {
		return false
	}
	const allowed = "[" + printerWord + "] with its keys below it, and nothing else"
	for _, word := range root.Words {
		if word == printerWord {
			continue
		}
		text := fmt.Sprintf("a printer's file has no %s", syntax.Quote(word))
		if slices.Contains(words(printerKeys), word) {
			text = fmt.Sprintf("%s is outside [%s]", syntax.Quote(word), printerWord)
		}
		f := root.Fields[word].Key.Fault(text)
		f.Allowed, f.Nearest = allowed, syntax.Nearest(word, []string{printerWord})
		faults.Add(f)
		partial = true
	}
	table := root.Fields[printerWord]
	if table == nil {
		if !partial {
			f := root.At.Fault("a printer's file has no [" + printerWord + "]")
			f.Allowed = allowed
			faults.Add(f)
		}
		return false
	}
	if scene != nil {
		scene.Put(printerWord, table)
	}
	return !partial
}
