package surface

import (
	"math"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// Soils are the words for what ground is made of. Plain is smooth.
const Soils = "earth,gravel,ballast,mud,sand,cinders,rock,plain"

// Soil is the relief of ground over the plan: what lies loose on it, its tracks and its
// hollows. It is nil for plain ground. Sizes of life are common practice, no source, where
// none is given.
func Soil(s *parts.Site, of string, seed uint64) relief.Relief {
	g := soil{Site: s, seed: seed, fine: s.Print.Relief / 0.3}
	switch of {
	case "earth":
		return g.earth()
	case "gravel":
		return g.stones(30, 0.95, 0.3)
	case "ballast": // 31.5 to 63 mm: EN 13450, from memory
		return g.stones(50, 1.25, 0.4)
	case "mud":
		return g.mud()
	case "sand":
		return g.sand()
	case "cinders":
		return g.cinders()
	case "rock":
		return g.rock()
	}
	return nil
}

// Bank is the relief of a slope or a face of ground that leans any way; nil for plain
// ground.
func Bank(s *parts.Site, of string, seed uint64) relief.Relief {
	if of == "plain" || of == "" {
		return nil
	}
	g := soil{Site: s, seed: seed, fine: s.Print.Relief / 0.3}
	pitch, depth := g.wide(150, 1.5, 3.5), g.deep(25, 0.22, 0.5)
	if of == "rock" {
		pitch, depth = g.wide(300, 2, 4), g.deep(40, 0.3, 0.6)
	}
	return Rough(g.seed, pitch, depth)
}

// Spaded is the face of earth that was cut with spades: flat facets as wide as a blade, with
// sharp steps between them.
func Spaded(s *parts.Site, seed uint64) relief.Relief {
	const blade = 180 // full-size mm: common practice, no source
	g := soil{Site: s, seed: seed, fine: s.Print.Relief / 0.3}
	return Rough(seed, g.wide(blade, 1.6, 3.4), g.deep(40, 0.4, 0.75))
}

// Rough is a broken face of flat facets on a surface that leans any way: two sets of
// facets, each over a plane aslant to the axes, so that none runs in streaks.
func Rough(seed uint64, pitch, depth float64) relief.Relief {
	one := sdf.Turn(sdf.V(1, 0, 0), 40).Then(sdf.Turn(sdf.V(0, 0, 1), 25))
	other := sdf.Turn(sdf.V(0, 1, 0), -50).Then(sdf.Turn(sdf.V(0, 0, 1), 70))
	return relief.Sum(relief.Place(relief.NewFacets(seed, pitch, 0.55*depth, 0.1), one),
		relief.Place(relief.NewFacets(seed+1, 0.8*pitch, 0.45*depth, 0.1), other))
}

// soil makes the relief of one ground.
type soil struct {
	*parts.Site
	seed uint64
	fine float64 // what is fine on the print, over what is fine on a resin print of usual sizes
}

// wide is a width of life, mm, on the print: between two widths there, which hold for a
// resin print, so that it prints and a base shows several of it.
func (g *soil) wide(full, least, most float64) float64 {
	return math.Min(math.Max(g.OnPrint(full), least*g.fine), math.Max(most, least*g.fine))
}

// deep is the same of a depth.
func (g *soil) deep(full, least, most float64) float64 {
	return math.Min(math.Max(g.HeightOnPrint(full), least*g.fine), math.Max(most, least*g.fine))
}

// heaped is the surface of loose matter, up to depth mm deep: in places, some metres apart,
// it lies high, with a fine grain, in others low.
func (g *soil) heaped(depth, fine float64) relief.Relief {
	return relief.Sum(relief.NewFacets(g.seed+101, g.wide(700, 5, 10), depth-fine, 0.25),
		relief.NewFacets(g.seed+102, g.wide(45, 0.85, 1.15), fine, 0.1))
}

// earth is clods and stones that lie in crumbs: deep in them where people walk, free of
// them elsewhere.
func (g *soil) earth() relief.Relief {
	clod, deep := g.wide(95, 1.2, 2.4), g.deep(36, 0.42, 0.8)
	lumps := relief.Shallowest(relief.NewStones(g.seed, clod, deep, 0.6), relief.NewStones(g.seed+1, 1.9*clod, deep, 0.25),
		g.heaped(deep, 0.22*g.fine))
	return relief.Sum(lumps, relief.NewFacets(g.seed+2, 1.5*clod, 0.65*deep, 0.1))
}

// stones are a bed of stones of a size of life, mm, two sizes of them.
func (g *soil) stones(full, least, deep float64) relief.Relief {
	pitch := g.wide(full, least, 2.6)
	depth := math.Max(deep*g.fine, 0.34*pitch)
	return relief.Shallowest(relief.NewStones(g.seed, pitch, depth, 0.95), relief.NewStones(g.seed+1, 1.45*pitch, depth, 0.45))
}

// Tracks: carts and people, in mm of life.
const (
	gauge    = 1450 // between the wheels of a cart: common practice, no source
	tyre     = 75
	rutLines = 7000 // between the tracks of carts
	pace     = 750  // a step of a man who walks: common practice, no source
	sole     = 290
	soleWide = 105
	walks    = 1300 // between the lines that people walk in
)

// mud is soft lumps with ruts and the prints of boots, under water where it is deepest.
func (g *soil) mud() relief.Relief {
	pitch, lump := g.wide(260, 2.6, 5), g.deep(32, 0.36, 0.8)
	soft := relief.Sum(relief.NewFacets(g.seed, pitch, lump, 0.1), relief.NewFacets(g.seed+1, g.wide(70, 1, 1.8), g.deep(20, 0.26, 0.4), 0.1))
	water := 0.82 * soft.Depth()
	trodden := relief.Sum(relief.Deepest(soft, g.ruts(water)), g.prints(0.5*soft.Depth()))
	return relief.Shallowest(trodden, relief.Even(water))
}

// ruts are the tracks of two wheels, again and again; nil where they would run into one.
func (g *soil) ruts(depth float64) relief.Relief {
	wide := math.Max(g.OnPrint(tyre), 2*g.Print.Gap)
	apart, lines := g.OnPrint(gauge), math.Min(math.Max(g.OnPrint(rutLines), 18), 60)
	if apart < 2.5*wide || apart > lines/2 {
		return nil
	}
	depth = math.Max(depth, g.Print.Relief)
	wide += 2 * depth
	rut := func(at float64) relief.Relief {
		return relief.NewGrooves(g.seed+5, lines, wide, depth, 0.8, lines/6).Flat(0.5).At(at)
	}
	both := relief.Bent(relief.Deepest(rut(0), rut(apart)), g.seed+6, lines/2, lines/12)
	return relief.Place(both, sdf.Turn(sdf.V(0, 0, 1), 20))
}

// prints are those of boots; nil where they are smaller than prints.
func (g *soil) prints(depth float64) relief.Relief {
	wide := g.OnPrint(soleWide)
	if depth = math.Max(depth, g.Print.Relief); wide < 1.2*depth+g.Print.Gap || g.OnPrint(sole) > 30 {
		return nil
	}
	arch := g.OnPrint(30)
	if arch < g.Print.Gap {
		arch = 0
	}
	steps := relief.NewPrints(g.seed+7, g.OnPrint(walks), g.OnPrint(pace), g.OnPrint(sole), wide+0.6*depth, depth, arch, 0.75)
	return relief.Place(steps, sdf.Turn(sdf.V(0, 0, 1), -35))
}

// sand is ripples across the wind, blown out in places, and grain on them.
func (g *soil) sand() relief.Relief {
	pitch := g.wide(100, 1.2, 2.6) // 60 to 150 mm in dry sand
	ripples := relief.Bent(relief.NewGrooves(g.seed, pitch, pitch, math.Max(0.24*g.fine, 0.2*pitch), 0.7, 0), g.seed+1, 3.1*pitch, 0.75*pitch)
	grain := relief.NewFacets(g.seed+2, g.wide(20, 0.7, 1.2), 0.13*g.fine, 0.1)
	crests := relief.NewFacets(g.seed+101, g.wide(700, 5, 10), 1.8*ripples.Depth(), 0.1)
	return relief.Sum(relief.Place(relief.Shallowest(ripples, crests), sdf.Turn(sdf.V(0, 0, 1), 65)), grain)
}

// cinders are sharp small grains with clinker among them.
func (g *soil) cinders() relief.Relief {
	pitch := g.wide(35, 0.8, 1.6)
	depth := math.Max(0.3*g.fine, 0.3*pitch)
	clinker := relief.Shallowest(relief.NewStones(g.seed+1, 2.1*pitch, depth, 0.4), relief.NewFacets(g.seed, pitch, depth, 0))
	return relief.Sum(clinker, relief.NewFacets(g.seed+2, g.wide(700, 5, 10), 0.5*depth, 0.2))
}

// rock is beds that end in steps, broken off along two sets of planes.
func (g *soil) rock() relief.Relief {
	bed, depth := g.wide(260, 2.4, 5), g.deep(65, 0.55, 1.2)
	flank := 0.5 * depth
	strata := relief.Bent(relief.NewSteps(g.seed, bed, 0.65*depth, flank), g.seed+1, 0.6*bed, 0.35*bed)
	blocks := relief.Bent(relief.NewSteps(g.seed+2, 1.6*bed, 0.35*depth, flank), g.seed+3, 0.8*bed, 0.3*bed)
	split := relief.Bent(relief.NewGrooves(g.seed+4, 2.3*bed, 1.6*g.Print.Gap, g.Print.Relief, 1, 0.6*bed), g.seed+5, 0.7*bed, 0.3*bed)
	face := relief.NewFacets(g.seed+6, g.wide(60, 1.1, 1.4), g.deep(16, 0.27, 0.4), 0.1)
	turn := func(h relief.Relief, degrees float64) relief.Relief {
		return relief.Place(h, sdf.Turn(sdf.V(0, 0, 1), degrees))
	}
	return relief.Sum(relief.Deepest(relief.Sum(turn(strata, 28), turn(blocks, 107)), turn(split, 75)), face)
}
