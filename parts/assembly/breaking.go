package assembly

import (
	"slices"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/workers"
)

// broken is what is left of a part that broke in its own way.
type broken struct {
	blows   []int // that broke it
	remains []parts.Remains
	left    sdf.Field // less what other blows cut from it, too
}

// biteOf is the bite of a damage with a cut; nil where it gives none.
func biteOf(s *parts.Site, d parts.Damager, cut sdf.Field) *parts.Bite {
	if b, ok := d.(parts.Biter); ok {
		bite := b.Bite(s)
		bite.Rough = cut
		return &bite
	}
	return nil
}

// bitesNear is how near a bite's box comes to a part's for the part to break, mm: farther
// out nothing shifts.
const bitesNear = 2.0

// course is a part's place in the order in which work breaks: what carries before what
// it carries.
func course(p parts.Part) int {
	stage := int(parts.StageOf(p)-parts.Structure) * 2
	if _, floor := p.(parts.Floored); !floor && stage == 0 {
		stage++
	}
	return stage
}

// breakAll breaks what knows how it breaks, the carrying work first; nil for a part that
// no bite comes near.
func (d *damage) breakAll(s *parts.Site, work []made) []*broken {
	out := make([]*broken, len(work))
	if !slices.ContainsFunc(d.bites, func(b *parts.Bite) bool { return b != nil }) {
		return out
	}
	order := make([]int, len(work))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return course(work[a].part) - course(work[b].part) })
	var left []sdf.Field
	under := sdf.Nothing()
	for len(order) > 0 {
		n := 1 // of one course: none carries another
		for n < len(order) && course(work[order[n]].part) == course(work[order[0]].part) {
			n++
		}
		workers.AtOnce(n, func(k int) {
			w := work[order[k]]
			if p, ok := w.part.(parts.Breaker); ok {
				out[order[k]] = d.breaks(s, p, w.solid, under)
			}
		})
		for _, i := range order[:n] {
			if out[i] != nil {
				left = append(left, out[i].left)
			} else {
				left = append(left, sdf.Difference(work[i].solid, d.takes(work[i].part.Label())...))
			}
		}
		under, order = sdf.Union(left...), order[n:]
	}
	return out
}

// breaks gives what is left of one part; nil where no bite comes near it.
func (d *damage) breaks(s *parts.Site, p parts.Breaker, solid, under sdf.Field) *broken {
	var b broken
	var bites []parts.Bite
	var others []sdf.Field
	for i := range d.blows {
		switch {
		case !d.blows[i].Touches(p.Label()):
		case d.bites[i] != nil && boxesNear(solid.Bounds(), d.bites[i].Gone.Bounds(), bitesNear):
			b.blows, bites = append(b.blows, i), append(bites, *d.bites[i])
		default:
			others = append(others, d.cuts[i])
		}
	}
	if len(bites) == 0 {
		return nil
	}
	var left []sdf.Field
	for _, r := range p.Bitten(s, bites, under) {
		b.remains = append(b.remains, r)
		left = append(left, r.Left())
	}
	b.left = sdf.Difference(sdf.Union(left...), others...)
	return &b
}

// slump lets floors slump beside the blows that do that, each into what all blows left.
func (d *damage) slump(s *parts.Site, work []made, left sdf.Field) (all []sdf.Field) {
	d.fallen = make([]sdf.Field, len(d.blows))
	for i := range d.blows {
		p, ok := d.blows[i].Damager.(parts.Slumper)
		if !ok {
			continue
		}
		var floors []sdf.Field
		for _, w := range work {
			_, floor := w.part.(parts.Floored)
			if _, finish := w.part.(parts.Finisher); (floor || finish) && d.blows[i].Touches(w.part.Label()) {
				floors = append(floors, w.solid)
			}
		}
		if f := p.Slump(s, sdf.Union(floors...), left); f != nil {
			d.fallen[i] = f
			all = append(all, f)
		}
	}
	return all
}

// openedIn is what is gone of the floors and finishes that broke: nothing that was thrown
// up lies there.
func openedIn(work []made, remains []*broken) (gone []sdf.Field) {
	for i, b := range remains {
		_, floor := work[i].part.(parts.Floored)
		if _, finish := work[i].part.(parts.Finisher); b == nil || !floor && !finish {
			continue
		}
		for _, r := range b.remains {
			for _, f := range r.Taken {
				if f != nil {
					gone = append(gone, f)
				}
			}
		}
	}
	return gone
}
