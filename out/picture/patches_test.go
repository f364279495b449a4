package picture

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// Every triangle is in one patch, with the corners and normals that the patch tells of; a
// patch that faces away from a lamp has no facet that faces it.
func TestPatchesHoldTheFacets(t *testing.T) {
	meshes := []Mesh{cobbles(4), ball(r3.Vec{X: 3, Y: 3, Z: 9}, 2, 24)}
	f := gather(meshes, creaseAngle).with(gather([]Mesh{Person(5, r3.Vec{X: 20}, 90)}, creaseAngle))
	var want, have [][3][3]float32
	for _, m := range append(meshes, Person(5, r3.Vec{X: 20}, 90)) {
		for _, c := range m.Triangles {
			want = append(want, [3][3]float32{m.Vertices[c[0]], m.Vertices[c[1]], m.Vertices[c[2]]})
		}
	}
	q := &f.patches
	next := 0
	dirs := spreadOut(50)
	for _, p := range q.all {
		require.Equal(t, next, p.facet)
		next += p.facets
		for i := p.facet; i < next; i++ {
			var corners [3][3]float32
			for k, c := range q.corners[i] {
				corners[k] = q.points[p.point+int(c)]
				require.Equal(t, f.points[f.corners[i][k]], vec(corners[k]))
				for a := range 3 {
					require.True(t, p.lo[a] <= corners[k][a] && corners[k][a] <= p.hi[a])
				}
			}
			have = append(have, corners)
		}
		for _, d := range dirs {
			if p.facesAway(d) {
				for _, n := range f.normal[p.facet:next] {
					require.LessOrEqual(t, r3.Dot(n, d), 1e-9)
				}
			}
		}
	}
	require.Equal(t, len(f.corners), next)
	order := func(a, b [3][3]float32) int {
		for k := range 9 {
			if c := a[k/3][k%3] - b[k/3][k%3]; c != 0 {
				return int(math.Copysign(1, float64(c)))
			}
		}
		return 0
	}
	slices.SortFunc(want, order)
	slices.SortFunc(have, order)
	require.Equal(t, want, have)
}

// spreadOut gives n directions, evenly spread.
func spreadOut(n int) (dirs []r3.Vec) {
	for i := range n {
		z := 2*(float64(i)+0.5)/float64(n) - 1
		dirs = append(dirs, direction(float64(i)*goldenAngle, math.Asin(z)*180/math.Pi, 1))
	}
	return dirs
}

// The map of a lamp is as if it had been drawn of every facet, one by one; and of a part of
// the subject only a part is looked at.
func TestLampLeavesNothingOut(t *testing.T) {
	f := gather([]Mesh{cobbles(6), ball(r3.Vec{X: 3, Y: 3, Z: 9}, 2, 48)}, creaseAngle)
	rapid.Check(t, func(t *rapid.T) {
		box := f.box()
		if rapid.Bool().Draw(t, "a part") {
			at := r3.Vec{X: rapid.Float64Range(0, 20).Draw(t, "x"), Y: rapid.Float64Range(0, 20).Draw(t, "y"), Z: 3}
			box = r3.Box{Min: at, Max: r3.Add(at, r3.Vec{X: 4, Y: 3, Z: 4})}
		}
		l := newLamp(box, direction(rapid.Float64Range(-180, 180).Draw(t, "azimuth"), rapid.Float64Range(-89, 90).Draw(t, "elevation"), 1), 96)
		done := l.draw(f)
		require.LessOrEqual(t, done.triangles, len(f.corners))
		want := layer{width: l.size, y1: l.size, near: make([]float32, l.size*l.size)}
		want.clear()
		for i, c := range f.corners {
			var dots []dot
			for _, v := range c {
				p := f.points[v]
				dots = append(dots, toDot(r3.Dot(p, l.u)-l.u0, r3.Dot(p, l.v)-l.v0, r3.Dot(p, l.h)))
			}
			if r3.Dot(f.normal[i], l.dir) > -1e-9 {
				paint(&want, dots, [][3]int32{{0, 1, 2}}, 0, clockwise)
			}
		}
		require.Equal(t, want.near, l.reach.near)
	})
}

// A solid gives the same picture whether its inside is left out or not, and less is drawn.
func TestInsideOfSolidIsNotDrawn(t *testing.T) {
	m := ball(r3.Vec{}, 5, 64)
	o := Options{Width: 200, Height: 150, View: ThreeQuarter}
	open, asOpen := NewSubject(m).draw(o)
	m.Solid = true
	solid, asSolid := NewSubject(m).draw(o)
	require.True(t, bytes.Equal(open.Pix, solid.Pix))
	require.Less(t, asSolid.written, asOpen.written)
}

// reliefSlowly is relief, each sample looked at in full.
func (s *scene) reliefSlowly(x, y int, n r3.Vec) (hollow, ridge float64) {
	c := &s.cam
	m := r3.Vec{X: r3.Dot(n, c.right), Y: r3.Dot(n, c.up), Z: r3.Dot(n, c.back)}
	near := s.view.near[y*s.view.width+x]
	p := c.ofPicture(float64(x)+0.5, float64(y)+0.5, float64(near))
	set := &s.around[0]
	if c.dist > 0 {
		set = &s.around[nearGrade(near)-s.firstGrade]
	}
	var above, below float64
	for w := range set.ways {
		var highest float64
		for k, step := range set.ways[w] {
			i, j := x+step.x, y+step.y
			if uint(i) >= uint(s.view.width) || uint(j) >= uint(s.height) {
				break
			}
			there := s.view.near[j*s.view.width+i]
			if there == nothing {
				break
			}
			d := r3.Sub(c.ofPicture(float64(i)+0.5, float64(j)+0.5, float64(there)), p)
			far := r3.Norm2(d)
			h := r3.Dot(d, m) * max(0, 1-far*set.fades) / math.Sqrt(far+1e-30)
			highest = max(highest, h)
			if k < ridgeSteps {
				below += max(0, -leastBelow-h)
			}
		}
		above += max(0, highest-leastAbove)
	}
	return max(0.1, 1-1.15*above/float64(len(reliefWays))), min(1, 2*below/float64(ridgeSteps*len(reliefWays)))
}

// The samples that relief passes over count for nothing, in any view.
func TestReliefPassesOverWhatIsFlat(t *testing.T) {
	f := gather([]Mesh{cobbles(4), ball(r3.Vec{X: 11, Y: 5, Z: 5}, 2.5, 24)}, creaseAngle)
	rapid.Check(t, func(t *rapid.T) {
		o := Options{Width: 160, Height: 120, Supersample: 1, View: View{
			Azimuth: rapid.Float64Range(-180, 180).Draw(t, "azimuth"), Elevation: rapid.Float64Range(-90, 90).Draw(t, "elevation"),
			Perspective: rapid.SampledFrom([]float64{0, 20, 60, 90}).Draw(t, "perspective"),
		}}.tidy()
		if rapid.Bool().Draw(t, "near") {
			o.Focus = &corner
		}
		s, _ := see(o, f)
		for k := 0; k < len(s.view.id); k += 37 {
			if id := s.view.id[k]; id >= 0 {
				n := f.normal[id]
				if r3.Dot(n, s.cam.toward(f.points[f.corners[id][0]])) < 0 {
					n = r3.Scale(-1, n)
				}
				wantHollow, wantRidge := s.reliefSlowly(k%o.Width, k/o.Width, n)
				hollow, ridge := s.relief(k%o.Width, k/o.Width, n)
				require.InDelta(t, wantHollow, hollow, 1e-4)
				require.InDelta(t, wantRidge, ridge, 1e-4)
			}
		}
	})
}
