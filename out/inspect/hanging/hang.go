package hanging

import (
	"context"
	"slices"

	"socle/out/inspect/raster"
	"socle/out/inspect/tree"
	"socle/sdf/workers"
)

// Tree is the cores of a solid, and what each hangs on.
type Tree struct {
	Solid *raster.Raster
	cores *Cores
	Body  int
	On    []Link // what each core hangs on, if anything
	order []int  // the cores that hang on another, each after that
}

// Link is a way between two cores, and its neck; none where there are no pixels.
type Link struct {
	Way  Way
	Neck Neck
}

// Exact measures the necks of those bits that are as large as the smallest, mm3, on
// the mesh. Wider than far counts as far, mm.
func (h *Tree) Exact(ctx context.Context, index *tree.Index, bits []Bit, smallest, far float64) error {
	return workers.ForEach(ctx, len(bits), func(_, n int) error {
		l := &h.On[n]
		if len(l.Way.Pixels) > 0 && bits[n].Volume(h.Solid) >= smallest {
			l.exact(h.Solid, index, far)
		}
		return nil
	})
}

// Of finds what every core hangs on: in rounds, every group that the body is
// not in is linked by its widest way to another one (Boruvka's method, by
// Nesetril, Milkova and Nesetrilova, Discrete Mathematics 233 (2001) 3-36).
func Of(ctx context.Context, r *raster.Raster, c *Cores, body int, radius float64) (*Tree, error) {
	groups := make(raster.Forest, 0, len(c.All))
	for range c.All {
		groups.Plant()
	}
	group := make([]int32, len(c.All))
	finders := make([]*wayfinder, workers.Count(len(c.All)))
	loose := make([]bool, len(c.All)) // by the root of a group
	var links []Link
	for {
		var due []int32
		for n := range c.All {
			group[n] = groups.Root(int32(n))
		}
		for n := range c.All {
			if int(group[n]) == n && group[n] != group[body] && !loose[n] {
				due = append(due, int32(n))
			}
		}
		if len(due) == 0 {
			break
		}
		found := make([]Link, len(due))
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
			found[i], joined[i] = Link{way, f.narrowest(way)}, true
			return nil
		})
		if err != nil {
			return nil, err
		}
		for i, l := range found {
			from, to := int32(l.Way.from), int32(l.Way.to)
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
func newHanging(r *raster.Raster, c *Cores, body int, links []Link) *Tree {
	h := &Tree{Solid: r, cores: c, Body: body, On: make([]Link, len(c.All))}
	of := make([][]int, len(c.All))
	for i, l := range links {
		of[l.Way.from] = append(of[l.Way.from], i)
		of[l.Way.to] = append(of[l.Way.to], i)
	}
	waiting := []int{body}
	for len(waiting) > 0 {
		n := waiting[0]
		waiting = waiting[1:]
		for _, i := range of[n] {
			l := links[i]
			m := l.Way.from + l.Way.to - n // the other end
			if m == body || len(h.On[m].Way.Pixels) > 0 {
				continue
			}
			if l.Way.to != n {
				l.Way.from, l.Way.to = m, n
				slices.Reverse(l.Way.Pixels)
			}
			h.On[m] = l
			h.order = append(h.order, m)
			waiting = append(waiting, m)
		}
	}
	return h
}

// Bits grows every core but the body back, and adds to each what hangs on it.
func (h *Tree) Bits(ctx context.Context, radius float64) ([]Bit, error) {
	reach := radius + 2*max(h.Solid.Pixel, h.Solid.Layer)
	most := 0.0
	for n := range h.cores.All {
		if n != h.Body {
			most = max(most, h.cores.regrowBytes(n, h.Solid, reach))
		}
	}
	if err := h.Solid.CheckLimit(2*float64(h.Solid.Bytes())+float64(workers.Count(len(h.cores.All)))*most, "growing bits back"); err != nil {
		return nil, err
	}
	bits := make([]Bit, len(h.cores.All))
	been := make([]visits, workers.Count(len(bits)))
	err := workers.ForEach(ctx, len(bits), func(w, n int) error {
		if n != h.Body {
			if been[w].block == nil {
				been[w].lay(h.Solid.Size)
			}
			bits[n] = h.cores.regrow(n, h.Solid, reach, &been[w])
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i := len(h.order) - 1; i >= 0; i-- {
		n := h.order[i]
		if on, _ := h.above(n); on != h.Body {
			bits[on].add(bits[n])
		}
	}
	return bits, nil
}

// Ways gives in how many ways every core and all that hangs on it are held by
// the rest.
func (h *Tree) Ways(bits []Bit) []int {
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
func (h *Tree) above(n int) (int, bool) {
	return h.On[n].Way.to, len(h.On[n].Way.Pixels) > 0
}

// CentreOf gives the middle of a pixel, mm.
func CentreOf(r *raster.Raster, p [3]int) [3]float64 {
	return r.Place(float64(p[0])+0.5, float64(p[1])+0.5, float64(p[2])+0.5)
}
