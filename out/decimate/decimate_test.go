package decimate

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// lattice is the surface of a box of n x n x n cells, pushed out by shape.
func lattice(n int, shape func(p vec) vec, tone func(p vec) uint8) (m Mesh) {
	number := map[[3]int]uint32{}
	vertex := func(p [3]int) uint32 {
		v, met := number[p]
		if !met {
			v = uint32(len(m.Vertices))
			number[p] = v
			q := vec{}
			for k := range 3 {
				q[k] = 2*float64(p[k])/float64(n) - 1
			}
			q = shape(q)
			m.Vertices = append(m.Vertices, [3]float32{float32(q[0]), float32(q[1]), float32(q[2])})
		}
		return v
	}
	for k := range 3 {
		for _, side := range []int{0, n} {
			for i := range n {
				for j := range n {
					at := func(i, j int) uint32 {
						var p [3]int
						p[k], p[(k+1)%3], p[(k+2)%3] = side, i, j
						return vertex(p)
					}
					a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
					if side == 0 {
						b, d = d, b
					}
					for _, t := range [][3]uint32{{a, b, c}, {a, c, d}} {
						m.Triangles = append(m.Triangles, t)
						centre := vec{}
						for _, v := range t {
							for x := range 3 {
								centre[x] += float64(m.Vertices[v][x]) / 3
							}
						}
						m.Tones = append(m.Tones, tone(centre))
					}
				}
			}
		}
	}
	return m
}

func same(p vec) vec { return p }

func ball(p vec) vec { return p.scaled(10 / p.length()) }

func plain(vec) uint8 { return 0 }

// measures are the volume and the area of each tone.
func measures(m Mesh) (volume float64, areas [256]float64) {
	for i, t := range m.Triangles {
		var p [3]vec
		for k, v := range t {
			for x := range 3 {
				p[k][x] = float64(m.Vertices[v][x])
			}
		}
		volume += p[0].dot(p[1].cross(p[2])) / 6
		areas[m.Tones[i]] += normalOf(p[0], p[1], p[2]).length() / 2
	}
	return volume, areas
}

// closed tells whether every side of a triangle is met by just one other way round.
func closed(m Mesh) bool {
	sides := map[[2]uint32]int{}
	for _, t := range m.Triangles {
		for k := range 3 {
			sides[[2]uint32{t[k], t[(k+1)%3]}]++
		}
	}
	for s, n := range sides {
		if n != 1 || sides[[2]uint32{s[1], s[0]}] != 1 {
			return false
		}
	}
	return true
}

func to(t require.TestingT, m Mesh, most int) Mesh {
	out, err := To(context.Background(), m.Vertices, m.Triangles, m.Tones, most)
	require.NoError(t, err)
	require.Len(t, out.Tones, len(out.Triangles))
	for _, f := range out.Triangles {
		for _, v := range f {
			require.Less(t, v, uint32(len(out.Vertices)))
		}
	}
	return out
}

func TestBoxStaysABox(t *testing.T) {
	out := to(t, lattice(20, same, plain), 12)
	require.Len(t, out.Triangles, 12)
	require.Len(t, out.Vertices, 8)
	require.True(t, closed(out))
	volume, areas := measures(out)
	require.InDelta(t, 8, volume, 1e-3)
	require.InDelta(t, 24, areas[0], 1e-3)
}

// The sagitta of a triangle of side s on a ball of radius r is s^2/(6r), and s^2 is
// 4/sqrt(3) of its area 4 pi r^2/n where all n are alike; those here are not, so three
// times that is allowed.
func TestBallStaysRound(t *testing.T) {
	fine := lattice(60, ball, plain)
	exact, _ := measures(fine)
	for _, most := range []int{4000, 1000, 250} {
		out := to(t, fine, most)
		require.LessOrEqual(t, len(out.Triangles), most)
		require.True(t, closed(out))
		volume, _ := measures(out)
		require.InEpsilon(t, exact, volume, 8/float64(most)+0.001)
		sagitta := 4 / math.Sqrt(3) * 4 * math.Pi * 100 / float64(most) / 60
		for _, f := range out.Triangles {
			centre := vec{}
			for _, v := range f {
				p := vec{float64(out.Vertices[v][0]), float64(out.Vertices[v][1]), float64(out.Vertices[v][2])}
				require.InDelta(t, 10, p.length(), 3*sagitta)
				centre = centre.add(p.scaled(1. / 3))
			}
			require.InDelta(t, 10, centre.length(), 3*sagitta+0.01)
		}
	}
}

