package parts

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the wall as it is cut between its sills and its heads: solid between the
// openings, their thresholds and sills across them. A coping is drawn as a line
// beside it.
func (w *Wall) Plan(s *Site) []Stroke {
	m := w.masonry(s)
	line := line3{pts: raiseLine(w.Line, 0)}
	sides := line.sides()
	if len(sides) == 0 {
		return nil
	}
	total := sides[len(sides)-1].to
	var strokes []Stroke
	if m.proud > 0 {
		strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
			Path: straight(band(stretch(sides, 0, total), m.thick/2+m.proud)...)})
	}
	solid := func(from, to float64) {
		if to-from > leastSize {
			strokes = append(strokes, Stroke{Line: LineMass, Layer: Standing, Closed: true, Covers: true,
				Path: straight(band(stretch(sides, from, to), m.thick/2)...)})
		}
	}
	from := 0.0
	for _, o := range openingsAlong(w.Openings) {
		width := max(o.Width, s.Print.Gap)
		lo, hi := max(o.At-width/2, 0), min(o.At+width/2, total)
		solid(from, lo)
		from = max(from, hi)
		if hi-lo < leastSize {
			continue
		}
		way := stretch(sides, lo, hi)
		strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Closed: true, Covers: true,
			Path: straight(band(way, m.thick/2)...)})
		if o.Sill > 0 { // the glass line of a window
			strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Path: straight(way...)})
		}
	}
	solid(from, total)
	return strokes
}

// openingsAlong gives the openings in the order of the wall.
func openingsAlong(all []WallOpening) []WallOpening {
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b WallOpening) int { return cmp.Compare(a.At, b.At) })
	return sorted
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
