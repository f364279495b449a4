package spill

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/convex"
)

const (
	// mostDropSteps bounds the march down to a surface.
	mostDropSteps = 400
	// dropTouch is the distance at which the march has arrived, mm; nodeTouch that where it
	// looks for the floor of a cell.
	dropTouch, nodeTouch = 1e-3, 0.015
	// mostPileCells bounds the grid of fragments.
	mostPileCells = 1 << 18
)

// pile is a field with the fragments laid on it so far. It keeps them in a grid over the
// plan, and of the field the heights at the grid's middles, as they are asked for.
type pile struct {
	under    sdf.Field
	top      float64 // above everything, mm
	bottom   float64 // no surface is looked for below, mm
	laid     []*convex.Polytope
	area     r2.Box
	pitch    float64
	overhung bool // work stands over it
	nx, ny   int
	cells    [][]int32          // numbers in laid
	floor    []float64          // height of the field, NaN before it is asked for
	tiles    map[tile]sdf.Field // the field, pruned to cubes as they are looked into
}

// tileSides are the sides of the cubes that the field is pruned to, mm: what is left of it
// in a large one is pruned again to the small ones in it.
var tileSides = [2]float64{6, 1.5}

// tile is one of those cubes: its level and its place, in sides.
type tile struct{ level, x, y, z int }

// value is that of the field, off what it is pruned to about the point.
func (p *pile) value(q r3.Vec) float64 { return p.about(q, len(tileSides)-1).Value(q) }

// about gives the field pruned to the cube of a level that holds a point.
func (p *pile) about(q r3.Vec, level int) sdf.Field {
	if level < 0 {
		return p.under
	}
	side := tileSides[level]
	lo := sdf.V(math.Floor(q.X/side), math.Floor(q.Y/side), math.Floor(q.Z/side))
	at := tile{level, int(lo.X), int(lo.Y), int(lo.Z)}
	f, ok := p.tiles[at]
	if !ok {
		middle := r3.Scale(side, r3.Add(lo, sdf.V(0.5, 0.5, 0.5)))
		const clear = 0.1 // of a cube in the one that holds it, whatever the rounding
		f = p.about(middle, level-1).Prune(sdf.Ball{C: middle, R: side*math.Sqrt(3)/2 + clear*side*float64(len(tileSides)-1-level)})
		p.tiles[at] = f
	}
	return f
}

// newPile is an empty pile over a region of the plan, for fragments of about a
// least size.
func newPile(under sdf.Field, area r2.Box, least float64) *pile {
	b := under.Bounds()
	p := &pile{under: under, area: area, top: b.Max.Z + 0.1, bottom: b.Min.Z}
	const unbounded = 1000
	if !(p.top < unbounded) {
		p.top = unbounded
	}
	if !(p.bottom > -unbounded) {
		p.bottom = -unbounded
	}
	size := r2.Sub(area.Max, area.Min)
	p.pitch = math.Max(least/2, math.Max(size.X, size.Y)/math.Sqrt(mostPileCells))
	p.nx = 1 + int(size.X/p.pitch)
	p.ny = 1 + int(size.Y/p.pitch)
	p.cells = make([][]int32, p.nx*p.ny)
	p.floor, p.tiles = make([]float64, p.nx*p.ny), map[tile]sdf.Field{}
	for i := range p.floor {
		p.floor[i] = math.NaN()
	}
	return p
}

// below lets fragments fall from a height at most: what is solid there takes none.
func (p *pile) below(height float64) *pile {
	if height < p.top {
		p.top, p.overhung = height, true
	}
	return p
}

func (p *pile) cell(x, y float64) int {
	i, j := int((x-p.area.Min.X)/p.pitch), int((y-p.area.Min.Y)/p.pitch)
	return min(max(j, 0), p.ny-1)*p.nx + min(max(i, 0), p.nx-1)
}

// march goes down to the field's surface from a height, until it is as near as touch, mm.
func (p *pile) march(x, y, from, touch float64) float64 {
	z, level := from, 0 // of the cubes that are looked into: no small ones in the air
	for range mostDropSteps {
		q := sdf.V(x, y, z)
		v := p.about(q, level).Value(q)
		if v < tileSides[1] {
			level = 1
		}
		if z == p.top && p.overhung && v < touch {
			break
		}
		if v < touch {
			return z
		}
		if z -= v; z < p.bottom {
			break
		}
	}
	return math.Inf(-1)
}

