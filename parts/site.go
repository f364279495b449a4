package parts

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Level is a finished height: the top of the finish, never of the structure
// below it.
type Level struct {
	Name   string  // "" where the scene gave a height in place of a name
	Height float64 // mm above the scene's datum, z = 0
}

// Scale says how big the place is against the print.
type Scale struct {
	Ratio      float64 `key:"ratio" type:"number" doc:"the scale's denominator: 285 for 1:285" min:"1" max:"2000" required:"yes"`
	Person     float64 `key:"person" type:"full" doc:"height of the yardstick person, full size" default:"1.756 m" min:"0.3" max:"10" source:"mean stature of US Army men 2012, ANSUR II public data"`
	Exaggerate float64 `key:"exaggerate" type:"number" doc:"factor on full-size heights, so that they read at arm's length" default:"1" min:"0.25" max:"4"`
}

// Print holds the least sizes that the parts draw with, in mm on the print, as
// Printer.Drawn gives them.
type Print struct {
	Pin    float64 // thickness of a pin: a baluster, a post, a bar
	Wall   float64 // thickness of a free-standing wall or slab
	Gap    float64 // width of a joint or gap that stays open
	Relief float64 // depth or height of relief: the larger of emboss and engrave
}

// Site is a whole scene, read and resolved: what every part may look at.
type Site struct {
	Title    string
	Scale    Scale
	Print    Print // the printer's least sizes, as far as parts draw with them
	Printer  Printer
	Material Material
	Inspect  Inspection
	Levels   map[string]float64 // mm above the datum, by name
	Seed     uint64             // the scene's own seed
	Parts    []Part             // in the order of the file

	notes []Note

	settling sync.Mutex // guards settled
	settled  map[any]any
}

// With is the site with other parts in place of its own, and nothing settled or noted.
func (s *Site) With(parts []Part) *Site {
	return &Site{
		Title: s.Title, Scale: s.Scale, Print: s.Print, Printer: s.Printer, Material: s.Material, Inspect: s.Inspect,
		Levels: s.Levels, Seed: s.Seed, Parts: parts,
	}
}

// Settled gives what a part, or nil for the site as a whole, works out from its keys and
// its site: once for each type of what is worked out. From then on the site and its
// parts must not change; a site with other parts is another site (With).
func Settled[T any](s *Site, p Part, work func() T) T {
	type key struct{ part Part } // another type for each T
	k := key{p}
	s.settling.Lock()
	have, ok := s.settled[k]
	s.settling.Unlock()
	if ok {
		return have.(T)
	}
	v := work() // which may settle others
	s.settling.Lock()
	defer s.settling.Unlock()
	if have, ok := s.settled[k]; ok {
		return have.(T)
	}
	if s.settled == nil {
		s.settled = map[any]any{}
	}
	s.settled[k] = v
	return v
}

// Grain is the least depth, in mm, of a texture over a whole face: what is left of it after
// primer. A third of the least relief of the print, which is 0.1 mm for resin and 0.2 mm for
// filament: common practice, no source.
func (s *Site) Grain() float64 { return s.Print.Relief / 3 }

// rims are the outlines of the bases.
type rims [][]r2.Vec

// LayRims tells the site the outlines of its bases at the top of their rims, in the scene:
// convex, anticlockwise. It counts before the first solid is asked for.
func (s *Site) LayRims(outlines [][]r2.Vec) { Settled(s, nil, func() rims { return outlines }) }

// Rims are the outlines of the bases, as they are laid; none in a site without.
func (s *Site) Rims() [][]r2.Vec { return Settled(s, nil, func() rims { return nil }) }

// Note tells the maker of something that the build decided for them.
type Note struct {
	Part string `json:"part"` // the part's name, "" for the scene
	Key  string `json:"key,omitempty"`
	Text string `json:"text"`
}

// Note records what the reader decided, once. What parts decide they say themselves
// (Noter).
func (s *Site) Note(part, key, format string, args ...any) {
	n := Note{Part: part, Key: key, Text: fmt.Sprintf(format, args...)}
	if !slices.Contains(s.notes, n) {
		s.notes = append(s.notes, n)
	}
}

// Notes are those of the reader, in order.
func (s *Site) Notes() []Note { return s.notes }

// Find gives the part called name, or nil.
func (s *Site) Find(name string) Part {
	for _, p := range s.Parts {
		if p.Label() == name {
			return p
		}
	}
	return nil
}

// Told gives what a part is called in what is found about it: its name, or what it
// calls itself where the scene gave it none.
func (s *Site) Told(p Part) string {
	if c, ok := p.(Describer); ok {
		return c.Describe(s)
	}
	return p.Label()
}

// Called gives the part that Told calls so, or nil.
func (s *Site) Called(told string) Part {
	for _, p := range s.Parts {
		if s.Told(p) == told {
			return p
		}
	}
	return nil
}

// ByName gives every part by its name; of several of one name the first.
func (s *Site) ByName() map[string]Part {
	all := make(map[string]Part, len(s.Parts))
	for _, p := range s.Parts {
		if all[p.Label()] == nil {
			all[p.Label()] = p
		}
	}
	return all
}

// AllOf gives the parts of Go type T in the order of the file.
func AllOf[T Part](s *Site) []T {
	var out []T
	for _, p := range s.Parts {
		if t, ok := p.(T); ok {
			out = append(out, t)
		}
	}
	return out
}

