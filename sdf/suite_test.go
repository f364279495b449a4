package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// rounding is what a value may be off by for rounding alone, in mm, in scenes of a
// few hundred mm.
const rounding = 1e-9

// checkField holds a field to every promise of the package comment, at random
// points in and around its bounds, and to its being pruned, twice over, to the bit.
// Use it for every field there is.
func checkField(t *testing.T, f Field, name string) {
	t.Helper()
	t.Run(name, func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) { fieldPromise(t, f) })
	})
}

// fieldPromise draws points and balls and checks the promises there.
func fieldPromise(t *rapid.T, f Field) {
	k, tight, box := f.Lipschitz(), f.Tightness(), f.Bounds()
	require.True(t, k >= 0 && k <= 1, "Lipschitz %v", k)
	require.True(t, tight > 0 && tight <= 1, "Tightness %v", tight)
	require.GreaterOrEqual(t, f.Cost(), 0)

	p := drawNear(t, box, "p")
	v := f.Value(p)
	require.False(t, math.IsNaN(v), "NaN at %v", p)
	sameGradient(t, f, f, p)
	if d := BoxDistance(p, box); d > 0 {
		require.GreaterOrEqual(t, v, -rounding, "inside at %v, outside the bounds %v", p, box)
		require.GreaterOrEqual(t, v, tight*d-rounding, "at %v: looser than Tightness %v, %v outside the bounds %v", p, tight, d, box)
	}

	// Never an overestimate: near, far, and across the whole field.
	for _, q := range []r3.Vec{
		drawNear(t, box, "q"),
		r3.Add(p, drawStep(t, "step")),
	} {
		w := f.Value(q)
		require.LessOrEqual(t, math.Abs(v-w), k*norm(r3.Sub(p, q))+rounding, "steeper than %v between %v and %v", k, p, q)
	}

	smoothGradient(t, f, p)

	// Pruned equals unpruned, in a ball, in a ball inside that, in a third.
	ball := Ball{C: p, R: math.Pow(10, rapid.Float64Range(-2, 1.5).Draw(t, "log10 radius"))}
	pruned := f.Prune(ball)
	narrowed := Narrow(f, ball)
	sameMade(t, pruned, narrowed.Prune(ball))
	for range 3 {
		require.LessOrEqual(t, pruned.Cost(), f.Cost())
		for range 8 {
			p := drawInBall(t, ball)
			samePruned(t, f, pruned, p)
			sameGradient(t, f, narrowed, p)
		}
		samePruned(t, f, pruned, ball.C)
		ball = smallerBall(t, ball)
		pruned = pruned.Prune(ball)
		sameMade(t, f.Prune(ball), narrowed.Prune(ball))
	}
}

// sameMade compares what two fields are made of.
func sameMade(t *rapid.T, f, g Field) {
	a, err := DigestOf(f)
	require.NoError(t, err)
	b, err := DigestOf(g)
	require.NoError(t, err)
	require.Equal(t, a, b, "pruned, it is not what the narrowed one is")
}

// samePruned compares bits at a point, and a claim to be a plane with the value.
func samePruned(t *rapid.T, f, pruned Field, p r3.Vec) {
	sameGradient(t, f, pruned, p)
	pl, is := pruned.(Planar)
	if !is {
		return
	}
	if n, d, ok := pl.Plane(); ok {
		require.InDelta(t, 1, norm(n), 1e-9, "normal of the plane")
		v, g := pruned.Gradient(p)
		require.InDelta(t, v, dot(n, p)-d, rounding, "not the plane it claims, at %v", p)
		require.LessOrEqual(t, norm(r3.Sub(g, n)), 1e-9, "not the normal it claims, at %v", p)
	}
}

// sameGradient: value and gradient of two fields have the same bits, and no field's
// gradient is steeper than it says.
func sameGradient(t *rapid.T, f, g Field, p r3.Vec) {
	v, grad := f.Gradient(p)
	w, grad2 := g.Gradient(p)
	require.Equal(t, f.Value(p), v, "Gradient's value is not Value's, at %v", p)
	require.Equal(t, g.Value(p), w, "Gradient's value is not Value's, pruned, at %v", p)
	require.True(t, v == w, "pruned %v is not %v, at %v", w, v, p)
	require.True(t, grad == grad2, "pruned gradient %v is not %v, at %v", grad2, grad, p)
	l := norm(grad)
	require.False(t, math.IsNaN(l), "gradient NaN at %v", p)
	require.LessOrEqual(t, l, f.Lipschitz()+1e-9, "gradient %v too long at %v", grad, p)
}

