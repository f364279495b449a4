package spill

import (
	"math"
	"math/rand/v2"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
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
	// A heap of a volume is laid lower at first, by firstShare of its height, and then raised
	// raisedBy of that at a time, at most mostRaised times: its fragments stand out of the
	// surface that they are laid to.
	firstShare, raisedBy, mostRaised = 0.7, 0.06, 10
	// coreSides is how many facets its core has.
	coreSides = 14
)

// heapSizes are those of a heap, mm.
type heapSizes struct {
	slope  float64 // tangent of its angle of repose
	high   float64 // over the floor
	radius float64 // of its foot on level ground
	least  float64 // size of its fragments
	most   int     // of them
	of     *parts.Heap
}

// heapsSizes are those of the heaps: the one that the scene gives, or else those of what came
// down.
func (p *Spill) heapsSizes(s *parts.Site, z *spillSizes) (all []heapSizes) {
	sized := func(h heapSizes, area float64) {
		h.least = math.Max(z.fine, math.Sqrt(heapLayers*area/(fragmentWidth*mostHeaped)))
		h.most = int(math.Min(mostHeaped, math.Ceil(heapLayers*area/(fragmentWidth*h.least*h.least))))
		all = append(all, h)
	}
	slope := math.Tan(p.Repose * math.Pi / 180)
	if p.Heap > 0 {
		radius := p.Heap / slope
		sized(heapSizes{slope: slope, high: p.Heap, radius: radius}, climbedArea*math.Pi*radius*radius)
		return all
	}
	from, ok := s.Find(p.From).(parts.Heaper)
	if !ok || p.Area != nil {
		return nil
	}
	for _, of := range from.Heaps(s) {
		h := heapSizes{slope: slope, of: &of, high: heapHigh(&of, slope)}
		if h.high < z.fine {
			continue
		}
		h.radius = h.high / slope
		wide := 2 * h.radius
		if of.Out != (r2.Vec{}) {
			wide = h.radius + math.Max(0, h.high-of.Stands)/slope
		}
		sized(h, wide*r2.Norm(r2.Sub(of.B, of.A))+math.Pi/2*h.radius*h.radius)
	}
	return all
}

// heapVolume is the volume of a heap along its line, so high: with half a cone at either end,
// and where it is higher than what it lies against, falling back to that. Geometry.
func heapVolume(of *parts.Heap, slope, high float64) float64 {
	long := r2.Norm(r2.Sub(of.B, of.A))
	cones := math.Pi * high * high * high / (3 * slope * slope)
	if of.Out == (r2.Vec{}) {
		return long*high*high/slope + cones
	}
	section := high * high / (2 * slope)
	if over := math.Max(0, high*high-of.Stands*of.Stands) / (2 * slope); high > of.Stands {
		section += over
	}
	return long*section + cones/2
}

