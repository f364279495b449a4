package deck

import (
	"fmt"

	"socle/parts"
	"socle/parts/planar"
)

// Deck is a raised floor: a slab at a level, on piers or walls or solid down to
// the ground. Where paving is laid at its level, the slab lies lower by the
// thickness of the paving.
type Deck struct {
	parts.Named
	Level     parts.Level `key:"level" type:"level" doc:"finished level of its top" required:"yes"`
	Area      parts.Area  `key:"area" type:"table" doc:"the region it covers" required:"yes"`
	Material  string      `key:"material" type:"word" doc:"what it is made of: how it looks where nothing is laid on it, and how it breaks: stone and concrete in chunks, concrete with its reinforcement laid bare, timber in splintered boards, plate in torn tongues" default:"stone" words:"stone,concrete,timber,plate"`
	Surface   *string     `key:"surface" type:"word" doc:"what its top is like where nothing is laid on it; left out: tooled flags of stone, cast concrete, boards of timber, plate with a raised pattern; plain has no texture" words:"rubbed,tooled,rock-faced,concrete,boards,plate,plain" source:"common practice, no source"`
	Seed      uint64      `key:"seed" type:"seed" doc:"picks the texture of its top" default:"1"`
	Thickness float64     `key:"thickness" type:"length" doc:"thickness of the slab, without finishes" default:"400 mm" min:"0" max:"200" source:"common practice, no source"`
	On        string      `key:"on" type:"word" doc:"what carries it: piers, cross walls, or solid work down to the ground" default:"solid" words:"piers,walls,solid"`
	Pier      float64     `key:"pier" type:"length" doc:"side of a square pier, thickness of a wall" default:"600 mm" min:"0" max:"200" source:"common practice, no source"`
	Spacing   float64     `key:"spacing" type:"length" doc:"widest spacing of piers or walls, centre to centre; the bays are made equal" default:"4 m" min:"1" max:"1000" source:"common practice, no source"`
	Inset     float64     `key:"inset" type:"length" doc:"from the edge of the deck to the outer face of the piers or walls" default:"300 mm" min:"0" max:"200"`
	Soffit    string      `key:"soffit" type:"word" doc:"underside between piers: flat, or with beams along the rows of piers" default:"flat" words:"flat,beams"`
	Edge      string      `key:"edge" type:"word" doc:"a plain edge, a kerb on it, or a rounded nosing that overhangs; kerb and nosing stop where a stair leads up to the deck" default:"plain" words:"plain,kerb,nosing"`
	Kerb      float64     `key:"kerb" type:"length" doc:"width of the kerb, overhang of the nosing" default:"150 mm" min:"0" max:"50" source:"kerb 125 mm wide: BS EN 1340 with BS 7263 marks"`
	Upstand   float64     `key:"upstand" type:"height" doc:"height of the kerb above the level" default:"125 mm" min:"0" max:"50" source:"kerb upstand 100 to 125 mm: highway details, from memory"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "deck", Stage: parts.Structure, Group: "Ground, decks and paving",
		Doc: "A raised floor at a level, on piers, on walls or solid. The level is the finished one: paving laid on the deck lowers its slab, not its level.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[deck]]
level = "floor + 800 mm"
area = { rect = [14, 20, 36, 28] }
material = "timber"
thickness = "180 mm"
on = "piers"
pier = "240 mm"
spacing = "900 mm"
inset = "100 mm"
`,
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
