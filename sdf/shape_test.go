package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// outlineOf samples the outline of each shape under test, by its definition.
func outlineOf(name string) []r2.Vec {
	const n = 40000
	curve := func(at func(s, c float64) r2.Vec) []r2.Vec {
		pts := make([]r2.Vec, n)
		for i := range pts {
			pts[i] = at(math.Sincos(2 * math.Pi * float64(i) / n))
		}
		return pts
	}
	along := func(corners []r2.Vec) []r2.Vec {
		var pts []r2.Vec
		for i, a := range corners {
			d := r2.Sub(corners[(i+1)%len(corners)], a)
			each := n / len(corners) // evenly, the last gap too
			for j := range each {
				pts = append(pts, r2.Add(a, r2.Scale(float64(j)/float64(each), d)))
			}
		}
		return pts
	}
	rounds := func(w, d, r float64) []r2.Vec { // quarter circles at an inner rectangle's corners
		return curve(func(s, c float64) r2.Vec {
			return r2.Vec{X: math.Copysign(w/2-r, c) + r*c, Y: math.Copysign(d/2-r, s) + r*s}
		})
	}
	turned := func(pts []r2.Vec, by r2.Vec, degrees float64) []r2.Vec {
		for i := range pts {
			pts[i] = r2.Add(r2.Rotate(pts[i], degrees*math.Pi/180, r2.Vec{}), by)
		}
		return pts
	}
	oval := func(a, b float64) []r2.Vec {
		return curve(func(s, c float64) r2.Vec { return r2.Vec{X: a * c, Y: b * s} })
	}
	square := []r2.Vec{{X: -12.5, Y: -12.5}, {X: 12.5, Y: -12.5}, {X: 12.5, Y: 12.5}, {X: -12.5, Y: 12.5}}
	switch name {
	case "circle":
		return oval(12.5, 12.5)
	case "ellipse":
		return oval(30, 17.5)
	case "thin ellipse":
		return oval(2, 40)
	case "square":
		return along(square)
	case "rounded":
		return append(rounds(40, 18, 3), straights(40, 18, 3)...)
	case "stadium":
		return append(rounds(60, 25, 12.5), straights(60, 25, 12.5)...)
	case "upright":
		return append(rounds(10, 50, 5), straights(10, 50, 5)...)
	case "star":
		return along(star(7, 20, 9))
	case "many edges":
		return along(star(60, 30, 27))
	case "bracket":
		return along(bracket())
	case "moved ellipse":
		return turned(oval(30, 17.5), r2.Vec{X: 10, Y: -4}, 33)
	case "moved square":
		return turned(along(square), r2.Vec{X: -8, Y: 5}, 15)
	case "turned quarter":
		return turned(along(bracket()), r2.Vec{X: 3, Y: 3}, 90)
	}
	return nil
}

// straights are the four straight sides of a rounded rectangle.
func straights(w, d, r float64) (pts []r2.Vec) {
	const n = 10000
	for i := range n + 1 {
		t := 2*float64(i)/n - 1
		for _, s := range [2]float64{-1, 1} {
			pts = append(pts, r2.Vec{X: t * (w/2 - r), Y: s * d / 2}, r2.Vec{X: s * w / 2, Y: t * (d/2 - r)})
		}
	}
	return pts
}

// TestShapesAgainstTheirOutline: the distance to the nearest of some 40000 points of
// the outline, at most 0.012 mm apart; the gradient points to it.
func TestShapesAgainstTheirOutline(t *testing.T) {
	for name, s := range shapesUnderTest() {
		pts := outlineOf(name)
		require.NotEmpty(t, pts, name)
		t.Run(name, func(t *testing.T) {
			for _, q := range pts[:100] {
				require.InDelta(t, 0, s.Distance(q), 1e-9, "on the outline at %v", q)
			}
			rapid.Check(t, func(t *rapid.T) {
				v := drawNear(t, solidBox(s.Bounds(), 0, 0), "p")
				p := r2.Vec{X: v.X, Y: v.Y}
				least := math.Inf(1)
				for _, q := range pts {
					least = math.Min(least, r2.Norm2(r2.Sub(p, q)))
				}
				least = math.Sqrt(least)
				d, g := s.Gradient(p)
				require.LessOrEqual(t, math.Abs(d), least+1e-9)
				// Half the spacing, h, of the points sideways adds at most h itself near
				// the outline and h^2/2d further off.
				const h = 0.006
				require.GreaterOrEqual(t, math.Abs(d), least-math.Min(h, h*h/(2*least)+1e-9))
				require.InDelta(t, 0, s.Distance(r2.Sub(p, r2.Scale(d, g))), 1e-9, "against the gradient by the distance is the outline")
			})
		})
	}
}

