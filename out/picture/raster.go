package picture

import "math"

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
}

// nothing is the nearness where nothing was drawn.
var nothing = float32(math.Inf(-1))

func (l *layer) clear() {
	flood(l.near, nothing)
	flood(l.id, -1)
}

// flood gives every place the same value.
func flood[T any](all []T, v T) {
	if len(all) == 0 {
		return
	}
	all[0] = v
	for n := 1; n < len(all); n *= 2 {
		copy(all[n:], all[:n])
	}
}

// facing says which triangles are drawn, by the way that they run on the picture.
type facing int

const (
	anyWay    facing = iota
	clockwise        // as seen with y down
	counterClockwise
)

// paint puts triangles in, the first of them by a number. A sample is covered when its
// middle lies inside; on an edge it belongs to the triangle below or to the right of it. Of
// two equally near the first stays. It gives the number of samples written.
func paint[I uint8 | int32](l *layer, dots []dot, corners [][3]I, first int32, only facing) (written int) {
	for i, t := range corners {
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
		if area == 0 || only == clockwise && area < 0 || only == counterClockwise && area > 0 {
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
		row0, row1, row2 := e0.at(px, py), e1.at(px, py), e2.at(px, py)
		nearRow := float64(a.near) + (float64(ylo)+0.5-float64(a.y)/subSteps)*slopeY + (float64(xlo)+0.5-float64(a.x)/subSteps)*slopeX
		for y := ylo; y <= yhi; y++ {
			at := (y-l.y0)*l.width + xlo
			row := l.near[at : at+xhi-xlo+1]
			w0, w1, w2 := row0, row1, row2
			x := 0
			for ; x < len(row) && w0|w1|w2 < 0; x++ {
				w0, w1, w2 = w0+e0.stepX, w1+e1.stepX, w2+e2.stepX
			}
			for ; x < len(row) && w0|w1|w2 >= 0; x++ {
				near := float32(nearRow + float64(x)*slopeX)
				if near < least {
					near = least
				} else if near > most {
					near = most
				}
				if near > row[x] {
					row[x] = near
					if l.id != nil {
						l.id[at+x] = first + int32(i)
					}
					written++
				}
				w0, w1, w2 = w0+e0.stepX, w1+e1.stepX, w2+e2.stepX
			}
			row0, row1, row2 = row0+e0.stepY, row1+e1.stepY, row2+e2.stepY
			nearRow += slopeY
		}
	}
	return written
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
	// what one sample to the right adds, and one down
	stepX, stepY int64
}

func newEdge(p, q dot) edge {
	e := edge{x: int64(p.x), y: int64(p.y), dx: int64(q.x) - int64(p.x), dy: int64(q.y) - int64(p.y)}
	e.stepX, e.stepY = -e.dy*subSteps, e.dx*subSteps
	if e.dy > 0 || e.dy == 0 && e.dx < 0 {
		e.tie = -1
	}
	return e
}

func (e *edge) at(x, y int64) int64 { return e.dx*(y-e.y) - e.dy*(x-e.x) + e.tie }
