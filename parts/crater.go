package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Crater is a hole blasted from above: a bowl with a raised rim and a blanket of
// what it threw out, a broken lip, cracks and lifted plates round it. It clears
// what stands over it.
type Crater struct {
	Named
	At        r2.Vec   `key:"at" type:"point" doc:"its middle" required:"yes"`
	Level     *Level   `key:"level" type:"level" doc:"the surface that was hit; left out, the highest finished level laid there"`
	Diameter  float64  `key:"diameter" type:"length" doc:"from rim to rim" required:"yes" min:"2" max:"1000"`
	Depth     *float64 `key:"depth" type:"height" doc:"from the crest of the rim to the floor; left out, 0.18 of the diameter" min:"0.2" max:"300" source:"about 0.2 for fresh craters: Pike, Geophys. Res. Lett. 1 (1974), 291; 0.18 keeps a parabola's wall at 36 degrees"`
	Rim       *float64 `key:"rim" type:"height" doc:"height of the rim's crest over the level; left out, 0.04 of the diameter; 0 for none" min:"0" max:"50" source:"about 0.04 of the diameter: Melosh, Impact Cratering (1989), from memory"`
	Blanket   float64  `key:"blanket" type:"number" doc:"how far what was thrown out lies, in radii from the middle; its thickness falls with the cube of the distance" default:"2.5" min:"1" max:"6" source:"exponent -3: McGetchin, Settle and Head, Earth Planet. Sci. Lett. 20 (1973), 226"`
	Slope     float64  `key:"slope" type:"angle" doc:"steepest that its walls stand: about 37 in loose ground, more in rock; a deeper bowl gets straight walls at this slope" default:"37" min:"15" max:"70" source:"broken stone rests at 35 to 40, loose gravel at 30 to 45: civil engineering notes"`
	Roughness float64  `key:"roughness" type:"number" doc:"0 smooth .. 1 wild: lumps in the bowl, a wandering lip with blocks broken out of it" default:"0.5" min:"0" max:"1"`
	Cracks    *int     `key:"cracks" type:"count" doc:"number of cracks running out from the lip; left out, 5 to 9; 0 for none" min:"0" max:"24" source:"5 to 9, reaching 1.3 to 2 radii: common practice, no source"`
	Crack     *float64 `key:"crack" type:"length" doc:"width of the cracks at the lip; left out, a fortieth of the diameter, at least the print's gap" min:"0.05" max:"10"`
	Cleft     *float64 `key:"cleft" type:"height" doc:"depth of the cracks; left out, a fifth of the crater's depth, at least the print's relief" min:"0.05" max:"20"`
	Spall     *int     `key:"spall" type:"count" doc:"number of plates lifted at the lip; left out, 3 to 6; 0 for none" min:"0" max:"24" source:"common practice, no source"`
	Seed      uint64   `key:"seed" type:"seed" doc:"picks lumps, bites, cracks and plates" default:"1"`
	Only      []string `key:"only" type:"refs" doc:"names of the only parts that it touches"`
	Spares    []string `key:"spares" type:"refs" doc:"names of parts that it leaves whole"`
}

