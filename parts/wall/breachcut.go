package wall

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
)

const (
	// breachOver is how far a breach cuts past the faces of its wall, mm.
	breachOver = 0.4
	// jointShare is how near to a joint, in stones, a stone comes out whole: nearer
	// to its middle it is broken through.
	jointShare = 0.35
	// holeShare is how much of half the width at least is left of it by that.
	holeShare = 0.5
	// breachSky is the height that a gap is open to over its wall, mm.
	breachSky = 1000
	// splitDepth is how much of a wall's thickness splits off one face, where half
	// of it is a wall that prints.
	splitDepth = 0.4
)

// breachLevel is a slice of the hole: heights above the level that the wall stands
// on, and distances along the wall's line, mm.
type breachLevel struct {
	low, high   float64
	left, right float64
	split       [2]float64 // further out at one face, mm
}

func (l breachLevel) middle() float64 { return (l.low + l.high) / 2 }

// halfWidth is half the width of the hole at a height above the wall's level, before
// it is roughened.
func (b *Breach) halfWidth(z *breachSizes, at float64) float64 {
	half := z.width / 2
	lean := 1 / math.Tan(b.Slope*math.Pi/180)
	if b.Slope >= 90 {
		lean = 0
	}
	height := math.Max(z.high-z.low, 1e-6)
	if z.gap {
		return math.Min(half, math.Max(footShare*half, half-(z.high-at)*lean))
	}
	// However low it is, it has its whole width in the middle.
	crown := crownShare * half
	if lean > 0 {
		crown = math.Min(half, crown+math.Max(0, z.high-at)*math.Max(lean, (half-crown)/(0.6*height)))
	} else {
		crown = half
	}
	if z.low == 0 {
		return crown
	}
	foot := footShare * half
	return math.Min(crown, foot+math.Max(0, at-z.low)*math.Max(lean, (half-foot)/(0.3*height)))
}

// levels slices the hole, lowest first: by the courses of the wall, or where it has
// none evenly.
func (b *Breach) levels(s *parts.Site, z *breachSizes) []breachLevel {
	m := z.masonry
	var all []breachLevel
	if m.w.Coursing == "none" {
		n := int(math.Ceil(math.Min(24, math.Max(3, (z.high-z.low)/math.Max(0.6, 0.5*m.thick)))))
		for i := range n {
			step := (z.high - z.low) / float64(n)
			all = append(all, breachLevel{low: z.low + float64(i)*step, high: z.low + float64(i+1)*step})
		}
	} else {
		rows, _ := m.grid(0)
		rise := m.body() / float64(rows)
		nearest := 0
		for i := range rows {
			l := breachLevel{low: float64(i) * rise, high: float64(i+1) * rise}
			if l.middle() > z.low && (z.gap || l.middle() < z.high) {
				all = append(all, l)
			}
			if math.Abs(l.middle()-(z.low+z.high)/2) < math.Abs((float64(nearest)+0.5)*rise-(z.low+z.high)/2) {
				nearest = i
			}
		}
		if len(all) == 0 {
			all = []breachLevel{{low: float64(nearest) * rise, high: float64(nearest+1) * rise}}
		}
	}
	rng := s.Rand(b.Name, b.Seed, "outline")
	drift := [2]float64{rng.Float64(), rng.Float64()}
	for i := range all {
		l := &all[i]
		half := b.halfWidth(z, l.middle())
		for k := range drift {
			// The edge wanders inward, so that the width is its greatest.
			drift[k] = math.Abs(math.Mod(drift[k]+1.2*(rng.Float64()-0.5), 1))
			out := half * (1 - 0.35*b.Roughness*drift[k])
			out = math.Max(out, s.Print.Gap/2)
			if k == 0 {
				l.left = b.At - out
			} else {
				l.right = b.At + out
			}
			l.split[k] = b.Roughness * m.thick * (0.2 + 0.8*rng.Float64())
		}
	}
	if z.gap { // up through the coping and what stands on it
		last := &all[len(all)-1]
		if m.w.Coursing != "none" {
			last.high = z.wall.height() + breachSky
			return all
		}
		top := *last
		top.low, top.high = last.high, z.wall.height()+breachSky
		all = append(all, top)
	}
	return all
}

// Throw is nothing: what falls out of a wall is debris.
func (b *Breach) Throw(*parts.Site) sdf.Field { return nil }

// Cut is the hole, right through the wall.
func (b *Breach) Cut(s *parts.Site) sdf.Field {
	z := b.settled(s)
	if !z.open {
		return sdf.Nothing()
	}
	m := z.masonry
	base := z.wall.From.Height
	levels := b.levels(s, z)
	step := math.Min(levels[0].high-levels[0].low, m.thick)
	lump := 0.25 * b.Roughness * step
	out := m.thick/2 + m.proud + lump + breachOver

	faces := s.Rand(b.Name, b.Seed, "faces")
	face := 2*float64(faces.IntN(2)) - 1 // where stones split off
	splits := b.Roughness > 0 && m.thick/2 >= s.Print.Wall

	var cut []sdf.Field
	for i, side := range m.sides {
		c := breachSide{breach: b, s: s, side: side, m: m, base: base,
			first: i == 0, last: i == len(m.sides)-1}
		if m.w.Coursing != "none" {
			c.courses = m.w.courses(s)[i]
		}
		hole := c.outline(levels, false)
		if hole == nil {
			continue
		}
		solid := upright(hole, -out, out)
		if splits {
			to := [2]float64{(0.5 - splitDepth) * m.thick * face, out * face}
			solid = sdf.Union(solid, upright(c.outline(levels, true), math.Min(to[0], to[1]), math.Max(to[0], to[1])))
		}
		cut = append(cut, sdf.Place(solid, side.pose))
	}
	if len(cut) == 0 {
		return sdf.Nothing()
	}
	lumps := sdf.NewNoise(faces.Uint64(), math.Max(1.2*step, 2*s.Print.Gap), 2)
	hole := sdf.Union(cut...)
	if lump > 0 {
		// Lowered by as much as it bulges, so that what hangs over the hole stays even
		// beneath: a lump that hung down there would be printed on nothing.
		hole = sdf.Union(hole, sdf.Displace(sdf.Place(hole, sdf.At(sdf.V(0, 0, -lump))), lumps, lump))
	}
	floor := base + z.low
	if z.low > 0 { // masonry too; the floor is none and stays even
		floor -= lump
	}
	return sdf.Intersection(hole, sdf.HalfSpace(sdf.V(0, 0, -1), -floor))
}

