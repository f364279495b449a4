package deck

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/parts/surface"
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
		b := fracture.Break{Work: slab, Box: d.boxed(z, z.foot, z.top), Size: fracture.Even(size), Inset: stepIn * size,
			Held: func(p r3.Vec) bool { return p.Z < z.foot+size }}
		remains := parts.Remains{Work: slab, Taken: fracture.Split(b.Taken(bites), bites)}
		return d.reinforced(s, remains, z, bites, b.Box)
	}
	box := d.boxed(z, z.soffit, z.top)
	through := fracture.Upright(bites, z.top)
	carriers := d.carriers(s, z)
	piers := parts.Remains{Work: carriers, Taken: fracture.Break{Work: carriers, Box: d.boxed(z, z.foot, z.soffit+0.3),
		Size: fracture.Even(max(size, z.side/2)),
		Held: func(p r3.Vec) bool { return p.Z < z.foot+max(size, z.side/2) }}.Taken(bites)}
	stand := piers.Left()
	carried := func(p r3.Vec) bool { return stand.Value(sdf.V(p.X, p.Y, z.soffit-0.2)) < 0 }
	var taken, more []sdf.Field
	switch d.Material {
	case "timber":
		taken = d.boards(s, z, high).Taken(through)
	case "plate":
		wide := math.Max(2*s.Print.Wall, size)
		taken = fracture.Break{Work: slab, Box: box, Size: fracture.Even(1.5 * wide), Held: carried}.Taken(through)
		t := fracture.Tongues{Box: box, Level: (z.top + z.soffit) / 2, Thick: math.Min(z.thickness, 1.3*s.Print.Wall), Width: wide}
		left := parts.Remains{Work: slab, Taken: taken}.Left()
		for i := range bites {
			more = append(more, t.Of(left, &through[i])...)
		}
	default:
		taken = fracture.Break{Work: slab, Box: box, Size: fracture.Even(size), Inset: stepIn * size, Held: carried}.Taken(through)
		over := parts.Remains{Work: slab, Taken: taken}.Left()
		gone := func(p r3.Vec) bool { // of the slab over the cover, or beside it
			return over.Value(sdf.V(p.X, p.Y, z.top-0.1*z.thickness)) > 0 || over.Value(sdf.V(p.X, p.Y, z.soffit+0.3*z.thickness)) > 0
		}
		cover := fracture.Break{Work: slab, Lost: gone, Far: size, Inset: stepIn*size - 0.6*z.thickness,
			Cap: true,
			Box: d.boxed(z, z.soffit-0.3, z.soffit+z.thickness*coverShare), Size: fracture.Even(1.3 * size)}
		for i, f := range cover.Taken(through) {
			if f != nil { // not over what carries it
				f = sdf.Difference(f, sdf.Offset(carriers, z.thickness*coverShare+0.3))
			}
			taken[i] = fracture.Together(taken[i], f)
		}
	}
	remains := d.reinforced(s, parts.Remains{Work: slab, Taken: fracture.Split(taken, bites)}, z, bites, box)
	remains = append(remains, piers)
	if len(more) > 0 {
		remains = append(remains, parts.Remains{Work: sdf.Union(more...), Taken: make([]sdf.Field, len(bites))})
	}
	return remains
}

// reinforced is what is left of a slab, with the ends of its bars where it is of concrete.
func (d *Deck) reinforced(s *parts.Site, slab parts.Remains, z *layout, bites []parts.Bite, box r3.Box) []parts.Remains {
	remains := []parts.Remains{slab}
	if d.Material != "concrete" {
		return remains
	}
	var bars []sdf.Field
	left := slab.Left()
	for i := range bites {
		bars = append(bars, fracture.MeshOf(s).Bars(slab.Work, left, z.soffit, z.top, &bites[i], box)...)
	}
	if len(bars) > 0 {
		remains = append(remains, parts.Remains{Work: sdf.Union(bars...), Taken: make([]sdf.Field, len(bites))})
	}
	return remains
}

// boards are those of a floor of timber, across the deck's longer side.
func (d *Deck) boards(s *parts.Site, z *layout, high float64) fracture.Boards {
	pose, half := d.frame()
	if half.Y > half.X {
		pose, half = sdf.Turn(sdf.V(0, 0, 1), 90).Then(pose), r2.Vec{X: half.Y, Y: half.X}
	}
	edge := z.kerb + 0.1
	return fracture.Boards{Frame: pose, Width: surface.BoardWidth(s),
		Box: r3.Box{Min: sdf.V(-half.X-edge, -half.Y-edge, z.soffit-1), Max: sdf.V(half.X+edge, half.Y+edge, high)}}
}

const (
	// stepIn is how much farther in than the bite a slab ends, in chunks: what is laid
	// on it ends farther out. Common practice, no source.
	stepIn = 0.1
	// coverShare is how much of a slab's thickness comes off below beyond its edge.
	coverShare = 0.4
)

// boxed holds the deck between two heights.
func (d *Deck) boxed(z *layout, low, high float64) r3.Box {
	b := d.Area.Bounds()
	if d.Edge == "nosing" {
		b = planar.GrownBox(b, z.kerb)
	}
	return r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, low), Max: sdf.V(b.Max.X, b.Max.Y, high)}
}
