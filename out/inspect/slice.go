package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/sdf/workers"
)

// DefaultLimit is the memory that a raster may take where Grid names none.
const DefaultLimit = 1 << 30

// maxSamples is the most pixels in a row, rows in a layer, or layers.
const maxSamples = 1 << 20

// Grid is how fine a mesh is looked at.
type Grid struct {
	Pixel float64 // side of a pixel, mm, > 0
	Layer float64 // height of a layer, mm, > 0
	Limit int64   // bytes that the raster and work on it may take; 0: DefaultLimit
}

// Slice cuts a mesh into layers, from its lowest vertex up. Pixels are laid on
// whole multiples of their side, whatever the mesh, so that two meshes in one
// place share them.
//
// The mesh must be closed and turned outward; a point is inside where the
// surface winds around it more than zero times, so shells that overlap are one
// solid. A sample exactly on the surface goes with the side of lower
// coordinates: two boxes that share a face share no pixel and leave none out.
// Crossings are computed alike for both triangles of an edge, so every row
// closes; only a sample within rounding (about 1e-12 mm on a base) of the
// surface can fall on its other side.
//
// It is an error, before any work is done, when the memory would pass the limit
// (*MemoryError), when a coordinate is not finite or an index leads nowhere,
// and when the solid is lower than half a layer. It is one after it, too, when a
// sample shows that the mesh is not closed, or when no pixel is solid.
func Slice(ctx context.Context, vertices [][3]float32, triangles [][3]uint32, grid Grid) (*Raster, error) {
	lo, hi, err := extentOf(vertices, triangles)
	if err != nil {
		return nil, err
	}
	axes, err := grid.axes(lo, hi)
	if err != nil {
		return nil, err
	}
	limit := grid.Limit
	if limit == 0 {
		limit = DefaultLimit
	}

	// How many triangles cut each layer tells all the memory before it is taken.
	cut := cutter{vertices: vertices, triangles: triangles, axes: axes, start: make([]int, axes[2].n+1)}
	cut.count()
	size := [3]int{axes[0].n, axes[1].n, axes[2].n}
	words := float64((size[0]+63)/64) * float64(size[1]) * float64(size[2])
	need := 8*words + 4*float64(cut.start[size[2]]) +
		float64(workers.Count(size[2])*cut.most)*bytesPerSegment
	if need > float64(limit) {
		return nil, &MemoryError{What: "a raster", Size: size, Need: need, Limit: limit}
	}
	cut.assign()

	origin := [3]float64{axes[0].origin, axes[1].origin, axes[2].origin}
	r := &Raster{
		Origin: origin, Pixel: grid.Pixel, Layer: grid.Layer, Size: size,
		limit: limit, stride: (size[0] + 63) / 64, packed: make([]*packed, size[2]),
	}
	sweeps := make([]sweep, workers.Count(size[2]))
	err = workers.ForEach(ctx, size[2], func(w, k int) error {
		s := &sweeps[w]
		if s.plane.bits == nil {
			s.plane = newPlane(size[0], size[1])
		}
		clear(s.plane.bits)
		err := cut.layer(k, s.plane, s)
		r.packed[k] = pack(s.plane)
		return err
	})
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(r.packed, func(l *packed) bool { return len(l.words) > 0 || slices.Max(l.full) > 0 }) {
		return nil, fmt.Errorf("no pixel is solid: the mesh is turned inside out, or thinner than a pixel of %g mm everywhere", grid.Pixel)
	}
	return r, nil
}

// extentOf gives the box of the vertices that triangles use.
func extentOf(vertices [][3]float32, triangles [][3]uint32) (lo, hi [3]float64, err error) {
	if len(triangles) == 0 {
		return lo, hi, fmt.Errorf("a mesh without triangles has no layers")
	}
	for c := range 3 {
		lo[c], hi[c] = math.Inf(1), math.Inf(-1)
	}
	for i, t := range triangles {
		for _, v := range t {
			if int64(v) >= int64(len(vertices)) {
				return lo, hi, fmt.Errorf("triangle %d names vertex %d of %d", i, v, len(vertices))
			}
			for c, x := range vertices[v] {
				f := float64(x)
				if math.IsNaN(f) || math.IsInf(f, 0) {
					return lo, hi, fmt.Errorf("vertex %d has a coordinate that is not finite: %v", v, vertices[v])
				}
				lo[c], hi[c] = min(lo[c], f), max(hi[c], f)
			}
		}
	}
	return lo, hi, nil
}

