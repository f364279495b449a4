package paving

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

// How stones fare at the edge of a bite, by the share of them that has lost its hold.
// Common practice, no source.
const (
	holdsFast = 0.1  // up to this much it stays whole
	fallShare = 0.3  // of a bite's width about it, within which what carries stones may be gone
	goesWhole = 0.55 // from here on it is gone
	overCrack = 0.5  // how far beyond what carries it a bed holds, mm: over a crack it does
	restShare = 0.3  // of a stone at least that lies on its bed
	loosened  = 1.2  // stones from the edge within which some have shifted
	bedIn     = 0.05 // how much farther in than the stones their bedding ends, mm
)

// edge is where bites meet a paving.
type edge struct {
	s           *parts.Site
	p           *Paving
	z           *pavingSizes
	bites       []parts.Bite
	under       sdf.Field
	level, foot float64
	below       float64 // a height in what carries it
	far         float64 // how far from a bite that may be gone
	stones      []sdf.Field
	taken       [][]sdf.Field // by each bite
	bed         []sdf.Field   // what each bite takes of the bed
	pits        []sdf.Field
}

// Bitten is what bites leave: stones one by one - those at the edge broken across or
// shifted - on a bed that ends a little farther in.
func (p *Paving) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	z := p.settled(s)
	e := &edge{s: s, p: p, z: z, bites: bites, under: under, level: p.Level.Height, foot: p.Level.Height - z.thickness,
		taken: make([][]sdf.Field, len(bites))}
	for i := range bites {
		e.far = max(e.far, fallShare*bites[i].Wide)
	}
	bottom := e.foot - parts.Keyed - s.Roughness(e.level)
	e.below = e.foot - s.Roughness(e.level) - parts.Keyed/2
	b := p.Area.Bounds()
	chunks := fracture.Break{Work: p.Area.Prism(bottom, e.level-z.recess),
		Size: fracture.Even(max(4*s.Print.Gap, min(1.5*z.thickness, z.module.short))), Inset: bedIn,
		Box:  r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, bottom), Max: sdf.V(b.Max.X, b.Max.Y, e.level-z.recess)},
		Far:  e.far,
		Held: func(q r3.Vec) bool { return under.Value(sdf.V(q.X, q.Y, e.below)) < -0.05 },
		Lost: func(q r3.Vec) bool { return under.Value(sdf.V(q.X, q.Y, e.below)) > overCrack }}
	e.bed = chunks.Taken(bites)
	work := p.laying(s)
	for i := range work.stones {
		e.lay(&work.stones[i])
	}
	for i := range work.fills {
		f := &work.fills[i]
		if b, near := e.nearest(f); !near || e.lost(f, b) < 0.3 && e.rests(f) {
			e.stones = append(e.stones, f.mortar(e.level, e.foot, z))
		}
	}
	for i := range bites {
		if e.scored(i) {
			e.taken[i] = append(e.taken[i], bites[i].Rough)
		}
	}
	bed := p.clearOfSunk(s, sdf.Difference(p.bed(s, bottom, z), e.pits...))
	for i := range bites {
		if e.scored(i) {
			e.bed[i] = bites[i].Rough
		}
	}
	return []parts.Remains{{Work: p.clearOfSunk(s, sdf.Union(e.stones...)), Taken: fracture.Split(fracture.Unions(e.taken), bites)},
		{Work: bed, Taken: fracture.Split(e.bed, bites)}}
}

// scored says whether a bite is too narrow to break out whole stones: it leaves a groove
// in them.
func (e *edge) scored(i int) bool { return e.bites[i].Wide < 1.5*e.z.module.short }

