package page_test

import (
	"bytes"
	"context"
	"image"
	_ "image/png" // what screenshots are
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// tab is a page open in Chromium, and what it did there.
type tab struct {
	ctx context.Context
	t   *testing.T

	mu       sync.Mutex
	console  []string
	requests []string
}

// do runs actions and requires that they do not fail.
func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, actions...))
}

// ask evaluates an expression in the page, awaiting what is promised.
func ask[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(b.t, err)
	return v
}

// see sets the width of the window in CSS pixels and light or dark.
func (b *tab) see(width int64, scheme string) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(width, 900))
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	require.NoError(b.t, err)
}

// open opens a report in a tab of its own.
func open(t *testing.T, text string, options ...chromedp.ExecAllocatorOption) *tab {
	t.Helper()
	path := filepath.Join(t.TempDir(), "report.html")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	// To be looked at: SOCLE_PAGE=page.html go test ./out/page -run TestGallery
	if to := os.Getenv("SOCLE_PAGE"); to != "" {
		require.NoError(t, os.WriteFile(to, []byte(text), 0o644))
	}
	b := &tab{ctx: browser(t, options...), t: t}
	require.NoError(t, chromedp.Listen(b.ctx, func(ev any) {
		if r, ok := ev.(*network.EventRequestWillBeSent); ok {
			b.mu.Lock()
			b.requests = append(b.requests, r.Request.URL)
			b.mu.Unlock()
		}
	}))
	messages := chromedp.Console(b.ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			// Drawing without a graphics card, the driver complains of its own slowness.
			if strings.Contains(m.Text, "GL Driver Message") && strings.Contains(m.Text, "Performance") {
				continue
			}
			b.mu.Lock()
			b.console = append(b.console, m.String())
			b.mu.Unlock()
		}
	}()
	_, err := chromedp.Call(b.ctx, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	address := (&url.URL{Scheme: "file", Path: path}).String()
	b.do(chromedp.Navigate(address))
	t.Cleanup(func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		require.Empty(t, b.console, "the console is silent")
		require.NotEmpty(t, b.requests)
		for _, r := range b.requests {
			require.True(t, r == address || strings.HasPrefix(r, "data:") || strings.HasPrefix(r, "blob:"), "a request leaves the page: %.120s", r)
		}
	})
	return b
}

// needed skips a test that needs what is not installed; where CI is set it fails.
func needed(t *testing.T, what string, find func() error) {
	t.Helper()
	if err := find(); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed: %v", what, err)
		}
		t.Skipf("%s is not installed: %v", what, err)
	}
}

// browser starts Chromium.
func browser(t *testing.T, options ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	needed(t, "chromium", func() error { _, err := exec.LookPath("chromium"); return err })
	all := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath("chromium"), chromedp.NoSandbox,
		chromedp.Flag("enable-unsafe-swiftshader", true)) // WebGL without a graphics card
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), append(all, options...)...)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	require.NoError(t, chromedp.Do(ctx))
	return ctx
}

// violation is what axe-core has against a page.
type violation struct {
	ID, Impact, Help string
	Nodes            []string
}

// faults asks axe-core (npm, pinned in package.json) for what is serious or critical.
func (b *tab) faults() []violation {
	b.t.Helper()
	return ask[[]violation](b, `axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations
		.filter(v => v.impact === "serious" || v.impact === "critical")
		.map(v => ({ID: v.id, Impact: v.impact, Help: v.help, Nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + " " + n.failureSummary)})))`)
}

// bringAxe puts axe-core into the page, as a debugger does: the page's own policy
// would not let it in.
func (b *tab) bringAxe() {
	b.t.Helper()
	var axe []byte
	needed(b.t, "axe-core (make page)", func() (err error) { axe, err = os.ReadFile("node_modules/axe-core/axe.min.js"); return err })
	b.do(chromedp.Evaluate[chromedp.Void](string(axe)))
	require.Equal(b.t, "4.14.1", ask[string](b, `axe.version`))
}

func TestPageIsAccessible(t *testing.T) {
	r := specimen(t)
	r.Bases = r.Bases[:2] // the others are like them
	b := open(t, written(t, r))
	b.bringAxe()
	b.do(chromedp.Evaluate[chromedp.Void](`for (const d of document.querySelectorAll("details")) d.open = true`))
	for _, scheme := range []string{"light", "dark"} {
		for _, width := range []int64{1280, 360} {
			b.see(width, scheme)
			require.Empty(t, b.faults(), "%s, %d pixels wide", scheme, width)
		}
	}
	// The measure measures.
	b.do(chromedp.Evaluate[chromedp.Void](`document.body.insertAdjacentHTML("beforeend", '<img src="data:,"><p style="color:#aaa;background:#bbb">Words hard to read</p>')`))
	require.Len(t, b.faults(), 2)
}

