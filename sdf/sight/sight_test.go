package sight

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
	"socle/sdf/mesh"
)

// welded is all cubes as one mesh.
func welded(cubes []*Cube) *mesh.Mesh {
	vertices, triangles := Join(cubes)
	return &mesh.Mesh{Vertices: vertices, Triangles: triangles}
}

func look(t require.TestingT, f sdf.Field, cell float64) ([]*Cube, Counts) {
	cubes, count, err := (*Keeper)(nil).Of(context.Background(), f, Options{Cell: cell})
	require.NoError(t, err)
	return cubes, count
}

func at(m *mesh.Mesh, v uint32) r3.Vec {
	p := m.Vertices[v]
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

// volume is that which a closed mesh holds: a sixth of the sum of its corners' products.
func volume(m *mesh.Mesh) (sum float64) {
	for _, t := range m.Triangles {
		sum += r3.Dot(at(m, t[0]), r3.Cross(at(m, t[1]), at(m, t[2]))) / 6
	}
	return sum
}

// requireClosed wants each side of a triangle to run as often one way as the other: no
// gap, within a cube or between two.
func requireClosed(t require.TestingT, m *mesh.Mesh) {
	sides := map[[2]uint32]int{}
	for _, q := range m.Triangles {
		for k := range 3 {
			a, b := q[k], q[(k+1)%3]
			if a < b {
				sides[[2]uint32{a, b}]++
			} else {
				sides[[2]uint32{b, a}]--
			}
		}
	}
	for s, n := range sides {
		require.Zero(t, n, "%v to %v", at(m, s[0]), at(m, s[1]))
	}
}

// Closed forms: the volume, and how far the vertices are off the surface: at edges, a
// quarter of a cell.
func TestClosedForms(t *testing.T) {
	turn := sdf.Turn(sdf.V(1, 2, 3), 40).Then(sdf.At(sdf.V(0.3, -7, 11)))
	for _, c := range []struct {
		name   string
		f      sdf.Field
		volume float64
		off    float64 // mm, at the vertices
		share  float64 // of the volume
	}{
		{"box", sdf.BoxBetween(sdf.V(-9, -4, 0), sdf.V(8, 7, 3)), 17 * 11 * 3, 0.1, 0.001},
		{"turned box", sdf.Place(sdf.Box(sdf.V(14, 9, 5), 0), turn), 14 * 9 * 5, 0.1, 0.002},
		{"sphere", sdf.Sphere(6), 4.0 / 3 * math.Pi * 216, 0.02, 0.005},
		{"cylinder", sdf.Place(sdf.Cylinder(5, 8, 0), turn), math.Pi * 25 * 8, 0.1, 0.005},
		{"hollow", sdf.Difference(sdf.Box(sdf.V(12, 12, 12), 0), sdf.Sphere(4)), 1728 - 4.0/3*math.Pi*64, 0.1, 0.002},
	} {
		t.Run(c.name, func(t *testing.T) {
			cubes, count := look(t, c.f, 0.4)
			m := welded(cubes)
			requireClosed(t, m)
			require.InEpsilon(t, c.volume, volume(m), c.share)
			for v := range m.Vertices {
				require.LessOrEqual(t, math.Abs(c.f.Value(at(m, uint32(v)))), c.off)
			}
			require.Equal(t, len(cubes), count.Made)
		})
	}
}

// rubble is a floor with boxes, balls and posts on it, none thinner than a few cells.
func rubble(seed uint64, n int) sdf.Field {
	r := rand.New(rand.NewPCG(seed, 1))
	all := []sdf.Field{sdf.BoxBetween(sdf.V(-15, -15, 0), sdf.V(15, 15, 3))}
	for range n {
		at := sdf.At(sdf.V(26*r.Float64()-13, 26*r.Float64()-13, 2+4*r.Float64()))
		turn := sdf.Turn(sdf.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()), 360*r.Float64()).Then(at)
		switch r.IntN(3) {
		case 0:
			all = append(all, sdf.Place(sdf.Box(sdf.V(2+4*r.Float64(), 2+4*r.Float64(), 2+2*r.Float64()), 0), turn))
		case 1:
			all = append(all, sdf.Place(sdf.Sphere(1.5+2*r.Float64()), at))
		default:
			all = append(all, sdf.Place(sdf.Cylinder(1+r.Float64(), 3+4*r.Float64(), 0), turn))
		}
	}
	return sdf.Intersection(sdf.Union(all...), sdf.BoxBetween(sdf.V(-15, -15, 0), sdf.V(15, 15, 20)))
}