// node is the height of the field at the middle of a cell; -Inf where there is nothing.
func (p *pile) node(i, j int) float64 {
	i, j = min(max(i, 0), p.nx-1), min(max(j, 0), p.ny-1)
	c := j*p.nx + i
	if math.IsNaN(p.floor[c]) {
		x, y := p.area.Min.X+(float64(i)+0.5)*p.pitch, p.area.Min.Y+(float64(j)+0.5)*p.pitch
		p.floor[c] = p.march(x, y, p.top, nodeTouch)
	}
	return p.floor[c]
}

// floorAt is about the height of the field at a place: between the middles of the cells about
// it where it slopes, that of its own cell where it steps. It is -Inf where there is nothing.
func (p *pile) floorAt(x, y float64) float64 {
	u, v := (x-p.area.Min.X)/p.pitch-0.5, (y-p.area.Min.Y)/p.pitch-0.5
	i, j := int(math.Floor(u)), int(math.Floor(v))
	a, b, c, d := p.node(i, j), p.node(i+1, j), p.node(i, j+1), p.node(i+1, j+1)
	s, t := u-float64(i), v-float64(j)
	const steep = 1.5
	if lo, hi := min(a, b, c, d), max(a, b, c, d); !(hi-lo < steep*p.pitch) {
		return p.node(int(math.Round(u)), int(math.Round(v)))
	}
	return (a*(1-s)+b*s)*(1-t) + (c*(1-s)+d*s)*t
}

// surface is the height of the field at a place.
func (p *pile) surface(x, y float64) float64 {
	const over = 1 // mm above what is next to it
	if from := p.floorAt(x, y) + over; from > p.bottom && from < p.top && p.value(sdf.V(x, y, from)) > dropTouch {
		return p.march(x, y, from, dropTouch)
	}
	return p.march(x, y, p.top, dropTouch)
}

// laidAt is how high what has been laid is at a place; -Inf for nothing.
func (p *pile) laidAt(x, y float64) float64 {
	z := math.Inf(-1)
	for _, n := range p.cells[p.cell(x, y)] {
		if b := &p.laid[n].Box; x < b.Min.X || x > b.Max.X || y < b.Min.Y || y > b.Max.Y || b.Max.Z <= z {
			continue
		}
		if _, hi, _, ok := p.laid[n].Pierce(x, y); ok && hi > z {
			z = hi
		}
	}
	return z
}

// roughly is how high the pile is at a place, its floor to the next cell.
func (p *pile) roughly(x, y float64) float64 { return math.Max(p.laidAt(x, y), p.floorAt(x, y)) }

// height is how high the pile is at a place; -Inf where there is nothing.
func (p *pile) height(x, y float64) float64 { return math.Max(p.laidAt(x, y), p.surface(x, y)) }

// solid says whether the pile is solid at a point.
func (p *pile) solid(q r3.Vec) bool {
	if p.value(q) < 0 {
		return true
	}
	for _, n := range p.cells[p.cell(q.X, q.Y)] {
		if p.laid[n].Value(q) < 0 {
			return true
		}
	}
	return false
}

// add lays a body.
func (p *pile) add(f *convex.Polytope) {
	p.laid = append(p.laid, f)
	i0, i1 := int((f.Box.Min.X-p.area.Min.X)/p.pitch), int((f.Box.Max.X-p.area.Min.X)/p.pitch)
	j0, j1 := int((f.Box.Min.Y-p.area.Min.Y)/p.pitch), int((f.Box.Max.Y-p.area.Min.Y)/p.pitch)
	i0, i1, j0, j1 = max(min(i0, p.nx-1), 0), max(min(i1, p.nx-1), 0), max(min(j0, p.ny-1), 0), max(min(j1, p.ny-1), 0)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			c := j*p.nx + i
			p.cells[c] = append(p.cells[c], int32(len(p.laid)-1))
		}
	}
}
