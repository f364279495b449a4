package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// seenOf is what the camera sees of meshes.
func seenOf(o Options, meshes ...Mesh) *scene {
	o = o.tidy()
	s, _ := see(o, gather(meshes, creaseAngle))
	return s
}

// sheetOf is a picture of one colour.
func sheetOf(w, h int, c color.RGBA) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(m, m.Rect, image.NewUniform(c), image.Point{}, draw.Src)
	return m
}

// touched is the box around the pixels that differ from c by enough to be ink.
func touched(m *image.RGBA, c color.RGBA) image.Rectangle {
	var box image.Rectangle
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if grey(m.RGBAAt(x, y)) < grey(c)-40 {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// grey is the luma of a colour (ITU-R BT.601 weights).
func grey(c color.RGBA) float64 {
	return 0.299*float64(c.R) + 0.587*float64(c.G) + 0.114*float64(c.B)
}

var mid = color.RGBA{190, 190, 190, 255}

// A ring about a ball is drawn about the pixels that the ball covers, and as
// much wider as asked.
func TestRingIsWhereTheBallIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := r3.Vec{
			X: rapid.Float64Range(-20, 20).Draw(t, "x"),
			Y: rapid.Float64Range(-20, 20).Draw(t, "y"),
			Z: rapid.Float64Range(0, 15).Draw(t, "z"),
		}
		marked := ball(c, 0.35, 8) // no deeper than a place may lie to count as seen
		o := Options{Width: 600, Height: 440, Supersample: 2, NoScaleBar: true, View: View{
			Azimuth:     rapid.Float64Range(-180, 180).Draw(t, "azimuth"),
			Elevation:   rapid.Float64Range(-90, 90).Draw(t, "elevation"),
			Perspective: rapid.SampledFrom([]float64{0, 15, 40}).Draw(t, "perspective"),
		}}
		s := seenOf(o, marked, ball(r3.Vec{X: -30}, 1, 4), ball(r3.Vec{X: 30, Y: 9, Z: 10}, 1, 4))
		var pixels image.Rectangle
		for y := range s.height {
			for x := range s.view.width {
				if id := s.view.id[y*s.view.width+x]; id >= 0 && int(id) < len(marked.Triangles) {
					pixels = pixels.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		if pixels.Dx() < 4 || pixels.Min.X < 1 || pixels.Min.Y < 1 || pixels.Max.X >= s.view.width || pixels.Max.Y >= s.height {
			t.Skip("covered by another")
		}
		img := sheetOf(600, 440, mid)
		rings := s.rings([]Mark{{At: c, Radius: 1.75, Grade: Warning}}, 600, 440)
		require.Len(t, rings, 1)
		drawRings(img, rings, nil)
		ring := touched(img, mid)
		if !ring.Inset(-2).In(img.Rect) {
			t.Skip("the ring leaves the picture")
		}
		middle := func(r image.Rectangle) (x, y float64) {
			return float64(r.Min.X+r.Max.X) / 2, float64(r.Min.Y+r.Max.Y) / 2
		}
		bx, by := middle(pixels)
		rx, ry := middle(ring)
		require.InDelta(t, bx/2, rx, 1.3)
		require.InDelta(t, by/2, ry, 1.3)
		width := float64(pixels.Dx()) / 2
		least := 2 * 5 * ringUnit(600, 440)
		require.InDelta(t, max(least, min(5*width, 440./3)), float64(ring.Dx()), 0.15*5*width+3)
	})
}

// Behind a wall a place is hidden; on either face of it, it is seen from the
// side of that face only.
func TestHiddenMarks(t *testing.T) {
	wall := block([3]float32{-20, -2, 0}, [3]float32{20, 2, 20})
	for _, perspective := range []float64{0, 25} {
		front := Options{Width: 400, Height: 300, View: View{Azimuth: -90, Elevation: 10, Perspective: perspective}}
		rear := front
		rear.View.Azimuth = 90
		for _, c := range []struct {
			y                   float64
			fromFront, fromRear bool // hidden
		}{
			{-5, false, true}, {-2, false, true}, {-1.8, false, true}, {0, true, true}, {2, true, false}, {6, true, false},
		} {
			at := r3.Vec{X: 3, Y: c.y, Z: 9}
			f, r := seenOf(front, wall).locate(at), seenOf(rear, wall).locate(at)
			require.True(t, f.in && r.in)
			require.Equal(t, c.fromFront, f.hidden, "front, y = %g, perspective %g", c.y, perspective)
			require.Equal(t, c.fromRear, r.hidden, "rear, y = %g, perspective %g", c.y, perspective)
			survey := &Survey{seenOf(front, wall)}
			require.Equal(t, c.fromFront, survey.Hidden(at))
			require.True(t, survey.On(at))
		}
	}
}

func TestMarksOffThePictureAreLeftOut(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, perspective := range []float64{0, 30} {
		o := Options{Width: 300, Height: 200, View: View{Azimuth: -60, Elevation: 30, Perspective: perspective}}
		s := seenOf(o, block([3]float32{0, 0, 0}, [3]float32{10, 10, 10}))
		toward := r3.Scale(1e4, s.cam.back)
		marks := []Mark{{At: r3.Vec{X: 900}}, {At: r3.Vec{X: nan}}, {At: r3.Vec{Z: inf}}, {At: r3.Vec{X: 1e300}}, {At: r3.Vec{Y: -1e17}}}
		if perspective > 0 {
			marks = append(marks, Mark{At: toward}) // behind the camera
		}
		require.Empty(t, s.rings(marks, 300, 200))
		for _, m := range marks {
			require.False(t, (&Survey{s}).On(m.At))
			require.True(t, (&Survey{s}).Hidden(m.At))
		}
		require.Len(t, s.rings([]Mark{{At: r3.Vec{X: 5, Y: 5, Z: 5}, Radius: nan, Grade: 77}}, 300, 200), 1)
		require.Empty(t, seenOf(o).rings([]Mark{{}}, 300, 200), "of nothing")
	}
}

// A ring is never too small to be seen nor larger than it may be.
func TestRingSizes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 900).Draw(t, "width"), rapid.IntRange(1, 900).Draw(t, "height")
		s := seenOf(Options{Width: 60, Height: 40, Supersample: 1}, ball(r3.Vec{}, 10, 6))
		for _, radius := range []float64{-1, 0, 1e-9, 1, 1e9, math.NaN(), math.Inf(1)} {
			for _, r := range s.rings([]Mark{{Radius: radius}}, w, h) {
				require.LessOrEqual(t, r.r, float64(min(w, h))/6)
				require.GreaterOrEqual(t, r.r, min(6, float64(min(w, h))/6))
			}
		}
	})
}

