package deck

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Bitten is the slab broken in chunks, farther out below, where its cover comes off, and
// what carries it.
func (d *Deck) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := d.settled(s)
	slab := d.slab(s, z)
	if e := d.edge(s, z); e != nil {
		slab = sdf.Union(slab, e)
	}
	high := d.Level.Height + z.upstand + 1
	size := fracture.Size(s, z.thickness, bites)
	if d.On == "solid" {
		b := fracture.Break{Work: slab, Box: d.boxed(z, z.foot, high), Size: fracture.Even(size), Inset: stepIn * size,
			Held: func(p r3.Vec) bool { return p.Z < z.foot+size }}
		return []parts.Remains{{Work: slab, Taken: fracture.Split(b.Taken(bites), bites)}}
	}
	whole := fracture.Break{Work: slab, Box: d.boxed(z, z.soffit-1, high), Size: fracture.Even(size), Inset: stepIn * size}
	cover := fracture.Break{Work: slab, Box: d.boxed(z, z.soffit-1, z.soffit+z.thickness*coverShare), Size: fracture.Even(1.3 * size), Inset: stepIn*size - z.thickness}
	taken := whole.Taken(bites)
	for i, f := range cover.Taken(bites) {
		taken[i] = fracture.Together(taken[i], f)
	}
	carriers := d.carriers(s, z)
	piers := fracture.Break{Work: carriers, Box: d.boxed(z, z.foot, z.soffit+1), Size: fracture.Even(max(size, z.side/2)),
		Held: func(p r3.Vec) bool { return p.Z < z.foot+max(size, z.side/2) }}
	return []parts.Remains{{Work: slab, Taken: fracture.Split(taken, bites)}, {Work: carriers, Taken: piers.Taken(bites)}}
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
