package inspect

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// lathed is a profile of (radius, z) turned about the upright axis at a place, with n
// sides whose middles are as far out as the profile. The profile starts and ends
// on the axis and has the solid on its left.
func lathed(at r2.Vec, n int, profile ...[2]float64) (s shape) {
	out := 1 / math.Cos(math.Pi/float64(n))
	rings := make([][]uint32, len(profile))
	for i, p := range profile {
		for k := range n {
			if p[0] == 0 && k > 0 {
				rings[i] = append(rings[i], rings[i][0])
				continue
			}
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			rings[i] = append(rings[i], uint32(len(s.vertices)))
			s.vertices = append(s.vertices, [3]float32{
				float32(at.X + p[0]*out*cos), float32(at.Y + p[0]*out*sin), float32(p[1]),
			})
		}
	}
	for i := 1; i < len(rings); i++ {
		for k := range n {
			a, b := rings[i-1][k], rings[i-1][(k+1)%n]
			c, d := rings[i][(k+1)%n], rings[i][k]
			if a != b {
				s.triangles = append(s.triangles, [3]uint32{a, b, c})
			}
			if c != d {
				s.triangles = append(s.triangles, [3]uint32{a, c, d})
			}
		}
	}
	return s
}

// ofCells is the solid of those cells, between the planes given, that are told to
// be in it.
func ofCells(xs, ys, zs []float64, solid func(i, j, k int) bool) (s shape) {
	in := func(i, j, k int) bool {
		return i >= 0 && j >= 0 && k >= 0 && i < len(xs)-1 && j < len(ys)-1 && k < len(zs)-1 && solid(i, j, k)
	}
	numbers := map[[3]int]uint32{}
	vertex := func(i, j, k int) uint32 {
		n, ok := numbers[[3]int{i, j, k}]
		if !ok {
			n = uint32(len(s.vertices))
			numbers[[3]int{i, j, k}] = n
			s.vertices = append(s.vertices, [3]float32{float32(xs[i]), float32(ys[j]), float32(zs[k])})
		}
		return n
	}
	cube := box([3]float32{0, 0, 0}, [3]float32{1, 1, 1})
	sides := [6][3]int{{0, 0, -1}, {0, 0, 1}, {0, -1, 0}, {0, 1, 0}, {-1, 0, 0}, {1, 0, 0}} // as in box
	for i := range len(xs) - 1 {
		for j := range len(ys) - 1 {
			for k := range len(zs) - 1 {
				if !in(i, j, k) {
					continue
				}
				for n, d := range sides {
					if in(i+d[0], j+d[1], k+d[2]) {
						continue
					}
					for _, t := range cube.triangles[2*n : 2*n+2] {
						var v [3]uint32
						for c, corner := range t {
							at := cube.vertices[corner]
							v[c] = vertex(i+int(at[0]), j+int(at[1]), k+int(at[2]))
						}
						s.triangles = append(s.triangles, v)
					}
				}
			}
		}
	}
	return s
}

// planesAt gives from, from+step, ... up to to.
func planesAt(from, to, step float64) (at []float64) {
	n := int(math.Round((to - from) / step))
	for i := range n + 1 {
		at = append(at, from+(to-from)*float64(i)/float64(n))
	}
	return at
}

func indexOf(t require.TestingT, s shape) *Index {
	x, err := NewIndex(context.Background(), s.vertices, s.triangles)
	require.NoError(t, err)
	return x
}

// volumeHeld is the volume that a closed shape holds, mm3.
func volumeHeld(s shape) (v float64) {
	for _, t := range s.triangles {
		a, b, c := wide(s.vertices[t[0]]), wide(s.vertices[t[1]]), wide(s.vertices[t[2]])
		v += a[0]*(b[1]*c[2]-b[2]*c[1]) + a[1]*(b[2]*c[0]-b[0]*c[2]) + a[2]*(b[0]*c[1]-b[1]*c[0])
	}
	return v / 6
}

func TestTheTestsOwnSolids(t *testing.T) {
	disc := lathed(r2.Vec{X: 3, Y: -2}, 720, [2]float64{0, 0}, [2]float64{5, 0}, [2]float64{5, 4}, [2]float64{0, 4})
	require.InEpsilon(t, math.Pi*25*4, volumeHeld(disc), 1e-4)
	require.InEpsilon(t, math.Pi*(16*16*4-2.6*2.6*2.2), volumeHeld(pocketed(5.2, 2.2, 4)), 1e-4) // references.md section 5: 3170.269
	stair := ofCells([]float64{0, 1, 3}, []float64{0, 2}, []float64{0, 1, 2}, func(i, _, k int) bool { return k <= i })
	require.InEpsilon(t, 1*2*1+2*2*2, volumeHeld(stair), 1e-6)
}

// pocketed is a disc of 32 mm across and so high, with a pocket in the middle of
// its underside.
func pocketed(diameter, depth, height float64) shape {
	return lathed(r2.Vec{}, 360, [2]float64{0, depth}, [2]float64{diameter / 2, depth}, [2]float64{diameter / 2, 0},
		[2]float64{16, 0}, [2]float64{16, height}, [2]float64{0, height})
}
