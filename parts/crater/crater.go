package crater

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

// Crater is a hole blasted from above: a bowl with a raised rim and a blanket of
// what it threw out, a broken lip, cracks and lifted plates round it. It clears
// what stands over it.
type Crater struct {
	parts.Named
	At        r2.Vec       `key:"at" type:"point" doc:"its middle" required:"yes"`
	Level     *parts.Level `key:"level" type:"level" doc:"level of the surface that was hit; left out, the highest finished level there"`
	Diameter  float64      `key:"diameter" type:"length" doc:"from rim to rim" required:"yes" min:"2" max:"1000"`
	Depth     *float64     `key:"depth" type:"height" doc:"from the crest of the rim to the floor; left out, 0.18 of the diameter" min:"0.2" max:"300" source:"about 0.2 for fresh craters: Pike, Geophys. Res. Lett. 1 (1974), 291; 0.18 keeps a parabola's wall at 36 degrees"`
	Rim       *float64     `key:"rim" type:"height" doc:"height of the rim's crest over the level; left out, 0.04 of the diameter; 0 for none" min:"0" max:"50" source:"about 0.04 of the diameter: Melosh, Impact Cratering (1989), from memory"`
	Blanket   float64      `key:"blanket" type:"number" doc:"how far the thrown-out material reaches, in radii from the middle; its thickness falls with the cube of the distance" default:"2.5" min:"1" max:"6" source:"exponent -3: McGetchin, Settle and Head, Earth Planet. Sci. Lett. 20 (1973), 226"`
	Slope     float64      `key:"slope" type:"angle" doc:"steepest slope of its walls: about 37 in loose ground, more in rock; a deeper bowl gets straight walls at this slope" default:"37" min:"15" max:"70" source:"broken stone rests at 35 to 40, loose gravel at 30 to 45: civil engineering notes"`
	Roughness float64      `key:"roughness" type:"number" doc:"0 smooth .. 1 wild: lumps in the bowl, a wandering lip with blocks broken out of it" default:"0.5" min:"0" max:"1"`
	Cracks    *int         `key:"cracks" type:"count" doc:"number of cracks running out from the lip; left out, 5 to 9; 0 for none" min:"0" max:"24" source:"5 to 9, reaching 1.3 to 2 radii: common practice, no source"`
	Crack     *float64     `key:"crack" type:"length" doc:"width of the cracks at the lip; left out, a fortieth of the diameter, at least the print's gap" min:"0.05" max:"10"`
	Cleft     *float64     `key:"cleft" type:"height" doc:"depth of the cracks; left out, a fifth of the crater's depth, at least the print's relief" min:"0.05" max:"20"`
	Spall     *int         `key:"spall" type:"count" doc:"number of plates lifted at the lip; left out, 3 to 6; 0 for none" min:"0" max:"24" source:"common practice, no source"`
	Fall      float64      `key:"slump" type:"number" doc:"0 none .. 1 the most: how large a part of the floor beside it has broken off and leans into the bowl, with what is laid on it" default:"0.6" min:"0" max:"1" source:"common practice, no source"`
	Seed      uint64       `key:"seed" type:"seed" doc:"picks lumps, bites, cracks and plates" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "crater", Stage: parts.Damaging,
		Doc: "A blasted bowl with a raised rim, a blanket of ejecta, a broken lip, radial cracks and lifted plates. It clears whatever stands over it.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[crater]]
name = "hit"
at = [32, 24]
diameter = 20
blanket = 1.6

[[spill]]
from = "hit"
amount = 0.12
reach = 1.7
`,
		New: func() parts.Part { return &Crater{} },
	})
}

const (
	craterDepth = 0.18 // of the diameter
	craterRim   = 0.04 // of the diameter
	// craterFlank is the width of the uplifted rim's outer flank over the
	// diameter: 0.257 (Pike 1977, from memory).
	craterFlank = 0.257
	// blastOpening is how far the way cleared above a scar opens, degrees from
	// the upright, and mostOpening where it stops, in radii (no source).
	blastOpening = 12
	mostOpening  = 1.25
)

