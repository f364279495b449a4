package decimate

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/quadric"
)

// Where the planes of what is merged leave a direction free, by the share of the
// greatest eigenvalue, it stays in the middle: clusters may lie well off their planes,
// edges may not.
const (
	clusterFlat = 1e-3
	edgeFlat    = 1e-6
)

// cluster merges the vertices that lie in one cell of a grid and hang together
// there, so that the two sides of a thin wall or of a narrow joint stay two. The
// grid is as fine as leaves about the given number of vertices.
func cluster(ctx context.Context, w *work, vertices int) (*work, error) {
	side := 1 / math.Sqrt(float64(vertices))
	var of []uint32
	var count int
	for range 4 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		of, count = w.clusters(side)
		share := float64(count) / float64(vertices)
		if share > 0.8 && share < 1.25 {
			break
		}
		side *= math.Sqrt(share)
	}

	// Where a vertex touches two tones it is on a border.
	first := make([]uint16, len(w.at))
	border := make([]bool, len(w.at))
	for i, t := range w.tri {
		tone := uint16(w.tone[i]) + 1
		for _, v := range t {
			if first[v] == 0 {
				first[v] = tone
			} else if first[v] != tone {
				border[v] = true
			}
		}
	}
	sum := make([]quadric.Quadric, count)
	mid := make([]r3.Vec, count)
	members := make([]float64, count)
	for v, c := range of {
		mid[c] = r3.Add(mid[c], w.at[v])
		members[c]++
	}
	for i, t := range w.tri {
		if i&0xffff == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		a, b, c := w.at[t[0]], w.at[t[1]], w.at[t[2]]
		n := normal(a, b, c)
		twice := math.Sqrt(r3.Norm2(n))
		if !(twice > 0) {
			continue
		}
		var q quadric.Quadric
		q.Plane(a, r3.Scale(1/twice, n), twice)
		for _, v := range t {
			sum[of[v]].Add(&q)
			if border[v] {
				sum[of[v]].Point(w.at[v], twice/4)
			}
		}
	}
	fewer := &work{at: make([]r3.Vec, count), mid: w.mid, scale: w.scale}
	for c := range fewer.at {
		near := r3.Scale(1/members[c], mid[c])
		p := sum[c].Least(near, clusterFlat)
		if !(r3.Norm2(r3.Sub(p, near)) < side*side) {
			p = near
		}
		fewer.at[c] = p
	}
	for i, t := range w.tri {
		a, b, c := of[t[0]], of[t[1]], of[t[2]]
		if a == b || b == c || c == a {
			continue
		}
		fewer.tri = append(fewer.tri, [3]uint32{a, b, c})
		fewer.tone = append(fewer.tone, w.tone[i])
	}
	fewer.once()
	return fewer, nil
}

// clusters gives the cluster of each vertex, and how many there are.
func (w *work) clusters(side float64) (of []uint32, count int) {
	cell := make([][3]int16, len(w.at))
	for v, p := range w.at {
		for k, x := range [3]float64{p.X, p.Y, p.Z} {
			// A side is never under 1e-5: there are fewer than 1e10 vertices.
			cell[v][k] = int16(max(-32000, min(32000, math.Floor(x/side))))
		}
	}
	of = make([]uint32, len(w.at))
	for v := range of {
		of[v] = uint32(v)
	}
	root := func(v uint32) uint32 {
		for of[v] != v {
			of[v] = of[of[v]]
			v = of[v]
		}
		return v
	}
	for _, t := range w.tri {
		for k, a := range t {
			b := t[(k+1)%3]
			if cell[a] != cell[b] {
				continue
			}
			// The least vertex is the root.
			if ra, rb := root(a), root(b); ra < rb {
				of[rb] = ra
			} else {
				of[ra] = rb
			}
		}
	}
	for v := range of {
		of[v] = root(uint32(v))
	}
	for v, r := range of {
		if r == uint32(v) {
			of[v] = uint32(count)
			count++
		} else {
			of[v] = of[r] // r < v has its number
		}
	}
	return of, count
}

// once keeps of triangles with the same corners the first, and of those that face
// each other neither.
func (w *work) once() {
	seen := make(map[[3]uint32]int32, len(w.tri))
	keep := make([]bool, len(w.tri))
	for i, t := range w.tri {
		key, turned := sorted(t)
		mark := int32(i + 1)
		if turned {
			mark = -mark
		}
		old, there := seen[key]
		switch {
		case !there || old == 0:
			seen[key] = mark
			keep[i] = true
		case (old < 0) != turned:
			keep[max(old, -old)-1] = false
			seen[key] = 0
		}
	}
	n := 0
	for i, k := range keep {
		if k {
			w.tri[n], w.tone[n] = w.tri[i], w.tone[i]
			n++
		}
	}
	w.tri, w.tone = w.tri[:n], w.tone[:n]
}

// sorted gives the corners in order, and whether that turns the triangle over.
func sorted(t [3]uint32) (s [3]uint32, turned bool) {
	if t[0] > t[1] {
		t[0], t[1], turned = t[1], t[0], !turned
	}
	if t[1] > t[2] {
		t[1], t[2], turned = t[2], t[1], !turned
	}
	if t[0] > t[1] {
		t[0], t[1], turned = t[1], t[0], !turned
	}
	return t, turned
}
