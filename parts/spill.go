package parts

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Spill is debris in and around damage, or over a region: blocks and sherds of
// all sizes, resting on what is under them.
type Spill struct {
	Named
	From     string      `key:"from" type:"ref" doc:"the crater, gouge or breach that it comes from" words:"crater,gouge,breach"`
	Area     *Area       `key:"area" type:"table" doc:"the region that it lies in, in place of from"`
	Count    *int        `key:"count" type:"count" doc:"number of fragments, in place of amount" min:"1" max:"200000"`
	Amount   *float64    `key:"amount" type:"number" doc:"share of the surface that fragments cover, in the damage or over the region; left out, 0.25" min:"0.001" max:"1"`
	Size     *[2]float64 `key:"size" type:"size" doc:"least and greatest size of a fragment; left out, from 150 mm full size (or the least that prints) to ten times that" min:"0.02" max:"100" source:"one decade: Turcotte, J. Geophys. Res. 91 (1986), 1921"`
	Exponent float64     `key:"exponent" type:"number" doc:"of the size law: the number larger than r goes as r to minus this" default:"2.5" min:"2" max:"3" source:"about 2.5 for natural broken rock: Turcotte, J. Geophys. Res. 91 (1986), 1921"`
	Sherds   float64     `key:"sherds" type:"number" doc:"share of the fragments that are flat plates, as of broken paving" default:"0.3" min:"0" max:"1"`
	Reach    *float64    `key:"reach" type:"number" doc:"how far it lies, in radii of the damage from its middle; outside the lip its density falls with the cube of the distance; left out, 2.5" min:"0.5" max:"6" source:"exponent -3: McGetchin, Settle and Head, Earth Planet. Sci. Lett. 20 (1973), 226"`
	Heap     float64     `key:"heap" type:"height" doc:"height of a heap of rubble in the middle; 0 for none" default:"0" min:"0" max:"200"`
	Repose   float64     `key:"repose" type:"angle" doc:"slope of the heap" default:"35" min:"25" max:"45" source:"broken stone 35 to 40: civil engineering notes"`
	Under    string      `key:"under" type:"word" doc:"what is under a fragment that leans or lies on others: open, or filled straight down, so that no resin is shut in between and nothing hangs" default:"open" words:"open,filled"`
	Seed     uint64      `key:"seed" type:"seed" doc:"picks the fragments and where they lie" default:"1"`

	unnamed bool // by the scene
}

// SetLabel names a spill that the scene left without a name.
func (s *Spill) SetLabel(name string) { s.Name, s.unnamed = name, true }

// Describe is its name or, without one from the scene, the damage that it comes from.
func (s *Spill) Describe(site *Site) string {
	if !s.unnamed || s.From == "" {
		return s.Name
	}
	return "spill of " + WordOf(site.Find(s.From)) + " " + s.From
}

func init() {
	register(Kind{
		Word: "spill", Stage: Spilling,
		Doc: "Debris in and around a crater, a gouge or a breach, or over a region: blocks and sherds by the size law of broken rock, bedded in what they rest on.",
		New: func() Part { return &Spill{} },
	})
}

// Extents are its area, if it has one.
func (s *Spill) Extents(*Site) []Extent {
	if s.Area == nil {
		return nil
	}
	return []Extent{{Key: "area", Points: s.Area.outline(), Closed: true}}
}

// Source is the damage that it comes from.
func (s *Spill) Source() string { return s.From }

// Farthest is its reach and the largest of its fragments.
func (s *Spill) Farthest(site *Site, cut float64) float64 {
	far, largest := spillReach, 10*site.OnPrint(fullFragment)
	if s.Reach != nil {
		far = *s.Reach
	}
	if s.Size != nil {
		largest = s.Size[1]
	}
	return far*cut + largest
}

