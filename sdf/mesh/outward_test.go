package mesh

import (
	"context"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

// insideOut is a mesh with all triangles turned over.
func insideOut(m Mesh) Mesh {
	out := Mesh{Vertices: m.Vertices, Triangles: slices.Clone(m.Triangles)}
	for i, t := range out.Triangles {
		out.Triangles[i] = [3]uint32{t[0], t[2], t[1]}
	}
	return out
}

// shellVolumes are the volumes of the connected pieces of a mesh, mm3, in whole numbers
// until the last step: the tetrahedra to the origin.
func shellVolumes(m *Mesh) (out []float64) {
	x := examiner{}
	if err := x.read(m); err != nil {
		panic(err)
	}
	of, n := shells(len(x.points), x.triangles)
	six := make([]big.Int, n)
	for i, t := range x.triangles {
		var p [3][3]*big.Int
		for k, v := range t {
			for j, c := range x.points[v] {
				p[k][j] = big.NewInt(int64(c))
			}
		}
		for j := range 3 {
			minor := new(big.Int).Mul(p[1][(j+1)%3], p[2][(j+2)%3])
			minor.Sub(minor, new(big.Int).Mul(p[1][(j+2)%3], p[2][(j+1)%3]))
			six[of[i]].Add(&six[of[i]], minor.Mul(minor, p[0][j]))
		}
	}
	for i := range six {
		v, _ := new(big.Float).SetInt(&six[i]).Float64()
		out = append(out, v/6*cubicUnit)
	}
	return out
}

// A mesh of boxes, disjoint or nested, is proven just where each faces as its depth has
// it: those within an even number of others outward, the others, which are voids, inward.
// Their corners lie on a coarse grid, so that lines upward hit edges and corners.
func TestProofTurnsByDepth(t *testing.T) {
	type block struct{ lo, hi [3]int }
	within := func(a, b block) bool { // strictly
		for i := range 3 {
			if a.lo[i] <= b.lo[i] || a.hi[i] >= b.hi[i] {
				return false
			}
		}
		return true
	}
	apart := func(a, b block) bool {
		for i := range 3 {
			if a.hi[i] < b.lo[i] || b.hi[i] < a.lo[i] {
				return true
			}
		}
		return false
	}
	rapid.Check(t, func(t *rapid.T) {
		var blocks []block
		corner := rapid.IntRange(-9, 9)
		for range rapid.IntRange(1, 40).Draw(t, "tries") {
			var b block
			for i := range 3 {
				p, q := corner.Draw(t, "from"), corner.Draw(t, "to")
				b.lo[i], b.hi[i] = min(p, q), max(p, q)+1
			}
			if !slices.ContainsFunc(blocks, func(o block) bool { return !apart(b, o) && !within(b, o) && !within(o, b) }) {
				blocks = append(blocks, b)
			}
		}
		var m Mesh
		var volume float64
		right := true
		for _, b := range blocks {
			size := [3]float32{}
			for i := range 3 {
				size[i] = float32(b.hi[i] - b.lo[i])
			}
			one := cubeMesh(0, 0, 0, 1)
			for k := range one.Vertices {
				for i := range 3 {
					one.Vertices[k][i] = float32(b.lo[i]) + size[i]*one.Vertices[k][i]
				}
			}
			depth := 0
			for _, o := range blocks {
				if within(b, o) {
					depth++
				}
			}
			sign := 1.0
			isTurned := depth%2 != 0
			if rapid.IntRange(0, 19).Draw(t, "wrong") == 0 {
				isTurned, right = !isTurned, false
			}
			if isTurned {
				one, sign = insideOut(one), -1
			}
			m = join(m, one)
			volume += sign * float64(size[0]) * float64(size[1]) * float64(size[2])
		}
		p, err := Prove(context.Background(), &m)
		require.Equal(t, right, p.Outward)
		require.Equal(t, len(blocks), p.Shells)
		require.InDelta(t, volume, p.Volume, 1e-9)
		if right {
			require.NoError(t, err)
		} else {
			require.ErrorContains(t, err, "inside out")
		}
	})
}

// The loose pieces that a build keeps all face outward, down to the least that a corner
// of the finest cells can see: random splinters about such corners, from far under the
// tolerance of the reduction to some times it.
func TestKeptPiecesFaceOutward(t *testing.T) {
	const cell = 0.4
	box := r3.Box{Min: sdf.V(0, 0, 0), Max: sdf.V(8, 8, 4)}
	g, _ := newGrid(box, cell, nil)
	kept, dropped := 0, 0
	for seed := range uint64(3) {
		r := rand.New(rand.NewPCG(seed, 1))
		all := []sdf.Field{sdf.BoxBetween(sdf.V(0, 0, 0), sdf.V(8, 8, 1))}
		for x := range 12 {
			for y := range 12 {
				at := g.at([3]int32{}, 16+12*x+r.IntN(5), 16+12*y+r.IntN(5), 50+r.IntN(20)).vec()
				splinter := []sdf.Field{sdf.Sphere(0.12)}
				for range 4 + r.IntN(4) {
					n := sdf.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64())
					splinter = append(splinter, sdf.HalfSpace(n, 0.001+0.04*math.Pow(r.Float64(), 3)))
				}
				all = append(all, sdf.Place(sdf.Intersection(splinter...), sdf.At(at)))
			}
		}
		s, err := Build(t.Context(), sdf.Union(all...), Options{Cell: cell, Box: box, KeepLoose: true})
		require.NoError(t, err)
		volumes := shellVolumes(&s.Mesh)
		require.Len(t, volumes, pieces(s.Crumbs))
		for k, v := range volumes {
			require.Positive(t, v, "shell %d", k)
		}
		for _, c := range s.Crumbs {
			if c.Kept {
				kept++
			} else {
				dropped++
			}
		}
	}
	t.Logf("%d kept, %d dropped", kept, dropped)
	require.Greater(t, kept, 50)
	require.Greater(t, dropped, 50)
}

// A fault in the turn of a shell is told with its place and size.
func TestProofNamesTheShell(t *testing.T) {
	m := join(cubeMesh(0, 0, 0, 2), insideOut(cubeMesh(10, 20, 30, 0.5)))
	p, err := Prove(context.Background(), &m)
	var fault *ProofError
	require.ErrorAs(t, err, &fault)
	require.Equal(t, r3.Vec{X: 10.25, Y: 20.25, Z: 30.25}, fault.At)
	require.Contains(t, fault.Why, "0.5000 x 0.5000 x 0.5000 mm")
	require.True(t, p.Closed)
	require.False(t, p.Outward)
	require.Positive(t, p.Volume, "the whole is")
}

// Where the proof finds a shell turned, the reduction is kept out of it.
func TestMenderKeepsATurnedShell(t *testing.T) {
	f := sdf.BoxBetween(sdf.V(0, 0, 0), sdf.V(4, 4, 4))
	o, err := newOctree(f, Options{Cell: 0.5})
	require.NoError(t, err)
	m := mender{t: o}
	require.False(t, m.mend(&examiner{turned: []ibox{{ipoint{0, 0, 0}, ipoint{100, 100, 100}}}}))
	require.True(t, m.keeps(ipoint{100, 0, 50}))
	require.True(t, m.keeps(ipoint{100 + cellSteps*o.step, 0, 50}))
	require.False(t, m.keeps(ipoint{101 + cellSteps*o.step, 0, 50}))
}
