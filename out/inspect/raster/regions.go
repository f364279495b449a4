package raster

// Run is the pixels from .. to-1 of a row, and the region it belongs to.
type Run struct{ Row, From, To, region int32 }

// Region is pixels of a layer that hang together, by sides or by corners.
type Region struct {
	Runs             []Run
	Area             int // pixels
	X0, Y0, X1, Y1   int // the box x0 .. x1-1, y0 .. y1-1
	MiddleX, MiddleY int // that pixel of it which is nearest its centroid
}

// Regions gives the 8-connected regions of a layer, in the order of their first
// pixels, row by row.
func (p Plane) Regions() []Region {
	var all []Run
	var trees Forest
	before := 0 // first run of the row before
	for j := range p.Ny {
		now := len(all)
		next := before
		for a, b := range Runs(p.Row(j), p.Nx) {
			at := len(all)
			all = append(all, Run{Row: int32(j), From: int32(a), To: int32(b)})
			trees.Plant()
			for next < now && int(all[next].To) < a {
				next++
			}
			for n := next; n < now && int(all[n].From) <= b; n++ {
				trees.Join(int32(at), int32(n))
			}
		}
		before = now
	}

	var found []Region
	for i := range all {
		root := trees.Root(int32(i))
		if int(root) == i { // roots come first in their region
			all[i].region = int32(len(found))
			found = append(found, Region{X0: p.Nx, Y0: p.Ny})
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

func (g *Region) add(s Run) {
	g.Runs = append(g.Runs, s)
	g.Area += int(s.To - s.From)
	g.X0, g.X1 = min(g.X0, int(s.From)), max(g.X1, int(s.To))
	g.Y0, g.Y1 = min(g.Y0, int(s.Row)), max(g.Y1, int(s.Row)+1)
}

func (g *Region) findMiddle() {
	var x, y float64
	for _, s := range g.Runs {
		n := float64(s.To - s.From)
		x += n * float64(s.From+s.To-1) / 2
		y += n * float64(s.Row)
	}
	x, y = x/float64(g.Area), y/float64(g.Area)
	least := -1.0
	for _, s := range g.Runs {
		i := min(max(int(x+0.5), int(s.From)), int(s.To)-1)
		dx, dy := float64(i)-x, float64(s.Row)-y
		if square := dx*dx + dy*dy; least < 0 || square < least {
			least, g.MiddleX, g.MiddleY = square, i, int(s.Row)
		}
	}
}

// Forest is a union-find whose roots are the lowest of their tree.
type Forest []int32

// Plant adds a tree of its own.
func (f *Forest) Plant() { *f = append(*f, int32(len(*f))) }

// Root gives the root of the tree that i stands in.
func (f Forest) Root(i int32) int32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

// Join makes one tree of those that i and j stand in.
func (f Forest) Join(i, j int32) {
	i, j = f.Root(i), f.Root(j)
	f[max(i, j)] = min(i, j)
}
