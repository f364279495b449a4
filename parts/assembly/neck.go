package assembly

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// Neck is a place where a bit of a piece hangs by less than the printer can
// hold, in the piece's coordinates, mm.
type Neck struct {
	From, To r3.Vec // on either side of it, within the bit and within what it hangs on
	At       r3.Vec // its middle
	Width    float64
	Ways     int // in how many ways the bit is held, this one too; 0 where it is loose
}

// Braced gives the piece with a bar of a diameter, in mm, through every neck. The
// bars stay within the piece's outline and out of its hollow, its pockets and
// what is kept clear over its stands.
func (p Piece) Braced(s *parts.Site, necks []Neck, diameter float64) Piece {
	b := p.Base
	column := b.Column(p.berth.Footprint, p.Box.Max.Z)
	var bars []sdf.Field
	for _, n := range necks {
		bars = append(bars, brace(n, diameter))
	}
	f := sdf.Union(p.Field, sdf.Intersection(column, sdf.Union(bars...)))
	p.Field = b.Finished(s, f, column, b.Seating(s, p.berth.Spot))
	return p
}

// brace is the bar through one neck, a little further than its ends.
func brace(n Neck, diameter float64) sdf.Field {
	if r3.Norm(r3.Sub(n.To, n.From)) < 1e-6 {
		return sdf.Place(sdf.Sphere(diameter/2), sdf.At(n.At))
	}
	return sdf.Capsule(n.From, n.To, diameter/2)
}

// Severed gives the piece with every neck cut through, so that the bits come
// loose. A cut is a ball as wide as the thickness that a neck would have to have,
// least, in mm, and takes a little off what the bit hung on.
func (p Piece) Severed(necks []Neck, least float64) Piece {
	var cuts []sdf.Field
	for _, n := range necks {
		cuts = append(cuts, sdf.Place(sdf.Sphere(math.Max(n.Width, least)/2), sdf.At(n.At)))
	}
	p.Field = sdf.Difference(p.Field, cuts...)
	return p
}