// craterSizes are a crater's sizes as drawn, mm on the print, and its notes.
type craterSizes struct {
	found         bool    // false where the scene gives no level and nothing lies there
	level         float64 // of the surface that was hit
	radius, depth float64
	slope         float64 // tangent of the steepest wall
	bowl          profile
	rim           float64 // height of its crest over the level
	fall, uplift  float64 // of the rim: what fell there, and the ground raised under it
	bare          bool    // without a rim and a blanket: there is none, or it is thinner than prints
	crack, wide   float64 // width of the cracks at the lip: before it is held to the print's gap, and as drawn
	cleft         float64 // depth of the cracks
	plan          *scarPlan
	notes         []parts.Note
}

// crest is the height of the rim.
func (z *craterSizes) crest() float64 { return z.level + z.rim }

func (c *Crater) settled(s *parts.Site) *craterSizes {
	return parts.Settled(s, c, func() *craterSizes { return c.settle(s) })
}

// settle works out the crater's sizes.
func (c *Crater) settle(s *parts.Site) *craterSizes {
	z := &craterSizes{radius: c.Diameter / 2}
	notes := parts.Notes{Part: c.Name}
	given := func(v *float64, usual float64) float64 {
		if v != nil {
			return *v
		}
		return usual
	}
	z.depth = given(c.Depth, craterDepth*c.Diameter)
	z.rim = given(c.Rim, craterRim*c.Diameter)
	z.slope = math.Tan(c.Slope * math.Pi / 180)
	z.fall = min(ejectaAtRim(s, z.radius), z.rim)
	z.uplift = z.rim - z.fall
	if c.Level != nil {
		z.level, z.found = c.Level.Height, true
	} else {
		z.level, z.found = s.LevelAt(c.At)
	}
	z.bowl = bowlOf(z.radius, z.depth, z.slope)
	if steepest := 2 * z.depth / z.radius; steepest > z.slope { // of a parabola
		notes.Add("slope", "walls of %.1f degrees would not stand: they are drawn straight at %.0f degrees",
			math.Atan(steepest)*180/math.Pi, c.Slope)
	}
	noise := sdf.NewNoise(s.Rand(c.Name, c.Seed, "lip").Uint64(), 1.2*z.radius, 1)
	z.plan = newScarPlan(&planar.Disc{Centre: c.At}, r2.Box{Min: c.At, Max: c.At}, z.radius, 0.12*c.Roughness, noise)

	z.crack = given(c.Crack, max(c.Diameter/40, s.Print.Gap))
	z.wide = notes.AtLeast("crack", z.crack, s.Print.Gap, "gap that stays open")
	z.cleft = max(given(c.Cleft, z.depth/5), s.Print.Relief)
	if c.Cleft != nil {
		notes.AtLeast("cleft", *c.Cleft, s.Print.Relief, "relief")
	}
	if z.bare = tooThin(z.uplift, z.fall); z.bare && z.rim > 0 {
		notes.Add("rim", "left out: a rim of %.2f mm is thinner than prints", z.rim)
	}
	z.notes = notes.List
	return z
}

// cracks sets out the cracks.
func (c *Crater) cracks(s *parts.Site) []crackPath {
	return parts.Settled(s, c, func() []crackPath {
		z, rng := c.settled(s), s.Rand(c.Name, c.Seed, "cracks")
		n := 5 + rng.IntN(5)
		if c.Cracks != nil {
			n = *c.Cracks
		}
		return radialCracks(rng, c.At, z.radius, n, z.wide, s.Print.Gap)
	})
}

// Notes are what is drawn otherwise than the scene gives it.
func (c *Crater) Notes(s *parts.Site) []parts.Note { return c.settled(s).notes }

// ejectaAtRim is the thickness of a crater's ejecta at its rim, 0.14 R^0.74 with
// both in metres full size (McGetchin, Settle and Head 1973), for a radius in mm
// on the print, in mm on the print. It is drawn no thicker than the rim: the law is
// used below its fitted range.
func ejectaAtRim(s *parts.Site, radius float64) float64 {
	metres := s.FullSize(radius) / 1000
	return s.HeightOnPrint(1000 * 0.14 * math.Pow(metres, 0.74))
}

