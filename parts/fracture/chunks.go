package fracture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/workers"
)

// Break is how some work breaks along the edge of bites: in chunks, which are gone where
// their middle lies in a bite. The chunks are the cells of a lattice of points, each
// moved by chance: all places that are nearer to its point than to any other. Their
// faces are flat.
type Break struct {
	Work  sdf.Field
	Frame sdf.Pose // the axes of the lattice
	Box   r3.Box   // what holds the work, in the frame: its extent; thin along an axis, the work breaks right through
	Size  r3.Vec   // of a chunk, mm
	From  r3.Vec   // a corner of the lattice, in the frame
	Cap   bool     // nothing is taken beyond the box along an axis on which it is thin
	True  bool     // the chunks are nearly square blocks
	Inset float64  // how much farther in than the bite it breaks, mm
	// Lost says whether what carried the work at a place is gone, so that it falls; nil
	// where nothing can.
	Lost func(p r3.Vec) bool
	Far  float64 // how far from the bite it may be lost, mm
	// Held says whether something carries the work at a place; nil where only work that
	// is farther off does.
	Held func(p r3.Vec) bool
}

const (
	// stray is how far a point lies off its place in the lattice, in spacings: faces then
	// stand at 60 to 120 degrees to the surface that broke; straySquare is that of blocks
	// that are nearly square. Common practice, no source.
	stray       = 0.36
	straySquare = 0.07
	// mostPoints and mostChunks bound the lattice: beyond them chunks are larger.
	mostPoints = 40_000
	mostChunks = 1500
	// overlap is how far a chunk that is gone reaches into the next, mm, so that no skin
	// is left between them.
	overlap = 0.02
	// coarse is how large a chunk may be against the width of a bite: work of larger ones
	// is not broken by it but scored.
	coarse = 0.45
)

// Even is a size the same along all axes.
func Even(size float64) r3.Vec { return sdf.V(size, size, size) }

// Size is that of the chunks of work of a thickness that a bite breaks: half as much again as
// the thickness, a fifth of the bite's width at most, and no smaller than shows beside a
// joint of the print. Common practice, no source.
func Size(s *parts.Site, thickness float64, bites []parts.Bite) float64 {
	size := 1.5 * thickness
	for i := range bites {
		size = min(size, bites[i].Wide/5)
	}
	return max(size, 4*s.Print.Gap)
}

// lattice is that of one break.
type lattice struct {
	Break
	lo    r3.Vec
	n     [3]int
	step  [3]float64
	stray float64
	from  r3.Vec
	reach float64 // no place is farther from the point of its cell, mm
	seed  uint64
}

// Taken is what each bite takes; nil where it takes nothing.
func (b Break) Taken(bites []parts.Bite) []sdf.Field {
	out := make([]sdf.Field, len(bites))
	for i := range bites {
		out[i] = b.taken(&bites[i])
	}
	return out
}

// Split adds the slits of bites to what they take of some work.
func Split(taken []sdf.Field, bites []parts.Bite) []sdf.Field {
	for i := range bites {
		if bites[i].Slits != nil {
			taken[i] = Together(taken[i], bites[i].Slits)
		}
	}
	return taken
}

// Together is two fields as one, either of which may be nil.
func Together(a, b sdf.Field) sdf.Field {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return sdf.Union(a, b)
}

// Unions joins what each bite takes; nil where that is nothing.
func Unions(taken [][]sdf.Field) []sdf.Field {
	all := make([]sdf.Field, len(taken))
	for i, t := range taken {
		if len(t) > 0 {
			all[i] = sdf.Union(t...)
		}
	}
	return all
}

// Near is the part of a box that lies within a distance of another; false where none does.
func Near(a, b r3.Box, far float64) (r3.Box, bool) {
	lo := sdf.V(max(a.Min.X, b.Min.X-far), max(a.Min.Y, b.Min.Y-far), max(a.Min.Z, b.Min.Z-far))
	hi := sdf.V(min(a.Max.X, b.Max.X+far), min(a.Max.Y, b.Max.Y+far), min(a.Max.Z, b.Max.Z+far))
	return r3.Box{Min: lo, Max: hi}, lo.X < hi.X && lo.Y < hi.Y && lo.Z < hi.Z
}

