// Package scenes reads scene files. A scene is TOML; what may be in it comes
// from the parts that are registered, so the package knows no part by name.
//
// Reading promises: no text makes it panic, hang or take more than a few hundred
// megabytes; every fault is reported in one run, at its line and column, with
// what is allowed and the nearest valid word; a scene without a fault is
// resolved to millimetres and degrees and obeys every part's own rules.
package scenes

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"socle/parts"
)

// MaxSize is the most bytes of a scene file.
const MaxSize = 4 << 20

// Scene is a scene that has been read, with the places of its values.
type Scene struct {
	Site     *parts.Site
	Variants []Variant

	src    *source
	root   *node // with the --set values in it
	placed []*placed
}

// ReadFile reads the scene file at path; sets are the --set texts. The error is
// a *Faults where the scene is at fault.
func ReadFile(path string, sets []string) (*Scene, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, fmt.Errorf("%s is a folder, not a scene file", path)
	}
	text := make([]byte, 0, 64<<10)
	buf := make([]byte, 64<<10)
	for {
		n, err := f.Read(buf)
		text = append(text, buf[:n]...)
		if len(text) > MaxSize {
			return nil, fmt.Errorf("%s is larger than %d MiB: too large for a scene", path, MaxSize>>20)
		}
		if err != nil {
			if errors.Is(err, io.EOF) {
				break
			}
			return nil, err
		}
	}
	return Read(path, text, sets)
}

// Read reads a scene; name is what messages call the file, sets are the --set
// texts. The error is a *Faults.
func Read(name string, text []byte, sets []string) (*Scene, error) {
	faults := &Faults{}
	s := &Scene{src: newSource(filepath.ToSlash(name), strings.TrimPrefix(string(text), "\uFEFF"), 0)}
	overrides := readSets(sets, faults)
	root, partial := s.parse(faults)
	if root == nil {
		return nil, faults.found()
	}
	if !partial {
		apply(root, overrides, faults)
	}
	s.root = root
	s.decode(root, faults, partial)
	if s.Site.Title == "" {
		s.Site.Title = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	s.readVariants(faults)
	if err := faults.found(); err != nil {
		return nil, err
	}
	return s, nil
}

// maxSyntax is the most faults of the TOML text that are looked for, and
// mendable the most bytes of a text in which more than the first are.
const (
	maxSyntax = 20
	mendable  = 1 << 18
)

// parse gives the tree of the text. Where a key and its value are not TOML they
// are left out and the rest is read, so that later faults are found in the same
// run; partial says so. The tree is nil where no sense can be made of the rest.
func (s *Scene) parse(faults *Faults) (root *node, partial bool) {
	if len(s.src.text) > MaxSize {
		f := span{s.src, 0, 0}.fault(fmt.Sprintf("larger than %d MiB: too large for a scene", MaxSize>>20))
		faults.add(f)
		return nil, true
	}
	if at := notText(s.src.text); at >= 0 {
		faults.add(span{s.src, at, at + 1}.fault("this is not text in UTF-8, which a scene file is"))
		return nil, true
	}
	text, last := s.src.text, 0
	for range maxSyntax {
		root, err := parse(s.src, text, 0)
		if err == nil {
			return root, partial
		}
		f := faultOf(err)
		var syntax syntaxFault
		if !errors.As(err, &syntax) {
			faults.add(f)
			return nil, true
		}
		if last == 0 || f.Line > last+1 {
			faults.add(f)
		}
		last, partial = f.Line, true
		var ok bool
		if text, ok = s.blank(text, f.Line); !ok || len(text) > mendable {
			return nil, true
		}
	}
	return nil, true
}

// notText gives the offset of the first byte that is no part of a UTF-8 text, or -1.
func notText(text string) int {
	for i, r := range text {
		if r == 0 {
			return i
		}
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(text[i:]); size == 1 {
				return i
			}
		}
	}
	return -1
}

// blank gives the text with blanks in place of one line, if that is a key with
// a value.
func (s *Scene) blank(text string, line int) (string, bool) {
	start := s.src.lines[line-1]
	end := len(text)
	if line < len(s.src.lines) {
		end = s.src.lines[line] - 1
	}
	trimmed := strings.TrimSpace(text[start:end])
	if trimmed == "" || trimmed[0] == '[' || !strings.Contains(trimmed, "=") {
		return text, false
	}
	return text[:start] + strings.Repeat(" ", end-start) + text[end:], true
}

// decode makes the site of a tree and applies every rule to it.
func (s *Scene) decode(root *node, faults *Faults, partial bool) {
	s.Site = &parts.Site{Levels: map[string]float64{}}
	d := &decoder{faults: faults, site: s.Site, scene: s, partial: partial, faulty: map[string]bool{}}
	d.decode(root)
	s.rules(d)
}

// rules applies the parts' own rules. Parts with faults, and those that refer to
// them, are left out, so that one fault is not reported as two.
func (s *Scene) rules(d *decoder) {
	site := s.Site
	if sound := s.sound(); d.bad || d.partial || len(sound) < len(s.placed) {
		if d.bad || d.partial || slices.ContainsFunc(s.placed, func(p *placed) bool { return p.bad && p.kind.Once }) {
			return // what every part stands on is in doubt
		}
		part := *site
		part.Parts = sound
		site = &part
	}
	for _, f := range check(site) {
		if f.Part == "" && site != s.Site {
			continue // a rule on the whole of a scene that is not whole
		}
		d.faults.add(s.Locate(f))
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
	return parts.Check(site)
}

// broken opens the message of a rule that failed in itself, which no scene
// should bring about.
const broken = "a rule broke while it was being checked; this is a fault of socle, not of the scene"

// Locate gives a part's fault its place in the text: the value of its key where
// it is written, or the part's own header.
func (s *Scene) Locate(f parts.Fault) Fault {
	at, text := s.root.at, f.Text
	n := s.root
	for _, p := range s.placed {
		if f.Part != "" && p.part.Label() == f.Part {
			at, n = p.node.at, p.node
			what := p.kind.Word
			if f.Part != what {
				what += " " + quote(f.Part)
			}
			if f.Key != "" {
				what = f.Key + " of " + what
			}
			text = what + ": " + f.Text
			break
		}
	}
	if n == s.root && f.Key != "" {
		text = f.Key + ": " + f.Text
	}
	if f.Key != "" {
		for word := range strings.SplitSeq(f.Key, ".") {
			bare, item, indexed := splitIndex(word)
			child := n.fields[bare]
			if child == nil {
				break
			}
			n, at = child, child.at
			if indexed && n.shape == list && item < len(n.items) {
				n = n.items[item]
				at = n.at
			}
		}
	}
	fault := at.fault(text)
	fault.Allowed = f.Allowed
	return fault
}
