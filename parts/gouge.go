package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Gouge is a scar torn along a line. Like a crater it clears what stands over it.
type Gouge struct {
	Named
	From      *r2.Vec  `key:"from" type:"point" doc:"one end, with to"`
	To        *r2.Vec  `key:"to" type:"point" doc:"the other end"`
	Line      []r2.Vec `key:"line" type:"points" doc:"its line, two points or more, in place of from and to"`
	Level     *Level   `key:"level" type:"level" doc:"the surface that was torn; left out, the highest finished level under its first point"`
	Width     float64  `key:"width" type:"length" doc:"from lip to lip" required:"yes" min:"0.3" max:"500"`
	Depth     float64  `key:"depth" type:"height" doc:"of its floor below the level" required:"yes" min:"0.1" max:"200"`
	Profile   string   `key:"profile" type:"word" doc:"section across it: u, a parabola, or v" default:"u" words:"u,v"`
	Lips      float64  `key:"lips" type:"height" doc:"height of the lips thrown up on both sides; 0 for none" default:"0" min:"0" max:"50"`
	Roughness float64  `key:"roughness" type:"number" doc:"0 smooth .. 1 wild: lumps, a wandering edge with blocks broken out of it" default:"0.5" min:"0" max:"1"`
	Seed      uint64   `key:"seed" type:"seed" doc:"picks lumps and bites" default:"1"`
	Only      []string `key:"only" type:"refs" doc:"names of the only parts that it touches"`
	Spares    []string `key:"spares" type:"refs" doc:"names of parts that it leaves whole"`
}

