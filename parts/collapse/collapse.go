package collapse

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Collapse is a wall or a floor that came down where it stood.
type Collapse struct {
	parts.Named
	Of        string      `key:"of" type:"ref" doc:"what came down: a wall, alone unless only names more, or a floor with room under it, with all that stands on it there" of:"upright,slab" required:"yes"`
	From      *float64    `key:"from" type:"length" doc:"of a wall: where it begins, along the wall from the first point of its line; left out, its start" min:"0" max:"4000"`
	To        *float64    `key:"to" type:"length" doc:"of a wall: where it ends; left out, its end" min:"0" max:"4000"`
	Area      *parts.Area `key:"area" type:"table" doc:"of a floor: the region that came down"`
	Stump     float64     `key:"stump" type:"height" doc:"of a wall: how high it still stands, on the mean" default:"700 mm" min:"0" max:"500" source:"common practice, no source"`
	Slope     float64     `key:"slope" type:"angle" doc:"of a wall: how steeply what stands at either end steps down to the stump" default:"65" min:"30" max:"90" source:"masonry racks back at 45 to 60 degrees and steeper: rule of thumb for lintels; common practice, no source"`
	Falls     string      `key:"falls" type:"word" plan:"flank" doc:"of a wall: the side that it fell to, as one walks along it" default:"both" words:"both,left,right"`
	Bulking   float64     `key:"bulking" type:"number" doc:"volume of the heap over that of the work that came down: what is broken lies with voids" default:"1.4" min:"1" max:"2" source:"1.3 to 1.6: soil mechanics texts, from memory"`
	Roughness float64     `key:"roughness" type:"number" doc:"0 even .. 1 wild: how ragged the top of the stump is" default:"0.6" min:"0" max:"1"`
	Seed      uint64      `key:"seed" type:"seed" doc:"picks how it broke" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "collapse", Stage: parts.Damaging,
		Doc: "A wall or a floor brought down where it stood: a ragged stump, or a hole. " +
			"A spill from it lays what came down, by its volume, in heaps at the angle of repose along its foot.",
		New: func() parts.Part { return &Collapse{} },
		Example: `
[[wall]]
name = "barn"
line = [[4, 27], [47, 27]]
from = "floor"
height = "1.25 m"
coursing = "brick"
ruin = 0.1

[[collapse]]
name = "fall"
of = "barn"
from = 21
stump = "430 mm"
roughness = 1

[[spill]]
from = "fall"
amount = 0.06
seed = 2
`,
	})
}

// sizes are those of a collapse as it is drawn, mm on the print.
type sizes struct {
	open  bool // false where there is nothing to come down: the other fields then mean nothing
	wall  parts.Upright
	floor *parts.Floor // of a floor; nil of a wall
	under float64      // underside of the floor, above the datum

	from, to float64 // along the wall
	stations []station
	least    float64 // height of the stump where it is lowest
	volume   float64 // of the work that came down, mm3
	notes    parts.Notes
}

// station is the height that stays of a wall at a distance along it, above its foot.
type station struct{ at, top float64 }

func (c *Collapse) settled(s *parts.Site) *sizes {
	return parts.Settled(s, c, func() *sizes { return c.settle(s) })
}

func (c *Collapse) settle(s *parts.Site) *sizes {
	z := &sizes{notes: parts.Notes{Part: c.Name}}
	switch p := s.Find(c.Of).(type) {
	case parts.Walled:
		if z.wall, z.open = p.Upright(s); z.open {
			c.settleWall(s, z)
		}
	case parts.Floored:
		if z.open = c.Area != nil && len(c.Area.Check(c.Name, "area")) == 0 && z.roomUnder(s, p); z.open {
			patch, of := c.patch(s, z)
			for _, part := range s.Parts {
				if b, ok := part.(parts.Crumbler); ok && slices.Contains(of, part.Label()) {
					for _, m := range b.Breaks(s, &patch) {
						z.volume += m.Volume
					}
				}
			}
		}
	}
	if z.open && z.volume < parts.LeastSize {
		z.open = false
		z.notes.Add("", "%q has nothing that could come down here", c.Of)
	}
	if z.open && !slices.ContainsFunc(parts.AllOf[parts.Debris](s), func(d parts.Debris) bool { return d.Source() == c.Name }) {
		z.notes.Add("", "no spill comes from it: what came down, %.0f mm3 in a heap, is not there", c.Bulking*z.volume)
	}
	return z
}

// roomUnder finds the floor of a part that is carried over room.
func (z *sizes) roomUnder(s *parts.Site, p parts.Floored) bool {
	carried, ok := p.(parts.Carried)
	if floors := p.Floors(s); len(floors) > 0 && ok && floors[0].Sound() {
		var carriers []parts.Extent
		z.floor = &floors[0]
		z.under, carriers = carried.Carriers(s)
		return len(carriers) > 0
	}
	return false
}

// shared is what of the collapse's area lies on another, mm2.
func (c *Collapse) shared(on *parts.Area) float64 {
	patch := parts.Patch{Area: c.Area}
	return patch.Cover(on.Contains)
}

// mostStations bounds the places at which the top of a stump is drawn.
const mostStations = 400

// settleWall works out what stays of a wall: the stump, ragged by half a course and more, and
// at either end steps up to what stands.
func (c *Collapse) settleWall(s *parts.Site, z *sizes) {
	u := &z.wall
	long := planar.LengthOf(u.Line)
	z.from, z.to = u.Stretch(c.From, c.To)
	stub := math.Max(u.Thick, 2*s.Print.Wall) // less would not stand by itself
	startStands, endStands := z.from > stub, z.to < long-stub
	step := math.Max(math.Max(0.7*u.Thick, u.Course), 1)
	n := int(math.Max(2, math.Min(mostStations, math.Ceil((z.to-z.from)/step))))
	rng := s.Rand(c.Name, c.Seed, "stump")
	ragged := c.Roughness * math.Min(0.6*c.Stump, math.Max(1.6*u.Course, 0.25*u.High))
	steep := math.Tan(math.Min(c.Slope, 89.9) * math.Pi / 180)
	walk := 2*rng.Float64() - 1
	z.least = math.Inf(1)
	for i := range n + 1 {
		walk = math.Max(-1, math.Min(1, 0.55*walk+0.75*(2*rng.Float64()-1)))
		at := z.from + (z.to-z.from)*float64(i)/float64(n)
		top := math.Max(0, c.Stump+ragged*walk)
		z.least = math.Min(z.least, top)
		if startStands {
			top = math.Max(top, u.High-(at-z.from)*steep)
		}
		if endStands {
			top = math.Max(top, u.High-(z.to-at)*steep)
		}
		z.stations = append(z.stations, station{at, top})
		if i > 0 {
			last := z.stations[i-1]
			mid := (last.at + at) / 2
			z.volume += math.Max(0, math.Min(u.High, u.Left(mid))-(last.top+top)/2) * (at - last.at) * u.Thick
		}
	}
	z.least = math.Min(z.least, u.High)
	if !startStands {
		z.stations[0].at = -2 * u.Thick
	}
	if !endStands {
		z.stations[n].at = long + 2*u.Thick
	}
}

// Notes are what it decides for its maker.
func (c *Collapse) Notes(s *parts.Site) []parts.Note { return c.settled(s).notes.List }

// Narrow gives the only parts that it brings down and those it spares.
func (c *Collapse) Narrow() (only, spares []string) {
	if c.Area == nil && len(c.Only) == 0 {
		return []string{c.Of}, c.Spares
	}
	return c.Only, c.Spares
}

// Check reports a collapse that is not of its part, and keys that do not go with that.
func (c *Collapse) Check(s *parts.Site) (faults []parts.Fault) {
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: c.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	faults = c.Misses(c.Name, c.Of, "which comes down")
	of := s.Find(c.Of)
	if p, ok := of.(parts.Checker); ok && len(p.Check(s)) > 0 {
		return faults // its own faults come first
	}
	switch p := of.(type) {
	case parts.Walled:
		c.checkWall(s, p, fault)
	case parts.Floored:
		if c.From != nil || c.To != nil {
			fault("from", "area, the region that came down", "%q is a floor, which has no length", c.Of)
		}
		if c.Area == nil {
			fault("area", "the region that came down", "is needed: %q is a floor", c.Of)
			return faults
		}
		if bad := c.Area.Check(c.Name, "area"); len(bad) > 0 {
			return append(faults, bad...)
		}
		switch z := (&sizes{}); {
		case !z.roomUnder(s, p):
			fault("of", "a floor on piers, on walls or on joists", "%q is solid down to the ground: there is no room for it to fall into", c.Of)
		case c.shared(z.floor.Area) == 0:
			fault("area", fmt.Sprintf("a region on %q", c.Of), "nothing of it lies on %q", c.Of)
		}
	}
	return faults
}

func (c *Collapse) checkWall(s *parts.Site, p parts.Walled, fault func(key, allowed, format string, args ...any)) {
	if c.Area != nil {
		fault("area", "from and to, along the wall", "%q is a wall, which has no region", c.Of)
	}
	u, ok := p.Upright(s)
	if !ok {
		return
	}
	long := planar.LengthOf(u.Line)
	from, to := u.Stretch(c.From, c.To)
	if least := 2 * s.Print.Wall; to-from < least {
		fault("to", fmt.Sprintf("at least %.2f mm past from, on a wall of %.2f mm", least, long),
			"leaves %.2f mm of the wall, from %.2f to %.2f mm", to-from, from, to)
	}
	if most := u.High - s.Print.Wall; c.Stump > most {
		fault("stump", fmt.Sprintf("at most %.2f mm", math.Max(0, most)), "%.2f mm leaves nothing to come down of a wall of %.2f mm", c.Stump, u.High)
	}
}

// Extents are the stretch of the wall, or the area.
func (c *Collapse) Extents(s *parts.Site) []parts.Extent {
	z := c.settled(s)
	switch {
	case !z.open:
		return nil
	case z.floor != nil:
		return []parts.Extent{{Key: "area", Points: c.Area.Outline(), Closed: true}}
	}
	return []parts.Extent{{Key: "of", Points: z.line(z.from, z.to), Wide: z.wall.Thick / 2}}
}

// line is that of the wall between two distances along it.
func (z *sizes) line(from, to float64) []r2.Vec {
	return planar.Stretch(planar.Line{Pts: planar.RaiseLine(z.wall.Line, 0)}.Sides(), math.Max(0, from), math.Min(to, planar.LengthOf(z.wall.Line)))
}

// Measures are the stump of a wall.
func (c *Collapse) Measures(s *parts.Site) []parts.Measure {
	if z := c.settled(s); !z.open || z.floor != nil || c.Stump == 0 {
		return nil
	}
	return parts.TallBeside(s, "stump", "stump", c.Stump)
}

// Remedies of a collapse.
func (c *Collapse) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(c)
	switch {
	case t.Thin() || t.Hanging() || t.Trapped() || t.Of("narrow-gap"):
		r.Seeds(c.Seed)
		r.Scaled("roughness", "less roughness", c.Roughness, 0.5, 0)
		r.Scaled("slope", "another slope", c.Slope, 0.85, 1.15)
		if c.settled(s).floor == nil {
			r.Scaled("stump", "a higher or lower stump", c.Stump, 1.2, 0.8)
		}
	case t.Of("stand", "rough-stand", "uneven-risers"):
		r.Spare(t, c.Only, c.Spares)
	}
	return r.All
}
