package picture

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// plain is a picture in which every pixel that differs from the empty one shows
// a mesh: no ground, no lettering.
func plain(o Options) Options {
	o.Width, o.Height, o.NoGround, o.NoScaleBar = 200, 150, true, true
	return o
}

// changed counts the pixels in which two pictures differ.
func changed(a, b *image.RGBA) (n int) {
	for i := 0; i < len(a.Pix); i += 4 {
		if !bytes.Equal(a.Pix[i:i+4], b.Pix[i:i+4]) {
			n++
		}
	}
	return n
}

// The outline of a ball of radius r seen from afar is a circle of radius r; in
// perspective, from distance d, the cone that touches it has the half angle
// asin(r/d), so the circle has the radius d tan asin(r/d) at the focus.
func TestBallOutline(t *testing.T) {
	const r, perPixel = 10, 0.16
	m := ball(r3.Vec{X: 3, Y: -40, Z: 12}, r, 128)
	for _, c := range []struct {
		name string
		view View
	}{
		{"top", Top},
		{"side", Side},
		{"tilted", View{Azimuth: 17, Elevation: 33}},
		{"perspective", View{Azimuth: -60, Elevation: 25, Perspective: 30}},
		{"underside", View{Azimuth: 200, Elevation: -70, Perspective: 50}},
	} {
		t.Run(c.name, func(t *testing.T) {
			radius := r / perPixel
			if p := c.view.Perspective; p > 0 {
				d := 150 / 2 / math.Tan(p*math.Pi/360) * perPixel
				radius = d * math.Tan(math.Asin(r/d)) / perPixel
			}
			want := math.Pi * radius * radius
			o := plain(Options{View: c.view, MMPerPixel: perPixel})
			for side := 2; side <= 4; side++ {
				o.Supersample = side
				_, done := see(o.tidy(), gather([]Mesh{m}, 30))
				got := float64(done.covered) / float64(side*side)
				require.InEpsilon(t, want, got, 0.002, "%d samples a side", side)
			}
			o.Supersample = 1
			require.InEpsilon(t, want, changed(render(o), render(o, m)), 0.006, "pixels that are not the background")
		})
	}
}

// From afar in direction d, a cube of side s covers s^2 (|dx| + |dy| + |dz|):
// each pair of faces by its slant (Cauchy).
func TestCubeOutline(t *testing.T) {
	const s, perPixel = 16, 0.22
	m := block([3]float32{-8, -8, 0}, [3]float32{8, 8, s})
	covers := func(t require.TestingT, v View) {
		o := plain(Options{View: v, MMPerPixel: perPixel, Supersample: 4})
		_, done := see(o.tidy(), gather([]Mesh{m}, 30))
		sa, ca := math.Sincos(v.Azimuth * math.Pi / 180)
		se, ce := math.Sincos(v.Elevation * math.Pi / 180)
		want := s * s * (math.Abs(ce*ca) + math.Abs(ce*sa) + math.Abs(se)) / perPixel / perPixel
		got := float64(done.covered) / 16
		// An edge that lies along the rows may be off by half a sample, 0.0017
		// of the side; there are at most two such pairs.
		require.InEpsilon(t, want, got, 0.007)
	}
	covers(t, View{})
	rapid.Check(t, func(t *rapid.T) {
		covers(t, View{
			Azimuth:   rapid.Float64Range(-180, 180).Draw(t, "azimuth"),
			Elevation: rapid.Float64Range(-90, 90).Draw(t, "elevation"),
		})
	})
}

