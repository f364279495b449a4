package parts

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Piece is one base, cut from the scene and ready to be meshed: foot at z = 0,
// centred on the origin, turned so that its own axes are x and y.
type Piece struct {
	Name      string
	Base      *Base
	Footprint string    // "oval 120 x 92"
	Field     sdf.Field // the whole solid, base coordinates
	Box       r3.Box    // holds all of it, base coordinates
	Pose      sdf.Pose  // from base coordinates to scene coordinates
	Heights   []float64 // of level surfaces that are to come out exact, base coordinates

	berth *berth // where it was cut
}

// Intent gives what the piece was meant to be on its site.
func (p Piece) Intent(s *Site) Intent {
	var at *spot
	if p.berth != nil {
		at = p.berth.spot
	}
	return p.Base.Intent(s, at, p.Pose.Apply(r3.Vec{}).Z)
}
