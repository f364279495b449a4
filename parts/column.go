package parts

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Column is one column or a row of them: a shaft with flutes, base and capital,
// whole or broken off.
type Column struct {
	Named
	At       []r2.Vec `key:"at" type:"points" doc:"where columns stand" required:"yes"`
	Level    Level    `key:"level" type:"level" doc:"finished level that they stand on" required:"yes"`
	Height   float64  `key:"height" type:"height" doc:"height over all, base and capital included" required:"yes" min:"0.5" max:"500"`
	Diameter float64  `key:"diameter" type:"length" doc:"diameter of the shaft at its foot" required:"yes" min:"0.3" max:"200"`
	Taper    float64  `key:"taper" type:"number" doc:"diameter at the head of the shaft against that at its foot" default:"0.84" min:"0.3" max:"1" source:"Vitruvius III.3: 5/6 for shafts up to 15 ft, from memory"`
	Base     string   `key:"base" type:"word" doc:"what the shaft stands on" default:"moulded" words:"none,plinth,moulded"`
	Capital  string   `key:"capital" type:"word" doc:"what the shaft carries" default:"moulded" words:"none,plain,moulded"`
	Flutes   int      `key:"flutes" type:"count" doc:"number of flutes; fewer are drawn where they would not print" default:"0" min:"0" max:"64" source:"20 Doric, 24 Ionic: trade handbooks, from memory"`
	Broken   float64  `key:"broken" type:"number" doc:"0 whole .. 1 a stump: how much of the height is lost, differently for each" default:"0" min:"0" max:"1"`
	Seed     uint64   `key:"seed" type:"seed" doc:"picks where and how each breaks" default:"1"`
}

func init() {
	register(Kind{
		Word: "column", Stage: Structure,
		Doc: "Round columns with base, capital and flutes, whole or broken off at differing heights.",
		New: func() Part { return &Column{} },
	})
}

// Check reports columns too thin to print or too slender to keep.
func (c *Column) Check(s *Site) []Fault {
	var faults []Fault
	if least := s.Print.Pin / c.Taper; c.Diameter < least {
		faults = append(faults, Fault{Part: c.Name, Key: "diameter",
			Text:    fmt.Sprintf("%.2f mm tapers to %.2f mm, thinner than a pin that prints", c.Diameter, c.Diameter*c.Taper),
			Allowed: fmt.Sprintf("at least %.2f mm", least)})
	}
	if b, top := c.ends(s); b+top > 0.8*c.Height {
		faults = append(faults, Fault{Part: c.Name, Key: "height",
			Text:    fmt.Sprintf("%.2f mm leaves no shaft between a base of %.2f mm and a capital of %.2f mm", c.Height, b, top),
			Allowed: fmt.Sprintf("at least %.2f mm, or no base and capital", (b+top)/0.8)})
	}
	return faults
}

// Pieces counts shafts, mouldings and flutes.
func (c *Column) Pieces(*Site) int { return len(c.At) * (8 + c.Flutes) }

// ends gives the heights of the base and the capital, mm. Each is half a
// diameter tall (Vitruvius III.5 for the base, from memory), at least so tall
// that its mouldings print.
func (c *Column) ends(s *Site) (base, capital float64) {
	if c.Base != "none" {
		base = max(c.Diameter/2, 2*s.Print.Relief)
	}
	if c.Capital != "none" {
		capital = max(c.Diameter/2, 2*s.Print.Relief)
	}
	return base, capital
}

// Solid is all columns, let into what they stand on.
func (c *Column) Solid(s *Site) sdf.Field {
	rng := s.Rand(c.Name, c.Seed, "columns")
	flutes, depth := c.fluting(s)
	var solids []sdf.Field
	for _, at := range c.At {
		solids = append(solids, c.one(s, rng, at, flutes, depth))
	}
	return sdf.Union(solids...)
}

// fluting gives the number and the depth of the flutes that print: each at
// least as wide as the gap that stays open, with an arris of half that between.
func (c *Column) fluting(s *Site) (n int, depth float64) {
	if c.Flutes == 0 {
		return 0, 0
	}
	least := 1.5 * s.Print.Gap
	n = min(c.Flutes, int(math.Pi*c.Diameter*c.Taper/least))
	if n < 6 {
		s.Note(c.Name, "flutes", "left out: a shaft of %.2f mm has no room for flutes that print", c.Diameter)
		return 0, 0
	}
	if n < c.Flutes {
		s.Note(c.Name, "flutes", "%d flutes are drawn in place of %d, so that each is at least %.2f mm wide", n, c.Flutes, s.Print.Gap)
	}
	return n, min(c.Diameter*0.08, max(s.Print.Relief/2, math.Pi*c.Diameter/float64(n)*0.3))
}

