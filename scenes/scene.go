// Package scenes reads scene files. A scene is TOML; what may be in it comes
// from the parts that are registered, so the package knows no part by name.
//
// Reading promises: no text makes it panic, hang or take more than a few hundred
// megabytes; every fault is reported in one run, at its line and column, with
// what is allowed and the nearest valid word; a scene without a fault is
// resolved to millimetres and degrees and obeys every part's own rules.
package scenes

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes/syntax"
)

// What a scene's text is at fault in.
type (
	Fault  = syntax.Fault
	Faults = syntax.Faults
)

// MaxSize is the most bytes of a scene file.
const MaxSize = syntax.MaxSize

// Scene is a scene that has been read, with the places of its values.
type Scene struct {
	Site     *parts.Site
	Variants []Variant

	src      *syntax.Source
	raw      *syntax.Node // as it is written
	laid     []override   // the values put over it
	root     *syntax.Node // with those, and with the parts of its groups in it
	unplaced *syntax.Node // the parts of groups that are placed nowhere
	placed   []*placed

	variant string   // which one it is; "" for the scene itself
	sets    []string // the --set texts that it was read with
}

// ReadFile reads the scene file at path; sets are the --set texts. The error is
// a *Faults where the scene is at fault.
func ReadFile(path string, sets []string, options ...Option) (*Scene, error) {
	text, err := readText(path, "scene")
	if err != nil {
		return nil, err
	}
	return Read(path, text, sets, options...)
}

// readText reads a file, or what comes out of a pipe: at most one byte more than MaxSize,
// which Read refuses. what is the word for what it should hold.
func readText(path, what string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	switch mode := info.Mode(); {
	case mode.IsDir():
		return nil, fmt.Errorf("%s is a folder, not a %s file", path, what)
	case mode&(fs.ModeDevice|fs.ModeSocket) != 0:
		return nil, fmt.Errorf("%s is a device, not a %s file: allowed: a file or a pipe", path, what)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, MaxSize+1))
}

// Option changes how a scene is read.
type Option func(*reading)

// reading is what the options of one reading say.
type reading struct{ printer *PrinterFile }

// Read reads a scene; name is what messages call the file, sets are the --set
// texts, which go over the scene and over a printer of its own file. The error is
// a *Faults.
func Read(name string, text []byte, sets []string, options ...Option) (*Scene, error) {
	var r reading
	for _, option := range options {
		option(&r)
	}
	faults := &Faults{}
	s := &Scene{src: syntax.NewText(name, text, 0), sets: slices.Clone(sets)}
	overrides := readSets(sets, nil, faults)
	root, partial := syntax.ParsePartly(s.src, faults)
	if r.printer != nil {
		partial = !r.printer.replace(root, faults) || partial
	}
	if root == nil {
		return nil, faults.Err()
	}
	s.raw = root
	if partial {
		s.root = root.Clone()
		expand(s.root, &Faults{}) // what is missing may be in what could not be read
	} else {
		s.lay(overrides, faults)
	}
	s.decode(s.root, faults, partial)
	if s.Site.Title == "" {
		s.Site.Title = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	s.readVariants(faults, partial)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

// lay puts values over the text, and the parts of groups into it.
func (s *Scene) lay(overrides []override, faults *Faults) {
	s.laid = overrides
	s.root = s.raw.Clone()
	put(s.root, overrides, true, faults)
	s.unplaced = expand(s.root, faults)
	put(s.root, overrides, false, faults)
}

// decode makes the site of a tree and applies every rule to it.
func (s *Scene) decode(root *syntax.Node, faults *Faults, partial bool) {
	s.Site = &parts.Site{Levels: map[string]float64{}}
	d := &decoder{faults: faults, site: s.Site, scene: s, partial: partial}
	d.decode(root)
	s.rules(d)
}

// rules applies the parts' own rules. Parts with faults, and those that refer to
// them, are left out, so that one fault is not reported as two.
func (s *Scene) rules(d *decoder) {
	all, whole := s.Site.Parts, true
	if sound := s.sound(); d.bad || d.partial || len(sound) < len(s.placed) {
		if d.bad || d.partial || slices.ContainsFunc(s.placed, func(p *placed) bool { return p.bad && p.kind.Once }) {
			return // what every part stands on is in doubt
		}
		all, whole = sound, false
	}
	// On a site of their own: two scenes that are read and no more are compared as they are.
	for _, f := range check(s.Site.With(all)) {
		if f.Part == "" && !whole {
			continue // a rule on the whole of a scene that is not whole
		}
		if d.faults.Full() {
			d.faults.More++
			continue
		}
		d.faults.Add(s.Locate(f))
	}
}

// check runs every rule of the parts. A rule that panics is reported as a fault,
// so that reading never does.
func check(site *parts.Site) (faults []parts.Fault) {
	defer func() {
		if p := recover(); p != nil {
			faults = append(faults, parts.Fault{Text: fmt.Sprintf("%s: %v", broken, p)})
		}
	}()
	return assembly.Check(site)
}

// broken opens the message of a rule that failed in itself, which no scene
// should bring about.
const broken = "a rule broke while it was being checked; this is a fault of socle, not of the scene"

// Locate gives a part's fault its place in the text: the value of its key where
// it is written, or the part's own header.
func (s *Scene) Locate(f parts.Fault) Fault {
	at, text := s.root.At, f.Text
	n := s.root
	for _, p := range s.placed {
		if f.Part != "" && p.part.Label() == f.Part {
			at, n = p.node.At, p.node
			what := p.kind.Word
			if f.Part != what {
				what += " " + syntax.Quote(f.Part)
			}
			if f.Key != "" {
				what = f.Key + " of " + what
			}
			text = what + ": " + f.Text + origin(p.node.Copy)
			break
		}
	}
	if n == s.root && f.Key != "" {
		text = f.Key + ": " + f.Text
	}
	if f.Key != "" {
		for word := range strings.SplitSeq(f.Key, ".") {
			bare, item, indexed := splitIndex(word)
			child := n.Fields[bare]
			if child == nil {
				break
			}
			n, at = child, child.At
			if indexed && n.Shape == syntax.List && item < len(n.Items) {
				n = n.Items[item]
				at = n.At
			}
		}
	}
	fault := at.Fault(text)
	fault.Allowed = f.Allowed
	return fault
}
