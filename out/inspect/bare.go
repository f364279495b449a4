package inspect

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/tree"
	"socle/sdf/workers"
)

// How bareness is measured, mm: common practice, no source.
const (
	bareStep   = 0.1  // between the heights
	bareWindow = 2.0  // side of a window
	barePitch  = 1.0  // between the middles of windows
	bareRough  = 0.02 // root mean square about its best plane: a window of no more is bare
	bareEdge   = 1.5  // at the edge of a top that is not looked at
)

// widestTop is the longest side of a top that can be looked at, mm.
const widestTop = 2000

// Top is what of a solid is seen from above.
type Top struct {
	Outline []r2.Vec // of the foot under it: its corners, convex, anticlockwise, mm
	Taper   float64  // how far the top ends within that, mm
	Smooth  []Disc   // meant to be smooth: not looked at
	Most    float64  // the share that may be bare without being told
}

// Disc is a round patch of the plan, mm.
type Disc struct {
	At    r2.Vec // its middle
	Round float64
}

// Bareness is how much of a top is dead flat.
type Bareness struct {
	Share   float64 `json:"share"`   // of the windows
	Windows int     `json:"windows"` // how many were looked at
}

// Bare tells how much of a top is dead flat: of the windows of 2 x 2 mm, one a mm, that lie
// on it at least 1.5 mm from its outline and outside its smooth discs, those are bare
// whose heights from above, every 0.1 mm, lie within 0.02 mm (root mean square) of their
// best plane. Where there is nothing the height is that of the plate. It gives a BareTop
// where more than top.Most are bare, at the middle of the largest bare patch.
//
// It is an error where the outline is not finite, or wider than 2 m.
func Bare(ctx context.Context, x *tree.Index, top Top) (Bareness, []Finding, error) {
	if len(top.Outline) < 3 {
		return Bareness{}, nil, nil
	}
	lo, hi := top.Outline[0], top.Outline[0]
	for _, p := range top.Outline {
		if !tree.IsFinite(p) {
			return Bareness{}, nil, fmt.Errorf("a top with a corner at %v cannot be looked at", p)
		}
		lo, hi = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	if max(hi.X-lo.X, hi.Y-lo.Y) > widestTop {
		return Bareness{}, nil, fmt.Errorf("a top from %v to %v cannot be looked at: it is over %d mm wide", lo, hi, widestTop)
	}
	w := windowsOf(top, lo, hi)
	h := seenFromAbove(x, w)
	var b Bareness
	err := workers.ForEach(ctx, w.ny, func(_, j int) error {
		for i := range w.nx {
			if w.state[j*w.nx+i] == rough && h.roughness(i, j) <= bareRough {
				w.state[j*w.nx+i] = bare
			}
		}
		return nil
	})
	if err != nil {
		return Bareness{}, nil, err
	}
	flat := 0
	for _, s := range w.state {
		if s != unseen {
			b.Windows++
		}
		if s == bare {
			flat++
		}
	}
	if b.Windows == 0 {
		return b, nil, nil
	}
	b.Share = float64(flat) / float64(b.Windows)
	if b.Share <= top.Most {
		return b, nil, nil
	}
	middle, size := w.largestPatch()
	at := w.middle(middle[0], middle[1])
	return b, []Finding{{
		Kind: BareTop, At: [3]float64{at.X, at.Y, h.level(middle[0], middle[1])}, Size: [3]float64{size.X, size.Y, 0},
		Value: b.Share, Limit: top.Most,
	}}, nil
}

// windowState is what is known of a window.
type windowState uint8

const (
	unseen windowState = iota // not looked at
	rough                     // or not held against the limit yet
	bare
)

// windows lie on a square lattice through the origin, row by row.
type windows struct {
	first  [2]int // the window of the first column and row, in pitches from the origin
	nx, ny int
	state  []windowState
}

// middle is that of window i of row j.
func (w *windows) middle(i, j int) r2.Vec {
	return r2.Vec{X: barePitch * float64(w.first[0]+i), Y: barePitch * float64(w.first[1]+j)}
}

// windowsOf finds the windows of a top between two corners that are looked at.
func windowsOf(top Top, lo, hi r2.Vec) *windows {
	from := func(v float64) int { return int(math.Ceil(v / barePitch)) }
	w := &windows{first: [2]int{from(lo.X), from(lo.Y)}}
	w.nx, w.ny = max(0, from(hi.X)-w.first[0]), max(0, from(hi.Y)-w.first[1])
	w.state = make([]windowState, w.nx*w.ny)
	const half = bareWindow / 2
	for j := range w.ny {
		for i := range w.nx {
			at := w.middle(i, j)
			inside := true
			for n, a := range top.Outline {
				side := r2.Sub(top.Outline[(n+1)%len(top.Outline)], a)
				long := r2.Norm(side)
				if long == 0 {
					continue
				}
				// Of the corner of the window that is nearest to the side.
				in := (r2.Cross(side, r2.Sub(at, a)) - half*(math.Abs(side.X)+math.Abs(side.Y))) / long
				if in < top.Taper+bareEdge-1e-9 {
					inside = false
					break
				}
			}
			for _, d := range top.Smooth {
				off := r2.Sub(at, d.At)
				near := r2.Vec{X: math.Max(0, math.Abs(off.X)-half), Y: math.Max(0, math.Abs(off.Y)-half)}
				inside = inside && r2.Norm(near) >= d.Round/2-1e-9
			}
			if inside {
				w.state[j*w.nx+i] = rough
			}
		}
	}
	return w
}

// largestPatch gives the window of the largest patch of bare windows, side by side,
// that is nearest to its middle, the first of equals, and the sides of the patch, mm.
func (w *windows) largestPatch() (middle [2]int, size r2.Vec) {
	seen := make([]bool, len(w.state))
	var best, stack []int
	for start, s := range w.state {
		if s != bare || seen[start] {
			continue
		}
		seen[start] = true
		stack = append(stack[:0], start)
		var patch []int
		for len(stack) > 0 {
			k := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			patch = append(patch, k)
			i, j := k%w.nx, k/w.nx
			for _, n := range [4][2]int{{i - 1, j}, {i + 1, j}, {i, j - 1}, {i, j + 1}} {
				if n[0] < 0 || n[0] >= w.nx || n[1] < 0 || n[1] >= w.ny {
					continue
				}
				if next := n[1]*w.nx + n[0]; w.state[next] == bare && !seen[next] {
					seen[next] = true
					stack = append(stack, next)
				}
			}
		}
		if len(patch) > len(best) {
			best = patch
		}
	}
	var sum [2]float64
	lo, hi := [2]int{w.nx, w.ny}, [2]int{-1, -1}
	for _, k := range best {
		for c, v := range [2]int{k % w.nx, k / w.nx} {
			sum[c] += float64(v)
			lo[c], hi[c] = min(lo[c], v), max(hi[c], v)
		}
	}
	nearest := math.Inf(1)
	for _, k := range best {
		i, j := k%w.nx, k/w.nx
		if d := math.Hypot(float64(i)-sum[0]/float64(len(best)), float64(j)-sum[1]/float64(len(best))); d < nearest {
			nearest, middle = d, [2]int{i, j}
		}
	}
	return middle, r2.Vec{X: barePitch*float64(hi[0]-lo[0]) + bareWindow, Y: barePitch*float64(hi[1]-lo[1]) + bareWindow}
}

const (
	stepsOfWindow = 20 // bareWindow in bareStep
	stepsOfPitch  = 10 // barePitch
)

// heightmap is the heights of a solid from above, at the middles of square cells.
type heightmap struct {
	from   r2.Vec // the corner of the first cell, mm
	nx, ny int
	z      []float32 // row by row, mm
}

// seenFromAbove draws the heights under all windows, triangle by triangle.
func seenFromAbove(x *tree.Index, w *windows) *heightmap {
	h := &heightmap{from: r2.Sub(w.middle(0, 0), r2.Vec{X: bareWindow / 2, Y: bareWindow / 2})}
	if w.nx > 0 && w.ny > 0 {
		h.nx, h.ny = stepsOfWindow+(w.nx-1)*stepsOfPitch, stepsOfWindow+(w.ny-1)*stepsOfPitch
	}
	h.z = make([]float32, h.nx*h.ny)
	for i := range x.Triangles {
		h.draw(x, i)
	}
	return h
}

// draw raises the cells that a triangle, seen from above, lies over the middle of.
func (h *heightmap) draw(x *tree.Index, triangle int) {
	a, b, c := x.Corners(triangle)
	// Its corners in steps from the middle of the first cell.
	var p [3]r2.Vec
	for n, v := range [3]r2.Vec{{X: a.X, Y: a.Y}, {X: b.X, Y: b.Y}, {X: c.X, Y: c.Y}} {
		p[n] = r2.Sub(r2.Scale(1/bareStep, r2.Sub(v, h.from)), r2.Vec{X: 0.5, Y: 0.5})
	}
	area := r2.Cross(r2.Sub(p[1], p[0]), r2.Sub(p[2], p[0]))
	if area <= 0 {
		return // upright, or an underside
	}
	const play = 1e-9 // steps: no cell falls between two triangles
	top := max(a.Z, b.Z, c.Z)
	du, dv := (b.Z-a.Z)/area, (c.Z-a.Z)/area
	for j := max(0, ceil(min(p[0].Y, p[1].Y, p[2].Y)-play)); j < h.ny && float64(j) <= max(p[0].Y, p[1].Y, p[2].Y)+play; j++ {
		// The stretch of the row between the sides that it crosses.
		lo, hi := math.Inf(1), math.Inf(-1)
		for n := range p {
			q, r := p[n], p[(n+1)%3]
			if q.Y > r.Y {
				q, r = r, q
			}
			y := float64(j)
			if y < q.Y-play || y > r.Y+play {
				continue
			}
			if r.Y-q.Y <= play {
				lo, hi = min(lo, q.X, r.X), max(hi, q.X, r.X)
				continue
			}
			at := q.X + (r.X-q.X)*min(max((y-q.Y)/(r.Y-q.Y), 0), 1)
			lo, hi = min(lo, at), max(hi, at)
		}
		for i := max(0, ceil(lo-play)); i < h.nx && float64(i) <= hi+play; i++ {
			d := r2.Sub(r2.Vec{X: float64(i), Y: float64(j)}, p[0])
			z := a.Z + du*r2.Cross(d, r2.Sub(p[2], p[0])) + dv*r2.Cross(r2.Sub(p[1], p[0]), d)
			k := j*h.nx + i
			h.z[k] = max(h.z[k], float32(min(z, top)))
		}
	}
}

// ceil is the whole number not under v; those too large for an int are far outside any
// heightmap.
func ceil(v float64) int { return int(math.Ceil(min(max(v, -1e9), 1e9))) }

// roughness is how far the heights of window i of row j lie off their best plane, root
// mean square, mm. Since the cells lie evenly about the middle, the sums of the normal
// equations fall apart, and the plane takes its share of the squares by each.
func (h *heightmap) roughness(i, j int) float64 {
	const n = float64(stepsOfWindow)
	const spread = n * n * (n*n - 1) / 12 // of either coordinate, squared, in steps
	first := float64(h.z[j*stepsOfPitch*h.nx+i*stepsOfPitch])
	var sum, sumX, sumY, squares float64
	for v := range stepsOfWindow {
		at := (j*stepsOfPitch+v)*h.nx + i*stepsOfPitch
		for u, z := range h.z[at : at+stepsOfWindow] {
			d := float64(z) - first
			sum += d
			sumX += d * (float64(u) - (n-1)/2)
			sumY += d * (float64(v) - (n-1)/2)
			squares += d * d
		}
	}
	left := squares - sum*sum/(n*n) - sumX*sumX/spread - sumY*sumY/spread
	return math.Sqrt(max(left, 0) / (n * n))
}

// level is the mean height of window i of row j, mm.
func (h *heightmap) level(i, j int) float64 {
	sum := 0.0
	for v := range stepsOfWindow {
		at := (j*stepsOfPitch+v)*h.nx + i*stepsOfPitch
		for _, z := range h.z[at : at+stepsOfWindow] {
			sum += float64(z)
		}
	}
	return sum / float64(stepsOfWindow*stepsOfWindow)
}
