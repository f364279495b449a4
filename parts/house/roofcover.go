package house

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// slate is one slate or tile of a slope: from its tail up, in the frame of the slope.
type slate struct {
	course   int
	from, to float64 // along x
	harm     float64 // the more, the sooner it is gone
	gone     bool
	seed     uint64
}

// slope is what is left of one side of a roof.
type slope struct {
	rafters []float64 // their middles along x
	courses int
	slates  []slate
	battens [][]bool // of each course, in each bay between rafters: whether it is whole
}

// roofLeft is what is left of a roof.
type roofLeft []slope

func (f *Roof) left(s *parts.Site) roofLeft {
	return parts.Settled(s, f, func() roofLeft {
		z := f.settled(s)
		var all roofLeft
		if z.run == 0 {
			return nil
		}
		for n := range z.slopes {
			all = append(all, f.slope(s, z, uint64(n)))
		}
		return all
	})
}

// Shares of what ruin takes. Common practice, no source.
const (
	battenSpare = 0.15 // of ruin, before it takes any batten
	// lapShare is how far a slate runs on under the next course, over what of it shows.
	lapShare = 0.25
	// battenAt is where in a course its batten lies.
	battenAt = 0.85
)

// slope lays a side: a share of its slates is gone, those where it was struck the hardest,
// more of them high up; then battens where that was worse.
func (f *Roof) slope(s *parts.Site, z *roofSizes, n uint64) slope {
	var out slope
	rng := s.Rand(f.Name, f.Seed+1000003*n, "slates")
	reach := z.half.X - z.wide/2
	bays := planar.EqualBays(2*reach, z.spacing)
	for i := range bays + 1 {
		out.rafters = append(out.rafters, -reach+2*reach*float64(i)/float64(bays))
	}
	long := z.length()
	out.courses = int(math.Max(1, math.Floor(long/z.gauge-lapShare)))
	blast := sdf.NewNoise(rng.Uint64(), math.Max(0.9*z.half.X, 3*z.unit), 2)
	harm := func(x, y float64) float64 { return blast.Value(sdf.V(x, y, 0)) + 0.5*y/long }
	var harms []float64
	for k := range out.courses {
		columns := int(math.Max(1, math.Round(2*z.half.X/z.unit)))
		wide := 2 * z.half.X / float64(columns)
		for c := range columns + k%2 {
			x := -z.half.X + wide*(float64(c)-0.5*float64(k%2))
			t := slate{course: k, from: math.Max(x, -z.half.X), to: math.Min(x+wide, z.half.X), seed: rng.Uint64()}
			t.harm = harm((t.from+t.to)/2, (float64(k)+0.5)*z.gauge) + 0.22*rng.NormFloat64()
			harms, out.slates = append(harms, t.harm), append(out.slates, t)
		}
	}
	slices.Sort(harms)
	over := func(share float64) float64 { // the harm that so many have
		i := int(math.Round(float64(len(harms)) * (1 - share)))
		switch {
		case share <= 0 || i >= len(harms):
			return math.Inf(1)
		case i <= 0:
			return math.Inf(-1)
		}
		return harms[i]
	}
	most, snap := over(f.Ruin), over((f.Ruin-battenSpare)/(1-battenSpare))
	for k := range out.courses {
		whole := make([]bool, bays)
		for b := range whole {
			whole[b] = harm((out.rafters[b]+out.rafters[b+1])/2, (float64(k)+battenAt)*z.gauge) < snap
		}
		out.battens = append(out.battens, whole)
	}
	for i := range out.slates {
		t := &out.slates[i]
		if t.gone = t.harm >= most || f.Cover == "none"; t.gone {
			continue
		}
		for b := range bays { // what carries it stays
			if out.rafters[b] < t.to && out.rafters[b+1] > t.from {
				out.battens[t.course][b] = true
			}
		}
	}
	return out
}

// covering is the slates that are left on a slope, in its frame.
func (f *Roof) covering(s *parts.Site, z *roofSizes, left *slope) (all []sdf.Field) {
	for i := range left.slates {
		if t := &left.slates[i]; !t.gone {
			if p := f.slate(s, z, t); p != nil {
				all = append(all, p)
			}
		}
	}
	return all
}

// slate is one as it lies: bedded down to the rafters, thickest at its tail, a little askew,
// with corners off.
func (f *Roof) slate(s *parts.Site, z *roofSizes, t *slate) sdf.Field {
	rng := rand.New(rand.NewPCG(t.seed, 9))
	tail, head := float64(t.course)*z.gauge, (float64(t.course)+1+lapShare)*z.gauge
	tail += 0.12 * f.Wear * z.gauge * (rng.Float64() - 0.7)
	if t.course == 0 {
		tail = math.Max(tail, 0)
	}
	const lap = 0.01 // into the next, so that they are one
	mid, half := (t.from+t.to)/2, (t.to-t.from)/2
	top := z.batten + z.tail*(1+0.35*f.Wear*(rng.Float64()-0.3))
	slip, roll := z.tail*0.85/(head-tail), 0.06*f.Wear*(2*rng.Float64()-1)
	up := convex.Unit(sdf.V(roll, slip, 1))
	planes := []convex.Plane{
		{N: sdf.V(1, 0, 0), D: t.to + lap}, {N: sdf.V(-1, 0, 0), D: -(t.from - lap)},
		{N: sdf.V(0, 1, 0), D: head}, {N: sdf.V(0, -1, 0), D: -tail}, {N: sdf.V(0, 0, -1), D: f.bedded(s, z)},
		{N: up, D: r3.Dot(up, sdf.V(mid, tail, top))},
	}
	gap := math.Min(s.Print.Gap, 0.3*half)
	for _, side := range [2]float64{-1, 1} { // a joint beside the next
		n := convex.Unit(sdf.V(side, 0, 0.5*gap/z.tail))
		planes = append(planes, convex.Plane{N: n, D: r3.Dot(n, sdf.V(mid+side*(half-gap/2), 0, top))})
	}
	for _, side := range [2]float64{-1, 1} {
		deep, turn := lapShare*z.gauge*(0.4+0.6*rng.Float64()), 0.6+0.9*rng.Float64()
		if rng.Float64() > 0.5*f.Wear {
			continue
		}
		n := convex.Unit(sdf.V(side, -turn, 0))
		planes = append(planes, convex.Plane{N: n, D: r3.Dot(n, sdf.V(mid+side*half, tail+deep, 0))})
	}
	p := convex.New(planes)
	if p == nil {
		return nil
	}
	face := surface.Piece{Seed: t.seed, Half: r2.Vec{X: half, Y: z.gauge / 2}, Depth: s.Grain(), Most: 0.35 * z.tail}.Face(s, surface.Rubbed)
	return relief.Carve(p, relief.Place(face, sdf.At(sdf.V(mid, tail, 0))))
}

