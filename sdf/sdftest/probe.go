package sdftest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

// DropOnto marches down a vertical line from z and gives the height at which it
// meets the solid, to 1e-9 mm.
func DropOnto(t require.TestingT, f sdf.Field, x, y, z float64) float64 {
	for range 100_000 {
		d := f.Value(sdf.V(x, y, z))
		if d < 1e-9 {
			return z
		}
		z -= d
		if z < -1e3 {
			break
		}
	}
	require.FailNow(t, "the line meets nothing", "at %v, %v", x, y)
	return 0
}

// RequireOnePiece floods the solid on a lattice and fails where some of it
// cannot be reached from the rest. A zero box stands for the field's own.
func RequireOnePiece(t require.TestingT, f sdf.Field, box r3.Box, step float64) {
	if box == (r3.Box{}) {
		box = f.Bounds()
	}
	size := r3.Sub(box.Max, box.Min)
	n := [3]int{int(size.X/step) + 1, int(size.Y/step) + 1, int(size.Z/step) + 1}
	inside := make([]bool, n[0]*n[1]*n[2])
	at := func(i, j, k int) int { return (k*n[1]+j)*n[0] + i }
	total, first := 0, -1
	sample := func(i, j, k int) r3.Vec {
		return sdf.V(box.Min.X+(float64(i)+0.37)*step, box.Min.Y+(float64(j)+0.41)*step, box.Min.Z+(float64(k)+0.43)*step)
	}
	const block = 8 // samples a side, looked at together
	for k := 0; k < n[2]; k += block {
		for j := 0; j < n[1]; j += block {
			for i := 0; i < n[0]; i += block {
				hi := [3]int{min(i+block, n[0]), min(j+block, n[1]), min(k+block, n[2])}
				ball := sdf.BoxBall(r3.Box{Min: sample(i, j, k), Max: sample(hi[0]-1, hi[1]-1, hi[2]-1)})
				if f.Value(ball.C) > ball.R {
					continue
				}
				near := f.Prune(ball)
				for c := k; c < hi[2]; c++ {
					for b := j; b < hi[1]; b++ {
						for a := i; a < hi[0]; a++ {
							if near.Value(sample(a, b, c)) < 0 {
								inside[at(a, b, c)] = true
								total++
								first = at(a, b, c)
							}
						}
					}
				}
			}
		}
	}
	require.Positive(t, total, "nothing there at a step of %v", step)
	queue := []int{first}
	inside[first] = false
	found := 0
	for len(queue) > 0 {
		c := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		found++
		i, j, k := c%n[0], c/n[0]%n[1], c/n[0]/n[1]
		for dk := -1; dk <= 1; dk++ {
			for dj := -1; dj <= 1; dj++ {
				for di := -1; di <= 1; di++ {
					a, b, e := i+di, j+dj, k+dk
					if a < 0 || b < 0 || e < 0 || a >= n[0] || b >= n[1] || e >= n[2] {
						continue
					}
					if m := at(a, b, e); inside[m] {
						inside[m] = false
						queue = append(queue, m)
					}
				}
			}
		}
	}
	require.Equal(t, total, found, fmt.Sprintf("%d of %d samples float", total-found, total))
}

// SurfaceAt marches down from above to the first solid at a place and halves
// the last step until it is found to 1e-10 mm.
func SurfaceAt(t require.TestingT, f sdf.Field, x, y, from float64) float64 {
	const least = 1e-3 // shorter steps are of use only along a wall
	z, above := from, from
	for z > from-200 {
		v := f.Value(sdf.V(x, y, z))
		if v < 0 {
			for above-z > 1e-10 {
				if mid := (above + z) / 2; f.Value(sdf.V(x, y, mid)) < 0 {
					z = mid
				} else {
					above = mid
				}
			}
			return z
		}
		above, z = z, z-math.Max(v, least)
	}
	require.Fail(t, "no surface", "at %v, %v", x, y)
	return 0
}

// RequireSolidColumns says that what lies under the first solid is solid: no
// hollows, and no gaps between a finish and its structure.
func RequireSolidColumns(t require.TestingT, f sdf.Field, b r2.Box, from, to float64) {
	for i := range 60 {
		for j := range 60 {
			x := b.Min.X + (b.Max.X-b.Min.X)*(float64(i)+0.37)/60
			y := b.Min.Y + (b.Max.Y-b.Min.Y)*(float64(j)+0.41)/60
			z := SurfaceAt(t, f, x, y, from) - 0.02
			for z > to {
				v := f.Value(sdf.V(x, y, z))
				require.LessOrEqual(t, v, 1e-9, "a hollow at %v, %v, %v", x, y, z)
				z -= math.Max(0.02, -v)
			}
		}
	}
}

