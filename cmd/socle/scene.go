package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"socle/parts"
	"socle/scenes"
)

// Selection says which scene it is that a file, and those who ask, make of it.
type Selection struct {
	Sets    []string // values to put in, as PATH=VALUE
	Variant string   // "" for the scene as it is
	Printer string   // path of a file whose [printer] stands in for the scene's; "" for none
}

// Options is what is asked of a scene and of the bases that are cut out of it.
type Options struct {
	Selection
	Bases     []string // only these, by the name of a piece or of a base; none: all
	Setting   string
	Cell      *float64 // mm; nil: the setting's
	Tolerance *float64 // mm; nil: the setting's
}

// AsItIs is the same, whichever variant is asked for, of the scene as it is.
func (c Selection) AsItIs() Selection {
	c.Variant = ""
	return c
}

// scene is a scene that has been read without a fault.
type scene struct {
	name string // what its files are called after
	read *scenes.Scene
	site *parts.Site

	resolution resolution // how finely it is meshed, once that is settled
	cache      *Cache     // what was made before; nil for none
}

// newScene gives a scene that has been read, without a resolution or a cache.
func newScene(name string, read *scenes.Scene) *scene {
	return &scene{name: name, read: read, site: read.Site}
}

// openScene reads a scene from a file, from standard input for "-", or from
// those that are shipped, with the values of the selection in it, and takes the variant
// if one is named. A file goes before a shipped scene of the same name.
func openScene(ctx context.Context, in io.Reader, arg string, c Selection) (*scene, error) {
	name, err := sceneName(arg)
	if err != nil {
		return nil, faulty(err)
	}
	read, err := await(ctx, func() (*scenes.Scene, error) { return readScene(in, arg, c.Sets, c.Printer) })
	if err != nil {
		return nil, faulty(err)
	}
	s := newScene(name, read)
	if c.Variant != "" {
		return s.variant(c.Variant)
	}
	return s, nil
}

// settle settles how finely the scene is meshed.
func (s *scene) settle(o *Options) (err error) {
	s.resolution, err = resolve(o.Setting, s.site.Printer, o.Cell, o.Tolerance)
	return err
}

// variant is a variant of the scene, with the same cache and meshed as finely.
func (s *scene) variant(name string) (*scene, error) {
	read, err := s.read.Variant(name)
	if err != nil {
		return nil, faulty(err)
	}
	return s.changed(s.name+"-"+name, read), nil
}

// with is the scene with other values in it, PATH=VALUE, with the same cache and meshed as
// finely.
func (s *scene) with(sets []string) (*scene, error) {
	read, err := s.read.With(sets)
	if err != nil {
		return nil, faulty(err)
	}
	return s.changed(s.name, read), nil
}

func (s *scene) changed(name string, read *scenes.Scene) *scene {
	other := newScene(name, read)
	other.resolution, other.cache = s.resolution, s.cache
	return other
}

// everyVariant names the scene as it is, "", and every variant of it.
func (s *scene) everyVariant() []string {
	names := []string{""}
	for _, v := range s.read.Variants {
		names = append(names, v.Name)
	}
	return names
}

// Set is a scene that was put together, and the bases that are cut out of it.
type Set struct {
	*scene
	whole  *parts.Scene
	pieces []parts.Piece
}

// unfitting makes the error of bases that are found not to fit once the scene,
// sound in itself, is put together.
func (s *scene) unfitting(found []parts.Fault) error {
	faults := &scenes.Faults{}
	for _, f := range found {
		faults.List = append(faults.List, s.read.Locate(f))
	}
	return &Failure{Kind: NotProven, Err: fmt.Errorf("it does not fit\n\n%w\n\n%s", faults, faults.Summary())}
}

// cut puts the scene together and cuts its bases out: all of them, or those that are
// named, by the name of a piece or of a base that makes several.
func (s *scene) cut(only []string) (*Set, error) {
	whole, err := parts.Assemble(s.site)
	var faults *parts.FaultError
	if errors.As(err, &faults) {
		return nil, s.unfitting(faults.Faults)
	}
	if err != nil {
		return nil, faulty(err)
	}
	pieces := whole.Pieces()
	if len(pieces) == 0 {
		f := s.read.Locate(parts.Fault{Text: "the scene has no base to build", Allowed: "one [[base]] or more"})
		return nil, faulty(&scenes.Faults{List: []scenes.Fault{f}})
	}
	if len(only) == 0 {
		return &Set{s, whole, pieces}, nil
	}
	var chosen []parts.Piece
	found := map[string]bool{}
	for _, p := range pieces {
		if slices.Contains(only, p.Name) || slices.Contains(only, p.Base.Name) {
			chosen = append(chosen, p)
			found[p.Name], found[p.Base.Name] = true, true
		}
	}
	for _, name := range only {
		if !found[name] {
			return nil, faulty(fmt.Errorf("the scene has no base %q; it has: %s", name, pieceNames(pieces)))
		}
	}
	return &Set{s, whole, chosen}, nil
}

func namesOf(pieces []parts.Piece) []string {
	names := make([]string, len(pieces))
	for i, p := range pieces {
		names[i] = p.Name
	}
	return names
}

func pieceNames(pieces []parts.Piece) string { return strings.Join(namesOf(pieces), ", ") }
