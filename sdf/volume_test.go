package sdf

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// cube is a box about the origin.
func cube(half float64) r3.Box {
	return r3.Box{Min: V(-half, -half, -half), Max: V(half, half, half)}
}

// lShape is an outline with a reentrant corner, 84 mm2 by the shoelace formula.
func lShape() []r2.Vec {
	return []r2.Vec{{X: -6, Y: -5}, {X: 6, Y: -5}, {X: 6, Y: 1}, {X: -3, Y: 1}, {X: -3, Y: 5}, {X: -6, Y: 5}}
}

// The closed forms are those of Harris and Stocker, Handbook of Mathematics and
// Computational Science (1998), chapter 4, from memory: ball, cap, frustum of a cone; the
// lens is two caps.
func TestVolumesOfClosedForms(t *testing.T) {
	const r, d = 7.0, 5.0
	tilt := Turn(V(1, 2, 3), 37).Then(At(V(0.3, -0.2, 0.1)))
	ball := func(x float64) Field { return Place(Sphere(r), At(V(x, 0, 0))) }
	capped := func(h float64) float64 { return math.Pi * h * h * (3*r - h) / 3 }
	whole := 4 * math.Pi * r * r * r / 3
	lens := 2 * capped(r-d/2)
	for _, c := range []struct {
		name           string
		a, b           Field
		box            r3.Box
		added, removed float64
	}{
		{"ball", Nothing(), Sphere(r), cube(8), whole, 0},
		{"cap of a ball, cut by the box", Nothing(), Sphere(r), r3.Box{Min: V(-8, -8, 4.5), Max: V(8, 8, 9)}, capped(2.5), 0},
		{"frustum of a cone", Nothing(), Place(Cone(6, 3, 9), tilt), cube(14), math.Pi * 9 * (36 + 18 + 9) / 3, 0},
		{"tilted box", Nothing(), Place(Box(V(11, 7, 5), 0), tilt), cube(9), 11 * 7 * 5, 0},
		{"two balls that overlap", ball(-d / 2), ball(d / 2), cube(11), whole - lens, whole - lens},
		{"the lens of two balls", Nothing(), Intersection(ball(-d/2), ball(d/2)), cube(11), lens, 0},
		{"a hole", Place(Box(V(16, 14, 4), 0), tilt), Difference(Place(Box(V(16, 14, 4), 0), tilt), Place(Prism(lShape(), -5, 5), tilt)), cube(14), 0, 84 * 4},
		{"a rise much less than a cell", Place(HalfSpace(V(1, 2, 5), 1), tilt), Place(HalfSpace(V(1, 2, 5), 1.003), tilt), cube(3),
			halfSpaceInCube(t, tilt, 1.003) - halfSpaceInCube(t, tilt, 1), 0},
		{"a thin skin", Sphere(r), Sphere(r + 0.01), cube(8), 4 * math.Pi * (math.Pow(r+0.01, 3) - r*r*r) / 3, 0},
		{"one ball and all but it", Sphere(r), Complement(Sphere(r)), cube(8), 16*16*16 - whole, whole},
		{"one side and the other", Place(HalfSpace(V(0, 0, 1), 0), tilt), Place(HalfSpace(V(0, 0, -1), 0), tilt), cube(3),
			216 - halfSpaceOf(t, Place(HalfSpace(V(0, 0, 1), 0), tilt)), halfSpaceOf(t, Place(HalfSpace(V(0, 0, 1), 0), tilt))},
	} {
		t.Run(c.name, func(t *testing.T) {
			added, removed, err := VolumeBetween(context.Background(), c.a, c.b, c.box, 0.2)
			require.NoError(t, err)
			near := func(want, got float64) { require.InDelta(t, want, got, 1e-3*want) }
			near(c.added, added)
			near(c.removed, removed)
		})
	}
}

// halfSpaceOf is the share of cube(3) below a plane, by counting points of a fine grid
// along columns: in each the height of the plane is exact.
func halfSpaceOf(t *testing.T, f Field) float64 {
	n, d, ok := f.(Planar).Plane()
	require.True(t, ok)
	require.Greater(t, n.Z, 0.1)
	const steps = 1200
	sum := 0.0
	for i := range steps {
		for j := range steps {
			x, y := -3+6*(float64(i)+0.5)/steps, -3+6*(float64(j)+0.5)/steps
			z := (d - n.X*x - n.Y*y) / n.Z
			sum += math.Max(0, math.Min(6, z+3))
		}
	}
	return sum * 36 / steps / steps
}