// FullSize converts mm on the print to mm in the full-size place, horizontally.
func (s *Site) FullSize(mm float64) float64 { return mm * s.Scale.Ratio }

// FullHeight converts a height on the print, in mm, to full size.
func (s *Site) FullHeight(mm float64) float64 { return mm * s.Scale.Ratio / s.Scale.Exaggerate }

// OnPrint converts full-size mm to mm on the print, horizontally.
func (s *Site) OnPrint(fullMM float64) float64 { return fullMM / s.Scale.Ratio }

// HeightOnPrint converts a full-size height in mm to the print.
func (s *Site) HeightOnPrint(fullMM float64) float64 {
	return fullMM / s.Scale.Ratio * s.Scale.Exaggerate
}

// Rand is the random stream of one part for one purpose. It depends on the
// scene's seed, the part's name and seed and the purpose alone, so a change to
// one part moves nothing in another.
func (s *Site) Rand(part string, seed uint64, purpose string) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d\x00%s\x00%d\x00%s", s.Seed, part, seed, purpose)
	a := h.Sum64()
	h.Write([]byte{1})
	return rand.New(rand.NewPCG(a, h.Sum64()))
}

// Fault is a rule that a part breaks, found after reading: the reader adds the
// place in the file from the part and the key.
type Fault struct {
	Part    string // the part's name; "" for the scene itself
	Key     string // the key at fault, "" for the part as a whole; "area.rect" within a table
	Text    string // what is wrong, with the value
	Allowed string // what would be right
}

// Checker is a part with rules beyond the ranges of its keys. Check is called
// once all parts are read and every reference is known to lead to a part of the
// right kind; it must not panic on any values that are within their ranges.
type Checker interface {
	Part
	Check(s *Site) []Fault
}

// Describer is a part with another name than its label in what is found about it: one
// that the scene left without a name.
type Describer interface {
	Part
	Describe(s *Site) string
}

// Noter is a part that decides some things for its maker: what is drawn otherwise than
// asked, or left out. Its notes follow from what it settled (Settled); those of a spill
// are asked for once it is laid.
type Noter interface {
	Part
	Notes(s *Site) []Note
}

// Counter is a part made of many pieces; Pieces says how many Solid or Spill
// would make, at most, before any are made.
type Counter interface {
	Part
	Pieces(s *Site) int
}

// MaxPieces is the most pieces that one scene may be made of.
const MaxPieces = 200_000

// Solider is a part of the structure, finish or fitting stages: it adds a solid,
// in scene coordinates.
type Solider interface {
	Part
	Solid(s *Site) sdf.Field
}

// Damager is a part of the damage stage. Throw is what it adds before it cuts
// (a rim, a blanket of ejecta), or nil; Cut is what it takes away. Narrow gives
// the names of the only parts it touches (none: all) and of those it spares.
type Damager interface {
	Part
	Throw(s *Site) sdf.Field
	Cut(s *Site) sdf.Field
	Narrow() (only, spares []string)
}

// Draper is a Damager whose throw lies on the work there is. ThrowOn is asked in
// place of Throw, with the undamaged work.
type Draper interface {
	Damager
	ThrowOn(s *Site, work sdf.Field) sdf.Field
}

// Spiller is a part of the spill stage: debris that rests on what is under it,
// which is the whole scene after damage.
type Spiller interface {
	Part
	Spill(s *Site, under sdf.Field) sdf.Field
}

// Trimmer is a part of the trim stage. Keep is the region that the scene is
// cut down to.
type Trimmer interface {
	Part
	Keep(s *Site) sdf.Field
}

// Strewer is damage that debris comes from: its middle, a point or a line, and
// the distance from there to its lip, mm.
type Strewer interface {
	Damager
	Strewn(s *Site) (middle []r2.Vec, radius float64)
}

// Overhung is a Strewer with work left over it: Under is the height that its debris
// falls from, so that none lies on top of that.
type Overhung interface {
	Strewer
	Under(s *Site) float64
}

// Heaper is a Strewer that brought work down where it stood: what lies there is that work
// alone, in heaps.
type Heaper interface {
	Strewer
	// Fallen is the patch of the plan where work came down, and the names of the parts that did.
	Fallen(s *Site) (patch Patch, of []string)
	Heaps(s *Site) []Heap
}

// Heap is debris along a line of the plan: against the foot of what still stands there, or in
// a ridge of its own.
type Heap struct {
	A, B   r2.Vec
	Out    r2.Vec  // unit, away from what it lies against; zero in a ridge of its own
	Stands float64 // how high that stands over the level at its foot, mm
	Foot   float64 // that level, mm above the datum
	Volume float64 // with its voids, mm3
}

// FaultError says that a site breaks rules, and which.
type FaultError struct{ Faults []Fault }

func (e *FaultError) Error() string {
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		words := slices.DeleteFunc([]string{f.Part, f.Key, f.Text}, func(w string) bool { return w == "" })
		lines[i] = strings.Join(words, ": ")
		if f.Allowed != "" {
			lines[i] += " (" + f.Allowed + ")"
		}
	}
	return strings.Join(lines, "\n")
}

// TrimReach is the height and depth that a trim to an area keeps, mm.
const TrimReach = 1e4
