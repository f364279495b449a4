package crater

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// Gouge is a scar torn along a line. Like a crater it clears what stands over it.
type Gouge struct {
	parts.Named
	From      *r2.Vec      `key:"from" type:"point" doc:"one end, with to"`
	To        *r2.Vec      `key:"to" type:"point" doc:"the other end"`
	Line      []r2.Vec     `key:"line" type:"points" doc:"its line, two points or more, instead of from and to"`
	Level     *parts.Level `key:"level" type:"level" doc:"the surface that was torn; left out, the highest finished level under its first point"`
	Width     float64      `key:"width" type:"length" doc:"from lip to lip" required:"yes" min:"0.3" max:"500"`
	Depth     float64      `key:"depth" type:"height" doc:"depth of its floor below the level" required:"yes" min:"0.1" max:"200"`
	Profile   string       `key:"profile" type:"word" doc:"section across it: u, a parabola, or v" default:"u" words:"u,v"`
	Lips      float64      `key:"lips" type:"height" doc:"height of the lips thrown up on both sides; 0 for none" default:"0" min:"0" max:"50"`
	Roughness float64      `key:"roughness" type:"number" doc:"0 smooth .. 1 wild: lumps, a wandering edge with blocks broken out of it" default:"0.5" min:"0" max:"1"`
	Seed      uint64       `key:"seed" type:"seed" doc:"picks lumps and bites" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "gouge", Stage: parts.Damaging,
		Doc: "A scar torn along a line, with a round or a sharp floor. It clears whatever stands over it.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[gouge]]
line = [[8, 10], [28, 20], [40, 32], [46, 48]]
width = 9
depth = 2.4
lips = 0.3
roughness = 0.8
`,
		New: func() parts.Part { return &Gouge{} },
	})
}

// lipReach is how far the lips of a gouge lie, in half-widths from its middle.
const lipReach = 2

// points is the line of the gouge.
func (g *Gouge) points() []r2.Vec {
	if len(g.Line) > 0 {
		return g.Line
	}
	if g.From == nil || g.To == nil {
		return nil
	}
	return []r2.Vec{*g.From, *g.To}
}

// gougeSizes are a gouge's sizes as drawn, mm on the print, and its notes.
type gougeSizes struct {
	found        bool    // false where the scene gives no level and nothing lies there
	level, depth float64 // of the torn surface, and of the floor below it
	groove       profile
	bare         bool // without lips: there are none, or they are thinner than prints
	plan         *scarPlan
	notes        []parts.Note
}

// settled is for a gouge that has a line.
func (g *Gouge) settled(s *parts.Site) *gougeSizes {
	return parts.Settled(s, g, func() *gougeSizes { return g.settle(s) })
}

// settle works out the gouge's sizes: one that is too shallow to show is deepened to
// the least relief.
func (g *Gouge) settle(s *parts.Site) *gougeSizes {
	z := &gougeSizes{}
	notes := parts.Notes{Part: g.Name}
	points := g.points()
	if g.Level != nil {
		z.level, z.found = g.Level.Height, true
	} else {
		z.level, z.found = s.LevelAt(points[0])
	}
	z.depth = notes.AtLeast("depth", g.Depth, s.Print.Relief, "relief")
	radius, all := g.Width/2, z.depth+g.Lips
	z.groove = profile{curve: all / (radius * radius), bend: radius, slope: 2 * all / radius}
	if g.Profile == "v" {
		z.groove = profile{slope: all / radius}
	}
	noise := sdf.NewNoise(s.Rand(g.Name, g.Seed, "lip").Uint64(), 3*g.Width, 2)
	z.plan = newScarPlan(newTrack(points), planar.Bounds(points), radius, 0.2*g.Roughness, noise)
	if z.bare = tooThin(0, g.Lips); z.bare && g.Lips != 0 {
		notes.Add("lips", "left out: lips of %.2f mm are thinner than prints", g.Lips)
	}
	z.notes = notes.List
	return z
}

// Notes are what is drawn otherwise than the scene gives it.
func (g *Gouge) Notes(s *parts.Site) []parts.Note { return g.settled(s).notes }

// Check reports a line that is none, a surface that is not there and walls
// steeper than can be drawn well.
func (g *Gouge) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: g.Name, Key: key, Text: text, Allowed: allowed}}
	}
	const allowed = "from and to, or line"
	switch {
	case len(g.Line) > 0 && (g.From != nil || g.To != nil):
		return fault("line", "the gouge has both a line and an end", allowed)
	case len(g.Line) == 0 && (g.From == nil || g.To == nil):
		return fault("", "the gouge has no line", allowed)
	}
	key := "line"
	if len(g.Line) == 0 {
		key = "to"
	}
	points := g.points()
	if len(points) < 2 {
		return fault(key, "has one point", "two points or more")
	}
	if faults := parts.LineFaults(g.Name, key, points); faults != nil {
		return faults
	}
	var faults []parts.Fault
	z := g.settled(s)
	if !z.found {
		faults = append(faults, fault(key, fmt.Sprintf("there is nothing to tear at (%.2f, %.2f) mm", points[0].X, points[0].Y),
			"a first point on the ground, a deck or a finish, or a level of its own")...)
	}
	if most := 1.5 * g.Width; z.depth+g.Lips > most {
		faults = append(faults, fault("depth", fmt.Sprintf("%.2f mm with lips of %.2f mm is too deep for a width of %.2f mm", z.depth, g.Lips, g.Width),
			fmt.Sprintf("at most one and a half times the width in all, %.2f mm", most))...)
	}
	return faults
}

