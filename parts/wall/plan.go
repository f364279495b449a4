package wall

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the wall as it is cut between its sills and its heads: solid between the
// openings, their thresholds and sills across them. A coping is drawn as a line
// beside it.
func (w *Wall) Plan(s *parts.Site) []parts.Stroke {
	m := w.settled(s)
	line := planar.Line{Pts: planar.RaiseLine(w.Line, 0)}
	sides := line.Sides()
	if len(sides) == 0 {
		return nil
	}
	total := sides[len(sides)-1].To
	var strokes []parts.Stroke
	if m.proud > 0 {
		strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Layer: parts.Standing, Closed: true, Covers: true,
			Path: planar.Straight(planar.Band(planar.Stretch(sides, 0, total), m.thick/2+m.proud)...)})
	}
	solid := func(from, to float64) {
		if to-from > parts.LeastSize {
			strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Layer: parts.Standing, Closed: true, Covers: true,
				Path: planar.Straight(planar.Band(planar.Stretch(sides, from, to), m.thick/2)...)})
		}
	}
	from := 0.0
	for _, o := range openingsAlong(m.openings) {
		lo, hi := max(o.At-o.Width/2, 0), min(o.At+o.Width/2, total)
		solid(from, lo)
		from = max(from, hi)
		if hi-lo < parts.LeastSize {
			continue
		}
		across := planar.Stretch(sides, lo, hi)
		strokes = append(strokes, parts.Stroke{Line: parts.LineStep, Layer: parts.Standing, Closed: true, Covers: true,
			Path: planar.Straight(planar.Band(across, m.thick/2)...)})
		if o.Sill > 0 { // the glass line of a window
			strokes = append(strokes, parts.Stroke{Line: parts.LineStep, Layer: parts.Standing, Path: planar.Straight(across...)})
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
func (b *Breach) Plan(s *parts.Site) []parts.Stroke {
	z := b.settled(s)
	if !z.open {
		return nil
	}
	line := z.stretch(b.At-z.width/2, b.At+z.width/2)
	half := z.masonry.thick / 2
	strokes := []parts.Stroke{{Line: parts.LineDamage, Path: planar.Straight(planar.Band(line, half)...), Closed: true, Covers: z.gap}}
	for i, p := range [2]r2.Vec{line[0], line[len(line)-1]} {
		aside := planar.LeftNormal(line[0], line[1])
		if i == 1 {
			aside = planar.LeftNormal(line[len(line)-2], p)
		}
		reach := r2.Scale(half+1, aside) // mm past its faces, so that it reads as a break
		strokes = append(strokes, parts.Stroke{Line: parts.LineScar, Path: planar.Straight(r2.Sub(p, reach), r2.Add(p, reach))})
	}
	return strokes
}
