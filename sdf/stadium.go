package sdf

// Stadium is a rectangle with half-round ends about the origin: long mm over
// the ends, along x, and short mm across; where long is the lesser, the ends are
// along y. Of a size not above zero, the empty shape. Is exact.
func Stadium(long, short float64) Shape {
	return Rectangle(long, short, min(long, short)/2)
}
