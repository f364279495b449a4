package rail

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

const (
	// sampled is how near places along a rail are looked at, mm.
	sampled = 0.3
	// stub is the most that is left of the bars of a bay beyond its last post, as a share
	// of the bay; bent how much of that is bent down. Common practice, no source.
	stub, bent = 0.45, 0.5
)

// Bitten is the rail between the posts that still stand: bays of which the bite has
// something, or whose post has lost its hold, are gone, but for a stub with its end bent.
func (r *Rail) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	z := r.settled(s)
	taken := make([][]sdf.Field, len(bites))
	var stubs []sdf.Field
	for n, run := range z.stretches {
		b := builder{r: r, z: z, run: run}
		for _, g := range b.gone(bites, under) {
			rng := rand.New(rand.NewPCG(bites[g.bite].Seed, uint64(n)<<32^uint64(int64(g.from*100))))
			from, to := g.from, g.to
			for i, end := range [2]*float64{&from, &to} {
				if room := [2]float64{g.spare[0], g.spare[1]}[i]; room > 0 {
					reach := math.Min(room*stub*(0.6+0.4*rng.Float64()), 0.5*s.Inspect.Slender*z.baluster)
					way := 1 - 2*float64(i) // along the line, away from the post
					*end += way * reach
					stubs = append(stubs, b.bent(rng, *end, way, bent*reach)...)
				}
			}
			taken[g.bite] = append(taken[g.bite], b.room(from, to)...)
		}
	}
	out := []parts.Remains{{Work: r.Solid(s), Taken: fracture.Unions(taken)}}
	if len(stubs) > 0 {
		out = append(out, parts.Remains{Work: sdf.Union(stubs...), Taken: make([]sdf.Field, len(bites))})
	}
	return out
}

// gap is a part of a stretch that is gone, and how much of it at either end may be left
// as a stub: 0 where no post stands there.
type gap struct {
	from, to float64
	spare    [2]float64
	bite     int
}

// gone are the gaps of the stretch.
func (b *builder) gone(bites []parts.Bite, under sdf.Field) (all []gap) {
	struck := func(at float64) (bite int, struck bool) {
		p := planar.PointAt(b.run.sides, at)
		least := math.Inf(1)
		for _, up := range [3]float64{0.1, 0.5, 0.95} {
			for i := range bites {
				if v := bites[i].Gone.Value(sdf.V(p.X, p.Y, p.Z+up*b.r.Height)); v < least {
					bite, least = i, v
				}
			}
		}
		return bite, least < b.z.post/2
	}
	// A post holds where there is work around its foot, and nothing has struck it.
	stands := func(at float64) (bite int, ok bool) {
		bite, hit := struck(at)
		p := planar.PointAt(b.run.sides, at)
		foot := b.under(p, b.z.post) - b.run.on.sink
		held := under.Value(sdf.V(p.X, p.Y, foot+0.2)) < 0 || under.Value(sdf.V(p.X, p.Y, foot+b.run.on.sink-0.1)) < 0
		return bite, !hit && (held || farFrom(bites, p, b.r.Height))
	}
	bays := b.run.bays
	for i, bay := range bays {
		lost, bite := false, 0
		for n, k := int(math.Ceil((bay.to-bay.from)/sampled)), 0; k <= n; k++ {
			if by, hit := struck(bay.from + (bay.to-bay.from)*float64(k)/float64(n)); hit {
				lost, bite = true, by
			}
		}
		left, before := stands(bay.from)
		right, after := stands(bay.to)
		if !before {
			lost, bite = true, left
		} else if !after {
			lost, bite = true, right
		}
		if !lost {
			continue
		}
		g := gap{from: bay.from + b.z.post/2, to: bay.to - b.z.post/2, bite: bite}
		free := (bay.to - bay.from - b.z.post) / 2
		g.spare = [2]float64{math.Max(0, free), math.Max(0, free)}
		if !before {
			g.from, g.spare[0] = bay.from-b.z.post/2-0.01, 0
		}
		if !after {
			g.to, g.spare[1] = bay.to+b.z.post/2+0.01, 0
		}
		if first := i == 0 && !b.run.line.Closed; first && !before {
			g.from -= b.z.post
		}
		if last := i == len(bays)-1 && !b.run.line.Closed; last && !after {
			g.to += b.z.post
		}
		// A stub that the bite has is none.
		if by, hit := struck(g.from + g.spare[0]*stub); hit && g.spare[0] > 0 {
			g.spare[0], g.bite = 0, by
		}
		if by, hit := struck(g.to - g.spare[1]*stub); hit && g.spare[1] > 0 {
			g.spare[1], g.bite = 0, by
		}
		all = append(all, g)
	}
	return all
}

// farFrom says whether a place of the line is so far from all bites that what carries it
// is as it was.
func farFrom(bites []parts.Bite, p r3.Vec, height float64) bool {
	for i := range bites {
		if bites[i].Gone.Value(p) < height+bites[i].Wide/4 {
			return false
		}
	}
	return true
}

// room is what stands over a part of the line, a leg at a time.
func (b *builder) room(from, to float64) (rooms []sdf.Field) {
	wide := 2 * math.Max(b.z.post, b.z.handrail)
	sides := b.run.sides
	for i, leg := range sides {
		lo, hi := math.Max(from, leg.From), math.Min(to, leg.To)
		if i == 0 {
			lo = from
		}
		if i == len(sides)-1 {
			hi = to
		}
		if hi-lo < 1e-6 {
			continue
		}
		p, q := leg.At(lo), leg.At(hi)
		// As low as any post on it stands: past the ends of the line is other ground.
		low, first, last := math.Inf(1), max(lo, leg.From), min(hi, leg.To)
		for d := first; ; d = min(d+sampled, last) {
			low = min(low, b.under(leg.At(d), b.z.post))
			if d >= last {
				break
			}
		}
		low -= b.run.on.sink + 0.1
		high := math.Max(p.Z, q.Z) + b.r.Height + 3*b.z.post
		over := 0.0 // past a corner of the line
		if hi < to {
			over = b.z.post / 2
		}
		room := sdf.BoxBetween(sdf.V(0, -wide, 0), sdf.V(hi-lo+over, wide, high-low))
		rooms = append(rooms, sdf.Place(room, sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(r3.Sub(leg.B, leg.A))).Then(sdf.At(sdf.V(p.X, p.Y, low)))))
	}
	return rooms
}

// bent are the ends of the bars that come to a stop at a place, bent down and aside.
func (b *builder) bent(rng *rand.Rand, at, way, length float64) (ends []sdf.Field) {
	leg := planar.LegAt(b.run.sides, at)
	p := leg.At(at)
	along := r3.Scale(way, r3.Unit(r3.Sub(leg.B, leg.A)))
	end := func(height, thick float64) {
		down := (25 + 35*rng.Float64()) * math.Pi / 180
		aside := (rng.Float64() - 0.5) * 1.2
		sin, cos := math.Sincos(down)
		d := r3.Unit(sdf.V(along.X*cos-along.Y*aside, along.Y*cos+along.X*aside, along.Z*cos-sin))
		a := r3.Add(p, sdf.V(0, 0, height))
		a = r3.Sub(a, r3.Scale(0.5*thick, along)) // within the bar
		ends = append(ends, bar(a, r3.Add(a, r3.Scale(math.Max(length, thick), d)), thick, b.r.Section == "square"))
	}
	end(b.axis(leg), b.z.handrail)
	if b.z.infill == "rails" {
		for k := range b.r.Rails {
			end(b.centre()*float64(k+1)/float64(b.r.Rails+1), b.z.baluster)
		}
	}
	return ends
}
