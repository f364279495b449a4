package stair

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

const (
	// flatBack is the share of the going up to which a tread is flat from its back, and
	// mostFlat the most of it, mm: there its height is measured, as wear runs out there too.
	flatBack, mostFlat = 0.32, 1.6
	// stepLong is the length of the stones of a step, full-size mm. Common practice, no source.
	stepLong = 1600.0
	// drafted is how wide the nosing of a tread and the edges of a riser are left flat,
	// least gaps of the print.
	drafted = 1.0
)

// faced cuts the dish of tread i into a step, and its texture: into its top, from behind the
// nosing to where wear runs out, and into its riser.
func (b *builder) faced(i int, tread sdf.Field, riser bool) sdf.Field {
	l, s := b.l, b.s
	word := b.st.Surface
	if word == surface.Plain {
		return sdf.Intersection(tread, b.level(i))
	}
	y, top := float64(i)*l.Going-l.Nosing, l.TreadTop(i)
	margin := drafted * s.Print.Gap
	seed := b.seed + uint64(2*i)
	piece := surface.Piece{Seed: seed, Half: r2.Vec{X: b.half, Y: l.Going / 2}, Worn: b.st.Wear, Most: min(0.25*l.Riser, 0.3)}
	joints := b.joints(i, word, piece.Most)
	onTop := relief.Deepest(surface.Laid(piece.Face(s, word), 0, sdf.V(0, y+l.Going/2, 0)), joints)
	out := sdf.Intersection(tread, relief.Carve(b.level(i), relief.Band(onTop, y+margin, y+l.Going-min(flatBack*l.Going, mostFlat), 0.5)))
	if !riser || l.Riser < 4*margin {
		return out
	}
	piece.Seed, piece.Worn = seed+1, 0
	front := relief.Band(relief.Deepest(surface.Laid(piece.Face(s, word), 0, sdf.V(0, top, 0)), joints), top-l.Riser+0.3*margin, top-margin, 0.5)
	// Its plane stands up: the relief's x along the riser, its y upward.
	front = relief.Place(front, sdf.Turn(sdf.V(1, 0, 0), 90))
	return sdf.Intersection(out, relief.Carve(sdf.HalfSpace(sdf.V(0, -1, 0), -y), front))
}

// joints are those between the stones of step i; nil where it is not of stone.
func (b *builder) joints(i int, word string, deep float64) relief.Relief {
	long := max(b.s.OnPrint(stepLong), 12*b.s.Print.Gap)
	switch word {
	case surface.Rubbed, surface.Tooled, surface.RockFaced:
		return relief.NewGrooves(b.seed, long, b.s.Print.Gap, min(deep, b.s.Print.Relief), 1, 0.1*long).At(long * (0.3 + 0.5*float64(i%2)))
	}
	return nil
}
