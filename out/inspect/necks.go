package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/sdf/workers"
)

// Necks gives the bits that hang on the rest by less than least, in mm: each
// Neck, the largest bit first. Bits under smallest, in mm3, are left out.
//
// The solid is eroded by a ball of diameter least and half a pixel on either
// side. The largest piece that stays is the body; every other one is the core
// of a bit. So a pin that is joined at both ends is no neck, and what goes
// wholly, as a spike or a leaf does, is no bit: both are thin, and for the check
// of what is thin. A bit is what its core grows back to, within the ball's
// reach and two pixels, where no other core is nearer; its volume is that, and
// of all bits that hang on the rest by it, and so is its box.
//
// A bit hangs on the bit or body that it has the widest way to, at last the
// body, as in a maximum spanning tree; the neck is where that way is narrowest.
// Value is the thickness there: the diameter of the largest ball that passes.
// Where several ways hold a bit, as balusters do a rail, it is that of the
// widest, and Ways tells how many they are; a bit with more than one does not
// come off at its neck alone. A knot in a thin rod has two.
//
// With an index of the mesh that the raster is of, a neck is measured on the mesh.
// With none the faces of a box that lies along the pixels are measured to a pixel,
// or a layer, and what is round or slanting to one either way; at the edges of a
// notch it can be two too many. What is between least and a pixel more may be too
// thin for the ball, so that it is no core.
//
// At is the middle of the neck; From and To are where the way leaves the core
// that hangs and enters that it hangs on. Where a bit is joined by nothing at
// all, they are the middle of its box, and Value is 0.
//
// It is an error where least is not more than 0 and finite, where smallest is
// not at least 0, and where the memory would pass the raster's limit
// (*MemoryError).
func (r *Raster) Necks(ctx context.Context, index *Index, least, smallest float64) ([]Finding, error) {
	if !(least > 0) || math.IsInf(least, 1) {
		return nil, fmt.Errorf("necks under %g mm: the least thickness must be more than 0 and finite", least)
	}
	if !(smallest >= 0) {
		return nil, fmt.Errorf("bits from %g mm3: the smallest volume must be at least 0", smallest)
	}
	radius := (least + min(r.Pixel, r.Layer)) / 2
	eroded, err := r.eroded(ctx, radius)
	if err != nil {
		return nil, err
	}
	c, err := coresOf(ctx, eroded)
	if err != nil {
		return nil, err
	}
	if len(c.all) < 2 {
		return nil, nil
	}
	tree, err := r.hang(ctx, c, c.largest(), radius)
	if err != nil {
		return nil, err
	}
	bits, err := tree.bits(ctx, radius)
	if err != nil {
		return nil, err
	}
	ways := tree.ways(bits)
	if index != nil {
		if err := tree.exact(ctx, index, bits, smallest, least); err != nil {
			return nil, err
		}
	}
	var found []Finding
	for n, bit := range bits {
		if f := tree.finding(n, bit); n != tree.body && f.Value < least-onLattice && f.Volume >= smallest {
			f.Limit = least
			if f.Value > 0 {
				f.Ways = max(ways[n], 1) // ways out that meet are counted once, and may lead to what it holds
			}
			found = append(found, f)
		}
	}
	slices.SortStableFunc(found, func(a, b Finding) int { return cmp.Compare(b.Volume, a.Volume) })
	return found, nil
}

// hanging is the cores of a solid, and what each hangs on.
type hanging struct {
	solid *Raster
	cores *cores
	body  int
	on    []link // what each core hangs on, if anything
	order []int  // the cores that hang on another, each after that
}

// link is a way between two cores, and its neck; none where there are no pixels.
type link struct {
	way  way
	neck neck
}

// exact measures the necks of those bits that are as large as the smallest, mm3, on
// the mesh. Wider than far counts as far, mm.
func (h *hanging) exact(ctx context.Context, index *Index, bits []regrown, smallest, far float64) error {
	return workers.ForEach(ctx, len(bits), func(_, n int) error {
		l := &h.on[n]
		if len(l.way.pixels) > 0 && h.finding(n, bits[n]).Volume >= smallest {
			l.exact(h.solid, index, far)
		}
		return nil
	})
}

// hang finds what every core hangs on: in rounds, every group that the body is
// not in is linked by its widest way to another one (Boruvka's method, by
// Nesetril, Milkova and Nesetrilova, Discrete Mathematics 233 (2001) 3-36).
func (r *Raster) hang(ctx context.Context, c *cores, body int, radius float64) (*hanging, error) {
	groups := make(forest, 0, len(c.all))
	for range c.all {
		groups.plant()
	}
	group := make([]int32, len(c.all))
	finders := make([]*wayfinder, workers.Count(len(c.all)))
	loose := make([]bool, len(c.all)) // by the root of a group
	var links []link
	for {
		var due []int32
		for n := range c.all {
			group[n] = groups.root(int32(n))
		}
		for n := range c.all {
			if int(group[n]) == n && group[n] != group[body] && !loose[n] {
				due = append(due, int32(n))
			}
		}
		if len(due) == 0 {
			break
		}
		found := make([]link, len(due))
		joined := make([]bool, len(due))
		err := workers.ForEach(ctx, len(due), func(w, i int) error {
			if finders[w] == nil {
				finders[w] = newWayfinder(r, c, group, radius)
			}
			f := finders[w]
			way, ok, err := f.widest(ctx, due[i])
			if err != nil || !ok {
				return err
			}
			found[i], joined[i] = link{way, f.narrowest(way)}, true
			return nil
		})
		if err != nil {
			return nil, err
		}
		for i, l := range found {
			from, to := int32(l.way.from), int32(l.way.to)
			switch {
			case !joined[i]:
				loose[due[i]] = true
			case groups.root(from) != groups.root(to):
				groups.join(from, to)
				links = append(links, l)
			}
		}
	}
	return newHanging(r, c, body, links), nil
}

