package page_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"socle/out/page"
)

// leaf is what of a page is looked at.
type leaf struct {
	root  *html.Node
	ids   map[string]int
	links []string
	all   map[string][]*html.Node
}

func read(t require.TestingT, text string) *leaf {
	root, err := html.Parse(strings.NewReader(text))
	require.NoError(t, err)
	l := &leaf{root: root, ids: map[string]int{}, all: map[string][]*html.Node{}}
	for n := range root.Descendants() {
		if n.Type != html.ElementNode {
			continue
		}
		l.all[n.Data] = append(l.all[n.Data], n)
		if id := attribute(n, "id"); id != "" {
			l.ids[id]++
		}
		if href := attribute(n, "href"); href != "" {
			l.links = append(l.links, href)
		}
	}
	return l
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func words(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// requireSound holds a page against what holds for any page.
func requireSound(t require.TestingT, text string) *leaf {
	l := read(t, text)
	for id, n := range l.ids {
		require.Equal(t, 1, n, "id %s", id)
		require.NotContains(t, id, " ")
	}
	for _, href := range l.links {
		require.True(t, strings.HasPrefix(href, "#"), "%s leads off the page", href)
		require.Contains(t, l.ids, href[1:], "a link leads nowhere")
	}
	for _, img := range l.all["img"] {
		require.NotEmpty(t, attribute(img, "alt"))
		require.True(t, strings.HasPrefix(attribute(img, "src"), "data:image/jpeg;base64,"))
		require.NotEmpty(t, attribute(img, "width"))
	}
	require.Len(t, l.all["h1"], 1)
	require.Len(t, l.all["main"], 1)
	require.Len(t, slices.DeleteFunc(l.all["title"], func(n *html.Node) bool { return n.Namespace == "svg" }), 1)
	before := 0
	for n := range l.root.Descendants() {
		if n.Type != html.ElementNode || len(n.Data) != 2 || n.Data[0] != 'h' || n.Data[1] < '1' || n.Data[1] > '6' {
			continue
		}
		level := int(n.Data[1] - '0')
		require.LessOrEqual(t, level, before+1, "heading %q", words(n))
		require.NotEmpty(t, words(n))
		before = level
	}
	for _, table := range l.all["table"] {
		require.Equal(t, "caption", table.FirstChild.NextSibling.Data)
	}
	for n := range l.root.Descendants() {
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), "%s=%s", a.Key, a.Val)
			for _, id := range strings.Fields(a.Val) {
				if a.Key == "aria-labelledby" {
					require.Contains(t, l.ids, id)
				}
			}
		}
	}
	for _, c := range text {
		require.False(t, c < ' ' && c != '\n' && c != '\t' || c >= 0x7f && c < 0xa0 || c >= 0x202a && c <= 0x202e, "%q on the page", c)
	}
	require.Empty(t, l.all["link"])
	require.Empty(t, l.all["iframe"])
	return l
}

func TestPageIsSound(t *testing.T) {
	text := written(t, specimen(t))
	l := requireSound(t, text)
	require.Equal(t, text, written(t, specimen(t)), "the same report, the same page")
	require.NotRegexp(t, regexp.MustCompile(`(src|href|url)\s*[=(]\s*['"]?\s*(https?:)?//`), text)
	require.Equal(t, "Cutler's Stair", words(l.all["h1"][0]))
	require.Len(t, l.all["svg"], 1)
	require.Equal(t, "en", attribute(l.all["html"][0], "lang"))
	order := []string{}
	for _, h := range l.all["h2"] {
		order = append(order, words(h))
	}
	require.Equal(t, []string{
		"■ 2 things stop this set from printing as it is.", "The set", "At the size of life", "Table of bases", "What to do first", "Plan",
		"Findings about the whole scene", "Bases that were not made",
		"gun-crew oval 120 × 92 mm", "signals round 60 mm", "scout-1 round 32 mm", "scout-2 round 32 mm", "scout-3 round 32 mm", "scout-4 round 32 mm",
		"Sizes compared with real ones", "What it takes to print", "Variants", "Decided for you", "Before you print: cautions", "How it was made",
	}, order)
	require.Equal(t, specimen(t).Source, func() string {
		for _, pre := range l.all["pre"] {
			return pre.FirstChild.FirstChild.Data
		}
		return ""
	}(), "the scene's text can be copied as it is")
}