func init() {
	register(Kind{
		Word: "gouge", Stage: Damaging,
		Doc: "A scar torn along a line, with a round or a sharp floor. It clears whatever stands over it.",
		New: func() Part { return &Gouge{} },
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

// level is the height of the torn surface.
func (g *Gouge) level(s *Site) (float64, bool) {
	if g.Level != nil {
		return g.Level.Height, true
	}
	return s.LevelAt(g.points()[0])
}

// depth is that of the groove as drawn, mm: what is too shallow to show is
// deepened to the least relief.
func (g *Gouge) depth(s *Site) float64 { return math.Max(g.Depth, s.Print.Relief) }

// Check reports a line that is none, a surface that is not there and walls
// steeper than can be drawn well.
func (g *Gouge) Check(s *Site) []Fault {
	fault := func(key, text, allowed string) []Fault {
		return []Fault{{Part: g.Name, Key: key, Text: text, Allowed: allowed}}
	}
	const ways = "from and to, or line"
	switch {
	case len(g.Line) > 0 && (g.From != nil || g.To != nil):
		return fault("line", "the gouge has both a line and an end", ways)
	case len(g.Line) == 0 && (g.From == nil || g.To == nil):
		return fault("", "the gouge has no line", ways)
	case len(g.Line) > mostCorners:
		return fault("line", fmt.Sprintf("has %d points", len(g.Line)), fmt.Sprintf("at most %d", mostCorners))
	}
	key := "line"
	if len(g.Line) == 0 {
		key = "to"
	}
	points := g.points()
	if len(points) < 2 {
		return fault(key, "has one point", "two points or more")
	}
	for i, p := range points {
		if math.IsNaN(p.X+p.Y) || math.Max(math.Abs(p.X), math.Abs(p.Y)) > mostReach {
			return fault(key, fmt.Sprintf("point %d is at (%v, %v) mm", i+1, p.X, p.Y), fmt.Sprintf("within %v mm of the origin", float64(mostReach)))
		}
		if i > 0 && r2.Norm(r2.Sub(p, points[i-1])) < leastSize {
			return fault(key, fmt.Sprintf("points %d and %d are one", i, i+1), fmt.Sprintf("points at least %v mm apart", leastSize))
		}
	}
	var faults []Fault
	if _, ok := g.level(s); !ok {
		faults = append(faults, fault(key, fmt.Sprintf("nothing lies at (%.2f, %.2f) mm to be torn", points[0].X, points[0].Y),
			"a first point on the ground, a deck or a finish, or a level of its own")...)
	}
	if most := 1.5 * g.Width; g.depth(s)+g.Lips > most {
		faults = append(faults, fault("depth", fmt.Sprintf("%.2f mm with lips of %.2f mm is too deep for a width of %.2f mm", g.depth(s), g.Lips, g.Width),
			fmt.Sprintf("at most one and a half times the width in all, %.2f mm", most))...)
	}
	return faults
}

// Narrow gives the only parts that it touches and those it spares.
func (g *Gouge) Narrow() (only, spares []string) { return g.Only, g.Spares }

// Strewn is where debris of the gouge lies.
func (g *Gouge) Strewn(*Site) ([]r2.Vec, float64) { return g.points(), g.Width / 2 }

func (g *Gouge) plan(s *Site) *scarPlan {
	points := g.points()
	noise := sdf.NewNoise(s.Rand(g.Name, g.Seed, "lip").Uint64(), 3*g.Width, 2)
	return newScarPlan(newTrack(points), boundsOf(points), g.Width/2, 0.2*g.Roughness, noise)
}

// Cut is the groove with all that it clears above and the blocks broken out of
// its edges.
func (g *Gouge) Cut(s *Site) sdf.Field {
	level, _ := g.level(s)
	plan, radius := g.plan(s), g.Width/2
	depth := s.AtLeast(g.Name, "depth", g.Depth, s.Print.Relief, "relief")
	floor, crest := level-depth, level+g.Lips
	all := depth + g.Lips
	curve, bend, slope := all/(radius*radius), radius, 2*all/radius
	if g.Profile == "v" {
		curve, bend, slope = 0, 0, all/radius
	}
	groove := sdf.Intersection(newScoop(plan, floor, curve, bend, slope),
		newShaft(plan, crest, blastOpening, mostOpening*radius))
	lumps := sdf.NewNoise(s.Rand(g.Name, g.Seed, "groove").Uint64(), math.Max(g.Width/2, 2*s.Print.Gap), 3)
	cut := []sdf.Field{sdf.Displace(groove, lumps, 0.2*g.Roughness*depth)}
	if g.Roughness > 0 {
		rng := s.Rand(g.Name, g.Seed, "bites")
		size := [2]float64{math.Max(0.15*g.Width, s.Print.Gap), math.Max(0.4*g.Width, 2*s.Print.Gap)}
		spacing := g.Width * (1.6 - g.Roughness)
		var spots []lipSpot
		points := g.points()
		for i, b := range points[1:] {
			a := points[i]
			length := r2.Norm(r2.Sub(b, a))
			n := min(int(length/spacing), mostBites/len(points))
			for range n {
				t, side := rng.Float64(), 2*float64(rng.IntN(2))-1
				out := r2.Scale(side, leftNormal(a, b))
				spots = append(spots, lipSpot{at: r2.Add(r2.Add(a, r2.Scale(t, r2.Sub(b, a))), r2.Scale(radius, out)), out: out})
			}
		}
		cut = append(cut, lipBites(rng, spots, level, crest+g.Lips+1, size)...)
	}
	return sdf.Union(cut...)
}

// mostBites bounds the blocks broken out of one gouge's edges.
const mostBites = 400

// Throw is the lips on endless ground at the level.
func (g *Gouge) Throw(s *Site) sdf.Field { return g.ThrowOn(s, nil) }

// ThrowOn is the lips on the work there is; nil where there are none.
func (g *Gouge) ThrowOn(s *Site, work sdf.Field) sdf.Field {
	if g.Lips == 0 {
		return nil
	}
	level, _ := g.level(s)
	e := &ejecta{
		plan: g.plan(s), on: work, level: level, flank: g.Width, fall: g.Lips,
		sunk:  math.Max(1.5, 1.5*g.Lips),
		lumps: sdf.NewNoise(s.Rand(g.Name, g.Seed, "lips").Uint64(), math.Max(g.Width/2, 1.5), 2),
		lump:  math.Min(1.2*g.Roughness, 0.9), bump: 0.5 * g.Roughness * g.Lips, ragged: 0.4 * g.Roughness * g.Width,
	}
	if !e.finish(lipReach * g.Width / 2) {
		s.Note(g.Name, "lips", "left out: lips of %.2f mm are thinner than prints", g.Lips)
		return nil
	}
	return e
}

// track is the distance to a line of straight sides. Is exact.
type track struct {
	sides []side
}

func newTrack(points []r2.Vec) *track {
	t := &track{}
	for i, a := range points[:len(points)-1] {
		e := r2.Sub(points[i+1], a)
		l := norm2(e)
		t.sides = append(t.sides, side{a: a, along: r2.Vec{X: e.X / l, Y: e.Y / l}, length: l})
	}
	return t
}

// pruned is the track for a disc: the same bits everywhere in it. A side that is
// further from its middle than the nearest by more than its width is not the nearest
// anywhere in it.
func (t *track) pruned(c r2.Vec, r float64) *track {
	const few, slack = 8, 1e-9
	if len(t.sides) <= few {
		return t
	}
	limit := t.at(c) + 2*r + slack
	var kept []side
	for i := range t.sides {
		if v := t.sides[i].nearest(c); dot2(v, v) <= limit*limit {
			kept = append(kept, t.sides[i])
		}
	}
	if len(kept) == len(t.sides) {
		return t
	}
	return &track{kept}
}

func (t *track) at(p r2.Vec) float64 {
	d, _ := t.slope(p)
	return d
}

func (t *track) slope(p r2.Vec) (float64, r2.Vec) {
	least := math.Inf(1)
	var from r2.Vec
	for i := range t.sides {
		v := t.sides[i].nearest(p)
		if l := dot2(v, v); l < least {
			least, from = l, v
		}
	}
	l := math.Sqrt(least)
	if l < 1e-300 {
		return l, r2.Vec{X: 1}
	}
	return l, r2.Vec{X: from.X / l, Y: from.Y / l}
}

// Extents are the band about its line.
func (g *Gouge) Extents(*Site) []Extent {
	key := "line"
	if len(g.Line) == 0 {
		key = "from"
	}
	return []Extent{{Key: key, Points: g.points(), Wide: g.Width / 2}}
}

// CheckPlace reports a gouge that takes all of the land.
func (g *Gouge) CheckPlace(s *Site) []Fault {
	return s.LargerThanLand(g, "width", g.points(), g.Width)
}

// Remedies of a gouge.
func (g *Gouge) Remedies(s *Site, t Trouble) []Remedy {
	r := remediesOf(g)
	switch {
	case t.thin() || t.hanging() || t.trapped() || t.of("narrow-gap"):
		r.scaled("roughness", "less roughness", g.Roughness, 0.5, 0)
		r.scaled("width", "a little wider or narrower", g.Width, 1.1, 0.9, 1.25)
		r.scaled("depth", "a little more or less depth", g.Depth, 0.9, 1.1, 0.75)
		r.seeds(g.Seed)
		r.spare(t, g.Only, g.Spares)
	case t.of("shallow-relief"):
		r.scaled("depth", "a deeper gouge", g.Depth, 1.25, 1.6)
	case t.of("uneven-foot", "bow", "skin"):
		r.scaled("depth", "less depth", g.Depth, 0.9, 0.8, 0.65)
	case t.of("uneven-risers", "stand", "rough-stand"):
		r.spare(t, g.Only, g.Spares)
		r.scaled("depth", "less depth", g.Depth, 0.8, 0.65)
	default:
		return nil
	}
	r.words("line", "move it a little")
	return r.all
}
