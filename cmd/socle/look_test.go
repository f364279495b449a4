package main

import (
	"bytes"
	"encoding/json"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/look"
	"socle/cmd/set/report"
	"socle/out/picture"
)

// small keeps pictures of tests small.
var smallPictures = []string{"--size", "240x180"}

// TestPictureDrawsWhatIsAskedFor: a base with a crater, in all its pictures, in some,
// and from where one says.
func TestPictureDrawsWhatIsAskedFor(t *testing.T) {
	dir := testScene(t, "check-blast.toml")
	drawn := func(to string, args ...string) []string {
		args = append([]string{"picture", "check-blast.toml", "--cell", coarse, "--to", to}, args...)
		r := runIn(t, dir, append(args, smallPictures...)...)
		require.Equal(t, exitDone, r.code, r.err)
		require.Contains(t, r.out, "wrote ")
		var all []string
		require.NoError(t, filepath.WalkDir(filepath.Join(dir, to), func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				name, err := filepath.Rel(filepath.Join(dir, to), path)
				require.NoError(t, err)
				all = append(all, filepath.ToSlash(name))
			}
			return err
		}))
		return all
	}
	all := drawn("all")
	base := filepath.Base(filepath.Dir(all[len(all)-1]))
	for _, want := range []string{"check-blast-set.png", "pictures/" + base + "/three-quarter.png", "pictures/" + base + "/top.png",
		"pictures/" + base + "/side.png", "pictures/" + base + "/underside.png", "pictures/" + base + "/life-size.png", "check-blast-life-size.png"} {
		require.Contains(t, all, want)
	}
	require.Contains(t, strings.Join(all, " "), "/crater-", "its crater near by")
	require.Contains(t, strings.Join(all, " "), "/findings.png", "what was found, ringed")
	for _, name := range all {
		require.True(t, strings.HasSuffix(name, ".png"), "nothing but pictures: %s", name)
		file, err := os.ReadFile(filepath.Join(dir, "all", filepath.FromSlash(name)))
		require.NoError(t, err)
		img, err := png.Decode(bytes.NewReader(file))
		require.NoError(t, err, name)
		switch {
		case strings.HasSuffix(name, "life-size.png"):
			require.Contains(t, string(file), "pHYs", "%s says how large it is", name)
			if strings.HasPrefix(name, "pictures/") { // of a square of 20 mm, with 14 pixels around
				sin, cos := math.Sincos(picture.ThreeQuarter.Azimuth * math.Pi / 180)
				require.InDelta(t, 20*(math.Abs(sin)+math.Abs(cos))*96/25.4+2*14, float64(img.Bounds().Dx()), 1.5, name)
			}
		case strings.HasPrefix(name, "pictures/"):
			require.Equal(t, 240, img.Bounds().Dx(), name)
			require.Equal(t, 180, img.Bounds().Dy(), name)
		}
	}
	for _, name := range drawn("top", "--view", "top") {
		require.Equal(t, "top.png", filepath.Base(name))
	}
	for _, name := range drawn("own", "--from", "-120,35") {
		require.Equal(t, "view.png", filepath.Base(name))
	}
	require.Equal(t, []string{"check-blast-set.png"}, drawn("set", "--view", "set"))
	require.Equal(t, []string{"check-blast-life-size.png", "pictures/" + base + "/life-size.png"}, drawn("life", "--view", "life-size"))
}

// TestVariantsAreDrawnSideBySide: a sheet of a column for each variant, and none for a
// scene without.
func TestVariantsAreDrawnSideBySide(t *testing.T) {
	dir := testScene(t, "court.toml")
	text, err := os.ReadFile(filepath.Join(dir, "court.toml"))
	require.NoError(t, err)
	text = append(text, []byte("\n[[variant]]\nname = \"raised\"\nset = { \"levels.court\" = 5 }\n")...)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "varied.toml"), text, 0o666))
	width := func(scene string, want bool) int {
		r := runIn(t, dir, "picture", scene+".toml", "--cell", coarse, "--view", "set,variants", "--to", scene)
		require.Equal(t, exitDone, r.code, r.err)
		path := filepath.Join(dir, scene, scene+"-variants.png")
		if !want {
			require.NoFileExists(t, path)
			return 0
		}
		file, err := os.ReadFile(path)
		require.NoError(t, err)
		sheet, err := png.Decode(bytes.NewReader(file))
		require.NoError(t, err)
		return sheet.Bounds().Dx()
	}
	width("court", false)
	require.Greater(t, width("varied", true), 2*look.ThumbWidth)
}

