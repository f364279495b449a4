package deck

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Broken is the slab broken in chunks, farther out below, where its cover comes off, and
// what carries it.
func (d *Deck) Broken(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := d.settled(s)
	slab := d.slab(s, z)
	if e := d.edge(s, z); e != nil {
		slab = sdf.Union(slab, e)
	}
	high := d.Level.Height + z.upstand + 1
	size := fracture.Size(s, z.thickness, bites)
	if d.On == "solid" {
		b := fracture.Break{Work: slab, Box: d.boxed(z, z.foot, high), Size: size, Inset: stepIn * size, Footed: true}
		return []parts.Remains{{Work: slab, Taken: split(b.Taken(bites), bites)}}
	}
	whole := fracture.Break{Work: slab, Box: d.boxed(z, z.soffit-1, high), Size: size, Inset: stepIn * size}
	cover := fracture.Break{Work: slab, Box: d.boxed(z, z.soffit-1, z.soffit+z.thickness*coverShare), Size: 1.3 * size, Inset: stepIn*size - z.thickness}
	taken := whole.Taken(bites)
	for i, f := range cover.Taken(bites) {
		taken[i] = together(taken[i], f)
	}
	carriers := d.carriers(s, z)
	piers := fracture.Break{Work: carriers, Box: d.boxed(z, z.foot, z.soffit+1), Size: max(size, z.side/2), Footed: true}
	return []parts.Remains{{Work: slab, Taken: split(taken, bites)}, {Work: carriers, Taken: piers.Taken(bites)}}
}

const (
	// stepIn is how much farther in than the bite a slab ends, in chunks: what is laid
	// on it ends farther out. Common practice, no source.
	stepIn = 0.15
	// coverShare is how much of a slab's thickness comes off below beyond its edge.
	coverShare = 0.4
)

// boxed holds the deck between two heights.
func (d *Deck) boxed(z *layout, low, high float64) r3.Box {
	b := planar.GrownBox(d.Area.Bounds(), z.kerb+0.1)
	return r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, low), Max: sdf.V(b.Max.X, b.Max.Y, high)}
}

// split adds the slits of bites to what they take.
func split(taken []sdf.Field, bites []parts.Bite) []sdf.Field {
	for i := range bites {
		taken[i] = together(taken[i], bites[i].Slits)
	}
	return taken
}

// together is two fields as one, either of which may be nil.
func together(a, b sdf.Field) sdf.Field {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return sdf.Union(a, b)
}
