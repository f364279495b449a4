package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/convex"
)

const (
	// steepestRest is how steep a fragment may come to rest, degrees: steeper than loose
	// rubble lies, since fragments are bedded in, and flat ones lean.
	steepestRest = 50
	// mostSpots bounds the places tried for one fragment, each nearSpots of them near
	// to each other.
	mostSpots, nearSpots = 24, 8
	// lastSpots are those where one may stand on more.
	lastSpots = 8
	// bedRough is how far the floor may differ from its next cell, mm: a fragment that
	// seems to rest on it does.
	bedRough = 0.02
)

// seat is how a fragment rests.
type seat struct {
	at     r3.Vec   // under its middle
	bed    r2.Vec   // the middle of its bed
	normal r3.Vec   // of its bed
	on     []r3.Vec // what carries it: points within it and within what lies there
}

// rested is a fragment as it lies.
type rested struct {
	bodies []body      // the first is its own, the others meet it
	rods   []sdf.Field // bars that stick out of it
	seat   seat
	size   float64
	sunk   float64 // mm
}

// layer lays fragments on a pile.
type layer struct {
	*pile
	heaps   []*mound
	rims    []rim
	pin     float64 // least thickness of what is left of a fragment at a rim, mm
	wall    float64 // least thickness of what stands free, mm
	chip    float64 // least width of a stone that props another, mm
	hang    float64 // how far one may stand out over nothing, mm
	filled  bool    // straight down under each
	crevice float64 // narrower than which what is under one fills all the same, mm
	rested  []rested
}

// rest looks for a place for a fragment and lays it there, 15 to 30 % of its height deep:
// at one of so many spots, and at the first of them only where it lies low.
func (l *layer) rest(rng *rand.Rand, f shard, spots, low int, spot func(n int) (r2.Vec, bool)) bool {
	feet := f.feet()
	if feet == nil {
		return false
	}
	sunk := f.height * (0.15 + 0.15*rng.Float64())
	forms := f.leaning(f.lean(rng), rng.Float64()*2*math.Pi)
	for n := range spots {
		at, ok := spot(n)
		turn := rng.Float64() * 2 * math.Pi
		if ok && l.restAt(f, forms, feet, at, turn, sunk, n < low, n >= spots-lastSpots) {
			return true
		}
	}
	return false
}

// lean is how far a fragment leans from how it would rest, its lower side bedded in, degrees.
func (s *shard) lean(rng *rand.Rand) float64 {
	lean := 5 * rng.Float64()
	if rng.Float64() < 0.25 {
		lean = 22 * rng.Float64()
	}
	if s.flat {
		return lean / 4
	}
	return lean
}

// restAt lets a fragment down at a place and says whether it comes to rest there.
func (l *layer) restAt(f shard, forms []form, feet []r2.Vec, at r2.Vec, turn, sunk float64, lowly, last bool) bool {
	sin, cos := math.Sincos(turn)
	turned := func(q r2.Vec) r2.Vec { return r2.Vec{X: cos*q.X - sin*q.Y, Y: sin*q.X + cos*q.Y} }
	var points [1 + footingPoints]r3.Vec
	for i, q := range feet {
		q = r2.Add(at, turned(q))
		points[i] = sdf.V(q.X, q.Y, l.roughly(q.X, q.Y))
	}
	level, normal, ok := lowestOn(points[:])
	if !ok || normal.Z < math.Cos(steepestRest*math.Pi/180) {
		return false
	}
	const low = 0.4 // of its size over the floor
	if lowly && level-l.ground(r2.Vec{X: points[0].X, Y: points[0].Y}) > low*f.size {
		return false
	}
	middle := r2.Sub(r2.Vec{X: points[0].X, Y: points[0].Y}, at) // of its bed, from its own
	s := seat{at: sdf.V(at.X, at.Y, level+(normal.X*middle.X+normal.Y*middle.Y)/normal.Z), normal: normal, bed: r2.Vec{X: points[0].X, Y: points[0].Y}}
	pose := sdf.Turn(sdf.V(0, 0, 1), turn*180/math.Pi).Then(uprightTo(normal)).Then(sdf.At(r3.Sub(s.at, sdf.V(0, 0, sunk))))
	bodies := laidAt(forms, pose)
	if bodies == nil {
		return false
	}
	solid := bodies[0]
	// It bites into what it is let down on: under its middle, or on all sides of it.
	var bites []r2.Vec
	for _, q := range points {
		for _, deep := range [...]float64{0.35, 0.8} {
			if bit := r3.Sub(q, sdf.V(0, 0, deep*sunk)); !math.IsInf(q.Z, -1) && solid.Value(bit) < 0 && l.solid(bit) {
				s.on = append(s.on, bit)
				bites = append(bites, r2.Vec{X: q.X, Y: q.Y})
				break
			}
		}
	}
	if len(bites) == 0 || (bites[0] != s.bed && !surrounds(bites, s.bed)) {
		return false
	}
	if l.cutShort(bodies, s.bed) {
		return false
	}
	if bodies, ok = l.settled(f, bodies, planHull(bites), turn, last); !ok {
		return false
	}
	r := rested{bodies: bodies, seat: s, size: f.size, sunk: sunk}
	for _, b := range f.bars {
		if rod := l.bent(b, solid.Polytope, pose); rod != nil {
			r.rods = append(r.rods, rod...)
		}
	}
	for _, b := range r.bodies {
		l.add(b.Polytope)
	}
	l.rested = append(l.rested, r)
	return true
}

