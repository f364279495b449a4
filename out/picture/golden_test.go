package picture

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

var update = flag.Bool("update", false, "writes the golden pictures anew; then look at them")

const (
	tile = 8 // pixels along a side
	// tileBound is how far the mean colour of a tile may be off, in CIE L*a*b*. A
	// difference of about 2 is just seen in large fields (common knowledge, no
	// source); rounding on another processor moves a tile by far less than 0.1.
	tileBound = 0.5
)

// yard is what the golden pictures show: cobbles, with a block, a ball half sunk
// in, a pocket underneath and a person.
func yard(tones bool) []Mesh {
	paving := cobbles(4)
	if tones {
		paving = toned(paving)
	}
	var under []Mesh // a slab with a square pocket
	for _, b := range [][4]float32{{0, 0, 16, 5}, {0, 11, 16, 16}, {0, 5, 5, 11}, {11, 5, 16, 11}} {
		under = append(under, block([3]float32{b[0], b[1], -3}, [3]float32{b[2], b[3], 0}))
	}
	return append(under, paving, block([3]float32{2, 9, 4}, [3]float32{5, 14, 10}), ball(r3.Vec{X: 11, Y: 5, Z: 5}, 2.5, 24),
		Person(6, r3.Vec{X: 19, Y: 5, Z: -3}, -60))
}

// golden are the pictures, by name; each small enough to be kept.
func golden() map[string]func() *image.RGBA {
	all := map[string]func() *image.RGBA{}
	add := func(name string, tones bool, o Options) {
		o.Width, o.Height = 240, 180
		all[name] = func() *image.RGBA { return render(o, yard(tones)...) }
	}
	add("three-quarter", false, Options{View: ThreeQuarter, Title: "Salt yard"})
	add("top", false, Options{View: Top})
	add("side", false, Options{View: Side, Edges: 0.6})
	add("underside", false, Options{View: Underside})
	add("close-up", false, Options{View: ThreeQuarter, Focus: &r3.Box{Min: r3.Vec{X: 7, Y: 2, Z: 3.5}, Max: r3.Vec{X: 13, Y: 8, Z: 7.5}}})
	add("tones", true, Options{View: ThreeQuarter, NoScaleBar: true})
	return all
}

func TestGoldenPictures(t *testing.T) {
	for name, make := range golden() {
		t.Run(name, func(t *testing.T) {
			got, path := make(), filepath.Join("testdata", name+".png")
			if *update {
				var b bytes.Buffer
				require.NoError(t, WritePNG(&b, got))
				require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
			}
			data, err := os.ReadFile(path)
			require.NoError(t, err, "run go test -run Golden -update, and look at what it wrote")
			want, err := png.Decode(bytes.NewReader(data))
			require.NoError(t, err)
			if off := farOff(want, got); off != "" {
				kept := filepath.Join(os.TempDir(), "socle-golden-"+name+".png")
				var b bytes.Buffer
				require.NoError(t, WritePNG(&b, got))
				require.NoError(t, os.WriteFile(kept, b.Bytes(), 0o644))
				require.Fail(t, off, "the picture is kept as %s", kept)
			}
		})
	}
}

// farOff tells in which tile, and by how much, two pictures differ most, or ""
// where no tile is off by more than the bound.
func farOff(want, got image.Image) string {
	if want.Bounds() != got.Bounds() {
		return fmt.Sprintf("the picture is %v, not %v", got.Bounds(), want.Bounds())
	}
	b := want.Bounds()
	var worst float64
	var at image.Point
	for y := b.Min.Y; y < b.Max.Y; y += tile {
		for x := b.Min.X; x < b.Max.X; x += tile {
			r := image.Rect(x, y, x+tile, y+tile).Intersect(b)
			p, q := meanLab(want, r), meanLab(got, r)
			if d := math.Sqrt(sq(p[0]-q[0]) + sq(p[1]-q[1]) + sq(p[2]-q[2])); d > worst {
				worst, at = d, image.Pt(x, y)
			}
		}
	}
	if worst <= tileBound {
		return ""
	}
	return fmt.Sprintf("the tile at %v is off by %.2f, more than %.2f", at, worst, tileBound)
}

func sq(x float64) float64 { return x * x }

// meanLab is the mean colour over a rectangle in CIE L*a*b*, white D65 (CIE 15 and
// IEC 61966-2-1, from memory).
func meanLab(img image.Image, r image.Rectangle) (mean [3]float64) {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (t*24389/27 + 16) / 116
	}
	n := float64(r.Dx() * r.Dy())
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := color.RGBAModel.Convert(img.At(x, y)).(color.RGBA)
			l := fromSRGB(c.R, c.G, c.B)
			fx := f((0.4124*l[0] + 0.3576*l[1] + 0.1805*l[2]) / 0.9505)
			fy := f(0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2])
			fz := f((0.0193*l[0] + 0.1192*l[1] + 0.9505*l[2]) / 1.089)
			for k, v := range [3]float64{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)} {
				mean[k] += v / n
			}
		}
	}
	return mean
}

// The comparison lets pass what nobody sees, and notices an edge moved by a pixel,
// another tone, a small thing that is gone, and another size.
func TestComparisonOfPictures(t *testing.T) {
	m := toned(cobbles(2))
	o := Options{Width: 160, Height: 120, NoScaleBar: true, View: Top, MMPerPixel: 0.08}
	want := render(o, m)
	clone := func() *image.RGBA {
		c := image.NewRGBA(want.Rect)
		draw.Draw(c, c.Rect, want, image.Point{}, draw.Src)
		return c
	}
	require.Empty(t, farOff(want, want))

	slight := clone()
	for i := 0; i < len(slight.Pix); i += 4 * 3 { // a third of all pixels by one step
		slight.Pix[i] ^= 1
	}
	require.Empty(t, farOff(want, slight))

	moved := image.NewRGBA(want.Rect)
	draw.Draw(moved, moved.Rect, want, image.Point{}, draw.Src)
	draw.Draw(moved, image.Rect(1, 0, 160, 120), want, image.Point{}, draw.Src)
	require.NotEmpty(t, farOff(want, moved), "moved by a pixel")

	other := toned(cobbles(2))
	for i := range other.Tones {
		if other.Tones[i] == Strewn {
			other.Tones[i] = Clay
		}
	}
	require.NotEmpty(t, farOff(want, render(o, other)), "another tone")

	gone := clone()
	draw.Draw(gone, image.Rect(30, 30, 32, 32), image.NewUniform(color.RGBA{20, 20, 20, 255}), image.Point{}, draw.Src)
	require.NotEmpty(t, farOff(want, gone), "a speck of two by two")

	require.NotEmpty(t, farOff(want, image.NewRGBA(image.Rect(0, 0, 160, 121))))
}