// Extents are its disc.
func (c *Crater) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "at", Points: []r2.Vec{c.At}, Wide: c.Diameter / 2}}
}

// CheckPlace reports a crater that takes all of the land.
func (c *Crater) CheckPlace(s *parts.Site) []parts.Fault {
	return s.LargerThanLand(c, "diameter", []r2.Vec{c.At}, c.Diameter)
}

// steepestShare is how much of the depth that straight walls at the slope cap
// could reach is used at most, so that a floor is left.
const steepestShare = 0.95

// Check reports a crater that hits nothing, or whose depth and rim do not fit
// its diameter and slope.
func (c *Crater) Check(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	z := c.settled(s)
	if !z.found {
		f := parts.Fault{Part: c.Name, Key: "at",
			Text:    fmt.Sprintf("there is nothing to hit at (%.2f, %.2f) mm", c.At.X, c.At.Y),
			Allowed: "a place on the ground, a deck or a finish, or a level of its own"}
		if s.Land() == nil {
			f.Text += ": the scene has no [ground]"
			f.Allowed = "a [ground] with a size and a level, or a place on a deck or a finish, or a level of the crater's own"
		}
		faults = append(faults, f)
	}
	if most := steepestShare * z.slope * z.radius; z.depth > most {
		faults = append(faults, parts.Fault{Part: c.Name, Key: "depth",
			Text:    fmt.Sprintf("%.2f mm is too deep for walls of %.0f degrees and a diameter of %.2f mm", z.depth, c.Slope, c.Diameter),
			Allowed: fmt.Sprintf("at most %.2f mm, a wider crater or a steeper slope", most)})
	}
	if z.rim > z.depth/2 {
		faults = append(faults, parts.Fault{Part: c.Name, Key: "rim",
			Text:    fmt.Sprintf("a rim of %.2f mm leaves too little of a depth of %.2f mm below the level", z.rim, z.depth),
			Allowed: fmt.Sprintf("at most half the depth, %.2f mm", z.depth/2)})
	}
	return faults
}

// Strewn is where debris of the crater lies.
func (c *Crater) Strewn(*parts.Site) ([]r2.Vec, float64) { return []r2.Vec{c.At}, c.Diameter / 2 }

// bowlOf is the profile of a bowl of a radius and a depth, mm: a parabola. Where the
// parabola would be steeper at the rim than the steepest slope, a tangent, the walls are
// straight at that: with z' = slope at bend and z = depth at the rim,
// bend = 2 (R - depth/slope).
func bowlOf(radius, depth, steepest float64) profile {
	if slope := 2 * depth / radius; slope <= steepest {
		return profile{curve: depth / (radius * radius), bend: radius, slope: slope}
	}
	bend := 2 * (radius - depth/steepest)
	return profile{curve: steepest / (2 * bend), bend: bend, slope: steepest}
}

// Cut is the bowl with all that it clears above, the layers of the ground that came out
// of its wall, the blocks broken out of the lip and the cracks; stones stick out of it.
func (c *Crater) Cut(s *parts.Site) sdf.Field {
	z := c.settled(s)
	shaft := newShaft(z.plan, z.crest(), blastOpening, mostOpening*z.radius)
	lumps := sdf.NewNoise(s.Rand(c.Name, c.Seed, "bowl").Uint64(), max(0.35*z.radius, 2*s.Print.Gap), 3)
	cut := []sdf.Field{sdf.Intersection(c.floor(s, z), sdf.Displace(shaft, lumps, 0.2*c.Roughness*z.depth))}
	if c.Roughness > 0 {
		rng := s.Rand(c.Name, c.Seed, "layers")
		depth := z.depth - z.rim
		land := parts.StructureUnder(s, z.level, planar.Ellipse(c.At, z.radius, z.radius)) - s.Roughness(z.level)
		under := max(0.25*depth, z.level-land+s.Print.Wall)
		cut = append(cut, layers(rng, c.plain(z), c.At, z.level-under, depth-under, s.Print.Relief)...)
		size := [2]float64{max(0.06*z.radius, 2*s.Print.Relief), max(0.16*z.radius, 3*s.Print.Relief)}
		if size[1] < z.depth {
			stones := bouldersIn(rng, z.plan, c.At, z.crest()-z.depth, z.level, z.bowl, size, 5+int(10*c.Roughness))
			cut = []sdf.Field{sdf.Difference(sdf.Union(cut...), stones...)}
		}
	}

	top := z.crest() + z.rim + 1 // clear of the uneven rim
	if c.Roughness > 0 {
		rng := s.Rand(c.Name, c.Seed, "bites")
		n := 12 + int(24*c.Roughness)
		size := [2]float64{max(0.06*z.radius, s.Print.Gap), max(0.24*z.radius, 2*s.Print.Gap)}
		cut = append(cut, lipBites(rng, alongLip(rng, c.At, z.radius, n), z.level, top, size)...)
	}
	for _, k := range c.cracks(s) {
		cut = append(cut, k.solid(z.level-z.cleft, top))
	}
	return sdf.Union(cut...)
}