// axis is a line of n samples, in the middle of steps that begin at origin.
type axis struct {
	origin, step float64 // mm
	n            int
}

// axes lays the samples over a box.
func (g Grid) axes(lo, hi [3]float64) (axes [3]axis, err error) {
	for _, step := range []float64{g.Pixel, g.Layer} {
		if !(step > 0) || math.IsInf(step, 1) {
			return axes, fmt.Errorf("a pixel of %g mm and a layer of %g mm: both must be more than 0", g.Pixel, g.Layer)
		}
	}
	first := [3]float64{math.Floor(lo[0] / g.Pixel), math.Floor(lo[1] / g.Pixel), 0}
	number := [3]float64{
		math.Floor(hi[0]/g.Pixel) - first[0] + 1,
		math.Floor(hi[1]/g.Pixel) - first[1] + 1,
		math.Floor((hi[2]-lo[2])/g.Layer + 0.5),
	}
	for c := range 3 {
		if !(number[c] <= maxSamples) {
			return axes, fmt.Errorf("a raster of %.0f x %.0f pixels in %.0f layers is too fine: at most %d each way",
				number[0], number[1], number[2], maxSamples)
		}
	}
	if number[2] < 1 {
		return axes, fmt.Errorf("the solid is %g mm high, less than half a layer of %g mm", hi[2]-lo[2], g.Layer)
	}
	axes[0] = axis{origin: first[0] * g.Pixel, step: g.Pixel, n: int(number[0])}
	axes[1] = axis{origin: first[1] * g.Pixel, step: g.Pixel, n: int(number[1])}
	axes[2] = axis{origin: lo[2], step: g.Layer, n: int(number[2])}
	return axes, nil
}

// centre gives sample i, mm.
func (a axis) centre(i int) float64 { return a.origin + float64((float64(i)+0.5)*a.step) }

// after gives the first sample above x, n where there is none. The samples of
// the half-open interval that has x below and y above, y included, are then
// after(x) .. after(y)-1.
func (a axis) after(x float64) int {
	i := int(min(max(math.Floor((x-a.origin)/a.step+0.5), 0), float64(a.n)))
	for i > 0 && a.centre(i-1) > x {
		i--
	}
	for i < a.n && a.centre(i) <= x {
		i++
	}
	return i
}

// cutter knows which triangles cut which layer: those of layer k are
// list[start[k]:start[k+1]], in their own order.
type cutter struct {
	vertices  [][3]float32
	triangles [][3]uint32
	axes      [3]axis
	start     []int
	list      []uint32
	most      int // triangles that cut one layer, at most
}

// span gives the layers that triangle i cuts, from .. to-1.
func (c *cutter) span(i int) (from, to int) {
	t := c.triangles[i]
	x, y, z := c.vertices[t[0]][2], c.vertices[t[1]][2], c.vertices[t[2]][2]
	return c.axes[2].after(float64(min(x, y, z))), c.axes[2].after(float64(max(x, y, z)))
}

// count sets start and most.
func (c *cutter) count() {
	change := make([]int, len(c.start))
	for i := range c.triangles {
		from, to := c.span(i)
		change[from]++
		change[to]--
	}
	cuts := 0
	for k := range len(c.start) - 1 {
		cuts += change[k]
		c.start[k+1] = c.start[k] + cuts
		c.most = max(c.most, cuts)
	}
}

// assign sets list.
func (c *cutter) assign() {
	c.list = make([]uint32, c.start[len(c.start)-1])
	free := slices.Clone(c.start)
	for i := range c.triangles {
		for k, to := c.span(i); k < to; k++ {
			c.list[free[k]] = uint32(i)
			free[k]++
		}
	}
}

