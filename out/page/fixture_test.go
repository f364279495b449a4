package page_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/page"
	"socle/out/plan"
)

// drawnOnce keeps the pictures of snapshot, which many tests want.
var drawnOnce sync.Map

// snapshot draws something like a lit dome, so that a page of it is not blank.
func snapshot(t testing.TB, caption string, width, height, kind int) page.Picture {
	t.Helper()
	name := fmt.Sprint(caption, width, height, kind)
	if p, ok := drawnOnce.Load(name); ok {
		return p.(page.Picture)
	}
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	cx, cy, r := float64(width)*0.5, float64(height)*0.62, float64(height)*(0.3+0.02*float64(kind%5))
	for y := range height {
		for x := range width {
			c := color.RGBA{222, 219, 212, 255}
			dx, dy := (float64(x)-cx)/r/1.5, (float64(y)-cy)/r
			if d := dx*dx + dy*dy; d < 1 && float64(y) < cy+r*0.35 {
				light := 0.35 + 0.6*math.Max(0, (-dx*0.5-dy*0.6+math.Sqrt(1-d)*0.6))
				if (x/(9+kind)+y/13)%5 == 0 {
					light *= 0.93
				}
				c = color.RGBA{uint8(205 * light), uint8(194 * light), uint8(178 * light), 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	var w bytes.Buffer
	require.NoError(t, jpeg.Encode(&w, img, &jpeg.Options{Quality: 80}))
	p := page.Picture{Caption: caption, Alt: caption + ", a dome of worn setts on an oval foot", JPEG: w.Bytes(), Width: width, Height: height}
	drawnOnce.Store(name, p)
	return p
}

// block is a closed box, mm.
func block(x, y, z float32) *page.Solid {
	s := &page.Solid{}
	for i := range 8 {
		s.Vertices = append(s.Vertices, [3]float32{x * float32(i&1), y * float32(i>>1&1), z * float32(i>>2)})
	}
	for _, q := range [][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		s.Triangles = append(s.Triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
	}
	s.Tones = make([]uint8, len(s.Triangles))
	s.Tones[2], s.Tones[3] = 1, 2
	return s
}

// planOf is a plan of a small place, with words from elsewhere.
func planOf(t require.TestingT, title, part, base string) []byte {
	square := func(x, y, side float64) []plan.Node {
		return []plan.Node{
			{To: plan.Point{X: x, Y: y}}, {To: plan.Point{X: x + side, Y: y}},
			{To: plan.Point{X: x + side, Y: y + side}}, {To: plan.Point{X: x, Y: y + side}},
		}
	}
	var b bytes.Buffer
	require.NoError(t, plan.Write(&b, &plan.Drawing{
		Title: title, Ratio: 285, Max: plan.Point{X: 220, Y: 160},
		Strokes: []plan.Stroke{
			{Part: part, Kind: "deck", Layer: plan.Floors, Line: plan.Edge, Path: square(12, 12, 58), Closed: true, Covers: true},
			{Part: part, Kind: "crater", Layer: "damage", Line: plan.Damage, Path: square(128, 82, 23), Closed: true},
		},
		Labels: []plan.Label{{At: plan.Point{X: 60, Y: 72}, Text: part}},
		Levels: []plan.Level{{Name: part, Height: 13.1, Places: []plan.Point{{X: 20, Y: 100}}}},
		Bases:  []plan.Base{{Name: base, Size: base, At: plan.Point{X: 80, Y: 70}, Axis: plan.Point{X: 120, Y: 70}, Path: square(50, 40, 60)}},
	}))
	return b.Bytes()
}

// specimen is a report with something of everything, of a place of our own.
func specimen(t testing.TB) *page.Report {
	t.Helper()
	r := &page.Report{
		Title: "Cutler's Stair", Scene: "cutlers-stair",
		Lead: []page.Fact{
			{"Bases", "6 of 7 proven"}, {"Scale", "1 : 285"}, {"Cell", "0.2 mm (fine)"},
			{"Printer", "resin, pixel 0.035 mm"}, {"Material", "118 g, 131 ml"}, {"Size of the largest", "120.0 × 92.0 × 21.4 mm"},
		},
		Tally:    page.Tally{Stops: 2, Warns: 7, Notes: 12, Words: "2 stops, 7 warnings and 12 notes"},
		Plan:     planOf(t, "Cutler's Stair", "upper-court", "gun-crew"),
		Failed:   []page.Fact{{"lamp-bearer", "not closed at (12.4, 3.0, 8.1) after five tries of mending"}},
		Printing: []page.Fact{{"Height of the tallest", "21.4 mm, 428 layers"}, {"Time", "about 3 h 10 min a plate"}, {"Resin", "131 ml, with a tenth for supports"}},
		Plates:   [][]string{{"gun-crew", "signals"}, {"scout-1", "scout-2", "scout-3", "scout-4"}},
		Notes: []string{
			"water-stair.cheek: 0.70 mm on the print is drawn at 1.00 mm, the least wall",
			"court-setts.joint: joints of 0.035 mm on the print are drawn at 0.30 mm, the least gap",
		},
		Source: "title = \"Cutler's Stair\"\n\n[scale]\nratio = 285            # 1 : 285\nperson = \"1.75 m\"\n\n[[crater]]\nname = \"hit\"\nat = [128, 90]\ndiameter = 46 # <wide> & deep\n",
		Making: []page.Fact{{"Socle", "0.5.0"}, {"Setting", "fine, cell 0.2 mm, tolerance 0.005 mm"}, {"Seed of the scene", "41"}, {"Command", "socle build cutlers-stair --setting fine"}},
		Cautions: []string{
			"Uncured resin irritates skin and eyes and may sensitise for good: nitrile gloves, eye protection, fresh air.",
			"Sand wet, and wear a particle mask: the dust harms the lungs.",
		},
		Variants: []page.Variant{
			{Name: "near miss", Changes: []page.Fact{{"crater.hit.at", "[170, 60]"}, {"crater.hit.depth", "5"}}},
			{Name: "whole", Changes: []page.Fact{{"crater.hit.depth", "0"}}},
		},
		Table:    page.Table{Caption: "Bases of the set", Head: []string{"Base", "Footprint", "Size, mm", "Volume, mm³", "Height, mm", "Findings"}, Figures: []bool{false, false, true, true, true, false}},
		Estimate: page.Table{Caption: "What each base takes", Head: []string{"Base", "Mass, g", "Layers", "Time"}, Figures: []bool{false, true, true, true}},
		Files:    page.Table{Caption: "Files", Head: []string{"File", "Bytes", "SHA-256"}, Figures: []bool{false, true, false}},
		Scale: page.Table{Caption: "Sizes of the scene beside life", Head: []string{"Part", "Measure", "Print, mm", "Full size, mm", "Beside the person"}, Figures: []bool{false, false, true, true, false},
			Rows: [][]string{{"water-stair", "riser", "0.72", "171", "2.9 steps to the knee"}, {"water-stair", "going", "1.01", "289", "0.17 of the person"}, {"parapet", "height", "4.63", "1100", "0.63 of the person"}}},
	}
	sheet := snapshot(t, "The set: six bases", 1200, 600, 3)
	r.Sheet = &sheet
	life := snapshot(t, "Six bases as large as they print", 980, 700, 3)
	r.LifeSheet = &life
	variants := snapshot(t, "The scene, and its two variants", 1000, 400, 4)
	r.VariantSheet = &variants
	r.Findings = []page.Finding{{Severity: "warn", Check: "scale", Part: "water-stair", Key: "stair.water-stair.riser", What: "a riser of 231 mm full size, most 220", Meaning: "It looks too steep beside a person.", Change: "a lower level to reach, or a longer flight"}}
	for i, name := range []string{"gun-crew", "signals", "scout-1", "scout-2", "scout-3", "scout-4"} {
		b := page.Base{
			Name: name, Footprint: []string{"oval 120 × 92 mm", "round 60 mm", "round 32 mm"}[min(i, 2)],
			Facts: []page.Fact{{"Size", "120.0 × 92.0 × 21.4 mm"}, {"Volume", "61,204.5 mm³"}, {"Triangles", "214,882"}, {"Proven", "closed, outward, no crossings, one piece"}, {"Turn", "20°"}, {"Magnets", "2 pockets of 5 × 2 mm"}},
			Solid: block(40, 30, 8),
		}
		for k, view := range []string{"Three-quarter view", "From above", "From the side", "Underside", "Stand: loader", "Crater: hit"}[:6-min(i, 3)] {
			b.Pictures = append(b.Pictures, snapshot(t, view, 800, 600, i+k))
		}
		place := snapshot(t, "Place of number 1", 320, 240, i)
		if i == 0 {
			b.Findings = append(b.Findings, page.Finding{Number: 1, Severity: "stop", Check: "neck", Part: "hit", Key: "crater.hit.depth", What: "a neck of 0.31 mm, least 0.80, holds 412 mm³", Meaning: "It breaks off in the vat or in the hand.", Change: "a shallower crater: 7.5 or less", Place: "at (26.7, 24.1, 5.8)", Picture: &place})
		}
		if i == 3 {
			b.Findings = append(b.Findings, page.Finding{
				Number: 1, Severity: "stop", Check: "floor", Part: name, Key: "base.scout.rim", What: "0.20 mm of floor above a magnet, least 0.60",
				Meaning: "The pocket breaks through.", Change: "a higher rim, or a thinner magnet", Place: "at (0.0, 0.0, 1.9)", Picture: &place,
			})
		}
		b.Findings = append(b.Findings,
			page.Finding{Number: len(b.Findings) + 1, Severity: "warn", Check: "island", Part: "spill-1", Key: "spill.spill-1.count", What: "0.06 mm² begin 3.40 mm up", Meaning: "Nothing is beneath it: it cures loose, does not print and drifts in the vat.", Change: "fewer fragments", Place: "at (25.7, 16.9, 3.4)", Count: 3, Picture: &place},
			page.Finding{Number: len(b.Findings) + 2, Severity: "note", Check: "overhang", Part: "mole-rail", What: "stands out 2.95 mm, most 1.50", Meaning: "It wants supports.", Place: "at (41.3, 21.6, 17.1)", Count: 7},
			page.Finding{Severity: "note", Check: "bridge", Part: "mole-rail", What: "spans 4.40 mm, most 3.00", Meaning: "It sags."},
		)
		r.Bases = append(r.Bases, b)
		r.Table.Rows = append(r.Table.Rows, []string{name, b.Footprint, "120.0 × 92.0 × 21.4", fmt.Sprintf("%d,204.5", 61-9*i), "21.4", []string{"1 stop, 1 warning", "1 warning"}[min(i, 1)]})
		r.Estimate.Rows = append(r.Estimate.Rows, []string{name, fmt.Sprintf("%.1f", 67.3-10*float64(i)), "428", "3 h 10 min"})
		r.Files.Rows = append(r.Files.Rows, []string{"cutlers-stair-" + name + ".stl", "10,744,184", strings.Repeat("9f3c07ad", 8)})
	}
	return r
}

func written(t testing.TB, r *page.Report) string {
	t.Helper()
	var w bytes.Buffer
	require.NoError(t, page.Write(&w, r))
	return w.String()
}