// RequireHonest samples what every field promises (see package sdf) in and
// around a box: slope, bounds, gradient and pruning.
func RequireHonest(t require.TestingT, f sdf.Field, box r3.Box, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 5))
	size := r3.Sub(box.Max, box.Min)
	require.False(t, math.IsInf(r3.Norm(size), 0), "a finite box to sample in")
	in := func(grow float64) r3.Vec {
		at := func(lo, size float64) float64 { return lo - grow*size + (1+2*grow)*size*rng.Float64() }
		return sdf.V(at(box.Min.X, size.X), at(box.Min.Y, size.Y), at(box.Min.Z, size.Z))
	}
	bounds := f.Bounds()
	smooth := 0
	for range 400 {
		p := in(0.3)
		v := f.Value(p)
		require.False(t, math.IsNaN(v))
		d, g := f.Gradient(p)
		require.Equal(t, v, d, "Gradient gives the bits of Value at %v", p)
		require.LessOrEqual(t, r3.Norm(g), f.Lipschitz()+1e-9, "slope at %v", p)

		step := r3.Scale(math.Pow(10, -4*rng.Float64())*r3.Norm(size)/4, r3.Unit(sdf.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64())))
		q := r3.Add(p, step)
		require.LessOrEqual(t, math.Abs(f.Value(q)-v), f.Lipschitz()*r3.Norm(step)+1e-9, "slope from %v to %v", p, q)

		// The gradient against differences, where both sides agree.
		const h = 1e-6
		for _, e := range []r3.Vec{{X: h}, {Y: h}, {Z: h}} {
			up, down := (f.Value(r3.Add(p, e))-v)/h, (v-f.Value(r3.Sub(p, e)))/h
			if math.Abs(up-down) < 1e-3 {
				require.InDelta(t, (up+down)/2, r3.Dot(g, e)/h, 2e-3, "gradient at %v along %v", p, e)
				smooth++
			}
		}

		if out := sdf.BoxDistance(p, bounds); out > 0 {
			require.GreaterOrEqual(t, v, f.Tightness()*out-1e-9, "outside the bounds at %v", p)
		}

		ball := sdf.Ball{C: p, R: rng.Float64() * rng.Float64() * r3.Norm(size) / 4}
		pruned := f.Prune(ball)
		require.LessOrEqual(t, pruned.Cost(), f.Cost())
		side, flat := sdf.Side(pruned, ball), sdf.IsFlat(pruned)
		last, before := p, v
		for range 6 {
			u := r3.Unit(sdf.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()))
			x := r3.Add(p, r3.Scale(ball.R*math.Cbrt(rng.Float64()), u))
			v := f.Value(x)
			require.GreaterOrEqual(t, float64(side)*v, 0.0, "on side %d of %v at %v", side, ball, x)
			if flat && (v < 0) == (before < 0) { // between two points on one side lies that side
				between := f.Value(r3.Scale(0.5, r3.Add(x, last)))
				require.True(t, v < 0 && between < 1e-9 || v >= 0 && between > -1e-9, "flat in %v, between %v and %v", ball, last, x)
			}
			last, before = x, v
			require.True(t, v == pruned.Value(x), "pruned to %v: %v is not %v at %v", ball, pruned.Value(x), v, x)
			d, _ := pruned.Gradient(x)
			require.True(t, v == d, "pruned gradient to %v at %v", ball, x)
		}
		if pl, ok := pruned.(sdf.Planar); ok {
			if n, d, ok := pl.Plane(); ok {
				require.InDelta(t, r3.Dot(n, p)-d, v, 1e-9)
			}
		}
	}
	require.Greater(t, smooth, 600, "the gradient was compared at too few places")
}

// Volume integrates a field over a box: cells that the distance decides count
// whole, leaves by how much of them a plane at that distance would fill.
func Volume(f sdf.Field, box r3.Box, leaf float64) float64 {
	ball := sdf.BoxBall(box)
	size := r3.Sub(box.Max, box.Min)
	whole := size.X * size.Y * size.Z
	d := f.Value(ball.C)
	if d > ball.R {
		return 0
	}
	if d < -ball.R {
		return whole
	}
	if math.Max(size.X, math.Max(size.Y, size.Z)) <= leaf {
		_, g := f.Gradient(ball.C)
		width := math.Abs(g.X)*size.X + math.Abs(g.Y)*size.Y + math.Abs(g.Z)*size.Z
		return whole * math.Max(0, math.Min(1, 0.5-d/width))
	}
	a, b := box, box
	switch {
	case size.X >= size.Y && size.X >= size.Z:
		a.Max.X, b.Min.X = ball.C.X, ball.C.X
	case size.Y >= size.Z:
		a.Max.Y, b.Min.Y = ball.C.Y, ball.C.Y
	default:
		a.Max.Z, b.Min.Z = ball.C.Z, ball.C.Z
	}
	f = f.Prune(ball)
	return Volume(f, a, leaf) + Volume(f, b, leaf)
}

func Corners(xy ...float64) []r2.Vec {
	out := make([]r2.Vec, len(xy)/2)
	for i := range out {
		out[i] = r2.Vec{X: xy[2*i], Y: xy[2*i+1]}
	}
	return out
}

// StarOutline draws a simple polygon: corners at growing angles about a point.
func StarOutline(t *rapid.T) []r2.Vec {
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	out := make([]r2.Vec, n)
	for i := range out {
		r := rapid.Float64Range(2, 20).Draw(t, "radius")
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.4).Draw(t, "jitter")) / float64(n))
		out[i] = r2.Vec{X: r*cos + 3, Y: r*sin - 2}
	}
	return out
}
