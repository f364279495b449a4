package picture

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// The bar is as long as it says, and as two marks on a mesh that are as far
// apart: measured on the pixels.
func TestScaleBarIsTrue(t *testing.T) {
	s := NewSubject(ball(r3.Vec{}, 1, 4))
	rapid.Check(t, func(t *rapid.T) {
		perPixel := rapid.Float64Range(0.004, 3).Draw(t, "mm per pixel")
		o := Options{Width: 250, Height: 120, View: Top, MMPerPixel: perPixel, Supersample: 1}
		img := s.Draw(o)
		longest := 0
		for y := range 120 {
			run := 0
			for x := range 250 {
				if img.RGBAAt(x, y) == ink {
					run++
					longest = max(longest, run)
				} else {
					run = 0
				}
			}
		}
		mm := barLength(o.Width, 1/perPixel)
		require.InDelta(t, mm/perPixel, longest, 0.51)
		require.LessOrEqual(t, mm/perPixel, 50.0)
		require.Greater(t, mm/perPixel, 19.9)
		lead := mm / math.Pow(10, math.Floor(math.Log10(mm)+1e-9))
		require.Contains(t, []float64{1, 2, 5}, math.Round(lead*1e6)/1e6)
	})
}

func TestTextIsCutToFit(t *testing.T) {
	fc := face(regular(), 20)
	require.Equal(t, "quay", fitting(fc, "quay", 300))
	rapid.Check(t, func(t *rapid.T) {
		text, width := rapid.String().Draw(t, "text"), rapid.IntRange(30, 400).Draw(t, "width")
		got := fitting(fc, text, width)
		require.LessOrEqual(t, font.MeasureString(fc, got), fixed.I(width))
	})
}

func TestTitleIsDrawn(t *testing.T) {
	o := Options{Width: 300, Height: 200, NoScaleBar: true}
	with := o
	with.Title = "Saltmere Quay"
	require.Greater(t, changed(render(o), render(with)), 100)
}