// newHanging turns all links so that they lead to the body.
func newHanging(r *Raster, c *cores, body int, links []link) *hanging {
	h := &hanging{solid: r, cores: c, body: body, on: make([]link, len(c.all))}
	of := make([][]int, len(c.all))
	for i, l := range links {
		of[l.way.from] = append(of[l.way.from], i)
		of[l.way.to] = append(of[l.way.to], i)
	}
	waiting := []int{body}
	for len(waiting) > 0 {
		n := waiting[0]
		waiting = waiting[1:]
		for _, i := range of[n] {
			l := links[i]
			m := l.way.from + l.way.to - n // the other end
			if m == body || len(h.on[m].way.pixels) > 0 {
				continue
			}
			if l.way.to != n {
				l.way.from, l.way.to = m, n
				slices.Reverse(l.way.pixels)
			}
			h.on[m] = l
			h.order = append(h.order, m)
			waiting = append(waiting, m)
		}
	}
	return h
}

// bits grows every core but the body back, and adds to each what hangs on it.
func (h *hanging) bits(ctx context.Context, radius float64) ([]regrown, error) {
	reach := radius + 2*max(h.solid.Pixel, h.solid.Layer)
	most := 0.0
	for n := range h.cores.all {
		if n != h.body {
			most = max(most, h.cores.regrowBytes(n, h.solid, reach))
		}
	}
	if err := h.solid.checkLimit(2*float64(h.solid.Bytes())+float64(workers.Count(len(h.cores.all)))*most, "growing bits back"); err != nil {
		return nil, err
	}
	bits := make([]regrown, len(h.cores.all))
	been := make([]visits, workers.Count(len(bits)))
	err := workers.ForEach(ctx, len(bits), func(w, n int) error {
		if n != h.body {
			if been[w].block == nil {
				been[w].lay(h.solid.Size)
			}
			bits[n] = h.cores.regrow(n, h.solid, reach, &been[w])
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i := len(h.order) - 1; i >= 0; i-- {
		n := h.order[i]
		if on, _ := h.above(n); on != h.body {
			bits[on].add(bits[n])
		}
	}
	return bits, nil
}

// ways gives in how many ways every core and all that hangs on it are held by
// the rest.
func (h *hanging) ways(bits []regrown) []int {
	ways := make([]int, len(bits))
	stamp := make([]int, len(bits)) // the number of the exit that a core holds, itself or by what it hangs on
	number := 0
	for n := range bits {
		for _, to := range bits[n].exits {
			number++
			for at, ok := to, true; ok; at, ok = h.above(at) {
				stamp[at] = number
			}
			for at, ok := n, true; ok && stamp[at] != number; at, ok = h.above(at) {
				ways[at]++
			}
		}
	}
	return ways
}

// above gives what a core hangs on, if anything.
func (h *hanging) above(n int) (int, bool) {
	return h.on[n].way.to, len(h.on[n].way.pixels) > 0
}

// finding gives the neck of a bit.
func (h *hanging) finding(n int, bit regrown) Finding {
	r := h.solid
	f := Finding{Kind: Neck, Volume: float64(bit.pixels) * r.Pixel * r.Pixel * r.Layer}
	var middle [3]float64
	for d, side := range [3]float64{r.Pixel, r.Pixel, r.Layer} {
		f.Size[d] = float64(bit.hi[d]-bit.lo[d]) * side
		middle[d] = float64(bit.lo[d]+bit.hi[d]) / 2
	}
	f.At = r.place(middle[0], middle[1], middle[2])
	f.From, f.To = f.At, f.At
	if l := h.on[n]; len(l.way.pixels) > 0 {
		f.Value, f.At = l.neck.thickness, l.neck.middle
		f.From, f.To = r.centre(l.way.pixels[0]), r.centre(l.way.pixels[len(l.way.pixels)-1])
	}
	f.Layer = min(max(int((f.At[2]-r.Origin[2])/r.Layer), 0), r.Size[2]-1)
	return f
}

// centre gives the middle of a pixel, mm.
func (r *Raster) centre(p [3]int) [3]float64 {
	return r.place(float64(p[0])+0.5, float64(p[1])+0.5, float64(p[2])+0.5)
}
