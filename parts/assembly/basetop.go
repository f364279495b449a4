package assembly

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/sdf"
)

const (
	// topPlay is how far above its top a piece may stand and still pass, mm: two
	// printed layers.
	topPlay = 0.1
	// topCell is the edge of the cells that the search for higher work ends at, mm.
	topCell = 0.2
)

// topFaults reports a piece that stands taller than its base allows.
func topFaults(p Piece) []parts.Fault {
	b := p.Base
	if b.Top == nil || p.Box.Max.Z <= *b.Top+topPlay {
		return nil
	}
	box := p.Box
	box.Min.Z = *b.Top + topPlay
	at, found := solidIn(p.Field, box)
	if !found {
		return nil
	}
	return []parts.Fault{{Part: b.Name, Key: "top",
		Text:    fmt.Sprintf("piece %q stands %.2f mm tall or more, at (%.1f, %.1f) from its middle", p.Name, at.Z, at.X, at.Y),
		Allowed: fmt.Sprintf("at most %g mm: raise top, lower lift, or move the base", *b.Top)}}
}

// solidIn finds a point of the solid within a box, the highest cells first; what
// is thinner than topCell may pass unseen. It halves the box and passes over what
// the distance rules out.
func solidIn(f sdf.Field, box r3.Box) (r3.Vec, bool) {
	ball := sdf.BoxBall(box)
	switch d := f.Value(ball.C); {
	case d < 0:
		return ball.C, true
	case d > ball.R:
		return r3.Vec{}, false
	}
	if size := r3.Sub(box.Max, box.Min); size.X <= topCell && size.Y <= topCell && size.Z <= topCell {
		return r3.Vec{}, false
	}
	upper, lower := halved(box)
	f = f.Prune(ball)
	if at, found := solidIn(f, upper); found {
		return at, true
	}
	return solidIn(f, lower)
}

// halved gives the halves of a box across its longest side, the upper one first.
func halved(box r3.Box) (upper, lower r3.Box) {
	size, middle := r3.Sub(box.Max, box.Min), r3.Scale(0.5, r3.Add(box.Min, box.Max))
	upper, lower = box, box
	switch {
	case size.Z >= size.X && size.Z >= size.Y:
		upper.Min.Z, lower.Max.Z = middle.Z, middle.Z
	case size.X >= size.Y:
		upper.Min.X, lower.Max.X = middle.X, middle.X
	default:
		upper.Min.Y, lower.Max.Y = middle.Y, middle.Y
	}
	return upper, lower
}

// topStep is what the top of a piece is rounded up to, mm, so that it seldom changes.
const topStep = 1.0

// topOver is a height, mm above the foot, that the scene on a footprint stays below,
// damaged or not, in whole steps. It hangs on nothing but what is there: what stands
// elsewhere may be taller, and change.
func (sc *Scene) topOver(b *base.Base, at *berth, pose sdf.Pose, zero float64) float64 {
	half := r2.Scale(0.5, at.Size)
	most := math.Min(math.Max(sc.Field.Bounds().Max.Z, sc.before.Bounds().Max.Z)-zero, tallest)
	room := 16.0 // in few sizes, so that it is halved alike
	for room < most {
		room *= 2
	}
	box := r3.Box{Min: sdf.V(-half.X, -half.Y, 0), Max: sdf.V(half.X, half.Y, room)}
	near := newNearby(pose, box)
	f := sdf.Intersection(b.Column(at.Footprint, box.Max.Z), sdf.Union(near.bring(sc.Field), near.bring(sc.before)))
	return highest(f.Prune(sdf.BoxBall(box)), box, 0)
}

// highest gives a height in a box that a solid stays below, to the next topStep over
// topCell, or found where that is higher. It asks too little of a field for pruning to
// pay on the way.
func highest(f sdf.Field, box r3.Box, found float64) float64 {
	ball := sdf.BoxBall(box)
	if box.Max.Z <= found || f.Value(ball.C) > ball.R {
		return found
	}
	if ball.R <= topCell {
		return topStep * math.Ceil(box.Max.Z/topStep)
	}
	upper, lower := halved(box)
	return highest(f, lower, highest(f, upper, found))
}