func (b Break) taken(bite *parts.Bite) sdf.Field {
	size, least := b.Size, min(b.Size.X, min(b.Size.Y, b.Size.Z))
	within := sdf.Place(bite.Gone, b.Frame.Inverse()).Bounds()
	if least > coarse*bite.Wide {
		return bite.Rough
	}
	for {
		far := 3*max(size.X, max(size.Y, size.Z)) + max(0, -b.Inset) + b.Far
		box, ok := Near(b.Box, within, far)
		if !ok {
			return nil
		}
		if l := b.lattice(box, size, bite.Seed); l != nil {
			if f, ok := l.taken(bite); ok {
				return f
			}
		}
		size = r3.Scale(1.4, size)
	}
}

// lattice lays one over a box; nil where it would have too many points.
func (b Break) lattice(box r3.Box, size r3.Vec, seed uint64) *lattice {
	l := &lattice{Break: b, seed: seed, stray: stray}
	if b.True {
		l.stray = straySquare
	}
	far, points := 0.0, 1.0
	var low, origin [3]float64
	for axis := range 3 {
		lo, hi, step := part(box.Min, axis), part(box.Max, axis), part(size, axis)
		first, last := part(b.Box.Min, axis), part(b.Box.Max, axis)
		if all := last - first; all <= 1.5*step { // right through
			low[axis], origin[axis], l.n[axis], l.step[axis] = first, first, 1, all
		} else {
			from := part(b.From, axis)
			if !b.True { // so many as fill the box
				from, step = first, all/math.Round(all/step)
			}
			// The same places wherever the near part of the box begins.
			start, end := math.Floor((lo-from)/step+1e-6), math.Ceil((hi-from)/step-1e-6)
			low[axis], origin[axis] = from+start*step, from
			l.n[axis], l.step[axis] = int(min(mostPoints+1, end-start)), step
		}
		points *= float64(l.n[axis])
		if points > mostPoints {
			return nil
		}
		half := (0.5 + l.stray) * l.step[axis]
		far += half * half
	}
	l.lo, l.reach = sdf.V(low[0], low[1], low[2]), math.Sqrt(far)
	l.from = sdf.V(origin[0], origin[1], origin[2])
	return l
}

func (l *lattice) id(i, j, k int) int { return (k*l.n[1]+j)*l.n[0] + i }

// point is that of a cell, in the frame.
func (l *lattice) point(i, j, k int) r3.Vec {
	at := [3]int{i, j, k}
	var p, key [3]float64
	for a := range 3 {
		p[a] = part(l.lo, a) + (float64(at[a])+0.5)*l.step[a]
		key[a] = math.Round(4 * (p[a] - part(l.from, a)) / l.step[a])
	}
	h := sdf.Hash(l.seed, int64(key[0]), int64(key[1]), int64(key[2]))
	for a := range 3 {
		u := float64(h>>(21*a)&(1<<21-1))/(1<<21) - 0.5
		by := 2 * l.stray * l.step[a]
		if l.n[a] == 1 {
			by /= 2
		}
		p[a] += u * by
	}
	return sdf.V(p[0], p[1], p[2])
}

// chunk is a cell near the edge of a bite.
type chunk struct {
	point r3.Vec // in the frame
	value float64
	solid bool // its point lies in the work
	gone  bool
	cell  []facet
}

