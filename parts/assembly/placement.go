package assembly

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/sdf"
)

// mostBases is the most pieces that one scene is cut into.
const mostBases = 300

// berth is one piece of a base on the scene.
type berth struct {
	*base.Spot
	base  *base.Base
	name  string // "scout-3"
	n     int    // 0 for the first of several alike
	worth *worth // what the place was chosen for; nil where the scene gives it
}

// yard is where bases may lie: over the ground and within every trim.
type yard struct {
	ground r2.Box
	trims  []sdf.Field
}

// yardOf is where bases may lie; nil in a scene without ground.
func yardOf(s *parts.Site) *yard {
	land := s.Land()
	if land == nil {
		return nil
	}
	p := &yard{ground: land.Box()}
	for _, t := range parts.AllOf[parts.Trimmer](s) {
		p.trims = append(p.trims, t.Keep(s))
	}
	return p
}

// holds says whether the footprint lies in the yard and at least margin mm from
// its edge. The trims are looked at far down, where a level cut has no edge.
func (p *yard) holds(s *base.Spot, margin float64) bool {
	b := s.Bounds()
	if min(b.Min.X-p.ground.Min.X, b.Min.Y-p.ground.Min.Y, p.ground.Max.X-b.Max.X, p.ground.Max.Y-b.Max.Y) < margin-parts.Nearly {
		return false
	}
	if len(p.trims) == 0 {
		return true
	}
	outline := s.Outline()
	for _, t := range p.trims {
		depth := func(q r2.Vec) float64 { return -t.Value(sdf.V(q.X, q.Y, -parts.TrimReach/2)) }
		switch d := depth(s.At); {
		case d < margin:
			return false
		case d >= s.Reach()+margin:
			continue
		}
		for i, a := range outline {
			if !deep(depth, s.Place(a), s.Place(outline[(i+1)%len(outline)]), margin-parts.Nearly) {
				return false
			}
		}
	}
	return true
}

// deep says whether a depth, which changes by at most one a mm, is at least
// margin all along a side; to within a thousandth of a mm.
func deep(depth func(r2.Vec) float64, a, b r2.Vec, margin float64) bool {
	mid, half := r2.Scale(0.5, r2.Add(a, b)), r2.Norm(r2.Sub(b, a))/2
	switch d := depth(mid); {
	case d < margin:
		return false
	case d-half >= margin || half < parts.Nearly:
		return true
	}
	return deep(depth, a, mid, margin) && deep(depth, mid, b, margin)
}

// layBases lays every sound base of the scene: those with a place first, then
// the others, the largest first, each where there is most to see. If that leaves one
// without room, all are laid again, each where it is farthest from what is laid; and
// if that does too, as close as they go.
// Deterministic: it depends on names, sizes and seeds, not on the order of the
// file. The faults say which bases found no room. Spots are judged on a sound site alone:
// elsewhere a part may be of no shape.
func layBases(s *parts.Site, bases []*base.Base, sound bool) ([]*berth, []parts.Fault) {
	bases = slices.SortedFunc(slices.Values(bases), func(a, b *base.Base) int { return cmp.Compare(a.Name, b.Name) })
	var fixed, free []*berth
	for _, b := range bases {
		foot := b.Footprints()[0]
		if b.At != nil {
			fixed = append(fixed, &berth{base: b, name: b.PieceName(0), Spot: base.NewSpot(foot, *b.At, b.Turned())})
			continue
		}
		for n := range max(1, b.Count) {
			free = append(free, &berth{base: b, name: b.PieceName(n), n: n, Spot: base.NewSpot(foot, r2.Vec{}, b.Turned())})
		}
	}
	slices.SortStableFunc(free, func(a, b *berth) int { return cmp.Compare(b.Area(), a.Area()) })
	p, judge := yardOf(s), &spotJudge{few: true}
	if sound {
		judge = newSpotJudge(s, len(free), false)
	}
	out, ok := spread(s, p, judge, fixed, free)
	if !ok {
		out, ok = spread(s, p, nil, fixed, free)
	}
	var faults []parts.Fault
	if !ok {
		out, faults = packed(s, p, fixed, free)
	}
	for _, l := range out[len(fixed):] {
		if l.worth == nil && !judge.few {
			w := judge.judge(l.base, l.Spot)
			l.worth = &w
		}
	}
	return out, faults
}

// clear says whether a spot for l keeps its gap from all that is laid.
func (l *berth) clear(at *base.Spot, others []*berth) bool {
	for _, o := range others {
		gap := math.Max(l.base.Gap, o.base.Gap)
		if at.Reach()+o.Reach()+gap <= r2.Norm(r2.Sub(at.At, o.At)) {
			continue
		}
		if at.Overlaps(o.Spot) || at.Gap(o.Spot, gap+1) < gap-parts.Nearly {
			return false
		}
	}
	return true
}

