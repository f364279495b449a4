package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// wear is how worn the stones of a paving are.
type wear struct {
	arris, uneven, crown, grain float64 // mm
	tilt                        float64 // degrees
	chipped, cracked, missing   float64 // shares of the stones, 0 to 1
}

// laid is one stone in its place in the scene, with what chance made of it.
type laid struct {
	outline []r2.Vec // convex, anticlockwise, scene coordinates; nil where plan is given
	plan    planar.Shape
	box     r2.Box
	long    r2.Vec // axis along the courses, unit
	half    r2.Vec // half its length and width, mm
	even    bool   // near a landing: flat and at the level
	missing bool
	flat    bool // without a crown
	lot     lot

	settled float64 // how far the ground has sunk beneath it, mm
	fall    r2.Vec  // and how that falls, mm a mm
	polish  float64 // how much it is walked on, 0 to 1
}

// lot is everything random about one stone, drawn in one fixed order whatever
// the wear, so that more wear works on the same stones.
type lot struct {
	sink, lean, leanTurn, grain float64 // shares, 0 to 1
	missing, cracked, chipped   float64 // compared with the shares of the wear
	crackTurn, crackAt          float64
	chips                       [6]struct{ place, size, rise, flat float64 }
	seed                        uint64
}

// firm is the share of the stones that have not sunk, and of those that do not lean.
const firm = 0.25

// sunk is how deep the stone has sunk, 0 to 1: most little, a few far.
func (l *lot) sunk() float64 {
	u := max(0, (l.sink-firm)/(1-firm))
	return u * u
}

func (l *lot) leaning() float64 { return max(0, (l.lean-firm)/(1-firm)) }

func drawLot(rng *rand.Rand) lot {
	l := lot{
		sink: rng.Float64(), lean: rng.Float64(), leanTurn: rng.Float64(), grain: rng.Float64(),
		missing: rng.Float64(), cracked: rng.Float64(), chipped: rng.Float64(),
		crackTurn: rng.Float64(), crackAt: rng.Float64(), seed: rng.Uint64(),
	}
	for i := range l.chips {
		l.chips[i].place, l.chips[i].size = rng.Float64(), rng.Float64()
		l.chips[i].rise, l.chips[i].flat = rng.Float64(), rng.Float64()
	}
	return l
}

// pit is the hole that a missing stone leaves in the bed: its place with half
// of the joints round it, down to a rough floor. To be taken away.
func (l *laid) pit(level, foot float64, z *pavingSizes) sdf.Field {
	floor := max(level-z.recess-0.6*(z.thickness-z.recess), foot+0.05)
	rough := min(max(0.35*(z.thickness-z.recess), z.relief/3), 0.8*(level-z.recess-floor))
	box := r3.Box{Min: sdf.V(l.box.Min.X, l.box.Min.Y, floor), Max: sdf.V(l.box.Max.X, l.box.Max.Y, level+1)}
	planes := []convex.Plane{{N: sdf.V(0, 0, -1), D: -floor}, {N: sdf.V(0, 0, 1), D: level + 1}}
	for _, s := range planar.SidesOf(l.outline) {
		planes = append(planes, convex.Plane{N: sdf.V(s.Normal.X, s.Normal.Y, 0), D: s.Offset})
	}
	return relief.Carve(convex.Boxed(planes, box), relief.NewFacets(l.lot.seed, 0.9, rough, 0.3))
}

// crack splits a convex outline in two across its length, a gap between; ok is
// false where a half would be thinner than the least.
func (l *laid) crack(gap, least float64) (a, b laid, ok bool) {
	if l.outline == nil {
		return a, b, false
	}
	turn := (l.lot.crackTurn - 0.5) * 70 * math.Pi / 180
	long := l.long
	if l.half.Y > l.half.X {
		long = r2.Vec{X: -long.Y, Y: long.X}
	}
	sin, cos := math.Sincos(turn)
	n := r2.Vec{X: long.X*cos - long.Y*sin, Y: long.X*sin + long.Y*cos}
	at := planar.Dot2(n, planar.Centroid(l.outline)) + (l.lot.crackAt-0.5)*0.5*max(l.half.X, l.half.Y)
	if a, b, ok = l.split(n, at, gap, least); !ok {
		return a, b, false
	}
	// The halves lean apart.
	b.lot.leanTurn = l.lot.leanTurn + 0.5
	b.lot.sink = l.lot.crackAt
	return a, b, true
}

// split parts a stone along the line n.p = at, with a gap between; ok is false where a
// part would be thinner than the least.
func (l *laid) split(n r2.Vec, at, gap, least float64) (a, b laid, ok bool) {
	left := planar.ClipLine(l.outline, n, at-gap/2)
	right := planar.ClipLine(l.outline, r2.Scale(-1, n), -at-gap/2)
	if left == nil || right == nil || 2*planar.Inradius(left) < least || 2*planar.Inradius(right) < least {
		return a, b, false
	}
	a, b = *l, *l
	a.take(left)
	b.take(right)
	b.lot.seed = l.lot.seed + 1
	return a, b, true
}

// take gives the stone another outline.
func (l *laid) take(outline []r2.Vec) {
	l.outline, l.box = outline, planar.Bounds(outline)
	across := r2.Vec{X: -l.long.Y, Y: l.long.X}
	l.half = r2.Vec{X: extent(outline, l.long) / 2, Y: extent(outline, across) / 2}
}

// extent is the length of an outline along a unit direction.
func extent(outline []r2.Vec, along r2.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range outline {
		d := planar.Dot2(p, along)
		lo, hi = min(lo, d), max(hi, d)
	}
	return hi - lo
}