// segment is where a triangle meets the plane of a layer, from its end of lower
// y to that of higher y, mm. It crosses the rows from .. to-1.
type segment struct {
	x, y, dx, dy float64
	from, to     int32
	turn         int32 // +1 where one enters the solid by crossing it towards +x, else -1
}

// bytesPerSegment is what a sweep holds for one segment: itself, its place among
// the active ones, its crossing, and that room grows by up to a half too much.
const bytesPerSegment = 1.5 * (48 + 48 + 16)

// crossing is where a segment crosses the centres of a row.
type crossing struct {
	x    float64 // mm
	turn int32
}

// sweep is a worker's room, used again for each layer.
type sweep struct {
	segments, active []segment
	crossings        []crossing
	plane            plane
}

// layer fills the bits of layer k.
func (c *cutter) layer(k int, p plane, s *sweep) error {
	height := c.axes[2].centre(k)
	s.segments = s.segments[:0]
	for _, i := range c.list[c.start[k]:c.start[k+1]] {
		if g := c.segment(int(i), height); g.from < g.to {
			s.segments = append(s.segments, g)
		}
	}
	slices.SortStableFunc(s.segments, func(a, b segment) int { return cmp.Compare(a.from, b.from) })

	s.active = s.active[:0]
	waiting := s.segments
	for j := range p.ny {
		s.active = slices.DeleteFunc(s.active, func(g segment) bool { return int(g.to) <= j })
		for len(waiting) > 0 && int(waiting[0].from) == j {
			s.active = append(s.active, waiting[0])
			waiting = waiting[1:]
		}
		if len(s.active) == 0 {
			continue
		}
		y := c.axes[1].centre(j)
		s.crossings = s.crossings[:0]
		for _, g := range s.active {
			x := g.x + float64((y-g.y)/g.dy*g.dx)
			s.crossings = append(s.crossings, crossing{x: x, turn: g.turn})
		}
		slices.SortFunc(s.crossings, func(a, b crossing) int { return cmp.Compare(a.x, b.x) })
		if winds := c.fillRow(p.row(j), s.crossings); winds != 0 {
			return fmt.Errorf("the mesh is not closed: at y %.3f, z %.3f mm a line that enters it does not leave it", y, height)
		}
	}
	return nil
}

// fillRow sets the bits where the surface winds around the samples, and gives
// how often it still does past the last crossing.
func (c *cutter) fillRow(row []uint64, crossings []crossing) (winds int32) {
	from := 0
	for _, x := range crossings {
		to := c.axes[0].after(x.x)
		if winds > 0 && from < to {
			fill(row, from, to)
		}
		from = to
		winds += x.turn
	}
	return winds
}

// segment gives where triangle i meets the height. One of its edges rises
// through the height and one sinks through it; seen from above, the way from
// the sinking edge to the rising one has the solid on its left.
func (c *cutter) segment(i int, height float64) segment {
	var rise, sink [2]float64
	t := c.triangles[i]
	for e := range 3 {
		p, q := c.vertices[t[e]], c.vertices[t[(e+1)%3]]
		switch below, beyond := float64(p[2]) < height, float64(q[2]) < height; {
		case below && !beyond:
			rise = onEdge(p, q, height)
		case beyond && !below:
			sink = onEdge(q, p, height)
		}
	}
	low, high, turn := sink, rise, int32(-1)
	if rise[1] < sink[1] {
		low, high, turn = rise, sink, 1
	}
	return segment{
		x: low[0], y: low[1], dx: high[0] - low[0], dy: high[1] - low[1],
		from: int32(c.axes[1].after(low[1])), to: int32(c.axes[1].after(high[1])),
		turn: turn,
	}
}

// onEdge gives x and y where the edge from p, below the height, to q, at or
// above it, passes the height. Both triangles of an edge ask it alike.
func onEdge(p, q [3]float32, height float64) [2]float64 {
	z := float64(p[2])
	t := (height - z) / (float64(q[2]) - z)
	x, y := float64(p[0]), float64(p[1])
	return [2]float64{x + float64(t*(float64(q[0])-x)), y + float64(t*(float64(q[1])-y))}
}