// spread lays each free base at the best of many random spots: the one that has most to
// see, far from what is laid and unlike those of its name, or, without a judge, the one
// farthest from everything laid before it (best-candidate sampling, Mitchell, Computer
// Graphics 25, 1991, from memory).
func spread(s *parts.Site, p *yard, judge *spotJudge, fixed, free []*berth) ([]*berth, bool) {
	const (
		draws = 1500 // most spots tried
		good  = 40   // spots that fit before the best is taken
	)
	out := slices.Clone(fixed)
	for _, l := range free {
		if p == nil {
			return nil, false
		}
		rng := s.Rand(l.base.Name, l.base.Seed, fmt.Sprintf("place %d", l.n))
		var best *base.Spot
		var shows *worth
		most, fits := math.Inf(-1), 0
		for range draws {
			turn := l.base.Turned()
			x, y, t := rng.Float64(), rng.Float64(), rng.Float64()
			if l.base.Turn == nil {
				turn = math.Floor(t * 360)
			}
			at := base.NewSpot(l.Footprint, r2.Vec{X: x * p.ground.Max.X, Y: y * p.ground.Max.Y}, turn)
			if !p.holds(at, l.base.Gap) || !l.clear(at, out) {
				continue
			}
			least := math.Inf(1)
			for _, o := range out {
				least = math.Min(least, r2.Norm(r2.Sub(at.At, o.At))-at.Reach()-o.Reach())
			}
			points := least
			var w worth
			if judge != nil && !judge.few {
				w = judge.judge(l.base, at)
				points = w.points
				if !math.IsInf(least, 1) {
					far := math.Max(0, least)
					points += worthApart * far / (far + at.Reach())
				}
				same := 0.0
				for _, o := range out {
					if o.base == l.base && o.worth != nil {
						same = math.Max(same, w.alike(o.worth))
					}
				}
				points -= worthUnlike * same
			}
			if points > most {
				best, most = at, points
				if judge != nil && !judge.few {
					shows = &w
				}
			}
			if fits++; fits == good {
				break
			}
		}
		if best == nil {
			return nil, false
		}
		out = append(out, &berth{base: l.base, name: l.name, n: l.n, Spot: best, worth: shows})
	}
	return out, true
}

// packed lays each free base in the first spot that it fits, from the south-west.
func packed(s *parts.Site, p *yard, fixed, free []*berth) ([]*berth, []parts.Fault) {
	out := slices.Clone(fixed)
	var faults []parts.Fault
	for i := 0; i < len(free); {
		b := free[i].base
		fitted, count := 0, max(1, b.Count)
		for _, l := range free[i : i+count] {
			if p == nil {
				break
			}
			at := l.firstFit(p, out)
			if at == nil {
				break
			}
			fitted++
			out = append(out, &berth{base: b, name: l.name, n: l.n, Spot: at})
		}
		i += count
		if fitted < count {
			key := ""
			if count > 1 {
				key = "count"
			}
			f := parts.Fault{Part: b.Name, Key: key,
				Text:    fmt.Sprintf("no room on the scene: %d of %d fit, %g mm clear of the edge and of the other bases", fitted, count, b.Gap),
				Allowed: "fewer or smaller bases, a smaller gap, or larger ground"}
			if p == nil {
				f.Text, f.Allowed = "a base without at needs ground to be placed on, and the scene has none", "at = [x, y], or a ground"
			}
			faults = append(faults, f)
		}
	}
	return out, faults
}

// firstFit finds a spot row by row from the south-west, passing over what is
// laid by its bounding box first and then, on a finer grid, by its outline; nil
// where there is none.
func (l *berth) firstFit(p *yard, others []*berth) *base.Spot {
	turns := []float64{0, 90}
	switch {
	case l.base.Turn != nil:
		turns = []float64{*l.base.Turn}
	case l.Size.X == l.Size.Y && l.Word != "hexagon":
		turns = []float64{0}
	}
	gap := l.base.Gap
	for _, turn := range turns {
		half := base.NewSpot(l.Footprint, r2.Vec{}, turn).Bounds().Max
		lo := r2.Add(p.ground.Min, r2.Vec{X: half.X + gap, Y: half.Y + gap})
		hi := r2.Sub(p.ground.Max, r2.Vec{X: half.X + gap - parts.Nearly, Y: half.Y + gap - parts.Nearly})
		rows := []float64{lo.Y}
		for _, o := range others {
			rows = append(rows, o.Bounds().Max.Y+math.Max(gap, o.base.Gap)+half.Y)
		}
		slices.Sort(rows)
		for _, y := range slices.Compact(rows) {
			for x := lo.X; x <= hi.X && y >= lo.Y && y <= hi.Y; {
				at := base.NewSpot(l.Footprint, r2.Vec{X: x, Y: y}, turn)
				next := x + math.Max(0.5, half.X/8)
				if l.clear(at, others) {
					if p.holds(at, gap) {
						return at
					}
				} else {
					next = l.past(at, half, others, next)
				}
				x = next
			}
		}
		step := math.Max(0.5, math.Min(half.X, half.Y)/6)
		for y := lo.Y; y <= hi.Y; y += step {
			for x := lo.X; x <= hi.X; x += step {
				if at := base.NewSpot(l.Footprint, r2.Vec{X: x, Y: y}, turn); l.clear(at, others) && p.holds(at, gap) {
					return at
				}
			}
		}
	}
	return nil
}

// past is the x at which a blocked spot is clear of the boxes of what it runs
// into, at least next.
func (l *berth) past(at *base.Spot, half r2.Vec, others []*berth, next float64) float64 {
	for _, o := range others {
		b, gap := o.Bounds(), math.Max(l.base.Gap, o.base.Gap)
		if math.Abs(at.At.Y-o.At.Y) < half.Y+(b.Max.Y-b.Min.Y)/2+gap &&
			at.At.X+half.X+gap > b.Min.X && at.At.X-half.X-gap < b.Max.X {
			next = math.Max(next, b.Max.X+gap+half.X)
		}
	}
	return next
}
