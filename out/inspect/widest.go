package inspect

import (
	"context"
	"math"
	"slices"

	"socle/sdf/workers"
)

// cavity is the empty space in and round a room, in cubes, more or less: how
// wide it is at each.
type cavity struct {
	raster *Raster
	size   [3]int
	from   [3]int  // the pixel and layer of the raster that the first cube begins at
	step   [3]int  // pixels and layers to a cube
	side   float64 // of a cube, mm
	most   float64 // distance that the highest class stands for, mm
	// class is how far a cube is from solid, in classes of most/255, 0 for solid.
	class []uint8
	// aside is how far it is from solid in its own layer, in classes of
	// asideMost/255.
	aside []uint8
	out   []bool // the cubes at the sides and on top that are out
	seed  int    // the cube in the middle of the room; -1 where it is narrower than a cube
	room  plane  // the pixels of the plan that are in the room
	rooms plane  // those that are in any room
}

const (
	cavityBytes = 4 + 4 + 1 + 1 + 1 + 1 + 4 + 4 + 1 // for a cube: see cavity and widest
	asideMost   = 8.0                               // mm
)

// cavity measures the space round a room. Widths above wide need not be told apart;
// as many as alike are measured at once.
func (r *Raster) cavity(ctx context.Context, g *region, covered plane, heights []int32, wide float64, alike int) (*cavity, error) {
	w := &cavity{raster: r, rooms: covered, room: newPlane(r.Size[0], r.Size[1]), side: ventVoxel, most: wide/2 + ventNeck + 4*ventVoxel}
	top := int32(0)
	for _, s := range g.runs {
		fill(w.room.row(int(s.row)), int(s.from), int(s.to))
		for i := s.from; i < s.to; i++ {
			top = max(top, heights[int(s.row)*r.Size[0]+int(i)])
		}
	}
	lo := [3]float64{float64(g.x0)*r.Pixel - ventMargin, float64(g.y0)*r.Pixel - ventMargin, 0}
	hi := [3]float64{float64(g.x1)*r.Pixel + ventMargin, float64(g.y1)*r.Pixel + ventMargin, float64(top)*r.Layer + ventMargin}
	volume := (hi[0] - lo[0]) * (hi[1] - lo[1]) * hi[2]
	w.side = max(w.side, math.Cbrt(volume/ventVoxels))
	pixel := [3]float64{r.Pixel, r.Pixel, r.Layer}
	total, side := 1, 0.0
	for c := range 3 {
		w.step[c] = max(1, int(math.Round(w.side/pixel[c])))
		step := float64(w.step[c]) * pixel[c]
		w.from[c] = int(math.Floor(lo[c] / pixel[c]))
		w.size[c] = int(math.Ceil((hi[c]-lo[c])/step)) + 1
		total *= w.size[c]
		side = max(side, step)
	}
	w.side = side
	if err := r.checkLimit(float64(r.Bytes())+cavityBytes*float64(total)*float64(alike)+roomBytes*float64(len(heights)), "the ways out of a hollow"); err != nil {
		return nil, err
	}
	if err := w.measure(ctx); err != nil {
		return nil, err
	}

	nx, ny, nz := w.size[0], w.size[1], w.size[2]
	w.out = make([]bool, total)
	for k := range nz {
		for j := range ny {
			for i := range nx {
				if k < nz-1 && j > 0 && j < ny-1 && i > 0 && i < nx-1 {
					continue
				}
				// The window may cut through the next room: that is not out.
				w.out[(k*ny+j)*nx+i] = k == nz-1 || !w.inPlan(i, j, w.rooms)
			}
		}
	}
	w.findSeed(g, heights)
	return w, nil
}

// pixel gives the pixel and layer in the middle of a cube.
func (w *cavity) pixel(i, j, k int) (x, y, z int) {
	return w.from[0] + i*w.step[0] + w.step[0]/2, w.from[1] + j*w.step[1] + w.step[1]/2, w.from[2] + k*w.step[2] + w.step[2]/2
}

// place gives the middle of a cube, mm.
func (w *cavity) place(cube int) [3]float64 {
	nx, ny := w.size[0], w.size[1]
	x, y, z := w.pixel(cube%nx, cube/nx%ny, cube/nx/ny)
	return w.raster.place(float64(x)+0.5, float64(y)+0.5, float64(z)+0.5)
}

