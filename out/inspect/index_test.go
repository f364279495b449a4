package inspect

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func indexed(t require.TestingT, s shape) *Index {
	x, err := NewIndex(context.Background(), s.vertices, s.triangles)
	require.NoError(t, err)
	return x
}

// moved is the shape after f.
func moved(s shape, f func(r3.Vec) r3.Vec) shape {
	m := shape{triangles: s.triangles}
	for _, v := range s.vertices {
		p := f(vec(v))
		m.vertices = append(m.vertices, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
	}
	return m
}

// unit draws a direction, often along an axis or halfway between two.
func unit() *rapid.Generator[r3.Vec] {
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		side := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 0, 1}))
		v := r3.Vec{X: side.Draw(t, "x"), Y: side.Draw(t, "y"), Z: side.Draw(t, "z")}
		if r3.Norm(v) < 0.01 {
			return r3.Vec{Z: 1}
		}
		return r3.Unit(v)
	})
}

// clutter draws a solid with many sizes of triangle.
func clutter() *rapid.Generator[shape] {
	return rapid.Custom(func(t *rapid.T) shape {
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			return rough(10, 2, rapid.IntRange(2, 9).Draw(t, "n"))
		case 1:
			turn := r3.NewRotation(rapid.Float64Range(0, 6).Draw(t, "angle"), unit().Draw(t, "about"))
			s := frustum(0, 0, 3, rapid.Float64Range(0, 3).Draw(t, "above"), 5, rapid.IntRange(3, 40).Draw(t, "n"))
			return together(moved(s, turn.Rotate), box([3]float32{4, 4, 4}, [3]float32{5, 5, 5}))
		default:
			var s shape
			for range rapid.IntRange(1, 20).Draw(t, "boxes") {
				x, y, z := rapid.IntRange(-5, 5).Draw(t, "x"), rapid.IntRange(-5, 5).Draw(t, "y"), rapid.IntRange(-5, 5).Draw(t, "z")
				lo := [3]float32{float32(x), float32(y), float32(z)}
				s = together(s, box(lo, [3]float32{lo[0] + 1, lo[1] + 2, lo[2] + 1}))
			}
			return s
		}
	})
}

// spot draws a point: anywhere about the shape, or on a vertex or an edge of it.
func spot(s shape) *rapid.Generator[r3.Vec] {
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		side := rapid.Float64Range(-12, 12)
		if rapid.Bool().Draw(t, "anywhere") {
			return r3.Vec{X: side.Draw(t, "x"), Y: side.Draw(t, "y"), Z: side.Draw(t, "z")}
		}
		v := s.triangles[rapid.IntRange(0, len(s.triangles)-1).Draw(t, "triangle")]
		a, b := vec(s.vertices[v[0]]), vec(s.vertices[v[1]])
		u := rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "along")
		return r3.Add(r3.Scale(1-u, a), r3.Scale(u, b))
	})
}

func TestHitsAreThoseOfEveryTriangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clutter().Draw(t, "solid")
		x := indexed(t, s)
		from, dir := spot(s).Draw(t, "from"), unit().Draw(t, "dir")
		if rapid.Bool().Draw(t, "aimed") {
			if d := r3.Sub(spot(s).Draw(t, "at"), from); r3.Norm(d) > 0.01 {
				dir = r3.Unit(d)
			}
		}
		far := rapid.SampledFrom([]float64{0.5, 3, 100}).Draw(t, "far")
		r := x.ray(from, dir)
		var all []Crossing
		for i := range s.triangles {
			if d, out, ok := x.pierces(&r, i); ok && d > 0 && d <= far {
				all = append(all, Crossing{T: d, Triangle: i, Out: out})
			}
		}
		slices.SortStableFunc(all, func(a, b Crossing) int { return cmp.Compare(a.T, b.T) })
		require.Equal(t, all, x.Hits(from, dir, far))
		d, triangle, ok := x.Hit(from, dir, far)
		require.Equal(t, len(all) > 0, ok)
		if ok {
			require.Equal(t, all[0].T, d)
			require.Equal(t, all[0].Triangle, triangle)
		}
	})
}