// Triangles that share an edge leave no sample to both and none to neither: a
// square, cut up at random and drawn flat on, is written once a sample.
func TestSharedEdgesAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		jitter := rapid.SliceOfN(rapid.Float64Range(-0.12, 0.12), 2*(n+1)*(n+1), 2*(n+1)*(n+1)).Draw(t, "jitter")
		const size = 64
		var dots []dot
		for j := range n + 1 {
			for i := range n + 1 {
				k := 2 * (j*(n+1) + i)
				x, y := float64(i), float64(j)
				if i > 0 && i < n {
					x += jitter[k]
				}
				if j > 0 && j < n {
					y += jitter[k+1]
				}
				dots = append(dots, toDot(x*size/float64(n), y*size/float64(n), float64(k)))
			}
		}
		var corners [][3]int32
		for j := range n {
			for i := range n {
				a := int32(j*(n+1) + i)
				b, c, d := a+1, a+int32(n)+2, a+int32(n)+1
				corners = append(corners, [3]int32{a, b, c}, [3]int32{a, c, d})
			}
		}
		hits := make([]int, size*size)
		for _, c := range corners {
			l := layer{width: size, y1: size, near: make([]float32, size*size), id: make([]int32, size*size)}
			l.clear()
			paint(&l, dots, [][3]int32{c}, 0, anyWay)
			for k, id := range l.id {
				hits[k] += int(id) + 1
			}
		}
		for k, h := range hits {
			require.Equal(t, 1, h, "sample %d, %d", k%size, k/size)
		}
	})
}

func TestSameBytesForAnyWorkers(t *testing.T) {
	meshes := []Mesh{cobbles(4), ball(r3.Vec{X: 10, Y: 10, Z: 8}, 4, 24)}
	o := Options{Width: 200, Height: 150, Edges: 0.5, Title: "Salt stair"}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, v := range []View{ThreeQuarter, Top, Side, Underside} {
		o.View = v
		runtime.GOMAXPROCS(1)
		one, doneOne := NewSubject(meshes...).draw(o)
		for _, n := range []int{2, 3} {
			runtime.GOMAXPROCS(n)
			more, doneMore := NewSubject(meshes...).draw(o)
			require.True(t, bytes.Equal(one.Pix, more.Pix), "%+v with %d workers", v, n)
			require.Equal(t, doneOne, doneMore)
		}
	}
}

func TestBadMeshesDoNoHarm(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	empty := render(plain(Options{}))
	sound := block([3]float32{0, 0, 0}, [3]float32{1, 1, 1})
	alone := render(plain(Options{}), sound).Pix
	for name, m := range map[string]Mesh{
		"nothing":          {},
		"no triangles":     {Vertices: [][3]float32{{1, 2, 3}}},
		"no vertices":      {Triangles: [][3]uint32{{0, 1, 2}}},
		"index far out":    {Vertices: [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]uint32{{0, 1, math.MaxUint32}}},
		"one point":        {Vertices: [][3]float32{{1, 1, 1}}, Triangles: [][3]uint32{{0, 0, 0}}},
		"a line":           {Vertices: [][3]float32{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}}, Triangles: [][3]uint32{{0, 1, 2}}},
		"not a number":     {Vertices: [][3]float32{{nan, 0, 0}, {1, 0, 0}, {0, 1, 0}}, Triangles: [][3]uint32{{0, 1, 2}}},
		"infinite":         {Vertices: [][3]float32{{0, 0, 0}, {inf, 0, 0}, {0, 1, 0}}, Triangles: [][3]uint32{{0, 1, 2}}},
		"beyond the earth": {Vertices: [][3]float32{{0, 0, 0}, {math.MaxFloat32, 0, 0}, {0, -math.MaxFloat32, 0}}, Triangles: [][3]uint32{{0, 1, 2}}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, v := range []View{ThreeQuarter, Top, Side, Underside} {
				require.Equal(t, empty.Pix, render(plain(Options{View: v}), m).Pix)
			}
			// Beside a sound mesh it changes nothing.
			require.Equal(t, alone, render(plain(Options{}), m, sound).Pix)
		})
	}
}

