package ground

import (
	"fmt"
	"math"

	"socle/parts"
	"socle/sdf"
)

// layout is the ground worked out for its site, in mm.
type layout struct {
	floors  []parts.Floor // the plot, then what is sunk, then what is raised
	hollows []sdf.Field   // what the sunk terraces take out of it and of the finish on it
	dip     float64       // depth of the dips, 0 on flat ground
	low     float64       // height of its underside
}

// settled is the ground's layout, worked out once for its site.
func (g *Ground) settled(s *parts.Site) *layout {
	return parts.Settled(s, g, func() *layout { return g.settle(s) })
}

// Floors are its plot and its terraces.
func (g *Ground) Floors(s *parts.Site) []parts.Floor { return g.settled(s).floors }

// dip is the depth of the dips, 0 on flat ground.
func (g *Ground) dip(s *parts.Site) float64 {
	switch {
	case g.Surface != "uneven":
		return 0
	case g.Amplitude != nil:
		return *g.Amplitude
	}
	return 2 * s.Print.Relief
}

// settle makes the plot and the terraces.
func (g *Ground) settle(s *parts.Site) *layout {
	z := &layout{low: g.Level.Height, dip: g.dip(s)}
	plot := &parts.Area{Rect: []float64{0, 0, g.Size[0], g.Size[1]}}
	z.floors = []parts.Floor{{Part: g, Role: parts.Plot, Words: "the ground", Area: plot, Level: g.Level, Dip: z.dip}}
	for i := range g.Sunk {
		t := &g.Sunk[i]
		hollow := newHollow(&t.Area, g.Level.Height, t.Level.Height, t.Bank)
		z.hollows = append(z.hollows, hollow)
		z.low = math.Min(z.low, t.Level.Height)
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Sunk, Words: "the sunk terrace", Key: fmt.Sprintf("sunk[%d].area", i), Area: &t.Area, Level: t.Level, Hollow: hollow})
	}
	for i := range g.Raised {
		t := &g.Raised[i]
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Raised, Words: "the raised terrace", Key: fmt.Sprintf("raised[%d].area", i), Area: &t.Area, Level: t.Level})
	}
	z.low -= g.Thickness
	return z
}

// Extents are those of its terraces.
func (g *Ground) Extents(s *parts.Site) (all []parts.Extent) {
	for _, f := range g.settled(s).floors[1:] {
		all = append(all, parts.Extent{Key: f.Key, Points: f.Area.Outline(), Closed: true, OnLand: true})
	}
	return all
}
