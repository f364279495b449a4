package sdf

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

const (
	// mostCells bounds the cells along a side of the box that volumes are taken in.
	mostCells = 1 << 14
	// volumeShared is how many cubes there are before they are dealt out whole.
	volumeShared = 256
)

// VolumeBetween tells two solids apart within a box: added is the volume that b
// fills and a does not, removed what a fills and b does not, in mm3. Where the two
// fields have the same value, unchanged ground, they add nothing at all: of a solid
// and itself it gives 0 and 0; of a solid and its Difference with others, 0 added.
// Swapping a and b swaps the results to the bit.
//
// The box is halved down to cells of at most the given edge, mm. What the distance
// decides is counted whole, and where both fields are planes their share of a box of
// any size is exact. A cell that is left takes both surfaces as flat, from value and
// gradient at its middle: as the true gradient is used, fields that rise more slowly
// than the distance do no harm, and two surfaces that lie closer together than a
// cell are told apart all the same, each by its own plane. The error falls with the
// square of the cell: under (cell/2R)^2 of a ball of radius R, and under cell^2/8 mm3
// for each mm of a crease. What has both its faces within one cell may come out too
// thick or too thin.
//
// The result is the same for any GOMAXPROCS. It fails where the box or the cell is
// none, where a side has more than 16384 cells, and with the error of ctx.
func VolumeBetween(ctx context.Context, a, b Field, box r3.Box, cell float64) (added, removed float64, err error) {
	v, err := measureVolumes(ctx, a, b, box, cell)
	return v.added, v.removed, err
}

func measureVolumes(ctx context.Context, a, b Field, box r3.Box, cell float64) (volumes, error) {
	size := r3.Sub(box.Max, box.Min)
	most := max(size.X, size.Y, size.Z)
	switch {
	case !(cell > 0) || math.IsInf(cell, 0):
		return volumes{}, fmt.Errorf("sdf: volumes by cells of %v mm: a length above 0 is wanted", cell)
	case !(size.X >= 0 && size.Y >= 0 && size.Z >= 0) || math.IsInf(most, 0) || math.IsNaN(most):
		return volumes{}, fmt.Errorf("sdf: the volume within %v is none: a box with limits is wanted", box)
	case most > mostCells*cell:
		return volumes{}, fmt.Errorf("sdf: volumes by cells of %v mm in a box of %v mm: at most %d cells a side", cell, most, mostCells)
	}
	var sum volumes
	if size.X == 0 || size.Y == 0 || size.Z == 0 {
		return sum, ctx.Err()
	}
	level := []volumeCube{{box: box, a: a, b: b}}
	for len(level) > 0 && len(level) < volumeShared {
		opened := make([]volumes, len(level))
		next := make([][]volumeCube, len(level))
		err := workers.ForEach(ctx, len(level), func(_, i int) error {
			next[i] = level[i].open(cell, &opened[i])
			return nil
		})
		if err != nil {
			return volumes{}, err
		}
		level = level[:0:0]
		for i := range next {
			sum.add(opened[i])
			level = append(level, next[i]...)
		}
	}
	all := make([]volumes, len(level))
	err := workers.ForEach(ctx, len(level), func(_, i int) error {
		level[i].descend(ctx, cell, &all[i])
		return nil
	})
	if err != nil {
		return volumes{}, err
	}
	for _, v := range all { // in order, whoever did them
		sum.add(v)
	}
	return sum, nil
}

// volumes are sums over cells.
type volumes struct {
	added, removed float64 // mm3
	looks          int64   // at either field
	cells          int64   // that were taken as flat
}

func (v *volumes) add(w volumes) {
	v.added += w.added
	v.removed += w.removed
	v.looks += w.looks
	v.cells += w.cells
}

// volumeCube is a box of the descent, with what the two fields are in it.
type volumeCube struct {
	box  r3.Box
	a, b Field
}

// filled is what a field is in a box that it fills; in one that is clear of it, it is
// Nothing.
type filled struct{ nothing }

func (filled) Value(r3.Vec) float64              { return -farAway }
func (filled) Gradient(r3.Vec) (float64, r3.Vec) { return -farAway, r3.Vec{} }
func (f filled) Prune(Ball) Field                { return f }

// decided simplifies a field for a ball; it looks once at what is not settled yet.
func (v *volumes) decided(f Field, ball Ball) Field {
	switch f.(type) {
	case nothing, filled:
		return f
	}
	v.looks++
	d, reach := f.Value(ball.C), ball.R+slack // a field's own Lipschitz may cost more than its value
	switch {
	case d > reach:
		return Nothing()
	case d < -reach:
		return filled{}
	}
	return f.Prune(ball)
}

// open settles a box, or gives what it is halved into.
func (n *volumeCube) open(cell float64, sum *volumes) []volumeCube {
	ball := BoxBall(n.box)
	size := r3.Sub(n.box.Max, n.box.Min)
	long := max(size.X, size.Y, size.Z)
	if n.a == n.b {
		return nil
	}
	if long <= cell*(1+1e-9) {
		sum.flat(n, ball.C)
		return nil
	}
	a, b := sum.decided(n.a, ball), sum.decided(n.b, ball)
	if a == b || long <= alikeAcross && 2*long > alikeAcross && alike(a, b) {
		return nil
	}
	pa, flat := planeOf(a, ball.C)
	pb, flat2 := planeOf(b, ball.C)
	if flat && flat2 {
		sum.between(pa, pb, n.box)
		return nil
	}
	parts := [8]r3.Box{n.box}
	count := 1
	for axis, s := range [3]float64{size.X, size.Y, size.Z} {
		if s <= long/2 || s <= cell*(1+1e-9) {
			continue
		}
		for i := range count {
			parts[i], parts[count+i] = halved(parts[i], axis)
		}
		count *= 2
	}
	out := make([]volumeCube, count)
	for i := range out {
		out[i] = volumeCube{box: parts[i], a: a, b: b}
	}
	return out
}

