package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// enrich gives a large base more to look at than its one station: a crater, a
// column's stump, a heap, as long as there is room left for a stand.
func (w *work) enrich(b *berth) {
	if b.side() < standSide {
		return
	}
	if b.zone.line {
		b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
	}
	room := func(p r2.Vec) bool { return b.levelAt(p) != w.theme.manner.sunk || w.theme.manner.sunk == "" }
	b.dented = true
	for n, more := 0, int(math.Min(6, 1+b.foot.long*b.foot.short/4200)); n < more; n++ {
		at, far := w.free(b, "more "+mm(float64(n)), room)
		if far < 5 {
			return
		}
		switch {
		case n%3 == 0:
			w.hit(b, at, math.Min(1.5*far, 0.32*b.side()))
		case n%3 == 1:
			m := w.theme.manner.post
			if far > 9 {
				m = w.theme.manner.shaft
			}
			w.columns(b, m, b.levelAt(at), 0.4*b.side(), math.Min(0.12*b.side(), far), at)
		default:
			area := math.Min(1.6*far, 0.3*b.side())
			w.heap(b, "", disc(at, tenth(area)), 0.35, 0)
			b.keep(ringOf(at, area/2))
		}
		if _, left := w.free(b, "stand", nil); 2*left < leastStand+1 {
			return
		}
	}
}
