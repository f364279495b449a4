package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// patch is a piece of surface over the unit square; ok is false where it is cut away.
type patch func(u, v float64) (p r3.Vec, ok bool)

// nearestOn searches a patch by brute force: a grid, then ever finer grids about
// the best few points of it. It can only find too much, never too little.
func nearestOn(s patch, p r3.Vec) float64 {
	const n, few = 16, 3
	type at struct{ u, v, d float64 }
	best := [few]at{}
	for i := range best {
		best[i].d = math.Inf(1)
	}
	look := func(u, v float64) float64 {
		q, ok := s(u, v)
		if !ok {
			return math.Inf(1)
		}
		return r3.Norm(r3.Sub(p, q))
	}
	for i := range n + 1 {
		for j := range n + 1 {
			c := at{float64(i) / n, float64(j) / n, 0}
			c.d = look(c.u, c.v)
			for k := range best {
				if c.d < best[k].d {
					c, best[k] = best[k], c
				}
			}
		}
	}
	least := math.Inf(1)
	for _, b := range best {
		for step := 0.5 / n; step > 1e-7; step /= 2 {
			for improved := true; improved; {
				improved = false
				for _, d := range [8][2]float64{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, 1}, {-1, 1}, {1, -1}} {
					u := math.Max(0, math.Min(1, b.u+d[0]*step))
					v := math.Max(0, math.Min(1, b.v+d[1]*step))
					if e := look(u, v); e < b.d-1e-13 {
						b, improved = at{u, v, e}, true
					}
				}
			}
		}
		least = math.Min(least, b.d)
	}
	return least
}

// surface gives the distance from a point to a piece of surface by search.
type surface func(p r3.Vec) float64

func (s patch) search(p r3.Vec) float64 { return nearestOn(s, p) }

// spun is the surface of a curve (radius, height) about the z axis. Its nearest
// point lies in the plane of the axis and the point, on one side or the other, so
// only that plane is searched.
func spun(curve func(t float64) (rho, z float64)) surface {
	return func(p r3.Vec) float64 {
		rho, least := math.Hypot(p.X, p.Y), math.Inf(1)
		for _, side := range [2]float64{1, -1} {
			look := func(t float64) float64 {
				r, z := curve(math.Max(0, math.Min(1, t)))
				return math.Hypot(rho-side*r, p.Z-z)
			}
			const n = 200
			best := 0.0
			for i := range n + 1 {
				if t := float64(i) / n; look(t) < look(best) {
					best = t
				}
			}
			for step := 0.5 / n; step > 1e-12; step /= 2 {
				for _, t := range [2]float64{best - step, best + step} {
					if look(t) < look(best) {
						best = math.Max(0, math.Min(1, t))
					}
				}
			}
			least = math.Min(least, look(best))
		}
		return least
	}
}

// spunEdge is a straight profile edge about the z axis.
func spunEdge(a, b r2.Vec) surface {
	return spun(func(t float64) (float64, float64) { return a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y) })
}

func spunOutline(pts []r2.Vec) (out []surface) {
	for i, a := range pts {
		if b := pts[(i+1)%len(pts)]; a.X != 0 || b.X != 0 {
			out = append(out, spunEdge(a, b))
		}
	}
	return out
}

// raised is the surface of a polygon raised from lo to hi.
func raised(pts []r2.Vec, lo, hi float64) (out []surface) {
	least, most := pts[0], pts[0]
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		side := patch(func(u, v float64) (r3.Vec, bool) {
			return V(a.X+u*(b.X-a.X), a.Y+u*(b.Y-a.Y), lo+v*(hi-lo)), true
		})
		out = append(out, side.search)
		least = r2.Vec{X: math.Min(least.X, a.X), Y: math.Min(least.Y, a.Y)}
		most = r2.Vec{X: math.Max(most.X, a.X), Y: math.Max(most.Y, a.Y)}
	}
	for _, z := range []float64{lo, hi} {
		end := patch(func(u, v float64) (r3.Vec, bool) {
			q := r2.Vec{X: least.X + u*(most.X-least.X), Y: least.Y + v*(most.Y-least.Y)}
			return V(q.X, q.Y, z), crossings(pts, q)
		})
		out = append(out, end.search)
	}
	return out
}

// crossings is the even-odd rule: a point is inside where a ray leaves through an
// odd number of edges.
func crossings(pts []r2.Vec, p r2.Vec) bool {
	inside := false
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			inside = !inside
		}
	}
	return inside
}

