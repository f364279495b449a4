package base

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// PadIntent is a stand: flat, level and clear above.
type PadIntent struct {
	At    r2.Vec
	Round float64 // its diameter
	Top   float64 // its height above the foot
	Clear float64 // the height kept clear above it
	Joint float64 // how deep its joints and its dressing may be; 0 where it is smooth
	Rim   []RimPlace
}

// RimPlace is a place just outside a pad, where the floor should go on.
type RimPlace struct {
	At    r2.Vec
	Floor float64 // of the finished floor, or step, that the scene has there, above the foot; -Inf for none
}

const (
	// rimOff is how far outside a pad its rim is looked at, mm: what the pad cuts is
	// still there, and little else.
	rimOff = 0.1
	// rimPitch is how far apart places of a rim are, mm.
	rimPitch = 0.2
)

// padIntents gives the pads of the piece with those places of their rims that lie
// within its top, in order, anticlockwise.
func (b *Base) padIntents(s *parts.Site, at *Spot, zero float64) []PadIntent {
	shape := at.Shape()
	var all []PadIntent
	for _, pad := range b.PadsOn(s, at) {
		in := PadIntent{At: pad.At, Round: pad.Round, Top: pad.Top, Clear: pad.Clear}
		if pad.Laid {
			in.Joint = s.SeatJoint()
		}
		radius := pad.Round/2 + rimOff
		for _, q := range parts.Ring(pad.At, radius, int(math.Ceil(2*math.Pi*radius/rimPitch))) {
			if shape.At(q)+b.Taper > -rimOff {
				continue
			}
			place := RimPlace{q, math.Inf(-1)}
			if floor, ok := s.FloorAt(at.Place(q)); ok {
				place.Floor = floor - zero
			}
			in.Rim = append(in.Rim, place)
		}
		all = append(all, in)
	}
	return all
}