// The proven mesh and the look are within half a cell of each other, each vertex of the
// one from the other, wherever neither the solid nor a gap is thinner than a cell. (One
// vertex in a thousand lies beside such a place without a sign of it.)
func TestLooksLikeTheSolid(t *testing.T) {
	const cell = 0.4
	for seed := range uint64(2) {
		f := rubble(seed, 40)
		solid, err := mesh.Build(context.Background(), f, mesh.Options{Cell: cell, Tolerance: -1, KeepLoose: true})
		require.NoError(t, err)
		cubes, _ := look(t, f, cell)
		seen := welded(cubes)
		for _, c := range []struct {
			name string
			m    *mesh.Mesh
			to   *nearby
		}{{"the solid from the look", &solid.Mesh, newNearby(seen, 2*cell)}, {"the look from the solid", seen, newNearby(&solid.Mesh, 2*cell)}} {
			over, of, worst := 0, 0, 0.0
			for v := 0; v < len(c.m.Vertices); v += 3 {
				p := at(c.m, uint32(v))
				if isThin(f, p, 1.25*cell) {
					continue
				}
				of++
				d := c.to.distance(p)
				worst = max(worst, d)
				if d > cell/2 {
					over++
				}
			}
			t.Logf("%s: %d of %d vertices over half a cell, at most %.3f mm; of %d vertices", c.name, over, of, worst, len(c.m.Vertices))
			require.Less(t, len(c.m.Vertices)/6, of)
			require.LessOrEqual(t, 1000*over, of, c.name)
		}
		require.InEpsilon(t, solid.Proof.Volume, volume(seen), 0.005)
	}
}

// isThin says whether a line through p, a point of the surface, leaves the solid on its way in
// or meets it on its way out within some mm: along the slope there, and along each axis.
func isThin(f sdf.Field, p r3.Vec, within float64) bool {
	_, n := f.Gradient(p)
	for _, way := range []r3.Vec{n, {X: 1}, {Y: 1}, {Z: 1}} {
		if r3.Dot(way, n) < 0 {
			way = r3.Scale(-1, way)
		}
		if r3.Dot(way, n) < 0.3 {
			continue // along the surface
		}
		for i := 1; i <= 8; i++ {
			s := within * float64(i) / 8
			if f.Value(r3.Add(p, r3.Scale(s, way))) < 0 || f.Value(r3.Sub(p, r3.Scale(s, way))) > 0 {
				return true
			}
		}
	}
	return false
}

// nearby finds the triangles near a point.
type nearby struct {
	pitch float64
	cubes map[[3]int][]int
	m     *mesh.Mesh
}

func newNearby(m *mesh.Mesh, pitch float64) *nearby {
	g := &nearby{pitch, map[[3]int][]int{}, m}
	for i, t := range m.Triangles {
		seen := map[[3]int]bool{}
		a, b, c := at(m, t[0]), at(m, t[1]), at(m, t[2])
		n := 1 + int(max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, a)), r3.Norm(r3.Sub(c, b)))/pitch*2)
		for u := range n + 1 {
			for v := range n + 1 - u {
				p := r3.Add(a, r3.Add(r3.Scale(float64(u)/float64(n), r3.Sub(b, a)), r3.Scale(float64(v)/float64(n), r3.Sub(c, a))))
				seen[g.cube(p)] = true
			}
		}
		for k := range seen {
			g.cubes[k] = append(g.cubes[k], i)
		}
	}
	return g
}

func (g *nearby) cube(p r3.Vec) [3]int {
	return [3]int{int(math.Floor(p.X / g.pitch)), int(math.Floor(p.Y / g.pitch)), int(math.Floor(p.Z / g.pitch))}
}

// distance is from p to the mesh, looked for no further than a pitch away.
func (g *nearby) distance(p r3.Vec) float64 {
	best, k := math.Inf(1), g.cube(p)
	for i := range 27 {
		for _, t := range g.cubes[[3]int{k[0] + i%3 - 1, k[1] + i/3%3 - 1, k[2] + i/9 - 1}] {
			q := g.m.Triangles[t]
			best = min(best, pointTriangle(p, at(g.m, q[0]), at(g.m, q[1]), at(g.m, q[2])))
		}
	}
	return best
}

// pointTriangle is the distance from p to a triangle: to its plane where p is over it, else
// to the nearest of its sides.
func pointTriangle(p, a, b, c r3.Vec) float64 {
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	over := r3.Norm(n) > 0
	best := math.Inf(1)
	for _, s := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
		d, e := r3.Sub(s[1], s[0]), r3.Sub(p, s[0])
		over = over && r3.Dot(r3.Cross(d, e), n) >= 0
		t := 0.0
		if l := r3.Dot(d, d); l > 0 {
			t = min(max(r3.Dot(e, d)/l, 0), 1)
		}
		best = min(best, r3.Norm(r3.Sub(e, r3.Scale(t, d))))
	}
	if over {
		return math.Abs(r3.Dot(r3.Sub(p, a), n)) / r3.Norm(n)
	}
	return best
}

