package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
	"socle/sdf"
)

// Finish is a layer laid on structure. Its top is at the level; all of its
// thickness lies below.
type Finish struct {
	Part      string  // the name of the part
	Area      *Area   // where it is laid
	Level     float64 // height of its top, mm
	LevelName string  // of that level, "" where the scene gave a height
	Thickness float64 // mm
	Recess    float64 // depth of its joints and of the gap around it, mm
	Joint     float64 // width of its joints, mm
}

// Finisher is a part that is a finish.
type Finisher interface {
	Part
	Finish(s *Site) Finish
}

// EvenFinisher is a finish that does not lie true all over.
type EvenFinisher interface {
	Finisher
	// EvenAt says whether its top is flat and at its level at a place well within it.
	EvenAt(s *Site, at r2.Vec) bool
}

// FlatStone is how far inside the eased edge of a stone or a tread a place lies for it
// to be flat, mm.
const FlatStone = 0.1

// Finishes are all of the site, in the order of the file.
func (s *Site) Finishes() []Finish {
	return Settled(s, nil, func() (all []Finish) {
		for _, p := range AllOf[Finisher](s) {
			all = append(all, p.Finish(s))
		}
		return all
	})
}

// Lie is a line in the plan, or a point where A is B, on which a finish must
// lie true at a height: the foot or head of a flight.
type Lie struct {
	A, B   r2.Vec
	Height float64 // mm
}

// Landing is a part that measures from a finish, such as a stair: within one
// stone of its lies no stone is sunk, tilted, chipped or missing.
type Landing interface {
	Part
	Landings(s *Site) []Lie
}

// SameHeight is how near two heights are one level, mm.
const SameHeight = 1e-6

// Finishes lists the finishes whose top is at a height, in the order of the file.
func Finishes(s *Site, height float64) []Finish {
	var out []Finish
	for _, f := range s.Finishes() {
		if math.Abs(f.Level-height) < SameHeight {
			out = append(out, f)
		}
	}
	return out
}

const (
	// Keyed is how far a finish reaches down into its structure, mm, so that
	// the two are one solid.
	Keyed = 0.3
	// lipped is how far the structure reaches in under the edge of a finish,
	// mm, for the same reason.
	lipped = 0.1
)

// LowerUnderFinishes takes the room for every finish at a height out of a
// structure, so that the finish's top is at the height. Around a finish half a
// joint stays open, as deep as its joints.
func LowerUnderFinishes(s *Site, f sdf.Field, height float64) sdf.Field {
	var room []sdf.Field
	for _, n := range Finishes(s, height) {
		const above = 1.0 // clear of what is uneven on the structure
		joint := n.Joint / 2
		room = append(room,
			sdf.Offset(n.Area.Prism(height-n.Thickness-lipped, height+above+lipped), -lipped),
			sdf.Offset(n.Area.Prism(height-n.Recess+joint, height+above), joint))
	}
	return sdf.Difference(f, room...)
}

// StructureUnder is the height of the structure at a finished level under a
// region of the plan: the level less the thickest finish laid there.
func StructureUnder(s *Site, level float64, plan []r2.Vec) float64 {
	thickest := 0.0
	for _, f := range Finishes(s, level) {
		if planar.OutlinesMeet(f.Area.Outline(), plan) {
			thickest = math.Max(thickest, f.Thickness)
		}
	}
	return level - thickest
}