// nearest is the bite that a stone lies in or nearest to; false where all are far.
func (e *edge) nearest(l *laid) (best int, near bool) {
	mid := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
	reach := planar.Norm2(r2.Sub(l.box.Max, mid)) + loosened*e.z.module.long
	least := math.Inf(1)
	for i := range e.bites {
		if e.scored(i) {
			continue
		}
		if v := e.bites[i].Gone.Value(sdf.V(mid.X, mid.Y, e.level)); v < least {
			best, least = i, v
		}
	}
	if least >= reach && least < reach+e.far { // only where nothing carries it
		for _, share := range [5]r2.Vec{{}, {X: 0.8, Y: 0.8}, {X: -0.8, Y: 0.8}, {X: 0.8, Y: -0.8}, {X: -0.8, Y: -0.8}} {
			half := r2.Sub(l.box.Max, mid)
			if e.under.Value(sdf.V(mid.X+share.X*half.X, mid.Y+share.Y*half.Y, e.below)) > 0 {
				return best, true
			}
		}
		return best, false
	}
	return best, least < reach
}

// places are those of a stone that are looked at: a lattice within its outline.
func (l *laid) places() (all []r2.Vec) {
	shape := l.plan
	if l.outline != nil {
		shape = planar.NewConvex(l.outline)
	}
	const n = 5
	size := r2.Sub(l.box.Max, l.box.Min)
	for i := range n {
		for j := range n {
			q := r2.Vec{X: l.box.Min.X + size.X*(float64(i)+0.5)/n, Y: l.box.Min.Y + size.Y*(float64(j)+0.5)/n}
			if shape.At(q) < 0 {
				all = append(all, q)
			}
		}
	}
	return all
}

// gone says whether a place of the plan has lost its hold: the bite has it, or what
// carried it is gone.
func (e *edge) gone(q r2.Vec, bite int) bool {
	return e.bites[bite].Gone.Value(sdf.V(q.X, q.Y, e.level-0.8*e.z.thickness)) < 0 || e.under.Value(sdf.V(q.X, q.Y, e.below)) > 0
}

// lost is the share of a stone that has lost its hold.
func (e *edge) lost(l *laid, bite int) float64 {
	all, lost := l.places(), 0
	for _, q := range all {
		if e.gone(q, bite) {
			lost++
		}
	}
	return float64(lost) / float64(max(1, len(all)))
}

// rests says whether enough of a stone lies on bed that is left.
func (e *edge) rests(l *laid) bool {
	all, rests := l.places(), 0
	for _, q := range all {
		on := e.under.Value(sdf.V(q.X, q.Y, e.below)) < 0
		for _, f := range e.bed {
			on = on && (f == nil || f.Value(sdf.V(q.X, q.Y, e.foot)) > 0)
		}
		if on {
			rests++
		}
	}
	return float64(rests) >= restShare*float64(len(all))
}

// lay lays a stone as the bites left it.
func (e *edge) lay(l *laid) {
	whole := func() {
		if l.missing {
			e.pits = append(e.pits, l.pit(e.level, e.foot, e.z))
		} else {
			e.stones = append(e.stones, l.stone(e.s, e.level, e.foot, e.z))
		}
	}
	bite, near := e.nearest(l)
	if !near {
		whole()
		return
	}
	lost := e.lost(l, bite)
	if l.missing {
		if lost == 0 {
			whole()
		}
		return
	}
	mid := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
	_, g := e.bites[bite].Gone.Gradient(sdf.V(mid.X, mid.Y, e.level))
	out := r2.Vec{X: g.X, Y: g.Y}
	if n := planar.Norm2(out); n > 1e-6 {
		out = r2.Scale(1/n, out)
	} else {
		out = r2.Vec{X: 1}
	}
	rng := rand.New(rand.NewPCG(l.lot.seed, e.bites[bite].Seed))
	chance := rng.Float64()
	switch {
	case lost >= goesWhole-0.2*chance || !e.rests(l):
	case lost <= holdsFast:
		if v := e.bites[bite].Gone.Value(sdf.V(mid.X, mid.Y, e.level)); l.even || l.outline == nil || v > loosened*e.z.module.short {
			whole()
			return
		}
		e.stones = append(e.stones, e.shifted(l, out, chance, rng))
	case l.outline == nil:
		if lost < 0.3 {
			whole()
		}
	default:
		e.across(l, bite, lost, out, rng)
	}
}

