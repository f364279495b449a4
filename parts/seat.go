package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Seater is a finish that a figure's foot can be set on: it goes on under it, with its
// units lying true.
type Seater interface {
	Finisher
	// Seat gives the units that some of a round place of the plan lies on, whole: none
	// sunk, leaning, chipped or missing, each dressed no deeper than SeatGrain, its highest
	// at the level and nothing above. nil for none.
	Seat(s *Site, at r2.Vec, round float64) sdf.Field
}

// deepestSeat is the most that joints and dressing are cut into a seat, mm: a figure still
// sits flat, and paint still finds them. Common practice, no source.
const deepestSeat = 0.2

// SeatJoint is the depth of the joints of a seat, mm.
func (s *Site) SeatJoint() float64 { return math.Min(deepestSeat, 2./3*s.Print.Relief) }

// SeatGrain is the depth of the dressing of its units, mm: that of a texture over a whole
// face (Grain), or a little more to show beside the joints.
func (s *Site) SeatGrain() float64 {
	joint := s.SeatJoint()
	return math.Min(joint, math.Max(s.Grain(), 0.6*joint))
}
