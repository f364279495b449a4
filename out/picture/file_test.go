package picture

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// noise is a picture of smooth and of rough places.
func noise(t *rapid.T, opaque bool) *image.RGBA {
	w, h := rapid.IntRange(1, 70).Draw(t, "width"), rapid.IntRange(1, 70).Draw(t, "height")
	seed := rapid.Uint32().Draw(t, "seed")
	m := image.NewRGBA(image.Rect(3, -2, 3+w, -2+h))
	for y := range h {
		for x := range w {
			seed = seed*1664525 + 1013904223
			c := color.RGBA{uint8(3 * x), uint8(2 * y), uint8(x + y), 255}
			if y > h/2 {
				c.R, c.G = uint8(seed>>24), uint8(seed>>16)
			}
			if !opaque && (x+y)%3 == 0 {
				c = color.RGBA{0, 0, 0, 0}
			}
			m.SetRGBA(3+x, -2+y, c)
		}
	}
	return m
}

// What is written reads back the same, by the standard library's reader, and an
// opaque picture takes three bytes a pixel before it is packed, not four.
func TestPNGComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		opaque := rapid.Bool().Draw(t, "opaque")
		m := noise(t, opaque)
		var file bytes.Buffer
		require.NoError(t, WritePNG(&file, m))
		const colourType = 8 + 8 + 9 // signature, chunk head, width height and depth (RFC 2083)
		want := byte(6)
		if m.Opaque() {
			want = 2
		}
		require.Equal(t, want, file.Bytes()[colourType])
		back, err := png.Decode(&file)
		require.NoError(t, err)
		require.Equal(t, m.Rect.Size(), back.Bounds().Size())
		for y := range m.Rect.Dy() {
			for x := range m.Rect.Dx() {
				if color.RGBAModel.Convert(back.At(x, y)) != m.At(3+x, -2+y) {
					t.Fatalf("pixel %d, %d", x, y)
				}
			}
		}
	})
}

// full fails after a number of bytes.
type full int

func (f *full) Write(p []byte) (int, error) {
	if *f -= full(len(p)); *f < 0 {
		return 0, errors.New("disk full")
	}
	return len(p), nil
}

func TestPicturesTellOfAFullDisk(t *testing.T) {
	m := flat(300, 200, red)
	var file bytes.Buffer
	require.NoError(t, WritePNG(&file, m))
	for _, room := range []int{0, 20, file.Len() - 1} {
		f := full(room)
		require.Error(t, WritePNG(&f, m), "%d", room)
	}
	f := full(30)
	require.Error(t, WriteJPEG(&f, m, 80))
	require.Error(t, WritePNG(&file, image.NewRGBA(image.Rectangle{})))
}

func TestJPEGComesBackAlike(t *testing.T) {
	m := render(Options{Width: 200, Height: 150, Supersample: 1, View: ThreeQuarter}, cobbles(3))
	size := func(quality int) int {
		var file bytes.Buffer
		require.NoError(t, WriteJPEG(&file, m, quality))
		n := file.Len()
		back, err := jpeg.Decode(&file)
		require.NoError(t, err)
		require.Equal(t, m.Rect, back.Bounds())
		var off float64
		for y := range 150 {
			for x := range 200 {
				c := color.RGBAModel.Convert(back.At(x, y)).(color.RGBA)
				d := float64(c.G) - float64(m.RGBAAt(x, y).G)
				off += d * d
			}
		}
		if quality >= 80 {
			require.Less(t, off/(200*150), 9.0, "mean square")
		}
		return n
	}
	require.Less(t, size(60), size(90))
	require.Equal(t, size(1), size(-5))
	require.Equal(t, size(100), size(1000))
}

func TestShrink(t *testing.T) {
	m := render(Options{Width: 240, Height: 160, Supersample: 1, View: ThreeQuarter}, cobbles(3))
	small := Shrink(m, 90, 90)
	require.Equal(t, image.Rect(0, 0, 90, 60), small.Rect)
	mean := func(m *image.RGBA) (sum float64) {
		for i := 1; i < len(m.Pix); i += 4 {
			sum += float64(m.Pix[i])
		}
		return sum / float64(len(m.Pix)/4)
	}
	require.InDelta(t, mean(m), mean(small), 1)
	require.True(t, small.Opaque())
	require.Equal(t, image.Rect(0, 0, 240, 160), Shrink(m, 900, 900).Rect, "not enlarged")
	require.Equal(t, image.Rect(0, 0, 1, 1), Shrink(m, 0, -3).Rect)
	require.Equal(t, image.Rect(0, 0, 1, 1), Shrink(image.NewRGBA(image.Rectangle{}), 5, 5).Rect)

	grid := image.NewRGBA(image.Rect(0, 0, 200, 200))
	for i := range grid.Pix { // lines a pixel apart: a good filter gives an even grey
		grid.Pix[i] = 255
		if i%4 != 3 && i/4%2 == 0 {
			grid.Pix[i] = 0
		}
	}
	even := Shrink(grid, 40, 40)
	for y := 5; y < 35; y++ {
		for x := 5; x < 35; x++ {
			require.InDelta(t, 127.5, even.RGBAAt(x, y).R, 4)
		}
	}
}