const (
	// alikeAcross is the size of the boxes, mm, in which the two fields are looked at for
	// being made alike: once on the way down, since that costs as much as some hundred
	// values.
	alikeAcross = 6.0
	// alikeCost is the most primitives that are worth it.
	alikeCost = 400
)

// alike says whether two fields are made alike, so that there is nothing between them.
func alike(a, b Field) bool {
	if a.Cost() != b.Cost() || a.Cost() > alikeCost {
		return false
	}
	da, err := DigestOf(a)
	if err != nil {
		return false
	}
	db, err := DigestOf(b)
	return err == nil && da == db
}

// halved cuts a box in two across an axis.
func halved(b r3.Box, axis int) (lower, upper r3.Box) {
	lower, upper = b, b
	switch axis {
	case 0:
		m := (b.Min.X + b.Max.X) / 2
		lower.Max.X, upper.Min.X = m, m
	case 1:
		m := (b.Min.Y + b.Max.Y) / 2
		lower.Max.Y, upper.Min.Y = m, m
	default:
		m := (b.Min.Z + b.Max.Z) / 2
		lower.Max.Z, upper.Min.Z = m, m
	}
	return lower, upper
}

// descend settles a box and all that it is halved into.
func (n *volumeCube) descend(ctx context.Context, cell float64, sum *volumes) {
	if ctx.Err() != nil {
		return
	}
	parts := n.open(cell, sum)
	for i := range parts {
		parts[i].descend(ctx, cell, sum)
	}
}

// plane is a field taken as flat about a place: its value there, and its gradient.
type plane struct {
	at r3.Vec
	d  float64
	g  r3.Vec
}

func (p *plane) value(q r3.Vec) float64 { return p.d + dot(p.g, r3.Sub(q, p.at)) }

// planeOf gives the plane that a simplified field is; ok is false where it is none.
func planeOf(f Field, at r3.Vec) (p plane, ok bool) {
	switch f := f.(type) {
	case nothing, filled:
		return plane{at: at, d: f.Value(at)}, true
	case Planar:
		n, d, ok := f.Plane()
		return plane{at: at, d: dot(n, at) - d, g: n}, ok
	}
	return plane{}, false
}

// flat takes both fields as planes in a cell. Where they have the same value in the
// middle they are taken as one: on unchanged ground they are, though at a ridge each
// field may give the gradient of another side. Otherwise the cell counts for the solid
// that is the deeper there, so that at the lip of a hole, where planes cross that the
// surfaces do not follow, a hole adds nothing. Only where two solids lie face to face
// does each have its side of the cell.
func (v *volumes) flat(n *volumeCube, at r3.Vec) {
	v.cells++
	look := func(f Field) plane {
		switch f.(type) {
		case nothing, filled:
		default:
			v.looks++
		}
		d, g := f.Gradient(at)
		return plane{at: at, d: d, g: g}
	}
	a, b := look(n.a), look(n.b)
	switch {
	case math.Abs(a.d-b.d) <= slack:
	case v.faceToFace(n, a, b):
		v.between(a, b, n.box)
	case b.d < a.d:
		v.added += wedge(b, a, n.box)
	default:
		v.removed += wedge(a, b, n.box)
	}
}

// facing is the cosine from which two surfaces are taken to look at one another.
const facing = -0.7

// faceToFace tells whether two surfaces in a cell look at one another, with each solid
// on its own side. It looks at the far side of where the planes meet, for the other
// solid to be the deeper there: of a solid and what is left of it that is never so.
func (v *volumes) faceToFace(n *volumeCube, a, b plane) bool {
	if dot(a.g, b.g) >= facing*norm(a.g)*norm(b.g) {
		return false
	}
	g := r3.Sub(a.g, b.g)
	u, half := unit(g, V(0, 0, 1)), r3.Scale(0.5, r3.Sub(n.box.Max, n.box.Min))
	edge := math.Inf(1) // of the cell, from the middle
	for _, e := range [3][2]float64{{half.X, u.X}, {half.Y, u.Y}, {half.Z, u.Z}} {
		if e[1] != 0 {
			edge = min(edge, e[0]/math.Abs(e[1]))
		}
	}
	meet := (b.d - a.d) / norm(g)
	if math.Abs(meet) >= edge {
		return false
	}
	beyond := r3.Add(a.at, r3.Scale(max(-edge, min(edge, 2*meet)), u))
	v.looks += 2
	va, vb := n.a.Value(beyond), n.b.Value(beyond)
	if b.d < a.d {
		return va < vb-slack
	}
	return vb < va-slack
}

// between adds what two planes have to themselves of a box; none of it where they are
// one but for rounding.
func (v *volumes) between(a, b plane, box r3.Box) {
	if math.Abs(a.d-b.d)+norm(r3.Sub(a.g, b.g))*norm(r3.Sub(box.Max, box.Min)) <= slack {
		return
	}
	v.added += wedge(b, a, box)
	v.removed += wedge(a, b, box)
}
