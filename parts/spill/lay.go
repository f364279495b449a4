package spill

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// debris is a spill as it is laid, with all notes on it.
type debris struct {
	core      sdf.Field // of the heaps; nil where there is none
	fragments []rested  // the largest first, those of the heap before
	heaped    int       // how many are of the heap
	fines     int       // and how many, the last, are fines
	notes     []parts.Note
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
	var all []sdf.Field
	if d.core != nil {
		all = append(all, d.core)
	}
	for _, x := range d.fragments {
		for _, b := range x.bodies {
			all = append(all, b.Polytope)
		}
		all = append(all, x.rods...)
	}
	if len(all) == 0 {
		return nil
	}
	return sdf.Union(all...)
}

// Notes are what is drawn otherwise than the scene gives it, and what found no place;
// none before the spill is laid.
func (p *Spill) Notes(s *parts.Site) []parts.Note { return p.laid(s).notes }

// lot is one fragment to be drawn: of which matter, and how large.
type lot struct {
	stuff *stuff
	size  float64
}

// lots draws the fragments, the largest first.
func (z *spillSizes) lots(rng *rand.Rand) (all []lot) {
	for i := range z.stuff {
		x := &z.stuff[i]
		for _, u := range stratified(rng, x.count) {
			all = append(all, lot{x, x.size(u)})
		}
	}
	slices.SortStableFunc(all, func(a, b lot) int { return cmp.Compare(b.size, a.size) })
	return all
}

// lay lays the heap, the fragments and the fines.
func (p *Spill) lay(s *parts.Site, under sdf.Field) (d debris) {
	z := p.settled(s)
	if !z.lies {
		return d
	}
	notes := parts.Notes{Part: p.Name, List: slices.Clone(z.notes)}
	grown := planar.GrownBox(z.bounds(), z.heapReach())
	l := &layer{
		pile: newPile(under, grown, z.fine).below(z.under), rims: rimsOf(s), pin: s.Print.Pin,
		wall: s.Print.Wall, chip: math.Max(s.Printer.LeastPin(), s.Print.Relief), hang: s.Inspect.Overhang, filled: p.Under == "filled", crevice: s.Print.Gap,
	}
	for n := range z.heaps {
		core := p.pileUp(s, z, l, n)
		if core == nil {
			notes.Add("heap", "left out: nothing lies under it")
			continue
		}
		d.core = fracture.Together(d.core, core)
	}
	d.heaped = len(l.rested)
	shapes, spot := s.Rand(p.Name, p.Seed, "fragments"), z.spotter()
	places := s.Rand(p.Name, p.Seed, "places").Uint64()
	for i, x := range z.lots(s.Rand(p.Name, p.Seed, "sizes")) {
		rng := rand.New(rand.NewPCG(places, uint64(i))) // its own: one that finds no rest moves no other
		at := spot(rng)
		l.rest(rng, x.stuff.shard(shapes, x.size), mostSpots, mostSpots/2, func(n int) (r2.Vec, bool) {
			if n > 0 && n%nearSpots == 0 {
				at = spot(rng)
			}
			sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
			off := x.size * float64(n%nearSpots) / nearSpots // near it, so that as many lie here as should
			by := l.against(rng, r2.Add(at, r2.Vec{X: off * cos, Y: off * sin}), x.size)
			return by, z.holds(by) && l.onFloor(s, by, x.size)
		})
	}
	if lie := len(l.rested) - d.heaped; lie < z.count {
		notes.Add("", "%d of %d fragments found a place to rest", lie, z.count)
	}
	d.fines = p.sprinkle(s, z, l)
	d.fragments, d.notes = l.rested, notes.List
	return d
}

// onFloor says whether a place is of a floor, or of what was raised there by so much: not the
// top of a wall, a shaft or a rail.
func (l *layer) onFloor(s *parts.Site, at r2.Vec, size float64) bool {
	const raised = 1.5 // mm
	floor, ok := s.FloorAt(at)
	return !ok || l.floorAt(at.X, at.Y) < floor+raised+size
}

// leanShare is how many of the fragments lie against another that is near. Common practice,
// no source.
const leanShare = 0.65

// against is a place, or for some fragments one nearby, beside another.
func (l *layer) against(rng *rand.Rand, at r2.Vec, size float64) r2.Vec {
	pick, turn, off := rng.Float64(), rng.Float64(), rng.Float64()
	if pick >= leanShare {
		return at
	}
	const looks = 12
	for i := range looks {
		sin, cos := math.Sincos(2 * math.Pi * (turn + float64(i)/looks))
		way := r2.Vec{X: cos, Y: sin}
		far := size * (0.5 + 0.75*float64(i%3))
		if near := r2.Add(at, r2.Scale(far, way)); !math.IsInf(l.laidAt(near.X, near.Y), -1) {
			return r2.Add(at, r2.Scale(math.Max(0, far-size*(0.25+0.25*off)), way))
		}
	}
	return at
}

// beside is a place off the edge of a fragment, at an angle from 0 to 1 round it.
func (r *rested) beside(angle, off float64) r2.Vec {
	b := r.bodies[0].Box
	sin, cos := math.Sincos(2 * math.Pi * angle)
	return r2.Vec{X: (b.Min.X+b.Max.X)/2 + cos*((b.Max.X-b.Min.X)/2+off), Y: (b.Min.Y+b.Max.Y)/2 + sin*((b.Max.Y-b.Min.Y)/2+off)}
}

// sprinkle lays the fines: about the feet of the fragments, and most in the nooks between
// them. It gives how many.
func (p *Spill) sprinkle(s *parts.Site, z *spillSizes, l *layer) int {
	coarse := len(l.rested)
	if coarse == 0 {
		return 0
	}
	shapes, places := s.Rand(p.Name, p.Seed, "fines"), s.Rand(p.Name, p.Seed, "nooks").Uint64()
	for i := range z.fines {
		rng := rand.New(rand.NewPCG(places, uint64(i)))
		f := newBlock(shapes, z.fine*between(shapes, 1, 1.35))
		l.rest(rng, f, nearSpots, nearSpots, func(int) (r2.Vec, bool) {
			at := l.rested[rng.IntN(coarse)].beside(rng.Float64(), z.fine*between(rng, 0, 0.7))
			return at, z.holds(at) && l.onFloor(s, at, z.law.most)
		})
	}
	return len(l.rested) - coarse
}
