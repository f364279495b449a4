package mesh

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// bigOrientation is the slow twin: the same determinant in big integers.
func bigOrientation(a, b, c, d ipoint) int {
	var m [3][3]*big.Int
	for i, p := range [3]ipoint{b, c, d} {
		for j := range 3 {
			m[i][j] = big.NewInt(int64(p[j]) - int64(a[j]))
		}
	}
	mul := func(x, y, z *big.Int) *big.Int { return new(big.Int).Mul(x, new(big.Int).Mul(y, z)) }
	s := new(big.Int)
	for _, t := range [3][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}} {
		s.Add(s, mul(m[0][t[0]], m[1][t[1]], m[2][t[2]]))
		s.Sub(s, mul(m[0][t[0]], m[1][t[2]], m[2][t[1]]))
	}
	return s.Sign()
}

func drawPoint(span int) *rapid.Generator[ipoint] {
	return rapid.Custom(func(t *rapid.T) ipoint {
		c := rapid.IntRange(-span, span)
		return ipoint{int32(c.Draw(t, "x")), int32(c.Draw(t, "y")), int32(c.Draw(t, "z"))}
	})
}

func TestOrientationIsExact(t *testing.T) {
	for _, span := range []int{3, 1 << 10, 1 << 19, maxUnits} {
		rapid.Check(t, func(t *rapid.T) {
			g := drawPoint(span)
			a, b, c, d := g.Draw(t, "a"), g.Draw(t, "b"), g.Draw(t, "c"), g.Draw(t, "d")
			require.Equal(t, bigOrientation(a, b, c, d), orientation(&a, &b, &c, &d))
			e, f, h := diff(&b, &a), diff(&c, &a), diff(&d, &a)
			require.Equal(t, orientation(&a, &b, &c, &d), wideOrientation(e, f, h), "narrow and wide agree")
		})
	}
	// A plane of large coordinates: nearly flat tetrahedra of both signs.
	a, b, c := ipoint{-maxUnits, -maxUnits, -maxUnits}, ipoint{maxUnits, -maxUnits, 0}, ipoint{0, maxUnits, maxUnits}
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		u, v := r.Int32N(100), r.Int32N(100)
		var d ipoint
		for k := range d {
			d[k] = a[k] + (b[k]-a[k])/100*u/2 + (c[k]-a[k])/100*v/2
		}
		require.Equal(t, bigOrientation(a, b, c, d), orientation(&a, &b, &c, &d))
	}
}