// The same thing to change in several bases is told once, with a link to each.
func TestWhatToDoFirst(t *testing.T) {
	l := read(t, written(t, specimen(t)))
	var groups []string
	for _, li := range l.all["li"] {
		if strings.HasPrefix(attribute(li, "class"), "group") {
			groups = append(groups, words(li))
		}
	}
	require.Len(t, groups, 4)
	require.Contains(t, groups[0], "■ Stop neck of hit May help (not tested): a shallower crater: 7.5 or less crater.hit.depth")
	require.Contains(t, groups[1], "Stop floor of scout-2")
	require.Contains(t, groups[2], "the scene")
	for _, name := range []string{"gun-crew, number 2", "signals, number 1", "scout-2, number 2", "scout-4, number 1"} {
		require.Contains(t, groups[3], name)
	}
}

// What was tried is told as that, and what may help as no more than that.
func TestRemedies(t *testing.T) {
	for _, c := range []struct {
		finding page.Finding
		says    string
	}{
		{page.Finding{Change: "less depth"}, "May help (not tested): less depth"},
		{page.Finding{Change: "less depth", Key: "depth", Tried: 1}, "None found: 1 change was tried, and none clears it. May help: less depth depth"},
		{page.Finding{Change: "less depth", Tried: 3, Clears: []string{"crater.hit.cracks=0"}}, "To change: crater.hit.cracks=0 clears it (tested)"},
		{page.Finding{Tried: 9, Clears: []string{"a=1 with b=2", "c=<3>"}}, "To change: a=1 with b=2 clears it (tested); so does c=<3>"},
	} {
		c.finding.Severity, c.finding.Check = "warn", "thin-wall"
		l := read(t, written(t, &page.Report{Findings: []page.Finding{c.finding}}))
		var told []string
		for _, p := range l.all["p"] {
			if attribute(p, "class") == "change" {
				told = append(told, strings.Join(strings.Fields(words(p)), " "))
			}
		}
		require.NotEmpty(t, told)
		for _, says := range told {
			require.Equal(t, c.says, says)
		}
	}
}

func TestVerdict(t *testing.T) {
	verdict := func(r *page.Report) string { return words(read(t, written(t, r)).all["h2"][0]) }
	require.Equal(t, "✓ This set has no stops and no warnings.", verdict(&page.Report{}))
	require.Equal(t, "✓ This set has no stops and no warnings.", verdict(nil))
	require.Equal(t, "▲ Nothing stops this set. 1 thing is worth a look before you print.", verdict(&page.Report{Findings: []page.Finding{{Severity: "warn"}}}))
	require.Equal(t, "▲ Nothing stops this set. 1 thing is worth a look before you print.", verdict(&page.Report{Findings: []page.Finding{{Severity: "grave"}}}), "an unknown word is no note")
	require.Equal(t, "■ 1 thing stops this set from printing as it is.", verdict(&page.Report{Bases: []page.Base{{Findings: []page.Finding{{Severity: "stop"}}}}}))
	require.Equal(t, "■ 1 base was not made.", verdict(&page.Report{Failed: []page.Fact{{Name: "a", Value: "b"}}}))
	require.Equal(t, "✓ This set has no stops and no warnings.", verdict(&page.Report{Findings: []page.Finding{{Severity: "note"}}}))
}

