package base

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Intent is what a piece was meant to be, apart from its scenery, in the piece's
// own coordinates: foot at z = 0, centred on the footprint, lengths in mm. A
// printed or meshed piece is held against it.
type Intent struct {
	Height  float64  // of the rim
	Lift    float64  // of the base's level above the top of the rim
	Taper   float64  // how far the top outline lies inside the foot, a side
	Chamfer float64  // at the foot
	Top     float64  // the most that the piece may stand tall; +Inf for no limit
	Floor   float64  // least thickness that damage leaves, over the foot or a hollow
	Outline []r2.Vec // the widest outline, at the top of the chamfer, anticlockwise; a curve is chords within 0.001 mm of it
	Short   float64  // the short side of the outline
	Foot    float64  // diameter of a figure's foot that it may be for

	Pockets []PocketIntent
	Hollow  *HollowIntent // nil for a solid underside
	Pads    []PadIntent
}

// PocketIntent is one blind hole for a magnet, open at the foot.
type PocketIntent struct {
	At       r2.Vec
	Magnet   int        // the number of its table in the base, from 0
	Disc     [2]float64 // the magnet, diameter and height
	Diameter float64    // of the pocket: the magnet's with its clearance
	Depth    float64    // of the pocket from the foot: the magnet's height and a little
	Skin     float64    // the least that is left over it
}

// HollowIntent is a hollow underside.
type HollowIntent struct {
	Wall  float64 // of the rim round it, at the foot
	Roof  float64 // height of its roof above the foot
	Rooms int     // how many rooms its ribs make of it
	Vents []VentIntent
}

// VentIntent is an open notch through the wall, from the foot up.
type VentIntent struct {
	At     r2.Vec // in the middle of the wall
	Out    r2.Vec // unit vector from the hollow to the outside
	Width  float64
	Height float64
	Room   int // the room that it opens, from 0
}

// LargestFoot is the most that a figure's foot is across, mm: common practice, no source.
const LargestFoot = 25.0

// FootOn is how wide a figure's foot is, on a base of a short side, mm: a share of it, at
// most LargestFoot. Common practice, no source.
func FootOn(short float64) float64 { return math.Min(0.4*short, LargestFoot) }

// Intent gives what a piece of the base was meant to be where it is laid: at a spot of
// its site, its foot at a height of the scene; nil for a piece that no scene has cut.
func (b *Base) Intent(s *parts.Site, at *Spot, zero float64) Intent {
	foot := b.Footprints()[0]
	in := Intent{
		Height: b.Height, Lift: b.Lift, Taper: b.Taper, Chamfer: b.Chamfer, Top: math.Inf(1), Floor: b.Floor,
		Outline: foot.Outline(), Short: b.short(),
	}
	in.Foot = FootOn(in.Short)
	if b.Top != nil {
		in.Top = *b.Top
	}
	for _, k := range b.pockets(s) {
		in.Pockets = append(in.Pockets, PocketIntent{
			At: k.at, Magnet: k.magnet, Disc: b.Magnets[k.magnet].Disc, Diameter: 2 * k.radius, Depth: k.depth, Skin: k.skin,
		})
	}
	if u := b.hollow(s); u != nil {
		in.Hollow = u.intent()
	}
	if at != nil {
		in.Pads = b.padIntents(s, at, zero)
	}
	return in
}

// short is the short side of the outline, mm.
func (b *Base) short() float64 {
	foot := b.Footprints()[0]
	return math.Min(foot.Size.X, foot.Size.Y)
}

// intent is the hollow with its vents.
func (u *undercut) intent() *HollowIntent {
	b := u.base
	h := &HollowIntent{Wall: b.Wall, Roof: b.hollowTop()}
	for _, v := range u.vents {
		depth := -u.shape.At(v.at) // of its place inside the foot's outline
		h.Vents = append(h.Vents, VentIntent{
			At: r2.Add(v.at, r2.Scale(depth-b.Wall/2, v.out)), Out: v.out,
			Width: b.Vent, Height: u.ventHeight(), Room: v.room,
		})
		h.Rooms = max(h.Rooms, v.room+1)
	}
	return h
}
