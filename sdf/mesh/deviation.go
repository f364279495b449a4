package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// sampled is how many triangles the deviation is measured at, to twice as many.
const sampled = 20_000

// Deviation is the greatest |field| at the middles of a sample of the
// triangles, mm: how far the solid strays from its field, where that is visible.
func Deviation(ctx context.Context, f sdf.Field, m *Mesh) (float64, error) {
	return (&crew{ctx: ctx}).deviation(f, m)
}

// deviation is Deviation with a crew. Points close together are looked at together, in the
// field simplified for the ball about them.
func (w *crew) deviation(f sdf.Field, m *Mesh) (float64, error) {
	var points []r3.Vec
	for i, every := 0, max(1, len(m.Triangles)/sampled); i < len(m.Triangles); i += every {
		points = append(points, m.middle(i))
	}
	places := []samples{{f, points}}
	for range 6 { // enough for all workers
		var halves []samples
		for _, s := range places {
			halves = append(halves, s.halve()...)
		}
		places = halves
	}
	most := make([]float64, len(places))
	err := w.inParallel(numbers(len(places)), func() func(i int32) error {
		return func(i int32) error {
			most[i] = places[i].most()
			return nil
		}
	})
	return slices.Max(append(most, 0)), err
}

// middle is the middle of a triangle.
func (m *Mesh) middle(triangle int) (c r3.Vec) {
	for _, v := range m.Triangles[triangle] {
		p := m.Vertices[v]
		c = r3.Add(c, r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])})
	}
	return r3.Scale(1.0/3, c)
}

// samples are points to look at in a field.
type samples struct {
	f      sdf.Field
	points []r3.Vec
}

// few is how many points are looked at without looking for a simpler field.
const few = 8

// halve simplifies the field for the points and parts them along the longest side of
// their box.
func (s samples) halve() []samples {
	if len(s.points) <= few {
		return []samples{s}
	}
	box := r3.Box{Min: s.points[0], Max: s.points[0]}
	for _, p := range s.points {
		box.Min = r3.Vec{X: min(box.Min.X, p.X), Y: min(box.Min.Y, p.Y), Z: min(box.Min.Z, p.Z)}
		box.Max = r3.Vec{X: max(box.Max.X, p.X), Y: max(box.Max.Y, p.Y), Z: max(box.Max.Z, p.Z)}
	}
	if s.f.Cost() > cheap {
		s.f = s.f.Prune(sdf.BoxBall(box))
	}
	size := r3.Sub(box.Max, box.Min)
	longest := max(size.X, size.Y, size.Z)
	slices.SortFunc(s.points, func(a, b r3.Vec) int {
		switch longest {
		case size.X:
			return cmp.Compare(a.X, b.X)
		case size.Y:
			return cmp.Compare(a.Y, b.Y)
		}
		return cmp.Compare(a.Z, b.Z)
	})
	half := len(s.points) / 2
	return []samples{{s.f, s.points[:half]}, {s.f, s.points[half:]}}
}

// most is the greatest |field| at the points.
func (s samples) most() (most float64) {
	if len(s.points) > few {
		for _, half := range s.halve() {
			most = max(most, half.most())
		}
		return most
	}
	for _, p := range s.points {
		most = max(most, math.Abs(s.f.Value(p)))
	}
	return most
}
