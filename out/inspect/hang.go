package inspect

import (
	"context"
	"slices"

	"socle/out/inspect/raster"
	"socle/out/inspect/tree"
	"socle/sdf/workers"
)

// hanging is the cores of a solid, and what each hangs on.
type hanging struct {
	solid *raster.Raster
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
func (h *hanging) exact(ctx context.Context, index *tree.Index, bits []regrown, smallest, far float64) error {
	return workers.ForEach(ctx, len(bits), func(_, n int) error {
		l := &h.on[n]
		if len(l.way.pixels) > 0 && bits[n].volume(h.solid) >= smallest {
			l.exact(h.solid, index, far)
		}
		return nil
	})
}

// hangingOf finds what every core hangs on: in rounds, every group that the body is
// not in is linked by its widest way to another one (Boruvka's method, by
// Nesetril, Milkova and Nesetrilova, Discrete Mathematics 233 (2001) 3-36).
func hangingOf(ctx context.Context, r *raster.Raster, c *cores, body int, radius float64) (*hanging, error) {
	groups := make(raster.Forest, 0, len(c.all))
	for range c.all {
		groups.Plant()
	}
	group := make([]int32, len(c.all))
	finders := make([]*wayfinder, workers.Count(len(c.all)))
	loose := make([]bool, len(c.all)) // by the root of a group
	var links []link
	for {
		var due []int32
		for n := range c.all {
			group[n] = groups.Root(int32(n))
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
			case groups.Root(from) != groups.Root(to):
				groups.Join(from, to)
				links = append(links, l)
			}
		}
	}
	return newHanging(r, c, body, links), nil
}

// newHanging turns all links so that they lead to the body.
func newHanging(r *raster.Raster, c *cores, body int, links []link) *hanging {
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
	if err := h.solid.CheckLimit(2*float64(h.solid.Bytes())+float64(workers.Count(len(h.cores.all)))*most, "growing bits back"); err != nil {
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

// centreOf gives the middle of a pixel, mm.
func centreOf(r *raster.Raster, p [3]int) [3]float64 {
	return r.Place(float64(p[0])+0.5, float64(p[1])+0.5, float64(p[2])+0.5)
}
