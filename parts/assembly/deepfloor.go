package assembly

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/planar"
	"socle/sdf"
)

// deepFloor is the floor that a piece shows of sunk land that lies deeper than the piece
// reaches: as rough as that land, and nowhere lower than the base's own floor. It is empty
// where there is none.
func deepFloor(s *parts.Site, b *base.Base, plan []r2.Vec, zero float64, near nearby) []sdf.Field {
	land := s.Land()
	if land == nil {
		return nil
	}
	const below = 0.5 // the level of the base, mm
	for _, f := range land.Sunk {
		low := zero + b.Floor
		if f.Loose == nil || f.Level.Height >= low || f.Dip > b.Height+b.Lift-b.Floor-below || !planar.OutlinesMeet(plan, f.Area.Outline()) {
			continue
		}
		return []sdf.Field{near.bring(sdf.Place(f.Loose, sdf.At(sdf.V(0, 0, low+f.Dip))))}
	}
	return nil
}
