package pockmarks

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Pockmarks are small bowls that fragments struck out of a floor or of the faces of a wall.
type Pockmarks struct {
	parts.Named
	At        *r2.Vec      `key:"at" type:"point" doc:"the plan of a burst: fragments fly from it evenly in all directions, so that marks crowd under it and thin out with the cube of the distance; with on, those of them that strike the wall" source:"geometry"`
	Area      *parts.Area  `key:"area" type:"table" doc:"a floor that is marked evenly, in place of at"`
	On        string       `key:"on" type:"ref" doc:"the wall that is marked, alone unless only names more; left out, a floor is" of:"upright"`
	From      *float64     `key:"from" type:"length" doc:"with on: where the marks begin, along the wall from the first point of its line; left out, its start" min:"0" max:"4000"`
	To        *float64     `key:"to" type:"length" doc:"with on: where they end; left out, its end" min:"0" max:"4000"`
	Low       float64      `key:"low" type:"height" doc:"with on: the height over the foot of the wall from which on it is marked" default:"0" min:"0" max:"500"`
	High      *float64     `key:"high" type:"height" doc:"with on: the height up to which it is; left out, its top" min:"0.3" max:"500"`
	Face      string       `key:"face" type:"word" plan:"flank" doc:"with on: the face that is marked, as one walks along the wall; burst is the one that looks to at, and both where there is no burst" default:"burst" words:"burst,left,right,both"`
	Level     *parts.Level `key:"level" type:"level" doc:"the surface that is marked, and that the burst is over; left out, the highest finished level under at or the middle of the area, with on the level that the wall stands on"`
	Up        float64      `key:"up" type:"height" doc:"with at: how high over the level it burst" default:"500 mm" min:"0.5" max:"500" source:"common practice, no source"`
	Reach     *float64     `key:"reach" type:"length" doc:"with at, on a floor: how far from it marks lie; left out, four times up" min:"1" max:"500" source:"common practice, no source"`
	Count     *int         `key:"count" type:"count" doc:"number of marks, in place of density" min:"1" max:"1000"`
	Density   *float64     `key:"density" type:"number" unit:"per m2" doc:"marks on each full-size square metre of what is marked, on the mean; left out, 12" min:"0.01" max:"1000" source:"common practice, no source"`
	Size      *[2]float64  `key:"size" type:"size" doc:"least and greatest diameter; left out, from 50 mm full size (or the least that prints) to 250 mm or three times the least" min:"0.1" max:"50" source:"common practice, no source"`
	Exponent  float64      `key:"exponent" type:"number" doc:"exponent of the size law: the number of marks wider than d is proportional to d to the power of minus this" default:"2.5" min:"1" max:"4" source:"about 2.5 for the pieces of what broke: Turcotte, J. Geophys. Res. 91 (1986), 1921; that marks are as wide as what made them: common practice, no source"`
	Depth     float64      `key:"depth" type:"number" doc:"depth of a mark as a share of its diameter" default:"0.28" min:"0.1" max:"0.5" source:"common practice, no source"`
	Rim       *string      `key:"rim" type:"word" doc:"about a mark: chipped, a shallow scar that came off brittle work round the bowl; raised, a ring of what was thrown up, on floors; or plain. Left out: raised on bare ground, else chipped" words:"chipped,raised,plain" source:"common practice, no source"`
	Roughness float64      `key:"roughness" type:"number" doc:"0 round .. 1 wild: how uneven bowls and scars are" default:"0.5" min:"0" max:"1"`
	Seed      uint64       `key:"seed" type:"seed" doc:"picks sizes and places" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "pockmarks", Stage: parts.Damaging,
		Doc: "What fragments leave on a floor or a wall: many small bowls with chipped rims, few large and many small, thick about a burst or even over a region.",
		New: func() parts.Part { return &Pockmarks{} },
		Example: `
[[wall]]
name = "yard-wall"
line = [[17, 35], [47, 35]]
from = "floor"
height = "1.3 m"
coursing = "ashlar"
ruin = 0.3

[[pockmarks]]
on = "yard-wall"
at = [30, 22]

[[pockmarks]]
at = [30, 22]
count = 70
`,
	})
}

// What is left out. Common practice, no source.
const (
	usualDensity = 12.0 // on a full-size square metre
	leastFull    = 50.0 // diameter of the least mark, full-size mm
	mostFull     = 250.0
	reachUps     = 4.0 // reach over height of the burst
	// mostMarks bounds the marks of one part.
	mostMarks = 1000
)

// sizes are those of the marks as they are drawn, mm on the print.
type sizes struct {
	found       bool // false where there is no floor, or no wall
	level       float64
	faces       []face
	least, most float64 // diameters
	deepest     float64 // of any mark
	count       int
	rim         string
	sag         float64 // how far the bare land lies below its level on the mean
	wall        parts.Upright
	notes       parts.Notes
}

func (p *Pockmarks) settled(s *parts.Site) *sizes {
	return parts.Settled(s, p, func() *sizes { return p.settle(s) })
}

// middle is the place of a floor that they are about.
func (p *Pockmarks) middle() r2.Vec {
	switch {
	case p.At != nil:
		return *p.At
	case p.Area != nil:
		return p.Area.Centre()
	}
	return r2.Vec{}
}

// settle is for marks that have a place; the wall may be none.
func (p *Pockmarks) settle(s *parts.Site) *sizes {
	z := &sizes{deepest: math.Inf(1), rim: "chipped", notes: parts.Notes{Part: p.Name}}
	if p.On != "" {
		w, ok := s.Find(p.On).(parts.Walled)
		if !ok {
			return z
		}
		if z.wall, ok = w.Upright(s); !ok {
			return z
		}
		z.level, z.found = z.wall.Foot, true
		if p.Level != nil {
			z.level = p.Level.Height
		}
		z.faces = p.wallFaces(s, z)
		z.deepest = z.spare(s, p.both())
	} else {
		if z.level, z.found = s.LevelAt(p.middle()); p.Level != nil {
			z.level, z.found = p.Level.Height, true
		}
		if !z.found {
			return z
		}
		z.faces = []face{p.floor(z)}
		if s.Roughness(z.level) > 0 && !finished(s, z.level, p.middle()) {
			z.rim, z.sag = "raised", s.Roughness(z.level)/2
		}
	}
	if p.Rim != nil {
		z.rim = *p.Rim
	}
	p.settleSizes(s, z)
	return z
}

// finished says whether a finish lies at a place of a level.
func finished(s *parts.Site, level float64, at r2.Vec) bool {
	return slices.ContainsFunc(parts.Finishes(s, level), func(f parts.Finish) bool { return f.Area.Contains(at) })
}

// spare is how deep a wall may be marked so that what is left is one that prints, mm.
func (z *sizes) spare(s *parts.Site, both bool) float64 {
	most := z.wall.Thick - s.Printer.JoinedWall()
	if both {
		most /= 2
	}
	return most
}

// settleSizes raises what would not show: a mark is as deep as the least relief.
func (p *Pockmarks) settleSizes(s *parts.Site, z *sizes) {
	prints := s.Print.Relief / p.Depth
	if p.Size != nil {
		z.least, z.most = p.Size[0], math.Max(p.Size[0], p.Size[1])
		if z.least < prints {
			z.notes.Add("size", "marks of %.2f mm are drawn at %.2f mm at least, so that their depth shows", z.least, prints)
			z.least, z.most = prints, math.Max(prints, z.most)
		}
	} else {
		z.least = math.Max(s.OnPrint(leastFull), prints)
		z.most = math.Max(s.OnPrint(mostFull), 3*z.least)
	}
	if p.Depth*z.most > z.deepest+planar.Rounding {
		z.notes.Add("depth", "marks are %.2f mm deep at most, so that the wall of %.2f mm stays whole", z.deepest, z.wall.Thick)
	}
	if p.Count != nil {
		z.count = *p.Count
		return
	}
	density, area := usualDensity, 0.0
	if p.Density != nil {
		density = *p.Density
	}
	for _, f := range z.faces {
		area += f.size()
	}
	full := s.Scale.Ratio / 1000 // m for each mm
	z.count = int(math.Ceil(math.Min(density*area*full*full, mostMarks+1)))
	if z.count > mostMarks {
		z.notes.Add("density", "%g on a square metre are more than %d marks: so many are drawn", density, mostMarks)
		z.count = mostMarks
	}
}

// Notes are what is drawn otherwise than the scene gives it, and marks that found no place.
func (p *Pockmarks) Notes(s *parts.Site) []parts.Note {
	z := p.settled(s)
	if !z.found {
		return nil
	}
	notes := parts.Notes{Part: p.Name, List: slices.Clone(z.notes.List)}
	if n := len(p.laid(s)); n < z.count {
		notes.Add("", "%d of %d marks found a place of their own", n, z.count)
	}
	return notes.List
}

// Pieces counts the bowls and what is about them.
func (p *Pockmarks) Pieces(s *parts.Site) int { return 2 * p.settled(s).count }

// Narrow gives the only parts that they mark and those they spare.
func (p *Pockmarks) Narrow() (only, spares []string) {
	if p.On != "" && len(p.Only) == 0 {
		return []string{p.On}, p.Spares
	}
	return p.Only, p.Spares
}

// Check reports marks without a place, or with two, and keys that do not go with it.
func (p *Pockmarks) Check(s *parts.Site) (faults []parts.Fault) {
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: p.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	onWall := p.On != ""
	if p.Count != nil && p.Density != nil {
		fault("density", "one of count and density", "the marks have both a count and a density")
	}
	if p.Size != nil && p.Size[0] > p.Size[1] {
		fault("size", "[least, greatest]", "the least diameter, %.2f mm, is more than the greatest, %.2f mm", p.Size[0], p.Size[1])
	}
	for _, k := range []struct {
		key   string
		given bool
		wall  bool // it goes with on; else with a floor
	}{{"from", p.From != nil, true}, {"to", p.To != nil, true}, {"low", p.Low > 0, true}, {"high", p.High != nil, true},
		{"face", p.Face != "burst", true}, {"reach", p.Reach != nil, false}, {"area", p.Area != nil, false}} {
		switch {
		case k.given && k.wall && !onWall:
			fault(k.key, `on = the name of a wall beside it`, "is about the marks of a wall")
		case k.given && !k.wall && onWall:
			fault(k.key, "it beside a floor, without on", "is about the marks of a floor")
		}
	}
	switch {
	case len(faults) > 0:
	case onWall:
		faults = p.Misses(p.Name, p.On, "the wall that they mark")
		p.checkWall(s, fault)
	case p.At != nil && p.Area != nil:
		fault("area", "one of at and area", "the marks have both a burst and an area")
	case p.At == nil && p.Area == nil:
		fault("", "on, at or area", "the marks have no place")
	case p.Area != nil && len(p.Area.Check(p.Name, "area")) > 0:
		return p.Area.Check(p.Name, "area")
	case p.Area != nil && p.Reach != nil:
		fault("reach", "reach beside at", "marks over an area have no reach")
	case !p.settled(s).found:
		at := p.middle()
		fault(p.placeKey(), "a place on the ground, a deck or a finish, or a level of its own", "there is nothing to mark at (%.2f, %.2f) mm", at.X, at.Y)
	}
	return faults
}

func (p *Pockmarks) placeKey() string {
	switch {
	case p.On != "":
		return "on"
	case p.At != nil:
		return "at"
	}
	return "area"
}

func (p *Pockmarks) checkWall(s *parts.Site, fault func(key, allowed, format string, args ...any)) {
	w, ok := s.Find(p.On).(parts.Walled)
	if c, checks := w.(parts.Checker); !ok || checks && len(c.Check(s)) > 0 {
		return // the wall's own faults come first
	}
	z := p.settled(s)
	if !z.found {
		return
	}
	long := planar.LengthOf(z.wall.Line)
	from, to := z.wall.Stretch(p.From, p.To)
	low, high := p.band(z)
	switch {
	case from >= to-parts.LeastSize:
		fault("to", fmt.Sprintf("more than from, %.2f mm, and a wall of %.2f mm", from, long), "leaves nothing of the wall from %.2f to %.2f mm", from, to)
	case low >= high-parts.LeastSize:
		fault("low", fmt.Sprintf("less than high, and than the wall, %.2f mm high", z.wall.High), "leaves nothing of the wall from %.2f to %.2f mm up", low, high)
	case z.spare(s, p.both()) < s.Print.Relief:
		fault("on", fmt.Sprintf("a wall of %.2f mm at least", z.wall.Thick+float64(1+flag(p.both()))*(s.Print.Relief-z.spare(s, p.both()))),
			"%q is %.2f mm thick: marks of %.2f mm would leave less than prints", p.On, z.wall.Thick, s.Print.Relief)
	case p.At != nil && len(z.faces) == 0:
		fault("at", "a place beside the face", "(%.2f, %.2f) mm looks at no face that is to be marked", p.At.X, p.At.Y)
	}
}

func flag(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Extents are the disc about the burst, the area, or the stretch of the wall.
func (p *Pockmarks) Extents(s *parts.Site) []parts.Extent {
	z := p.settled(s)
	switch {
	case p.On != "":
		if !z.found {
			return nil
		}
		line := planar.Line{Pts: planar.RaiseLine(z.wall.Line, 0)}
		from, to := z.wall.Stretch(p.From, p.To)
		return []parts.Extent{{Key: "on", Points: planar.Stretch(line.Sides(), from, to), Wide: z.wall.Thick / 2}}
	case p.At != nil:
		return []parts.Extent{{Key: "at", Points: []r2.Vec{*p.At}, Wide: p.reach()}}
	}
	return []parts.Extent{{Key: "area", Points: p.Area.Outline(), Closed: true}}
}

// Measures are the widest mark and its depth.
func (p *Pockmarks) Measures(s *parts.Site) []parts.Measure {
	z := p.settled(s)
	if !z.found {
		return nil
	}
	wide := parts.Unlimited("widest mark", "size", z.most, s.FullSize(z.most))
	wide.Yardstick = s.Share(wide.Full)
	return []parts.Measure{wide}
}

// Remedies of pockmarks.
func (p *Pockmarks) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r, z := parts.RemediesOf(p), p.settled(s)
	switch {
	case t.Of("shallow-relief"):
		r.Scaled("depth", "deeper marks", p.Depth, 1.25, 1.6)
	case t.Thin() || t.Hanging() || t.Of("narrow-gap", "uneven-foot", "skin"):
		r.Seeds(p.Seed)
		r.Scaled("depth", "shallower marks", p.Depth, 0.8, 0.6)
		r.To("count", "fewer marks", z.count*3/4, max(1, z.count/2))
	case t.Of("stand", "rough-stand", "uneven-risers"):
		r.Spare(t, p.Only, p.Spares)
		r.Seeds(p.Seed)
	}
	return r.All
}