// measure sets the classes, by distance transforms (envelope): across, then along
// y, then upward, where the plate is solid below.
func (w *cavity) measure(ctx context.Context) error {
	nx, ny, nz := w.size[0], w.size[1], w.size[2]
	squares := make([]float32, nx*ny*nz) // in pixels squared
	pixel := w.raster.Pixel
	lines := make([]envelope, workers.Count(max(nz, ny)))
	err := workers.ForEach(ctx, nz, func(n, k int) error {
		line := &lines[n]
		at := squares[k*nx*ny : (k+1)*nx*ny]
		for j := range ny {
			line.reset(nx)
			for i := range nx {
				line.f[i] = math.Inf(1)
				if w.raster.Solid(w.pixel(i, j, k)) {
					line.f[i] = 0
				}
			}
			line.transform(float64(w.step[0]))
			for i := range nx {
				at[j*nx+i] = float32(line.d[i])
			}
		}
		for i := range nx {
			line.reset(ny)
			for j := range ny {
				line.f[j] = float64(at[j*nx+i])
			}
			line.transform(float64(w.step[1]))
			for j := range ny {
				at[j*nx+i] = float32(line.d[j])
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	w.class, w.aside = make([]uint8, len(squares)), make([]uint8, len(squares))
	// Distances are between middles, so a passage that is n cubes wide has (n + 1) / 2
	// in its middle where n is odd, and n / 2 where it is even: taken as (n + 1/2) / 2.
	return workers.ForEach(ctx, ny, func(n, j int) error {
		line := &lines[n]
		for i := range nx {
			line.reset(nz + 1)
			line.f[0] = 0 // the plate
			for k := range nz {
				line.f[k+1] = float64(squares[(k*ny+j)*nx+i])
			}
			line.transform(float64(w.step[2]) * w.raster.Layer / pixel)
			for k := range nz {
				d := line.d[k+1]
				if d == 0 {
					continue
				}
				away := max(math.Sqrt(d)*pixel-w.side/4, 0)
				w.class[(k*ny+j)*nx+i] = uint8(max(1, min(math.Round(away/w.most*255), 255)))
				aside := math.Sqrt(float64(squares[(k*ny+j)*nx+i])) * pixel
				w.aside[(k*ny+j)*nx+i] = uint8(min(math.Round(aside/asideMost*255), 255))
			}
		}
		return nil
	})
}

// findSeed sets the cube where the room is widest in plan, at its widest height.
func (w *cavity) findSeed(g *region, heights []int32) {
	r := w.raster
	outside := newPlane(g.x1-g.x0+2, g.y1-g.y0+2)
	for j := range outside.ny {
		fill(outside.row(j), 0, outside.nx)
	}
	for _, s := range g.runs {
		row := outside.row(int(s.row) - g.y0 + 1)
		for i := int(s.from) - g.x0 + 1; i < int(s.to)-g.x0+1; i++ {
			row[i/64] &^= 1 << (i % 64)
		}
	}
	squares := make([]float64, outside.nx*outside.ny)
	distancesTo(outside, squares, &envelope{})
	best := -1.0
	nx, ny := w.size[0], w.size[1]
	w.seed = -1
	for j := range ny {
		for i := range nx {
			x, y, _ := w.pixel(i, j, 0)
			if x < g.x0 || x >= g.x1 || y < g.y0 || y >= g.y1 {
				continue
			}
			if d := squares[(y-g.y0+1)*outside.nx+x-g.x0+1]; d > best && d > 0 {
				best = d
				w.seed = j*nx + i
			}
		}
	}
	if w.seed < 0 {
		return // less than a cube wide
	}
	column := w.seed
	x, y, _ := w.pixel(column%nx, column/nx, 0)
	for k := range w.size[2] {
		at := k*nx*ny + column
		if _, _, z := w.pixel(0, 0, k); z >= int(heights[y*r.Size[0]+x]) {
			break
		}
		if w.class[at] > w.class[w.seed] {
			w.seed = at
		}
	}
}

// ways gives the rooms of the window: that of its seed first. A second way counts
// from a width of least, and is looked for where the first is under single, mm.
func (w *cavity) ways(least, single float64) []VentFit {
	if w.seed < 0 || w.class[w.seed] == 0 {
		return nil
	}
	paths := w.widest([]int{w.seed}, true)
	fits := make([]VentFit, len(paths))
	var seeds, alone []int
	for n, p := range paths {
		fits[n] = VentFit{At: w.place(p.at), Width: w.width(p.class)}
		if fits[n].Width < least {
			continue
		}
		fits[n].Ways = 1
		if fits[n].Width < single {
			seeds, alone = append(seeds, p.seed), append(alone, n)
		}
	}
	if len(alone) == 0 {
		return fits
	}
	for n, p := range w.around(paths, least).widest(seeds, false) {
		if w.width(p.class) >= least {
			fits[alone[n]].Ways = 2
		}
	}
	return fits
}

func (w *cavity) width(class uint8) float64 { return 2 * float64(class) / 255 * w.most }

// path is the widest way out from a cube.
type path struct {
	seed  int
	at    int   // the cube where it is narrowest
	class uint8 // of that; 0 where there is none
}

// widest gives the widest way out from each seed. Cubes are let in from the widest
// class down, and joined to those that they share a face with; a seed's way is
// narrowest at the cube that joins it to the outside (the tree of widest paths is
// the greatest spanning tree: Kruskal). Where asked, it gives more rooms after the
// seeds: those over the plate that are wider than where they join the outside by
// ventNeck.
func (w *cavity) widest(seeds []int, more bool) []path {
	nx, ny, nz := w.size[0], w.size[1], w.size[2]
	// The widest first; of equals, as all of a low hollow are, those further from
	// solid in their layer, so that what is narrowest is a passage.
	const keys = 1 << 16
	key := func(i int) int { return keys - 1 - (int(w.class[i])<<8 | int(w.aside[i])) }
	start := make([]int32, keys+1)
	for i := range w.class {
		start[key(i)+1]++
	}
	for n := range keys {
		start[n+1] += start[n]
	}
	order := make([]int32, len(w.class))
	for i := range w.class {
		n := key(i)
		order[start[n]] = int32(i)
		start[n]++
	}
	const waiting = -1
	trees := make(forest, len(w.class))
	for i := range trees {
		trees[i] = waiting
	}
	peak := make([]int32, len(w.class)) // of a root: the widest cube of its tree
	out := make([]bool, len(w.class))   // of a root: it is outside
	paths := make([]path, len(seeds))
	for n, s := range seeds {
		paths[n].seed, paths[n].at = s, s
	}
	neck := max(1, int(math.Round(ventNeck/2/w.most*255)))
	join := func(a, b int32, at int) {
		a, b = trees.root(a), trees.root(b)
		if a == b {
			return
		}
		if out[a] != out[b] {
			inner := a
			if out[a] {
				inner = b
			}
			known := false
			for n := range paths {
				if p := &paths[n]; p.class == 0 && trees[p.seed] != waiting && trees.root(int32(p.seed)) == inner {
					p.at, p.class, known = at, w.class[at], true
				}
			}
			if top := int(peak[inner]); more && !known && int(w.class[top]) >= int(w.class[at])+neck && w.overPlate(top) {
				paths = append(paths, path{seed: top, at: at, class: w.class[at]})
			}
		}
		low := min(a, b)
		if high := max(a, b); w.class[peak[high]] > w.class[peak[low]] {
			peak[low] = peak[high]
		}
		out[low] = out[a] || out[b]
		trees.join(a, b)
	}
	for _, c := range order {
		at := int(c)
		if w.class[at] == 0 {
			break
		}
		trees[at], peak[at], out[at] = c, c, w.out[at]
		i, j, k := at%nx, at/nx%ny, at/nx/ny
		for _, d := range [6]struct {
			in   bool
			step int
		}{{i > 0, -1}, {i+1 < nx, 1}, {j > 0, -nx}, {j+1 < ny, nx}, {k > 0, -nx * ny}, {k+1 < nz, nx * ny}} {
			if d.in && trees[at+d.step] != waiting {
				join(c, int32(at+d.step), at)
			}
		}
	}
	return paths
}

// inPlan tells whether a cube is over, in or under a region of the plan.
func (w *cavity) inPlan(i, j int, p plane) bool {
	x, y, _ := w.pixel(i, j, 0)
	return x >= 0 && y >= 0 && x < p.nx && y < p.ny && p.at(x, y)
}

// overPlate tells whether a cube is in a room, with nothing but empty space under it.
func (w *cavity) overPlate(cube int) bool {
	if !w.inPlan(cube%w.size[0], cube/w.size[0]%w.size[1], w.room) {
		return false
	}
	for layer := w.size[0] * w.size[1]; cube >= 0; cube -= layer {
		if w.class[cube] == 0 {
			return false
		}
	}
	return true
}

// around gives the cavity without the room that a ball as wide as the least takes
// beside balls in the ways given, where these are narrowest.
func (w *cavity) around(ways []path, least float64) *cavity {
	rest := *w
	rest.class = slices.Clone(w.class)
	nx, ny := w.size[0], w.size[1]
	step := [3]float64{float64(w.step[0]) * w.raster.Pixel, float64(w.step[1]) * w.raster.Pixel, float64(w.step[2]) * w.raster.Layer}
	for _, p := range ways {
		if p.class == 0 {
			continue
		}
		radius := (w.width(p.class) + least) / 2
		at := [3]int{p.at % nx, p.at / nx % ny, p.at / nx / ny}
		var lo, hi [3]int
		for c := range 3 {
			n := int(radius / step[c])
			lo[c], hi[c] = max(at[c]-n, 0), min(at[c]+n, w.size[c]-1)
		}
		for k := lo[2]; k <= hi[2]; k++ {
			for j := lo[1]; j <= hi[1]; j++ {
				for i := lo[0]; i <= hi[0]; i++ {
					x, y, z := float64(i-at[0])*step[0], float64(j-at[1])*step[1], float64(k-at[2])*step[2]
					if x*x+y*y+z*z <= radius*radius {
						rest.class[(k*ny+j)*nx+i] = 0
					}
				}
			}
		}
	}
	return &rest
}
