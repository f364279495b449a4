package spill

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// stuff is one matter of the debris as it is drawn.
type stuff struct {
	parts.Matter         // its sizes held to what prints
	share        float64 // of the area that the debris covers
	law          sizeLaw // of the longest sides of its pieces, where they have no size of their own
	units        bool    // pieces are whole units, halves and bats
	site         *parts.Site
	sherds       float64 // of stones: the share that is flat
	cover        float64 // mean area on the plan of a piece, mm2
	count        int
}

const (
	// deepShare is how deep a bowl is on average over its radius: a parabola a fifth of
	// its diameter deep (references.md, section 6).
	deepShare = 0.2
	// leastShare is the share of the debris below which a matter is left out, and
	// mostStuff how many there are of at most.
	leastShare = 0.04
	mostStuff  = 5
)

// usualUnits are units where the scene has none to go by, in full-size mm.
var usualUnits = map[parts.Form]r3.Vec{
	parts.Bricks: {X: 215, Y: 102.5, Z: 65}, // BS EN 771 usage, BS 4729
	parts.Blocks: {X: 440, Y: 215, Z: 215},  // BS EN 771-3 usage
	parts.Flags:  {X: 600, Y: 600, Z: 50},   // BS EN 1339 usage
	parts.Slabs:  {Z: 200},                  // this and below: common practice, no source
	parts.Drums:  {X: 900, Y: 900, Z: 720},
	parts.Boards: {Y: 150, Z: 38},
	parts.Plates: {Z: 10},
}

// usualBar is the diameter of bars in a usual slab, full-size mm (one of the sizes of BS
// 8666 usage).
const usualBar = 12

// found is what the debris is made of before it is sized: what the damage broke, or what
// stands in or beside the area; stones where that is nothing. The largest share comes first.
func (p *Spill) found(s *parts.Site, w strewing) []parts.Matter {
	patch := &parts.Patch{Middle: w.middle, Radius: w.radius, Area: w.area}
	damage, _ := s.Find(p.From).(parts.Damager)
	var scope parts.Scope
	if w.area == nil {
		patch.Deep = deepShare * w.radius
		scope = parts.ScopeOf(damage)
		if m, ok := damage.(parts.Movable); ok && m.Struck(s).Built {
			patch.Deep = 0
		}
	}
	of := p.Of
	if h, ok := damage.(parts.Heaper); ok {
		fell, names := h.Fallen(s)
		patch, of = &fell, names
	}
	if len(p.Of) > 0 {
		patch, of = &parts.Patch{Whole: true, Deep: 1}, p.Of
	}
	var all []parts.Matter
	for _, part := range s.Parts {
		b, ok := part.(parts.Crumbler)
		switch {
		case !ok, len(of) > 0 && !slices.Contains(of, part.Label()):
			continue
		case len(of) == 0 && damage != nil && !scope.Touches(part.Label()):
			continue
		}
		for _, m := range b.Breaks(s, patch) {
			same := func(o parts.Matter) bool { return o.Form == m.Form && o.Unit == m.Unit && o.Bar == m.Bar }
			if i := slices.IndexFunc(all, same); i >= 0 {
				all[i].Volume += m.Volume
			} else if m.Volume > 0 {
				all = append(all, m)
			}
		}
	}
	if form, ok := parts.FormOf(p.Matter); ok {
		all = slices.DeleteFunc(all, func(m parts.Matter) bool { return m.Form != form })
		if len(all) == 0 {
			unit := usualUnits[form]
			m := parts.Matter{Form: form, Volume: 1, Unit: sdf.V(s.OnPrint(unit.X), s.OnPrint(unit.Y), s.HeightOnPrint(unit.Z))}
			if form == parts.Slabs {
				m.Bar = s.OnPrint(usualBar)
			}
			all = append(all, m)
		}
	}
	if len(all) == 0 {
		return []parts.Matter{{Form: parts.Stones, Volume: 1}}
	}
	slices.SortStableFunc(all, func(a, b parts.Matter) int { return cmp.Compare(b.Volume, a.Volume) })
	return all[:min(len(all), mostStuff)]
}

// stuffs are the matters of the debris as drawn, of sizes between two, with the share of each.
func (p *Spill) stuffs(s *parts.Site, w strewing, law sizeLaw, notes *parts.Notes) (all []stuff) {
	found := p.found(s, w)
	total := 0.0
	for _, m := range found {
		total += m.Volume
	}
	kept := 0.0
	for _, m := range found {
		if m.Volume < leastShare*total {
			continue
		}
		x := newStuff(s, m, law)
		if x.Form == m.Form && m.Unit.Z > 0 && x.Unit.Z > m.Unit.Z*(1+1e-9) {
			notes.Add("matter", "%s of %.2f mm are drawn %.2f mm thick, so that they print", m.Form, m.Unit.Z, x.Unit.Z)
		}
		x.sherds = p.Sherds
		high := 0.0
		x.cover, high = x.means(s.Rand(p.Name, p.Seed, "cover"))
		x.share = m.Volume / high // thin pieces cover more
		kept += x.share
		all = append(all, x)
	}
	for i := range all {
		all[i].share /= kept
	}
	return all
}