// smoothGradient compares the gradient with central differences, where two step
// sizes and the neighbours' gradients agree that there is no crease.
func smoothGradient(t *rapid.T, f Field, p r3.Vec) {
	const h = 1e-4
	_, g := f.Gradient(p)
	var fine [3]float64
	for i, e := range [3]r3.Vec{V(h, 0, 0), V(0, h, 0), V(0, 0, h)} {
		_, ahead := f.Gradient(r3.Add(p, e))
		_, behind := f.Gradient(r3.Sub(p, e))
		if norm(r3.Sub(ahead, g)) > 1e-2 || norm(r3.Sub(behind, g)) > 1e-2 {
			return
		}
		fine[i] = (f.Value(r3.Add(p, e)) - f.Value(r3.Sub(p, e))) / (2 * h)
	}
	want := V(fine[0], fine[1], fine[2])
	require.LessOrEqual(t, norm(r3.Sub(g, want)), 1e-2+1e-9, "gradient %v, by differences %v, at %v", g, want, p)
}

// drawNear is a point in or near a box; without limits, within 60 mm of the origin.
func drawNear(t *rapid.T, b r3.Box, label string) r3.Vec {
	lo := V(finiteOr(b.Min.X, -60), finiteOr(b.Min.Y, -60), finiteOr(b.Min.Z, -60))
	hi := V(finiteOr(b.Max.X, 60), finiteOr(b.Max.Y, 60), finiteOr(b.Max.Z, 60))
	margin := rapid.SampledFrom([]float64{0, 1, 30}).Draw(t, label+" margin")
	margin += 1e-3 + margin*norm(r3.Sub(hi, lo))/30
	at := func(axis string, lo, hi float64) float64 {
		if lo > hi {
			lo, hi = hi, lo
		}
		// Now and then right on a plane of symmetry or a face.
		nan := math.NaN()
		special := rapid.SampledFrom([]float64{nan, nan, nan, nan, nan, 0, lo, hi, (lo + hi) / 2})
		if x := special.Draw(t, label+axis+" special"); !math.IsNaN(x) {
			return x
		}
		return rapid.Float64Range(lo-margin, hi+margin).Draw(t, label+axis)
	}
	return V(at("x", lo.X, hi.X), at("y", lo.Y, hi.Y), at("z", lo.Z, hi.Z))
}

func finiteOr(x, otherwise float64) float64 {
	if math.IsInf(x, 0) {
		return otherwise
	}
	return x
}

// drawUnit is a direction.
func drawUnit(t *rapid.T, label string) r3.Vec {
	z := rapid.Float64Range(-1, 1).Draw(t, label+" z")
	a := rapid.Float64Range(0, 2*math.Pi).Draw(t, label+" angle")
	s := math.Sqrt(math.Max(0, 1-z*z))
	return V(s*math.Cos(a), s*math.Sin(a), z)
}

// drawStep is a step of any length from 1e-6 to 10 mm.
func drawStep(t *rapid.T, label string) r3.Vec {
	return r3.Scale(math.Pow(10, rapid.Float64Range(-6, 1).Draw(t, label+" log10")), drawUnit(t, label))
}

// drawInBall is a point of the ball, often on its surface.
func drawInBall(t *rapid.T, b Ball) r3.Vec {
	part := rapid.SampledFrom([]float64{1, 1, 0.9, 0.5, 0.1}).Draw(t, "part of the radius")
	// Shy of the surface by rounding, so that the point is in the ball indeed.
	return r3.Add(b.C, r3.Scale(b.R*part*(1-1e-12), drawUnit(t, "towards")))
}

// smallerBall is a ball inside a ball.
func smallerBall(t *rapid.T, b Ball) Ball {
	r := b.R * rapid.Float64Range(0.1, 0.9).Draw(t, "smaller")
	return Ball{C: r3.Add(b.C, r3.Scale((b.R-r)*(1-1e-9), drawUnit(t, "ball towards"))), R: r}
}