// taken is what a bite takes; ok is false where that would be too many chunks.
func (l *lattice) taken(bite *parts.Bite) (_ sdf.Field, ok bool) {
	chunks := map[int]*chunk{}
	var order []int
	gone := 0
	for k := range l.n[2] {
		for j := range l.n[1] {
			for i := range l.n[0] {
				p := l.point(i, j, k)
				q := l.Frame.Apply(p)
				v := bite.Gone.Value(q) + l.Inset
				lost := v > -2*l.reach && l.Lost != nil && l.Lost(q)
				if v <= -2*l.reach || v >= 2*l.reach && !lost {
					if v < 0 {
						gone++
					}
					continue
				}
				id := l.id(i, j, k)
				c := &chunk{point: p, value: v, solid: l.Work.Value(q) < 0, gone: v < 0 || lost}
				if chunks[id] = c; c.gone {
					gone++
				}
				if order = append(order, id); len(order) > 4*mostChunks {
					return nil, false
				}
			}
		}
	}
	if gone == 0 {
		return nil, true
	}
	workers.AtOnce(len(order), func(i int) {
		c := chunks[order[i]]
		c.cell = l.cell(order[i], c.point)
	})
	l.settle(chunks, order)
	// All places that lie deeper than a cell reaches are in cells that are gone.
	taken := []sdf.Field{sdf.Intersection(sdf.Offset(bite.Gone, -l.Inset-l.reach), l.room())}
	for _, id := range order {
		c := chunks[id]
		if !c.gone {
			continue
		}
		var planes []convex.Plane
		for _, f := range c.cell {
			planes = append(planes, convex.Plane{N: f.plane.N, D: f.plane.D + overlap})
		}
		if p := convex.New(convex.Placed(planes, l.Frame)); p != nil {
			taken = append(taken, p)
		}
	}
	if len(taken) > mostChunks {
		return nil, false
	}
	return sdf.Union(taken...), true
}

// over is how far beyond the box cells reach where it is thin, mm.
func (l *lattice) over() float64 {
	if l.Cap {
		return 0
	}
	return 3
}

// room is what the cells fill: all, but along an axis on which there is one only.
func (l *lattice) room() sdf.Field {
	const far = 1e4 // mm
	lo, hi := [3]float64{-far, -far, -far}, [3]float64{far, far, far}
	for a := range 3 {
		if l.n[a] == 1 {
			lo[a], hi[a] = part(l.Box.Min, a)-l.over(), part(l.Box.Max, a)+l.over()
		}
	}
	return sdf.Place(sdf.BoxBetween(sdf.V(lo[0], lo[1], lo[2]), sdf.V(hi[0], hi[1], hi[2])), l.Frame)
}

// cell is that of a point: cut out of its surroundings by the planes halfway to the
// points about it.
func (l *lattice) cell(id int, p r3.Vec) []facet {
	var lo, hi [3]float64
	for a := range 3 {
		lo[a], hi[a] = part(p, a)-3*l.step[a], part(p, a)+3*l.step[a]
		if l.n[a] == 1 {
			lo[a], hi[a] = part(l.Box.Min, a)-l.over(), part(l.Box.Max, a)+l.over()
		}
	}
	cell := boxFacets(r3.Box{Min: sdf.V(lo[0], lo[1], lo[2]), Max: sdf.V(hi[0], hi[1], hi[2])})
	i, j, k := id%l.n[0], id/l.n[0]%l.n[1], id/l.n[0]/l.n[1]
	for ring := 1; ring <= 2; ring++ {
		for dk := -ring; dk <= ring; dk++ {
			for dj := -ring; dj <= ring; dj++ {
				for di := -ring; di <= ring; di++ {
					if max(di, -di, dj, -dj, dk, -dk) != ring {
						continue
					}
					if di != 0 && l.n[0] == 1 || dj != 0 && l.n[1] == 1 || dk != 0 && l.n[2] == 1 {
						continue
					}
					q := l.point(i+di, j+dj, k+dk)
					d := r3.Sub(q, p)
					n := convex.Unit(d)
					by := convex.Plane{N: n, D: r3.Dot(n, r3.Scale(0.5, r3.Add(p, q)))}
					if r3.Norm(d)/2 >= reach(cell, p) {
						continue
					}
					beyond := -1
					if to := [3]int{i + di, j + dj, k + dk}; l.holds(to) {
						beyond = l.id(to[0], to[1], to[2])
					} else if l.past(to) {
						continue // nothing of the work lies there
					}
					cell = clipped(cell, by, beyond)
				}
			}
		}
	}
	return cell
}

