package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/piece"
	"socle/out/picture"
	"socle/parts/assembly"
)

// shot is one picture of the README: one base, or a sheet of several, drawn by the
// same hand as those of a build.
type shot struct {
	file  string
	cell  float64 // mm
	frame picture.Options
	views []seen
	sheet int // columns of a contact sheet; 0: the one view is the picture
}

// seen is what a shot shows.
type seen struct {
	scene string
	sets  []string
	base  string // "": every base of the scene, a view each
	shot  string // the name of one of the base's own pictures; "": it is seen as the frame has it
	label string // on a sheet; "": the name and footprint of the base
}

// whatIf are the values that the last picture is drawn with, besides the scene's own.
var whatIf = []string{"levels.gantry=2.8 m", "stair.gantry-stair.width=5 m"}

// shots are the pictures of the README, in its order.
var shots = []shot{
	{
		file: "quay-walker.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600, View: picture.View{Azimuth: -112, Elevation: 38, Perspective: 18}},
		views: []seen{{scene: "saltmere-quay", base: "walker"}},
	},
	{
		file: "quay-set.png", cell: 0.2, sheet: 4,
		frame: picture.Options{Width: 220, Height: 180, Supersample: 3, View: picture.View{Azimuth: -110, Elevation: 42, Perspective: 18}, NoScaleBar: true},
		views: []seen{{scene: "saltmere-quay"}},
	},
	{
		file: "quay-stair.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600},
		views: []seen{{scene: "saltmere-quay", base: "walker", shot: "stair-water-stair"}},
	},
	{
		file: "quay-findings.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600},
		views: []seen{{scene: "saltmere-quay", base: "walker", shot: "findings"}},
	},
	{
		file: "foundry.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600, View: picture.View{Azimuth: -120, Elevation: 35, Perspective: 18}},
		views: []seen{{scene: "brennock-foundry", base: "overseer"}},
	},
	{
		file: "temple.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600, View: picture.View{Azimuth: -68, Elevation: 30, Perspective: 18}},
		views: []seen{{scene: "ashlare-temple", base: "colossus"}},
	},
	{
		file: "street.png", cell: 0.2,
		frame: picture.Options{Width: 900, Height: 600, View: picture.View{Azimuth: -62, Elevation: 36, Perspective: 18}},
		views: []seen{{scene: "vardy-street", base: "sergeant"}},
	},
	{
		file: "what-if.png", cell: 0.2, sheet: 2,
		frame: picture.Options{Width: 440, Height: 360, View: picture.View{Azimuth: -120, Elevation: 35, Perspective: 18}},
		views: []seen{
			{scene: "brennock-foundry", base: "overseer", label: "as it is"},
			{scene: "brennock-foundry", base: "overseer", sets: whatIf, label: strings.Join(whatIf, ", ")},
		},
	},
}

// TestPictures draws the pictures of the README into the folder that
// SOCLE_PICTURES names. Without it, it draws one small picture and keeps nothing.
func TestPictures(t *testing.T) {
	dir := os.Getenv("SOCLE_PICTURES")
	if dir == "" {
		small := shot{
			cell: 1, frame: picture.Options{Width: 160, Height: 120, View: picture.ThreeQuarter},
			views: []seen{{scene: "testdata/court.toml", base: "walker"}},
		}
		drawn := reduceColours(studio{}.draw(t, &small), mostColours)
		require.Equal(t, image.Rect(0, 0, 160, 120), drawn.Bounds())
		used := map[uint8]int{}
		for _, i := range drawn.Pix {
			used[i]++
		}
		require.Greater(t, len(used), mostColours/2, "a picture of a base has many shades")
		var back bytes.Buffer
		require.NoError(t, writePalettePNG(&back, drawn))
		read, err := png.Decode(&back)
		require.NoError(t, err)
		require.Equal(t, drawn.Bounds(), read.Bounds())
		return
	}
	require.NoError(t, os.MkdirAll(dir, 0o777))
	made := studio{}
	for _, s := range shots {
		t.Run(s.file, func(t *testing.T) {
			save(t, dir, s.file, made.draw(t, &s))
		})
	}
	t.Run("pages", func(t *testing.T) { drawPages(t, dir) })
	t.Run("sheets", func(t *testing.T) { drawSheets(t, dir) })
}

// The most that a picture of the README may take; where it is more, it gets
// fewer colours, but not so few that the ground shows bands.
const (
	mostColours  = 160
	leastColours = 60
	mostBytes    = 150 << 10
)

// studio keeps what was meshed for one picture for the next.
type studio map[string]piece.Result

