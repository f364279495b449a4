package pockmarks

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// face is a plane that is marked: in its own frame x and y lie in it, and z looks out.
type face struct {
	pose   sdf.Pose
	lo, hi r2.Vec // what of it is marked, in its own frame
	// A floor is marked within a distance of the origin of its frame, or within an area.
	radius float64
	area   *parts.Area
}

// holds says whether a place of the face is one that is marked.
func (f *face) holds(q r2.Vec) bool {
	switch {
	case f.area != nil:
		return f.area.Contains(planar.OnPlan(f.pose.Apply(planar.Raise(q))))
	case f.radius > 0:
		return r2.Norm(q) <= f.radius
	}
	return q.X >= f.lo.X && q.X <= f.hi.X && q.Y >= f.lo.Y && q.Y <= f.hi.Y
}

// size is what of it is marked, mm2.
func (f *face) size() float64 {
	switch {
	case f.area != nil:
		return f.area.Size()
	case f.radius > 0:
		return math.Pi * f.radius * f.radius
	}
	return (f.hi.X - f.lo.X) * (f.hi.Y - f.lo.Y)
}

func (p *Pockmarks) reach() float64 {
	if p.Reach != nil {
		return *p.Reach
	}
	return reachUps * p.Up
}

// floor is that of the marks without a wall.
func (p *Pockmarks) floor(z *sizes) face {
	if p.At != nil {
		r := p.reach()
		return face{pose: sdf.At(sdf.V(p.At.X, p.At.Y, z.level)), lo: r2.Vec{X: -r, Y: -r}, hi: r2.Vec{X: r, Y: r}, radius: r}
	}
	b := p.Area.Bounds()
	return face{pose: sdf.At(sdf.V(0, 0, z.level)), lo: b.Min, hi: b.Max, area: p.Area}
}

// band is what up the wall is marked, over its foot.
func (p *Pockmarks) band(z *sizes) (low, high float64) {
	high = z.wall.High
	if p.High != nil {
		high = math.Min(high, *p.High)
	}
	return p.Low, high
}

// both says whether both faces of a wall are marked.
func (p *Pockmarks) both() bool { return p.Face == "both" || p.Face == "burst" && p.At == nil }

// wallFaces are those of the sides of the wall that are marked.
func (p *Pockmarks) wallFaces(s *parts.Site, z *sizes) (all []face) {
	from, to := z.wall.Stretch(p.From, p.To)
	low, high := p.band(z)
	for _, leg := range (planar.Line{Pts: planar.RaiseLine(z.wall.Line, z.wall.Foot)}).Sides() {
		lo, hi := math.Max(from, leg.From)-leg.From, math.Min(to, leg.To)-leg.From
		if hi-lo < parts.LeastSize || high-low < parts.LeastSize {
			continue
		}
		for _, left := range [2]bool{true, false} {
			if left && p.Face == "right" || !left && p.Face == "left" {
				continue
			}
			// Upright, x back along the left face or on along the right one.
			pose := sdf.At(sdf.V(0, 0, z.wall.Thick/2)).Then(sdf.Turn(sdf.V(1, 0, 0), 90))
			f := face{lo: r2.Vec{X: lo, Y: low}, hi: r2.Vec{X: hi, Y: high}}
			if left {
				pose = pose.Then(sdf.Turn(sdf.V(0, 0, 1), 180))
				f.lo.X, f.hi.X = -hi, -lo
			}
			f.pose = pose.Then(sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(r3.Sub(leg.B, leg.A)))).Then(sdf.At(leg.A))
			if p.At != nil && f.pose.Invert(p.burst(z)).Z <= parts.LeastSize {
				continue // it looks away
			}
			all = append(all, f)
		}
	}
	return all
}

// burst is where the fragments come from.
func (p *Pockmarks) burst(z *sizes) r3.Vec { return sdf.V(p.At.X, p.At.Y, z.level+p.Up) }

// mark is one bowl: its place on a face, its diameter there and its depth, mm.
type mark struct {
	face        int
	at          r2.Vec
	wide, depth float64
	seed        uint64
}

// shot gives a place of a face that a fragment strikes; ok is false where it strikes none.
// From a burst fragments fly evenly in all directions: on a plane at a distance h their
// density at r from the foot of the perpendicular goes as h/(h^2+r^2)^1.5 (geometry).
func (p *Pockmarks) shot(rng *rand.Rand, z *sizes) (n int, at r2.Vec, ok bool) {
	if p.At == nil {
		total := 0.0
		for i := range z.faces {
			total += z.faces[i].size()
		}
		pick := total * rng.Float64()
		for n < len(z.faces)-1 && pick > z.faces[n].size() {
			pick -= z.faces[n].size()
			n++
		}
		f := &z.faces[n]
		at = r2.Vec{X: f.lo.X + (f.hi.X-f.lo.X)*rng.Float64(), Y: f.lo.Y + (f.hi.Y-f.lo.Y)*rng.Float64()}
		return n, at, f.holds(at)
	}
	up, turn := 2*rng.Float64()-1, 2*math.Pi*rng.Float64()
	sin, cos := math.Sincos(turn)
	flat := math.Sqrt(1 - up*up)
	way, from := sdf.V(flat*cos, flat*sin, up), p.burst(z)
	near := math.Inf(1)
	for i := range z.faces {
		f := &z.faces[i]
		q, d := f.pose.Invert(from), f.pose.Inverse().Rotate(way)
		if d.Z >= -1e-9 {
			continue
		}
		if t := -q.Z / d.Z; t < near {
			if hit := (r2.Vec{X: q.X + t*d.X, Y: q.Y + t*d.Y}); f.holds(hit) {
				n, at, near = i, hit, t
			}
		}
	}
	return n, at, !math.IsInf(near, 1)
}

