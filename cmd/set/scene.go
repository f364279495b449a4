// Package set opens scenes and cuts their bases out: the start of all that is made of a
// scene.
//
// A Scene is a scene file that was read without a fault, with the values, the variant and
// the printer that were asked for. Cut puts it together and gives a Set: the place and the
// pieces cut out of it. Open, New, With and Variant are the only ways to get a Scene, and
// MeshOptions the only place where it is settled how a piece is meshed.
//
// The packages below make things of a Set: inspection, look and piece make one piece;
// report, advice and build make the whole set; compare, vary and jobs make several. None
// of them reads a command line or prints: they take options, tell a Progress how far they
// are, and return a Failure.
package set

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"socle/cmd/set/cache"
	"socle/parts"
	"socle/parts/assembly"
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
func (s Selection) AsItIs() Selection {
	s.Variant = ""
	return s
}

// Scene is a scene that has been read without a fault.
type Scene struct {
	Name string // what its files are called after
	Read *scenes.Scene
	Site *parts.Site

	Resolution Resolution   // how finely it is meshed, once that is settled
	Cache      *cache.Cache // what was made before; nil for none
}

// New gives a scene that has been read, without a resolution or a cache.
func New(name string, read *scenes.Scene) *Scene {
	return &Scene{Name: name, Read: read, Site: read.Site}
}

// Open reads a scene from a file, from standard input for "-", or from
// those that are shipped, with the values of the selection in it, and takes the variant
// if one is named. A file goes before a shipped scene of the same name.
func Open(ctx context.Context, in io.Reader, arg string, c Selection) (*Scene, error) {
	name, err := NameOf(arg)
	if err != nil {
		return nil, AsFaulty(err)
	}
	read, err := Await(ctx, func() (*scenes.Scene, error) { return readFrom(in, arg, c.Sets, c.Printer) })
	if err != nil {
		return nil, AsFaulty(err)
	}
	s := New(name, read)
	if c.Variant != "" {
		return s.Variant(c.Variant)
	}
	return s, nil
}

// Settle settles how finely the scene is meshed.
func (s *Scene) Settle(o *Options) (err error) {
	s.Resolution, err = resolve(o.Setting, s.Site.Printer, o.Cell, o.Tolerance)
	return err
}

// Variant is a variant of the scene, with the same cache and meshed as finely.
func (s *Scene) Variant(name string) (*Scene, error) {
	read, err := s.Read.Variant(name)
	if err != nil {
		return nil, AsFaulty(err)
	}
	return s.derived(s.Name+"-"+name, read), nil
}

// With is the scene with other values in it, as PATH=VALUE and as moves that go over these,
// with the same cache and meshed as finely.
func (s *Scene) With(sets []string, moves ...parts.Move) (*Scene, error) {
	read, err := s.Read.With(sets, moves...)
	if err != nil {
		return nil, AsFaulty(err)
	}
	return s.derived(s.Name, read), nil
}

func (s *Scene) derived(name string, read *scenes.Scene) *Scene {
	other := New(name, read)
	other.Resolution, other.Cache = s.Resolution, s.Cache
	return other
}

// VariantNames names the scene as it is, "", and every variant of it.
func (s *Scene) VariantNames() []string {
	names := []string{""}
	for _, v := range s.Read.Variants {
		names = append(names, v.Name)
	}
	return names
}

// Set is a scene that was put together, and the bases that are cut out of it.
type Set struct {
	*Scene
	Place  *assembly.Scene
	Pieces []assembly.Piece
}

// Unfitting makes the error of bases that are found not to fit once the scene,
// sound in itself, is put together.
func (s *Scene) Unfitting(found []parts.Fault) error {
	faults := &scenes.Faults{}
	for _, f := range found {
		faults.List = append(faults.List, s.Read.Locate(f))
	}
	return &Failure{Kind: NotProven, Err: fmt.Errorf("it does not fit\n\n%w\n\n%s", faults, faults.Summary())}
}

// Cut puts the scene together and cuts its bases out: all of them, or those that are
// named, by the name of a piece or of a base that makes several.
func (s *Scene) Cut(only []string) (*Set, error) {
	whole, err := assembly.Assemble(s.Site)
	var faults *parts.FaultError
	if errors.As(err, &faults) {
		return nil, s.Unfitting(faults.Faults)
	}
	if err != nil {
		return nil, AsFaulty(err)
	}
	pieces := whole.Pieces()
	if len(pieces) == 0 {
		f := s.Read.Locate(parts.Fault{Text: "the scene has no base to build", Allowed: "one [[base]] or more"})
		return nil, AsFaulty(&scenes.Faults{List: []scenes.Fault{f}})
	}
	if len(only) == 0 {
		return &Set{s, whole, pieces}, nil
	}
	var chosen []assembly.Piece
	found := map[string]bool{}
	for _, p := range pieces {
		if slices.Contains(only, p.Name) || slices.Contains(only, p.Base.Name) {
			chosen = append(chosen, p)
			found[p.Name], found[p.Base.Name] = true, true
		}
	}
	for _, name := range only {
		if !found[name] {
			return nil, AsFaulty(fmt.Errorf("the scene has no base %q; it has: %s", name, ListNames(pieces)))
		}
	}
	return &Set{s, whole, chosen}, nil
}

func PieceNames(pieces []assembly.Piece) []string {
	names := make([]string, len(pieces))
	for i, p := range pieces {
		names[i] = p.Name
	}
	return names
}

func ListNames(pieces []assembly.Piece) string { return strings.Join(PieceNames(pieces), ", ") }
