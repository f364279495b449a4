package picture

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// hits tells whether a line from a point in a unit direction meets a solid that has
// been grown all around by so much.
type hits func(from, dir r3.Vec, grow float64) bool

// span is the part of a line, by its parameter, that lies in something.
type span struct{ lo, hi float64 }

// slab is the part of a line that lies in |x| <= half along one axis.
func slab(from, dir, half float64) span {
	if dir == 0 {
		if math.Abs(from) > half {
			return span{1, 0}
		}
		return span{math.Inf(-1), math.Inf(1)}
	}
	a, b := (-half-from)/dir, (half-from)/dir
	return span{min(a, b), max(a, b)}
}

func meets(spans ...span) bool {
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, s := range spans {
		lo, hi = max(lo, s.lo), min(hi, s.hi)
	}
	return lo <= hi
}

// The closed forms of a ball, an upright box and an upright cylinder.
func ballHits(centre r3.Vec, radius float64) hits {
	return func(from, dir r3.Vec, grow float64) bool {
		return length(r3.Cross(r3.Sub(centre, from), dir)) <= radius+grow
	}
}

func blockHits(half r3.Vec) hits {
	return func(p, d r3.Vec, grow float64) bool {
		return meets(slab(p.X, d.X, half.X+grow), slab(p.Y, d.Y, half.Y+grow), slab(p.Z, d.Z, half.Z+grow))
	}
}

func cylinderHits(radius, half float64) hits {
	return func(p, d r3.Vec, grow float64) bool {
		a, b := d.X*d.X+d.Y*d.Y, p.X*d.X+p.Y*d.Y
		c := p.X*p.X + p.Y*p.Y - (radius+grow)*(radius+grow)
		around := span{math.Inf(-1), math.Inf(1)}
		if a > 1e-12 {
			root := b*b - a*c
			if root < 0 {
				return false
			}
			around = span{(-b - math.Sqrt(root)) / a, (-b + math.Sqrt(root)) / a}
		} else if c > 0 {
			return false
		}
		return meets(around, slab(p.Z, d.Z, half+grow))
	}
}

// cylinder stands about the origin.
func cylinder(radius, half float64, around int) Mesh {
	var m Mesh
	m.Vertices = append(m.Vertices, [3]float32{0, 0, float32(-half)}, [3]float32{0, 0, float32(half)})
	for i := range around {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(around))
		x, y := float32(radius*c), float32(radius*s)
		m.Vertices = append(m.Vertices, [3]float32{x, y, float32(-half)}, [3]float32{x, y, float32(half)})
	}
	for i := range around {
		a, b := uint32(2+2*i), uint32(2+2*((i+1)%around))
		m.Triangles = append(m.Triangles, [3]uint32{0, b, a}, [3]uint32{1, a + 1, b + 1}, [3]uint32{a, b, b + 1}, [3]uint32{a, b + 1, a + 1})
	}
	return m
}

// hasOutline checks every sample: each whose ray meets the solid made smaller by
// a fifth of a sample shows it, none whose ray misses it made larger does.
func hasOutline(t require.TestingT, o Options, m Mesh, solid hits) {
	const slack = 0.2 // samples, in which are the grid of corners and the chords of round meshes
	s, done := see(o.tidy(), gather([]Mesh{m}, creaseAngle))
	grow := slack / s.cam.scale
	wrong, inside := 0, 0
	for y := range s.height {
		for x := range s.view.width {
			p := s.cam.unproject(float64(x)+0.5, float64(y)+0.5, map[bool]float64{true: 1}[s.cam.dist > 0])
			dir := r3.Scale(-1, s.cam.toward(p))
			covered := s.view.id[y*s.view.width+x] >= 0
			if solid(p, dir, -grow) {
				inside++
			}
			if covered && !solid(p, dir, grow) || !covered && solid(p, dir, -grow) {
				wrong++
			}
		}
	}
	require.Zero(t, wrong, "samples on the wrong side of the outline")
	require.Greater(t, inside, 80, "there is something to see")
	require.GreaterOrEqual(t, done.covered, inside)
}

// The outline of a known solid is that of its closed form, to a fifth of a
// sample, in any view, orthographic or not, in the middle or to a side of the
// picture: where, in perspective, a ball's is an ellipse.
func TestOutlines(t *testing.T) {
	const radius, half = 6.0, 3.5
	off := r3.Vec{X: 5, Y: -4, Z: 2}
	for _, c := range []struct {
		name  string
		mesh  Mesh
		solid hits
	}{
		{"ball", ball(off, radius, 64), ballHits(off, radius)},
		{"box", block([3]float32{-7, -4, -2.5}, [3]float32{7, 4, 2.5}), blockHits(r3.Vec{X: 7, Y: 4, Z: 2.5})},
		{"cylinder", cylinder(radius, half, 512), cylinderHits(radius, half)},
	} {
		t.Run(c.name, func(t *testing.T) {
			views := []View{ThreeQuarter, Top, Side, Underside}
			rapid.Check(t, func(t *rapid.T) {
				v := rapid.OneOf(rapid.SampledFrom(views), rapid.Custom(func(t *rapid.T) View {
					return View{rapid.Float64Range(-180, 180).Draw(t, "azimuth"), rapid.Float64Range(-90, 90).Draw(t, "elevation"),
						rapid.SampledFrom([]float64{0, 20, 55}).Draw(t, "perspective")}
				})).Draw(t, "view")
				o := plain(Options{View: v, Supersample: 1})
				o.Width, o.Height = 96, 72
				if rapid.Bool().Draw(t, "to a side") {
					o.Focus = &r3.Box{Min: r3.Vec{X: -16, Y: -12, Z: -8}, Max: r3.Vec{X: 12, Y: 14, Z: 10}}
				}
				hasOutline(t, o, c.mesh, c.solid)
			})
		})
	}
}

// Notice that the check of outlines can fail.
func TestOutlineCheckNotices(t *testing.T) {
	o := plain(Options{View: Side, Supersample: 1})
	m := cylinder(6, 3.5, 512)
	for i := range m.Vertices {
		m.Vertices[i][0] += 0.05 // about a third of a sample
	}
	o.Focus = &r3.Box{Min: r3.Vec{X: -8, Y: -8, Z: -6}, Max: r3.Vec{X: 8, Y: 8, Z: 6}}
	var said caught
	hasOutline(&said, o, m, cylinderHits(6, 3.5))
	require.True(t, bool(said))
}

// caught is a test that only takes note of having failed.
type caught bool

func (c *caught) Errorf(string, ...any) { *c = true }
func (c *caught) FailNow()              { *c = true }
