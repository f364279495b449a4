package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// subSteps is the grid, per sample, that corners are rounded to, so that the
// side of an edge on which a sample lies is decided in whole numbers: triangles
// that share an edge leave no gap and no sample to both.
const subSteps = 256

// offGrid bounds the places, in samples, for which whole numbers do not run
// over; a triangle that reaches beyond is not drawn.
const offGrid = 1 << 20

// dot is a projected point: the place in 1/subSteps of a sample and the nearness.
type dot struct {
	x, y int32
	near float32
}

// away marks a point that is off the grid.
const away = math.MinInt32

func toDot(x, y, near float64) dot {
	if !(math.Abs(x) < offGrid && math.Abs(y) < offGrid) {
		return dot{x: away}
	}
	return dot{int32(math.Floor(x*subSteps + 0.5)), int32(math.Floor(y*subSteps + 0.5)), float32(near)}
}

// layer is a band of rows y0 .. y1-1 of samples, of the given width. near holds
// for each the greatest nearness so far and id, unless nil, the triangle that
// has it.
type layer struct {
	width, y0, y1 int
	near          []float32
	id            []int32
	normals       []r3.Vec // of the triangles: only those are drawn that face toward; nil: all
	toward        r3.Vec
}

// nothing is the nearness where nothing was drawn.
var nothing = float32(math.Inf(-1))

func (l *layer) clear() {
	for i := range l.near {
		l.near[i] = nothing
	}
	for i := range l.id {
		l.id[i] = -1
	}
}

// draw puts triangles in: those of a list of numbers, or all where it is nil. A sample is covered when its middle lies inside;
// on an edge it belongs to the triangle below or to the right of it. Of two
// equally near the first stays. It gives the number of samples written.
func (l *layer) draw(dots []dot, corners [][3]int32, which []int32) (written int) {
	n := len(corners)
	if which != nil {
		n = len(which)
	}
	for k := range n {
		i := k
		if which != nil {
			i = int(which[k])
		}
		t := corners[i]
		if l.normals != nil && l.normals[i].X*l.toward.X+l.normals[i].Y*l.toward.Y+l.normals[i].Z*l.toward.Z <= 0 {
			continue
		}
		a, b, c := dots[t[0]], dots[t[1]], dots[t[2]]
		if a.x == away || b.x == away || c.x == away {
			continue
		}
		ylo, yhi := rows(min(a.y, b.y, c.y), max(a.y, b.y, c.y))
		ylo, yhi = max(ylo, l.y0), min(yhi, l.y1-1)
		if ylo > yhi {
			continue
		}
		xlo, xhi := rows(min(a.x, b.x, c.x), max(a.x, b.x, c.x))
		xlo, xhi = max(xlo, 0), min(xhi, l.width-1)
		if xlo > xhi {
			continue
		}
		abx, aby := int64(b.x-a.x), int64(b.y-a.y)
		acx, acy := int64(c.x-a.x), int64(c.y-a.y)
		area := abx*acy - aby*acx
		if area == 0 || l.normals != nil && area < 0 {
			continue
		}
		inv := 1 / float64(area)
		db, dc := float64(b.near-a.near), float64(c.near-a.near)
		slopeX := (db*float64(acy) - dc*float64(aby)) * inv * subSteps // nearness per sample
		slopeY := (dc*float64(abx) - db*float64(acx)) * inv * subSteps
		least, most := min(a.near, b.near, c.near), max(a.near, b.near, c.near)
		if area < 0 { // turned round for the test only
			b, c = c, b
		}
		e0, e1, e2 := newEdge(a, b), newEdge(b, c), newEdge(c, a)
		px, py := int64(xlo)*subSteps+subSteps/2, int64(ylo)*subSteps+subSteps/2
		ax, ay := float64(a.x)/subSteps, float64(a.y)/subSteps
		for y := ylo; y <= yhi; y++ {
			w0, w1, w2 := e0.at(px, py), e1.at(px, py), e2.at(px, py)
			row := (y - l.y0) * l.width
			nearRow := float64(a.near) + (float64(y)+0.5-ay)*slopeY + (0.5-ax)*slopeX
			inside := false
			for x := xlo; x <= xhi; x++ {
				if w0|w1|w2 >= 0 {
					inside = true
					near := max(least, min(most, float32(nearRow+float64(x)*slopeX)))
					if near > l.near[row+x] {
						l.near[row+x] = near
						if l.id != nil {
							l.id[row+x] = int32(i)
						}
						written++
					}
				} else if inside {
					break
				}
				w0, w1, w2 = w0+e0.stepX, w1+e1.stepX, w2+e2.stepX
			}
			py += subSteps
		}
	}
	return written
}

// inBands lists the triangles that cover a row's middle in each of a number of bands of h
// rows: by a block of triangles, then by the band, in order; none of the lists is nil.
func inBands(dots []dot, corners [][3]int32, h, bands int) [][][]int32 {
	const block = 1 << 15
	blocks := make([][][]int32, (len(corners)+block-1)/block)
	forEach(len(blocks), func(k int) {
		lists := make([][]int32, bands)
		for b := range lists {
			lists[b] = []int32{}
		}
		for i := k * block; i < min((k+1)*block, len(corners)); i++ {
			t := &corners[i]
			a, b, c := dots[t[0]].y, dots[t[1]].y, dots[t[2]].y
			lo, hi := rows(min(a, b, c), max(a, b, c))
			lo, hi = max(lo, 0), min(hi, h-1)
			if lo > hi {
				continue
			}
			for n := lo * bands / h; n < bands && h*n/bands <= hi; n++ {
				lists[n] = append(lists[n], int32(i))
			}
		}
		blocks[k] = lists
	})
	return blocks
}

// rows gives the first and last sample whose middle lies in lo .. hi.
func rows(lo, hi int32) (first, last int) {
	const half = subSteps / 2
	return (int(lo) - half + subSteps - 1) >> 8, (int(hi) - half) >> 8
}

// edge is the signed double area of a point with an edge: not negative on the
// inner side.
type edge struct {
	x, y   int64
	dx, dy int64
	tie    int64 // -1 where points on the edge are left to the neighbour
	stepX  int64
}

func newEdge(p, q dot) edge {
	e := edge{x: int64(p.x), y: int64(p.y), dx: int64(q.x) - int64(p.x), dy: int64(q.y) - int64(p.y)}
	e.stepX = -e.dy * subSteps
	if e.dy > 0 || e.dy == 0 && e.dx < 0 {
		e.tie = -1
	}
	return e
}

func (e *edge) at(x, y int64) int64 { return e.dx*(y-e.y) - e.dy*(x-e.x) + e.tie }
