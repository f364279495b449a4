package assembly

import "socle/sdf"

// Undamaged is a piece as it would be if nothing had struck the scene: without what
// damage takes away, without what it throws up, and without any spill. Its column,
// its underside, its pockets and its pads are the same. Where nothing has changed its
// value is that of the piece's own field, to the bit, so that sdf.VolumeBetween of the
// two tells what damage took and what debris added. A piece that no scene has cut is
// its own.
func (sc *Scene) Undamaged(p Piece) sdf.Field {
	at := p.berth
	if at == nil {
		return p.Field
	}
	b, s := p.Base, sc.site
	near := newNearby(p.Pose, p.Box)
	high := p.Box.Max.Z
	trimmed := []sdf.Field{sc.before}
	for _, k := range sc.keep {
		trimmed = append(trimmed, k.field)
	}
	bed := sc.rawBed(b, at, p.Pose.Apply(sdf.V(0, 0, 0)).Z, near)
	body := append([]sdf.Field{near.bring(sdf.Intersection(trimmed...)), bed}, b.Kept(s)...)
	if b.Rim == "whole" { // part of the piece under a trim, too
		ring := sdf.Difference(sdf.Union(near.bring(sc.before), bed), b.Within(at.Footprint, s.Print.Wall, high))
		body = append(body, sdf.Intersection(ring, sdf.HalfSpace(sdf.V(0, 0, 1), b.Height)))
	}
	seating := b.Seating(s, at.Spot)
	for _, a := range seating.Around {
		for _, k := range sc.keep {
			a.Field = sdf.Intersection(a.Field, near.bring(k.field))
		}
		body = append(body, a.Field)
	}
	column := b.Column(at.Footprint, high)
	return b.Finished(s, sdf.Intersection(column, sdf.Union(body...)), column, seating)
}
