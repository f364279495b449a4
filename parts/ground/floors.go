package ground

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf/relief"
)

// layout is the ground worked out for its site, in mm.
type layout struct {
	floors []parts.Floor // the plot, then what is sunk, then what is raised
	plot   cover         // of the plot
	sunk   []pit         // the sunk terraces, then what other parts dig
	raised []cover       // of the raised terraces
	low    float64       // height of its underside
}

// pit is what is sunk into the ground.
type pit struct {
	parts.Dug
	cover  cover
	hollow *planar.Bank
	over   float64 // how far up its sides are cut, mm above the datum
}

// settled is the ground's layout, worked out once for its site.
func (g *Ground) settled(s *parts.Site) *layout {
	return parts.Settled(s, g, func() *layout { return g.settle(s) })
}

// Floors are its plot and its terraces.
func (g *Ground) Floors(s *parts.Site) []parts.Floor { return g.settled(s).floors }

// settle makes the plot and the terraces.
func (g *Ground) settle(s *parts.Site) *layout {
	z := &layout{low: g.Level.Height, plot: g.coverOf(s, g.Of, g.Of, "soil")}
	loose := z.plot.loose()
	z.plot.top = relief.Sum(g.dips(s), z.plot.top)
	plot := &parts.Area{Rect: []float64{0, 0, g.Size[0], g.Size[1]}}
	z.floors = []parts.Floor{{Part: g, Role: parts.Plot, Words: "the ground", Area: plot, Level: g.Level, Dip: z.plot.dip(), Loose: loose}}
	sink := func(d parts.Dug, level parts.Level, key, purpose string) {
		p := pit{d, g.coverOf(s, cmp.Or(d.Of, g.Of), cmp.Or(d.Beside, g.Of), purpose), newHollow(d.Area, d.Mouth, d.Level, d.Bank), d.Mouth + beyond}
		if key == "" { // it may lie at the foot of another's side
			p.over = d.Mouth + p.cover.dip() + parts.Embed
		}
		if d.Spaded {
			p.cover.side = relief.Sum(p.cover.side, surface.Spaded(s, s.Rand(g.Name, g.Seed, purpose+" sides").Uint64()))
		}
		z.sunk = append(z.sunk, p)
		z.low = math.Min(z.low, d.Level)
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Sunk, Words: d.Words, Key: key,
			Area: d.Area, Level: level, Dip: p.cover.dip(), Hollow: p.hollow, Loose: p.cover.loose()})
	}
	for i := range g.Sunk {
		t := &g.Sunk[i]
		of := orElse(t.Of, g.Of)
		sink(parts.Dug{Words: "the sunk terrace", Area: &t.Area, Mouth: g.Level.Height, Level: t.Level.Height, Bank: t.Bank, Of: of, Beside: of},
			t.Level, fmt.Sprintf("sunk[%d].area", i), fmt.Sprintf("sunk %d", i))
	}
	for _, d := range g.dug(s) {
		for i, p := range d.pits {
			sink(p, parts.Level{Height: p.Level}, "", fmt.Sprintf("dug %s %d", d.by.Label(), i))
		}
	}
	for i := range g.Raised {
		t := &g.Raised[i]
		of := orElse(t.Of, g.Of)
		z.raised = append(z.raised, g.coverOf(s, of, of, fmt.Sprintf("raised %d", i)))
		z.floors = append(z.floors, parts.Floor{Part: g, Role: parts.Raised, Words: "the raised terrace",
			Key: fmt.Sprintf("raised[%d].area", i), Area: &t.Area, Level: t.Level, Dip: z.raised[i].dip()})
	}
	z.low -= g.Thickness
	return z
}

// digging is what one part digs.
type digging struct {
	by   parts.Digger
	pits []parts.Dug
}

// dug is what other parts dig: asked twice, so that what lies in another's pit finds its
// floor, whatever the order of the file.
func (g *Ground) dug(s *parts.Site) []digging {
	diggers := parts.AllOf[parts.Digger](s)
	var all []digging
	for range 2 {
		before := all
		all = nil
		for _, d := range diggers {
			land := func(p r2.Vec) float64 { return g.landAt(p, d, before) }
			all = append(all, digging{d, d.Digs(s, g.Level.Height, land)})
		}
	}
	return all
}

// landAt is the level of the land at a place of the plan with what all parts but one dig.
func (g *Ground) landAt(p r2.Vec, but parts.Digger, dug []digging) float64 {
	h := g.Level.Height
	for i := range g.Raised {
		if t := &g.Raised[i]; t.Area.Contains(p) {
			h = math.Max(h, t.Level.Height)
		}
	}
	for i := range g.Sunk {
		if t := &g.Sunk[i]; t.Area.Contains(p) {
			h = math.Min(h, t.Level.Height)
		}
	}
	for _, d := range dug {
		for i := range d.pits {
			if t := &d.pits[i]; d.by != but && t.Area.Contains(p) {
				h = math.Min(h, t.Level)
			}
		}
	}
	return h
}

// Extents are those of its terraces.
func (g *Ground) Extents(s *parts.Site) (all []parts.Extent) {
	for _, f := range g.settled(s).floors[1:] {
		if f.Key != "" {
			all = append(all, parts.Extent{Key: f.Key, Points: f.Area.Outline(), Closed: true, OnLand: true})
		}
	}
	return all
}
