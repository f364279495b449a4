package works

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// bolt is the head of a bolt with six sides, mm on the print.
type bolt struct{ across, high float64 }

// boltOf is that of a bolt of a diameter, mm of life: one and a half of it across the flats
// and 0.65 of it high (ISO 4014, from memory), no smaller than shows.
func boltOf(s *parts.Site, diameter float64) bolt {
	return bolt{math.Max(s.OnPrint(1.5*diameter), 1.8*s.Print.Gap), math.Max(s.OnPrint(0.65*diameter), 0.7*s.Print.Relief)}
}

// corners are those of its head, about the origin.
func (b bolt) corners() []r2.Vec {
	out := make([]r2.Vec, 6)
	for i := range out {
		sin, cos := math.Sincos(math.Pi / 3 * float64(i))
		out[i] = r2.Vec{X: b.across / math.Sqrt(3) * cos, Y: b.across / math.Sqrt(3) * sin}
	}
	return out
}

// at is its head on a face at a place, let into it, turned with a pose whose z is out of
// the face.
func (b bolt) at(p r3.Vec, turn sdf.Pose) sdf.Field {
	return sdf.Place(sdf.Prism(b.corners(), -b.high, b.high), turn.Then(sdf.At(p)))
}