// volume is the volume of a solid within a box, mm3.
func volume(ctx context.Context, f Field, box r3.Box, cell float64) (float64, error) {
	v, _, err := VolumeBetween(ctx, Nothing(), f, box, cell)
	return v, err
}

func halfSpaceInCube(t *testing.T, pose Pose, d float64) float64 {
	return halfSpaceOf(t, Place(HalfSpace(V(1, 2, 5), d), pose))
}

// The volume of a solid does not hang on how it lies to the cells, nor on a field that
// rises more slowly than the distance.
func TestVolumesTurnedAtRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pose := Turn(drawUnit(t, "axis"), rapid.Float64Range(0, 360).Draw(t, "angle")).Then(At(r3.Scale(0.7, drawUnit(t, "move"))))
		size := V(rapid.Float64Range(3, 8).Draw(t, "x"), rapid.Float64Range(3, 8).Draw(t, "y"), rapid.Float64Range(3, 8).Draw(t, "z"))
		slow := rapid.Float64Range(0.3, 1).Draw(t, "slope")
		v, err := volume(context.Background(), &slowed{Place(Box(size, 0), pose), slow}, cube(9), 0.45)
		require.NoError(t, err)
		want := size.X * size.Y * size.Z
		creases := 4 * (size.X + size.Y + size.Z)
		require.InDelta(t, want, v, creases*0.45*0.45/8, "creases are rounded up, faces are not")
	})
}

// slowed is a field that rises by a share of the distance.
type slowed struct {
	Field
	by float64
}

func (s *slowed) Value(p r3.Vec) float64 { return s.by * s.Field.Value(p) }
func (s *slowed) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := s.Field.Gradient(p)
	return s.by * d, r3.Scale(s.by, g)
}
func (s *slowed) Lipschitz() float64 { return s.by }
func (s *slowed) Prune(b Ball) Field { return &slowed{s.Field.Prune(b), s.by} }

// Halving the cell leaves a quarter of the error, or less.
func TestVolumesConverge(t *testing.T) {
	want := 4 * math.Pi * 125 / 3
	off := func(cell float64) float64 {
		v, err := volume(context.Background(), Sphere(5), cube(6), cell)
		require.NoError(t, err)
		return math.Abs(v - want)
	}
	coarse, fine := off(0.8), off(0.4)
	require.Less(t, fine, coarse/3)
	require.Less(t, fine/want, math.Pow(0.4/10, 2))
}

// Of a scene and itself nothing is between, whether it is the same field or one made anew;
// and what one gains the other loses, to the bit.
func TestVolumesBetweenAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "parts")
		ground := func() Field {
			return Union(append(heap(n), Displace(HalfSpace(V(0, 0.1, 1), 0.7), NewNoise(5, 3, 2), 0.3))...)
		}
		box := cube(12)
		box.Min.Z, box.Max.Z = -2, 5
		at := V(rapid.Float64Range(-10, 10).Draw(t, "x"), rapid.Float64Range(-10, 10).Draw(t, "y"), 0.7)
		a, b := ground(), Difference(ground(), Place(Sphere(2), At(at)))
		added, removed, err := VolumeBetween(context.Background(), a, ground(), box, 1)
		require.NoError(t, err)
		require.Zero(t, added)
		require.Zero(t, removed)
		added, removed, err = VolumeBetween(context.Background(), a, b, box, 1)
		require.NoError(t, err)
		require.Zero(t, added, "a ball taken away adds nothing")
		require.Greater(t, removed, 1.0)
		back, forth, err := VolumeBetween(context.Background(), b, a, box, 1)
		require.NoError(t, err)
		require.Equal(t, []float64{added, removed}, []float64{forth, back})
	})
}

