package parts

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"

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
func topFaults(p Piece) []Fault {
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
	return []Fault{{Part: b.Name, Key: "top",
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
	size := r3.Sub(box.Max, box.Min)
	upper, lower := box, box
	switch {
	case size.X <= topCell && size.Y <= topCell && size.Z <= topCell:
		return r3.Vec{}, false
	case size.Z >= size.X && size.Z >= size.Y:
		upper.Min.Z, lower.Max.Z = ball.C.Z, ball.C.Z
	case size.X >= size.Y:
		upper.Min.X, lower.Max.X = ball.C.X, ball.C.X
	default:
		upper.Min.Y, lower.Max.Y = ball.C.Y, ball.C.Y
	}
	f = f.Prune(ball)
	if at, found := solidIn(f, upper); found {
		return at, true
	}
	return solidIn(f, lower)
}
