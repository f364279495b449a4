package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
)

// Form is what the pieces of broken matter are like.
type Form int

// The forms, in the order of Forms.
const (
	Stones Form = iota // broken anyhow: blocks and sherds
	Bricks             // small units: whole ones, halves and bats
	Blocks             // dressed stone or cast blocks
	Flags              // flat stone
	Slabs              // lumps of a slab, with its bars
	Drums              // round stones of a shaft
	Boards             // ends of boards and bars
	Plates             // torn and bent
	Clods              // of earth
)

// Forms are the words for them.
var Forms = [...]string{"stones", "bricks", "blocks", "flags", "slabs", "drums", "boards", "plates", "clods"}

func (f Form) String() string { return Forms[f] }

// FormOf gives the form that a word is for; ok is false where it is none.
func FormOf(word string) (f Form, ok bool) {
	for i, w := range Forms {
		if w == word {
			return Form(i), true
		}
	}
	return 0, false
}

// Matter is one thing that a part breaks into, in mm on the print.
type Matter struct {
	Form Form
	// Unit is a whole piece as it lay: length, width and thickness. A drum has its diameter
	// for the first two; a zero is a size without end.
	Unit   r3.Vec
	Bar    float64 // diameter of the bars in it, 0 for none
	Volume float64 // how much of it broke, mm3
}

// Crumbler is a part that comes down in pieces.
type Crumbler interface {
	Part
	// Breaks gives what of it breaks at a patch of the plan, and into what; none where it
	// has nothing there.
	Breaks(s *Site, p *Patch) []Matter
}

// Patch is a part of the plan where something broke or came down: about a line of one
// point or more, or an area.
type Patch struct {
	Middle []r2.Vec
	Radius float64 // about the middle, mm
	Area   *Area   // in place of the middle
	Deep   float64 // how deep on average what lies there is broken, mm; 0: only what stands is
	Whole  bool    // of what is asked all counts, wherever it lies: by shape, not by how much
}

// Distance is how far a place lies from the patch, mm; 0 or less within it.
func (p *Patch) Distance(q r2.Vec) float64 {
	if p.Whole {
		return math.Inf(-1)
	}
	if p.Area != nil {
		return p.Area.Distance(q)
	}
	near := math.Inf(1)
	for i, b := range p.Middle {
		near = math.Min(near, planar.SegmentDistance(q, p.Middle[max(0, i-1)], b))
	}
	return near - p.Radius
}

// patchSide is how many points across a patch are looked at.
const patchSide = 24

// Cover is how much of the patch a region covers, mm2: to a few hundredths of it.
func (p *Patch) Cover(holds func(q r2.Vec) bool) float64 {
	if p.Whole {
		return 1
	}
	var box r2.Box
	if p.Area != nil {
		box = p.Area.Bounds()
	} else {
		box = planar.GrownBox(planar.Bounds(p.Middle), p.Radius)
	}
	size := r2.Sub(box.Max, box.Min)
	held := 0
	for i := range patchSide * patchSide {
		q := r2.Vec{X: box.Min.X + size.X*(float64(i%patchSide)+0.5)/patchSide, Y: box.Min.Y + size.Y*(float64(i/patchSide)+0.5)/patchSide}
		if p.Distance(q) <= 0 && holds(q) {
			held++
		}
	}
	return size.X * size.Y * float64(held) / (patchSide * patchSide)
}

// Run is how much of a line lies within a distance of the patch, mm.
func (p *Patch) Run(line []r2.Vec, within float64) float64 {
	const looks = 64 // along each side
	run := 0.0
	for i := 1; i < len(line); i++ {
		a, side := line[i-1], r2.Sub(line[i], line[i-1])
		for k := range looks {
			if p.Distance(r2.Add(a, r2.Scale((float64(k)+0.5)/looks, side))) <= within {
				run += r2.Norm(side) / looks
			}
		}
	}
	return run
}

// nominalBars are the diameters of bars for concrete, full-size mm (BS 4483 and BS 8666
// usage).
var nominalBars = [...]float64{6, 8, 10, 12, 16, 20, 25, 32, 40}

// NominalBar is the diameter of the bars of a slab of a thickness, full-size mm: a
// sixteenth of it at least, in the published series. The share is common practice, no source.
func NominalBar(thickness float64) float64 {
	for _, d := range nominalBars {
		if d >= thickness/16 {
			return d
		}
	}
	return nominalBars[len(nominalBars)-1]
}
