package house

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
)

// Storey is a floor of boards on joists between the walls of a house.
type Storey struct {
	parts.Named
	Level    parts.Level `key:"level" type:"level" doc:"finished level of its top" required:"yes"`
	Area     parts.Area  `key:"area" type:"table" doc:"the room that it floors, a rect between the faces of the walls; joists span its shorter side. Low over the ground they lie in it, as sleepers" required:"yes"`
	Joist    [2]float64  `key:"joist" type:"size" doc:"width and depth of a joist" default:"50 mm, 200 mm" min:"0" max:"50" source:"50 x 200 mm: usual sawn sizes, from memory"`
	Spacing  float64     `key:"spacing" type:"length" doc:"middle to middle of joists, at most; they are spaced evenly, and no closer than shows" default:"450 mm" min:"0.5" max:"100" source:"400 to 600 mm: usual tables of spans, from memory"`
	Boards   float64     `key:"boards" type:"length" doc:"thickness of the boards" default:"25 mm" min:"0" max:"20" source:"common practice, no source"`
	Ruin     float64     `key:"ruin" type:"number" doc:"0 whole .. 1 all but the first two joists: how much of it has come down; boards end ragged, and ends of joists stay in the walls" default:"0" min:"0" max:"1"`
	Broken   float64     `key:"broken" type:"facing" doc:"the end that came down, of the two that the boards run to: the one that looks this way" default:"east" words:"east,north,west,south"`
	Openings []Well      `key:"opening" type:"tables" doc:"openings in it: for a stair, a hatch or a hearth; joists are trimmed about them"`
	Post     float64     `key:"post" type:"length" doc:"side of the posts that carry it where there is no wall" default:"150 mm" min:"0" max:"50" source:"common practice, no source"`
	Seed     uint64      `key:"seed" type:"seed" doc:"picks the boards and how they broke" default:"1"`
}