// brokenWords are the words that stand on more than one line, but for those that may be
// parted at a hyphen or a slash, and those longer than any of a language.
const brokenWords = `(() => {
	const found = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; n = walk.nextNode();) {
		const of = n.parentElement;
		if (of.closest("pre, code, svg, .unseen, script, style") || !of.checkVisibility()) continue;
		for (const m of n.data.matchAll(/(?<![\p{L}\d.,])[\p{L}\d.,]{2,24}(?![\p{L}\d.,])/gu)) {
			const r = document.createRange();
			r.setStart(n, m.index);
			r.setEnd(n, m.index + m[0].length);
			if (new Set([...r.getClientRects()].map(b => Math.round(b.top))).size > 1) found.push(m[0]);
		}
	}
	return found;
})()`

// cutOff are the texts of tables that reach beyond the window.
const cutOff = `[...document.querySelectorAll("th, td, caption")].filter(c => c.checkVisibility() && !c.closest("thead") &&
	(c.getBoundingClientRect().right > innerWidth + 0.5 || c.scrollWidth > c.clientWidth + 1)).map(c => c.textContent)`

// On a telephone no word is broken and no table cut off.
func TestPageOnATelephone(t *testing.T) {
	r := specimen(t)
	for i := range r.Table.Rows {
		r.Table.Rows[i][1] = "rectangle 120 x 92 mm, corners of 6 mm"
	}
	b := open(t, written(t, r))
	b.do(chromedp.Evaluate[chromedp.Void](`for (const d of document.querySelectorAll("details")) d.open = true`))
	for _, width := range []int64{390, 360} {
		b.see(width, "light")
		require.Empty(t, ask[[]string](b, brokenWords), "%d pixels wide", width)
		require.Empty(t, ask[[]string](b, cutOff), "%d pixels wide", width)
		require.LessOrEqual(t, ask[int64](b, `document.documentElement.scrollWidth`), width)
		if to := os.Getenv("SOCLE_SHOT"); to != "" { // to be looked at
			b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("table").scrollIntoView()`))
			shot, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(to, shot, 0o644))
		}
	}
}

func TestGallery(t *testing.T) {
	b := open(t, written(t, specimen(t)))
	b.see(1280, "light")
	const gallery = `document.querySelector(".gallery")`
	visible := func() []string {
		return ask[[]string](b, `[...`+gallery+`.querySelectorAll("figure")].filter(f => f.checkVisibility()).map(f => f.querySelector("figcaption").firstChild.data)`)
	}
	pressed := func() []string {
		return ask[[]string](b, `[...`+gallery+`.querySelectorAll("[aria-pressed=true]")].map(f => f.textContent.trim())`)
	}
	require.Equal(t, []string{"Three-quarter view"}, visible())
	require.Equal(t, visible(), pressed())
	b.do(chromedp.Click(chromedp.CSS(".gallery .thumbs button:nth-child(3)")))
	require.Equal(t, []string{"From the side"}, visible())
	require.Equal(t, visible(), pressed())
	b.do(chromedp.KeyEvent("\t"), chromedp.KeyEvent(" "))
	require.Equal(t, []string{"Underside"}, visible(), "by the keyboard")
	require.Equal(t, visible(), pressed())

	require.Equal(t, 6, ask[int](b, `document.querySelectorAll(".gallery").length`))
}

// The solids of a whole page can be turned, under the page's own policy.
func TestSolidsOfThePageTurn(t *testing.T) {
	b := open(t, written(t, specimen(t)))
	b.see(1280, "light")
	const figure = `document.querySelector(".orbit")`
	require.Equal(t, "ready", ask[string](b, `new Promise(done => {
		`+figure+`.scrollIntoView();
		const look = () => ["ready", "failed"].includes(`+figure+`.dataset.state) ? done(`+figure+`.dataset.state) : setTimeout(look, 20);
		look();
	})`))
	before := ask[string](b, figure+`.dataset.azimuth`)
	b.do(chromedp.Focus(chromedp.CSS(".orbit canvas")), chromedp.KeyEvent(kb.ArrowRight))
	require.NotEqual(t, before, ask[string](b, `new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(`+figure+`.dataset.azimuth))))`))
	require.Equal(t, 6, ask[int](b, `document.querySelectorAll(".orbit:not([hidden])").length`))
}

// Pictures are there in full without a script too.
func TestPageWithoutScript(t *testing.T) {
	text := written(t, specimen(t))
	b := open(t, strings.ReplaceAll(text, "<script>", `<script type="text/plain">`))
	b.see(1280, "light")
	require.Equal(t, 6, ask[int](b, `[...document.querySelector(".gallery").querySelectorAll("figure")].filter(f => f.checkVisibility()).length`))
	require.Zero(t, ask[int](b, `[...document.querySelectorAll("button")].filter(f => f.checkVisibility()).length`), "no button that does nothing")
}

// A link to a note that is folded away opens what it is in.
func TestLinkOpensWhatIsFolded(t *testing.T) {
	b := open(t, written(t, specimen(t)))
	const note = `document.querySelector(".notes .finding")`
	require.False(t, ask[bool](b, note+`.closest("details").open`))
	require.True(t, ask[bool](b, `new Promise(done => { addEventListener("hashchange", () => setTimeout(() => done(`+note+`.closest("details").open))); location.hash = `+note+`.id })`))
}

// Nothing of the page is wider than a phone, or than a desk at 400 % (WCAG 2.2,
// 1.4.10: 320 CSS pixels), but in boxes of its own that scroll.
func TestPageIsAsNarrowAsAsked(t *testing.T) {
	r := specimen(t)
	r.Bases[0].Name = strings.Repeat("averylongname", 8)
	r.Files.Rows[0][0] = strings.Repeat("averylongname", 8)
	r.Bases[0].Findings[0].Key = strings.Repeat("crater.hit.", 20)
	r.Bases[0].Findings[0].What = strings.Repeat("x", 300)
	r.Making = append(r.Making, r.Variants[0].Changes...)
	r.Lead[0].Value = strings.Repeat("y", 200)
	b := open(t, written(t, r))
	for _, width := range []int64{320, 768, 1280} {
		b.see(width, "light")
		require.LessOrEqual(t, ask[int](b, `document.documentElement.scrollWidth`), int(width))
	}
	b.see(768, "light")
	require.True(t, ask[bool](b, `[...document.querySelectorAll(".scroll")].some(s => s.scrollWidth > s.clientWidth)`))
	require.True(t, ask[bool](b, `[...document.querySelectorAll(".scroll")].every(s => s.tabIndex === 0)`))
}

func TestPageIsSeen(t *testing.T) {
	b := open(t, written(t, specimen(t)))
	shade := func() (least, most uint32) {
		shot, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		img, _, err := image.Decode(bytes.NewReader(shot))
		require.NoError(t, err)
		r, _, _, _ := img.At(2, 2).RGBA()
		tones := map[uint32]bool{}
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				_, g, _, _ := img.At(x, y).RGBA()
				tones[g>>10] = true
			}
		}
		return r >> 8, uint32(len(tones))
	}
	b.see(1280, "light")
	ground, tones := shade()
	require.Greater(t, ground, uint32(200))
	require.Greater(t, tones, uint32(20))
	b.see(1280, "dark")
	ground, tones = shade()
	require.Less(t, ground, uint32(60))
	require.Greater(t, tones, uint32(20))
	require.True(t, ask[bool](b, `[...document.images].filter(i => i.complete).every(i => i.naturalWidth > 0)`))
}

var sheetOfPDF = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// On paper all that is folded is open and every picture is there; afterwards the
// page is as it was.
func TestPageIsPrinted(t *testing.T) {
	b := open(t, written(t, specimen(t)))
	b.do(chromedp.Evaluate[chromedp.Void](`
		const seen = {};
		const folded = () => document.querySelectorAll("details:not([open])").length;
		seen.before = folded();
		addEventListener("beforeprint", () => seen.printing = folded());`))
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(pdf, []byte("%PDF-")))
	require.Greater(t, len(sheetOfPDF.FindAll(pdf, -1)), 6, "a sheet a base, and more")
	require.Equal(t, ask[int](b, `new Set([...document.images].map(i => i.src)).size`), bytes.Count(pdf, []byte("/DCTDecode")), "every picture is on paper")
	require.Equal(t, []int{7, 0, 7}, ask[[]int](b, `[seen.before, seen.printing, folded()]`))
	_, err = chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(t, err)
	require.True(t, ask[bool](b, `[...document.querySelectorAll(".gallery figure")].every(f => f.checkVisibility())`))
	require.True(t, ask[bool](b, `[...document.querySelectorAll(".thumbs, .contents, .skip, .back")].every(f => !f.checkVisibility())`))
	require.Positive(t, ask[float64](b, `document.querySelector(".notes .finding").getBoundingClientRect().height`), "open on paper without a script too")
	require.True(t, ask[bool](b, `document.querySelector(".cautions").checkVisibility()`))
}
