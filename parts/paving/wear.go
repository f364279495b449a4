package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
	"socle/sdf"
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
	u := math.Max(0, (l.sink-firm)/(1-firm))
	return u * u
}

func (l *lot) leaning() float64 { return math.Max(0, (l.lean-firm)/(1-firm)) }

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

// stone is the solid of a laid stone.
func (l *laid) stone(level, foot float64, z *pavingSizes) sdf.Field {
	w := z.wear
	shape := stoneShape{
		outline: l.outline, plan: l.plan, box: l.box, level: level, foot: foot,
		arris: w.arris, long: l.long, half: l.half,
	}
	if l.even {
		shape.arris = math.Min(shape.arris, z.joint/2)
		return newStone(shape)
	}
	shape.level -= w.uneven * l.lot.sunk()
	reach := planar.Norm2(l.half)
	lean := l.lot.leaning() * math.Min(math.Tan(w.tilt*math.Pi/180), 0.3*z.recess/reach)
	sin, cos := math.Sincos(2 * math.Pi * l.lot.leanTurn)
	shape.lean = r2.Vec{X: lean * cos, Y: lean * sin}
	if !l.flat {
		shape.crown = w.crown
	}
	if w.grain > 0 {
		shape.rough = &grain{
			noise: sdf.NewNoise(l.lot.seed, math.Max(0.6, math.Min(2.5, z.module.short/3)), 2),
			top:   w.grain * (0.5 + 0.5*l.lot.grain), sides: math.Min(1.5*w.grain, z.joint/2),
		}
	}
	if l.outline != nil && l.lot.chipped < w.chipped {
		shape.chips = l.chips(shape.level, z)
	}
	return newStone(shape)
}

// chips strikes balls out of the arris, at a corner more often than not: one
// to three from a small stone, up to six from one that is large against its relief.
func (l *laid) chips(top float64, z *pavingSizes) []chip {
	narrow := 2 * math.Min(l.half.X, l.half.Y)
	most := max(3, min(len(l.lot.chips), int(narrow/(4*z.recess))))
	n := 1 + int(float64(most)*(1-l.lot.chipped/z.wear.chipped)*(1-1e-9))
	mid := planar.Centroid(l.outline)
	noise := sdf.NewNoise(l.lot.seed+2, math.Max(0.5, 2*z.recess), 2)
	var out []chip
	for _, c := range l.lot.chips[:min(n, most)] {
		at := c.place * float64(len(l.outline))
		i := min(int(at), len(l.outline)-1)
		a, b := l.outline[i], l.outline[(i+1)%len(l.outline)]
		// The first 60 % of each side's share strikes its corner.
		along := math.Max(0, (at-float64(i)-0.6)/0.4)
		p := r2.Add(a, r2.Scale(along, r2.Sub(b, a)))
		outward := r2.Sub(p, mid)
		if d := planar.Norm2(outward); d > 0 {
			outward = r2.Scale(1/d, outward)
		}
		depth := math.Min(z.recess*(0.6+1.2*c.size), 0.25*narrow)
		radius := depth * (1.5 + 2.5*c.flat)
		sin, cos := math.Sincos((30 + 35*c.rise) * math.Pi / 180)
		away := radius - depth
		centre := sdf.V(p.X+outward.X*cos*away, p.Y+outward.Y*cos*away, top+sin*away)
		out = append(out, newChip(centre, radius, noise, 0.3*depth))
	}
	return out
}

// pit is the hole that a missing stone leaves in the bed: its place with half
// of the joints round it, down to a rough floor. To be taken away.
func (l *laid) pit(level, foot float64, z *pavingSizes) sdf.Field {
	// A stone upside down, so that its rough top is the floor.
	turn := sdf.Turn(sdf.V(1, 0, 0), 180)
	flip := func(p r2.Vec) r2.Vec { return r2.Vec{X: p.X, Y: -p.Y} }
	var outline []r2.Vec
	for i := range l.outline {
		outline = append(outline, flip(l.outline[len(l.outline)-1-i]))
	}
	rough := 0.35 * (z.thickness - z.recess)
	floor := math.Max(level-z.recess-0.6*(z.thickness-z.recess), foot+0.05)
	shape := stoneShape{
		outline: outline,
		box:     r2.Box{Min: r2.Vec{X: l.box.Min.X, Y: -l.box.Max.Y}, Max: r2.Vec{X: l.box.Max.X, Y: -l.box.Min.Y}},
		level:   -floor, foot: -(level + 1), long: flip(l.long), half: l.half,
		arris: math.Min(0.2, rough),
		rough: &grain{noise: sdf.NewNoise(l.lot.seed, math.Max(0.5, z.module.short/4), 2), top: rough, sides: z.joint / 2},
	}
	return sdf.Place(newStone(shape), turn)
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
	at := planar.Dot2(n, planar.Centroid(l.outline)) + (l.lot.crackAt-0.5)*0.5*math.Max(l.half.X, l.half.Y)
	left := planar.ClipLine(l.outline, n, at-gap/2)
	right := planar.ClipLine(l.outline, r2.Scale(-1, n), -at-gap/2)
	if left == nil || right == nil || 2*planar.Inradius(left) < least || 2*planar.Inradius(right) < least {
		return a, b, false
	}
	a, b = *l, *l
	a.take(left)
	b.take(right)
	// The halves lean apart.
	b.lot.leanTurn = l.lot.leanTurn + 0.5
	b.lot.sink, b.lot.seed = l.lot.crackAt, l.lot.seed+1
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
		lo, hi = math.Min(lo, d), math.Max(hi, d)
	}
	return hi - lo
}