// upright is an outline in the plane of a wall, x along and y up, taken through it
// from one distance to the left of the line to another.
func upright(outline []r2.Vec, from, to float64) sdf.Field {
	return sdf.Place(sdf.Prism(outline, -to, -from), sdf.Turn(sdf.V(1, 0, 0), 90))
}

// breachSide is what a breach takes from one side of a wall.
type breachSide struct {
	breach      *Breach
	s           *parts.Site
	side        wallSide
	m           *masonry
	base        float64
	courses     []course // none in a plain wall
	first, last bool     // the side's start, its end, is one of the wall
}

// outline is the hole in the side's own plane, scene heights, anticlockwise; nil where
// it does not reach the side. Split, it is that at the face where more has come off.
func (c *breachSide) outline(levels []breachLevel, split bool) []r2.Vec {
	// What meets at a corner goes with either side.
	start, end := 0.0, c.side.to
	if !c.last {
		end -= math.Max(0, c.side.to-c.lineEnd())
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, l := range levels {
		lo, hi = math.Min(lo, l.left-c.side.start), math.Max(hi, l.right-c.side.start)
	}
	if hi <= start || lo >= end {
		return nil
	}
	centre := c.breach.At - c.side.start
	least := c.s.Print.Gap / 2
	var left, right []r2.Vec
	for _, l := range levels {
		x0, x1 := l.left-c.side.start, l.right-c.side.start
		if split {
			x0, x1 = x0-l.split[0], x1+l.split[1]
		}
		x0, x1 = c.joint(x0, centre, l), c.joint(x1, centre, l)
		x0, x1 = math.Min(x0, centre-least), math.Max(x1, centre+least)
		stub := math.Max(c.s.Print.Wall, c.m.thick)
		switch {
		case c.first && x0 < c.side.from+stub: // too thin to stand by itself
			x0 = c.side.from - breachOver
		case !c.first && lo < start:
			x0 = c.side.from - breachOver
		}
		switch {
		case c.last && x1 > c.side.to-stub:
			x1 = c.side.to + breachOver
		case !c.last && hi > end:
			x1 = c.side.to + breachOver
		}
		corner := c.m.thick/2 + breachOver
		if !c.first && lo < start {
			x1 = math.Max(x1, start+corner)
		}
		if !c.last && hi > end {
			x0 = math.Min(x0, end-corner)
		}
		x0, x1 = math.Max(x0, c.side.from-breachOver), math.Min(x1, c.side.to+breachOver)
		low, high := c.base+l.low, c.base+l.high
		if c.courses == nil && l.high < breachSky { // plain: facets from slice to slice
			mid := c.base + l.middle()
			if len(right) == 0 {
				left, right = append(left, r2.Vec{X: x0, Y: low}), append(right, r2.Vec{X: x1, Y: low})
			}
			low, high = mid, mid
			if l == levels[len(levels)-1] {
				high = c.base + l.high
			}
		}
		right, left = append(right, r2.Vec{X: x1, Y: low}), append(left, r2.Vec{X: x0, Y: low})
		if high > low {
			right, left = append(right, r2.Vec{X: x1, Y: high}), append(left, r2.Vec{X: x0, Y: high})
		}
	}
	for i := len(left) - 1; i >= 0; i-- {
		right = append(right, left[i])
	}
	return right
}

// lineEnd is where the line of the wall turns, along the side.
func (c *breachSide) lineEnd() float64 {
	at := 0.0
	for i := 1; i < len(c.m.w.Line); i++ {
		length := r2.Norm(r2.Sub(c.m.w.Line[i], c.m.w.Line[i-1]))
		if length >= 1e-9 && math.Abs(at-c.side.start) < 1e-9 {
			return length
		}
		at += length
	}
	return c.side.to
}

// joint takes the edge of the hole to a joint of the course, if one is near and leaves
// most of the hole.
func (c *breachSide) joint(x, centre float64, l breachLevel) float64 {
	leaves := func(edge float64) bool { return (edge-centre)/(x-centre) > holeShare }
	for _, row := range c.courses {
		if math.Abs(row.low-c.base-l.low) > 1e-6 {
			continue
		}
		for i := 1; i < len(row.edges); i++ {
			a, b := row.edges[i-1], row.edges[i]
			switch {
			case x < a || x > b:
			case x-a < jointShare*(b-a) && leaves(a):
				return a
			case b-x < jointShare*(b-a) && leaves(b):
				return b
			}
		}
	}
	return x
}