// bedded is how far down slates and battens reach, mm: a little into the rafters, or onto the
// solid work between them, so that nothing hangs and no resin is shut in.
func (f *Roof) bedded(s *parts.Site, z *roofSizes) float64 {
	const into = 0.12
	if f.Under == "solid" {
		return z.recess(s) + 1.6*s.Print.Relief // below the joints of its boards
	}
	return into
}

// battenPieces are the battens that are left on a slope, in its frame: whole from rafter to
// rafter, and ends that broke off short beside them.
func (f *Roof) battenPieces(s *parts.Site, z *roofSizes, left *slope) (all []sdf.Field) {
	rng := s.Rand(f.Name, f.Seed, "battens")
	const lap = 0.05
	bed := f.bedded(s, z)
	for k, whole := range left.battens {
		y := (float64(k) + battenAt) * z.gauge
		lo, hi := y-z.batten/2, y+z.batten/2
		for b, is := range whole {
			from, to := left.rafters[b]-z.wide/2, left.rafters[b+1]+z.wide/2
			u, v, seed := rng.Float64(), rng.Float64(), rng.Uint64()
			if is {
				all = append(all, sdf.BoxBetween(sdf.V(from-lap, lo, -bed), sdf.V(to+lap, hi, z.batten)))
				continue
			}
			long := 0.12 + 0.3*u
			if b > 0 && whole[b-1] {
				all = append(all, snapped(sdf.Pose{}, sdf.V(from, lo, -bed), sdf.V(from+z.wide+long*(to-from), hi, z.batten), seed, 1))
			}
			if b < len(whole)-1 && whole[b+1] {
				long = 0.12 + 0.3*v
				all = append(all, snapped(sdf.Pose{}, sdf.V(to-z.wide-long*(to-from), lo, -bed), sdf.V(to, hi, z.batten), seed+1, -1))
			}
		}
	}
	return all
}

// ridgeTiles are the rounded tiles along a ridge, in the frame of the roof; those where the
// slates beside them are gone are gone too.
func (f *Roof) ridgeTiles(s *parts.Site, z *roofSizes, left roofLeft) (all []sdf.Field) {
	if z.slopes < 2 || z.reach < z.run || f.Cover == "none" {
		return nil
	}
	radius := math.Max(s.OnPrint(110), 1.4*z.batten+z.tail)
	long := math.Max(s.OnPrint(450), 6*s.Print.Gap)
	n := planar.EqualBays(2*z.half.X, long)
	up := f.Eaves.Height + z.over() + z.rise + z.batten*math.Hypot(1, z.tan) - 0.35*radius
	for i := range n {
		from := -z.half.X + 2*z.half.X*float64(i)/float64(n)
		to := from + 2*z.half.X/float64(n)
		gone := slices.ContainsFunc(left[0].slates, func(t slate) bool {
			return t.course == left[0].courses-1 && t.gone && t.from < to && t.to > from
		})
		if gone {
			continue
		}
		gap := math.Min(s.Print.Gap, 0.2*(to-from)) / 2
		r := radius * (0.94 + 0.06*float64(i%2))
		tile := sdf.Place(sdf.Cylinder(r, to-from-2*gap, 0), sdf.Turn(sdf.V(0, 1, 0), 90).Then(sdf.At(sdf.V((from+to)/2, 0, up))))
		all = append(all, tile)
	}
	return all
}

// Sights is the middle of a slope, as it is.
func (f *Roof) Sights(l parts.Lookout) []parts.Sight {
	z := f.settled(l.Site())
	if z.run == 0 {
		return nil
	}
	frame := z.frame(f, 0)
	for _, x := range []float64{0, -0.5, 0.5} {
		at := frame.Apply(sdf.V(x*z.half.X, 0.5*z.length(), z.batten))
		if sight, ok := parts.SightOf(l, f, at, z.rise/2+2, math.Max(0.7*z.half.X, l.Person()/2), z.half.X); ok {
			return []parts.Sight{sight}
		}
	}
	return nil
}

// section is an outline across a roof, of y and z in turn.
func section(yz ...float64) (pts []r2.Vec) {
	for i := 0; i+1 < len(yz); i += 2 {
		pts = append(pts, r2.Vec{X: yz[i], Y: yz[i+1]})
	}
	return pts
}
