package page_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"socle/out/page"
)

// knoll is a closed solid: a round base of n sides that rises to a lumpy top, of three
// tones.
func knoll(n int) *page.Solid {
	s := &page.Solid{}
	rings := n / 4
	put := func(x, y, z float64) uint32 {
		s.Vertices = append(s.Vertices, [3]float32{float32(x), float32(y), float32(z)})
		return uint32(len(s.Vertices) - 1)
	}
	face := func(tone uint8, f ...uint32) {
		s.Triangles = append(s.Triangles, [3]uint32{f[0], f[1], f[2]})
		s.Tones = append(s.Tones, tone)
	}
	under, top := put(0, 0, 0), put(0, 0, 9)
	ring := func(r, z float64) (first uint32) {
		first = uint32(len(s.Vertices))
		for k := range n {
			a := 2 * math.Pi * float64(k) / float64(n)
			lump := 0.0
			if z > 0 && r < 19 {
				lump = 0.6 * math.Sin(5*a) * math.Sin(r)
			}
			put(r*math.Cos(a), r*math.Sin(a), z+lump)
		}
		return first
	}
	last := ring(20, 0)
	for k := range n {
		face(0, under, last+uint32((k+1)%n), last+uint32(k))
	}
	for i := range rings {
		r := 20 * (1 - float64(i)/float64(rings))
		next := ring(r, 4+5*(1-r/20))
		for k := range n {
			l := (k + 1) % n
			tone := uint8(0)
			if i > rings/2 {
				tone = uint8(1 + 2*k/n)
			}
			face(tone, last+uint32(k), last+uint32(l), next+uint32(l))
			face(tone, last+uint32(k), next+uint32(l), next+uint32(k))
		}
		last = next
	}
	for k := range n {
		face(1, last+uint32(k), last+uint32((k+1)%n), top)
	}
	return s
}

// turntables is a page of bases that can be turned.
func turntables(t *testing.T, n int) string {
	r := &page.Report{Title: "Turned"}
	for range n {
		r.Bases = append(r.Bases, page.Base{Name: "knoll", Solid: knoll(96)})
	}
	return written(t, r)
}

// until waits for an expression to hold.
func (b *tab) until(expression string) {
	b.t.Helper()
	_, err := chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(20*time.Second)))
	require.NoError(b.t, err, expression)
}

// settled waits for two frames.
func (b *tab) settled() {
	b.t.Helper()
	require.True(b.t, ask[bool](b, `new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`))
}

func (b *tab) state(name string) float64 {
	b.t.Helper()
	b.settled()
	return ask[float64](b, `Number(document.querySelector(".orbit").dataset.`+name+`)`)
}

func TestSolidIsTurned(t *testing.T) {
	b := open(t, turntables(t, 1), withWebGL(t)...)
	b.see(1000, "light")
	// A throw would run out after the drag.
	b.calm()
	b.place(".orbit canvas")
	b.until(`document.querySelector(".orbit").dataset.state === "ready"`)
	b.settled()
	first := b.seen(".orbit canvas")
	require.Greater(t, shades(first), 8, "something is seen")

	b.do(chromedp.Focus(chromedp.CSS(".orbit canvas")))
	b.do(chromedp.KeyEvent("t"))
	require.Equal(t, 90.0, b.state("elevation"))
	above := b.seen(".orbit canvas")
	require.Greater(t, differing(first, above), 0.05)
	b.do(chromedp.KeyEvent("u"))
	require.Equal(t, -90.0, b.state("elevation"))
	require.Greater(t, differing(above, b.seen(".orbit canvas")), 0.05)
	b.do(chromedp.KeyEvent("f"))
	require.Zero(t, b.state("elevation"))
	b.do(chromedp.KeyEvent("+"))
	require.Equal(t, 1.2, b.state("zoom"))
	b.do(chromedp.KeyEvent("-"), chromedp.KeyEvent("-"))
	require.Equal(t, 0.83, b.state("zoom"))
	b.do(chromedp.Click(chromedp.CSS(".orbit [data-key=Home]")))
	require.Equal(t, 1.0, b.state("zoom"))
	require.Zero(t, differing(first, b.seen(".orbit canvas")), "as at the beginning")

	was := b.state("azimuth")
	b.drag(".orbit canvas", 120, 40)
	require.NotEqual(t, was, b.state("azimuth"))
	require.Greater(t, b.state("elevation"), 34.0)
	require.Greater(t, differing(first, b.seen(".orbit canvas")), 0.01)
	still := b.state("azimuth")
	time.Sleep(100 * time.Millisecond)
	require.Equal(t, still, b.state("azimuth"), "nothing moves by itself")

	b.see(1000, "dark")
	b.settled()
	r, _, _, _ := b.seen(".orbit canvas").At(8, 8).RGBA()
	require.Less(t, r>>8, uint32(80))
}

