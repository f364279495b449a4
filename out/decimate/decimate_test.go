package decimate_test

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/decimate"
)

func to(t require.TestingT, m decimate.Mesh, most int) decimate.Mesh {
	d, err := decimate.To(context.Background(), m.Vertices, m.Triangles, m.Tones, most)
	require.NoError(t, err)
	require.Len(t, d.Tones, len(d.Triangles))
	return d
}

func TestBoxComesToItsTwelve(t *testing.T) {
	m := grid(20, box(30, 20, 10))
	for _, most := range []int{12, 1000} { // what costs nothing is taken anyway
		d := to(t, m, most)
		require.LessOrEqual(t, len(d.Triangles), 12)
		require.Zero(t, openEdges(d))
		require.InDelta(t, 6000, volume(d), 1e-3)
		require.Len(t, d.Vertices, 8)
		for _, v := range d.Vertices {
			for k, half := range []float64{15, 10, 5} {
				require.InDelta(t, half, math.Abs(float64(v[k])), 1e-4)
			}
		}
	}
}

func TestSphereStaysOne(t *testing.T) {
	m := grid(60, sphere(10))
	d := to(t, m, 1500)
	require.LessOrEqual(t, len(d.Triangles), 1500)
	require.Greater(t, len(d.Triangles), 1450)
	require.Zero(t, openEdges(d))
	require.InEpsilon(t, 4*math.Pi*1000/3, volume(d), 0.004)
	// An even net of 1500 triangles has sides of 1.4 mm and middles 0.03 mm deep.
	for i := range d.Triangles {
		p := corners(d, i)
		var middle [3]float64
		for k := range 3 {
			middle[k] = (p[0][k] + p[1][k] + p[2][k]) / 3
			require.InDelta(t, 10, math.Hypot(math.Hypot(p[k][0], p[k][1]), p[k][2]), 0.1)
		}
		require.InDelta(t, 10, math.Hypot(math.Hypot(middle[0], middle[1]), middle[2]), 0.1)
		n := cross(p)
		require.Positive(t, n[0]*middle[0]+n[1]*middle[1]+n[2]*middle[2], "none is turned inward")
	}
}

// What is asked for is reached, and with work that grows as the mesh does.
func TestFewAreReached(t *testing.T) {
	m := grid(50, bumps)
	for _, most := range []int{3000, 300, 60} {
		d := to(t, m, most)
		require.LessOrEqual(t, len(d.Triangles), most)
		require.Zero(t, openEdges(d))
		require.InEpsilon(t, volume(m), volume(d), 0.05)
	}
}

func TestTonesKeepTheirAreasAndBorders(t *testing.T) {
	m := grid(40, box(40, 40, 10))
	for i := range m.Triangles { // a disc on the top, and half of the underside
		p := corners(m, i)
		x, y := (p[0][0]+p[1][0]+p[2][0])/3, (p[0][1]+p[1][1]+p[2][1])/3
		switch z := (p[0][2] + p[1][2] + p[2][2]) / 3; {
		case z > 4.99 && math.Hypot(x, y) < 12:
			m.Tones[i] = 1
		case z < -4.99 && x < 0:
			m.Tones[i] = 2
		}
	}
	was, is := areas(m), areas(to(t, m, 200))
	require.Len(t, is, 3)
	for tone, area := range was {
		require.InEpsilon(t, area, is[tone], 0.02, "tone %d", tone)
	}
	require.InEpsilon(t, 800, is[2], 1e-4, "a straight border stays where it is")
}

func TestBigSolidsAreClusteredFirst(t *testing.T) {
	if testing.Short() {
		t.Skip("two thirds of a million triangles")
	}
	m := grid(240, bumps)
	d := to(t, m, 30_000)
	require.LessOrEqual(t, len(d.Triangles), 30_000)
	require.Greater(t, len(d.Triangles), 20_000)
	require.InEpsilon(t, volume(m), volume(d), 0.002)
	require.InEpsilon(t, areas(m)[0], areas(d)[0], 0.01)
}