// Whatever comes in, something comes out.
func TestAnythingIsDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float32Range(-50, 50), rapid.Float32Range(-50, 50), rapid.Float32())
		n := rapid.IntRange(0, 12).Draw(t, "vertices")
		var m Mesh
		for range n {
			m.Vertices = append(m.Vertices, [3]float32{
				number.Draw(t, "x"), number.Draw(t, "y"),
				rapid.SampledFrom([]float32{0, 1, 1e-30, -1e6, 1e6, 0.5}).Draw(t, "z")})
		}
		for range rapid.IntRange(0, 20).Draw(t, "triangles") {
			m.Triangles = append(m.Triangles, [3]uint32{
				rapid.Uint32Range(0, 12).Draw(t, "a"), rapid.Uint32Range(0, 12).Draw(t, "b"), rapid.Uint32Range(0, 12).Draw(t, "c")})
		}
		o := Options{
			Width: rapid.IntRange(1, 40).Draw(t, "width"), Height: rapid.IntRange(1, 40).Draw(t, "height"),
			Supersample: rapid.IntRange(-1, 9).Draw(t, "supersample"),
			View: View{rapid.Float64().Draw(t, "azimuth"), rapid.Float64().Draw(t, "elevation"),
				rapid.SampledFrom([]float64{0, 1, 20, 90, math.Inf(1), math.NaN()}).Draw(t, "perspective")},
			MMPerPixel: rapid.SampledFrom([]float64{0, 1, 1e-6, 1e6, -1, math.NaN()}).Draw(t, "mm per pixel"),
			Edges:      rapid.Float64().Draw(t, "edges"),
			Title:      rapid.String().Draw(t, "title"),
		}
		img := render(o, m)
		require.Equal(t, image.Rect(0, 0, o.Width, o.Height), img.Bounds())
		for i := 3; i < len(img.Pix); i += 4 {
			require.Equal(t, uint8(255), img.Pix[i], "every pixel is opaque")
		}
	})
}

// Fitted, the meshes touch the frame on two sides at least and leave it nowhere.
func TestFitFillsTheFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := block([3]float32{5, 5, 5}, [3]float32{
			5 + rapid.Float32Range(1, 60).Draw(t, "x"), 5 + rapid.Float32Range(1, 60).Draw(t, "y"), 5 + rapid.Float32Range(1, 60).Draw(t, "z")})
		v := View{rapid.Float64Range(0, 360).Draw(t, "azimuth"), rapid.Float64Range(-90, 90).Draw(t, "elevation"),
			rapid.SampledFrom([]float64{0, 15, 30, 70}).Draw(t, "perspective")}
		f := frame{20, 30, 380, 250}
		points := gather([]Mesh{m}, 30).points
		c := aim(v.tidy(), points, f, 300, 0)
		var fill float64
		for _, p := range points {
			x, y, near := c.project(p)
			dx, dy := 2*math.Abs(x-c.cx)/(f.x1-f.x0), 2*math.Abs(y-c.cy)/(f.y1-f.y0)
			require.LessOrEqual(t, max(dx, dy), 1.001)
			fill = max(fill, dx, dy)
			back := c.unproject(x, y, near)
			require.InDelta(t, 0, r3.Norm(r3.Sub(back, p)), 1e-6)
		}
		// Or else the camera is as near as it may come.
		lo, hi := c.bounds(points)
		room := r3.Norm(r3.Sub(hi, lo)) / 20
		ahead := c.dist - (hi.Z - r3.Dot(c.focus, c.back))
		require.True(t, fill > 0.95 || c.dist > 0 && ahead < 1.001*room, "fills %.3f", fill)
	})
}

