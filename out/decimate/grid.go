package decimate

import (
	"math"
	"slices"
)

// merge makes one vertex of all those in a cell of a grid that leaves about `aim`
// triangles, and drops the triangles that vanish.
func (w *work) merge(aim int) *work {
	// A surface meets some 1.5 S/h^2 cells of side h, and has twice as many triangles
	// as vertices. Where vertices lie sparsely fewer cells are met.
	area := 0.0
	for _, f := range w.faces {
		area += normalOf(w.at[f[0]], w.at[f[1]], w.at[f[2]]).length() / 2
	}
	side := max(math.Sqrt(3*area/float64(aim))/2, 1e-5)
	var cell []int32
	var cells int
	for range 5 {
		cell, cells = w.cells(side)
		if 2*cells <= aim+aim/5 {
			break
		}
		side *= math.Sqrt(2 * float64(cells) / float64(aim))
	}

	forms := make([]quadric, cells)
	mean := make([]vec, cells)
	count := make([]float64, cells)
	for i, p := range w.at {
		c := cell[i]
		mean[c] = mean[c].add(p)
		count[c]++
	}
	for _, f := range w.faces {
		n := normalOf(w.at[f[0]], w.at[f[1]], w.at[f[2]])
		length := n.length()
		if length == 0 {
			continue
		}
		q := plane(n.scaled(1/length), w.at[f[0]], length)
		for k, v := range f {
			c := cell[v]
			if k > 0 && c == cell[f[0]] || k > 1 && c == cell[f[1]] {
				continue
			}
			forms[c].add(&q)
		}
	}
	to := &work{at: mean, centre: w.centre, unit: w.unit}
	for c := range mean {
		mean[c] = mean[c].scaled(1 / count[c])
		if p, ok := forms[c].least(mean[c]); ok && p.sub(mean[c]).length() < side {
			mean[c] = p
		}
	}

	// Of triangles of the same three cells those that face each other cancel.
	type kept struct {
		key  [3]int32
		turn int // +1, or -1 where the key runs the other way round
		face int32
	}
	var all []kept
	for i, f := range w.faces {
		g := [3]int32{cell[f[0]], cell[f[1]], cell[f[2]]}
		if g[0] == g[1] || g[1] == g[2] || g[2] == g[0] {
			continue
		}
		turn := 1
		for _, p := range [...][2]int{{0, 1}, {1, 2}, {0, 1}} {
			if g[p[0]] > g[p[1]] {
				g[p[0]], g[p[1]] = g[p[1]], g[p[0]]
				turn = -turn
			}
		}
		all = append(all, kept{g, turn, int32(i)})
	}
	slices.SortFunc(all, func(a, b kept) int {
		if c := slices.Compare(a.key[:], b.key[:]); c != 0 {
			return c
		}
		return int(a.face) - int(b.face)
	})
	for i := 0; i < len(all); {
		j, sum := i, 0
		for ; j < len(all) && all[j].key == all[i].key; j++ {
			sum += all[j].turn
		}
		for k := i; k < j && sum != 0; k++ {
			if all[k].turn*sum > 0 {
				f := w.faces[all[k].face]
				to.faces = append(to.faces, [3]int32{cell[f[0]], cell[f[1]], cell[f[2]]})
				to.tones = append(to.tones, w.tones[all[k].face])
				break
			}
		}
		i = j
	}
	return to
}

// cells numbers the cells of a grid by first use, and tells each vertex's.
func (w *work) cells(side float64) (cell []int32, cells int) {
	cell = make([]int32, len(w.at))
	number := make(map[uint64]int32, len(w.at)/4)
	for i, p := range w.at {
		key := uint64((p[0]+1)/side)<<42 | uint64((p[1]+1)/side)<<21 | uint64((p[2]+1)/side)
		n, met := number[key]
		if !met {
			n = int32(len(number))
			number[key] = n
		}
		cell[i] = n
	}
	return cell, len(number)
}