// TestReportIsOnePageAndADocument: the page tells of every base, the document is what
// --json prints, and a base that is held back is shown too.
func TestReportIsOnePageAndADocument(t *testing.T) {
	dir := testScene(t, "court.toml")
	r := runIn(t, dir, "report", "court.toml", "--cell", "0.5", "--to", "made", "--json")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, []string{"court.html", "court.json"}, filesIn(t, filepath.Join(dir, "made")))
	page, err := os.ReadFile(filepath.Join(dir, "made", "court.html"))
	require.NoError(t, err)
	for _, want := range []string{"Court of Tests &amp; &lt;Trials&gt;", "hollow", "scout-1", "scout-2", "walker", "Uncured resin", "plan-"} {
		require.True(t, strings.Contains(string(page), want), "the page lacks %s", want)
	}
	require.False(t, strings.Contains(string(page), dir), "nothing of the machine")
	var printed, filed report.Report
	require.NoError(t, json.Unmarshal([]byte(r.out), &printed))
	text, err := os.ReadFile(filepath.Join(dir, "made", "court.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &filed))
	require.Equal(t, "court.html", filed.Page.Path)
	require.Equal(t, "made/court.html", printed.Page.Path)
	require.Equal(t, printed.Page.SHA256, filed.Page.SHA256)
	require.Equal(t, printed.Findings, filed.Findings)
	require.Contains(t, filed.Source, "[[base]]")
	require.Equal(t, report.Seed{Part: "", Seed: 1}, filed.Seeds[0])
	require.NotEmpty(t, filed.Made)
	for _, f := range filed.Findings {
		require.Equal(t, f.At != nil, f.Number > 0, "%s of %s", f.Check, f.Base)
	}
}

// TestReportOfWhatStops ends with 1, and shows the base all the same.
func TestReportOfWhatStops(t *testing.T) {
	dir := testScene(t, "check-yard.toml")
	r := runIn(t, dir, "report", "check-yard.toml", "--base", "peg", "--cell", "0.6", "--set", "inspect.severity.thin-pin=stop", "--to", "made")
	require.Equal(t, exitNotProven, r.code, r.err)
	page, err := os.ReadFile(filepath.Join(dir, "made", "check-yard.html"))
	require.NoError(t, err)
	for _, want := range []string{"<bdi>peg</bdi>", "thin-pin"} {
		require.True(t, strings.Contains(string(page), want), "the page lacks %s", want)
	}
}

// TestReportOpensInABrowser opens the report of a real build: nothing in it is refused
// by its own rules, nothing fails, and the plan and the solids are shown.
func TestReportOpensInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "CI has chromium")
		t.Skip("chromium is not installed, so that the report is not opened in it")
	}
	dir := testScene(t, "check-blast.toml")
	r := runIn(t, dir, "report", "check-blast.toml", "--cell", coarse, "--to", "made")
	require.Equal(t, exitDone, r.code, r.err)
	open := exec.Command(browser, "--headless", "--no-sandbox", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
		"--user-data-dir="+t.TempDir(), "--enable-logging=stderr", "--window-size=1200,9000", "--virtual-time-budget=8000",
		"--dump-dom", "file://"+filepath.Join(dir, "made", "check-blast.html"))
	var page, messages bytes.Buffer
	open.Stdout, open.Stderr = &page, &messages
	require.NoError(t, open.Run(), messages.String())
	for line := range strings.SplitSeq(messages.String(), "\n") {
		if strings.Contains(line, "CONSOLE") && !strings.Contains(line, "GPU stall") {
			require.Fail(t, "the page says", line)
		}
	}
	for _, shown := range []string{`aria-label="Title block"`, `data-state="ready"`} {
		require.True(t, strings.Contains(page.String(), shown), "the page lacks %s", shown)
	}
}