// profile is how dark a picture is, in grey, along a ray from c outward.
func profile(m *image.RGBA, c spot, degrees, from, to float64) (dark []bool) {
	sn, cs := math.Sincos(degrees * math.Pi / 180)
	for r := from; r < to; r += 0.5 {
		dark = append(dark, grey(m.RGBAAt(int(c.x+r*cs), int(c.y+r*sn))) < 150)
	}
	return dark
}

// runs counts the stretches of true.
func runs(dark []bool) (n int) {
	for i, d := range dark {
		if d && (i == 0 || !dark[i-1]) {
			n++
		}
	}
	return n
}

// Without colour, the grades are told apart by their lines: a stop has two
// rings, a warning one, and that of a note is broken; so is each that is hidden,
// and those are fainter.
func TestGradesDifferInGrey(t *testing.T) {
	const r = 40.0
	c := spot{100.5, 100.5}
	img := map[bool][]*image.RGBA{}
	for _, hidden := range []bool{false, true} {
		for g := Note; g <= Stop; g++ {
			m := sheetOf(201, 201, mid)
			ring(&brush{img: m}, c, r, 2, g, hidden)
			img[hidden] = append(img[hidden], m)
		}
	}
	most := func(m *image.RGBA) (rings, gaps int) {
		open := 0
		for a := 0.0; a < 360; a++ {
			n := runs(profile(m, c, a, r-10, r+10))
			rings = max(rings, n)
			if n == 0 {
				open++
			}
		}
		return rings, open
	}
	for g, want := range map[Grade]int{Note: 1, Warning: 1, Stop: 2} {
		rings, gaps := most(img[false][g])
		require.Equal(t, want, rings, "grade %d", g)
		if g == Note {
			require.Greater(t, gaps, 90, "degrees that are open")
		} else {
			require.Zero(t, gaps, "grade %d", g)
		}
		_, gaps = most(img[true][g])
		require.Greater(t, gaps, 60, "grade %d, hidden", g)
		require.Less(t, darkness(img[true][g]), 0.9*darkness(img[false][g]), "grade %d, hidden", g)
	}
	require.Less(t, 1.25*darkness(img[false][Note]), darkness(img[false][Warning]))
	require.Less(t, 1.25*darkness(img[false][Warning]), darkness(img[false][Stop]))
}