const (
	spillAmount = 0.25
	spillReach  = 2.5
	// fullFragment is the least fragment drawn unless asked otherwise, mm full size.
	fullFragment = 150
	// fragmentRelief is how much of a fragment's size stands out at least.
	fragmentRelief = 0.6
	// fragmentWidth is the least width of a block over its size (newBlock).
	fragmentWidth = 0.65
	// sherdTaper is how much a sherd may lose of its thickness from the middle to
	// its edge, over its size: its top leans up to 5 degrees (newSherd).
	sherdTaper = 0.045
	// fragmentCover is the mean area that a fragment covers, over the square of
	// its size: a measured mean of blocks and sherds alike.
	fragmentCover = 0.6
	// mostSpots bounds the places tried for one fragment.
	mostSpots = 12
)

// strewing is where debris lies: all of it within a distance of a middle, or
// within an area.
type strewing struct {
	middle []r2.Vec
	radius float64 // to the lip, mm
	reach  float64 // in radii
	under  float64 // height that it falls from; without end where nothing is over it
	area   *Area
}

// strewing settles where the debris lies; ok is false where the damage that it
// comes from is not there.
func (p *Spill) strewing(s *Site) (w strewing, ok bool) {
	if p.Area != nil {
		return strewing{area: p.Area, under: math.Inf(1)}, true
	}
	from, ok := s.Find(p.From).(Strewer)
	if !ok {
		return w, false
	}
	w.reach = spillReach
	if p.Reach != nil {
		w.reach = *p.Reach
	}
	w.middle, w.radius = from.Strewn(s)
	w.under = math.Inf(1)
	if over, ok := from.(Overhung); ok {
		w.under = over.Under(s)
	}
	return w, len(w.middle) > 0
}

// share is the area that the debris would cover at the density that it has
// within the lip, over the area within the lip; for a line, the same for a
// section across it. The density is even within the lip and falls as x^-3
// outside, x in radii: the integral of x^-3 over rings is 1 - 1/x, over a section
// (1 - 1/x^2)/2.
func (w strewing) share() float64 {
	x := w.reach
	switch {
	case len(w.middle) == 1 && x <= 1:
		return x * x
	case len(w.middle) == 1:
		return 1 + 2*(1-1/x)
	case x <= 1:
		return x
	}
	return 1 + (1-1/(x*x))/2
}

// distance is how far from the middle, in radii, a fragment lies for a u from 0 to 1.
func (w strewing) distance(u float64) float64 {
	u *= w.share()
	line := len(w.middle) > 1
	switch {
	case u <= 1 && line:
		return u
	case u <= 1:
		return math.Sqrt(u)
	case line:
		return 1 / math.Sqrt(1-2*(u-1))
	}
	return 1 / (1 - (u-1)/2)
}

// size is the area to be covered, mm2.
func (w strewing) size() float64 {
	switch {
	case w.area != nil:
		return w.area.size()
	case len(w.middle) == 1:
		return math.Pi * w.radius * w.radius * w.share()
	}
	length := 0.0
	for i, b := range w.middle[1:] {
		length += r2.Norm(r2.Sub(b, w.middle[i]))
	}
	return 2 * w.radius * length * w.share()
}

// bounds holds every place that debris may lie at.
func (w strewing) bounds() r2.Box {
	if w.area != nil {
		return w.area.bounds()
	}
	return grownBox(boundsOf(w.middle), w.radius*w.reach)
}

