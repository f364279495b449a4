package ground

import (
	"fmt"
	"math"

	"socle/parts"
	"socle/sdf/relief"
)

// layout is the ground worked out for its site, in mm.
type layout struct {
	floors []parts.Floor // the plot, then what is sunk, then what is raised
	plot   cover         // of the plot
	sunk   []cover       // of the sunk terraces
	raised []cover       // of the raised ones
	low    float64       // height of its underside
}

// settled is the ground's layout, worked out once for its site.
func (g *Ground) settled(s *parts.Site) *layout {
	return parts.Settled(s, g, func() *layout { return g.settle(s) })
}

// Floors are its plot and its terraces.
func (g *Ground) Floors(s *parts.Site) []parts.Floor { return g.settled(s).floors }

// settle makes the plot and the terraces.
func (g *Ground) settle(s *parts.Site) *layout {
	z := &layout{low: g.Level.Height, plot: g.coverOf(s, g.Of, "soil")}
	loose := z.plot.loose()
	z.plot.top = relief.Sum(g.dips(s), z.plot.top)
	plot := &parts.Area{Rect: []float64{0, 0, g.Size[0], g.Size[1]}}
	z.floors = []parts.Floor{{Part: g, Role: parts.Plot, Words: "the ground", Area: plot, Level: g.Level, Dip: z.plot.dip(), Loose: loose}}
	for i := range g.Sunk {
		t := &g.Sunk[i]
		hollow := newHollow(&t.Area, g.Level.Height, t.Level.Height, t.Bank)
		z.sunk = append(z.sunk, g.coverOf(s, orElse(t.Of, g.Of), fmt.Sprintf("sunk %d", i)))
		z.low = math.Min(z.low, t.Level.Height)
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Sunk, Words: "the sunk terrace",
			Key: fmt.Sprintf("sunk[%d].area", i), Area: &t.Area, Level: t.Level, Dip: z.sunk[i].dip(), Hollow: hollow, Loose: z.sunk[i].loose()})
	}
	for i := range g.Raised {
		t := &g.Raised[i]
		z.raised = append(z.raised, g.coverOf(s, orElse(t.Of, g.Of), fmt.Sprintf("raised %d", i)))
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Raised, Words: "the raised terrace",
			Key: fmt.Sprintf("raised[%d].area", i), Area: &t.Area, Level: t.Level, Dip: z.raised[i].dip()})
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
