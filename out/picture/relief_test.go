package picture

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// carved is a slab of 25 by 25 mm, 4 tall, with its top lowered as told, in steps of
// 0.05 mm.
func carved(lowered func(x, y float64) float64) Mesh {
	const n, step = 500, 0.05
	m := block([3]float32{0, 0, 0}, [3]float32{25, 25, 3.8})
	base := uint32(len(m.Vertices))
	for j := range n + 1 {
		for i := range n + 1 {
			x, y := float64(i)*step, float64(j)*step
			m.Vertices = append(m.Vertices, [3]float32{float32(x), float32(y), float32(4 - lowered(x, y))})
		}
	}
	for j := range uint32(n) {
		for i := range uint32(n) {
			a := base + j*(n+1) + i
			b, c, d := a+1, a+n+2, a+n+1
			m.Triangles = append(m.Triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	return m
}

// On a base of 25 mm, seen whole, joints 0.3 mm wide and 0.1 mm deep are darker than
// the stones whichever way they run, and waves as deep have light and dark sides: by more
// than twice what is just seen, about 2 of CIE L*.
func TestFineReliefShows(t *testing.T) {
	joint := func(x float64) bool { return math.Mod(x+0.15, 2) < 0.3 }
	m := carved(func(x, y float64) float64 {
		switch {
		case y > 12.5:
			return 0.05 * (1 - math.Cos(2*math.Pi*x/1.6)) // 0.1 mm from crest to trough
		case joint(x) || joint(y):
			return 0.1
		}
		return 0
	})
	o := Options{Width: 1000, Height: 750, View: ThreeQuarter}.tidy()
	s := NewSubject(m)
	survey, img := s.Survey(o), s.Draw(o)
	light := func(x, y float64) float64 {
		w := survey.s.locate(r3.Vec{X: x, Y: y, Z: 3.95})
		require.True(t, w.in)
		return meanLab(img, image.Rect(0, 0, 2, 2).Add(image.Pt(int(w.x), int(w.y))))[0]
	}
	mean := func(dx, dy float64) (sum float64) {
		for i := range 8 {
			for j := range 4 {
				sum += light(4+2*float64(i)+dx, 4+2*float64(j)-2+dy) / 32
			}
		}
		return sum
	}
	stone := mean(1, 1)
	require.Greater(t, stone-mean(0, 1), 4.0, "joints that run away from the eye")
	require.Greater(t, stone-mean(1, 0), 4.0, "joints that run across")
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range 32 {
		var l float64
		for k := range 8 {
			l += light(6.4+float64(i)*0.05, 14+float64(k)) / 8
		}
		lo, hi = min(lo, l), max(hi, l)
	}
	require.Greater(t, hi-lo, 4.0, "waves")
}

// relief asks as far as stones and joints reach on the print, whatever the scale of the
// picture: nearer, it looks farther on the picture.
func TestReliefIsOfThePrint(t *testing.T) {
	// A step of 0.5 mm across the picture, seen from above: how far from its foot it
	// darkens the ground below.
	step := []Mesh{block([3]float32{-5, -5, 0}, [3]float32{5, 5, 1}), block([3]float32{0, -5, 1}, [3]float32{5, 5, 1.5})}
	f := gather(step, creaseAngle)
	reach := func(perPixel float64) float64 {
		o := Options{Width: 600, Height: 600, View: Top, MMPerPixel: perPixel}.tidy()
		s, _ := see(o, f)
		x, y, _ := s.cam.project(r3.Vec{X: 0, Y: 0, Z: 1})
		for k := 1; ; k++ {
			hollow, _ := s.relief(int(x)-k, int(y), r3.Vec{Z: 1})
			if hollow > 0.99 {
				return float64(k) / s.cam.scale
			}
		}
	}
	far := reach(0.02)
	require.InDelta(t, reliefReaches[len(reliefReaches)-1], far, 0.4)
	require.InDelta(t, far, reach(0.01), 0.1)
	require.InDelta(t, far, reach(0.04), 0.1)
	// In its corner a wall hides about half of the ways, in the open none.
	o := Options{Width: 600, Height: 600, View: Top, MMPerPixel: 0.02}.tidy()
	s, _ := see(o, f)
	x, y, _ := s.cam.project(r3.Vec{X: 0, Y: 0, Z: 1})
	hollow, _ := s.relief(int(x)-3, int(y), r3.Vec{Z: 1})
	require.Less(t, hollow, 0.8)
	open, ridge := s.relief(int(x)-150, int(y), r3.Vec{Z: 1})
	require.Equal(t, 1.0, open)
	require.Zero(t, ridge)
	_, ridge = s.relief(int(x)+2, int(y), r3.Vec{Z: 1})
	require.Greater(t, ridge, 0.1, "the edge above")
}

// The shadow of what is high up is softer than that of what is near: by the key's own
// size.
func TestShadowsSoftenWithDistance(t *testing.T) {
	width := func(gap float32) float64 {
		plate := block([3]float32{-20, -20, -1}, [3]float32{20, 20, 0})
		roof := block([3]float32{-4, -4, gap}, [3]float32{4, 4, gap + 1})
		r, _ := NewSubject(plate, roof).light(Options{Width: 1000, Height: 1000, Supersample: 2, View: ThreeQuarter})
		// Along the ground below the roof's rim, away from the light.
		dir := r.keyDirection
		along := unit(r3.Vec{X: -dir.X, Y: -dir.Y})
		var from, to float64
		for d := 0.0; d < 16; d += 0.01 {
			lit := r.keyAt(r3.Scale(d, along), r3.Vec{Z: 1})
			if lit < 0.1 {
				from = d
			}
			if to == 0 && from > 0 && lit > 0.9 {
				to = d
			}
		}
		return to - from
	}
	near, far := width(0.5), width(5)
	require.Positive(t, near)
	require.Greater(t, far, 2*near)
	require.Less(t, far, 3.0)
}
