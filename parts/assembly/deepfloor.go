package assembly

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/planar"
	"socle/sdf"
)

// deepFloor is what a piece shows where sunk land or damage is deeper than the piece
// reaches: as rough as the land, and nowhere lower than the base's own floor. It is empty
// where there is none.
func deepFloor(s *parts.Site, b *base.Base, plan []r2.Vec, zero float64, near nearby) []sdf.Field {
	land := s.Land()
	if land == nil {
		return nil
	}
	low, f := zero+b.Floor, land.Plot
	for _, sunk := range land.Sunk {
		if sunk.Level.Height < low && planar.OutlinesMeet(plan, sunk.Area.Outline()) {
			f = sunk
			break
		}
	}
	const below = 0.5 // the level of the base, mm
	if f.Loose == nil || f.Loose.Bounds().Max.Z > b.Height+b.Lift-b.Floor-below {
		return nil
	}
	return []sdf.Field{near.bring(sdf.Place(f.Loose, sdf.At(sdf.V(0, 0, low))))}
}
