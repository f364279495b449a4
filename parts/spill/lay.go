package spill

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/convex"
)

// mostSpots bounds the places tried for one fragment.
const mostSpots = 12

// debris is a spill as it is laid, with all notes on it.
type debris struct {
	heap      sdf.Field // nil where there is none
	fragments []rested  // the largest first
	notes     []parts.Note
}

// rested is a fragment as it lies.
type rested struct {
	solid *convex.Polytope
	seat  seat
	size  float64
	sunk  float64 // mm
}

// laid holds the debris of a site, which Spill lays: what is under it is known then.
type laid struct {
	once sync.Once
	debris
}

func (p *Spill) laid(s *parts.Site) *laid {
	return parts.Settled(s, p, func() *laid { return &laid{} })
}

// Spill is the debris on what is under it, laid once for a site; nil where none finds a
// rest.
func (p *Spill) Spill(s *parts.Site, under sdf.Field) sdf.Field {
	d := p.laid(s)
	d.once.Do(func() { d.debris = p.lay(s, under) })
	all := make([]sdf.Field, 0, len(d.fragments)+1)
	if d.heap != nil {
		all = append(all, d.heap)
	}
	for _, x := range d.fragments {
		all = append(all, x.solid)
	}
	if len(all) == 0 {
		return nil
	}
	return sdf.Union(all...)
}

// Notes are what is drawn otherwise than the scene gives it, and what found no place;
// none before the spill is laid.
func (p *Spill) Notes(s *parts.Site) []parts.Note { return p.laid(s).notes }

// lay lays the heap and the fragments.
func (p *Spill) lay(s *parts.Site, under sdf.Field) (d debris) {
	z := p.settled(s)
	if !z.lies {
		return d
	}
	notes := parts.Notes{Part: p.Name, List: slices.Clone(z.notes)}
	if p.Heap > 0 {
		if d.heap = p.heap(s, z.strewing, under); d.heap != nil {
			under = sdf.Union(under, d.heap)
		} else {
			notes.Add("heap", "left out: nothing lies under it")
		}
	}
	shapes, spots := s.Rand(p.Name, p.Seed, "fragments"), s.Rand(p.Name, p.Seed, "places")
	sizes, spot := stratified(shapes, z.law, z.count), z.spotter()
	floor := newPile(under, z.bounds(), z.law.least).below(z.under)
	for i := z.count - 1; i >= 0; i-- {
		var f shard
		if size := sizes[i]; shapes.Float64() < p.Sherds {
			f = newSherd(shapes, size, sherdThickness(s, size))
		} else {
			f = newBlock(shapes, size)
		}
		if r, ok := rest(spots, floor, spot, f, p.Under == "filled"); ok {
			d.fragments = append(d.fragments, r)
		}
	}
	if len(d.fragments) < z.count {
		notes.Add("", "%d of %d fragments found a place to rest", len(d.fragments), z.count)
	}
	d.notes = notes.List
	return d
}

// stratified draws n sizes by a law, one from each n-th of it, the least first:
// few fragments are then as true to the law as many.
func stratified(rng *rand.Rand, law sizeLaw, n int) []float64 {
	sizes := make([]float64, n)
	for i := range sizes {
		sizes[i] = law.at((float64(i) + rng.Float64()) / float64(n))
	}
	return sizes
}

// rest looks for a place for one fragment and lays it there, 15 to 30 % of its
// height deep; most lie flat, some lean. filled says that what is under it is.
func rest(rng *rand.Rand, floor *pile, spot func(*rand.Rand) r2.Vec, f shard, filled bool) (rested, bool) {
	for range mostSpots {
		at := spot(rng)
		seat, ok := floor.drop(at.X, at.Y)
		if !ok {
			continue
		}
		sunk := f.height * (0.15 + 0.15*rng.Float64())
		if !floor.holds(seat, sunk) || !floor.bears(seat, 0.3*f.size, 0.2*f.size+sunk) {
			continue
		}
		lean := 6 * rng.Float64()
		if rng.Float64() < 0.3 {
			lean = 25 * rng.Float64()
		}
		if f.flat {
			lean /= 2
		}
		solid := f.lay(rng, seat.at, seat.normal, sunk, lean)
		if solid == nil || solid.Value(seat.bitten(sunk)) >= 0 {
			continue
		}
		if filled {
			solid = floor.footed(solid, f.size)
		}
		floor.add(solid, at.X, at.Y)
		return rested{solid: solid, seat: seat, size: f.size, sunk: sunk}, true
	}
	return rested{}, false
}

// heap is a cone of rubble at its angle of repose in the middle, rough with the
// fragments in it, down to below the lowest surface that it covers; nil where nothing
// lies under it.
func (p *Spill) heap(s *parts.Site, w strewing, under sdf.Field) sdf.Field {
	at := w.centre()
	slope := math.Tan(p.Repose * math.Pi / 180)
	radius := p.Heap / slope
	floor := newPile(under, r2.Box{Min: at, Max: at}, 1).below(w.under)
	peak, ok := floor.surface(at.X, at.Y, math.Inf(-1))
	if !ok {
		return nil
	}
	top := peak.Z + p.Heap
	foot := peak.Z
	const rings, spokes = 4, 16
	for i := range rings * spokes {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%spokes) / spokes)
		r := radius * float64(1+i/spokes) / rings
		if q, ok := floor.surface(at.X+r*cos, at.Y+r*sin, math.Inf(-1)); ok {
			foot = math.Min(foot, q.Z)
		}
	}
	foot = math.Max(foot, top-3*p.Heap) - 1
	cone := sdf.Place(sdf.Cone((top-foot)/slope, 0, top-foot), sdf.At(sdf.V(at.X, at.Y, foot)))
	lumps := sdf.NewNoise(s.Rand(p.Name, p.Seed, "heap").Uint64(), math.Max(radius/2, 1), 2)
	return sdf.Displace(cone, lumps, math.Min(0.15*p.Heap, 0.6))
}