// holds says whether a cell is one of the lattice.
func (l *lattice) holds(at [3]int) bool {
	for a := range 3 {
		if at[a] < 0 || at[a] >= l.n[a] {
			return false
		}
	}
	return true
}

// past says whether a cell lies beyond the box of the work.
func (l *lattice) past(at [3]int) bool {
	for a := range 3 {
		if at[a] < 0 && !l.open(a, false) || at[a] >= l.n[a] && !l.open(a, true) {
			return true
		}
	}
	return false
}

// open says whether the box of the work goes on beyond the lattice along an axis.
func (l *lattice) open(axis int, up bool) bool {
	const touch = 1e-6
	if up {
		return part(l.lo, axis)+float64(l.n[axis])*l.step[axis] < part(l.Box.Max, axis)-touch
	}
	return part(l.lo, axis) > part(l.Box.Min, axis)+touch
}

// runsOn says whether the work may go on beyond the lattice at a cell.
func (l *lattice) runsOn(id int) bool {
	at := [3]int{id % l.n[0], id / l.n[0] % l.n[1], id / l.n[0] / l.n[1]}
	for a := range 3 {
		if at[a] == 0 && l.open(a, false) || at[a] == l.n[a]-1 && l.open(a, true) {
			return true
		}
	}
	return false
}

// meets says whether a good part of a face of a cell lies in the work.
func (l *lattice) meets(f facet) bool {
	corner := make([]r3.Vec, len(f.corner))
	var mid r3.Vec
	for i, p := range f.corner { // as far as the box goes
		corner[i] = sdf.V(clamp(p.X, l.Box.Min.X, l.Box.Max.X), clamp(p.Y, l.Box.Min.Y, l.Box.Max.Y), clamp(p.Z, l.Box.Min.Z, l.Box.Max.Z))
		mid = r3.Add(mid, r3.Scale(1/float64(len(f.corner)), corner[i]))
	}
	in := 0
	for _, p := range corner {
		if l.Work.Value(l.Frame.Apply(r3.Add(mid, r3.Scale(0.5, r3.Sub(p, mid))))) < 0 {
			in++
		}
	}
	return in > 0 && 3*in >= len(corner)
}

func clamp(v, lo, hi float64) float64 { return max(lo, min(hi, v)) }

// settle takes what would be left loose too: cells at the edge of the work beside one
// that is gone, and those that hang on nothing but such.
func (l *lattice) settle(chunks map[int]*chunk, order []int) {
	held := map[int]bool{}
	var queue []int
	hold := func(id int) {
		if c := chunks[id]; c != nil && c.solid && !c.gone && !held[id] {
			held[id] = true
			queue = append(queue, id)
		}
	}
	for _, id := range order {
		c := chunks[id]
		far := false // it goes on into what lies far from the bite
		for _, f := range c.cell {
			far = far || c.value > 0 && f.beyond >= 0 && chunks[f.beyond] == nil && l.meets(f)
		}
		if far || l.runsOn(id) || l.Held != nil && l.Held(l.Frame.Apply(c.point)) {
			hold(id)
		}
	}
	for len(queue) > 0 {
		id := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, f := range chunks[id].cell {
			if l.meets(f) {
				hold(f.beyond)
			}
		}
	}
	for _, id := range order {
		if c := chunks[id]; c.solid && !held[id] {
			c.gone = true
		}
	}
	for _, id := range order {
		c := chunks[id]
		if c.solid || c.gone {
			continue
		}
		bare, attached := false, false
		for _, f := range c.cell {
			switch n := chunks[f.beyond]; {
			case n == nil:
			case n.gone:
				bare = true
			case n.solid:
				attached = attached || l.meets(f)
			}
		}
		c.gone = bare && (!attached || c.value < 0.5*l.reach)
	}
}