// centre is where a heap lies.
func (w strewing) centre() r2.Vec {
	switch {
	case w.area != nil:
		return w.area.centre()
	case len(w.middle) == 1:
		return w.middle[0]
	}
	at := make([]r3.Vec, len(w.middle))
	for i, p := range w.middle {
		at[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	sides := line3{pts: at}.sides()
	m := pointAt(sides, sides[len(sides)-1].to/2)
	return r2.Vec{X: m.X, Y: m.Y}
}

// spotter draws random places of the debris.
func (w strewing) spotter() func(*rand.Rand) r2.Vec {
	if w.area == nil {
		return w.spot
	}
	b, shape := w.area.bounds(), w.area.drawn()
	return func(rng *rand.Rand) r2.Vec {
		const draws = 1000
		for range draws {
			at := r2.Vec{X: b.Min.X + (b.Max.X-b.Min.X)*rng.Float64(), Y: b.Min.Y + (b.Max.Y-b.Min.Y)*rng.Float64()}
			if shape.Distance(at) < 0 {
				return at
			}
		}
		return w.area.centre()
	}
}

// spot is a random place about the middle.
func (w strewing) spot(rng *rand.Rand) r2.Vec {
	r := w.radius * w.distance(rng.Float64())
	if len(w.middle) == 1 {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		return r2.Add(w.middle[0], r2.Vec{X: r * cos, Y: r * sin})
	}
	total := 0.0
	for i, b := range w.middle[1:] {
		total += r2.Norm(r2.Sub(b, w.middle[i]))
	}
	along := total * rng.Float64()
	r *= 2*float64(rng.IntN(2)) - 1
	for i, b := range w.middle[1:] {
		a := w.middle[i]
		l := r2.Norm(r2.Sub(b, a))
		if along <= l || i == len(w.middle)-2 {
			return r2.Add(r2.Add(a, r2.Scale(math.Min(along/l, 1), r2.Sub(b, a))), r2.Scale(r, leftNormal(a, b)))
		}
		along -= l
	}
	return w.middle[0]
}

// leastPrinted is the size of the least fragment that prints, mm: it stands out
// by the least relief, and is no hair.
func leastPrinted(s *Site) float64 {
	return math.Max(s.Print.Relief/fragmentRelief, s.Printer.LeastPin()/fragmentWidth)
}

// sherdThickness is how thick a sherd of a size is drawn, mm: what stands out of
// its bed is the least relief, and its edge is a wall that prints.
func sherdThickness(s *Site, size float64) float64 {
	thick := max(0.18*size, s.Print.Relief/0.7, s.Printer.JoinedWall()+sherdTaper*size)
	return math.Min(thick, size)
}

// law is the size law as drawn, with a note where sizes are raised to what prints.
func (p *Spill) law(s *Site, w strewing) (l sizeLaw, notes []Note) {
	prints := leastPrinted(s)
	l = sizeLaw{exponent: p.Exponent}
	if p.Size == nil {
		l.least = math.Max(s.OnPrint(fullFragment), prints)
		l.most = 10 * l.least
		if w.radius > 0 {
			l.most = math.Max(math.Min(l.most, w.radius/3), l.least)
		}
		return l, nil
	}
	l.least, l.most = p.Size[0], p.Size[1]
	if l.least < prints {
		notes = append(notes, Note{Part: p.Name, Key: "size", Text: fmt.Sprintf(
			"fragments of %.2f mm are drawn at %.2f mm at least, so that they print", l.least, prints)})
		l.least, l.most = prints, math.Max(prints, l.most)
	}
	return l, notes
}

// count is the number of fragments.
func (p *Spill) count(w strewing, l sizeLaw) int {
	if p.Count != nil {
		return *p.Count
	}
	amount := spillAmount
	if p.Amount != nil {
		amount = *p.Amount
	}
	n := amount * w.size() / (fragmentCover * l.meanSquare())
	return int(math.Min(math.Ceil(n), MaxPieces+1))
}

// Check reports a spill that comes from nowhere or two places, and sizes the
// wrong way round.
func (p *Spill) Check(s *Site) []Fault {
	fault := func(key, text, allowed string) Fault {
		return Fault{Part: p.Name, Key: key, Text: text, Allowed: allowed}
	}
	var faults []Fault
	switch {
	case p.From != "" && p.Area != nil:
		faults = append(faults, fault("area", "the spill has both a source and an area", "one of from and area"))
	case p.From == "" && p.Area == nil:
		faults = append(faults, fault("", "the spill lies nowhere", "one of from and area"))
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

// Pieces is the number of fragments, and one for a heap.
func (p *Spill) Pieces(s *Site) int {
	w, ok := p.strewing(s)
	if !ok {
		return 0
	}
	l, _ := p.law(s, w)
	return p.count(w, l) + 1
}

// Spill is the debris on what is under it; nil where none finds a rest.
func (p *Spill) Spill(s *Site, under sdf.Field) sdf.Field {
	f, laid := p.lay(s, under)
	all := make([]sdf.Field, 0, len(laid)+1)
	if f != nil {
		all = append(all, f)
	}
	for _, x := range laid {
		all = append(all, x.solid)
	}
	if len(all) == 0 {
		return nil
	}
	return sdf.Union(all...)
}

// rested is a fragment as it lies.
type rested struct {
	solid *polytope
	seat  seat
	size  float64
	sunk  float64 // mm
}

// lay lays the heap, nil if there is none, and the fragments, the largest first.
func (p *Spill) lay(s *Site, under sdf.Field) (heap sdf.Field, laid []rested) {
	w, ok := p.strewing(s)
	if !ok {
		return nil, nil
	}
	law, notes := p.law(s, w)
	for _, n := range notes {
		s.Note(n.Part, n.Key, "%s", n.Text)
	}
	b := w.bounds()
	if p.Heap > 0 {
		if heap = p.heap(s, w, under); heap != nil {
			under = sdf.Union(under, heap)
		}
	}
	n := p.count(w, law)
	shapes, spots := s.Rand(p.Name, p.Seed, "fragments"), s.Rand(p.Name, p.Seed, "places")
	sizes, spot := stratified(shapes, law, n), w.spotter()
	floor := newPile(under, b, law.least).below(w.under)
	for i := n - 1; i >= 0; i-- {
		var f shard
		if size := sizes[i]; shapes.Float64() < p.Sherds {
			f = newSherd(shapes, size, sherdThickness(s, size))
		} else {
			f = newBlock(shapes, size)
		}
		if r, ok := rest(spots, floor, spot, f, p.Under == "filled"); ok {
			laid = append(laid, r)
		}
	}
	if len(laid) < n {
		s.Note(p.Name, "", "%d of %d fragments found a place to rest", len(laid), n)
	}
	return heap, laid
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
// fragments in it, down to below the lowest surface that it covers.
func (p *Spill) heap(s *Site, w strewing, under sdf.Field) sdf.Field {
	at := w.centre()
	slope := math.Tan(p.Repose * math.Pi / 180)
	radius := p.Heap / slope
	floor := newPile(under, r2.Box{Min: at, Max: at}, 1).below(w.under)
	peak, ok := floor.surface(at.X, at.Y, math.Inf(-1))
	if !ok {
		s.Note(p.Name, "heap", "left out: nothing lies under it")
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

// Remedies of a spill.
func (p *Spill) Remedies(s *Site, t Trouble) []Remedy {
	w, ok := p.strewing(s)
	if !ok || !(t.thin() || t.hanging() || t.trapped() || t.of("narrow-gap", "shallow-relief", "uneven-risers", "stand", "rough-stand")) {
		return nil
	}
	r := remediesOf(p)
	l, _ := p.law(s, w)
	r.scaled("sherds", "fewer sherds", p.Sherds, 0.5, 0)
	r.seeds(p.Seed)
	larger := [2]float64{handy(1.3 * l.least), handy(math.Max(l.most, 1.3*l.least))}
	r.together("size", "a larger least size", []Move{r.move("size", larger)})
	if p.Count != nil {
		r.to("count", "fewer fragments", max(1, *p.Count*7/10), max(1, *p.Count*4/10))
	} else {
		amount := spillAmount
		if p.Amount != nil {
			amount = *p.Amount
		}
		r.scaled("amount", "fewer fragments", amount, 0.7, 0.4)
	}
	if p.Area == nil && t.of("uneven-risers", "stand", "rough-stand") {
		r.scaled("reach", "a smaller reach", w.reach, 0.75, 0.5)
	}
	return r.all
}