func init() {
	register(Kind{
		Word: "crater", Stage: Damaging,
		Doc: "A blasted bowl with a raised rim, a blanket of ejecta, a broken lip, radial cracks and lifted plates. It clears whatever stands over it.",
		New: func() Part { return &Crater{} },
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

// craterSizes are a crater's sizes as drawn, mm on the print.
type craterSizes struct {
	level, radius, depth, rim float64
	slope                     float64 // tangent of the steepest wall
	fall                      float64 // thickness of the ejecta at the rim
	crack, cleft              float64 // width and depth of the cracks
}

// crest is the height of the rim.
func (z craterSizes) crest() float64 { return z.level + z.rim }

// sizes settles the crater's sizes; ok is false where no level is given and
// nothing lies there.
func (c *Crater) sizes(s *Site) (z craterSizes, ok bool) {
	z.radius = c.Diameter / 2
	given := func(v *float64, usual float64) float64 {
		if v != nil {
			return *v
		}
		return usual
	}
	z.depth = given(c.Depth, craterDepth*c.Diameter)
	z.rim = given(c.Rim, craterRim*c.Diameter)
	z.slope = math.Tan(c.Slope * math.Pi / 180)
	z.crack = given(c.Crack, math.Max(c.Diameter/40, s.Print.Gap))
	z.cleft = math.Max(given(c.Cleft, z.depth/5), s.Print.Relief)
	z.fall = math.Min(ejectaAtRim(s, z.radius), z.rim)
	if c.Level != nil {
		z.level, ok = c.Level.Height, true
	} else {
		z.level, ok = s.LevelAt(c.At)
	}
	return z, ok
}

// ejectaAtRim is the thickness of a crater's ejecta at its rim, 0.14 R^0.74 with
// both in metres full size (McGetchin, Settle and Head 1973), for a radius in mm
// on the print, in mm on the print. It is drawn no thicker than the rim: the law is
// used below its fitted range.
func ejectaAtRim(s *Site, radius float64) float64 {
	metres := s.FullSize(radius) / 1000
	return s.HeightOnPrint(1000 * 0.14 * math.Pow(metres, 0.74))
}

// Extents are its disc.
func (c *Crater) Extents(*Site) []Extent {
	return []Extent{{Key: "at", Points: []r2.Vec{c.At}, Wide: c.Diameter / 2}}
}

// CheckPlace reports a crater that takes all of the land.
func (c *Crater) CheckPlace(s *Site) []Fault {
	return s.LargerThanLand(c, "diameter", []r2.Vec{c.At}, c.Diameter)
}

// steepestShare is how much of the depth that straight walls at the slope cap
// could reach is used at most, so that a floor is left.
const steepestShare = 0.95

// Check reports a crater that hits nothing, or whose depth and rim do not fit
// its diameter and slope.
func (c *Crater) Check(s *Site) []Fault {
	var faults []Fault
	z, ok := c.sizes(s)
	if !ok {
		f := Fault{Part: c.Name, Key: "at",
			Text:    fmt.Sprintf("nothing lies at (%.2f, %.2f) mm to be hit", c.At.X, c.At.Y),
			Allowed: "a place on the ground, a deck or a finish, or a level of its own"}
		if s.Land() == nil {
			f.Text += ": the scene has no [ground]"
			f.Allowed = "a [ground] with a size and a level, or a place on a deck or a finish, or a level of the crater's own"
		}
		faults = append(faults, f)
	}
	if most := steepestShare * z.slope * z.radius; z.depth > most {
		faults = append(faults, Fault{Part: c.Name, Key: "depth",
			Text:    fmt.Sprintf("%.2f mm is too deep for walls of %.0f degrees and a diameter of %.2f mm", z.depth, c.Slope, c.Diameter),
			Allowed: fmt.Sprintf("at most %.2f mm, a wider crater or a steeper slope", most)})
	}
	if z.rim > z.depth/2 {
		faults = append(faults, Fault{Part: c.Name, Key: "rim",
			Text:    fmt.Sprintf("a rim of %.2f mm leaves too little of a depth of %.2f mm below the level", z.rim, z.depth),
			Allowed: fmt.Sprintf("at most half the depth, %.2f mm", z.depth/2)})
	}
	return faults
}

// Narrow gives the only parts that it touches and those it spares.
func (c *Crater) Narrow() (only, spares []string) { return c.Only, c.Spares }

// Strewn is where debris of the crater lies.
func (c *Crater) Strewn(*Site) ([]r2.Vec, float64) { return []r2.Vec{c.At}, c.Diameter / 2 }

// plan is the distance from the crater's middle, with its wandering lip.
func (c *Crater) plan(s *Site, radius float64) *scarPlan {
	noise := sdf.NewNoise(s.Rand(c.Name, c.Seed, "lip").Uint64(), 1.2*radius, 1)
	return newScarPlan(&disc{centre: c.At}, r2.Box{Min: c.At, Max: c.At}, radius, 0.12*c.Roughness, noise)
}

// profile is the parabola of the bowl, z = floor + curve*r^2 out to bend and
// straight from there. Where the parabola would be steeper at the rim than the
// cap, the walls are straight at the cap: with z' = slope at bend and z = depth at
// the rim, bend = 2 (R - depth/slope).
func (z craterSizes) profile() (curve, bend, slope float64, capped bool) {
	if slope = 2 * z.depth / z.radius; slope <= z.slope {
		return z.depth / (z.radius * z.radius), z.radius, slope, false
	}
	bend = 2 * (z.radius - z.depth/z.slope)
	return z.slope / (2 * bend), bend, z.slope, true
}

// Cut is the bowl with all that it clears above, the blocks broken out of the
// lip and the cracks.
func (c *Crater) Cut(s *Site) sdf.Field {
	z, _ := c.sizes(s)
	curve, bend, slope, capped := z.profile()
	if capped {
		s.Note(c.Name, "slope", "walls of %.1f degrees would not stand: they are drawn straight at %.0f degrees",
			math.Atan(2*z.depth/z.radius)*180/math.Pi, c.Slope)
	}
	plan := c.plan(s, z.radius)
	bowl := sdf.Intersection(newScoop(plan, z.crest()-z.depth, curve, bend, slope),
		newShaft(plan, z.crest(), blastOpening, mostOpening*z.radius))
	lumps := sdf.NewNoise(s.Rand(c.Name, c.Seed, "bowl").Uint64(), math.Max(0.35*z.radius, 2*s.Print.Gap), 3)
	cut := []sdf.Field{sdf.Displace(bowl, lumps, 0.2*c.Roughness*z.depth)}

	top := z.crest() + z.rim + 1 // clear of the uneven rim
	if c.Roughness > 0 {
		rng := s.Rand(c.Name, c.Seed, "bites")
		n := 12 + int(24*c.Roughness)
		size := [2]float64{math.Max(0.06*z.radius, s.Print.Gap), math.Max(0.24*z.radius, 2*s.Print.Gap)}
		cut = append(cut, lipBites(rng, alongLip(rng, c.At, z.radius, n), z.level, top, size)...)
	}
	for _, k := range c.cracks(s, z) {
		cut = append(cut, k.solid(z.level-z.cleft, top))
	}
	return sdf.Union(cut...)
}

// cracks sets out the cracks.
func (c *Crater) cracks(s *Site, z craterSizes) []crackPath {
	rng := s.Rand(c.Name, c.Seed, "cracks")
	n := 5 + rng.IntN(5)
	if c.Cracks != nil {
		n = *c.Cracks
	}
	wide := z.crack
	if wide < s.Print.Gap {
		wide = s.Print.Gap
		s.Note(c.Name, "crack", "%.2f mm on the print is drawn at %.2f mm, the least gap that stays open", z.crack, wide)
	}
	if c.Cleft != nil && z.cleft > *c.Cleft {
		s.Note(c.Name, "cleft", "%.2f mm on the print is drawn at %.2f mm, the least relief", *c.Cleft, z.cleft)
	}
	return radialCracks(rng, c.At, z.radius, n, wide, s.Print.Gap)
}

// Throw is the rim and the blanket on endless ground at the level.
func (c *Crater) Throw(s *Site) sdf.Field { return c.ThrowOn(s, nil) }

// ThrowOn is the rim, the blanket and the lifted plates on the work there is;
// nil where there are none.
func (c *Crater) ThrowOn(s *Site, work sdf.Field) sdf.Field {
	z, _ := c.sizes(s)
	e := &ejecta{
		plan: c.plan(s, z.radius), on: work, level: z.level,
		uplift: z.rim - z.fall, flank: craterFlank * c.Diameter, fall: z.fall,
		sunk:  math.Max(1.5, 1.5*z.rim),
		lumps: sdf.NewNoise(s.Rand(c.Name, c.Seed, "blanket").Uint64(), math.Max(0.4*z.radius, 2), 3),
		lump:  math.Min(1.6*c.Roughness, 0.9), bump: 0.5 * c.Roughness * z.rim, ragged: 0.8 * c.Roughness * z.radius,
	}
	if !e.finish(c.Blanket * z.radius) {
		if z.rim > 0 {
			s.Note(c.Name, "rim", "left out: a rim of %.2f mm is thinner than prints", z.rim)
		}
		return nil
	}
	thrown := []sdf.Field{e}
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
		p := spallPlate(rng, spot, w, z.level-e.sunk/2, top, z.rim*(0.6+0.6*rng.Float64()))
		if p != nil && carries(work, p, z.level) {
			thrown = append(thrown, p)
		}
	}
	return sdf.Union(thrown...)
}

// carries says whether there is work just below a level under the middle and
// the sides of a plate's box; true on endless ground.
func carries(work sdf.Field, p *polytope, level float64) bool {
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

// Remedies of a crater: what it breaks off least of all first, then its shape, its
// chances and its place.
func (c *Crater) Remedies(s *Site, t Trouble) []Remedy {
	z, _ := c.sizes(s)
	r := remediesOf(c)
	shallower := func() { r.scaled("depth", "less depth", z.depth, 0.9, 0.8, 0.65) }
	switch {
	case t.thin() || t.hanging() || t.trapped() || t.of("narrow-gap"):
		cracked, lifted := c.Cracks == nil || *c.Cracks > 0, c.Spall == nil || *c.Spall > 0
		if cracked {
			r.to("cracks", "cracks = 0", 0)
		}
		if lifted {
			r.to("spall", "spall = 0", 0)
		}
		if cracked && lifted {
			r.together("cracks", "", []Move{r.move("cracks", 0), r.move("spall", 0)})
		}
		if cracked && t.of("narrow-gap") {
			r.scaled("crack", "wider cracks", z.crack, 1.5, 2)
		}
		r.scaled("roughness", "less roughness", c.Roughness, 0.5, 0)
		r.scaled("depth", "a little more or less depth", z.depth, 1.1, 0.9, 1.25, 0.75)
		r.seeds(c.Seed)
		r.spare(t, c.Only, c.Spares)
	case t.of("shallow-relief"):
		r.scaled("cleft", "deeper cracks", z.cleft, 1.5)
		r.to("cracks", "cracks = 0", 0)
	case t.of("uneven-foot", "bow", "skin"):
		shallower()
	case t.of("uneven-risers", "stand", "rough-stand"):
		r.spare(t, c.Only, c.Spares)
		shallower()
	default:
		return nil
	}
	r.shifts("at", "move it a little", c.At, r2.Vec{})
	return r.all
}