// Few or many: the page holds.
func TestPageOfAnySize(t *testing.T) {
	for _, bases := range []int{0, 1, 60} {
		r := &page.Report{Title: "Cutler's Stair", Table: page.Table{Head: []string{"Base"}}}
		for b := range bases {
			base := page.Base{Name: fmt.Sprintf("scout-%d", b), Solid: block(1, 1, 1)}
			for f := range 300 / max(bases, 1) {
				base.Findings = append(base.Findings, page.Finding{Number: f + 1, Severity: []string{"stop", "warn", "note"}[f%3], Check: "neck", What: strings.Repeat("w", f)})
			}
			r.Bases = append(r.Bases, base)
			r.Table.Rows = append(r.Table.Rows, []string{base.Name})
		}
		l := requireSound(t, written(t, r))
		require.Len(t, l.all["table"], min(bases, 1))
	}
}

// Whatever a report says, it is only said.
func TestPageOfAnything(t *testing.T) {
	picture := snapshot(t, "x", 8, 6, 0)
	said := rapid.OneOf(
		rapid.String(),
		rapid.SampledFrom([]string{"", "<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "javascript:alert(1)", "</style></title></script>", "\x00\x1b\u202e", "<!--", "]]>", "' onload='x", strings.Repeat("quite.long.key.", 40), "שלום", "&amp;", "{{.Title}}", "report", "stop", "base-1"}),
	)
	fact := rapid.Custom(func(t *rapid.T) page.Fact { return page.Fact{Name: said.Draw(t, "name"), Value: said.Draw(t, "value")} })
	facts := rapid.SliceOfN(fact, 0, 3)
	lines := rapid.SliceOfN(said, 0, 3)
	pictures := rapid.Custom(func(t *rapid.T) page.Picture {
		p := page.Picture{Caption: said.Draw(t, "caption"), Alt: said.Draw(t, "alt"), Width: rapid.Int().Draw(t, "width")}
		switch rapid.IntRange(0, 2).Draw(t, "jpeg") {
		case 1:
			p.JPEG = []byte(said.Draw(t, "bytes"))
		case 2:
			p.JPEG = picture.JPEG
		}
		return p
	})
	finding := rapid.Custom(func(t *rapid.T) page.Finding {
		f := page.Finding{
			Number: rapid.IntRange(-1, 400).Draw(t, "number"), Count: rapid.IntRange(-1, 400).Draw(t, "count"),
			Severity: rapid.SampledFrom([]string{"stop", "warn", "note", "", "<b>"}).Draw(t, "severity"),
			Check:    said.Draw(t, "check"), Part: said.Draw(t, "part"), Key: said.Draw(t, "key"), What: said.Draw(t, "what"),
			Meaning: said.Draw(t, "meaning"), Change: said.Draw(t, "change"), Clears: rapid.SliceOfN(said, 0, 3).Draw(t, "clears"),
			Tried: rapid.IntRange(-1, 40).Draw(t, "tried"), Place: said.Draw(t, "place"),
		}
		if rapid.Bool().Draw(t, "pictured") {
			p := pictures.Draw(t, "picture")
			f.Picture = &p
		}
		return f
	})
	table := rapid.Custom(func(t *rapid.T) page.Table {
		return page.Table{
			Caption: said.Draw(t, "caption"), Head: lines.Draw(t, "head"),
			Figures: rapid.SliceOfN(rapid.Bool(), 0, 3).Draw(t, "figures"), Rows: rapid.SliceOfN(lines, 0, 3).Draw(t, "rows"),
		}
	})
	base := rapid.Custom(func(t *rapid.T) page.Base {
		b := page.Base{
			Name: said.Draw(t, "name"), Footprint: said.Draw(t, "footprint"), Facts: facts.Draw(t, "facts"),
			Pictures: rapid.SliceOfN(pictures, 0, 3).Draw(t, "pictures"), Findings: rapid.SliceOfN(finding, 0, 4).Draw(t, "findings"),
		}
		switch rapid.IntRange(0, 2).Draw(t, "solid") {
		case 1:
			b.Solid = &page.Solid{}
		case 2:
			b.Solid = block(2, 3, 4)
		}
		return b
	})
	rapid.Check(t, func(t *rapid.T) {
		r := &page.Report{
			Title: said.Draw(t, "title"), Scene: said.Draw(t, "scene"), Lead: facts.Draw(t, "lead"),
			Tally: page.Tally{Stops: rapid.Int().Draw(t, "stops"), Words: said.Draw(t, "tally")},
			Table: table.Draw(t, "table"), Bases: rapid.SliceOfN(base, 0, 3).Draw(t, "bases"),
			Findings: rapid.SliceOfN(finding, 0, 3).Draw(t, "findings"), Failed: facts.Draw(t, "failed"),
			Scale: table.Draw(t, "scale"), Printing: facts.Draw(t, "printing"), Estimate: table.Draw(t, "estimate"),
			Plates: rapid.SliceOfN(lines, 0, 3).Draw(t, "plates"),
			Variants: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) page.Variant {
				return page.Variant{Name: said.Draw(t, "name"), Changes: facts.Draw(t, "changes")}
			}), 0, 2).Draw(t, "variants"),
			Notes: lines.Draw(t, "notes"), Source: said.Draw(t, "source"), Making: facts.Draw(t, "making"), Files: table.Draw(t, "files"), Cautions: lines.Draw(t, "cautions"),
		}
		if rapid.Bool().Draw(t, "planned") {
			r.Plan = planOf(t, said.Draw(t, "plan"), said.Draw(t, "part"), said.Draw(t, "base"))
		}
		sheet := pictures.Draw(t, "sheet")
		r.Sheet = &sheet
		text := writtenTo(t, r)
		l := requireSound(t, text)
		require.Len(t, l.all["style"], 1+len(l.all["svg"]))
		for _, s := range l.all["script"] {
			if attribute(s, "type") == "" {
				require.NotContains(t, words(s), "alert")
			}
		}
		require.Equal(t, len(r.Bases), strings.Count(text, `<section class="base"`))
	})
}

