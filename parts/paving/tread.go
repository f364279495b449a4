package paving

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// Wear that is not the same everywhere: the ground settles over metres, and people walk
// in lines. All lengths of life are common practice, no source.
const (
	settlesOver = 2500.0 // full-size mm from one low place of the ground to the next
	walkedWide  = 1200.0 // full-size mm: width of a line that people walk in
	walkedOn    = 8000.0 // full-size mm that they walk straight on from a stair
	trodden     = 0.8    // how far the middle of a path is trodden down, over the unevenness
)

// ways are the lines that people walk in.
type ways struct {
	lines []planar.Side
	half  float64 // mm
}

func (w *ways) add(a, b r2.Vec) {
	s := planar.Side{A: a}
	if e := r2.Sub(b, a); planar.Norm2(e) > 0 {
		s.Length = planar.Norm2(e)
		s.Along = r2.Scale(1/s.Length, e)
		w.lines = append(w.lines, s)
	}
}

// at is how much a place is walked on, 0 to 1.
func (w *ways) at(p r2.Vec) float64 {
	most := 0.0
	for i := range w.lines {
		most = max(most, 1-planar.Norm2(w.lines[i].Nearest(p))/w.half)
	}
	return min(1, 1.6*most)
}

// ways are the path that the scene gives, the lines straight on from the stairs that
// begin and end on the paving, and from one such stair to the next.
func (p *Paving) ways(s *parts.Site, n landings) *ways {
	w := &ways{half: max(s.OnPrint(walkedWide)/2, 2.5)}
	for i := 1; i < len(p.Path); i++ {
		w.add(p.Path[i-1], p.Path[i])
	}
	var last *r2.Vec
	for _, lie := range n.lies {
		mid := r2.Scale(0.5, r2.Add(lie.A, lie.B))
		if e := r2.Sub(lie.B, lie.A); planar.Norm2(e) > 0 {
			out := r2.Scale(s.OnPrint(walkedOn)/planar.Norm2(e), r2.Vec{X: -e.Y, Y: e.X})
			w.add(r2.Sub(mid, out), r2.Add(mid, out))
		}
		if last != nil {
			w.add(*last, mid)
		}
		last = &mid
	}
	return w
}

// settleAndTread lets the stones sink with the ground, and wears those that are walked on.
func (p *Paving) settleAndTread(s *parts.Site, stones []laid, z *pavingSizes, n landings) {
	if p.Wear <= 0 && len(p.Path) == 0 {
		return
	}
	pitch := max(8, min(30, s.OnPrint(settlesOver)))
	ground := relief.NewFacets(s.Rand(p.Name, p.Seed, "settling").Uint64(), pitch, z.wear.uneven, 0.25)
	w := p.ways(s, n)
	for i := range stones {
		l := &stones[i]
		mid := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
		h, g := ground.Gradient(sdf.V(mid.X, mid.Y, 0))
		l.polish = w.at(mid)
		l.settled, l.fall = h+float64(trodden*z.wear.uneven*l.polish), r2.Vec{X: g.X, Y: g.Y}
	}
}