// mesh gives a piece as a solid, inspected and meshed once for all pictures.
func (m studio) mesh(t *testing.T, s *set.Set, v seen, p *assembly.Piece, cell float64) piece.Result {
	key := fmt.Sprint(v.scene, v.sets, p.Name, cell)
	if made, ok := m[key]; ok {
		return made
	}
	require.NoError(t, s.Settle(&set.Options{Setting: set.SettingDraft, Cell: &cell}))
	made := piece.MakerFor(s, nil)(context.Background(), p, func(float64) {})
	require.NoError(t, made.Err, p.Name)
	m[key] = made
	return made
}

// draw meshes what a shot shows and draws it.
func (m studio) draw(t *testing.T, shown *shot) image.Image {
	var views []picture.Cell
	for _, v := range shown.views {
		s, err := set.Open(t.Context(), nil, v.scene, set.Selection{Sets: v.sets})
		require.NoError(t, err)
		var only []string
		if v.base != "" {
			only = []string{v.base}
		}
		set, err := s.Cut(only)
		require.NoError(t, err)
		for i := range set.Pieces {
			p := &set.Pieces[i]
			c := picture.Cell{Image: drawn(t, set, p, m.mesh(t, set, v, p, shown.cell), v.shot, shown.frame), Name: v.label}
			if c.Name == "" {
				c.Name, c.Detail = p.Name, p.Footprint
			}
			views = append(views, c)
		}
	}
	if shown.sheet == 0 {
		require.Len(t, views, 1)
		return views[0].Image
	}
	return picture.ContactSheet("", views, shown.sheet)
}

// drawn draws one base as a frame has it, or the picture of it of a name.
func drawn(t *testing.T, s *set.Set, p *assembly.Piece, m piece.Result, name string, frame picture.Options) image.Image {
	a := &look.Renderer{Set: s, Size: image.Pt(frame.Width, frame.Height), Png: true, Views: []string{look.ViewNone}}
	if name == "" {
		subject, err := a.Small(context.Background(), p, m.Solid, frame.View.Azimuth)
		require.NoError(t, err)
		return subject.Draw(frame)
	}
	a.Views = []string{look.ViewDetails, look.ViewFindings}
	l, err := a.Draw(context.Background(), p, m.Solid, m.Inspection.Findings)
	require.NoError(t, err)
	for _, shot := range l.Shots {
		if shot.Name == name {
			img, err := png.Decode(bytes.NewReader(shot.Png))
			require.NoError(t, err)
			return img
		}
	}
	require.FailNow(t, "no such picture", "%s of %s", name, p.Name)
	return nil
}

// pages are the pictures of the README that a browser draws of files of a build.
var pages = []struct {
	file, of string // a file of the shipped scene's build
	size     string // of the window
}{
	{"report.png", "saltmere-quay.html", "1000,1350"},
	{"quay-plan.png", "saltmere-quay-plan.svg", "1250,950"},
}

// drawPages builds the quay as a draft, and has the browser draw its report and plan.
func drawPages(t *testing.T, dir string) {
	browser, err := exec.LookPath("chromium")
	require.NoError(t, err, "the pictures of the report want Debian's chromium")
	to := t.TempDir()
	built := runIn(t, to, "build", "saltmere-quay", "--setting", "draft", "--format", "svg,html", "--to", to)
	require.Equal(t, exitDone, built.code, built.err)
	for _, p := range pages {
		shot := filepath.Join(to, p.file)
		run := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
			"--disable-background-networking", "--disable-component-update", "--disable-sync", "--hide-scrollbars",
			"--user-data-dir="+t.TempDir(), "--window-size="+p.size, "--screenshot="+shot, "file://"+filepath.Join(to, p.of))
		text, err := run.CombinedOutput()
		require.NoError(t, err, "%s", text)
		file, err := os.ReadFile(shot)
		require.NoError(t, err)
		img, err := png.Decode(bytes.NewReader(file))
		require.NoError(t, err)
		save(t, dir, p.file, img)
	}
}

// sheets are the pictures of the README that a command leaves.
var sheets = []struct {
	file  string
	run   []string // one command a string, in a folder of its own
	of    string   // what they leave
	width int
}{
	{"vary.png", []string{"vary saltmere-quay --layouts 3 --seed 4 --base gun-crew --base signals --base walker --to ."}, "saltmere-quay-vary.png", 800},
	{"themed-set.png", []string{
		"new quay-set --theme quay --bases round32x10,round60x2,oval120x92 --seed 4",
		"build quay-set.toml --setting draft --format png --to .",
	}, "quay-set-set.png", 1000},
}

