package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// laying is a paving as it is laid: its stones, and the fills of mortar where
// a cut would be too thin for a stone. Scene coordinates.
type laying struct {
	stones []laid
	fills  []laid
}

func (p *Paving) laying(s *parts.Site) *laying {
	return parts.Settled(s, p, func() *laying { return p.lay(s) })
}

// lay cuts the bond to the area and draws each stone's lot.
func (p *Paving) lay(s *parts.Site) *laying {
	z := p.settled(s)
	outline, pose := p.courses()
	rng := s.Rand(p.Name, p.Seed, "bond")
	cells := z.bond.lay(planar.Bounds(outline), z.module, rng)
	c := newCutter(outline, z.joint, z.least)
	slabs, slivers := c.cutAll(cells)

	// Each stone's lot hangs on its place in the bond alone.
	lots := s.Rand(p.Name, p.Seed, "stones")
	s1, s2 := lots.Uint64(), lots.Uint64()
	landings := p.landings(s)
	out := &laying{}
	for _, b := range slabs {
		l := b.laid(pose)
		l.lot = drawLot(rand.New(rand.NewPCG(s1^uint64(b.course)<<32^uint64(uint32(b.n)), s2)))
		l.even = landings.near(&l)
		l.missing = !l.even && l.outline != nil && l.lot.missing < z.wear.missing
		if !l.even && !l.missing && l.lot.cracked < aloneCracked*z.wear.cracked {
			if a, b, ok := l.crack(z.joint, z.least); ok {
				out.stones = append(out.stones, a, b)
				continue
			}
		}
		out.stones = append(out.stones, l)
	}
	p.crackThrough(s, out, z)
	p.settleAndTread(s, out.stones, z, landings)
	levelFirmest(out.stones, z)
	for _, v := range slivers {
		filled := c.fill(v)
		out.fills = append(out.fills, filled.laid(pose))
	}
	return out
}

// levelFirmest makes the firmest stone lie flat at the level, so that the highest of
// the paving reaches it exactly.
func levelFirmest(stones []laid, z *pavingSizes) {
	var best *laid
	least := math.Inf(1)
	for i := range stones {
		l := &stones[i]
		if off := z.wear.uneven*l.lot.sunk() + l.settled + 0.1*z.recess*l.lot.leaning(); !l.missing && !l.even && off < least {
			best, least = l, off
		}
	}
	if best != nil {
		best.lot.sink, best.lot.lean, best.settled, best.fall, best.flat = 0, 0, 0, r2.Vec{}, true
	}
}

// laid brings a slab from the frame of the courses to the scene.
func (b *slab) laid(pose sdf.Pose) laid {
	place := func(q r2.Vec) r2.Vec {
		p := pose.Apply(sdf.V(q.X, q.Y, 0))
		return r2.Vec{X: p.X, Y: p.Y}
	}
	all := func(corners []r2.Vec) []r2.Vec {
		out := make([]r2.Vec, len(corners))
		for i, q := range corners {
			out[i] = place(q)
		}
		return out
	}
	x := pose.Rotate(sdf.V(1, 0, 0))
	l := laid{long: r2.Vec{X: x.X, Y: x.Y}}
	if b.outline != nil {
		l.take(all(b.outline))
		return l
	}
	l.take(all(b.corners)) // for its box and halves
	l.outline, l.plan = nil, &turnedShape{b.plan, pose}
	return l
}

// turnedShape is a region of the plan at a pose about the vertical.
type turnedShape struct {
	f    planar.Shape
	pose sdf.Pose
}

func (t *turnedShape) local(p r2.Vec) r2.Vec {
	q := t.pose.Invert(sdf.V(p.X, p.Y, 0))
	return r2.Vec{X: q.X, Y: q.Y}
}

func (t *turnedShape) At(p r2.Vec) float64 { return t.f.At(t.local(p)) }

func (t *turnedShape) Slope(p r2.Vec) (float64, r2.Vec) {
	d, g := t.f.Slope(t.local(p))
	v := t.pose.Rotate(sdf.V(g.X, g.Y, 0))
	return d, r2.Vec{X: v.X, Y: v.Y}
}

// landings are the places at the paving's level where stairs begin and end.
type landings struct {
	lies  []parts.Lie
	reach float64 // mm: one stone
}

func (p *Paving) landings(s *parts.Site) landings {
	n := landings{reach: p.settled(s).module.long}
	for _, l := range parts.AllOf[parts.Landing](s) {
		for _, lie := range l.Landings(s) {
			if math.Abs(lie.Height-p.Level.Height) < parts.SameHeight {
				n.lies = append(n.lies, lie)
			}
		}
	}
	return n
}

// near says whether a stone may lie within one stone of a landing.
func (n landings) near(l *laid) bool {
	mid := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
	for _, lie := range n.lies {
		s := planar.Side{A: lie.A}
		if e := r2.Sub(lie.B, lie.A); planar.Norm2(e) > 0 {
			s.Length = planar.Norm2(e)
			s.Along = r2.Scale(1/s.Length, e)
		}
		if planar.Norm2(s.Nearest(mid))-planar.Norm2(l.half) <= n.reach {
			return true
		}
	}
	return false
}

// cutAll cuts every cell, then lets the stones beside a sliver grow over it.
func (c *cutter) cutAll(cells []cell) (slabs, slivers []slab) {
	for _, place := range cells {
		switch s, got := c.cutTo(place); got {
		case cutKept:
			slabs = append(slabs, s)
		case cutSliver:
			slivers = append(slivers, s)
		}
	}
	if len(slivers) > 0 {
		slivers = c.growOver(slabs, slivers)
	}
	return slabs, slivers
}

// fill is the mortar that takes a sliver's place: the sliver and a joint round
// it, so that no thin gap is left beside the stones.
func (c *cutter) fill(v slab) slab {
	if v.outline == nil {
		v.plan = &planar.Common{A: &planar.Inset{F: planar.NewConvex(v.corners), D: -c.joint / 2}, B: c.shape}
		b := planar.Bounds(v.corners)
		v.corners = planar.Corners(r2.Box{Min: r2.Sub(b.Min, r2.Vec{X: c.joint, Y: c.joint}), Max: r2.Add(b.Max, r2.Vec{X: c.joint, Y: c.joint})})
		return v
	}
	b := planar.Bounds(v.outline)
	grown := planar.Corners(r2.Box{Min: r2.Sub(b.Min, r2.Vec{X: c.joint, Y: c.joint}), Max: r2.Add(b.Max, r2.Vec{X: c.joint, Y: c.joint})})
	for _, s := range planar.SidesOf(v.outline) {
		grown = planar.ClipLine(grown, s.Normal, s.Offset+c.joint)
	}
	lines, straight := c.linesThrough(grown)
	if !straight {
		v.plan = &planar.Common{A: planar.NewConvex(grown), B: c.shape}
		v.corners, v.outline = grown, nil
		return v
	}
	for _, l := range lines {
		if cut := planar.ClipLine(grown, l.Normal, l.Offset); cut != nil {
			grown = cut
		}
	}
	v.outline = grown
	return v
}
