package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/convex"
)

const (
	// mostHeaped bounds the fragments of a heap.
	mostHeaped = 6000
	// heapLayers is how many times over they cover it, at most.
	heapLayers = 3.0
	// heapClimb is how much a heap rises towards a wall that it lies against, over its own
	// slope. Common practice, no source.
	heapClimb = 0.5
	// climbedArea is how much larger than its foot on level ground a heap may be that lies
	// against a wall.
	climbedArea = 1.5
	// mostIdle is how many fragments in a row may find no rest before a heap is done.
	mostIdle = 150
	// coreSides is how many facets its core has.
	coreSides = 14
)

// heapSizes are those of a heap, mm; all 0 where there is none.
type heapSizes struct {
	slope  float64 // tangent of its angle of repose
	radius float64 // of its foot on level ground
	least  float64 // size of its fragments
	most   int     // of them
}

func (p *Spill) heapSizes(z *spillSizes) heapSizes {
	h := heapSizes{slope: math.Tan(p.Repose * math.Pi / 180)}
	h.radius = p.Heap / h.slope
	area := climbedArea * math.Pi * h.radius * h.radius
	h.least = math.Max(z.fine, math.Sqrt(heapLayers*area/(fragmentWidth*mostHeaped)))
	h.most = int(math.Min(mostHeaped, math.Ceil(heapLayers*area/(fragmentWidth*h.least*h.least))))
	return h
}

// mound is the surface of a heap: its slope down on all sides from a ridge of two ends.
type mound struct {
	ridge [2]r3.Vec
	slope float64
	wall  *convex.Plane // upright, that it lies against; nil for none
}

// at is its height at a place; -Inf beyond the wall.
func (m *mound) at(q r2.Vec) float64 {
	if m.wall != nil && m.wall.N.X*q.X+m.wall.N.Y*q.Y > m.wall.D {
		return math.Inf(-1)
	}
	best := math.Inf(-1)
	const steps = 8 // along the ridge, which is short
	for i := range steps + 1 {
		c := r3.Add(m.ridge[0], r3.Scale(float64(i)/steps, r3.Sub(m.ridge[1], m.ridge[0])))
		best = math.Max(best, c.Z-m.slope*math.Hypot(q.X-c.X, q.Y-c.Y))
	}
	return best
}

// mound is the surface that the heap is to have on a pile; ok is false where nothing lies
// under its middle.
func (p *Spill) mound(z *spillSizes, l *layer) (m mound, ok bool) {
	at := z.centre()
	floor := l.surface(at.X, at.Y)
	if math.IsInf(floor, -1) {
		return m, false
	}
	top := sdf.V(at.X, at.Y, floor+p.Heap)
	m = mound{ridge: [2]r3.Vec{top, top}, slope: z.heap.slope}
	// The nearest upright face that stands as high as the heap.
	const ways = 32
	near := z.heap.radius
	for i := range ways {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / ways)
		from := sdf.V(at.X, at.Y, floor+0.6*p.Heap)
		d := 0.0
		for range mostDropSteps {
			v := l.under.Value(r3.Add(from, sdf.V(d*cos, d*sin, 0)))
			if d += v; v < dropTouch || d >= near {
				break
			}
		}
		if d >= near {
			continue
		}
		hit := r3.Add(from, sdf.V(d*cos, d*sin, 0))
		_, g := l.under.Gradient(hit)
		const upright = 0.4 // of a normal's rise
		if flat := math.Hypot(g.X, g.Y); math.Abs(g.Z) > upright || flat < 0.5 {
			continue
		}
		n := convex.Unit(sdf.V(-g.X, -g.Y, 0))
		const inside = 0.3 // mm
		stands := func(z float64) bool {
			return l.under.Value(r3.Add(sdf.V(hit.X, hit.Y, z), r3.Scale(inside, n))) < 0
		}
		up := 0.0
		for most := heapClimb * z.heap.slope * d; up < most && stands(top.Z+up+0.1*p.Heap); {
			up += 0.1 * p.Heap
		}
		if !stands(top.Z) {
			continue
		}
		near = d
		m.ridge[1] = sdf.V(hit.X, hit.Y, top.Z+math.Min(up, heapClimb*z.heap.slope*d))
		m.wall = &convex.Plane{N: n, D: r3.Dot(n, hit)}
	}
	return m, true
}

