package page_test

import (
	"bytes"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// withWebGL is what Chromium needs to give a page WebGL 2 on a machine without
// a graphics card, through SwiftShader, and to ask for nothing itself.
func withWebGL(t *testing.T) []chromedp.ExecAllocatorOption {
	return append(quietly(t),
		chromedp.Flag("use-gl", "angle"),
		chromedp.Flag("use-angle", "swiftshader"),
		chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("ignore-gpu-blocklist", true))
}

// withoutWebGL is a browser that has none.
func withoutWebGL(t *testing.T) []chromedp.ExecAllocatorOption {
	return append(quietly(t), chromedp.Flag("disable-3d-apis", true), chromedp.Flag("disable-gpu", true))
}

func quietly(t *testing.T) []chromedp.ExecAllocatorOption {
	return []chromedp.ExecAllocatorOption{
		chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
	}
}

// seen gives what an element looks like.
func (b *tab) seen(selector string) image.Image {
	b.t.Helper()
	shot, err := chromedp.Run(b.ctx, chromedp.Screenshot(chromedp.CSS(selector)))
	require.NoError(b.t, err)
	// To be looked at: SOCLE_SHOTS=folder
	if to := os.Getenv("SOCLE_SHOTS"); to != "" {
		f, err := os.CreateTemp(to, filepath.Base(b.t.Name())+"-*.png")
		require.NoError(b.t, err)
		_, err = f.Write(shot)
		require.NoError(b.t, err)
		require.NoError(b.t, f.Close())
	}
	img, _, err := image.Decode(bytes.NewReader(shot))
	require.NoError(b.t, err)
	return img
}

// differing is the share of pixels that differ visibly.
func differing(a, b image.Image) float64 {
	n, all := 0, 0
	for y := range min(a.Bounds().Dy(), b.Bounds().Dy()) {
		for x := range min(a.Bounds().Dx(), b.Bounds().Dx()) {
			p, q := color.GrayModel.Convert(a.At(x, y)).(color.Gray), color.GrayModel.Convert(b.At(x, y)).(color.Gray)
			if d := int(p.Y) - int(q.Y); d > 8 || d < -8 {
				n++
			}
			all++
		}
	}
	return float64(n) / float64(max(all, 1))
}

// shades counts the greys of a picture, in steps of eight.
func shades(a image.Image) int {
	met := map[uint8]bool{}
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			met[color.GrayModel.Convert(a.At(x, y)).(color.Gray).Y>>3] = true
		}
	}
	return len(met)
}

// place is the middle of an element in the window, CSS pixels.
func (b *tab) place(selector string) (x, y float64) {
	b.t.Helper()
	p := ask[[]float64](b, `(() => { const e = document.querySelector("`+selector+`"); e.scrollIntoView({block: "center"}); const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	return p[0], p[1]
}

// drag moves the held mouse.
func (b *tab) drag(selector string, dx, dy float64) {
	b.t.Helper()
	x, y := b.place(selector)
	b.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	for k := 1.0; k <= 5; k++ {
		b.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+dx*k/5, y+dy*k/5, chromedp.ButtonLeft))
	}
	b.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x+dx, y+dy, chromedp.ButtonLeft, chromedp.ClickCount(1)))
}

// touch moves fingers, each by its own way from the middle of an element: from, to.
func (b *tab) touch(selector string, ways ...[2][2]float64) {
	b.t.Helper()
	x, y := b.place(selector)
	send := func(kind input.DispatchTouchEventType, share float64) {
		points := []*input.TouchPoint{}
		if kind != input.DispatchTouchEventTypeTouchEnd {
			for i, w := range ways {
				points = append(points, &input.TouchPoint{
					X:  x + w[0][0] + (w[1][0]-w[0][0])*share,
					Y:  y + w[0][1] + (w[1][1]-w[0][1])*share,
					ID: new(float64(i + 1)),
				})
			}
		}
		_, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
		require.NoError(b.t, err)
	}
	send(input.DispatchTouchEventTypeTouchStart, 0)
	for k := 1.0; k <= 5; k++ {
		send(input.DispatchTouchEventTypeTouchMove, k/5)
	}
	send(input.DispatchTouchEventTypeTouchEnd, 1)
}

// calm asks for reduced motion.
func (b *tab) calm() {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}},
	})
	require.NoError(b.t, err)
}
