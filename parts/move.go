package parts

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
)

// Move is one value of a part that is put in place of another. How it is written is
// the scene's business.
type Move struct {
	Part string // its name; "" for a table of the scene
	Kind string // the word of its kind, or of the table
	Key  string
	// Value is a float64 in mm, an int for a count, a uint64 for a seed, a [2]float64 for a
	// point, a [][2]float64 for points, a string for a word or a name, a []string for names,
	// or a []Setting for a list of one table; a bool for a flag.
	Value any
}

// Setting is one key of a table with its value.
type Setting struct {
	Key   string
	Value any // as of a Move
}

// Movable is a damage that a layout may lay elsewhere.
type Movable interface {
	Damager
	Checker
	// Laid gives a copy that is aimed at a place of the plan, and what was changed: nothing
	// for one that can lie nowhere else, whatever the place.
	Laid(s *Site, at r2.Vec, draw *LayoutDraw) (Movable, []Move)
	Struck(s *Site) Strike
}

// Debris is a part that lies about damage.
type Debris interface {
	Part
	// Source is the name of the damage that it comes from, "" for none.
	Source() string
	// Farthest is how far it may lie from the middle of damage that cuts so far, mm.
	Farthest(s *Site, cut float64) float64
}

// Strike is where a damage strikes.
type Strike struct {
	Middle []r2.Vec // points on the middle of the scar
	Cut    float64  // how far about them it cuts, mm
	Reach  float64  // how far anything of it reaches, what it throws included, mm
	Level  *Level   // nil where it takes the one that lies there
	Built  bool     // it strikes what stands on the level, not the floor
}

// LayoutDraw is what a movable part draws its values from.
type LayoutDraw struct {
	*rand.Rand
	Least, Most float64
	Part, Kind  string
	Keys        []Key
	Moves       []Move
}

// Place rounds a place to half a millimetre, as a person would write it.
func (d *LayoutDraw) Place(key string, at r2.Vec) r2.Vec {
	at = ReadablePlace(at)
	d.Note(key, [2]float64{at.X, at.Y})
	return at
}

func ReadablePlace(at r2.Vec) r2.Vec {
	return r2.Vec{X: math.Round(2*at.X)/2 + 0, Y: math.Round(2*at.Y)/2 + 0} // -0 + 0 is 0
}

// Size draws a size about the scene's own, within the factors and the key's range.
func (d *LayoutDraw) Size(key string, own float64) float64 {
	return d.SizeBelow(key, own, math.Inf(1))
}

// SizeBelow is size with a most of its own, mm.
func (d *LayoutDraw) SizeBelow(key string, own, most float64) float64 {
	lo, hi := math.Min(own*d.Least, most), math.Min(own*d.Most, most)
	for _, k := range d.Keys {
		if k.Word == key {
			if k.Min != nil {
				lo = math.Max(lo, *k.Min)
			}
			if k.Max != nil {
				hi = math.Min(hi, *k.Max)
			}
		}
	}
	v := Readable(lo+(hi-lo)*d.Float64(), lo, hi)
	d.Note(key, v)
	return v
}

// Readable rounds to a tenth, or as finely as the bounds ask for.
func Readable(v, lo, hi float64) float64 {
	for _, steps := range []float64{10, 100, 1000} {
		if r := math.Round(v*steps) / steps; r >= lo && r <= hi {
			return r
		}
	}
	return math.Max(lo, math.Min(hi, v))
}

// Seed draws a seed of up to three digits.
func (d *LayoutDraw) Seed(key string) uint64 {
	v := 1 + d.Uint64N(999)
	d.Note(key, v)
	return v
}

func (d *LayoutDraw) Note(key string, value any) {
	d.Moves = append(d.Moves, Move{Part: d.Part, Kind: d.Kind, Key: key, Value: value})
}