// one is a single column at a point of the plan, random in its break alone.
func (c *Column) one(s *Site, rng *rand.Rand, at r2.Vec, flutes int, depth float64) sdf.Field {
	r, level := c.Diameter/2, c.Level.Height
	reach := r * 1.4
	plan := []r2.Vec{{X: at.X - reach, Y: at.Y - reach}, {X: at.X + reach, Y: at.Y - reach}, {X: at.X + reach, Y: at.Y + reach}, {X: at.X - reach, Y: at.Y + reach}}
	foot := bearingUnder(s, level, plan)
	base, capital := c.ends(s)
	z0, z1 := level+base, level+c.Height-capital

	shaft := lift(sdf.Cone(r, r*c.Taper, z1-z0), z0)
	if flutes > 0 {
		width := math.Pi * c.Diameter / float64(flutes) * 2 / 3
		fr := (width*width/4 + depth*depth) / (2 * depth) // of a circle with that chord and depth
		fr = max(depth, min(fr, width))
		stop := min(r*0.4, (z1-z0)*0.1) // flutes end short of the mouldings
		var grooves []sdf.Field
		for i := range flutes {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(flutes))
			out := func(radius, z float64) (p [3]float64) {
				return [3]float64{cos * (radius - depth + fr), sin * (radius - depth + fr), z}
			}
			a, b := out(r, z0+stop), out(r*c.Taper, z1-stop)
			grooves = append(grooves, sdf.Capsule(sdf.V(a[0], a[1], a[2]), sdf.V(b[0], b[1], b[2]), fr))
		}
		shaft = sdf.Difference(shaft, grooves...)
	}
	whole := []sdf.Field{shaft}
	// Drawn for a whole column too, so that breaking one moves no other.
	lost, a, b, turn := 0.6+0.4*rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()*360
	if c.Broken == 0 && capital > 0 {
		whole = append(whole, c.capital(z1, level+c.Height))
	}
	standing := sdf.Union(whole...)
	if c.Broken > 0 {
		z := z0 + 0.15*r + (z1-z0)*(1-c.Broken*lost)
		face := func(lean, turn float64) sdf.Field {
			normal := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.Turn(sdf.V(0, 1, 0), lean).Rotate(sdf.V(0, 0, 1)))
			return sdf.HalfSpace(normal, normal.Z*z)
		}
		// A break is two or three faces that meet in a ridge or a notch.
		broken := sdf.Union(face(20+25*a, turn), sdf.Intersection(face(30+25*b, turn+140), face(25+20*a, turn+250)))
		standing = sdf.Intersection(standing, broken, sdf.HalfSpace(sdf.V(0, 0, 1), level+c.Height))
	}
	parts := []sdf.Field{standing, c.base(foot, level, z0)}
	return sdf.Place(sdf.Union(parts...), sdf.At(sdf.V(at.X, at.Y, 0)))
}

// lift sets a solid that stands on z = 0 at a height.
func lift(f sdf.Field, z float64) sdf.Field { return sdf.Place(f, sdf.At(sdf.V(0, 0, z))) }

// barrel is a cylinder about the axis between two heights.
func barrel(radius, low, high float64) sdf.Field {
	return lift(sdf.Cylinder(radius, high-low, 0), low)
}

// squareBlock is a square block about the axis between two heights, its edges eased.
func squareBlock(side, low, high, ease float64) sdf.Field {
	return eased(-side/2, side/2, -side/2, side/2, low, high, ease)
}

// base is the plinth and its mouldings from below the level up to the shaft; a
// shaft without a base goes down by itself.
func (c *Column) base(foot, level, top float64) sdf.Field {
	r, h := c.Diameter/2, top-level
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

// capital is a spreading echinus under a square abacus.
func (c *Column) capital(low, high float64) sdf.Field {
	r, h := c.Diameter/2*c.Taper, high-low
	abacus := high - h*0.42
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
