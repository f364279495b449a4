package fracture

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// Piece is one of several pieces that a part is put together of.
type Piece struct {
	Solid sdf.Field
	Frame sdf.Pose // from its own frame, whose z = 0 is its floor
	Box   r3.Box   // about it, in its own frame
	Low   float64  // from which height up in its frame bites are looked for, mm
	Thick float64  // chunks go by, mm
}

// GoneShare is how much of a piece bites reach before it is blown away whole. Common
// practice, no source.
const GoneShare = 0.45

// Struck says how much of a piece bites reach, 0 to 1: of three places along each axis.
func (p *Piece) Struck(bites []parts.Bite) float64 {
	const places = 27
	low := p.Box.Min
	low.Z = p.Low
	size, reached := r3.Sub(p.Box.Max, low), 0
	for i := range places {
		t := [3]float64{0.1 + 0.4*float64(i%3), 0.1 + 0.4*float64(i/3%3), 0.1 + 0.4*float64(i/9)}
		q := p.Frame.Apply(r3.Add(low, sdf.V(t[0]*size.X, t[1]*size.Y, t[2]*size.Z)))
		if slices.ContainsFunc(bites, func(b parts.Bite) bool { return b.Gone.Value(q) < 0 }) {
			reached++
		}
	}
	return float64(reached) / places
}

// Pieces is what bites leave of some: those that lose half, or what carries them, are gone,
// the others are broken in chunks. under is what is left of all that was built before.
func Pieces(s *parts.Site, all []Piece, bites []parts.Bite, under sdf.Field) []parts.Remains {
	var stand []sdf.Field
	taken := make([][]sdf.Field, len(bites))
	for i := range all {
		p := &all[i]
		share := p.Struck(bites)
		middle := r3.Scale(0.5, r3.Add(p.Box.Min, p.Box.Max))
		if share > GoneShare || under.Value(p.Frame.Apply(sdf.V(middle.X, middle.Y, p.Box.Min.Z+0.1))) > 0 {
			continue
		}
		stand = append(stand, p.Solid)
		if share == 0 {
			continue
		}
		size := math.Max(Size(s, p.Thick, bites), 2*s.Print.Wall)
		floor := p.Frame.Apply(r3.Vec{}).Z
		broken := Break{Work: p.Solid, Frame: p.Frame, Box: p.Box, Size: Even(size), Held: func(q r3.Vec) bool { return q.Z < floor+size }}
		for i, f := range broken.Taken(bites) {
			if f != nil {
				taken[i] = append(taken[i], f)
			}
		}
	}
	return []parts.Remains{{Work: sdf.Union(stand...), Taken: Unions(taken)}}
}