func TestSolidIsTurnedByTouch(t *testing.T) {
	b := open(t, turntables(t, 1), withWebGL(t)...)
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
	b.calm()
	b.place(".orbit canvas")
	b.until(`document.querySelector(".orbit").dataset.state === "ready"`)
	b.settled()
	first := b.seen(".orbit canvas")
	was := b.state("azimuth")
	b.touch(".orbit canvas", [2][2]float64{{0, 0}, {90, 0}})
	require.NotEqual(t, was, b.state("azimuth"))
	require.Greater(t, differing(first, b.seen(".orbit canvas")), 0.01)
	require.Equal(t, 1.0, b.state("zoom"))
	turned := b.state("azimuth")
	b.touch(".orbit canvas", [2][2]float64{{-30, 0}, {-80, 0}}, [2][2]float64{{30, 0}, {80, 0}})
	require.Greater(t, b.state("zoom"), 1.5)
	require.InDelta(t, turned, b.state("azimuth"), 15)
}

// Where nothing can be drawn the page is as it was.
func TestSolidStaysAPicture(t *testing.T) {
	b := open(t, turntables(t, 1), withoutWebGL(t)...)
	require.True(t, ask[bool](b, `document.querySelector(".orbit").hidden`))
	require.Zero(t, ask[int](b, `document.querySelectorAll("canvas").length`))

	packed := turntables(t, 1)
	at := strings.Index(packed, `id="base-1-solid">`) + len(`id="base-1-solid">`)
	b = open(t, packed[:at]+packed[at+40:], withWebGL(t)...)
	b.until(`document.querySelector(".orbit").dataset.state === "failed"`)
	require.True(t, ask[bool](b, `document.querySelector(".orbit").hidden`), "what is packed wrongly is not shown")
}

func TestManySolidsShareFewContexts(t *testing.T) {
	b := open(t, turntables(t, 16), withWebGL(t)...)
	b.see(600, "light")
	for i := range 16 {
		one := `document.querySelectorAll(".orbit")[` + string(rune('0'+i/10)) + string(rune('0'+i%10)) + `]`
		one = strings.Replace(one, "[0", "[", 1)
		b.do(chromedp.Evaluate[chromedp.Void](one + `.scrollIntoView({block: "center", behavior: "instant"})`))
		b.until(one + `.dataset.state === "ready"`)
		require.LessOrEqual(t, ask[int](b, `document.querySelectorAll(".orbit[data-state=ready]").length`), 8)
	}
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector(".orbit").scrollIntoView({block: "center", behavior: "instant"})`))
	b.until(`document.querySelector(".orbit").dataset.state === "ready"`)
	require.Greater(t, shades(b.seen(".orbit canvas")), 8, "back again")
	require.Zero(t, ask[int](b, `document.querySelectorAll(".orbit[hidden]").length`))
}

// Some six characters a triangle, the same ones each time.
func TestSolidIsPackedSmall(t *testing.T) {
	const n = 256
	text := func() string {
		all := written(t, &page.Report{Bases: []page.Base{{Name: "knoll", Solid: knoll(n)}}})
		_, rest, found := strings.Cut(all, `id="base-1-solid">`)
		require.True(t, found)
		packed, _, _ := strings.Cut(rest, "<")
		return packed
	}
	packed := text()
	require.Less(t, len(packed), 7*len(knoll(n).Triangles))
	require.Equal(t, packed, text())
}

func TestNoSolidNoFigure(t *testing.T) {
	for _, s := range []*page.Solid{nil, {}, {Triangles: [][3]uint32{{0, 1, 2}}}} {
		text := written(t, &page.Report{Bases: []page.Base{{Name: "none", Solid: s}}})
		require.False(t, strings.Contains(text, `<figure class="orbit" id`))
	}
}