// drawSheets runs the commands of the README that leave a sheet.
func drawSheets(t *testing.T, dir string) {
	for _, s := range sheets {
		t.Run(s.file, func(t *testing.T) {
			at := t.TempDir()
			for _, line := range s.run {
				ran := runIn(t, at, strings.Fields(line)...)
				require.Equal(t, exitDone, ran.code, ran.err)
			}
			file, err := os.ReadFile(filepath.Join(at, s.of))
			require.NoError(t, err)
			img, err := png.Decode(bytes.NewReader(file))
			require.NoError(t, err)
			save(t, dir, s.file, picture.Shrink(img, s.width, s.width*img.Bounds().Dy()/img.Bounds().Dx()))
		})
	}
}

// save writes a picture with as many colours as its bytes allow.
func save(t *testing.T, dir, name string, img image.Image) {
	var file bytes.Buffer
	for n := mostColours; file.Len() == 0 || file.Len() > mostBytes; n = n * 3 / 4 {
		require.Greater(t, n, leastColours, "too large for a README: %d bytes", file.Len())
		file.Reset()
		require.NoError(t, writePalettePNG(&file, reduceColours(img, n)))
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), file.Bytes(), 0o666))
	t.Logf("%d bytes", file.Len())
}

func writePalettePNG(file *bytes.Buffer, img *image.Paletted) error {
	e := png.Encoder{CompressionLevel: png.BestCompression}
	return e.Encode(file, img)
}

// reduceColours gives the picture with at most n colours: the box of all colours
// is cut at the middle of its longest side until there are n, by the number of
// pixels (median cut: Heckbert, Computer Graphics 16 (1982), 297).
func reduceColours(img image.Image, n int) *image.Paletted {
	type shade struct {
		c     [3]uint8
		count int
	}
	counts := map[[3]uint8]int{}
	b := img.Bounds()
	at := func(x, y int) [3]uint8 {
		r, g, bl, _ := img.At(x, y).RGBA()
		return [3]uint8{uint8(r >> 8), uint8(g >> 8), uint8(bl >> 8)}
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			counts[at(x, y)]++
		}
	}
	all := make([]shade, 0, len(counts))
	for c, k := range counts {
		all = append(all, shade{c, k})
	}
	slices.SortFunc(all, func(a, b shade) int { return slices.Compare(a.c[:], b.c[:]) })
	longest := func(box []shade) (axis int, side uint8) {
		for k := range 3 {
			lo, hi := uint8(255), uint8(0)
			for _, s := range box {
				lo, hi = min(lo, s.c[k]), max(hi, s.c[k])
			}
			if hi-lo > side {
				axis, side = k, hi-lo
			}
		}
		return axis, side
	}
	boxes := [][]shade{all}
	for len(boxes) < n {
		widest, along, most := 0, 0, 0.0
		for i, box := range boxes {
			pixels := 0
			for _, s := range box {
				pixels += s.count
			}
			axis, side := longest(box)
			// The wide first, the much seen before the little seen.
			if w := float64(side) * float64(side) * float64(pixels); w > most {
				widest, along, most = i, axis, w
			}
		}
		if most == 0 {
			break // a colour each
		}
		box := boxes[widest]
		slices.SortStableFunc(box, func(a, b shade) int { return int(a.c[along]) - int(b.c[along]) })
		total, half, cut := 0, 0, 1
		for _, s := range box {
			total += s.count
		}
		for cut = 1; cut < len(box)-1 && half+box[cut-1].count < total/2; cut++ {
			half += box[cut-1].count
		}
		boxes[widest] = box[:cut]
		boxes = append(boxes, box[cut:])
	}
	out := image.NewPaletted(b, nil)
	index := map[[3]uint8]uint8{}
	for i, box := range boxes {
		var sum [3]int
		pixels := 0
		for _, s := range box {
			index[s.c] = uint8(i)
			pixels += s.count
			for k := range 3 {
				sum[k] += int(s.c[k]) * s.count
			}
		}
		out.Palette = append(out.Palette, color.RGBA{
			uint8((sum[0] + pixels/2) / pixels), uint8((sum[1] + pixels/2) / pixels), uint8((sum[2] + pixels/2) / pixels), 255})
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			out.SetColorIndex(x, y, index[at(x, y)])
		}
	}
	return out
}

// TestReadmeShowsEveryPicture: no picture that is not there, none that is not shown.
func TestReadmeShowsEveryPicture(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	var files []string
	for _, s := range shots {
		files = append(files, s.file)
	}
	for _, p := range pages {
		files = append(files, p.file)
	}
	for _, s := range sheets {
		files = append(files, s.file)
	}
	for _, file := range files {
		path := "scenes/pictures/" + file
		require.Contains(t, string(text), "("+path+")")
		require.FileExists(t, filepath.Join("../..", path))
	}
	require.Equal(t, len(files), strings.Count(string(text), "](scenes/pictures/"))
}