// darkness is how much darker than mid a picture is in all.
func darkness(m *image.RGBA) (sum float64) {
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			sum += max(0, grey(mid)-grey(m.RGBAAt(x, y)))
		}
	}
	return sum
}

// Rings read on dark and on light: against either, ink or halo stands out.
func TestRingsReadOnDarkAndLight(t *testing.T) {
	for _, ground := range []color.RGBA{{25, 22, 20, 255}, {128, 112, 98, 255}, {245, 245, 245, 255}} {
		for g := Note; g <= Stop; g++ {
			m := sheetOf(120, 120, ground)
			ring(&brush{img: m}, spot{60, 60}, 30, 2, g, false)
			strongest := 0.0
			for y := range 120 {
				for x := range 120 {
					strongest = max(strongest, math.Abs(grey(m.RGBAAt(x, y))-grey(ground)))
				}
			}
			require.Greater(t, strongest, 80.0, "grade %d on %v", g, ground)
		}
	}
}

// Tags lie on the picture and apart from each other, however the marks lie.
func TestTagsAreApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const w, h = 1000, 750
		var all []ringed
		for i := range rapid.IntRange(1, 60).Draw(t, "marks") {
			all = append(all, ringed{
				Mark: Mark{Label: fmt.Sprint(i + 1), Grade: Grade(rapid.IntRange(0, 2).Draw(t, "grade"))},
				whereabouts: whereabouts{spot: spot{
					rapid.Float64Range(0, w).Draw(t, "x"), rapid.Float64Range(0, h).Draw(t, "y")}},
				r: rapid.Float64Range(8, 100).Draw(t, "radius"),
			})
		}
		if rapid.Bool().Draw(t, "all in one place") {
			for i := range all {
				all[i].spot = all[0].spot
			}
		}
		page := rect{0, 0, w, h}
		tags := placeTags(all, page, nil, tagLetters(w, h))
		require.Len(t, tags, len(all))
		for i, a := range tags {
			area := (a.x1 - a.x0) * (a.y1 - a.y0)
			require.InDelta(t, area, a.shared(page), 1e-6, "on the picture")
			for _, b := range tags[:i] {
				require.Zero(t, a.shared(b.rect), "%s on %s", a.text, b.text)
			}
		}
		require.True(t, slices.IsSortedFunc(tags, func(a, b tag) int { return int(b.of.Grade) - int(a.of.Grade) }),
			"the gravest have the first choice")
	})
}

// One mark alone has its tag close by, and clear of its ring and of what is to
// be kept clear.
func TestTagIsBesideItsRing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const w, h = 800, 600
		m := ringed{
			Mark:        Mark{Label: "12"},
			whereabouts: whereabouts{spot: spot{rapid.Float64Range(0, w).Draw(t, "x"), rapid.Float64Range(0, h).Draw(t, "y")}},
			r:           rapid.Float64Range(8, 100).Draw(t, "radius"),
		}
		keep := []rect{{500, 500, 800, 600}, {0, 0, 300, 50}}
		letters := tagLetters(w, h)
		tags := placeTags([]ringed{m}, rect{0, 0, w, h}, keep, letters)
		require.Len(t, tags, 1)
		near := tags[0].nearest(m.spot)
		apart := math.Hypot(near.x-m.x, near.y-m.y) - m.r
		require.Positive(t, apart)
		require.Less(t, apart, 9*letters)
		for _, k := range keep {
			require.Zero(t, tags[0].shared(k))
		}
	})
}

// A picture so small or so full that nothing fits does no harm, and the same
// marks give the same bytes.
func TestMarksInACrowd(t *testing.T) {
	var marks []Mark
	for i := range 260 {
		a := float64(i)
		marks = append(marks, Mark{
			At: r3.Vec{X: 9 * math.Sin(a), Y: 9 * math.Cos(1.7*a), Z: 3 * math.Sin(2.3*a)}, Radius: math.Mod(a, 4),
			Label: fmt.Sprint("a long label, number ", i), Grade: Grade(i % 3),
		})
	}
	for _, size := range [][2]int{{1, 1}, {17, 3}, {640, 480}} {
		o := Options{Width: size[0], Height: size[1], Supersample: 1}
		s := seenOf(o, ball(r3.Vec{}, 10, 8))
		once, again := sheetOf(size[0], size[1], mid), sheetOf(size[0], size[1], mid)
		drawRings(once, s.rings(marks, size[0], size[1]), nil)
		drawRings(again, s.rings(marks, size[0], size[1]), nil)
		require.Equal(t, once.Pix, again.Pix)
	}
}
