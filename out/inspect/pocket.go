package inspect

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// Pocket is what a blind hole in the underside was meant to be: room for a disc
// magnet that stands upright in it.
type Pocket struct {
	At r2.Vec // its axis, mm
	// Magnet is the diameter and the height of the magnet, mm, as it is sold;
	// data sheets give +/- 0.1 on each.
	Magnet [2]float64
	// Clearance is the least wanted on the diameter and on the height, mm: 0.1
	// takes up what the magnet itself may be over.
	Clearance [2]float64
	Skin      float64 // least thickness over it, mm
}

// PocketFit is a pocket as it came out, mm.
type PocketFit struct {
	// Diameter is that of the widest upright cylinder about the axis, or a little
	// aside, that goes in as far as the magnet: 0 where there is no hole at all.
	Diameter float64 `json:"diameter"`
	Depth    float64 `json:"depth"` // where it is shallowest, within that cylinder
	// Skin is the least distance from the ceiling to the surface over it, straight
	// up or aslant up to 45 degrees: what lies flatter is beside it. More than
	// skinSeen over the least wanted is not looked for.
	Skin float64 `json:"skin"`
}

const (
	// looseBy is how much wider or deeper than its magnet a pocket may be, mm: a
	// glue fit needs 0.1 to 0.4 (bureau fit tables).
	looseBy = 0.5
	// meshPlay is what the surface may be off by its own tolerance, mm, where
	// that would turn a thing made just to its limit into a finding.
	meshPlay = 0.02
	// skinSeen is how much more than the least skin is looked for, mm.
	skinSeen = 1.0
	// pocketPitch is how far apart the lines are that look for ceilings, mm.
	pocketPitch = 0.15
	// noPocket is the depth of what is no hole, mm.
	noPocket = 0.05
)

// Pockets measures pockets. A diameter is exact on the mesh, but for the search
// of the best axis (0.001 mm); a depth is where lines 0.15 mm apart, or a 100th of
// the radius, meet the ceiling, and a skin is found by such lines in nine directions
// and then exact to the triangle that they found.
//
// It gives a TightPocket where a diameter or depth is less than that of the
// magnet and its clearance, or more than that of the magnet by over 0.5 mm, and
// a ThinSkin; each by more than 0.02 mm, so that what was made just so is none.
// Which is the pocket's number.
//
// It is an error where a place is not finite, or a magnet not more than 0 and at
// most 1000 mm either way.
func (x *Index) Pockets(ctx context.Context, pockets []Pocket) ([]PocketFit, []Finding, error) {
	for _, p := range pockets {
		if !isFinite(p.At) || !(p.Magnet[0] > 0 && p.Magnet[1] > 0 && max(p.Magnet[0], p.Magnet[1]) <= 1000) {
			return nil, nil, fmt.Errorf("a pocket at %v for a magnet of %g x %g mm cannot be measured", p.At, p.Magnet[0], p.Magnet[1])
		}
	}
	fits := make([]PocketFit, len(pockets))
	thinnest := make([]r3.Vec, len(pockets))
	err := workers.ForEach(ctx, len(pockets), func(_, i int) error {
		fits[i], thinnest[i] = x.pocket(pockets[i])
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	var found []Finding
	for i, p := range pockets {
		fit := fits[i]
		add := func(f Finding) {
			f.Which = i
			found = append(found, f)
		}
		measures := [2]struct {
			measure Measure
			is      float64
			size    [3]float64
		}{
			{OfDiameter, fit.Diameter, [3]float64{fit.Diameter, fit.Diameter, 0}},
			{OfDepth, fit.Depth, [3]float64{0, 0, fit.Depth}},
		}
		for c, m := range measures {
			least, most := p.Magnet[c]+p.Clearance[c], p.Magnet[c]+max(looseBy, p.Clearance[c])+meshPlay
			f := Finding{Kind: TightPocket, At: [3]float64{p.At.X, p.At.Y, 0}, Size: m.size, Measure: m.measure}
			switch {
			case m.is < least-meshPlay:
				f.Value, f.Limit = least-m.is, least
				add(f)
			case m.is > most:
				f.Value, f.Limit = most-m.is, most
				add(f)
			}
		}
		if fit.Skin < p.Skin-meshPlay {
			t := thinnest[i]
			add(Finding{Kind: ThinSkin, At: [3]float64{t.X, t.Y, t.Z}, Value: fit.Skin, Limit: p.Skin})
		}
	}
	return fits, found, nil
}

// pocket measures one pocket, and gives the place on its ceiling where the skin
// is thinnest.
func (x *Index) pocket(p Pocket) (fit PocketFit, thinnest r3.Vec) {
	thinnest = r3.Vec{X: p.At.X, Y: p.At.Y}
	deep := p.Magnet[1]
	if l := x.levels(p.At); len(l) > 0 {
		deep = min(deep, l[0].z)
		thinnest.Z = l[0].z
	}
	if deep < noPocket {
		fit.Skin = p.Skin + skinSeen
		return fit, thinnest
	}
	centre, radius := x.roundRoom(p.At, p.Magnet[0]/2, 1e-3, max(deep-0.05, deep/2))
	fit.Diameter = 2 * radius

	fit.Depth = math.Inf(1)
	fit.Skin = p.Skin + skinSeen
	for _, at := range spread(centre, max(radius-meshPlay, 0), max(pocketPitch, radius/100)) {
		l := x.levels(at)
		if len(l) == 0 { // right through
			fit.Skin, thinnest = 0, r3.Vec{X: at.X, Y: at.Y}
			continue
		}
		if r2.Norm(r2.Sub(at, centre)) <= p.Magnet[0]/2 {
			fit.Depth = min(fit.Depth, l[0].z)
		}
		ceiling := r3.Vec{X: at.X, Y: at.Y, Z: l[0].z}
		if thick := x.skin(ceiling, fit.Skin); thick < fit.Skin {
			fit.Skin, thinnest = thick, ceiling
		}
	}
	if math.IsInf(fit.Depth, 1) {
		_, hi := x.extent()
		fit.Depth = hi[2] // nothing stops the magnet
	}
	return fit, thinnest
}

// skin gives the distance from a place on a ceiling to the surface over it, in
// nine directions up to 45 degrees off the upright; far where there is none nearer.
func (x *Index) skin(ceiling r3.Vec, far float64) float64 {
	const lean = 35 * math.Pi / 180
	const inside = 1e-5 // mm, into the solid
	from := r3.Add(ceiling, r3.Vec{Z: inside})
	for i := range 9 {
		dir := r3.Vec{Z: 1}
		if i > 0 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 8)
			dir = r3.Vec{X: cos * math.Sin(lean), Y: sin * math.Sin(lean), Z: math.Cos(lean)}
		}
		// What is seen at a slant may have a nearer place than that seen.
		t, triangle, ok := x.Hit(from, dir, far/math.Cos(lean))
		if !ok {
			continue
		}
		far = min(far, t+inside)
		a, b, c := x.corners(triangle)
		if away := r3.Sub(nearestOn(ceiling, a, b, c), ceiling); away.Z >= math.Hypot(away.X, away.Y) {
			far = min(far, r3.Norm(away))
		}
	}
	return far
}