// The pairs that a proof must tell apart, at a size and turned round.
func TestImproperPairs(t *testing.T) {
	o, x, y, z := ipoint{0, 0, 0}, ipoint{10, 0, 0}, ipoint{0, 10, 0}, ipoint{0, 0, 10}
	for _, c := range []struct {
		name string
		t, u [3]ipoint
		ti   [3]int32
		ui   [3]int32
		want bool
	}{
		{"far apart", [3]ipoint{o, x, y}, [3]ipoint{{0, 0, 5}, {10, 0, 5}, {0, 10, 5}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, false},
		{"one plane, apart", [3]ipoint{o, x, y}, [3]ipoint{{20, 0, 0}, {30, 0, 0}, {20, 10, 0}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, false},
		{"one plane, one within the other", [3]ipoint{{-50, -50, 0}, {50, -50, 0}, {0, 50, 0}}, [3]ipoint{o, x, y}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"one plane, overlapping", [3]ipoint{o, x, y}, [3]ipoint{{2, 2, 0}, {12, 2, 0}, {2, 12, 0}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"one plane, edges touch", [3]ipoint{o, x, y}, [3]ipoint{{0, 0, 0}, {10, 0, 0}, {5, -10, 0}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"pierced", [3]ipoint{o, x, y}, [3]ipoint{{2, 2, -5}, {2, 2, 5}, {20, 20, 5}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"a corner touches a face", [3]ipoint{o, x, y}, [3]ipoint{{2, 2, 0}, {2, 2, 5}, {9, 9, 5}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"a corner touches a corner unshared", [3]ipoint{o, x, y}, [3]ipoint{o, {-5, 0, 5}, {0, -5, 5}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"edges cross unshared", [3]ipoint{o, x, y}, [3]ipoint{{5, 0, -5}, {5, 0, 5}, {5, -10, 0}}, [3]int32{0, 1, 2}, [3]int32{3, 4, 5}, true},
		{"share a corner, apart", [3]ipoint{o, x, y}, [3]ipoint{o, {-10, 0, 0}, z}, [3]int32{0, 1, 2}, [3]int32{0, 3, 4}, false},
		{"share a corner, fold through", [3]ipoint{o, x, y}, [3]ipoint{o, {8, 8, -4}, {8, 8, 4}}, [3]int32{0, 1, 2}, [3]int32{0, 3, 4}, true},
		{"share a corner, edge along the face", [3]ipoint{o, x, y}, [3]ipoint{o, {3, 3, 0}, {3, 3, 9}}, [3]int32{0, 1, 2}, [3]int32{0, 3, 4}, true},
		{"share a corner, one plane, sectors apart", [3]ipoint{o, x, y}, [3]ipoint{o, {-10, 0, 0}, {0, -10, 0}}, [3]int32{0, 1, 2}, [3]int32{0, 3, 4}, false},
		{"share a corner, one plane, sectors overlap", [3]ipoint{o, x, y}, [3]ipoint{o, {5, 5, 0}, {-10, 5, 0}}, [3]int32{0, 1, 2}, [3]int32{0, 3, 4}, true},
		{"share an edge, bent", [3]ipoint{o, x, y}, [3]ipoint{x, o, z}, [3]int32{0, 1, 2}, [3]int32{1, 0, 3}, false},
		{"share an edge, flat", [3]ipoint{o, x, y}, [3]ipoint{x, o, {3, -7, 0}}, [3]int32{0, 1, 2}, [3]int32{1, 0, 3}, false},
		{"share an edge, folded back", [3]ipoint{o, x, y}, [3]ipoint{x, o, {3, 7, 0}}, [3]int32{0, 1, 2}, [3]int32{1, 0, 3}, true},
		{"share all three", [3]ipoint{o, x, y}, [3]ipoint{o, y, x}, [3]int32{0, 1, 2}, [3]int32{0, 2, 1}, true},
	} {
		for turn := range 3 { // the answer may not depend on axes or order
			spin := func(p [3]ipoint) (q [3]ipoint) {
				for i := range p {
					q[i] = ipoint{p[i][turn%3], p[i][(turn+1)%3], p[i][(turn+2)%3]}
				}
				return q
			}
			a, b := spin(c.t), spin(c.u)
			require.Equal(t, c.want, improper(&a, &b, &c.ti, &c.ui), "%s, turn %d", c.name, turn)
			require.Equal(t, c.want, improper(&b, &a, &c.ui, &c.ti), "%s, turn %d, swapped", c.name, turn)
		}
	}
}

// A slow twin for disjoint triangles: do they share a point, by clipping one
// against the other in rational arithmetic.
func ratMeet(t, u [3]ipoint) bool {
	// Points of u's plane inside t: minimise nothing, just clip the polygon u by
	// the plane of t and test in 2D by the same closed rules, all in big.Rat.
	return segmentsOrFaces(t, u) || segmentsOrFaces(u, t)
}

// segmentsOrFaces finds whether some edge of u meets the closed triangle t, by
// solving for the parameter of the plane crossing in rationals.
func segmentsOrFaces(t, u [3]ipoint) bool {
	n := normalOf(&t[0], &t[1], &t[2])
	height := func(p ipoint) *big.Rat {
		d := diff(&p, &t[0])
		s := new(big.Int)
		for _, c := range [3][2]int64{{n.x, d.x}, {n.y, d.y}, {n.z, d.z}} {
			s.Add(s, new(big.Int).Mul(big.NewInt(c[0]), big.NewInt(c[1])))
		}
		return new(big.Rat).SetInt(s)
	}
	for i := range 3 {
		p, q := u[i], u[(i+1)%3]
		hp, hq := height(p), height(q)
		if hp.Sign() == 0 && hq.Sign() == 0 {
			return true // left to the caller: only used where no edge lies in a plane
		}
		if hp.Sign()*hq.Sign() > 0 {
			continue
		}
		s := new(big.Rat).Quo(hp, new(big.Rat).Sub(hp, hq))
		var x [3]*big.Rat
		for k := range 3 {
			x[k] = new(big.Rat).Add(new(big.Rat).SetInt64(int64(p[k])),
				new(big.Rat).Mul(s, new(big.Rat).SetInt64(int64(q[k])-int64(p[k]))))
		}
		drop, _ := mainAxis(n)
		a, b := (drop+1)%3, (drop+2)%3
		pos, neg := 0, 0
		for k := range 3 {
			c, d := t[k], t[(k+1)%3]
			cross := new(big.Rat).Sub(
				new(big.Rat).Mul(new(big.Rat).SetInt64(int64(d[a])-int64(c[a])), new(big.Rat).Sub(x[b], new(big.Rat).SetInt64(int64(c[b])))),
				new(big.Rat).Mul(new(big.Rat).SetInt64(int64(d[b])-int64(c[b])), new(big.Rat).Sub(x[a], new(big.Rat).SetInt64(int64(c[a])))))
			switch cross.Sign() {
			case 1:
				pos++
			case -1:
				neg++
			}
		}
		if pos == 0 || neg == 0 {
			return true
		}
	}
	return false
}

func TestDisjointTrianglesAgainstRationals(t *testing.T) {
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		g := drawPoint(rapid.SampledFrom([]int{4, 12, 1000}).Draw(t, "span"))
		a := [3]ipoint{g.Draw(t, "a"), g.Draw(t, "b"), g.Draw(t, "c")}
		b := [3]ipoint{g.Draw(t, "d"), g.Draw(t, "e"), g.Draw(t, "f")}
		if normalOf(&a[0], &a[1], &a[2]) == (ivec{}) || normalOf(&b[0], &b[1], &b[2]) == (ivec{}) {
			t.Skip("no area")
		}
		for i := range 3 {
			if orientation(&a[0], &a[1], &a[2], &b[i]) == 0 && orientation(&a[0], &a[1], &a[2], &b[(i+1)%3]) == 0 ||
				orientation(&b[0], &b[1], &b[2], &a[i]) == 0 && orientation(&b[0], &b[1], &b[2], &a[(i+1)%3]) == 0 {
				t.Skip("an edge in the other's plane: the table covers it")
			}
		}
		want := ratMeet(a, b)
		if want {
			met++
		}
		require.Equal(t, want, meetDisjoint(&a, &b))
	})
	require.Positive(t, met, "some pairs must have met, or the test says nothing")
}
