package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the rim from lip to lip, the foot of its walls where they are straight,
// and the cracks that run out from it. The wandering of the lip is not drawn.
func (c *Crater) Plan(s *Site) []Stroke {
	z, ok := c.sizes(s)
	if !ok {
		return nil
	}
	var strokes []Stroke
	for _, k := range c.cracks(s, z) {
		strokes = append(strokes, Stroke{Line: LineScar, Path: straight(k.line...)})
	}
	strokes = append(strokes, lip(s, c, c.At, circlePath(c.At, z.radius))...)
	// The bowl: the level line half way down, which lies at the parabola's R/sqrt 2.
	curve, bend, slope, _ := z.profile()
	strokes = append(strokes, Stroke{Line: LineScar, Path: circlePath(c.At, bowlRadius(curve, bend, slope, z.depth/2)), Closed: true})
	const mark = 1.0 // mm
	for _, d := range [2]r2.Vec{{X: mark}, {Y: mark}} {
		strokes = append(strokes, Stroke{Line: LineScar, Path: straight(r2.Sub(c.At, d), r2.Add(c.At, d))})
	}
	return strokes
}

// lip is the edge of damage. It hides what it has taken away: all within it, or
// where it is narrowed to some parts, the floors at its middle if it touches them.
func lip(s *Site, d Damager, middle r2.Vec, path []Node) []Stroke {
	only, spares := d.Narrow()
	if len(only) == 0 && len(spares) == 0 {
		return []Stroke{{Line: LineDamage, Path: path, Closed: true, Covers: true}}
	}
	b := blow{d, setOf(only), setOf(spares)}
	edge := Stroke{Line: LineDamage, Path: path, Closed: true}
	for _, f := range s.Floors() {
		if f.Role != Sunk && f.Role != Raised && !b.touches(f.Part.Label()) && f.Area.contains(middle) {
			return []Stroke{edge}
		}
	}
	for _, f := range s.finishes() {
		if !b.touches(f.Part) && f.Area.contains(middle) {
			return []Stroke{edge}
		}
	}
	cleared := Stroke{Line: LineCleared, Layer: OnFloor, Path: path, Closed: true, Covers: true, rank: math.Inf(1)}
	return []Stroke{cleared, edge}
}

// bowlRadius is the radius of a bowl's level line at a height above its floor.
func bowlRadius(curve, bend, slope, height float64) float64 {
	if at := curve * bend * bend; height > at {
		return bend + (height-at)/slope
	}
	return math.Sqrt(height / curve)
}

// Plan is the gouge from lip to lip and the line along its floor.
func (g *Gouge) Plan(s *Site) []Stroke {
	line := g.points()
	return append(lip(s, g, line[0], alongside(line, g.Width/2)), Stroke{Line: LineScar, Path: straight(line...)})
}

// Plan is the stretch of the wall that it breaks, across its whole thickness. What is
// left standing over a hole is drawn through it, a gap is open.
func (b *Breach) Plan(s *Site) []Stroke {
	z, ok := b.sizes(s)
	if !ok {
		return nil
	}
	line := z.stretch(b.At-z.width/2, b.At+z.width/2)
	half := z.masonry.thick / 2
	strokes := []Stroke{{Line: LineDamage, Path: straight(band(line, half)...), Closed: true, Covers: z.gap}}
	for i, p := range [2]r2.Vec{line[0], line[len(line)-1]} {
		way := leftNormal(line[0], line[1])
		if i == 1 {
			way = leftNormal(line[len(line)-2], p)
		}
		reach := r2.Scale(half+1, way) // mm past its faces, so that it reads as a break
		strokes = append(strokes, Stroke{Line: LineScar, Path: straight(r2.Sub(p, reach), r2.Add(p, reach))})
	}
	return strokes
}

// Plan is how far the debris may lie.
func (p *Spill) Plan(s *Site) []Stroke {
	w, ok := p.strewing(s)
	switch {
	case !ok:
		return nil
	case w.area != nil:
		return []Stroke{{Line: LineDebris, Path: w.area.path(), Closed: true}}
	}
	return []Stroke{{Line: LineDebris, Path: alongside(w.middle, w.radius*w.reach), Closed: true}}
}

// Plan is the cut, across the whole scene where it is a straight one. A level cut
// has no line on the plan.
func (t *Trim) Plan(s *Site) []Stroke {
	var a, along r2.Vec
	switch {
	case t.Area != nil:
		return []Stroke{{Line: LineCut, Path: t.Area.path(), Closed: true}}
	case t.Through != nil && t.Facing != nil:
		kept := heading(*t.Facing)
		a, along = *t.Through, r2.Vec{X: kept.Y, Y: -kept.X}
	case len(t.Line) == 2:
		a, along = t.Line[0], r2.Unit(r2.Sub(t.Line[1], t.Line[0]))
	default:
		return nil
	}
	plot := r2.Box{Min: a, Max: a}
	if land := s.Land(); land != nil {
		plot = land.Box()
	}
	const beyond = 3 // mm past the plot, so that it reads as a cut
	from, to, ok := through(plot, a, along)
	if !ok {
		return nil
	}
	return []Stroke{{Line: LineCut, Path: straight(
		r2.Add(a, r2.Scale(from-beyond, along)), r2.Add(a, r2.Scale(to+beyond, along)))}}
}

// through gives where a line from a along a unit direction enters and leaves a box.
func through(b r2.Box, a, along r2.Vec) (from, to float64, ok bool) {
	from, to = math.Inf(-1), math.Inf(1)
	for _, k := range [2][4]float64{{a.X, along.X, b.Min.X, b.Max.X}, {a.Y, along.Y, b.Min.Y, b.Max.Y}} {
		if math.Abs(k[1]) < 1e-12 {
			if k[0] < k[2] || k[0] > k[3] {
				return 0, 0, false
			}
			continue
		}
		t0, t1 := (k[2]-k[0])/k[1], (k[3]-k[0])/k[1]
		from, to = math.Max(from, math.Min(t0, t1)), math.Min(to, math.Max(t0, t1))
	}
	return from, to, from <= to
}