// core is a solid of facets under the surface of a heap, down to a foot.
func (m *mound) core(rng *rand.Rand, below, foot float64) *convex.Polytope {
	planes := []convex.Plane{plane(sdf.V(0, 0, -1), -foot)}
	turn := rng.Float64()
	for i := range coreSides {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + turn) / coreSides)
		n := convex.Unit(sdf.V(m.slope*cos, m.slope*sin, 1))
		d := math.Max(r3.Dot(n, m.ridge[0]), r3.Dot(n, m.ridge[1]))
		planes = append(planes, convex.Plane{N: n, D: d - below*n.Z*between(rng, 0.9, 1.2)})
	}
	if m.wall != nil {
		const into = 0.3 // mm
		planes = append(planes, convex.Plane{N: m.wall.N, D: m.wall.D + into})
	}
	return convex.New(planes)
}

// pileUp lays a heap: a core, and over it fragments until the surface is that of the mound,
// each where most is missing. Nil where nothing lies under it.
func (p *Spill) pileUp(s *parts.Site, z *spillSizes, l *layer) sdf.Field {
	m, ok := p.mound(z, l)
	if !ok {
		return nil
	}
	rng := s.Rand(p.Name, p.Seed, "heap")
	foot := math.Inf(1)
	reach := z.heap.radius
	const rings, spokes = 4, 16
	for i := range rings * spokes {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%spokes) / spokes)
		r := reach * float64(1+i/spokes) / rings
		if floor := l.floorAt(m.ridge[0].X+r*cos, m.ridge[0].Y+r*sin); !math.IsInf(floor, -1) {
			foot = math.Min(foot, floor)
		}
	}
	top, floor := m.ridge[0].Z, m.ridge[0].Z-p.Heap
	foot = math.Max(math.Min(foot, top-p.Heap), top-3*p.Heap) - 1
	below := math.Max(math.Min(0.8*math.Max(z.heap.least, z.law.least), 0.5*p.Heap), 2*s.Print.Relief)
	var core sdf.Field = sdf.Nothing()
	if c := m.core(rng, below, foot); c != nil {
		core, l.heap = c, &m
		l.add(c)
	}
	open := l.filled
	l.filled = true // with fines: a heap holds no resin
	defer func() { l.filled = open }()
	shapes := s.Rand(p.Name, p.Seed, "heaped")
	span := r2.Vec{X: m.ridge[1].X - m.ridge[0].X, Y: m.ridge[1].Y - m.ridge[0].Y}
	idle := 0
	for n := 0; n < z.heap.most && idle < mostIdle; n++ {
		// Of some places the one where most is missing.
		const looks = 6
		var best r2.Vec
		lack := math.Inf(-1)
		for range looks {
			u, a, t := rng.Float64(), 2*math.Pi*rng.Float64(), rng.Float64()
			r := (m.ridge[0].Z + t*(m.ridge[1].Z-m.ridge[0].Z) - floor) / z.heap.slope * math.Sqrt(u)
			sin, cos := math.Sincos(a)
			q := r2.Vec{X: m.ridge[0].X + t*span.X + r*cos, Y: m.ridge[0].Y + t*span.Y + r*sin}
			if missing := m.at(q) - l.roughly(q.X, q.Y); missing > lack {
				best, lack = q, missing
			}
		}
		f := p.heaped(z, shapes, lack)
		if lack < 0.3*z.fine || !l.rest(rng, f, 1, 0, func(int) (r2.Vec, bool) { return best, true }) {
			idle++
			continue
		}
		idle = 0
	}
	return core
}

// heaped draws a fragment for a place of a heap where so much is missing: as large as goes
// there, one of many.
func (p *Spill) heaped(z *spillSizes, rng *rand.Rand, lack float64) shard {
	pick, u := rng.Float64(), rng.Float64()
	x := &z.stuff[len(z.stuff)-1]
	for i := range z.stuff {
		if pick -= z.stuff[i].share; pick <= 0 {
			x = &z.stuff[i]
			break
		}
	}
	size := x.size(u)
	if !x.units { // as much in large ones as in small
		size = x.law.least * math.Pow(x.law.most/x.law.least, u)
	}
	const stands = 0.5 // of its size above its bed, about
	if !x.units {
		size = math.Max(z.heap.least, math.Min(math.Max(size, z.heap.least*(1+u)), 1.4*lack/stands))
	}
	f := x.shard(rng, size)
	if f.height > 1.6*lack+z.fine/2 {
		return newBlock(rng, math.Max(z.heap.least, math.Min(1.3*lack/stands, z.law.most)))
	}
	return f
}
