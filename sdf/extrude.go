package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// extruded is a shape raised from lo to hi, with a rounding that is added all
// round.
type extruded struct {
	s      Shape
	lo, hi float64
	round  float64
}

// Extrude raises a shape from z = lo to z = hi, mm, with sharp edges. Of the empty
// shape, or hi not above lo, Nothing. Is exact.
func Extrude(s Shape, lo, hi float64) Field {
	if isEmptyShape(s) || !positive(hi-lo) {
		return Nothing()
	}
	return &extruded{s: s, lo: lo, hi: hi}
}

// Prism is a polygon raised from z = lo to z = hi, mm; see Polygon and Extrude. Is
// exact.
func Prism(points []r2.Vec, lo, hi float64) Field { return Extrude(Polygon(points), lo, hi) }

func plan(p r3.Vec) r2.Vec { return r2.Vec{X: p.X, Y: p.Y} }

// solidBox is a box over a box in the plan.
func solidBox(b r2.Box, lo, hi float64) r3.Box {
	return r3.Box{Min: V(b.Min.X, b.Min.Y, lo), Max: V(b.Max.X, b.Max.Y, hi)}
}

func (e *extruded) Value(p r3.Vec) float64 {
	d, w := e.s.Distance(plan(p)), max(p.Z-e.hi, e.lo-p.Z)
	if d <= 0 || w <= 0 {
		return max(d, w) - e.round
	}
	return math.Sqrt(float64(d*d)+float64(w*w)) - e.round
}

func (e *extruded) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := e.s.Gradient(plan(p))
	w, up := p.Z-e.hi, 1.0
	if e.lo-p.Z > w {
		w, up = e.lo-p.Z, -1
	}
	if d <= 0 || w <= 0 {
		if d >= w {
			return d - e.round, V(g.X, g.Y, 0)
		}
		return w - e.round, V(0, 0, up)
	}
	l := math.Sqrt(float64(d*d) + float64(w*w))
	return l - e.round, V(d/l*g.X, d/l*g.Y, up*w/l)
}

func (e *extruded) Bounds() r3.Box     { return boxGrow(solidBox(e.s.Bounds(), e.lo, e.hi), e.round) }
func (e *extruded) Lipschitz() float64 { return 1 }
func (e *extruded) Tightness() float64 { return 1 }
func (e *extruded) Cost() int          { return 1 }

// Prune gives the wall alone, or one flat end alone, where the ball sees only
// that; else the solid over a simpler shape.
func (e *extruded) Prune(b Ball) Field {
	c, r := plan(b.C), b.R+slack
	d, top, foot := e.s.Distance(c), b.C.Z-e.hi, e.lo-b.C.Z
	w := max(top, foot)
	switch {
	case w < -r && d-r > w+r:
		return &wall{s: pruneShape(e.s, c, b.R), round: e.round}
	case d < -r && w-r > d+r && top-r > foot+r:
		return &level{at: e.hi, up: true, round: e.round}
	case d < -r && w-r > d+r && foot-r > top+r:
		return &level{at: e.lo, round: e.round}
	}
	if s := pruneShape(e.s, c, b.R); s != e.s {
		return &extruded{s: s, lo: e.lo, hi: e.hi, round: e.round}
	}
	return e
}

// wall is a shape raised without end.
type wall struct {
	s     Shape
	round float64
}

func (f *wall) Value(p r3.Vec) float64 { return f.s.Distance(plan(p)) - f.round }

func (f *wall) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := f.s.Gradient(plan(p))
	return d - f.round, V(g.X, g.Y, 0)
}

func (f *wall) Bounds() r3.Box {
	return boxGrow(solidBox(f.s.Bounds(), math.Inf(-1), math.Inf(1)), f.round)
}
func (f *wall) Lipschitz() float64 { return 1 }
func (f *wall) Tightness() float64 { return 1 }
func (f *wall) Cost() int          { return 1 }

func (f *wall) Prune(b Ball) Field {
	if s := pruneShape(f.s, plan(b.C), b.R); s != f.s {
		return &wall{s: s, round: f.round}
	}
	return f
}

func (f *wall) Plane() (r3.Vec, float64, bool) {
	n, d, ok := straight(f.s)
	return V(n.X, n.Y, 0), d + f.round, ok
}

// level is everything below a height, or above it, moved outward by round.
type level struct {
	at    float64
	up    bool // the outside is above
	round float64
}

func (f *level) Value(p r3.Vec) float64 {
	if f.up {
		return p.Z - f.at - f.round
	}
	return f.at - p.Z - f.round
}

func (f *level) Gradient(p r3.Vec) (float64, r3.Vec) {
	n, _, _ := f.Plane()
	return f.Value(p), n
}

func (f *level) Bounds() r3.Box {
	b := everywhere
	if f.up {
		b.Max.Z = f.at + f.round
	} else {
		b.Min.Z = f.at - f.round
	}
	return b
}

func (f *level) Lipschitz() float64 { return 1 }
func (f *level) Tightness() float64 { return 1 }
func (f *level) Cost() int          { return 1 }
func (f *level) Prune(Ball) Field   { return f }

func (f *level) Plane() (r3.Vec, float64, bool) {
	if f.up {
		return V(0, 0, 1), f.at + f.round, true
	}
	return V(0, 0, -1), f.round - f.at, true
}