// ground is the floor at a place, or the heap on it.
func (l *layer) ground(at r2.Vec) float64 {
	floor := l.floorAt(at.X, at.Y)
	for _, h := range l.heaps {
		floor = math.Max(floor, h.at(at))
	}
	return floor
}

// surrounds says whether the hull of places holds another.
func surrounds(places []r2.Vec, at r2.Vec) bool {
	hull := planHull(places)
	if len(hull) < 3 {
		return false
	}
	for i, a := range hull {
		if r2.Cross(r2.Sub(hull[(i+1)%len(hull)], a), r2.Sub(at, a)) < -1e-9 {
			return false
		}
	}
	return true
}

// lowestOn is the plane that lies on points and is lowest over the first of them, as a rigid
// body comes to rest: on three of them with its middle between, or so the others let it. It
// gives its height there and its normal; ok is false where nothing carries it.
func lowestOn(points []r3.Vec) (level float64, normal r3.Vec, ok bool) {
	c := points[0]
	level = math.Inf(1)
	for i := range points {
		for j := range i {
			for k := range j {
				p, q, r := points[k], points[j], points[i]
				if math.IsInf(p.Z+q.Z+r.Z, -1) {
					continue
				}
				n := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
				if n.Z < 0 {
					n = r3.Scale(-1, n)
				}
				if n.Z < 1e-6 || !between3(p, q, r, c) {
					continue
				}
				at := func(x, y float64) float64 { return p.Z - (n.X*(x-p.X)+n.Y*(y-p.Y))/n.Z }
				z := at(c.X, c.Y)
				if z >= level {
					continue
				}
				clear := true
				for _, o := range points {
					if o.Z > at(o.X, o.Y)+bedRough {
						clear = false
						break
					}
				}
				if clear {
					level, normal, ok = z, convex.Unit(n), true
				}
			}
		}
	}
	return level, normal, ok
}

// between3 says whether a place lies in the triangle of three others on the plan, its edge
// included.
func between3(p, q, r, c r3.Vec) bool {
	side := func(a, b r3.Vec) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }
	u, v, w := side(p, q), side(q, r), side(r, p)
	const on = 1e-9
	return u >= -on && v >= -on && w >= -on || u <= on && v <= on && w <= on
}

// bent is a bar that sticks out of a lump in a pose: out of it and down to what lies there,
// so that it is held at both ends; nil where nothing does near enough.
func (l *layer) bent(b bar, own *convex.Polytope, pose sdf.Pose) []sdf.Field {
	r := b.thick / 2
	on := func(d, z float64) r3.Vec {
		q := r2.Add(b.from, r2.Scale(d, b.way))
		return pose.Apply(sdf.V(q.X, q.Y, z))
	}
	// Where it leaves the lump.
	out := 0.0
	const step = 0.1
	for own.Value(on(out, b.z)) < 0 && out < 100 {
		out += step
	}
	start, knee, end := on(math.Max(0, out-2*b.thick), b.z), on(out+0.35*b.out, b.z), on(out+b.out, b.z)
	z := l.height(end.X, end.Y)
	end.Z = z + r/4
	if drop := knee.Z - end.Z; math.IsInf(z, -1) || drop < -r || drop > 1.2*b.out {
		return nil
	}
	if l.cutRod(knee, end, r) {
		return nil
	}
	return []sdf.Field{sdf.Capsule(start, knee, r), sdf.Capsule(knee, end, r)}
}
