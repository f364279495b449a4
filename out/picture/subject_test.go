package picture

import (
	"bytes"
	"math"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// corner is a small part of cobbles(4).
var corner = r3.Box{Min: r3.Vec{X: 2, Y: 1, Z: 3}, Max: r3.Vec{X: 6, Y: 4, Z: 6}}

// A subject that is drawn again, or from several goroutines at once, in any
// order and by any number of workers, gives the bytes that Render gives.
func TestSubjectGivesWhatRenderGives(t *testing.T) {
	meshes := []Mesh{toned(cobbles(4)), Person(5, r3.Vec{X: 20, Y: 4}, 90)}
	var all []Options
	for _, v := range []View{ThreeQuarter, Underside} {
		o := Options{Width: 120, Height: 90, View: v}
		near := o
		near.Focus = &corner
		all = append(all, o, near)
	}
	var want [][]byte
	for _, o := range all {
		want = append(want, render(o, meshes...).Pix)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, n := range []int{1, 3} {
		runtime.GOMAXPROCS(n)
		s := NewSubject(meshes...)
		got := make([][]byte, 2*len(all))
		var wait sync.WaitGroup
		for i := range got {
			wait.Go(func() { got[i] = s.Draw(all[len(all)-1-i%len(all)]).Pix })
		}
		wait.Wait()
		for i := range got {
			k := len(all) - 1 - i%len(all)
			require.True(t, bytes.Equal(want[k], got[i]), "picture %d, %d workers", k, n)
		}
	}
}

// The sky is lit once for each side of the ground, and not before it is needed.
func TestSkyIsLitOnce(t *testing.T) {
	s := NewSubject(cobbles(4))
	o := Options{Width: 60, Height: 45, View: Top}
	_, first := s.draw(o)
	_, again := s.draw(o)
	require.Greater(t, first.maps.texels, 5*again.maps.texels)
	require.Positive(t, again.maps.texels, "the key is the view's own")
	o.View = Underside
	_, below := s.draw(o)
	require.Greater(t, below.maps.texels, 5*again.maps.texels)
	_, below = s.draw(o)
	require.Less(t, below.maps.texels, 2*again.maps.texels)
}

// What is in focus fills the frame, in any view, and the rest is still there: the camera
// never stands in the ground.
func TestFocusFillsTheFrame(t *testing.T) {
	f := gather([]Mesh{cobbles(4)}, creaseAngle)
	fills := func(t require.TestingT, box r3.Box, v View) {
		o := plain(Options{Supersample: 1, Focus: &box, View: v}).tidy()
		s, done := see(o, f)
		var fill float64
		for _, p := range box.Vertices() {
			x, y, _ := s.cam.project(p)
			dx, dy := math.Abs(2*x/float64(o.Width)-1), math.Abs(2*y/float64(o.Height)-1)
			require.Less(t, max(dx, dy), 0.89, "in the frame")
			fill = max(fill, dx, dy)
		}
		require.Greater(t, fill, 0.8, "and no smaller than need be")
		require.Positive(t, done.covered)
	}
	for _, c := range []struct {
		at, size r3.Vec
		view     View
	}{
		{r3.Vec{X: 1, Y: 1, Z: 0.5}, r3.Vec{X: 1, Y: 1, Z: 1}, View{15.984375, 1, 30}},
		{r3.Vec{X: 1, Y: 1, Z: 0.5}, r3.Vec{X: 1, Y: 1, Z: 1}, View{0, 0, 30}},
		{r3.Vec{X: 1, Y: 1, Z: 0.5}, r3.Vec{X: 1, Y: 1, Z: 1}, View{15.984375, 1, 90}},
		{r3.Vec{X: 1, Y: 1, Z: 0.125}, r3.Vec{X: 1, Y: 1, Z: 1}, View{27.5, -7.875, 30}},
		{r3.Vec{X: 7, Y: 7, Z: 2}, r3.Vec{X: 1, Y: 1, Z: 1}, View{15.984375, -20, 20}},
	} {
		fills(t, r3.Box{Min: c.at, Max: r3.Add(c.at, c.size)}, c.view)
	}
	rapid.Check(t, func(t *rapid.T) {
		at := r3.Vec{X: rapid.Float64Range(0, 12).Draw(t, "x"), Y: rapid.Float64Range(0, 12).Draw(t, "y"), Z: rapid.Float64Range(0, 4).Draw(t, "z")}
		size := r3.Vec{X: rapid.Float64Range(1, 6).Draw(t, "wide"), Y: rapid.Float64Range(1, 6).Draw(t, "deep"), Z: rapid.Float64Range(1, 6).Draw(t, "tall")}
		fills(t, r3.Box{Min: at, Max: r3.Add(at, size)}, View{rapid.Float64Range(-180, 180).Draw(t, "azimuth"), rapid.Float64Range(-90, 90).Draw(t, "elevation"),
			rapid.SampledFrom([]float64{0, 20, 30}).Draw(t, "perspective")})
	})
}

// A focus that is no box counts for nothing.
func TestFocusThatIsNoBox(t *testing.T) {
	m := NewSubject(block([3]float32{0, 0, 0}, [3]float32{4, 3, 2}))
	want := m.Draw(plain(Options{})).Pix
	nan := math.NaN()
	for _, b := range []r3.Box{
		{}, {Min: r3.Vec{X: 1, Y: 1, Z: 1}}, {Max: r3.Vec{X: 1, Y: 1}},
		{Max: r3.Vec{X: nan, Y: 1, Z: 1}}, {Max: r3.Vec{X: math.Inf(1), Y: 1, Z: 1}},
	} {
		require.Equal(t, want, m.Draw(plain(Options{Focus: &b})).Pix, "%v", b)
	}
	// One that is off the meshes shows what is there: nothing.
	far := r3.Box{Min: r3.Vec{X: 500, Y: 500, Z: 0}, Max: r3.Vec{X: 501, Y: 501, Z: 1}}
	o := plain(Options{Focus: &far, View: Top})
	require.Equal(t, render(plain(Options{View: Top})).Pix, m.Draw(o).Pix)
}

// In a picture of a small part the shadows are those of the whole: what is far off
// it, or over it, keeps the light away as well.
func TestFocusKeepsTheShadowsOfTheWhole(t *testing.T) {
	floor := block([3]float32{-60, -60, -1}, [3]float32{60, 60, 0})
	roof := block([3]float32{-20, -20, 10}, [3]float32{20, 20, 11})
	small := r3.Box{Min: r3.Vec{X: -1, Y: -1, Z: -1}, Max: r3.Vec{X: 1, Y: 1, Z: 1}}
	s := NewSubject(floor, roof)
	up := r3.Vec{Z: 1}
	whole, _ := s.light(Options{Width: 600, Height: 600, View: Side})
	near, _ := s.light(Options{Width: 600, Height: 600, View: Side, Focus: &small})
	require.Less(t, near.key.texel, whole.key.texel/10)
	require.Less(t, near.sky[0].texel, whole.sky[0].texel/10)
	for _, p := range []r3.Vec{{}, {X: 0.7, Y: 0.2}, {X: 15, Y: 15}, {X: 18.3}, {X: -55, Y: -55}, {Y: 40}} {
		require.InDelta(t, whole.keyAt(p, up), near.keyAt(p, up), 0.01, "key at %v", p)
		require.InDelta(t, whole.skyAt(p, up, up), near.skyAt(p, up, up), 0.06, "sky at %v", p)
	}
	require.Less(t, near.skyAt(r3.Vec{}, up, up), 0.5)
	require.Greater(t, near.skyAt(r3.Vec{X: -55, Y: -55}, up, up), 0.8)
}