// Strewn is where debris of the gouge lies.
func (g *Gouge) Strewn(*parts.Site) ([]r2.Vec, float64) { return g.points(), g.Width / 2 }

// Cut is the groove with all that it clears above and the blocks broken out of
// its edges.
func (g *Gouge) Cut(s *parts.Site) sdf.Field {
	z, radius := g.settled(s), g.Width/2
	crest := z.level + g.Lips
	shaft := newShaft(z.plan, crest, blastOpening, mostOpening*radius)
	lumps := sdf.NewNoise(s.Rand(g.Name, g.Seed, "groove").Uint64(), max(g.Width/2, 2*s.Print.Gap), 3)
	cut := []sdf.Field{sdf.Intersection(g.floor(s, z), sdf.Displace(shaft, lumps, 0.2*g.Roughness*z.depth))}
	if g.Roughness > 0 {
		rng := s.Rand(g.Name, g.Seed, "bites")
		size := [2]float64{max(0.15*g.Width, s.Print.Gap), max(0.4*g.Width, 2*s.Print.Gap)}
		spacing := g.Width * (1.6 - g.Roughness)
		var spots []lipSpot
		points := g.points()
		for i, b := range points[1:] {
			a := points[i]
			length := r2.Norm(r2.Sub(b, a))
			n := min(int(length/spacing), mostBites/len(points))
			for range n {
				t, side := rng.Float64(), 2*float64(rng.IntN(2))-1
				out := r2.Scale(side, planar.LeftNormal(a, b))
				spots = append(spots, lipSpot{at: r2.Add(r2.Add(a, r2.Scale(t, r2.Sub(b, a))), r2.Scale(radius, out)), out: out})
			}
		}
		cut = append(cut, lipBites(rng, spots, z.level, crest+g.Lips+1, size)...)
	}
	return sdf.Union(cut...)
}

// plain is the groove without lumps, and all that it clears above.
func (g *Gouge) plain(z *gougeSizes) sdf.Field {
	return sdf.Intersection(newScoop(z.plan, z.level-z.depth, z.groove),
		newShaft(z.plan, z.level+g.Lips, blastOpening, mostOpening*g.Width/2))
}

// Bite is the groove without lumps.
func (g *Gouge) Bite(s *parts.Site) parts.Bite {
	return parts.Bite{Gone: g.plain(g.settled(s)), Wide: g.Width, Seed: s.Rand(g.Name, g.Seed, "fracture").Uint64()}
}

// floor is all above the floor of the groove: loose ground where the groove is wide and
// deep enough for clods.
func (g *Gouge) floor(s *parts.Site, z *gougeSizes) sdf.Field {
	groove := newScoop(z.plan, z.level-z.depth, z.groove)
	clods := g.loose(s, "floor")
	if clods == nil || clods.Depth() > z.depth/2 {
		return groove
	}
	rng := s.Rand(g.Name, g.Seed, "slump")
	slump := relief.NewFacets(rng.Uint64(), max(0.6*g.Width, 2), 0.4*g.Roughness*z.depth, 0.2)
	return bedded(groove, relief.Sum(slump, relief.Inverse(clods)))
}

// mostBites bounds the blocks broken out of one gouge's edges.
const mostBites = 400

// Throw is the lips on endless ground at the level.
func (g *Gouge) Throw(s *parts.Site) sdf.Field { return g.ThrowOn(s, nil) }

// ThrowOn is the lips on the work there is; nil where there are none.
func (g *Gouge) ThrowOn(s *parts.Site, work sdf.Field) sdf.Field {
	z := g.settled(s)
	if z.bare {
		return nil
	}
	e := &sheet{
		plan: z.plan, level: z.level, flank: g.Width, fall: g.Lips,
		lumps: sdf.NewNoise(s.Rand(g.Name, g.Seed, "lips").Uint64(), max(g.Width/2, 1.5), 2),
		lump:  min(1.2*g.Roughness, 0.9), bump: 0.7 * g.Roughness * g.Lips, spread: g.Width,
	}
	e.edge = e.ejectaReach(lipReach*g.Width/2, featherEdge)
	if !onFinish(s, g.points()[0], z.level) {
		e.sag = s.Roughness(z.level) / 2
	}
	return newEjecta(s, e, work, g.loose(s, "clods"))
}

// loose are the clods of the gouge; nil for a smooth one.
func (g *Gouge) loose(s *parts.Site, purpose string) relief.Relief {
	if g.Roughness == 0 {
		return nil
	}
	return loose(s, s.Rand(g.Name, g.Seed, purpose).Uint64(), min(1, 2*g.Roughness))
}

// Extents are the band about its line.
func (g *Gouge) Extents(*parts.Site) []parts.Extent {
	key := "line"
	if len(g.Line) == 0 {
		key = "from"
	}
	return []parts.Extent{{Key: key, Points: g.points(), Wide: g.Width / 2}}
}

// CheckPlace reports a gouge that takes all of the land.
func (g *Gouge) CheckPlace(s *parts.Site) []parts.Fault {
	return s.LargerThanLand(g, "width", g.points(), g.Width)
}
