package parts

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
)

// Move is one value of a part that is put in place of another.
type Move struct {
	Part  string // its name; "" for a table of the scene
	Kind  string // the word of its kind, or of the table
	Key   string
	Value any // float64 in mm, int for a count, uint64 for a seed, [2]float64 for a point, [][2]float64 for points, a string for a word or a name, []string for names, a Stand for a list of one
}

// Path is what it changes, as --set has it: "crater.hit.at"; without a name of a kind
// of which a scene has one, and of a table: "ground.surface", "inspect.neck".
func (m Move) Path() string {
	if k := KindOf(m.Kind); k == nil || k.Once {
		return m.Kind + "." + m.Key
	}
	return m.Kind + "." + m.Part + "." + m.Key
}

// Set is the move as a --set text: "crater.hit.at=[128, 92]".
func (m Move) Set() string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	point := func(p [2]float64) string { return "[" + number(p[0]) + ", " + number(p[1]) + "]" }
	var value string
	switch v := m.Value.(type) {
	case float64:
		value = number(v)
	case string:
		value = strconv.Quote(v)
	case Stand:
		value = "[{ at = " + point([2]float64{v.At.X, v.At.Y}) + ", round = " + number(v.Round)
		if v.Height != nil {
			value += ", height = " + number(*v.Height)
		}
		value += " }]"
	case []string:
		all := make([]string, len(v))
		for i, name := range v {
			all[i] = strconv.Quote(name)
		}
		value = "[" + strings.Join(all, ", ") + "]"
	case [2]float64:
		value = point(v)
	case [][2]float64:
		all := make([]string, len(v))
		for i, p := range v {
			all[i] = point(p)
		}
		value = "[" + strings.Join(all, ", ") + "]"
	default:
		value = fmt.Sprint(v)
	}
	return m.Path() + "=" + value
}

// Movable is a damage that a layout may lay elsewhere.
type Movable interface {
	Damager
	Checker
	// Laid gives a copy that is aimed at a place of the plan, and what was changed.
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
	least, most float64
	part, kind  string
	keys        []Key
	moves       []Move
}

// place rounds a place to half a millimetre, as a person would write it.
func (d *LayoutDraw) place(key string, at r2.Vec) r2.Vec {
	at = readablePlace(at)
	d.note(key, [2]float64{at.X, at.Y})
	return at
}

func readablePlace(at r2.Vec) r2.Vec {
	return r2.Vec{X: math.Round(2*at.X)/2 + 0, Y: math.Round(2*at.Y)/2 + 0} // -0 + 0 is 0
}

// size draws a size about the scene's own, within the factors and the key's range.
func (d *LayoutDraw) size(key string, own float64) float64 {
	return d.sizeBelow(key, own, math.Inf(1))
}

// sizeBelow is size with a most of its own, mm.
func (d *LayoutDraw) sizeBelow(key string, own, most float64) float64 {
	lo, hi := math.Min(own*d.least, most), math.Min(own*d.most, most)
	for _, k := range d.keys {
		if k.Word == key {
			if k.Min != nil {
				lo = math.Max(lo, *k.Min)
			}
			if k.Max != nil {
				hi = math.Min(hi, *k.Max)
			}
		}
	}
	v := readable(lo+(hi-lo)*d.Float64(), lo, hi)
	d.note(key, v)
	return v
}

// readable rounds to a tenth, or as finely as the bounds ask for.
func readable(v, lo, hi float64) float64 {
	for _, steps := range []float64{10, 100, 1000} {
		if r := math.Round(v*steps) / steps; r >= lo && r <= hi {
			return r
		}
	}
	return math.Max(lo, math.Min(hi, v))
}

// seed draws a seed of up to three digits.
func (d *LayoutDraw) seed(key string) uint64 {
	v := 1 + d.Uint64N(999)
	d.note(key, v)
	return v
}

func (d *LayoutDraw) note(key string, value any) {
	d.moves = append(d.moves, Move{Part: d.part, Kind: d.kind, Key: key, Value: value})
}
