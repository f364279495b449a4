package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// wedge is the volume of a box where one plane's value is below 0 and another's is
// not, mm3. Is exact, to rounding.
func wedge(in, out plane, box r3.Box) float64 {
	var corners [8]wedgePoint
	mostIn, leastIn := math.Inf(-1), math.Inf(1)
	mostOut, leastOut := math.Inf(-1), math.Inf(1)
	for k := range corners {
		p := box.Min
		if k&1 != 0 {
			p.X = box.Max.X
		}
		if k&2 != 0 {
			p.Y = box.Max.Y
		}
		if k&4 != 0 {
			p.Z = box.Max.Z
		}
		c := wedgePoint{p: p, in: in.value(p), out: -out.value(p)}
		mostIn, leastIn = max(mostIn, c.in), min(leastIn, c.in)
		mostOut, leastOut = max(mostOut, c.out), min(leastOut, c.out)
		corners[k] = c
	}
	size := r3.Sub(box.Max, box.Min)
	whole := size.X * size.Y * size.Z
	switch {
	case leastIn >= 0 || leastOut >= 0:
		return 0
	case mostIn <= 0 && mostOut <= 0:
		return whole
	}
	// Six tetrahedra about the long diagonal fill the box.
	sum := 0.0
	for _, t := range [6][2]int{{1, 3}, {3, 2}, {2, 6}, {6, 4}, {4, 5}, {5, 1}} {
		sum += tetra{corners[0], corners[t[0]], corners[t[1]], corners[7]}.below(0)
	}
	return sum
}

// wedgePoint is a point with two values that are linear in space.
type wedgePoint struct {
	p       r3.Vec
	in, out float64
}

func (a *wedgePoint) value(which int) float64 {
	if which == 0 {
		return a.in
	}
	return a.out
}

// crossing is where the value is 0 between a point below it and one that is not.
func (a *wedgePoint) crossing(b *wedgePoint, which int) wedgePoint {
	v, w := a.value(which), b.value(which)
	t := v / (v - w)
	return wedgePoint{
		p:   r3.Add(a.p, r3.Scale(t, r3.Sub(b.p, a.p))),
		in:  a.in + t*(b.in-a.in),
		out: a.out + t*(b.out-a.out),
	}
}

type tetra [4]wedgePoint

func (t tetra) volume() float64 {
	a, b, c := r3.Sub(t[1].p, t[0].p), r3.Sub(t[2].p, t[0].p), r3.Sub(t[3].p, t[0].p)
	return math.Abs(r3.Dot(a, r3.Cross(b, c))) / 6
}

// below is the volume of what lies below 0 by the values from which on.
func (t tetra) below(which int) float64 {
	if which == 2 {
		return t.volume()
	}
	var in, out [4]int
	ins, outs := 0, 0
	for i := range t {
		if t[i].value(which) < 0 {
			in[ins] = i
			ins++
		} else {
			out[outs] = i
			outs++
		}
	}
	cut := func(i, o int) wedgePoint { return t[i].crossing(&t[o], which) }
	// A prism is three tetrahedra.
	prism := func(a, b, c, d, e, f wedgePoint) float64 {
		return tetra{a, b, c, d}.below(which+1) + tetra{b, c, d, e}.below(which+1) + tetra{c, d, e, f}.below(which+1)
	}
	switch ins {
	case 0:
		return 0
	case 4:
		return t.below(which + 1)
	case 1:
		i := in[0]
		return tetra{t[i], cut(i, out[0]), cut(i, out[1]), cut(i, out[2])}.below(which + 1)
	case 3:
		o := out[0]
		return prism(t[in[0]], t[in[1]], t[in[2]], cut(in[0], o), cut(in[1], o), cut(in[2], o))
	}
	i, j, o, p := in[0], in[1], out[0], out[1]
	return prism(t[i], cut(i, o), cut(i, p), t[j], cut(j, o), cut(j, p))
}