// Facets of a ball are smoothed into its true normals; those of a cube are not.
func TestCrease(t *testing.T) {
	f := gather([]Mesh{ball(r3.Vec{}, 1, 32)}, 30)
	for i, c := range f.corners {
		for k := range 3 {
			p, s := r3.Unit(f.points[c[k]]), f.smooth[i][k]
			n := r3.Vec{X: float64(s[0]), Y: float64(s[1]), Z: float64(s[2])}
			require.Greater(t, r3.Dot(p, n), math.Cos(1*math.Pi/180))
		}
	}
	for _, crease := range []float64{30, 89} {
		f = gather([]Mesh{block([3]float32{}, [3]float32{1, 2, 3})}, crease)
		for i, n := range f.normal {
			for _, s := range f.smooth[i] {
				require.Equal(t, shading{float32(n.X), float32(n.Y), float32(n.Z)}, s)
			}
		}
	}
	f = gather([]Mesh{block([3]float32{}, [3]float32{1, 2, 3})}, 91)
	require.NotEqual(t, shading{0, 0, -1}, f.smooth[0][0])
}

// The ground is darker under a hovering plate's middle than far from it, and
// the floor of a pit darker than the open top beside it.
func TestHollowsAndContactAreDarker(t *testing.T) {
	plate := block([3]float32{-10, -10, 0}, [3]float32{10, 10, 6})
	f := gather([]Mesh{plate}, 30)
	r, _ := newSubject(f).light(Options{Width: 600, Height: 600, View: ThreeQuarter})
	g := newGround(r, f.box(), 600)
	require.Less(t, g.at(r3.Vec{X: 11}), 0.9)
	require.Equal(t, 1.0, g.at(r3.Vec{X: 500}))
	away := g.at(r3.Vec{X: -14, Y: -14})
	require.Less(t, g.at(r3.Vec{X: -10.3, Y: -10.3}), away, "darker close by")

	var pit []Mesh
	for _, w := range [][4]float32{{-10, -10, -2, 10}, {2, -10, 10, 10}, {-2, -10, 2, -2}, {-2, 2, 2, 10}} {
		pit = append(pit, block([3]float32{w[0], w[1], 0}, [3]float32{w[2], w[3], 8}))
	}
	pit = append(pit, block([3]float32{-2, -2, 0}, [3]float32{2, 2, 1}))
	f = gather(pit, 30)
	r, _ = newSubject(f).light(Options{Width: 600, Height: 600, View: Top})
	up := r3.Vec{Z: 1}
	require.InDelta(t, 1, r.skyAt(r3.Vec{X: 6, Y: 6, Z: 8}, up, up), 0.02, "open")
	// The sky that a point at the middle of a square hole sees, weighted by the
	// cosine, is the form factor to the opening: for a parallel rectangle a x b
	// at height c over its corner, (A/sqrt(1+A^2) atan(B/sqrt(1+A^2)) +
	// B/sqrt(1+B^2) atan(A/sqrt(1+B^2))) / 2 pi with A = a/c, B = b/c (textbook
	// view factor, from memory); four such here. Our sky is brighter overhead,
	// so that it gives somewhat more.
	q := 2.0 / 7
	root := math.Sqrt(1 + q*q)
	even := 4 * 2 * q / root * math.Atan(q/root) / (2 * math.Pi)
	got := r.skyAt(r3.Vec{Z: 1}, up, up)
	require.Greater(t, got, 0.8*even)
	require.Less(t, got, 1.7*even)
	require.Less(t, r.keyAt(r3.Vec{Z: 1}, up), 0.01)
	require.Greater(t, r.keyAt(r3.Vec{X: 6, Y: 6, Z: 8}, up), 0.99)
}

// The inside of a surface has another colour than the outside.
func TestInsideShows(t *testing.T) {
	m := block([3]float32{0, 0, 0}, [3]float32{10, 10, 10})
	o := plain(Options{View: Top})
	middle := func(img *image.RGBA) (red, blue int) {
		c := img.RGBAAt(100, 75)
		return int(c.R), int(c.B)
	}
	red, blue := middle(render(o, m))
	require.Greater(t, red, blue)
	for i, tri := range m.Triangles {
		m.Triangles[i] = [3]uint32{tri[0], tri[2], tri[1]}
	}
	red, blue = middle(render(o, m))
	require.Less(t, red, blue)
}

