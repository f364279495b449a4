package picture

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// toned gives the triangles of a mesh their tone by which third of it they lie in.
func toned(m Mesh) Mesh {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range m.Vertices {
		lo, hi = min(lo, float64(v[0])), max(hi, float64(v[0]))
	}
	for _, t := range m.Triangles {
		var x float64
		for _, k := range t {
			x += float64(m.Vertices[k][0]) / 3
		}
		m.Tones = append(m.Tones, min(Strewn, Tone(3*(x-lo)/(hi-lo))))
	}
	return m
}

// lightness is L* of CIE 15, from memory, of a colour in linear light.
func lightness(c rgb) float64 {
	y := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// Any two tones can be told apart by their lightness alone, in grey print or by
// someone who sees no hues, and from the inside of a surface.
func TestTonesDifferInLightness(t *testing.T) {
	for i := range hues {
		for j := range i {
			require.Greater(t, math.Abs(lightness(hues[i])-lightness(hues[j])), 9.0, "tones %d and %d", j, i)
		}
	}
}

// What is broken and what is strewn is still clay: its hue, as a* and b* of CIE 15 have
// it, is close to that of what was built, and it is told apart by lightness, broken
// darker and strewn lighter.
func TestDamageKeepsTheHueOfClay(t *testing.T) {
	at := func(tone Tone) [3]float64 {
		c := tone.Colour()
		return meanLab(image.NewUniform(c), image.Rect(0, 0, 1, 1))
	}
	clay := at(Clay)
	for _, tone := range []Tone{Broken, Strewn} {
		c := at(tone)
		require.Less(t, math.Hypot(c[1]-clay[1], c[2]-clay[2]), 6.0, "tone %d", tone)
	}
	require.Less(t, at(Broken)[0], clay[0]-9)
	require.Greater(t, at(Strewn)[0], clay[0]+9)
	require.Greater(t, at(Broken)[1], at(Strewn)[1], "broken is the warmer")
}

// Each tone covers just the part of the picture that its triangles do.
func TestToneAreas(t *testing.T) {
	strips := []float32{0, 5, 12, 14, 20}
	var meshes []Mesh
	for i, tone := range []Tone{Clay, Broken, Strewn, Figure} {
		m := block([3]float32{strips[i], 0, 0}, [3]float32{strips[i+1], 10, 4})
		if tone != Clay { // which is what triangles are that no tone is given for
			for range m.Triangles {
				m.Tones = append(m.Tones, tone)
			}
		}
		meshes = append(meshes, m)
	}
	const perPixel = 0.11
	o := plain(Options{View: Top, MMPerPixel: perPixel, Supersample: 3}).tidy()
	f := gather(meshes, creaseAngle)
	s, _ := see(o, f)
	var count [4]int
	for _, id := range s.view.id {
		if id >= 0 {
			count[f.tone[id]]++
		}
	}
	for i, n := range count {
		sides := r3.Vec{X: float64(strips[i+1]-strips[i]) / perPixel, Y: 10 / perPixel}
		got := float64(n) / 9
		require.InDelta(t, sides.X*sides.Y, got, (sides.X+sides.Y)/3, "tone %d, to a sixth of a pixel at each side", i)
	}
	// On the picture each strip has its own hue, brighter or darker as the light is.
	img := render(plain(Options{View: Top, MMPerPixel: perPixel}), meshes...)
	for i := range count {
		x := 100 + ((float64(strips[i])+float64(strips[i+1]))/2-10)/perPixel
		c := img.RGBAAt(int(x), 75)
		got, want := fromSRGB(c.R, c.G, c.B), hues[i]
		for k := range 2 {
			require.InEpsilon(t, want[k]/want[k+1], got[k]/got[k+1], 0.2, "tone %d", i)
		}
	}
}

// A tone that is not known is drawn, as the last one that is.
func TestUnknownTone(t *testing.T) {
	m := block([3]float32{0, 0, 0}, [3]float32{4, 4, 4})
	for range m.Triangles {
		m.Tones = append(m.Tones, 200)
	}
	strange := render(plain(Options{}), m)
	for i := range m.Tones {
		m.Tones[i] = Removed
	}
	require.Equal(t, render(plain(Options{}), m).Pix, strange.Pix)
}
