package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/tree"
)

// RimPlace is a place just outside a pad, where the floor should go on.
type RimPlace struct {
	At    r2.Vec  // mm
	Floor float64 // of the finished floor that was meant there, mm above the foot of the base; -Inf for none
}

// What is told of a pad's rim (common practice, no source). Lower and higher than
// padRelief is no more than a worn stone is.
const (
	// narrowRim is the longest stretch of a rim that is not told, mm: a joint, or a grain.
	narrowRim = 1.0
	// plinth is how tall a pad may stand up all round, as a share of its diameter, and
	// be a plinth: taller, it is a post.
	plinth = 0.5
	// rimShown is how wide the place of a finding is, mm.
	rimShown = 2.0
)

// rimState is what a place of a rim is like.
type rimState struct {
	kind  Kind // SunkStand, RaisedStand, or -1
	meant bool
}

// rimOf looks at the places round a pad: a SunkStand where the solid stands on over the
// pad, so that the pad is cut into it, and a RaisedStand where it ends lower. Each
// stretch of a rim that is alike is one finding, at its worst place.
func rimAbout(x *tree.Index, p Pad) (found []Finding) {
	n := len(p.Rim)
	states, values, heights := make([]rimState, n), make([]float64, n), make([]float64, n)
	for i, r := range p.Rim {
		states[i].kind, states[i].meant = -1, math.Abs(r.Floor-p.Top) <= padRelief
		over, middle, top := beside(x, r.At, p)
		switch {
		case over > padRelief+1e-6:
			states[i].kind, values[i], heights[i] = SunkStand, over, middle
		case p.Top-top > padRelief+1e-6:
			states[i].kind, values[i], heights[i] = RaisedStand, p.Top-top, p.Top
		}
	}
	pitch := 0.0 // the usual step from place to place
	for i := 1; i < n; i++ {
		if d := r2.Norm(r2.Sub(p.Rim[i].At, p.Rim[i-1].At)); pitch == 0 || d < pitch {
			pitch = d
		}
	}
	joined := func(i, j int) bool { // neighbours that are alike
		return states[i] == states[j] && r2.Norm(r2.Sub(p.Rim[i].At, p.Rim[j].At)) < 1.5*pitch
	}
	first := 0 // where a stretch begins, unless all of the rim is one
	for first < n && joined(first, (first+n-1)%n) {
		first++
	}
	whole := n > 1 && first == n
	for k := 0; k < n; {
		from := (first + k) % n
		worst, least, places := from, values[from], 1
		for k++; k < n && joined((first+k)%n, (first+k-1)%n); k++ {
			i := (first + k) % n
			places++
			least = min(least, values[i])
			if values[i] > values[worst] {
				worst = i
			}
		}
		s := states[from]
		if s.kind < 0 || float64(places)*pitch <= narrowRim {
			continue
		}
		f := Finding{
			Kind: s.kind, At: [3]float64{p.Rim[worst].At.X, p.Rim[worst].At.Y, heights[worst]},
			Size: [3]float64{rimShown, rimShown, values[worst]}, Measure: OfPit,
			Value: values[worst], Limit: padRelief, Length: float64(places) * pitch, Meant: s.meant,
		}
		if s.kind == RaisedStand {
			f.Measure = OfDrop
		}
		if s.kind == RaisedStand && whole && f.Value-least <= padRelief && f.Value <= plinth*p.Round {
			f.Meant = true
		}
		found = append(found, f)
	}
	return found
}

// beside gives how much solid there is at a place between the top of a pad and the
// height that it is clear to, the middle of the lowest of that, and the height that the
// solid under it reaches, mm.
func beside(x *tree.Index, at r2.Vec, p Pad) (over, middle, top float64) {
	l := x.Levels(at)
	for n := 0; n+1 < len(l); n += 2 { // solid from one level to the next
		from, to := max(l[n].Z, p.Top), min(l[n+1].Z, p.Top+p.Clear)
		if to > from {
			if over == 0 {
				middle = (from + to) / 2
			}
			over += to - from
		}
		if l[n].Z <= p.Top {
			top = min(l[n+1].Z, p.Top)
		}
	}
	return over, middle, top
}