func TestEdgesDarken(t *testing.T) {
	m := block([3]float32{0, 0, 0}, [3]float32{10, 10, 10})
	o := plain(Options{})
	without := render(o, m)
	o.Edges = 1
	with := render(o, m)
	require.Greater(t, changed(without, with), 200)
	for i := range with.Pix {
		require.LessOrEqual(t, with.Pix[i], without.Pix[i])
	}
}

func TestOptionsStayWithinMemory(t *testing.T) {
	o := Options{Width: 1 << 40, Height: 1 << 40, Supersample: 4}.tidy()
	require.LessOrEqual(t, o.Width*o.Height*o.Supersample*o.Supersample, mostSamples)
	o = Options{Width: 1600, Height: 1200, Supersample: 4}.tidy()
	require.Equal(t, 4, o.Supersample)
}

func TestPNGHoldsThePicture(t *testing.T) {
	img := render(Options{Width: 60, Height: 40}, ball(r3.Vec{}, 5, 12))
	var b bytes.Buffer
	require.NoError(t, WritePNG(&b, img))
	back, err := png.Decode(&b)
	require.NoError(t, err)
	require.Equal(t, img.Bounds(), back.Bounds())
	for y := range 40 {
		for x := range 60 {
			want := img.RGBAAt(x, y)
			r, g, bl, a := back.At(x, y).RGBA()
			require.Equal(t, [4]uint32{uint32(want.R), uint32(want.G), uint32(want.B), uint32(want.A)}, [4]uint32{r >> 8, g >> 8, bl >> 8, a >> 8})
		}
	}
}

// BenchmarkRender draws about 300,000 triangles at 1600 x 1200 and four samples
// a pixel. The counters do not depend on the machine.
func BenchmarkRender(b *testing.B) {
	m := cobbles(32)
	var done work
	for b.Loop() {
		_, done = NewSubject(m).draw(Options{View: ThreeQuarter})
	}
	b.ReportMetric(float64(done.facets), "facets")
	b.ReportMetric(float64(done.written), "samples")
	b.ReportMetric(float64(done.covered), "covered")
	b.ReportMetric(float64(done.shaded), "shaded")
	b.ReportMetric(float64(done.visited), "visited")
	b.ReportMetric(float64(done.maps.triangles), "visited-by-light")
	b.ReportMetric(float64(done.maps.texels), "texels")
}

// The pictures of a base: from four sides, at the size of life, and three of parts of it near by.
func BenchmarkEightPictures(b *testing.B) {
	m := cobbles(32)
	side := float64(m.Vertices[len(m.Vertices)-1][0])
	var sum work
	for b.Loop() {
		sum = work{}
		s := NewSubject(m)
		all := []Options{{View: ThreeQuarter}, {View: Top}, {View: Side}, {View: Underside}, s.LifeSize(ThreeQuarter)}
		for i := range 3 {
			at := r3.Vec{X: side * float64(i+1) / 4, Y: side / 2}
			half := r3.Vec{X: side / 8, Y: side / 8, Z: 5}
			all = append(all, Options{View: ThreeQuarter, Focus: &r3.Box{Min: r3.Sub(at, half), Max: r3.Add(at, half)}})
		}
		for _, o := range all {
			_, done := s.draw(o)
			sum.facets += done.facets
			sum.visited += done.visited
			sum.written += done.written
			sum.shaded += done.shaded
			sum.maps = sum.maps.plus(done.maps)
		}
	}
	for unit, n := range map[string]int{
		"facets": sum.facets, "visited": sum.visited, "samples": sum.written, "shaded": sum.shaded,
		"visited-by-light": sum.maps.triangles, "texels": sum.maps.texels,
	} {
		b.ReportMetric(float64(n), unit)
	}
}