func writtenTo(t require.TestingT, r *page.Report) string {
	var w strings.Builder
	require.NoError(t, page.Write(&w, r))
	return w.String()
}

type full struct{ after int }

var errFull = errors.New("the disk is full")

func (f *full) Write(p []byte) (int, error) {
	if f.after -= len(p); f.after < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestWriteTellsOfAFullDisk(t *testing.T) {
	whole := len(written(t, specimen(t)))
	for _, after := range []int{0, 100, whole / 2, whole - 1} {
		require.ErrorIs(t, page.Write(&full{after}, specimen(t)), errFull)
	}
	require.NoError(t, page.Write(io.Discard, specimen(t)))
}

// The page against html-validate (npm, pinned in package.json), with its rules for
// HTML as it is standardised and for accessibility.
func TestPageValidates(t *testing.T) {
	const validator = "node_modules/html-validate/bin/html-validate.mjs"
	needed(t, "html-validate (make page)", func() error { _, err := os.Stat(validator); return err })
	dir := t.TempDir()
	for name, r := range map[string]*page.Report{"whole": specimen(t), "empty": {}} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".html"), []byte(written(t, r)), 0o644))
	}
	spoilt := strings.Replace(written(t, &page.Report{}), "</h1>", "</h1><img><p id=report>", 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "spoilt.html"), []byte(spoilt), 0o644))
	validate := func(name string) (string, error) {
		out, err := exec.Command("node", validator, "--config", ".htmlvalidate.json", filepath.Join(dir, name+".html")).CombinedOutput()
		return string(out), err
	}
	for _, name := range []string{"whole", "empty"} {
		out, err := validate(name)
		require.NoError(t, err, out)
	}
	out, err := validate("spoilt")
	require.Error(t, err, "it must refuse what is wrong")
	require.Contains(t, out, "no-dup-id")
}