func TestSameForAnyNumberOfWorkers(t *testing.T) {
	m := grid(40, bumps)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := to(t, m, 700)
	runtime.GOMAXPROCS(4)
	require.Equal(t, one, to(t, m, 700))
}

func TestWhatIsBadIsDropped(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	m := decimate.Mesh{
		Vertices:  [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {nan, 0, 0}, {0, inf, 0}},
		Triangles: [][3]uint32{{0, 1, 2}, {0, 1, 3}, {0, 4, 2}, {0, 1, 9}, {0, 1, math.MaxUint32}, {1, 1, 2}},
		Tones:     []uint8{3},
	}
	d := to(t, m, 100)
	require.Equal(t, decimate.Mesh{Vertices: m.Vertices[:3], Triangles: m.Triangles[:1], Tones: []uint8{3}}, d)

	require.Empty(t, to(t, decimate.Mesh{}, 10).Triangles)
	ended, end := context.WithCancel(context.Background())
	end()
	m = grid(20, box(1, 1, 1))
	_, err := decimate.To(ended, m.Vertices, m.Triangles, m.Tones, 100)
	require.ErrorIs(t, err, context.Canceled)
}

// Any closed solid stays closed, whatever it is brought down to.
func TestClosedStaysClosed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "n")
		dent := rapid.SliceOfN(rapid.Float64Range(0.2, 2), 7, 7).Draw(t, "dents")
		size := rapid.SampledFrom([]float64{1e-3, 1, 100, 1e6}).Draw(t, "size")
		i := 0
		m := grid(n, func(a, b, c float64) [3]float64 {
			i++
			s := size * dent[i%len(dent)]
			return [3]float64{a * s, b * s, c * s}
		})
		for k := range m.Tones {
			m.Tones[k] = uint8(k / 11 % 3)
		}
		require.Zero(t, openEdges(m))
		most := rapid.IntRange(0, 300).Draw(t, "most")
		d := to(t, m, most)
		require.Zero(t, openEdges(d))
		require.GreaterOrEqual(t, len(d.Triangles), 4)
		require.LessOrEqual(t, len(d.Triangles), len(m.Triangles))
	})
}

// Whatever it is given, it gives back only triangles that name finite vertices.
func TestAnythingIsTaken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float32Range(-5, 5), rapid.SampledFrom([]float32{0, math.MaxFloat32, -math.MaxFloat32, 1e-40, float32(math.NaN())}))
		m := decimate.Mesh{Tones: rapid.SliceOfN(rapid.Uint8(), 0, 20).Draw(t, "tones")}
		for range rapid.IntRange(0, 12).Draw(t, "vertices") {
			m.Vertices = append(m.Vertices, [3]float32{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z")})
		}
		corner := rapid.Uint32Range(0, 13)
		for range rapid.IntRange(0, 40).Draw(t, "triangles") {
			m.Triangles = append(m.Triangles, [3]uint32{corner.Draw(t, "a"), corner.Draw(t, "b"), corner.Draw(t, "c")})
		}
		d := to(t, m, rapid.IntRange(-1, 40).Draw(t, "most"))
		for _, tri := range d.Triangles {
			for _, v := range tri {
				require.Less(t, int(v), len(d.Vertices))
				for _, c := range d.Vertices[v] {
					require.False(t, math.IsNaN(float64(c)) || math.IsInf(float64(c), 0))
				}
			}
		}
	})
}

func BenchmarkTo(b *testing.B) {
	for _, bench := range []struct {
		name string
		n    int
	}{{"100k", 92}, {"300k", 158}, {"1.6M", 365}} {
		b.Run(bench.name, func(b *testing.B) {
			m := grid(bench.n, bumps)
			var d decimate.Mesh
			b.ReportAllocs()
			b.ResetTimer()
			for b.Loop() {
				d = to(b, m, 40_000)
			}
			b.ReportMetric(float64(len(m.Triangles)), "triangles-in")
			b.ReportMetric(float64(len(d.Triangles)), "triangles-out")
			b.ReportMetric(float64(len(m.Triangles))*float64(b.N)/b.Elapsed().Seconds(), "triangles/s")
		})
	}
}