// Well is an opening in a storey.
type Well struct {
	Area parts.Area `key:"area" type:"table" doc:"where it is: a rect" required:"yes"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "storey", Stage: parts.Structure, Group: "Ground, decks and paving",
		Doc: "A floor of boards on joists in a house, let into the walls or on posts of its own: " +
			"whole, or broken off with ragged boards and the ends of joists in the walls.",
		New: func() parts.Part { return &Storey{} },
		Example: `
[[wall]]
line = [[14, 40], [14, 16]]
from = "floor"
height = "1.4 m"
coursing = "brick"
ruin = 0.25

[[wall]]
line = [[12, 38], [54, 38]]
from = "floor"
height = "1.4 m"
coursing = "brick"
ruin = 0.35

[[storey]]
level = "950 mm"
area = { rect = [17, 14, 30, 21] }
ruin = 0.4
seed = 2
`,
	})
}

// mostTimbers bounds the joists, and the boards, of one storey.
const mostTimbers = 300

// floorArea is what of the storey stays, with its boards ragged beyond it.
func (f *Storey) floorArea() *parts.Area {
	if len(rectFault(f.Name, &f.Area, 0)) > 0 {
		return &f.Area
	}
	r := f.rectangle()
	edge := f.edge(&r)
	middle := r.pose.Apply(planar.Raise(r2.Vec{Y: (edge - r.half.Y) / 2}))
	half := r2.Vec{X: r.half.X, Y: (edge + r.half.Y) / 2}
	along := nearest(f.Broken, headings(&f.Area)[0], headings(&f.Area)[1])
	return &parts.Area{Rect: []float64{middle.X - half.X, middle.Y - half.Y, 2 * half.X, 2 * half.Y}, Turn: along - 90}
}

// rectangle is its plan: joists along x, boards along y, broken at the end towards y.
func (f *Storey) rectangle() rectangle {
	all := headings(&f.Area)
	return rectangleOf(&f.Area, nearest(f.Broken, all[0], all[1]))
}

// leastLeft is the share of its length that any ruin leaves.
const leastLeft = 0.2

// edge is about how far along y it still stands.
func (f *Storey) edge(r *rectangle) float64 {
	return r.half.Y * (1 - 2*(1-leastLeft)*f.Ruin)
}

// Floors are its own; what has come down is none.
func (f *Storey) Floors(*parts.Site) []parts.Floor {
	area := &f.Area
	if f.Ruin > 0 {
		area = f.floorArea()
	}
	return []parts.Floor{{Part: f, Role: parts.Slab, Words: fmt.Sprintf("storey %q", f.Name), Key: "area", Area: area, Level: f.Level}}
}

// Extents are its area.
func (f *Storey) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: f.Area.Outline(), Closed: true, OnLand: true}}
}

// Check reports an area that cannot be floored, a storey in the ground and openings off it.
func (f *Storey) Check(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: f.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	if faults := rectFault(f.Name, &f.Area, 4*s.Print.Wall); len(faults) > 0 {
		return faults
	}
	z := f.sizes(s)
	if ground, ok := s.LandUnder(f.Area.Outline()); ok && z.top-z.thick < ground {
		fault("level", fmt.Sprintf("at least %.2f mm", f.Level.Height+ground-z.top+z.thick),
			"its boards come down to %.2f mm, and the ground lies at %.2f mm", z.top-z.thick, ground)
	}
	if n := 2*z.half.Y/z.spacing + 1; n > mostTimbers {
		fault("spacing", fmt.Sprintf("a spacing that makes at most %d joists", mostTimbers), "makes %.0f joists", n)
	}
	if n := 2 * z.half.X / surface.BoardWidth(s); n > mostTimbers {
		fault("area.rect", fmt.Sprintf("a room of at most %.0f mm across", mostTimbers*surface.BoardWidth(s)), "makes %.0f boards", n)
	}
	const mostOpenings = 20
	if len(f.Openings) > mostOpenings {
		fault("opening", fmt.Sprintf("at most %d", mostOpenings), "has %d openings", len(f.Openings))
		return faults
	}
	for i := range f.Openings {
		o := &f.Openings[i].Area
		key := fmt.Sprintf("opening[%d].area", i)
		if bad := o.Check(f.Name, key); len(bad) > 0 {
			faults = append(faults, bad...)
			continue
		}
		lo, hi := f.well(z, o)
		margin := z.wide + s.Print.Gap
		switch {
		case len(o.Rect) == 0:
			fault(key, "rect = [x, y, width, depth]", "is no rectangle")
		case lo.Y < -z.half.Y+margin || hi.Y > z.half.Y-margin || lo.X < -z.half.X-planar.Rounding || hi.X > z.half.X+planar.Rounding:
			fault(key, fmt.Sprintf("a rect on the storey, %.2f mm or more from the ends of its boards", margin), "lies beyond the storey or at an end of its boards")
		}
	}
	return faults
}

// Pieces counts joists and boards.
func (f *Storey) Pieces(s *parts.Site) int {
	z := f.sizes(s)
	return int(math.Min(1e6, 2*z.half.Y/z.spacing+2*z.half.X/z.board)) + 4*len(f.Openings) + 8
}

// Notes say what is drawn otherwise than the scene gives it.
func (f *Storey) Notes(s *parts.Site) []parts.Note { return f.settled(s).notes.List }

// Breaks gives ends of boards and joists.
func (f *Storey) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if p.Deep <= 0 || len(rectFault(f.Name, &f.Area, 0)) > 0 {
		return nil
	}
	area := p.Cover(f.floorArea().Contains)
	if area == 0 {
		return nil
	}
	z := f.sizes(s)
	return []parts.Matter{{Form: parts.Boards, Volume: area * (z.thick + z.deep*z.wide/z.spacing),
		Unit: sdf.V(0, z.board, z.thick)}}
}

// Measures are the room under it and its joists.
func (f *Storey) Measures(s *parts.Site) []parts.Measure {
	z := f.sizes(s)
	var all []parts.Measure
	if ground, ok := s.LandUnder(f.Area.Outline()); ok {
		all = append(all, parts.TallBeside(s, "room under its joists", "level", z.low-ground)...)
	}
	return append(all, s.Unit("joist", "joist", z.wide, s.FullSize(z.wide), math.Max(s.FullSize(f.Joist[0]), 1), "it is given"))
}

// Remedies of a storey.
func (f *Storey) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r, z := parts.RemediesOf(f), f.sizes(s)
	switch {
	case t.Thin():
		r.Scaled("boards", "thicker boards", math.Max(f.Boards, s.Print.Wall), 1.25, 1.5)
		r.Scaled("ruin", "less ruin", f.Ruin, 0.7, 0)
		r.Seeds(f.Seed)
	case t.Hanging():
		r.Scaled("spacing", "closer joists", z.spacing, 0.75, 0.5)
		r.Scaled("ruin", "less ruin", f.Ruin, 0.7, 0)
		r.Words("level", "print it on its side, or with props under its boards")
	case t.Of("stand", "rough-stand"):
		r.Seeds(f.Seed)
	}
	return r.All
}