// A line that starts on a vertex meets triangles there, or just does not, by how
// its start is rounded: the boxes must leave that to the triangles.
func TestHitsFromVertices(t *testing.T) {
	s := rough(10, 2, 5)
	x := indexed(t, s)
	for i, v := range s.vertices {
		for k := range 400 {
			a, b := float64(i*400+k)*2.4, math.Mod(float64(k)*math.Phi, 2)-1
			sin, cos := math.Sincos(a)
			dir := r3.Unit(r3.Vec{X: cos * math.Sqrt(1-b*b), Y: sin * math.Sqrt(1-b*b), Z: b})
			r := x.ray(vec(v), dir)
			n := 0
			for j := range s.triangles {
				if d, _, ok := x.pierces(&r, j); ok && d > 0 {
					n++
				}
			}
			require.Len(t, x.Hits(vec(v), dir, 100), n)
		}
	}
}

// A line from afar leaves a closed mesh as often as it enters it, through
// whatever edges and vertices it is aimed.
func TestEveryLineComesOutAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clutter().Draw(t, "solid")
		at, dir := spot(s).Draw(t, "at"), unit().Draw(t, "dir")
		in, out := 0, 0
		for _, c := range indexed(t, s).Hits(r3.Sub(at, r3.Scale(50, dir)), dir, 100) {
			if c.Out {
				out++
			} else {
				in++
			}
		}
		require.Equal(t, in, out)
	})
}

// Through the corners, edges and face diagonals of a box, and past them.
func TestHitsOfABox(t *testing.T) {
	x := indexed(t, box([3]float32{0, 0, 0}, [3]float32{2, 2, 2}))
	diagonal := r3.Unit(r3.Vec{X: 1, Y: 1, Z: 1})
	for _, c := range []struct {
		from, dir r3.Vec
		at        []float64
	}{
		{r3.Vec{X: 1, Y: 1, Z: -1}, r3.Vec{Z: 1}, []float64{1, 3}},   // on the diagonals of both faces
		{r3.Vec{X: 0.5, Y: 1, Z: 5}, r3.Vec{Z: -1}, []float64{3, 5}}, // through both faces
		{r3.Vec{X: -1, Y: -1, Z: -1}, diagonal, []float64{math.Sqrt(3), 3 * math.Sqrt(3)}},
		{r3.Vec{X: -1, Y: -1, Z: 0.5}, r3.Unit(r3.Vec{X: 1, Y: 1}), []float64{math.Sqrt2, 3 * math.Sqrt2}},
		{r3.Vec{X: 1, Y: 1, Z: 1}, r3.Vec{X: 1}, []float64{1}},
		{r3.Vec{X: 5, Y: 1, Z: 1}, r3.Vec{X: 1}, nil},
		{r3.Vec{X: -1, Y: 3, Z: 1}, r3.Vec{X: 1}, nil},
	} {
		hits := x.Hits(c.from, c.dir, 10)
		require.Len(t, hits, len(c.at), "from %v", c.from)
		for i, h := range hits {
			require.InDelta(t, c.at[i], h.T, 1e-12)
			require.Equal(t, i == len(c.at)-1, h.Out)
		}
	}
	_, _, ok := x.Hit(r3.Vec{X: 1, Y: 1, Z: -1}, r3.Vec{Z: 1}, 0.999)
	require.False(t, ok, "out of reach")
	_, _, ok = x.Hit(r3.Vec{X: 1, Y: 1, Z: -1}, r3.Vec{Z: 1}, 1)
	require.True(t, ok, "just in reach")
}

// nearestByEdges is written another way than nearestOn: the foot of the
// perpendicular where it is in the triangle, else the nearest of three edges.
func nearestByEdges(p, a, b, c r3.Vec) float64 {
	best := math.Inf(1)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	inside := r3.Norm(n) > 0
	for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		d := r3.Sub(e[1], e[0])
		u := 0.0
		if l := r3.Norm2(d); l > 0 {
			u = min(max(r3.Dot(r3.Sub(p, e[0]), d)/l, 0), 1)
		}
		best = min(best, r3.Norm(r3.Sub(p, r3.Add(e[0], r3.Scale(u, d)))))
		inside = inside && r3.Dot(r3.Cross(d, r3.Sub(p, e[0])), n) >= 0
	}
	if inside {
		best = min(best, math.Abs(r3.Dot(r3.Sub(p, a), r3.Unit(n))))
	}
	return best
}

func TestNearestIsThatOfEveryTriangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clutter().Draw(t, "solid")
		x := indexed(t, s)
		p := spot(s).Draw(t, "p")
		best := math.Inf(1)
		for i := range s.triangles {
			a, b, c := x.corners(i)
			best = min(best, nearestByEdges(p, a, b, c))
		}
		q, d, triangle, ok := x.Nearest(p, 100)
		require.True(t, ok)
		require.InDelta(t, best, d, 1e-9)
		require.InDelta(t, d, r3.Norm(r3.Sub(p, q)), 1e-12)
		a, b, c := x.corners(triangle)
		require.InDelta(t, 0, nearestByEdges(q, a, b, c), 1e-9)
		_, _, _, ok = x.Nearest(p, d*0.999-1e-9)
		require.False(t, ok)
	})
}

// A cone's tip, slope and foot: closed forms.
func TestNearestToACone(t *testing.T) {
	x := indexed(t, frustum(0, 0, 3, 0, 4, 720))
	q, d, _, ok := x.Nearest(r3.Vec{Z: 6}, 10)
	require.True(t, ok)
	require.InDelta(t, 2, d, 1e-6)
	require.InDelta(t, 4, q.Z, 1e-6)
	_, d, _, _ = x.Nearest(r3.Vec{Z: 1.5}, 10) // 1.5 from the slope and from the foot
	require.InDelta(t, 1.5, d, 1e-4)
	_, d, triangle, _ := x.Nearest(r3.Vec{Z: 2}, 10)
	require.InDelta(t, 2*3/5.0, d, 1e-4)
	require.InDelta(t, 3/5.0, x.Normal(triangle).Z, 1e-3)
	_, _, triangle, _ = x.Nearest(r3.Vec{Z: 0.5}, 10)
	require.InDelta(t, -1, x.Normal(triangle).Z, 1e-9)
}

// The tree is the same, and answers, for any number of workers; equal triangles
// in one place do not trouble it.
func TestIndexOfManyTriangles(t *testing.T) {
	s := rough(60, 4, 150)
	one := box([3]float32{1, 1, 20}, [3]float32{2, 2, 21})
	for range 2000 {
		s = shape{vertices: s.vertices, triangles: append(s.triangles, one.triangles[0])}
	}
	x := indexed(t, s)
	require.Len(t, x.triangles, len(s.triangles))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, x, indexed(t, s))
	sorted := slices.Sorted(slices.Values(x.order))
	for i, v := range sorted {
		require.EqualValues(t, i, v)
	}
	require.Less(t, len(x.nodes), len(s.triangles))
}

func TestIndexErrors(t *testing.T) {
	s := box([3]float32{}, [3]float32{1, 1, 1})
	_, err := NewIndex(context.Background(), s.vertices, nil)
	require.ErrorContains(t, err, "without triangles")
	_, err = NewIndex(context.Background(), s.vertices[:7], s.triangles)
	require.ErrorContains(t, err, "names vertex 7 of 7")
	s.vertices[3][1] = float32(math.NaN())
	_, err = NewIndex(context.Background(), s.vertices, s.triangles)
	require.ErrorContains(t, err, "not finite")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	s = box([3]float32{}, [3]float32{1, 1, 1})
	_, err = NewIndex(ctx, s.vertices, s.triangles)
	require.ErrorIs(t, err, context.Canceled)
}

// Lines and points on a base of the common size.
func BenchmarkIndex(b *testing.B) {
	s := rough(60, 4, 400)
	x := indexed(b, s)
	b.Run("build", func(b *testing.B) {
		for b.Loop() {
			indexed(b, s)
		}
		b.ReportMetric(float64(len(s.triangles)), "triangles")
		b.ReportMetric(float64(32*len(x.nodes)+4*len(x.order))/float64(len(s.triangles)), "bytes/triangle")
		b.ReportAllocs()
	})
	b.Run("hit", func(b *testing.B) {
		i := 0
		for b.Loop() {
			i = (i + 7919) % len(s.triangles)
			p, q, r := x.corners(i)
			m := r3.Scale(1/3.0, r3.Add(p, r3.Add(q, r)))
			x.Hit(m, r3.Scale(-1, x.Normal(i)), 2)
		}
	})
	b.Run("nearest", func(b *testing.B) {
		i := 0
		for b.Loop() {
			i = (i + 7919) % len(s.triangles)
			p, q, r := x.corners(i)
			m := r3.Scale(1/3.0, r3.Add(p, r3.Add(q, r)))
			x.Nearest(r3.Add(m, r3.Vec{Z: 0.3}), 2)
		}
	})
}
