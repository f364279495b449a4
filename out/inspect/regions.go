package inspect

// run is the pixels from .. to-1 of a row, and the region it belongs to.
type run struct{ row, from, to, region int32 }

// region is pixels of a layer that hang together, by sides or by corners.
type region struct {
	runs             []run
	area             int // pixels
	x0, y0, x1, y1   int // the box x0 .. x1-1, y0 .. y1-1
	middleX, middleY int // that pixel of it which is nearest its centroid
}

// regions gives the 8-connected regions of a layer, in the order of their first
// pixels, row by row.
func (p plane) regions() []region {
	var all []run
	var trees forest
	before := 0 // first run of the row before
	for j := range p.ny {
		now := len(all)
		next := before
		for a, b := range runs(p.row(j), p.nx) {
			at := len(all)
			all = append(all, run{row: int32(j), from: int32(a), to: int32(b)})
			trees.plant()
			for next < now && int(all[next].to) < a {
				next++
			}
			for n := next; n < now && int(all[n].from) <= b; n++ {
				trees.join(int32(at), int32(n))
			}
		}
		before = now
	}

	var found []region
	for i := range all {
		root := trees.root(int32(i))
		if int(root) == i { // roots come first in their region
			all[i].region = int32(len(found))
			found = append(found, region{x0: p.nx, y0: p.ny})
		}
		all[i].region = all[root].region
		g := &found[all[i].region]
		g.add(all[i])
	}
	for i := range found {
		found[i].findMiddle()
	}
	return found
}

func (g *region) add(s run) {
	g.runs = append(g.runs, s)
	g.area += int(s.to - s.from)
	g.x0, g.x1 = min(g.x0, int(s.from)), max(g.x1, int(s.to))
	g.y0, g.y1 = min(g.y0, int(s.row)), max(g.y1, int(s.row)+1)
}

func (g *region) findMiddle() {
	var x, y float64
	for _, s := range g.runs {
		n := float64(s.to - s.from)
		x += n * float64(s.from+s.to-1) / 2
		y += n * float64(s.row)
	}
	x, y = x/float64(g.area), y/float64(g.area)
	least := -1.0
	for _, s := range g.runs {
		i := min(max(int(x+0.5), int(s.from)), int(s.to)-1)
		dx, dy := float64(i)-x, float64(s.row)-y
		if square := dx*dx + dy*dy; least < 0 || square < least {
			least, g.middleX, g.middleY = square, i, int(s.row)
		}
	}
}

// forest is a union-find whose roots are the lowest of their tree.
type forest []int32

// plant adds a tree of its own.
func (f *forest) plant() { *f = append(*f, int32(len(*f))) }

func (f forest) root(i int32) int32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

func (f forest) join(i, j int32) {
	i, j = f.root(i), f.root(j)
	f[max(i, j)] = min(i, j)
}