// heapHigh is how high a heap of its volume is, mm.
func heapHigh(of *parts.Heap, slope float64) float64 {
	lo, hi := 0.0, 1.0
	for heapVolume(of, slope, hi) < of.Volume && hi < parts.MostReach {
		hi *= 2
	}
	for range 50 {
		if mid := (lo + hi) / 2; heapVolume(of, slope, mid) < of.Volume {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// mound is the surface of a heap: its slope down on all sides from a ridge of two ends.
type mound struct {
	ridge [2]r3.Vec
	slope float64
	wall  *convex.Plane // upright, that it lies against; nil for none
	steps int           // along the ridge, where its height is looked at
}

// at is its height at a place; -Inf beyond the wall.
func (m *mound) at(q r2.Vec) float64 {
	if m.wall != nil && m.wall.N.X*q.X+m.wall.N.Y*q.Y > m.wall.D {
		return math.Inf(-1)
	}
	best := math.Inf(-1)
	for i := range m.steps + 1 {
		c := r3.Add(m.ridge[0], r3.Scale(float64(i)/float64(m.steps), r3.Sub(m.ridge[1], m.ridge[0])))
		best = math.Max(best, c.Z-m.slope*math.Hypot(q.X-c.X, q.Y-c.Y))
	}
	return best
}

// along is the surface of a heap along a line; ok is false where nothing lies under its middle.
func (h *heapSizes) along(l *layer) (m mound, ok bool) {
	a, b := h.of.A, h.of.B
	off := math.Max(0, h.high-h.of.Stands) / h.slope
	a, b = r2.Add(a, r2.Scale(off, h.of.Out)), r2.Add(b, r2.Scale(off, h.of.Out))
	mid := r2.Scale(0.5, r2.Add(a, r2.Add(b, r2.Scale(0.2, h.of.Out)))) // clear of the face
	floor := l.floorAt(mid.X, mid.Y)
	if math.IsInf(floor, -1) {
		return m, false
	}
	floor = math.Min(floor, h.of.Foot+parts.Embed)
	const step = 0.7 // mm
	top := floor + firstShare*h.high
	m = mound{ridge: [2]r3.Vec{sdf.V(a.X, a.Y, top), sdf.V(b.X, b.Y, top)}, slope: h.slope}
	m.steps = int(math.Max(8, math.Min(64, r2.Norm(r2.Sub(b, a))/step)))
	if h.of.Out != (r2.Vec{}) {
		n := sdf.V(-h.of.Out.X, -h.of.Out.Y, 0)
		m.wall = &convex.Plane{N: n, D: r3.Dot(n, sdf.V(h.of.A.X, h.of.A.Y, 0))}
	}
	return m, true
}

// mound is the surface that the heap is to have on a pile; ok is false where nothing lies
// under its middle.
func (p *Spill) mound(z *spillSizes, l *layer, h *heapSizes) (m mound, ok bool) {
	if h.of != nil {
		return h.along(l)
	}
	at := z.centre()
	floor := l.surface(at.X, at.Y)
	if math.IsInf(floor, -1) {
		return m, false
	}
	top := sdf.V(at.X, at.Y, floor+p.Heap)
	m = mound{ridge: [2]r3.Vec{top, top}, slope: h.slope, steps: 8} // the ridge is short
	// The nearest upright face that stands as high as the heap.
	const ways = 32
	near := h.radius
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
		for most := heapClimb * h.slope * d; up < most && stands(top.Z+up+0.1*p.Heap); {
			up += 0.1 * p.Heap
		}
		if !stands(top.Z) {
			continue
		}
		near = d
		m.ridge[1] = sdf.V(hit.X, hit.Y, top.Z+math.Min(up, heapClimb*h.slope*d))
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
func (p *Spill) pileUp(s *parts.Site, z *spillSizes, l *layer, n int) sdf.Field {
	h := &z.heaps[n]
	m, ok := p.mound(z, l, h)
	if !ok {
		return nil
	}
	of := "" // which heap, after the first
	if n > 0 {
		of = strconv.Itoa(n)
	}
	rng := s.Rand(p.Name, p.Seed, "heap"+of)
	foot := math.Inf(1)
	reach := h.radius
	const rings, spokes = 4, 16
	for i := range rings * spokes {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%spokes) / spokes)
		r := reach * float64(1+i/spokes) / rings
		if floor := l.floorAt(m.ridge[0].X+r*cos, m.ridge[0].Y+r*sin); !math.IsInf(floor, -1) {
			foot = math.Min(foot, floor)
		}
	}
	top, floor := m.ridge[0].Z, m.ridge[0].Z-h.high
	if h.of != nil {
		floor += (1 - firstShare) * h.high
	}
	foot = math.Max(math.Min(foot, top-h.high), top-3*h.high) - 1
	below := math.Max(math.Min(0.8*math.Max(h.least, z.law.least), 0.5*h.high), 2*s.Print.Relief)
	var core sdf.Field = sdf.Nothing()
	if c := m.core(rng, below, foot); c != nil {
		core, l.heaps = c, append(l.heaps, &m)
		l.add(c)
	}
	open := l.filled
	l.filled = true // with fines: a heap holds no resin
	defer func() { l.filled = open }()
	shapes := s.Rand(p.Name, p.Seed, "heaped"+of)
	span := r2.Vec{X: m.ridge[1].X - m.ridge[0].X, Y: m.ridge[1].Y - m.ridge[0].Y}
	laid := 0
	lay := func() {
		for idle := 0; laid < h.most && idle < mostIdle; laid++ {
			// Of some places the one where most is missing.
			const looks = 6
			var best r2.Vec
			lack := math.Inf(-1)
			for range looks {
				u, a, t := rng.Float64(), 2*math.Pi*rng.Float64(), rng.Float64()
				r := (m.ridge[0].Z + t*(m.ridge[1].Z-m.ridge[0].Z) - floor) / h.slope * math.Sqrt(u)
				sin, cos := math.Sincos(a)
				q := r2.Vec{X: m.ridge[0].X + t*span.X + r*cos, Y: m.ridge[0].Y + t*span.Y + r*sin}
				if missing := m.at(q) - l.roughly(q.X, q.Y); missing > lack {
					best, lack = q, missing
				}
			}
			f := p.heaped(z, h, shapes, lack)
			if lack < 0.3*z.fine || !l.rest(rng, f, 1, 0, func(int) (r2.Vec, bool) { return best, true }) {
				idle++
				continue
			}
			idle = 0
		}
	}
	if lay(); h.of == nil {
		return core
	}
	for range mostRaised {
		if l.heapedOn(&m, h) >= h.of.Volume {
			break
		}
		m.ridge[0].Z += raisedBy * h.high
		m.ridge[1].Z += raisedBy * h.high
		lay()
	}
	return core
}

// heapedOn is the volume of what has been laid about a heap, mm3, off columns.
func (l *layer) heapedOn(m *mound, h *heapSizes) (volume float64) {
	const columns = 48 // across
	box := planar.GrownBox(planar.Bounds([]r2.Vec{planar.OnPlan(m.ridge[0]), planar.OnPlan(m.ridge[1])}), 1.25*h.radius+1)
	step := math.Max(l.pitch, math.Max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)/columns)
	for x := box.Min.X + step/2; x < box.Max.X; x += step {
		for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
			if !math.IsInf(m.at(r2.Vec{X: x, Y: y}), -1) {
				volume += step * step * math.Max(0, l.laidAt(x, y)-math.Max(l.floorAt(x, y), l.bottom))
			}
		}
	}
	return volume
}

// heaped draws a fragment for a place of a heap where so much is missing: as large as goes
// there, one of many.
func (p *Spill) heaped(z *spillSizes, h *heapSizes, rng *rand.Rand, lack float64) shard {
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
	if h.of != nil && x.Form == parts.Boards { // they lie across each other
		return x.shard(rng, size)
	}
	const stands = 0.5 // of its size above its bed, about
	if !x.units {
		size = math.Max(h.least, math.Min(math.Max(size, h.least*(1+u)), 1.4*lack/stands))
	}
	f := x.shard(rng, size)
	if f.height > 1.6*lack+z.fine/2 {
		return newBlock(rng, math.Max(h.least, math.Min(1.3*lack/stands, z.law.most)))
	}
	return f
}
