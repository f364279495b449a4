package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// smoothUnion joins parts with a fillet. Its value v is the solution of
//
//	sum over parts of max(0, 1 - (d_i - v)/k)^2 = 1
//
// One part alone gives v = d. A part with d_i >= v + k adds nothing at all, so
// dropping it changes no bit. By the implicit function theorem dv/dd_i is
// w_i / sum w, w_i = max(0, 1 - (d_i - v)/k): the weights are not negative and sum
// to one, so v is as Lipschitz as its parts. Two equal parts dip by
// k(1 - 1/sqrt 2) = 0.293 k, n by k(1 - 1/sqrt n) < k. All parts are alike: the order
// does not matter but for rounding, and rounding follows the sorted order.
type smoothUnion struct {
	parts     []Field
	k         float64
	bounds    r3.Box
	tightness float64
	lipschitz float64
	cost      int
}

// SmoothUnion joins parts with a fillet of radius about k mm where they meet
// within k of each other; k <= 0 is the hard Union. Is a lower bound.
func SmoothUnion(k float64, parts ...Field) Field {
	if !(k > 0) {
		return Union(parts...)
	}
	kept := make([]Field, 0, len(parts))
	for _, p := range parts {
		if _, none := p.(nothing); !none {
			kept = append(kept, p)
		}
	}
	if len(kept) < 2 {
		return Union(kept...)
	}
	s := &smoothUnion{k: k, parts: kept, bounds: kept[0].Bounds(), tightness: 1}
	for _, p := range kept {
		s.bounds = boxUnion(s.bounds, p.Bounds())
		s.tightness = math.Min(s.tightness, p.Tightness())
		s.lipschitz = math.Max(s.lipschitz, p.Lipschitz())
		s.cost += p.Cost()
	}
	// The fillet reaches beyond the parts' boxes by at most k/tightness. Outside
	// the grown box every d_i >= t*(distance to its box) >= t*(D + k/t), D the
	// distance to the grown box, so v > min - k >= t*D.
	s.bounds = boxGrow(s.bounds, k/s.tightness)
	return s
}

// SmoothIntersection is what all parts share, with edges eased over k mm;
// k <= 0 is the hard Intersection. Is a lower bound.
func SmoothIntersection(k float64, parts ...Field) Field {
	if !(k > 0) || len(parts) < 2 {
		return Intersection(parts...)
	}
	hard := Intersection(parts...)
	out := make([]Field, len(parts))
	for i, p := range parts {
		if _, none := p.(nothing); none {
			return p
		}
		out[i] = Complement(p)
	}
	// The hard intersection has the right bounds: easing only takes away.
	return &bounded{f: Complement(SmoothUnion(k, out...)), bounds: hard.Bounds(), tightness: hard.Tightness()}
}

// SmoothDifference is a solid with others taken away, the inner edges filled over
// k mm; k <= 0 is the hard Difference. Is a lower bound.
func SmoothDifference(k float64, from Field, take ...Field) Field {
	t := SmoothUnion(k, take...)
	if _, none := t.(nothing); none {
		return from
	}
	return SmoothIntersection(k, from, Complement(t))
}

type candidate struct {
	d float64
	i int
}

// active finds v and the parts with a weight.
func (s *smoothUnion) active(p r3.Vec, room []candidate) (v float64, on []candidate) {
	least := math.Inf(1)
	for i, f := range s.parts {
		d := f.Value(p)
		if d > least+s.k {
			continue
		}
		least = math.Min(least, d)
		// Insertion keeps them sorted by value, equal values by number.
		room = append(room, candidate{d, i})
		for j := len(room) - 1; j > 0 && room[j].d < room[j-1].d; j-- {
			room[j], room[j-1] = room[j-1], room[j]
		}
	}
	// With n parts on: n u^2 + 2 A u + B - 1 = 0 for u = v/k, where A = sum (1 - d_i/k)
	// and B = sum (1 - d_i/k)^2; of the two roots the greater. Values are taken
	// relative to the least, which keeps the figures small.
	v = room[0].d
	n, a, b := 0.0, 0.0, 0.0
	for j, c := range room {
		if c.d >= v+s.k {
			return v, room[:j]
		}
		e := 1 - (c.d-room[0].d)/s.k
		n, a, b = n+1, a+e, b+float64(e*e)
		if j > 0 {
			v = room[0].d + s.k*(math.Sqrt(math.Max(0, float64(a*a)-float64(n*(b-1))))-a)/n
		}
	}
	return v, room
}

func (s *smoothUnion) Value(p r3.Vec) float64 {
	var room [16]candidate
	v, _ := s.active(p, room[:0])
	return v
}

func (s *smoothUnion) Gradient(p r3.Vec) (float64, r3.Vec) {
	var room [16]candidate
	v, on := s.active(p, room[:0])
	var g r3.Vec
	sum := 0.0
	for _, c := range on {
		w := 1 - (c.d-v)/s.k
		_, h := s.parts[c.i].Gradient(p)
		g = r3.Add(g, r3.Scale(w, h))
		sum += w
	}
	return v, r3.Scale(1/sum, g)
}

func (s *smoothUnion) Bounds() r3.Box     { return s.bounds }
func (s *smoothUnion) Lipschitz() float64 { return s.lipschitz }
func (s *smoothUnion) Tightness() float64 { return s.tightness }
func (s *smoothUnion) Cost() int          { return s.cost }

// Prune keeps what can have a weight somewhere in the ball: d_i < v + k <= min + k
// there, and each side moves by at most the radius. One part left alone is v.
func (s *smoothUnion) Prune(b Ball) Field {
	values := make([]float64, 0, 16)
	least := math.Inf(1)
	for _, f := range s.parts {
		d := f.Value(b.C)
		values = append(values, d)
		least = math.Min(least, d)
	}
	kept := make([]Field, 0, len(s.parts))
	changed := false
	for i, f := range s.parts {
		if values[i] > least+s.k+2*b.R+slack {
			changed = true
			continue
		}
		g := f.Prune(b)
		changed = changed || g != f
		kept = append(kept, g)
	}
	switch {
	case !changed:
		return s
	case len(kept) == 1:
		return kept[0]
	}
	out := *s
	out.parts, out.cost = kept, 0
	for _, p := range kept {
		out.cost += p.Cost()
	}
	return &out
}

// bounded is a field whose bounds are known better than it knows itself.
type bounded struct {
	f         Field
	bounds    r3.Box
	tightness float64
}

func (b *bounded) Value(p r3.Vec) float64              { return b.f.Value(p) }
func (b *bounded) Gradient(p r3.Vec) (float64, r3.Vec) { return b.f.Gradient(p) }
func (b *bounded) Bounds() r3.Box                      { return b.bounds }
func (b *bounded) Lipschitz() float64                  { return b.f.Lipschitz() }
func (b *bounded) Tightness() float64                  { return b.tightness }
func (b *bounded) Cost() int                           { return b.f.Cost() }
func (b *bounded) Prune(ball Ball) Field               { return b.f.Prune(ball) }