// What a keeper gives is what is made without one, whatever was looked at before, and a
// second look makes nothing.
func TestKeptCubesAreTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := NewKeeper(rapid.SampledFrom([]int{1, 1 << 16, 1 << 30}).Draw(t, "bytes"))
		seed := rapid.Uint64().Draw(t, "seed")
		n := rapid.IntRange(1, 8).Draw(t, "things")
		for range 3 {
			f := rubble(seed, n)
			for range rapid.IntRange(0, 2).Draw(t, "moved") {
				d := rapid.Float64Range(-8, 8)
				f = sdf.Difference(f, sdf.Place(sdf.Sphere(2), sdf.At(sdf.V(d.Draw(t, "x"), d.Draw(t, "y"), 3))))
			}
			kept, _, err := k.Of(context.Background(), f, Options{Cell: 1.2})
			require.NoError(t, err)
			fresh, _ := look(t, f, 1.2)
			require.Equal(t, fresh, kept)
			again, count, err := k.Of(context.Background(), f, Options{Cell: 1.2})
			require.NoError(t, err)
			require.Equal(t, fresh, again)
			if k.most == 1<<30 {
				require.Zero(t, count.Made)
			}
		}
		require.True(t, k.held <= k.most || k.order.Len() == 1)
	})
}

// A change in one place makes only the cubes about it again.
func TestOnlyWhatChangedIsMade(t *testing.T) {
	k := NewKeeper(1 << 30)
	hit := func(x float64) sdf.Field {
		return sdf.Difference(rubble(7, 40), sdf.Place(sdf.Sphere(2), sdf.At(sdf.V(x, 9, 3))))
	}
	_, cold, err := k.Of(context.Background(), hit(-10), Options{Cell: 0.2})
	require.NoError(t, err)
	_, warm, err := k.Of(context.Background(), hit(-9.5), Options{Cell: 0.2})
	require.NoError(t, err)
	require.Equal(t, cold.Cubes, cold.Made)
	require.NotZero(t, warm.Made)
	// A ball of 2.25 mm and half a cube's diagonal about it, of a place 30 mm wide.
	require.Less(t, 8*warm.Made, cold.Made)
}

func TestSameForAnyProcessors(t *testing.T) {
	f := rubble(3, 30)
	many, _ := look(t, f, 0.3)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one, _ := look(t, f, 0.3)
	require.Equal(t, one, many)
}

func TestOfRefuses(t *testing.T) {
	for _, cell := range []float64{0, -1, 0.01, 11, math.NaN()} {
		_, _, err := (*Keeper)(nil).Of(context.Background(), sdf.Sphere(1), Options{Cell: cell})
		require.Error(t, err, fmt.Sprint(cell))
	}
	_, _, err := (*Keeper)(nil).Of(context.Background(), sdf.HalfSpace(sdf.V(0, 0, 1), 0), Options{Cell: 1})
	require.ErrorContains(t, err, "beyond")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = (*Keeper)(nil).Of(ctx, sdf.Sphere(5), Options{Cell: 0.5})
	require.ErrorIs(t, err, context.Canceled)
	cubes, count := look(t, sdf.Nothing(), 0.5)
	require.Empty(t, cubes)
	require.Zero(t, count.Made)
}

// What a look costs, by counters: of a place, cold, and after something in it was moved.
func BenchmarkLook(b *testing.B) {
	report := func(b *testing.B, c Counts) {
		b.ReportMetric(float64(c.Made), "cubes")
		b.ReportMetric(float64(c.Evals), "fieldevals")
	}
	b.Run("cold", func(b *testing.B) {
		f := rubble(1, 300)
		for b.Loop() {
			_, count, err := NewKeeper(1<<30).Of(context.Background(), f, Options{Cell: 0.2})
			require.NoError(b, err)
			report(b, count)
		}
	})
	b.Run("moved", func(b *testing.B) {
		k := NewKeeper(1 << 30)
		_, _, err := k.Of(context.Background(), rubble(1, 300), Options{Cell: 0.2})
		require.NoError(b, err)
		for i := 0; b.Loop(); i++ {
			x := float64(i%1000) / 100
			f := sdf.Difference(rubble(1, 300), sdf.Place(sdf.Sphere(2), sdf.At(sdf.V(x, 9, 3))))
			_, count, err := k.Of(context.Background(), f, Options{Cell: 0.2})
			require.NoError(b, err)
			report(b, count)
		}
	})
}
