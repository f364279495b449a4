package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// wideArea is the area of a box about a base, mm2, from which on one thing to
// show leaves too much bare.
const wideArea = 1900

// enrich gives a wide base more to look at than its one station: a crater, a
// column, a heap. It leaves the
// stand alone.
func (w *work) enrich(b *berth) {
	large := b.side() >= standSide
	if !large && (b.foot.long*b.foot.short < wideArea || b.side() < 30) {
		return
	}
	sunk := w.theme.manner.sunk
	room := func(p r2.Vec) bool { return sunk == "" || b.levelAt(p) != sunk }
	more, first := int(math.Min(6, 1+b.foot.long*b.foot.short/4200)), 0
	if !large {
		more, first = 1, w.rand("more on "+b.name).IntN(3)
	}
	for n := range more {
		at, far := w.free(b, "more "+mm(float64(n)), room)
		if far < 4.5 {
			return
		}
		switch (n + first) % 3 {
		case 0:
			w.hit(b, at, math.Min(1.5*far, 0.32*b.side()))
		case 1:
			m := w.theme.manner.post
			if far > 9 {
				m = w.theme.manner.shaft
			}
			w.columns(b, m, b.levelAt(at), 0.4*b.side(), math.Min(0.12*b.side(), far), at)
		default:
			area := math.Min(1.6*far, 0.3*b.side())
			w.heap(b, roundPatch(at, area), 0.27)
		}
	}
}
