package deck

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Deck is a raised floor: a slab at a level, on piers or walls or solid down to
// the ground. Where paving is laid at its level, the slab lies lower by the
// thickness of the paving.
type Deck struct {
	parts.Named
	Level     parts.Level `key:"level" type:"level" doc:"finished level of its top" required:"yes"`
	Area      parts.Area  `key:"area" type:"table" doc:"the region it covers" required:"yes"`
	Thickness float64     `key:"thickness" type:"length" doc:"thickness of the slab, without finishes" default:"400 mm" min:"0" max:"200" source:"common practice, no source"`
	On        string      `key:"on" type:"word" doc:"what carries it: piers, cross walls, or solid work down to the ground" default:"solid" words:"piers,walls,solid"`
	Pier      float64     `key:"pier" type:"length" doc:"side of a square pier, thickness of a wall" default:"600 mm" min:"0" max:"200" source:"common practice, no source"`
	Spacing   float64     `key:"spacing" type:"length" doc:"widest spacing of piers or walls, centre to centre; the bays are made equal" default:"4 m" min:"1" max:"1000" source:"common practice, no source"`
	Inset     float64     `key:"inset" type:"length" doc:"from the edge of the deck to the outer face of the piers or walls" default:"300 mm" min:"0" max:"200"`
	Soffit    string      `key:"soffit" type:"word" doc:"underside between piers: flat, or with beams along the rows of piers" default:"flat" words:"flat,beams"`
	Edge      string      `key:"edge" type:"word" doc:"plain edge, a kerb standing on it, or a rounded nosing that overhangs; both give way to the stairs that lead up to it" default:"plain" words:"plain,kerb,nosing"`
	Kerb      float64     `key:"kerb" type:"length" doc:"width of the kerb, overhang of the nosing" default:"150 mm" min:"0" max:"50" source:"kerb 125 mm wide: BS EN 1340 with BS 7263 marks"`
	Upstand   float64     `key:"upstand" type:"height" doc:"height of the kerb above the level" default:"125 mm" min:"0" max:"50" source:"kerb upstand 100 to 125 mm: highway details, from memory"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "deck", Stage: parts.Structure,
		Doc: "A raised floor at a level, on piers, on walls or solid. The level is the finished one: paving laid on the deck lowers its slab, not its level.",
		New: func() parts.Part { return &Deck{} },
	})
}

// Floors are its own.
func (d *Deck) Floors(*parts.Site) []parts.Floor {
	return []parts.Floor{{Part: d, Role: parts.Slab, Words: fmt.Sprintf("deck %q", d.Name), Key: "area", Area: &d.Area, Level: d.Level}}
}

// Extents are its area.
func (d *Deck) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: d.Area.Outline(), Closed: true, OnLand: true}}
}

// mostPiers keeps a spacing of next to nothing from filling the memory.
const mostPiers = 20_000

// Check reports a deck that would bury the ground's own level or hang from it.
func (d *Deck) Check(s *parts.Site) []parts.Fault {
	faults := d.Area.Check(d.Name, "area")
	if len(faults) > 0 {
		return faults
	}
	if ground, ok := s.LandUnder(d.Area.Outline()); ok && d.Level.Height <= ground {
		faults = append(faults, parts.Fault{Part: d.Name, Key: "level",
			Text:    fmt.Sprintf("%.3f mm is not above the ground under it, at %.3f mm", d.Level.Height, ground),
			Allowed: fmt.Sprintf("more than %.3f mm", ground)})
	}
	if n := d.Pieces(s); n > mostPiers {
		faults = append(faults, parts.Fault{Part: d.Name, Key: "spacing",
			Text:    fmt.Sprintf("%.2f mm makes %d piers", d.Spacing, n),
			Allowed: fmt.Sprintf("a spacing that makes at most %d", mostPiers)})
	}
	return faults
}

// Pieces counts the piers or walls.
func (d *Deck) Pieces(s *parts.Site) int {
	if d.On == "solid" {
		return 1
	}
	_, half := d.frame()
	n := planar.EqualBays(2*half.X, d.Spacing) + 1
	if d.On == "piers" {
		n *= planar.EqualBays(2*half.Y, d.Spacing) + 1
	}
	return n + 1
}

// frame is the deck's own rectangle: the pose that takes its centre and axes to
// the plan, and half its sides.
func (d *Deck) frame() (pose sdf.Pose, half r2.Vec) {
	turn := sdf.Turn(sdf.V(0, 0, 1), d.Area.Turn)
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range d.Area.Outline() {
		q := turn.Invert(sdf.V(p.X, p.Y, 0))
		lo = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	mid := r2.Scale(0.5, r2.Add(lo, hi))
	return sdf.At(sdf.V(mid.X, mid.Y, 0)).Then(turn), r2.Scale(0.5, r2.Sub(hi, lo))
}

// Solid is the slab with what carries it and its edge.
func (d *Deck) Solid(s *parts.Site) sdf.Field {
	outline := d.Area.Outline()
	top := parts.StructureUnder(s, d.Level.Height, outline)
	thick := s.AtLeast(d.Name, "thickness", d.Thickness, s.Print.Wall, "wall")
	foot := d.foot(s, top-thick)
	low := top - thick
	if d.On == "solid" {
		low = foot
	}
	parts := []sdf.Field{parts.LowerUnderFinishes(s, d.Area.Prism(low, d.Level.Height), d.Level.Height)}
	if d.On != "solid" {
		parts = append(parts, d.carriers(s, foot, top-thick))
	}
	if e := d.edge(s, top); e != nil {
		parts = append(parts, e)
	}
	return sdf.Union(parts...)
}

// foot is the height that the piers go down to: into the ground, or where
// there is none, well below the slab.
func (d *Deck) foot(s *parts.Site, soffit float64) float64 {
	if ground, ok := s.LandUnder(d.Area.Outline()); ok {
		return min(ground, soffit) - parts.Embed
	}
	s.Note(d.Name, "on", "no ground lies under the deck: what carries it ends at the datum")
	return min(0, soffit) - parts.Embed
}

// carriers are the piers or walls, and the beams over them.
func (d *Deck) carriers(s *parts.Site, foot, soffit float64) sdf.Field {
	pose, half := d.frame()
	side := s.AtLeast(d.Name, "pier", d.Pier, s.Print.Wall, "wall")
	if d.On == "piers" {
		side = s.AtLeast(d.Name, "pier", side, s.Print.Pin, "pin")
	}
	us := stations(half.X-d.Inset-side/2, d.Spacing)
	vs := stations(half.Y-d.Inset-side/2, d.Spacing)
	top := soffit + min(parts.Embed, 0.3) // into the slab
	floor := d.Area.Drawn()
	var out []sdf.Field
	if d.On == "walls" {
		inner := sdf.Offset(d.Area.Prism(foot-2*d.Inset-1, top+2*d.Inset+1), -d.Inset)
		along := us
		if half.X < half.Y { // walls stand across the longer way
			along = vs
		}
		for _, a := range along {
			if !d.wallStands(floor, pose, half, a) {
				continue
			}
			size, at := sdf.V(side, 2*half.Y, top-foot), sdf.V(a, 0, (foot+top)/2)
			if half.X < half.Y {
				size, at = sdf.V(2*half.X, side, top-foot), sdf.V(0, a, (foot+top)/2)
			}
			out = append(out, sdf.Intersection(inner, sdf.Place(sdf.Box(size, 0), sdf.At(at).Then(pose))))
		}
		if len(out) == 0 {
			s.Note(d.Name, "on", "no wall fits under the deck %.2f mm within its edge: it is drawn solid", d.Inset)
			return d.Area.Prism(foot, top)
		}
		return sdf.Union(out...)
	}
	stands := func(u, v float64) bool {
		for _, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			p := pose.Apply(sdf.V(u+c[0]*side/2, v+c[1]*side/2, 0))
			if !(floor.Distance(planar.OnPlan(p)) < 0) {
				return false
			}
		}
		return true
	}
	for _, u := range us {
		for _, v := range vs {
			if stands(u, v) {
				out = append(out, sdf.Place(sdf.Box(sdf.V(side, side, top-foot), min(side*0.08, 0.3)),
					sdf.At(sdf.V(u, v, (foot+top)/2)).Then(pose)))
			}
		}
	}
	if len(out) == 0 {
		s.Note(d.Name, "on", "no pier of %.2f mm fits under the deck: it is drawn solid", side)
		return d.Area.Prism(foot, top)
	}
	if d.Soffit == "beams" {
		depth := max(s.Print.Relief, side*0.6)
		if foot+parts.Embed < soffit-depth { // beams that would touch the ground carry nothing
			inner := sdf.Offset(d.Area.Prism(soffit-depth-2*d.Inset-1, top+2*d.Inset+1), -d.Inset)
			for _, v := range vs {
				out = append(out, sdf.Intersection(inner, sdf.Place(sdf.Box(sdf.V(2*half.X, side, depth+top-soffit), 0),
					sdf.At(sdf.V(0, v, (soffit-depth+top)/2)).Then(pose))))
			}
		}
	}
	return sdf.Union(out...)
}

// wallStands says whether some of a cross wall at a station lies within the
// deck by more than the inset.
func (d *Deck) wallStands(floor sdf.Shape, pose sdf.Pose, half r2.Vec, station float64) bool {
	for i := -16; i <= 16; i++ {
		t := float64(i) / 16
		q := sdf.V(station, t*half.Y, 0)
		if half.X < half.Y {
			q = sdf.V(t*half.X, station, 0)
		}
		if floor.Distance(planar.OnPlan(pose.Apply(q))) < -d.Inset-0.2 {
			return true
		}
	}
	return false
}

// stations are places at equal spacing from -reach to reach, one in the middle
// where there is no room.
func stations(reach, spacing float64) []float64 {
	if reach <= 0 {
		return []float64{0}
	}
	n := planar.EqualBays(2*reach, spacing)
	at := make([]float64, n+1)
	for i := range at {
		at[i] = -reach + 2*reach*float64(i)/float64(n)
	}
	return at
}

// stairsUp are the flights that lead up to the deck's level.
func (d *Deck) stairsUp(s *parts.Site) (up []parts.Climber) {
	for _, st := range parts.AllOf[parts.Climber](s) {
		if math.Abs(st.Flight(s).To-d.Level.Height) <= parts.SameHeight {
			up = append(up, st)
		}
	}
	return up
}

// edge is the kerb or nosing along the deck's outline, nil for a plain edge. It
// gives way to the stairs that lead up to the deck: the last riser is the slab's
// own edge, and nothing hangs over a tread.
func (d *Deck) edge(s *parts.Site, top float64) sdf.Field {
	switch d.Edge {
	case "kerb":
		w := s.AtLeast(d.Name, "kerb", d.Kerb, s.Print.Wall, "wall")
		rise := s.AtLeast(d.Name, "upstand", d.Upstand, s.Print.Relief, "relief")
		low, high := top-min(parts.Embed, d.Thickness/2), d.Level.Height+rise
		inner := sdf.Offset(d.Area.Prism(low-w-2, high+w+2), -w)
		gaps := []sdf.Field{inner}
		for _, st := range d.stairsUp(s) {
			up := st.Flight(s)
			line := up.HeadLine()
			mid := r3.Scale(0.5, r3.Add(line[0], line[1]))
			size := sdf.V(up.Width, 4*w+2*parts.Embed, 2*(high-low))
			gaps = append(gaps, sdf.Place(sdf.Box(size, 0),
				sdf.Turn(sdf.V(0, 0, 1), up.Facing-90).Then(sdf.At(sdf.V(mid.X, mid.Y, d.Level.Height+size.Z/2)))))
		}
		return sdf.Difference(d.Area.Prism(low, high), gaps...)
	case "nosing":
		out := s.AtLeast(d.Name, "kerb", d.Kerb, s.Print.Relief, "relief")
		var ways []sdf.Field
		for _, st := range d.stairsUp(s) {
			ways = append(ways, st.RoomOver(s, top-3*out-1, d.Level.Height+1, out))
		}
		return sdf.Difference(sdf.Offset(d.Area.Prism(top-2*out-0.02, top-out), out), ways...)
	}
	return nil
}

// Remedies of a deck.
func (d *Deck) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	open := d.On != "solid"
	solid := func() {
		if open {
			r.To("on", `on = "solid"`, "solid")
		}
	}
	plain := func() { r.To("edge", `edge = "plain"`, "plain") }
	carriers := func() { r.Scaled("pier", "thicker piers", math.Max(d.Pier, s.Print.Wall), 1.2, 1.5) }
	switch {
	case t.Thin():
		if open {
			r.Scaled("thickness", "a thicker deck", math.Max(d.Thickness, s.Print.Wall), 1.2, 1.5)
			carriers()
		}
		if d.Edge == "kerb" {
			r.Scaled("kerb", "a wider kerb", math.Max(d.Kerb, s.Print.Wall), 1.2, 1.5)
		}
		plain()
		solid()
	case t.Hanging():
		if open {
			r.Scaled("spacing", "closer piers", d.Spacing, 0.75, 0.5)
		}
		if d.Edge == "nosing" {
			r.Scaled("kerb", "a smaller nosing", math.Max(d.Kerb, s.Print.Relief), 0.6)
			plain()
		}
		solid()
	case t.Trapped() || t.Of("suction"):
		if d.On == "walls" {
			r.To("on", `on = "piers", which leave a way out`, "piers")
		}
		solid()
	case t.Of("narrow-gap"):
		if open {
			r.Scaled("inset", "a larger inset", math.Max(d.Inset, s.Print.Gap), 1.5)
		}
		solid()
	case t.Of("rough-stand", "stand"):
		plain()
	case t.Of("uneven-risers"):
		plain()
		r.Words("level", "the level that the stair leads to")
	}
	return r.All
}