// newStuff holds a matter to what prints and to the sizes of the debris.
func newStuff(s *parts.Site, m parts.Matter, law sizeLaw) stuff {
	thin := leastThick(s)
	x := stuff{Matter: m, law: law, site: s}
	without := func(v float64) float64 { // a size that is none is one without end
		if v > 0 {
			return v
		}
		return math.Inf(1)
	}
	u := &x.Unit
	switch m.Form {
	case parts.Bricks, parts.Blocks:
		k := math.Max(1, math.Max(thin/u.Z, s.Printer.LeastPin()/(fragmentWidth*math.Min(u.X/3, u.Y))))
		*u = r3.Scale(k, *u)
		u.Z = standing(s, u.Z)
		x.units = u.X <= law.most*1.05
	case parts.Flags, parts.Slabs, parts.Plates:
		u.Z = standing(s, math.Max(u.Z, thin))
		const broad = 1.5 // over its thickness, for a plate to be one
		if u.Z*broad > law.most {
			x.Form = parts.Stones
			break
		}
		x.law.most = math.Min(law.most, math.Max(without(u.X), broad*u.Z))
		x.law.least = math.Min(math.Max(law.least, broad*u.Z), x.law.most)
		if m.Bar > 0 {
			x.Bar = math.Max(m.Bar, s.Print.Pin)
			if x.Bar > 0.7*u.Z {
				x.Bar = 0
			}
		}
	case parts.Drums:
		u.X = math.Max(u.X, 1.5*leastPrinted(s))
		u.Z = math.Max(u.Z, 0.8*u.X)
		x.units = math.Max(u.X, u.Z) <= law.most*1.3
	case parts.Boards:
		u.Z = math.Max(u.Z, thin)
		u.Y = math.Max(u.Y, math.Max(u.Z, s.Printer.LeastPin()))
		x.law.least = math.Max(law.least, 2*u.Y)
		x.law.most = math.Max(math.Min(math.Max(law.most, 3*u.Y), without(u.X)), x.law.least)
	}
	return x
}

// standing is a thickness, mm, raised to that of a wall that stands free where it is near to
// that.
func standing(s *parts.Site, thick float64) float64 {
	const near, over = 0.8, 1.03 // a little more, so that it does not measure less
	if thick > near*s.Print.Wall {
		return math.Max(thick, over*s.Print.Wall)
	}
	return thick
}

// size is the longest side of a piece, mm, for a u from 0 to 1.
func (x *stuff) size(u float64) float64 {
	switch {
	case x.units && x.Form == parts.Drums:
		return math.Max(x.Unit.X, x.Unit.Z)
	case x.units:
		return x.Unit.X * unitPart(u)
	}
	return x.law.at(u)
}

// shard draws a piece of a size.
func (x *stuff) shard(rng *rand.Rand, size float64) shard {
	switch x.Form {
	case parts.Bricks, parts.Blocks:
		if x.units {
			return newUnit(rng, x.Unit, size/x.Unit.X, x.site.Print.Wall)
		}
		return newLump(rng, x.Unit, size)
	case parts.Flags:
		return newFlag(rng, size, x.Unit.Z)
	case parts.Slabs:
		return newSlab(rng, size, x.Unit.Z, x.Bar)
	case parts.Plates:
		return newPlate(rng, size, x.Unit.Z)
	case parts.Drums:
		if x.units {
			return newDrum(rng, x.Unit.X, x.Unit.Z)
		}
		return newSector(rng, x.Unit.X, size)
	case parts.Boards:
		return newBoard(rng, size, x.Unit.Y, x.Unit.Z, x.site.Print.Pin)
	case parts.Clods:
		return newClod(rng, size)
	}
	if rng.Float64() < x.sherds {
		return newSherd(rng, size, sherdThickness(x.site, size))
	}
	return newBlock(rng, size)
}

// means are the mean area on the plan of a piece, mm2, and its height, mm, off a few.
func (x *stuff) means(rng *rand.Rand) (cover, height float64) {
	const few = 24
	for _, u := range stratified(rng, few) {
		f := x.shard(rng, x.size(u))
		if all, _ := f.outline(); len(all) > 2 {
			area := planar.SignedArea(all)
			cover += area
			height += area * f.height
		}
	}
	const least = 1e-3
	return math.Max(cover/few, least), math.Max(height/math.Max(cover, least), least)
}