const (
	// mostShots bounds the fragments that are followed for one mark.
	mostShots = 1500
	// mostTaken is how many places for one mark may be taken before it has none.
	mostTaken = 60
	// apart is how far two marks lie apart at least, in the sum of their radii: they run into
	// each other a little. Common practice, no source.
	apart = 0.85
)

// laid are the marks, the widest first.
func (p *Pockmarks) laid(s *parts.Site) []mark {
	type list []mark
	return parts.Settled(s, p, func() list { return p.lay(s) })
}

// wides are the diameters of the marks, the widest first. The share of them that is wider than
// d goes as d^-exponent less that of the greatest; one is drawn from each n-th of it, so that
// few are as true to the law as many.
func (p *Pockmarks) wides(rng *rand.Rand, z *sizes) []float64 {
	out := make([]float64, z.count)
	q := math.Pow(z.most/z.least, -p.Exponent)
	for i := range out {
		u := (float64(i) + rng.Float64()) / float64(z.count)
		out[i] = math.Min(z.least*math.Pow(u+(1-u)*q, -1/p.Exponent), z.most)
		if z.most <= z.least {
			out[i] = z.least
		}
	}
	return out
}

func (p *Pockmarks) lay(s *parts.Site) (all []mark) {
	z := p.settled(s)
	if !z.found || len(z.faces) == 0 {
		return nil
	}
	var work sdf.Field
	var stands []parts.Extent
	if p.On != "" {
		work = s.Find(p.On).(parts.Walled).Solid(s)
	} else {
		stands = standing(s)
	}
	places := s.Rand(p.Name, p.Seed, "places").Uint64()
	near := newGrid(z.most)
	for i, wide := range p.wides(s.Rand(p.Name, p.Seed, "sizes"), z) {
		rng := rand.New(rand.NewPCG(places, uint64(i))) // its own: one that finds no place moves no other
		m := mark{wide: wide, seed: rng.Uint64()}
		m.depth = math.Min(p.Depth*m.wide, math.Max(z.deepest, s.Print.Relief))
		taken := 0
		for range mostShots {
			if taken >= mostTaken {
				break
			}
			var ok bool
			if m.face, m.at, ok = p.shot(rng, z); !ok {
				continue
			}
			if taken++; near.free(m) && !under(stands, z, &m) && p.sound(s, z, work, &m) {
				near.add(m)
				all = append(all, m)
				break
			}
		}
	}
	return all
}

// standing is where things stand on floors: no fragment strikes through them.
func standing(s *parts.Site) (all []parts.Extent) {
	for _, part := range s.Parts {
		_, built := part.(parts.Solider)
		_, floor := part.(parts.Floored)
		_, finish := part.(parts.Finisher)
		if placed, ok := part.(parts.Placed); ok && built && !floor && !finish {
			all = append(all, placed.Extents(s)...)
		}
	}
	return all
}

// under says whether something stands where a mark of a floor would be.
func under(stands []parts.Extent, z *sizes, m *mark) bool {
	at := planar.OnPlan(z.faces[m.face].pose.Apply(planar.Raise(m.at)))
	half := scarMost * m.wide / 2
	square := planar.Corners(r2.Box{Min: r2.Sub(at, r2.Vec{X: half, Y: half}), Max: r2.Add(at, r2.Vec{X: half, Y: half})})
	return slices.ContainsFunc(stands, func(e parts.Extent) bool { return e.Meets(square) })
}

// sound says whether there is work to be marked, under all of a mark.
func (p *Pockmarks) sound(s *parts.Site, z *sizes, work sdf.Field, m *mark) bool {
	f := &z.faces[m.face]
	const round = 6
	for i := range round + 1 {
		q := m.at
		if i < round {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / round)
			q = r2.Add(q, r2.Scale(0.75*m.wide, r2.Vec{X: cos, Y: sin}))
		}
		if work == nil {
			if level, ok := s.LevelAt(planar.OnPlan(f.pose.Apply(planar.Raise(q)))); p.Level == nil && (!ok || math.Abs(level-z.level) > parts.SameHeight) {
				return false
			}
			continue
		}
		if work.Value(f.pose.Apply(sdf.V(q.X, q.Y, -m.depth-0.5*s.Print.Relief))) > -0.1 {
			return false
		}
	}
	return true
}

// grid finds marks by their places.
type grid struct {
	pitch float64
	cells map[[3]int][]mark
}

func newGrid(pitch float64) *grid { return &grid{pitch, map[[3]int][]mark{}} }

func (g *grid) cell(m *mark, dx, dy int) [3]int {
	return [3]int{m.face, int(math.Floor(m.at.X/g.pitch)) + dx, int(math.Floor(m.at.Y/g.pitch)) + dy}
}

func (g *grid) add(m mark) {
	c := g.cell(&m, 0, 0)
	g.cells[c] = append(g.cells[c], m)
}

// free says whether no other mark is too near to one.
func (g *grid) free(m mark) bool {
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			for _, o := range g.cells[g.cell(&m, dx, dy)] {
				if r2.Norm(r2.Sub(o.at, m.at)) < apart*(o.wide+m.wide)/2 {
					return false
				}
			}
		}
	}
	return true
}
