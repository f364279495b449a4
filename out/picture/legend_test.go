package picture

import (
	"image"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var (
	allTones  = tones{true, true, true, true}
	allGrades = []Mark{{Grade: Note}, {Grade: Warning}, {Grade: Stop}}
)

// The legend lies on the picture, in its lower half, and clear of the scale bar,
// whatever the length of that.
func TestLegendIsClearOfTheScaleBar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Options{
			Width: rapid.IntRange(1, 2400).Draw(t, "width"), Height: rapid.IntRange(1, 2000).Draw(t, "height"),
			Legend: true, FigureText: rapid.SampledFrom([]string{"", "a person of 1.76 m: 7.4 mm"}).Draw(t, "figure"),
			Marks: allGrades[:rapid.IntRange(0, 3).Draw(t, "grades")],
		}
		o.View.Perspective = rapid.SampledFrom([]float64{0, 20}).Draw(t, "perspective")
		k := o.key(allTones)
		if k == nil {
			return
		}
		page := rect{0, 0, float64(o.Width), float64(o.Height)}
		require.InDelta(t, (k.box.x1-k.box.x0)*(k.box.y1-k.box.y0), k.box.shared(page), 1e-6)
		require.GreaterOrEqual(t, k.box.y0, 0.5*page.y1)
		b, ok := newScaleBar(o, rapid.Float64Range(0.01, 1000).Draw(t, "pixels per mm"))
		require.True(t, ok)
		require.Zero(t, k.box.shared(b.box()))
		require.LessOrEqual(t, b.box().x1, barReach(o)+1)
		require.Len(t, k.entries, 4+len(o.Marks))
	})
}

func TestLegendAtUsualSizes(t *testing.T) {
	for size, want := range map[image.Point]bool{
		{X: 1600, Y: 1200}: true, {X: 1000, Y: 750}: true, {X: 800, Y: 600}: true,
		{X: 440, Y: 330}: false, {X: 320, Y: 240}: false, {X: 1600, Y: 100}: false,
	} {
		o := Options{Width: size.X, Height: size.Y, Legend: true, Marks: allGrades, FigureText: "a person of 1.76 m: 7.4 mm"}
		o.View.Perspective = 20
		require.Equal(t, want, o.key(allTones) != nil, "%v", size)
		o.Legend = false
		require.Nil(t, o.key(allTones))
	}
}

// The legend tells what is there and no more, and nothing where there is only
// one thing to tell.
func TestLegendTellsWhatIsThere(t *testing.T) {
	words := func(present tones, marks []Mark, figure string) string {
		o := Options{Width: 1000, Height: 750, Legend: true, Marks: marks, FigureText: figure}
		var all []string
		if k := o.key(present); k != nil {
			for _, e := range k.entries {
				all = append(all, e.text)
			}
		}
		return strings.Join(all, ", ")
	}
	require.Empty(t, words(tones{}, nil, ""))
	require.Empty(t, words(tones{Clay: true}, nil, ""))
	require.Equal(t, "as built, a person", words(tones{Clay: true, Figure: true}, nil, ""))
	require.Equal(t, "as built, broken, strewn, a person of 1.76 m", words(allTones, nil, "a person of 1.76 m"))
	require.Equal(t, "as built, stop, note", words(tones{Clay: true}, []Mark{{Grade: Note}, {Grade: Stop}, {Grade: Note}}, ""))

	o := Options{Width: 1000, Height: 750, Legend: true, Marks: allGrades}
	img := sheetOf(1000, 750, mid)
	drawLegend(img, o, allTones)
	k := o.key(allTones)
	for _, e := range k.entries {
		at := img.RGBAAt(int(e.x+0.46*k.size), int(e.y))
		if e.ring {
			require.NotEqual(t, mid, img.RGBAAt(int(e.x+0.46*k.size+0.37*k.size), int(e.y)))
		} else {
			require.Equal(t, swatch(e.tone), at)
		}
	}
	outside := sheetOf(1000, 750, mid)
	require.Zero(t, changed(img, outside)-changedIn(img, outside, k.box))
}

// changedIn counts the pixels of a box that differ.
func changedIn(a, b *image.RGBA, box rect) (n int) {
	for y := int(box.y0); y <= int(box.y1); y++ {
		for x := int(box.x0); x <= int(box.x1); x++ {
			if a.RGBAAt(x, y) != b.RGBAAt(x, y) {
				n++
			}
		}
	}
	return n
}