// roundRoom gives the widest upright cylinder that holds no part of the surface
// between two heights, with its axis at most half of a radius, that of what it
// is for, from a place. Wider than 3 mm over that is not looked for.
func (x *Index) roundRoom(at r2.Vec, meant, low, high float64) (centre r2.Vec, radius float64) {
	reach := 1.5*meant + 1.5
	around := []float64{at.X, at.Y}
	var parts [][]r2.Vec
	for _, i := range x.inBox([3]float64{around[0] - reach, around[1] - reach, low}, [3]float64{around[0] + reach, around[1] + reach, high}) {
		if part := x.between(i, low, high); len(part) > 0 {
			parts = append(parts, part)
		}
	}
	room := func(c r2.Vec) float64 {
		least := meant + 1.5
		for _, part := range parts {
			least = min(least, fromConvex(c, part))
		}
		return least
	}
	// The room falls off from the best axis on all sides where the hole is about
	// round, so a search that halves its steps finds it.
	centre, radius = at, room(at)
	for step := meant / 4; step > 5e-4; {
		better := false
		for i := range 8 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 8)
			c := r2.Add(centre, r2.Vec{X: step * cos, Y: step * sin})
			if r2.Norm(r2.Sub(c, at)) > meant/2 {
				continue
			}
			if r := room(c); r > radius {
				centre, radius, better = c, r, true
				break
			}
		}
		if !better {
			step /= 2
		}
	}
	return centre, radius
}

// between gives the plan of the part of a triangle between two heights: a convex
// polygon, or a line there and back where it is upright; nothing where it has none.
func (x *Index) between(triangle int, low, high float64) []r2.Vec {
	a, b, c := x.corners(triangle)
	part := []r3.Vec{a, b, c}
	for _, side := range [2]struct{ sign, z float64 }{{1, low}, {-1, high}} {
		var kept []r3.Vec
		for i, p := range part {
			q := part[(i+1)%len(part)]
			above, next := side.sign*(p.Z-side.z), side.sign*(q.Z-side.z)
			if above >= 0 {
				kept = append(kept, p)
			}
			if above > 0 && next < 0 || above < 0 && next > 0 {
				kept = append(kept, r3.Add(p, r3.Scale(above/(above-next), r3.Sub(q, p))))
			}
		}
		if part = kept; len(part) == 0 {
			return nil
		}
	}
	plan := make([]r2.Vec, len(part))
	for i, p := range part {
		plan[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	return plan
}

// fromConvex gives the distance from a point to a convex polygon, 0 inside it.
func fromConvex(p r2.Vec, polygon []r2.Vec) float64 {
	least := math.Inf(1)
	left, right := false, false
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		ab, ap := r2.Sub(b, a), r2.Sub(p, a)
		t := 0.0
		if l := r2.Norm2(ab); l > 0 {
			t = min(max(r2.Dot(ap, ab)/l, 0), 1)
		}
		least = min(least, r2.Norm(r2.Sub(ap, r2.Scale(t, ab))))
		side := r2.Cross(ab, ap)
		left, right = left || side > 0, right || side < 0
	}
	if left != right {
		return 0
	}
	return least
}
