package assembly

import (
	"socle/parts"
	"socle/parts/base"
	"socle/sdf"
)

// Digest tells what is said of a piece beside its solid depends on: its own keys,
// its place, the parts that come within outOfReach of it with their surfaces, its
// flights and sights, and the tables of the scene that all pieces share. Where it
// and the digest of the mesh (mesh.Reach) are the same, so is everything that is told
// and drawn of the piece. It fails where a part is made of what has no digest.
func (sc *Scene) Digest(p Piece) (sdf.Digest, error) {
	s := sc.site
	type surface struct {
		Kind, Part string
		Made       sdf.Field
		Sign       float64
	}
	type solid struct {
		Surfaces   []surface
		Rim, Floor bool
	}
	type sight struct {
		parts.Sight
		Kind, Part string
	}
	type flight struct {
		Stair  string
		Riser  float64
		Treads []Tread
	}
	told := struct {
		Name, Footprint string
		Base            *base.Base
		Pose            sdf.Pose
		Scale           parts.Scale
		Print           parts.Print
		Printer         parts.Printer
		Material        parts.Material
		Inspect         parts.Inspection
		Solids          []solid
		Flights         []flight
		Sights          []sight
	}{
		Name: p.Name, Footprint: p.Footprint, Base: p.Base, Pose: p.Pose,
		Scale: s.Scale, Print: s.Print, Printer: s.Printer, Material: s.Material, Inspect: s.Inspect,
	}
	for _, b := range sc.sceneryOf(p).bodies {
		made := solid{Rim: b.rim, Floor: b.floor}
		for _, f := range b.faces {
			made.Surfaces = append(made.Surfaces, surface{parts.WordOf(f.part), f.part.Label(), f.field, f.sign})
		}
		told.Solids = append(told.Solids, made)
	}
	for _, f := range sc.Treads(p) {
		told.Flights = append(told.Flights, flight{f.Stair.Label(), f.Riser, f.Treads})
	}
	for _, at := range sc.Sights(p) {
		one := sight{at, parts.WordOf(at.Part), at.Part.Label()}
		one.Sight.Part = nil
		told.Sights = append(told.Sights, one)
	}
	return sdf.DigestOf(told)
}
