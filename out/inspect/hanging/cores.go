// Package hanging finds what comes loose when a solid is eroded by a ball: the cores that
// are left, what each of them hangs on by its widest way, how thick that is where it is
// narrowest, and what each grows back to. It asks a raster, and for exact widths a mesh.
package hanging

import (
	"context"
	"fmt"
	"math"
	"slices"

	"socle/out/inspect/raster"
)

// core is pixels of an eroded solid that hang together, by faces, edges or
// corners.
type core struct {
	lo, hi [3]int // its box, hi not included
	pixels int
}

// Cores is an eroded solid in its pieces: the runs of row j of layer k are
// runs[start[k*ny+j]:start[k*ny+j+1]].
type Cores struct {
	eroded *raster.Raster
	runs   []coreRun
	start  []int
	All    []core // in the order of their first pixels
}

// coreRun is the pixels from .. to-1 of a row, and the core that they are of.
type coreRun struct{ from, to, core int32 }

// What the pieces hold, at most: a place for every row; for every run itself,
// its tree and its number, and the core (72 bytes, where room may be half empty)
// that it may be.
const (
	coreRowBytes = 8
	coreRunBytes = 12 + 4 + 4 + 2*72
)

// CoresOf finds the pieces of an eroded solid.
func CoresOf(ctx context.Context, eroded *raster.Raster) (*Cores, error) {
	nx, ny, nz := eroded.Size[0], eroded.Size[1], eroded.Size[2]
	total, err := eroded.Count(ctx, raster.SolidRuns)
	if err != nil {
		return nil, err
	}
	need := 2*float64(eroded.Bytes()) + coreRowBytes*float64(ny)*float64(nz) + coreRunBytes*float64(total)
	if err := eroded.CheckLimit(need, "the cores of a solid"); err != nil {
		return nil, err
	}
	if total >= math.MaxInt32 {
		return nil, fmt.Errorf("the cores of %d x %d pixels in %d layers have %d runs, too many to join", nx, ny, nz, total)
	}

	c := &Cores{eroded: eroded, runs: make([]coreRun, 0, total), start: make([]int, 1, ny*nz+1)}
	trees := make(raster.Forest, 0, total)
	room := eroded.NewRow()
	for k := range nz {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for j := range ny {
			for a, b := range raster.Runs(eroded.ReadRow(j, k, room), nx) {
				c.runs = append(c.runs, coreRun{from: int32(a), to: int32(b), core: int32(len(trees))})
				trees.Plant()
			}
			c.start = append(c.start, len(c.runs))
			row := k*ny + j
			if j > 0 {
				c.join(trees, row-1, row)
			}
			for y := max(j-1, 0); k > 0 && y <= min(j+1, ny-1); y++ {
				c.join(trees, row-j-ny+y, row)
			}
		}
	}
	c.number(trees)
	return c, nil
}

// row gives the runs of a row.
func (c *Cores) row(n int) []coreRun { return c.runs[c.start[n]:c.start[n+1]] }

// join joins the runs of two rows that touch, by corners too.
func (c *Cores) join(trees raster.Forest, m, n int) {
	a, b := c.row(m), c.row(n)
	for len(a) > 0 && len(b) > 0 {
		if a[0].from <= b[0].to && b[0].from <= a[0].to {
			trees.Join(a[0].core, b[0].core)
		}
		if a[0].to < b[0].to {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
}

// number gives every tree its number, and measures it.
func (c *Cores) number(trees raster.Forest) {
	ny := c.eroded.Size[1]
	number := make([]int32, len(trees)) // of the core of a root, plus 1
	for row := range len(c.start) - 1 {
		j, k := row%ny, row/ny
		for i := c.start[row]; i < c.start[row+1]; i++ {
			root := trees.Root(c.runs[i].core)
			if number[root] == 0 {
				c.All = append(c.All, core{lo: c.eroded.Size})
				number[root] = int32(len(c.All))
			}
			run := &c.runs[i]
			run.core = number[root] - 1
			at := &c.All[run.core]
			at.pixels += int(run.to - run.from)
			for d, span := range [3][2]int{{int(run.from), int(run.to)}, {j, j + 1}, {k, k + 1}} {
				at.lo[d], at.hi[d] = min(at.lo[d], span[0]), max(at.hi[d], span[1])
			}
		}
	}
}

// At gives the core of a pixel that is in one.
func (c *Cores) At(p [3]int) int {
	row := c.row(p[2]*c.eroded.Size[1] + p[1])
	n, found := slices.BinarySearchFunc(row, p[0], func(run coreRun, i int) int {
		switch {
		case int(run.to) <= i:
			return -1
		case int(run.from) > i:
			return 1
		}
		return 0
	})
	if !found {
		panic(fmt.Sprintf("inspect: pixel %v is in no core", p))
	}
	return int(row[n].core)
}

// Largest gives the core with the most pixels, the first of equals.
func (c *Cores) Largest() int {
	body := 0
	for n := range c.All {
		if c.All[n].pixels > c.All[body].pixels {
			body = n
		}
	}
	return body
}
