package spill

import (
	"fmt"

	"socle/parts"
)

// Spill is debris in and around damage, or over a region: pieces of what broke, large and
// small, resting on what is under them.
type Spill struct {
	parts.Named
	From     string      `key:"from" type:"ref" doc:"the crater, gouge, breach or collapse that it comes from" of:"debris"`
	Area     *parts.Area `key:"area" type:"table" doc:"the region that it lies in, in place of from"`
	Of       []string    `key:"of" type:"refs" doc:"the parts that it is made of; left out, what the damage broke, or what stands in or beside the area" of:"matter"`
	Matter   string      `key:"matter" type:"word" doc:"what it is made of: found is all that its parts break into; another word is that alone, at its usual size where none of them has it" default:"found" words:"found,stones,bricks,blocks,flags,slabs,drums,boards,plates,clods"`
	Count    *int        `key:"count" type:"count" doc:"number of fragments, in place of amount" min:"1" max:"200000"`
	Amount   *float64    `key:"amount" type:"number" doc:"share of the surface that fragments cover, in the damage or over the region; left out, 0.25" min:"0.001" max:"1"`
	Size     *[2]float64 `key:"size" type:"size" doc:"least and greatest size of a fragment; what is larger whole lies there broken; left out, from 150 mm full size (or the least that prints) to ten times that" min:"0.02" max:"100" source:"one decade: Turcotte, J. Geophys. Res. 91 (1986), 1921"`
	Exponent float64     `key:"exponent" type:"number" doc:"exponent of the size law, of pieces without a size of their own: the number of fragments larger than r is proportional to r to the power of minus this" default:"2.5" min:"2" max:"3" source:"about 2.5 for natural broken rock: Turcotte, J. Geophys. Res. 91 (1986), 1921"`
	Sherds   float64     `key:"sherds" type:"number" doc:"share of the fragments that are flat plates, where they are stones" default:"0.3" min:"0" max:"1"`
	Reach    *float64    `key:"reach" type:"number" doc:"how far it lies, in radii of the damage from its middle; outside the lip its density falls with the cube of the distance; left out, 2.5" min:"0.5" max:"6" source:"exponent -3: McGetchin, Settle and Head, Earth Planet. Sci. Lett. 20 (1973), 226"`
	Heap     float64     `key:"heap" type:"height" doc:"height of a heap of rubble in the middle. It lies higher against a wall. 0 for none, but from a collapse for heaps of all that came down" default:"0" min:"0" max:"200"`
	Repose   float64     `key:"repose" type:"angle" doc:"slope of the heap" default:"35" min:"25" max:"45" source:"broken stone 35 to 40: civil engineering notes"`
	Under    string      `key:"under" type:"word" doc:"what is under a fragment that leans or lies on others: open, or filled straight down, so that no resin is shut in between and nothing hangs" default:"open" words:"open,filled"`
	Seed     uint64      `key:"seed" type:"seed" doc:"picks the fragments and where they lie" default:"1"`

	unnamed bool // by the scene
}

// SetLabel names a spill that the scene left without a name.
func (s *Spill) SetLabel(name string) { s.Name, s.unnamed = name, true }

// Describe is its name or, without one from the scene, the damage that it comes from.
func (s *Spill) Describe(site *parts.Site) string {
	if !s.unnamed || s.From == "" {
		return s.Name
	}
	return "spill of " + parts.WordOf(site.Find(s.From)) + " " + s.From
}

func init() {
	parts.Register(parts.Kind{
		Word: "spill", Stage: parts.Spilling,
		Doc: "Debris in and around a crater, a gouge or a breach, or over a region: bricks and bats, flags, blocks, drums and stones by what broke, bedded in what they rest on.",
		Example: `
[[wall]]
name = "gable"
line = [[8, 36], [56, 36]]
from = "floor"
height = "1.5 m"
coursing = "brick"
ruin = 0.7

[[spill]]
area = { oval = [32, 26, 40, 20] }
of = ["gable"]
amount = 0.4
heap = 4
`,
		New: func() parts.Part { return &Spill{} },
	})
}

// Extents are its area, if it has one.
func (s *Spill) Extents(*parts.Site) []parts.Extent {
	if s.Area == nil {
		return nil
	}
	return []parts.Extent{{Key: "area", Points: s.Area.Outline(), Closed: true}}
}

// Source is the damage that it comes from.
func (s *Spill) Source() string { return s.From }

// Farthest is its reach and the largest of its fragments.
func (s *Spill) Farthest(site *parts.Site, cut float64) float64 {
	far, largest := spillReach, 10*site.OnPrint(fullFragment)
	if s.Reach != nil {
		far = *s.Reach
	}
	if s.Size != nil {
		largest = s.Size[1]
	}
	return far*cut + largest
}

// Check reports a spill that comes from nowhere or two places, and sizes the
// wrong way round.
func (p *Spill) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) parts.Fault {
		return parts.Fault{Part: p.Name, Key: key, Text: text, Allowed: allowed}
	}
	var faults []parts.Fault
	switch {
	case p.From != "" && p.Area != nil:
		faults = append(faults, fault("area", "the spill has both a source and an area", "one of from and area"))
	case p.From == "" && p.Area == nil:
		faults = append(faults, fault("", "the spill has neither from nor area", "one of from and area"))
	case p.Area != nil:
		faults = append(faults, p.Area.Check(p.Name, "area")...)
		if p.Reach != nil {
			faults = append(faults, fault("reach", "a spill over an area has no reach", "reach beside from"))
		}
	}
	if p.Count != nil && p.Amount != nil {
		faults = append(faults, fault("amount", "the spill has both a count and an amount", "one of count and amount"))
	}
	if p.Size != nil && p.Size[0] > p.Size[1] {
		faults = append(faults, fault("size", fmt.Sprintf("the least size, %.2f mm, is more than the greatest, %.2f mm", p.Size[0], p.Size[1]),
			"[least, greatest]"))
	}
	return faults
}

// Pieces is the number of fragments, with the fines between them and those of a heap.
func (p *Spill) Pieces(s *parts.Site) int {
	z := p.settled(s)
	if !z.lies {
		return 0
	}
	n := z.count + z.fines + 1
	for i := range z.heaps {
		n += z.heaps[i].most
	}
	return n
}
