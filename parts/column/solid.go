package column

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// Solid is all columns, let into what they stand on.
func (c *Column) Solid(s *parts.Site) sdf.Field {
	rng := s.Rand(c.Name, c.Seed, "columns")
	z := c.settled(s)
	var solids []sdf.Field
	texture := s.Rand(c.Name, c.Seed, "surface").Uint64()
	for i, at := range c.At {
		solids = append(solids, c.one(s, rng, at, z, drumSeed(texture, i)))
	}
	return sdf.Union(solids...)
}

// one is a single column at a point of the plan, random in its break alone.
func (c *Column) one(s *parts.Site, rng *rand.Rand, at r2.Vec, z *sizes, texture uint64) sdf.Field {
	r, level := z.foot/2, c.Level.Height
	head, depth := z.head/2, z.fluteDepth
	reach := r * 1.4
	plan := []r2.Vec{
		{X: at.X - reach, Y: at.Y - reach}, {X: at.X + reach, Y: at.Y - reach},
		{X: at.X + reach, Y: at.Y + reach}, {X: at.X - reach, Y: at.Y + reach},
	}
	foot := s.BearingUnder(level, plan)
	z0, z1 := level+z.base, level+c.Height-z.capital

	shaft := lift(sdf.Cone(r, head, z1-z0), z0)
	if z.flutes > 0 {
		width := math.Pi * z.foot / float64(z.flutes) * 2 / 3
		fr := (width*width/4 + depth*depth) / (2 * depth) // of a circle with that chord and depth
		fr = max(depth, min(fr, width))
		stop := min(r*0.4, (z1-z0)*0.1) // flutes end short of the mouldings
		var grooves []sdf.Field
		for i := range z.flutes {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(z.flutes))
			out := func(radius, z float64) (p [3]float64) {
				return [3]float64{cos * (radius - depth + fr), sin * (radius - depth + fr), z}
			}
			a, b := out(r, z0+stop), out(head, z1-stop)
			grooves = append(grooves, sdf.Capsule(sdf.V(a[0], a[1], a[2]), sdf.V(b[0], b[1], b[2]), fr))
		}
		shaft = sdf.Difference(shaft, grooves...)
	}
	whole := []sdf.Field{relief.Carve(shaft, c.drums(s, z, texture, z0))}
	// Drawn for a whole column too, so that breaking one moves no other.
	lost, a, b, turn := 0.6+0.4*rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()*360
	if c.Broken == 0 && z.capital > 0 {
		whole = append(whole, c.capital(head, z1, level+c.Height, 1.02*s.Print.Wall))
	}
	standing := sdf.Union(whole...)
	if c.Broken > 0 {
		high := z0 + 0.15*r + (z1-z0)*(1-c.Broken*lost)
		face := func(lean, turn float64) sdf.Field {
			normal := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.Turn(sdf.V(0, 1, 0), lean).Rotate(sdf.V(0, 0, 1)))
			return sdf.HalfSpace(normal, normal.Z*high)
		}
		// A break is two or three faces that meet in a ridge or a notch.
		broken := sdf.Union(face(20+25*a, turn), sdf.Intersection(face(30+25*b, turn+140), face(25+20*a, turn+250)))
		standing = sdf.Intersection(standing, broken, sdf.HalfSpace(sdf.V(0, 0, 1), level+c.Height))
	}
	return sdf.Place(sdf.Union(standing, c.base(r, foot, level, z0)), sdf.At(sdf.V(at.X, at.Y, 0)))
}

// lift sets a solid that stands on z = 0 at a height.
func lift(f sdf.Field, z float64) sdf.Field { return sdf.Place(f, sdf.At(sdf.V(0, 0, z))) }

// barrel is a cylinder about the axis between two heights.
func barrel(radius, low, high float64) sdf.Field {
	return lift(sdf.Cylinder(radius, high-low, 0), low)
}

// squareBlock is a square block about the axis between two heights, its edges eased.
func squareBlock(side, low, high, ease float64) sdf.Field {
	return sdf.BoxEased(sdf.V(-side/2, -side/2, low), sdf.V(side/2, side/2, high), ease)
}

// base is the plinth and its mouldings from below the level up to the shaft; a
// shaft without a base goes down by itself. The radius r is that of the shaft's foot.
func (c *Column) base(r, foot, level, top float64) sdf.Field {
	h := top - level
	switch c.Base {
	case "none":
		return barrel(r*0.99, foot, level+0.1)
	case "plinth":
		return sdf.Union(
			squareBlock(2.6*r, foot, top, min(0.15, h/6)),
			barrel(r*0.9, top-h/2, top+h/2))
	}
	plinth := level + h*0.4
	lower, upper := h*0.2, h*0.12 // radii of the two rolls of an Attic base
	return sdf.Union(
		squareBlock(2.7*r, foot, plinth, min(0.12, h/8)),
		barrel(r*1.06, level, top),
		barrel(r*0.9, top-h/2, top+h/2),
		roll(r*1.32-lower, lower, plinth+lower*0.95),
		roll(r*1.14-upper, upper, top-upper*1.05),
	)
}

// roll is a torus moulding about the axis, solid to the middle.
func roll(ring, radius, z float64) sdf.Field {
	return sdf.Union(
		sdf.Place(sdf.Torus(ring, radius), sdf.At(sdf.V(0, 0, z))),
		barrel(ring, z-radius, z+radius),
	)
}

// capital is a spreading echinus under a square abacus, on a head of radius r. The abacus is
// no thinner than a wall of the print where the capital has room for that.
func (c *Column) capital(r, low, high, wall float64) sdf.Field {
	h := high - low
	abacus := high - max(h*0.42, min(h*0.7, wall))
	slab := squareBlock(2.6*r, abacus, high, min(0.1, h/10))
	if c.Capital == "plain" {
		return sdf.Union(slab, barrel(r*1.08, low, abacus+0.05), barrel(r*0.9, low-h/2, low+h/2))
	}
	necking := h * 0.08
	return sdf.Union(
		slab,
		lift(sdf.Cone(r*1.02, r*1.26, abacus-low+0.05), low),
		barrel(r*0.9, low-h/2, low+h/2),
		roll(r*1.1-necking, necking, low),
	)
}