// TestExactPrimitives compares the fields that claim to be exact with the nearest
// point of their surface by brute search, and their sign with their equation.
func TestExactPrimitives(t *testing.T) {
	rho := func(p r3.Vec) float64 { return math.Hypot(p.X, p.Y) }
	a, b := V(-3, 2, 1), V(8, 5, 11)
	along := r3.Unit(r3.Sub(b, a))
	side := r3.Unit(r3.Cross(along, V(0, 0, 1)))
	other := r3.Cross(along, side)
	// Six patches make a ball: a cube's faces, blown up.
	ball := func(at r3.Vec, radius float64, keep func(q r3.Vec) bool) (out []surface) {
		for face := range 6 {
			cheek := patch(func(u, v float64) (r3.Vec, bool) {
				c := [3]float64{2*u - 1, 2*v - 1, float64(face%2*2 - 1)}
				q := r3.Add(at, r3.Scale(radius, r3.Unit(V(c[face/2], c[(face/2+1)%3], c[(face/2+2)%3]))))
				return q, keep == nil || keep(q)
			})
			out = append(out, cheek.search)
		}
		return out
	}
	offAxis := func(p r3.Vec) float64 {
		t := math.Max(0, math.Min(r3.Norm(r3.Sub(b, a)), r3.Dot(along, r3.Sub(p, a))))
		return r3.Norm(r3.Sub(p, r3.Add(a, r3.Scale(t, along))))
	}
	onRod := func(q r3.Vec) bool { return offAxis(q) > 2.5-1e-9 }
	rod := patch(func(u, v float64) (r3.Vec, bool) {
		s, c := math.Sincos(2 * math.Pi * v)
		return r3.Add(r3.Add(a, r3.Scale(u, r3.Sub(b, a))), r3.Add(r3.Scale(2.5*c, side), r3.Scale(2.5*s, other))), true
	})
	inProfile := func(pts []r2.Vec) func(p r3.Vec) bool {
		return func(p r3.Vec) bool { return crossings(pts, r2.Vec{X: rho(p), Y: p.Z}) }
	}
	cone := []r2.Vec{{}, {X: 9}, {Y: 14}}
	flare := []r2.Vec{{}, {X: 6}, {X: 9, Y: 8}, {Y: 8}}
	ring := []r2.Vec{{X: 8}, {X: 14, Y: 1}, {X: 10, Y: 9}}
	drum := []r2.Vec{{}, {X: 8}, {X: 8, Y: 12}, {Y: 12}}
	rounded := []surface{
		spunEdge(r2.Vec{}, r2.Vec{X: 6}), spunEdge(r2.Vec{X: 8, Y: 2}, r2.Vec{X: 8, Y: 10}), spunEdge(r2.Vec{Y: 12}, r2.Vec{X: 6, Y: 12}),
		spun(func(t float64) (float64, float64) {
			s, c := math.Sincos(math.Pi / 2 * t)
			return 6 + 2*c, 10 + 2*s
		}),
		spun(func(t float64) (float64, float64) {
			s, c := math.Sincos(math.Pi / 2 * t)
			return 6 + 2*c, 2 - 2*s
		}),
	}
	for _, c := range []struct {
		name    string
		f       Field
		inside  func(p r3.Vec) bool
		surface []surface
	}{
		{"sphere", Sphere(7), func(p r3.Vec) bool { return r3.Norm(p) < 7 }, ball(r3.Vec{}, 7, nil)},
		{"cylinder", Cylinder(8, 12, 0), inProfile(drum), spunOutline(drum)},
		{"rounded cylinder", Cylinder(8, 12, 2), func(p r3.Vec) bool {
			d, w := math.Max(rho(p)-6, 0), math.Max(math.Abs(p.Z-6)-4, 0)
			return d*d+w*w < 4
		}, rounded},
		{"cone", Cone(9, 0, 14), inProfile(cone), spunOutline(cone)},
		{"flare", Cone(6, 9, 8), inProfile(flare), spunOutline(flare)},
		{"capsule", Capsule(a, b, 2.5), func(p r3.Vec) bool { return offAxis(p) < 2.5 },
			append(append(ball(a, 2.5, onRod), ball(b, 2.5, onRod)...), rod.search)},
		{"torus", Torus(15, 4), func(p r3.Vec) bool { return math.Hypot(rho(p)-15, p.Z) < 4 }, []surface{
			spun(func(t float64) (float64, float64) { // the upper half
				s, c := math.Sincos(math.Pi * t)
				return 15 + 4*c, 4 * s
			}),
			spun(func(t float64) (float64, float64) { // the lower
				s, c := math.Sincos(math.Pi * t)
				return 15 + 4*c, -4 * s
			}),
		}},
		{"vase", Revolve(vase()), inProfile(vase()), spunOutline(vase())},
		{"ring", Revolve(ring), inProfile(ring), spunOutline(ring)},
		{"bracket", Prism(bracket(), -2, 5), func(p r3.Vec) bool { return crossings(bracket(), plan(p)) && p.Z > -2 && p.Z < 5 }, raised(bracket(), -2, 5)},
		{"star", Prism(star(5, 12, 5), 0, 9), func(p r3.Vec) bool { return crossings(star(5, 12, 5), plan(p)) && p.Z > 0 && p.Z < 9 }, raised(star(5, 12, 5), 0, 9)},
	} {
		t.Run(c.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				p := drawNear(t, c.f.Bounds(), "p")
				least := math.Inf(1)
				for _, s := range c.surface {
					least = math.Min(least, s(p))
				}
				d := c.f.Value(p)
				require.InDelta(t, least, math.Abs(d), 2e-5, "at %v", p)
				if least > 2e-5 {
					require.Equal(t, c.inside(p), d < 0, "sign of %v at %v", d, p)
				}
			})
		})
	}
}
