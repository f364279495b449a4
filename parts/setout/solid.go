package setout

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Round is a Thing that is round on the plan, as wide as it is long.
type Round interface{ IsRound() bool }

// Matters is a Thing that knows what it breaks into.
type Matters interface {
	Matter(s *parts.Site) parts.Matter
}

func isRound(t Thing) bool {
	r, ok := t.(Round)
	return ok && r.IsRound()
}

// Pieces counts them, each for several.
func (p *Places) Pieces(s *parts.Site) int {
	const each = 8
	return each * int(p.count(p.thing(s).Bulk(s)))
}

// Solid is all of them.
func (p *Places) Solid(s *parts.Site) sdf.Field {
	t := p.thing(s)
	var all []sdf.Field
	for _, at := range p.spots(s) {
		all = append(all, sdf.Place(t.Body(s, at), at.pose()))
	}
	return sdf.Union(all...)
}

// Extents are what each covers on the plan.
func (p *Places) Extents(s *parts.Site) (all []parts.Extent) {
	t := p.thing(s)
	bulk := t.Bulk(s)
	key := "at"
	switch {
	case len(p.Along) > 0:
		key = "along"
	case p.Area != nil:
		key = "area"
	}
	for _, at := range p.spots(s) {
		if isRound(t) {
			all = append(all, parts.Extent{Key: key, Points: []r2.Vec{at.At}, Wide: bulk.X / 2})
			continue
		}
		all = append(all, parts.Extent{Key: key, Points: at.outline(bulk), Closed: true})
	}
	return all
}

// Plan is their outlines.
func (p *Places) Plan(s *parts.Site) (strokes []parts.Stroke) {
	t := p.thing(s)
	bulk := t.Bulk(s)
	for _, at := range p.spots(s) {
		path := planar.Straight(at.outline(bulk)...)
		if isRound(t) {
			path = planar.CirclePath(at.At, bulk.X/2)
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Closed: true, Covers: true, Path: path})
		if !isRound(t) { // a diagonal: a thing, not a wall
			o := at.outline(bulk)
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Path: planar.Straight(o[0], o[2])})
		}
	}
	return strokes
}

// Bitten is what bites leave of them.
func (p *Places) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	t := p.thing(s)
	bulk := t.Bulk(s)
	var all []fracture.Piece
	for _, at := range p.spots(s) {
		all = append(all, fracture.Piece{Solid: sdf.Place(t.Body(s, at), at.pose()), Frame: at.pose(),
			Box:   r3.Box{Min: sdf.V(-bulk.X/2, -bulk.Y/2, at.Foot), Max: sdf.V(bulk.X/2, bulk.Y/2, bulk.Z)},
			Thick: math.Min(bulk.X, math.Min(bulk.Y, bulk.Z)) / 3})
	}
	return fracture.Pieces(s, all, bites, under)
}

// Breaks gives what of them comes down at a patch.
func (p *Places) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	t := p.thing(s)
	m, ok := t.(Matters)
	if !ok {
		return nil
	}
	count := 0
	for _, at := range p.spots(s) {
		if patch.Distance(at.At) <= 0 {
			count++
		}
	}
	if count == 0 {
		return nil
	}
	matter := m.Matter(s)
	matter.Volume *= float64(count)
	return []parts.Matter{matter}
}

// Sights is the first of them that the piece shows.
func (p *Places) Sights(l parts.Lookout) []parts.Sight {
	t := p.thing(l.Site())
	bulk := t.Bulk(l.Site())
	half := math.Max(bulk.Z, math.Max(bulk.X, bulk.Y))
	for _, at := range p.spots(l.Site()) {
		if sight, ok := parts.SightOf(l, t, sdf.V(at.At.X, at.At.Y, at.Level+bulk.Z), bulk.Z, half, math.Hypot(bulk.X, bulk.Y)/2); ok {
			return []parts.Sight{sight}
		}
	}
	return nil
}
