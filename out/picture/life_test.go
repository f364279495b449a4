package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/png"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// drum is an upright cylinder of a diameter and a height, in the darkest tone.
func drum(diameter, height float64) Mesh {
	const n = 360
	m := Mesh{Vertices: [][3]float32{{0, 0, 0}, {0, 0, float32(height)}}}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		x, y := float32(c*diameter/2), float32(s*diameter/2)
		m.Vertices = append(m.Vertices, [3]float32{x, y, 0}, [3]float32{x, y, float32(height)})
	}
	for i := range uint32(n) {
		a, c := 2+2*i, 2+2*((i+1)%n)
		m.Triangles = append(m.Triangles, [3]uint32{0, c, a}, [3]uint32{1, a + 1, c + 1}, [3]uint32{a, c, c + 1}, [3]uint32{a, c + 1, a + 1})
	}
	for range m.Triangles {
		m.Tones = append(m.Tones, Figure)
	}
	return m
}

// A picture at the size of life has 96 pixels for each inch of the print across the
// view. Up the picture a drum is as long as its top, foreshortened by the sine of the
// view's elevation, and its side by the cosine.
func TestLifeSizeIsTrue(t *testing.T) {
	const perMM = 96 / 25.4
	for _, mm := range []float64{5, 25, 60, 120} {
		s := NewSubject(drum(mm, 4))
		o := s.LifeSize(ThreeQuarter)
		o.NoGround = true // and no shadow
		img := s.Draw(o)
		var dark image.Rectangle
		for y := range img.Rect.Dy() {
			for x := range img.Rect.Dx() {
				if meanLab(img, image.Rect(x, y, x+1, y+1))[0] < 62 { // about half covered
					dark = dark.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		require.InDelta(t, mm*perMM, float64(dark.Dx()), 1, "a drum of %g mm", mm)
		sn, cs := sincos(ThreeQuarter.Elevation)
		require.InDelta(t, (mm*sn+4*cs)*perMM, float64(dark.Dy()), 2.5, "a drum of %g mm, up", mm)
		require.GreaterOrEqual(t, dark.Min.X, lifeMargin-1)
		require.LessOrEqual(t, dark.Max.X, img.Rect.Dx()-lifeMargin+1)
		require.Less(t, img.Rect.Dx(), dark.Dx()+2*lifeMargin+3, "no larger than it need be")
	}
	empty := NewSubject().LifeSize(ThreeQuarter)
	require.NotPanics(t, func() { NewSubject().Draw(empty) })
	vast := NewSubject(block([3]float32{0, 0, 0}, [3]float32{1e5, 10, 10})).LifeSize(Side)
	require.Equal(t, mostPixels, vast.Width)
}

// The file says how large it is to be shown: pixels a metre, both ways.
func TestLifePNGSaysItsSize(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 30, 20))
	var file bytes.Buffer
	require.NoError(t, WriteLifePNG(&file, m))
	data := bytes.Clone(file.Bytes())
	back, err := png.Decode(&file)
	require.NoError(t, err, "every checksum holds")
	require.Equal(t, m.Rect, back.Bounds())
	at := bytes.Index(data, []byte("pHYs"))
	require.Positive(t, at)
	require.Less(t, at, bytes.Index(data, []byte("IDAT")), "RFC 2083: before the image")
	require.EqualValues(t, 9, binary.BigEndian.Uint32(data[at-4:]))
	for k := range 2 {
		require.InDelta(t, 96, float64(binary.BigEndian.Uint32(data[at+4+4*k:]))*0.0254, 0.02)
	}
	require.EqualValues(t, 1, data[at+12])
	require.Error(t, WriteLifePNG(&file, image.NewRGBA(image.Rect(0, 0, 0, 5))))
}

// On the sheet every picture keeps its size, their lower rims are in line in a row, rows
// are no wider than asked, and what does not fit is told.
func TestLifeSheet(t *testing.T) {
	sheet := LifeSheet("Saltmere Quay", []Cell{
		{flat(95, 70, red), "one", "round 25, 4.0 mm tall"}, {flat(450, 300, green), "two", ""}, {nil, "none", ""}, {flat(600, 90, blue), "three", ""},
	})
	count, where := spread(sheet)
	require.Equal(t, 95*70, count[red])
	require.Equal(t, 450*300, count[green])
	require.Equal(t, 600*90, count[blue])
	require.Equal(t, where[red].Max.Y, where[green].Max.Y)
	require.Greater(t, where[green].Min.X, where[red].Max.X)
	require.Greater(t, where[blue].Min.Y, where[green].Max.Y)
	require.LessOrEqual(t, sheet.Rect.Dx(), lifeRow+2*20)
	require.Greater(t, written(sheet, image.Rect(where[red].Min.X, where[red].Max.Y, where[green].Min.X, where[red].Max.Y+40)), 200, "its name and footprint")
	require.Equal(t, 1, LifeSheet("title", nil).Rect.Dx())
	many := make([]Cell, 40)
	for i := range many {
		many[i].Image = bounded{image.NewUniform(red), image.Rect(0, 0, 3000, 2000)}
	}
	full := LifeSheet("", many)
	require.LessOrEqual(t, full.Rect.Dx()*full.Rect.Dy(), mostSheet)
	require.Greater(t, written(full, image.Rect(full.Rect.Dx()/2, 0, full.Rect.Dx(), 50)), 100, "says how many are missing")
}