func TestTonesKeepTheirBorders(t *testing.T) {
	cap := func(p vec) uint8 {
		if p[2] > 5 && math.Hypot(p[0], p[1]) < 6 {
			return 2
		}
		return 0
	}
	fine := lattice(60, ball, cap)
	_, want := measures(fine)
	_, got := measures(to(t, fine, 1500))
	require.InEpsilon(t, want[2], got[2], 0.02)
	require.InEpsilon(t, want[0], got[0], 0.02)
}

func TestLargeMeshesPassThroughTheGrid(t *testing.T) {
	fine := lattice(150, ball, plain) // 270,000 triangles
	exact, _ := measures(fine)
	w := gather(fine.Vertices, fine.Triangles, fine.Tones).merge(gridAim)
	require.Less(t, len(w.faces), gridAim*6/5)
	require.Greater(t, len(w.faces), gridAim/6)
	out := to(t, fine, 20000)
	require.LessOrEqual(t, len(out.Triangles), 20000)
	volume, _ := measures(out)
	require.InEpsilon(t, exact, volume, 0.005)
}

func TestSameForAnyNumberOfWorkers(t *testing.T) {
	fine := lattice(30, ball, func(p vec) uint8 { return uint8(int(p[0]+10) % 3) })
	one := to(t, fine, 500)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, one, to(t, fine, 500))
}

func TestWhatIsUnsoundIsDropped(t *testing.T) {
	nan := float32(math.NaN())
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float32Range(-5, 5), rapid.SampledFrom([]float32{0, 1, nan, float32(math.Inf(1)), math.MaxFloat32, -math.MaxFloat32, 1e-38}))
		vertices := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) (p [3]float32) {
			for k := range p {
				p[k] = number.Draw(t, "x")
			}
			return p
		}), 0, 20).Draw(t, "vertices")
		triangles := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) (f [3]uint32) {
			for k := range f {
				f[k] = rapid.OneOf(rapid.Uint32Range(0, 21), rapid.Uint32()).Draw(t, "v")
			}
			return f
		}), 0, 60).Draw(t, "triangles")
		tones := rapid.SliceOfN(rapid.Uint8(), 0, 60).Draw(t, "tones")
		most := rapid.IntRange(-1, 40).Draw(t, "most")
		out := to(t, Mesh{vertices, triangles, tones}, most)
		for _, p := range out.Vertices {
			require.True(t, finite(p))
		}
		w := gather(vertices, triangles, tones)
		w.merge(4)
	})
}

// Lumpy balls, of any lumps, stay closed and keep their volume.
func TestLumpyBalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		waves := rapid.SliceOfN(rapid.Float64Range(-1, 1), 9, 9).Draw(t, "waves")
		fine := lattice(12, func(p vec) vec {
			q := ball(p)
			swell := 1.0
			for k := range 3 {
				swell += 0.08 * math.Sin(waves[3*k]*q[0]+waves[3*k+1]*q[1]+waves[3*k+2]*q[2])
			}
			return q.scaled(swell)
		}, plain)
		most := rapid.IntRange(400, 900).Draw(t, "most")
		out := to(t, fine, most)
		require.LessOrEqual(t, len(out.Triangles), most)
		require.True(t, closed(out))
		was, _ := measures(fine)
		is, _ := measures(out)
		require.InEpsilon(t, was, is, 0.03)
	})
}

func TestEndsWhereAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	m := lattice(4, ball, plain)
	_, err := To(ctx, m.Vertices, m.Triangles, m.Tones, 12)
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkTo(b *testing.B) {
	for name, n := range map[string]int{"120k": 100, "300k": 158, "1.6M": 365} {
		m := lattice(n, func(p vec) vec {
			q := ball(p)
			return q.scaled(1 + 0.02*math.Sin(9*q[0])*math.Sin(8*q[1])*math.Sin(7*q[2]))
		}, plain)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				out, err := To(context.Background(), m.Vertices, m.Triangles, m.Tones, 40000)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(m.Triangles)), "triangles-in")
				b.ReportMetric(float64(len(out.Triangles)), "triangles-out")
			}
		})
	}
}
