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

// mostEnds is the share of the height that base and capital may take together.
const mostEnds = 0.8

// Check reports columns whose base and capital leave no shaft, as asked: what
// the printer alone makes too thick is drawn otherwise.
func (c *Column) Check(*Site) []Fault {
	if b, top := c.askedEnds(); b+top > mostEnds*c.Height {
		return []Fault{{Part: c.Name, Key: "height",
			Text:    fmt.Sprintf("%.2f mm leaves no shaft between a base of %.2f mm and a capital of %.2f mm", c.Height, b, top),
			Allowed: fmt.Sprintf("at least %.2f mm, or no base and capital", (b+top)/mostEnds)}}
	}
	return nil
}

// Pieces counts shafts, mouldings and flutes.
func (c *Column) Pieces(*Site) int { return len(c.At) * (8 + c.Flutes) }

// columnSizes are a column's sizes as drawn, mm.
type columnSizes struct {
	foot, head    float64 // diameters of the shaft
	base, capital float64 // heights, 0 for none
	flutes        int
	fluteDepth    float64
}

// sizes settles what the printer can hold, with one note for the shaft where it
// is thickened and one for its ends where they are lowered.
func (c *Column) sizes(s *Site) columnSizes {
	z := columnSizes{foot: max(c.Diameter, s.Print.Pin), head: max(c.Diameter*c.Taper, s.Print.Pin)}
	if head := c.Diameter * c.Taper; z.head > head {
		s.Note(c.Name, "diameter", "%s on the print is drawn at %s, the least pin",
			shaftSize(c.Diameter, head), shaftSize(z.foot, z.head))
	}
	z.base, z.capital = c.ends(s, z.foot)
	if both := z.base + z.capital; both > mostEnds*c.Height {
		k := mostEnds * c.Height / both
		z.base, z.capital = k*z.base, k*z.capital
		s.Note(c.Name, "height", "base and capital of %.2f mm that print would leave no shaft in %.2f mm: they are drawn %.2f mm high", both, c.Height, k*both)
	}
	z.flutes, z.fluteDepth = c.fluting(s, z)
	return z
}

// shaftSize says how thick a shaft is: at both ends where it tapers.
func shaftSize(foot, head float64) string {
	if math.Abs(foot-head) < 0.005 {
		return fmt.Sprintf("%.2f mm", foot)
	}
	return fmt.Sprintf("%.2f mm tapering to %.2f mm", foot, head)
}

// askedEnds gives the heights of the base and the capital for the diameter
// asked, mm: each half a diameter (Vitruvius III.5 for the base, from memory).
func (c *Column) askedEnds() (base, capital float64) {
	if c.Base != "none" {
		base = c.Diameter / 2
	}
	if c.Capital != "none" {
		capital = c.Diameter / 2
	}
	return base, capital
}

// ends gives the heights of the base and the capital of a shaft as drawn, mm:
// half a diameter, at least so tall that the mouldings print.
func (c *Column) ends(s *Site, diameter float64) (base, capital float64) {
	if c.Base != "none" {
		base = max(diameter/2, 2*s.Print.Relief)
	}
	if c.Capital != "none" {
		capital = max(diameter/2, 2*s.Print.Relief)
	}
	return base, capital
}

// Solid is all columns, let into what they stand on.
func (c *Column) Solid(s *Site) sdf.Field {
	rng := s.Rand(c.Name, c.Seed, "columns")
	z := c.sizes(s)
	var solids []sdf.Field
	for _, at := range c.At {
		solids = append(solids, c.one(s, rng, at, z))
	}
	return sdf.Union(solids...)
}

// fluting gives the number and the depth of the flutes that print: each at
// least as wide as the gap that stays open, with an arris of half that between.
func (c *Column) fluting(s *Site, z columnSizes) (n int, depth float64) {
	if c.Flutes == 0 {
		return 0, 0
	}
	least := 1.5 * s.Print.Gap
	n = min(c.Flutes, int(math.Pi*z.head/least))
	if n < 6 {
		s.Note(c.Name, "flutes", "left out: a shaft of %.2f mm has no room for flutes that print", z.foot)
		return 0, 0
	}
	if n < c.Flutes {
		s.Note(c.Name, "flutes", "%d flutes are drawn in place of %d, so that each is at least %.2f mm wide", n, c.Flutes, s.Print.Gap)
	}
	return n, min(z.foot*0.08, max(s.Print.Relief/2, math.Pi*z.foot/float64(n)*0.3))
}

// one is a single column at a point of the plan, random in its break alone.
func (c *Column) one(s *Site, rng *rand.Rand, at r2.Vec, z columnSizes) sdf.Field {
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
	whole := []sdf.Field{shaft}
	// Drawn for a whole column too, so that breaking one moves no other.
	lost, a, b, turn := 0.6+0.4*rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()*360
	if c.Broken == 0 && z.capital > 0 {
		whole = append(whole, c.capital(head, z1, level+c.Height))
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
	parts := []sdf.Field{standing, c.base(r, foot, level, z0)}
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

// capital is a spreading echinus under a square abacus, on a head of radius r.
func (c *Column) capital(r, low, high float64) sdf.Field {
	h := high - low
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

// Extents are its shafts.
func (c *Column) Extents(*Site) (all []Extent) {
	for i, at := range c.At {
		all = append(all, Extent{Key: fmt.Sprintf("at[%d]", i), Points: []r2.Vec{at}, Wide: c.Diameter / 2})
	}
	return all
}

// Remedies of columns.
func (c *Column) Remedies(s *Site, t Trouble) []Remedy {
	r := remediesOf(c)
	thicker := func() { r.scaled("diameter", "thicker columns", c.Diameter, 1.15, 1.3, 1.6) }
	fewer := func() {
		if c.Flutes > 0 {
			r.to("flutes", "fewer flutes, or none", c.Flutes*2/3, 0)
		}
	}
	switch {
	case t.thin():
		fewer()
		thicker()
		if t.of("slender-pin") {
			r.scaled("height", "lower columns", c.Height, 0.85, 0.7)
		}
		r.to("capital", "a plain capital, or none", "plain", "none")
		if c.Broken > 0 {
			r.seeds(c.Seed)
			r.scaled("broken", "less broken", c.Broken, 0.5, 0)
		}
	case t.of("narrow-gap", "shallow-relief"):
		fewer()
	case t.hanging():
		r.to("capital", "a plain capital, or none", "plain", "none")
		if c.Broken > 0 {
			r.seeds(c.Seed)
		}
	case t.of("stand", "rough-stand"):
		r.words("at", "move the column, or the stand")
	}
	return r.all
}

// Plan is the shaft's foot as a cut, its base and its capital as they are seen
// from above.
func (c *Column) Plan(s *Site) []Stroke {
	foot := max(c.Diameter, s.Print.Pin)
	head := max(c.Diameter*c.Taper, s.Print.Pin)
	var strokes []Stroke
	for _, at := range c.At {
		if side := c.plinthSide(foot); side > 0 {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true, Path: squarePath(at, side, 0)})
		}
		if c.Capital != "none" && c.Broken == 0 {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true, Path: squarePath(at, 1.3*head, 0)})
		}
		strokes = append(strokes, Stroke{Line: LineMass, Layer: Standing, Closed: true, Covers: true, Path: circlePath(at, foot/2)})
	}
	return strokes
}

// plinthSide is the side of the square that a shaft stands on, 0 for none.
func (c *Column) plinthSide(diameter float64) float64 {
	switch c.Base {
	case "none":
		return 0
	case "plinth":
		return 1.3 * diameter
	}
	return 1.35 * diameter
}
