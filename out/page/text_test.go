package page

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPrintable(t *testing.T) {
	for given, want := range map[string]string{
		"plain, 3.1 m × 2":   "plain, 3.1 m × 2",
		"a\r\nb\tc":          "a\nb\tc",
		"a\x00b\x1b[31m\x7f": "a\ufffdb\ufffd[31m\ufffd",
		"x\u202egnp.exe":     "x\ufffdgnp.exe",
		"\u2066left\u2069":   "\ufffdleft\ufffd",
		"bad \xff utf":       "bad \ufffd utf",
		"שלום quay":          "שלום quay",
		"\ufdd0\U0001ffff":   "\ufffd\ufffd",
	} {
		require.Equal(t, want, printable(given), "%q", given)
	}
	require.Equal(t, "other", orElse(" \n", "other"))
}

// What is put in comes out again, as far as it may: a drawing reads the same when it
// is drawn from what was made of it, but for the ids' prefix.
func TestDrawingKeepsWhatDraws(t *testing.T) {
	got, err := drawing([]byte(`<?xml version="1.0"?><!-- made by us --><svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="20mm" viewBox="0 0 20 20" aria-labelledby="t"><title id="t">A &amp; B</title><defs><path id="p" d="M0 0h1" stroke-width=".2"/><pattern id='h'/></defs><use href="#p" x="2"/><use xlink:href="#p"/><rect fill="url(#h)" clip-path="url('#p')"/><text font-size="3">5 &lt; 6</text></svg>`))
	require.NoError(t, err)
	require.Equal(t, `<svg width="20mm" viewBox="0 0 20 20" aria-labelledby="drawing-t"><title id="drawing-t">A &amp; B</title><defs><path id="drawing-p" d="M0 0h1" stroke-width=".2"></path><pattern id="drawing-h"></pattern></defs><use href="#drawing-p" x="2"></use><use href="#drawing-p"></use><rect fill="url(#drawing-h)" clip-path="url(#drawing-p)"></rect><text font-size="3">5 &lt; 6</text></svg>`, string(got))
}

func TestDrawingStyle(t *testing.T) {
	got, err := drawing([]byte(`<svg><style>.level{fill:url(#h);stroke:#333}</style></svg>`))
	require.NoError(t, err)
	require.Equal(t, `<svg><style>.drawing{.level{fill:url(#drawing-h);stroke:#333}}</style></svg>`, string(got))
	for _, rules := range []string{
		`@import url(x.css);`, `a{background:url(//e.example/x)}`, `a{}} body{display:none`, `a{b:"}"}`,
		`a{/*}*/}`, `a{background:u\72l(x)}`, `a{background:image-set('x')}`,
	} {
		got, err := drawing([]byte(`<svg><style>` + rules + `</style></svg>`))
		require.NoError(t, err, rules)
		require.Equal(t, `<svg></svg>`, string(got), rules)
	}
}

// Nothing that runs or fetches rides in with a drawing.
func TestDrawingLeavesOut(t *testing.T) {
	for _, bad := range []string{
		`<script>alert(1)</script>`, `<SCRIPT>alert(1)</SCRIPT>`, `<s:script xmlns:s="http://www.w3.org/2000/svg">x</s:script>`,
		`<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>`,
		`<image href="http://e.example/x.png"/>`, `<a href="javascript:x"><text>x</text></a>`,
		`<animate attributeName="href" to="javascript:x"/>`, `<set attributeName="onload" to="x"/>`, `<iframe src="x"/>`, `<svg/>`,
	} {
		got, err := drawing([]byte(`<svg><g>` + bad + `</g></svg>`))
		require.NoError(t, err, bad)
		require.Equal(t, `<svg><g></g></svg>`, string(got), bad)
	}
	for _, bad := range []string{
		`onload="x"`, `onclick="x"`, `ONLOAD="x"`, `fill="url(http://e.example/#x)"`, `fill="url( 'data:x' )"`, `filter="url(#x)"`,
		`style="background:url(x)"`, `href="#p"`, `x:onload="y" xmlns:x="http://www.w3.org/2000/svg"`, `fill="javascript:x"`, `tabindex="0"`, `autofocus="x"`,
	} {
		got, err := drawing([]byte(`<svg><g ` + bad + `></g></svg>`))
		require.NoError(t, err, bad)
		require.Equal(t, `<svg><g></g></svg>`, string(got), bad)
	}
	for _, away := range []string{`href="x.svg#p"`, `href="//e.example/#p"`, `href=" #p"`} {
		got, err := drawing([]byte(`<svg><use ` + away + `/></svg>`))
		require.NoError(t, err, away)
		require.Equal(t, `<svg><use></use></svg>`, string(got), away)
	}
}

func TestDrawingRefuses(t *testing.T) {
	for _, bad := range []string{
		``, ` `, `no drawing`, `<html></html>`, `<svg>`, `<svg><g></svg>`, `<svg></svg><svg></svg>`, `<svg>&unknown;</svg>`,
		`<svg></svg><p></p>`, `<svg a=1></svg>`, "\x00", `<svg><style>a{`, `<svg><script>`,
		`<?xml version="1.0" encoding="UTF-16"?><svg></svg>`,
	} {
		_, err := drawing([]byte(bad))
		require.ErrorIs(t, err, errNoDrawing, bad)
	}
}

// Any nesting of anything ends in a drawing that can be drawn again.
func TestDrawingOfAnything(t *testing.T) {
	around := [][2]string{{"<g>", "</g>"}, {"<script>", "</script>"}, {"<text>", "</text>"}, {"<style>", "</style>"}, {"<a>", "</a>"}, {"<svg>", "</svg>"}, {"<g id='a' onclick='b'>", "</g>"}, {"", ""}, {"<g>", ""}}
	within := []string{"", "a{b:c}", "&lt;script&gt;", "x", "<![CDATA[<script>]]>", "<path d='M0 0'/>", "<!-- <script> -->", "<x:script xmlns:x='y'/>"}
	var nest func(t *rapid.T, depth int) string
	nest = func(t *rapid.T, depth int) (text string) {
		for range rapid.IntRange(0, 3).Draw(t, "wide") {
			a := rapid.SampledFrom(around).Draw(t, "around")
			text += a[0] + rapid.SampledFrom(within).Draw(t, "within")
			if depth > 0 {
				text += nest(t, depth-1)
			}
			text += a[1]
		}
		return text
	}
	drew := 0
	rapid.Check(t, func(t *rapid.T) {
		got, err := drawing([]byte("<svg>" + nest(t, 2) + "</svg>"))
		if err != nil {
			return
		}
		drew++
		require.NotContains(t, string(got), "<script")
		require.NotContains(t, string(got), "onclick")
		_, err = drawing(got)
		require.NoError(t, err)
	})
	require.Positive(t, drew)
}