func TestVolumesDoNotHangOnTheWorkers(t *testing.T) {
	a := Union(heap(40)...)
	b := Difference(a, Sphere(9))
	var first volumes
	for i, n := range []int{1, 2, 8} {
		old := runtime.GOMAXPROCS(n)
		v, err := measureVolumes(context.Background(), a, b, cube(25), 0.7)
		runtime.GOMAXPROCS(old)
		require.NoError(t, err)
		if i == 0 {
			first = v
			require.Greater(t, v.removed, 1.0)
		}
		require.Equal(t, first, v)
	}
}

func TestVolumesOfNoBox(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		box  r3.Box
		cell float64
		says string
	}{
		{cube(1), 0, "above 0"}, {cube(1), -1, "above 0"}, {cube(1), nan, "above 0"}, {cube(1), math.Inf(1), "above 0"},
		{everywhere, 1, "limits"}, {cube(-1), 1, "limits"}, {cube(nan), 1, "limits"},
		{cube(1), 1e-9, "at most 16384"},
	} {
		_, err := volume(context.Background(), Sphere(1), c.box, c.cell)
		require.ErrorContains(t, err, c.says)
	}
	v, err := volume(context.Background(), Sphere(1), r3.Box{}, 1)
	require.NoError(t, err)
	require.Zero(t, v)

	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = volume(ctx, Sphere(1), cube(1), 0.1)
	require.ErrorIs(t, err, context.Canceled)
}

// A fault within a field is an error, and ends nothing else.
func TestVolumesOfAFaultyField(t *testing.T) {
	_, err := volume(context.Background(), &broken{Sphere(1)}, cube(1), 0.1)
	require.ErrorContains(t, err, "internal fault: broken")
}

type broken struct{ Field }

func (broken) Value(r3.Vec) float64 { panic("broken") }

func BenchmarkVolumeBetween(b *testing.B) {
	ground := Displace(HalfSpace(V(0, 0.1, 1), 0), NewNoise(5, 3, 3), 0.5)
	stones := func() Field { return Union(append(heap(200), ground)...) }
	cratered := Difference(stones(), Sphere(9))
	box := cube(30)
	box.Min.Z, box.Max.Z = -12, 30
	for _, c := range []struct {
		name string
		a, b Field
		mm2  float64 // of surface, about
	}{
		{"ball", Nothing(), Sphere(10), 4 * math.Pi * 100},
		{"stones and a crater", stones(), cratered, 2 * 60 * 60},
		{"the same stones", stones(), stones(), 2 * 60 * 60},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var v volumes
			for b.Loop() {
				var err error
				v, err = measureVolumes(context.Background(), c.a, c.b, box, 0.2)
				require.NoError(b, err)
			}
			b.ReportMetric(float64(v.looks)/c.mm2, "looks/mm2")
			b.ReportMetric(float64(v.cells)/c.mm2, "cells/mm2")
		})
	}
}

// Two planes part a box in four, whose volumes add up and are what counting points
// gives.
func TestWedgesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		box := r3.Box{Min: V(-1, -2, 0.5), Max: V(2, 1.5, 2)}
		at := V(0.3, 0.1, 1.2)
		draw := func(label string) plane {
			return plane{at: at, d: rapid.Float64Range(-2, 2).Draw(t, label), g: r3.Scale(rapid.Float64Range(0.1, 1).Draw(t, label+" slope"), drawUnit(t, label))}
		}
		a, b := draw("a"), draw("b")
		over := func(p plane) plane { return plane{at: p.at, d: -p.d, g: r3.Scale(-1, p.g)} }
		parts := [4]float64{wedge(a, b, box), wedge(b, a, box), wedge(a, over(b), box), wedge(over(a), b, box)}
		whole := 0.0
		for _, v := range parts {
			require.GreaterOrEqual(t, v, 0.0)
			whole += v
		}
		const volume = 3 * 3.5 * 1.5
		require.InDelta(t, volume, whole, 1e-9)

		const steps = 24
		var counted float64
		for i := range steps {
			for j := range steps {
				for k := range steps {
					p := V(-1+3*(float64(i)+0.5)/steps, -2+3.5*(float64(j)+0.5)/steps, 0.5+1.5*(float64(k)+0.5)/steps)
					if a.value(p) < 0 && b.value(p) >= 0 {
						counted++
					}
				}
			}
		}
		require.InDelta(t, parts[0]/volume, counted/(steps*steps*steps), 0.06)
	})
}
