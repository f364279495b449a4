package picture

import (
	"image"
	"image/color"
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
	rapid.Check(t, func(t *rapid.T) {
		perPixel := rapid.Float64Range(0.004, 3).Draw(t, "mm per pixel")
		o := Options{Width: 250, Height: 120, View: Top, MMPerPixel: perPixel, Supersample: 1}
		img := Render(o, ball(r3.Vec{}, 2*perPixel, 4))
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
	require.Greater(t, changed(Render(o), Render(with)), 100)
}

func TestContactSheet(t *testing.T) {
	flat := func(w, h int, c color.RGBA) image.Image {
		m := image.NewRGBA(image.Rect(5, 7, 5+w, 7+h))
		for i := 0; i < len(m.Pix); i += 4 {
			m.Pix[i], m.Pix[i+1], m.Pix[i+2], m.Pix[i+3] = c.R, c.G, c.B, c.A
		}
		return m
	}
	red, green, blue := color.RGBA{255, 0, 0, 255}, color.RGBA{0, 255, 0, 255}, color.RGBA{0, 0, 255, 255}
	sheet := ContactSheet([]image.Image{flat(160, 120, red), flat(80, 120, green), flat(160, 60, blue)}, []string{"one", "two"}, 2)
	count := map[color.RGBA]int{}
	where := map[color.RGBA]image.Rectangle{}
	b := sheet.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			c := sheet.RGBAAt(x, y)
			count[c]++
			where[c] = where[c].Union(image.Rect(x, y, x+1, y+1))
		}
	}
	require.Equal(t, 160*120, count[red])
	require.Equal(t, 80*120, count[green])
	require.Equal(t, 160*60, count[blue])
	require.Greater(t, where[green].Min.X, where[red].Max.X)
	require.Greater(t, where[blue].Min.Y, where[red].Max.Y)
	unlabelled := ContactSheet([]image.Image{flat(160, 120, red), flat(80, 120, green), flat(160, 60, blue)}, nil, 2)
	require.Greater(t, changed(sheet, unlabelled), 20, "labels")

	require.Equal(t, 1, ContactSheet(nil, nil, 3).Bounds().Dx())
	require.NotPanics(t, func() {
		ContactSheet([]image.Image{flat(3, 3, red)}, []string{"far too long a label", "and one too many"}, -4)
	})
	tall := make([]image.Image, 3000)
	for i := range tall {
		tall[i] = flat(10, 30, red)
	}
	require.LessOrEqual(t, ContactSheet(tall, nil, 1).Bounds().Dy(), 65535)
}