// plain is the bowl without lumps, and all that it clears above.
func (c *Crater) plain(z *craterSizes) sdf.Field {
	return sdf.Intersection(newScoop(z.plan, z.crest()-z.depth, z.bowl),
		newShaft(z.plan, z.crest(), blastOpening, mostOpening*z.radius))
}

// Bite is the bowl without lumps, and the cracks.
func (c *Crater) Bite(s *parts.Site) parts.Bite {
	z := c.settled(s)
	var slits []sdf.Field
	for _, k := range c.cracks(s) {
		slits = append(slits, k.solid(z.level-z.cleft, z.crest()+z.rim+1))
	}
	return parts.Bite{Gone: c.plain(z), Slits: sdf.Union(slits...), Wide: c.Diameter, Seed: s.Rand(c.Name, c.Seed, "fracture").Uint64()}
}

// Throw is the rim and the blanket on endless ground at the level.
func (c *Crater) Throw(s *parts.Site) sdf.Field { return c.ThrowOn(s, nil) }

// ThrowOn is the rim, the blanket and the lifted plates on the work there is;
// nil where there are none.
func (c *Crater) ThrowOn(s *parts.Site, work sdf.Field) sdf.Field {
	z := c.settled(s)
	if z.bare {
		return nil
	}
	e := c.sheet(s, z)
	if work != nil {
		e.drift = newDrift(work, c.At, z.radius, z.level, e.edge)
	}
	blanket := newEjecta(s, e, work, c.loose(s, "clods"))
	thrown := []sdf.Field{blanket}
	rng := s.Rand(c.Name, c.Seed, "plates")
	n := 3 + rng.IntN(4)
	if c.Spall != nil {
		n = *c.Spall
	}
	for _, spot := range alongLip(rng, c.At, z.radius, n) {
		w := z.radius * (0.25 + 0.2*rng.Float64())
		spot.at = r2.Add(spot.at, r2.Scale(w*(0.25+0.2*rng.Float64()), spot.out))
		r := r2.Norm(r2.Sub(spot.at, c.At))
		top := z.level + e.thickness(r) + s.Print.Relief
		p := spallPlate(rng, spot, w, z.level-blanket.sunk/2, top, z.rim*(0.6+0.6*rng.Float64()))
		if p != nil && carries(work, p, z.level) {
			thrown = append(thrown, p)
		}
	}
	return sdf.Union(append(thrown, c.clods(s, z, e, work, thrown)...)...)
}

// carries says whether there is work just below a level under the middle and
// the sides of a plate's box; true on endless ground.
func carries(work sdf.Field, p *convex.Polytope, level float64) bool {
	if work == nil {
		return true
	}
	b := p.Bounds()
	mx, my := (b.Min.X+b.Max.X)/2, (b.Min.Y+b.Max.Y)/2
	for _, q := range [5][2]float64{{mx, my}, {b.Min.X, my}, {b.Max.X, my}, {mx, b.Min.Y}, {mx, b.Max.Y}} {
		const into = 0.7 // below the joints and the unevenness of a finish, mm
		if work.Value(sdf.V(q[0], q[1], level-into)) > 0.3 {
			return false
		}
	}
	return true
}
