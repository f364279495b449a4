package picture

import (
	"image"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

var (
	allTones  = tones{true, true, true, true}
	allGrades = []ringed{{Mark: Mark{Grade: Note}}, {Mark: Mark{Grade: Warning}}, {Mark: Mark{Grade: Stop}}}
)

// The legend lies on the picture, in its lower half, and clear of the scale bar,
// whatever the length of that.
func TestLegendIsClearOfTheScaleBar(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Options{
			Width: rapid.IntRange(1, 2400).Draw(t, "width"), Height: rapid.IntRange(1, 2000).Draw(t, "height"),
			Legend: true, FigureText: rapid.SampledFrom([]string{"", "a person of 1.76 m: 7.4 mm"}).Draw(t, "figure"),
		}
		o.View.Perspective = rapid.SampledFrom([]float64{0, 20}).Draw(t, "perspective")
		rings := allGrades[:rapid.IntRange(0, 3).Draw(t, "grades")]
		k := o.key(allTones, rings)
		if k == nil {
			return
		}
		page := rect{0, 0, float64(o.Width), float64(o.Height)}
		require.InDelta(t, (k.box.x1-k.box.x0)*(k.box.y1-k.box.y0), k.box.shared(page), 1e-6)
		require.GreaterOrEqual(t, k.box.y0, 0.5*page.y1)
		b, ok := newScaleBar(o, rapid.Float64Range(0.1, 1000).Draw(t, "pixels per mm"))
		require.True(t, ok)
		require.Zero(t, k.box.shared(b.box()))
		require.LessOrEqual(t, b.box().x1, barReach(o)+1)
		require.Len(t, k.entries, 4+len(rings))
	})
}

func TestLegendAtUsualSizes(t *testing.T) {
	for size, want := range map[image.Point]bool{
		{X: 1600, Y: 1200}: true, {X: 1000, Y: 750}: true, {X: 800, Y: 600}: true,
		{X: 440, Y: 330}: false, {X: 320, Y: 240}: false, {X: 1600, Y: 100}: false,
	} {
		o := Options{Width: size.X, Height: size.Y, Legend: true, FigureText: "a person of 1.76 m: 7.4 mm"}
		o.View.Perspective = 20
		require.Equal(t, want, o.key(allTones, allGrades) != nil, "%v", size)
		o.Legend = false
		require.Nil(t, o.key(allTones, allGrades))
	}
}

// The legend tells what is there and no more, and nothing where there is only
// one thing to tell.
func TestLegendTellsWhatIsThere(t *testing.T) {
	words := func(present tones, rings []ringed, figure string) string {
		o := Options{Width: 1000, Height: 750, Legend: true, FigureText: figure}
		var all []string
		if k := o.key(present, rings); k != nil {
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
	require.Equal(t, "as built, added, taken away, a person", words(tones{Clay: true, Figure: true, Added: true, Removed: true}, nil, ""))
	some := []ringed{{Mark: Mark{Grade: Note}}, {Mark: Mark{Grade: Stop}}, {Mark: Mark{Grade: Note}}}
	require.Equal(t, "as built, stop, note", words(tones{Clay: true}, some, ""))
	some[0].hidden = true
	require.Equal(t, "as built, stop, note, hidden from here", words(tones{Clay: true}, some, ""))

	k := Options{Width: 1000, Height: 750, Legend: true}.key(allTones, allGrades)
	img, outside := sheetOf(1000, 750, mid), sheetOf(1000, 750, mid)
	k.draw(img)
	for _, e := range k.entries {
		at := image.Pt(int(e.x+0.46*k.size), int(e.y))
		if e.ring {
			require.NotEqual(t, mid, img.RGBAAt(at.X+int(0.37*k.size), at.Y))
		} else {
			require.Equal(t, swatch(e.tone), img.RGBAAt(at.X, at.Y))
		}
	}
	require.Zero(t, changed(img, outside)-changedIn(img, outside, k.box))
}

// What lies off the picture, or behind something, is not in its legend.
func TestLegendIsOfWhatIsSeen(t *testing.T) {
	toned := func(m Mesh, tone Tone) Mesh {
		m.Tones = make([]Tone, len(m.Triangles))
		for i := range m.Tones {
			m.Tones[i] = tone
		}
		return m
	}
	wall := block([3]float32{-20, -2, 0}, [3]float32{20, 2, 20})
	behind := toned(block([3]float32{-3, 4, 0}, [3]float32{3, 6, 8}), Strewn)
	beside := Person(7, r3.Vec{X: 40}, 0)
	front := Options{View: Side}
	require.Equal(t, tones{Clay: true, Figure: true}, seenOf(front, wall, behind, beside).seen())
	front.Focus = &r3.Box{Min: r3.Vec{X: -5, Y: -2}, Max: r3.Vec{X: 5, Y: 2, Z: 9}}
	require.Equal(t, tones{Clay: true}, seenOf(front, wall, behind, beside).seen())
	rear := Options{View: View{Azimuth: 90}}
	require.Equal(t, tones{Clay: true, Strewn: true, Figure: true}, seenOf(rear, wall, behind, beside).seen())
}

// Marks and legend are drawn on the picture, when asked for.
func TestPictureIsMarked(t *testing.T) {
	wall := block([3]float32{-20, -2, 0}, [3]float32{20, 2, 20})
	s := NewSubject(wall, Person(7, r3.Vec{X: 26}, -90))
	plain := Options{Width: 600, Height: 440, Supersample: 1}
	marked, keyed := plain, plain
	marked.Marks = []Mark{{At: r3.Vec{Y: -2, Z: 9}, Radius: 3, Label: "1", Grade: Stop}}
	keyed.Legend = true
	bare := s.Draw(plain)
	require.Greater(t, changed(bare, s.Draw(marked)), 400)
	with := s.Draw(keyed)
	box := keyed.key(tones{Clay: true, Figure: true}, nil).box
	require.Greater(t, changedIn(bare, with, box), 1000)
	require.Equal(t, changedIn(bare, with, box), changed(bare, with))
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