// TestPolygonSides: the sign by the nearest edge against the even-odd rule, for
// random star-like outlines of either winding, needle-sharp ones too.
func TestPolygonSides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 80).Draw(t, "corners")
		pts := make([]r2.Vec, n)
		for i := range pts {
			r := rapid.SampledFrom([]float64{1, 1.01, 5, 20, 20}).Draw(t, "radius")
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			pts[i] = r2.Vec{X: r * c, Y: r * s}
		}
		left := Polygon(pts)
		reversed := make([]r2.Vec, n)
		for i := range pts {
			reversed[i] = pts[n-1-i]
		}
		right := Polygon(reversed)
		for range 20 {
			p := r2.Vec{X: rapid.Float64Range(-22, 22).Draw(t, "x"), Y: rapid.Float64Range(-22, 22).Draw(t, "y")}
			d := left.Distance(p)
			require.InDelta(t, d, right.Distance(p), 1e-12)
			if math.Abs(d) > 1e-9 {
				require.Equal(t, crossings(pts, p), d < 0, "at %v: %v", p, d)
			}
		}
	})
}

// insetArea is the area of the set Distance <= -inset, from columns 1/n of the
// width: the half-length of each by bisection along y from the middle.
func insetArea(s Shape, inset float64) float64 {
	const n = 20000
	b := s.Bounds()
	area, dx := 0.0, (b.Max.X-b.Min.X)/n
	for i := range n {
		x := b.Min.X + (float64(i)+0.5)*dx
		if s.Distance(r2.Vec{X: x}) > -inset {
			continue
		}
		lo, hi := 0.0, b.Max.Y+1
		for hi-lo > 1e-9 {
			if m := (lo + hi) / 2; s.Distance(r2.Vec{X: x, Y: m}) <= -inset {
				lo = m
			} else {
				hi = m
			}
		}
		area += 2 * lo * dx
	}
	return area
}

// TestEllipseInsetIsParallel: references.md section 5: the true 1 mm inset of a 60 x
// 35 ellipse has 1500.66 mm2 (Steiner: A - P t + pi t^2), not the 1503.25 of the
// ellipse with both half-axes 1 mm shorter.
func TestEllipseInsetIsParallel(t *testing.T) {
	s := EllipseShape(30, 17.5)
	require.InDelta(t, 1649.34, insetArea(s, 0), 0.01)
	require.InDelta(t, 1500.66, insetArea(s, 1), 0.01)
	require.InDelta(t, 1503.25, insetArea(EllipseShape(29, 16.5), 0), 0.01)
}

// TestEllipseExtremes: very thin, very large, at the centre, on both axes and a hair
// beside them.
func TestEllipseExtremes(t *testing.T) {
	for _, semi := range []r2.Vec{{X: 30, Y: 17.5}, {X: 1000, Y: 0.001}, {X: 1, Y: 1 + 1e-9}, {X: 1e-3, Y: 1e-3 + 1e-12}} {
		s := EllipseShape(semi.X, semi.Y)
		require.InDelta(t, -math.Min(semi.X, semi.Y), s.Distance(r2.Vec{}), 1e-12)
		// At the ends of the long axis beyond the focal points' evolute.
		require.InDelta(t, 1, s.Distance(r2.Vec{X: semi.X + 1}), 1e-9)
		require.InDelta(t, 1, s.Distance(r2.Vec{Y: -semi.Y - 1}), 1e-9)
		for _, hair := range []float64{1e-6, 1e-12, 1e-300} {
			for _, x := range []float64{0, 0.1, 0.5, 0.9, 0.999, 1, 1.5} {
				on, beside := s.Distance(r2.Vec{X: x * semi.X}), s.Distance(r2.Vec{X: x * semi.X, Y: hair})
				require.InDelta(t, on, beside, hair+1e-12*(1+semi.X), "%v at %v of the long axis, %v beside it", semi, x, hair)
			}
		}
	}
}