// across breaks a stone along two facets; what would be too thin is gone, and a stone
// too small to break stays or goes whole.
func (e *edge) across(l *laid, bite int, lost float64, out r2.Vec, rng *rand.Rand) {
	if 2*planar.Inradius(l.outline) < 2*e.z.least {
		if lost < 0.4 {
			e.stones = append(e.stones, l.stone(e.s, e.level, e.foot, e.z))
		}
		return
	}
	type cut struct {
		n   r2.Vec
		off float64
	}
	var cuts []cut
	left := l.outline
	for _, share := range [2]float64{lost, lost * (0.3 + 0.5*rng.Float64())} {
		turn := (rng.Float64() - 0.5) * 0.7
		if len(cuts) == 1 {
			turn += math.Copysign(0.5, rng.Float64()-0.5)
		}
		sin, cos := math.Sincos(turn)
		n := r2.Vec{X: out.X*cos - out.Y*sin, Y: out.X*sin + out.Y*cos}
		all := l.places()
		along := make([]float64, len(all))
		for i, q := range all {
			along[i] = planar.Dot2(n, q)
		}
		slices.SortFunc(along, cmp.Compare)
		off := along[min(len(along)-1, int(share*float64(len(along))))]
		if left = planar.ClipLine(left, r2.Scale(-1, n), -off); left == nil || planar.Inradius(left) < max(e.z.least/2, 0.5*planar.Inradius(l.outline)) {
			return
		}
		cuts = append(cuts, cut{n, off})
	}
	e.stones = append(e.stones, l.stone(e.s, e.level, e.foot, e.z))
	for _, c := range cuts {
		var planes []convex.Plane
		for _, side := range planar.SidesOf(l.outline) {
			planes = append(planes, convex.Plane{N: sdf.V(side.Normal.X, side.Normal.Y, 0), D: side.Offset + 0.45*e.z.joint})
		}
		lean := math.Tan((rng.Float64() - 0.3) * 35 * math.Pi / 180) // the foot sticks out more often than not
		n := convex.Unit(sdf.V(c.n.X, c.n.Y, lean))
		planes = append(planes,
			convex.Plane{N: n, D: r3.Dot(n, sdf.V(c.n.X*c.off, c.n.Y*c.off, e.level))},
			convex.Plane{N: sdf.V(0, 0, 1), D: e.level + 1}, convex.Plane{N: sdf.V(0, 0, -1), D: -(e.foot - 0.1)})
		if f := convex.New(planes); f != nil {
			e.taken[bite] = append(e.taken[bite], f)
		}
	}
}

// shifted is a stone at the edge that has tilted up towards the bite, sunk towards it,
// slid to it, or stayed.
func (e *edge) shifted(l *laid, out r2.Vec, chance float64, rng *rand.Rand) sdf.Field {
	reach := extent(l.outline, out)
	rise := e.z.recess * (0.5 + rng.Float64())
	most := reach * math.Tan(14*math.Pi/180)
	slide := e.z.joint * (0.3 + 0.7*rng.Float64())
	switch {
	case chance < 0.3:
		slide = 0
	case chance < 0.6:
		rise, slide = -1.2*rise, 0.3*slide
	case chance < 0.8:
		rise = 0
	default:
		return l.stone(e.s, e.level, e.foot, e.z)
	}
	rise = max(-most, min(most, rise))
	// About its outer foot; deep enough that no gap opens beneath.
	far := math.Inf(-1)
	for _, q := range l.outline {
		far = max(far, planar.Dot2(out, q))
	}
	mid := planar.Centroid(l.outline)
	pivot := r2.Add(mid, r2.Scale(far-planar.Dot2(out, mid), out))
	turn := math.Asin(rise/reach) * 180 / math.Pi
	pose := sdf.At(sdf.V(-pivot.X, -pivot.Y, -e.level)).
		Then(sdf.Turn(sdf.V(-out.Y, out.X, 0), turn)).
		Then(sdf.At(sdf.V(pivot.X-out.X*slide, pivot.Y-out.Y*slide, e.level)))
	return sdf.Place(l.stone(e.s, e.level, e.foot-max(0, rise)-0.1, e.z), pose)
}
