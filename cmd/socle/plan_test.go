package main

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/out/page"
	"socle/out/plan"
	"socle/scenes"
)

// drawnFrom reads a scene and gives its plan as it is written.
func drawnFrom(t *testing.T, arg string, in string, sets ...string) string {
	t.Helper()
	s, err := set.Open(t.Context(), strings.NewReader(in), arg, set.Selection{Sets: sets})
	require.NoError(t, err)
	set, err := s.Cut(nil)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, plan.Write(&b, look.PlanOf(set)))
	return b.String()
}

// tracing is a path of SVG that is followed point by point. It is a reading of the
// path's text of its own (SVG 1.1, 8.3 and F.6), and knows nothing of how it was
// written.
type tracing struct {
	length, area float64
	min, max     [2]float64
}

var pathToken = regexp.MustCompile(`[MLAZ]|-?[\d.]+`)

func trace(t *testing.T, d string) tracing {
	tokens := pathToken.FindAllString(d, -1)
	next := func() float64 {
		v, err := strconv.ParseFloat(tokens[0], 64)
		require.NoError(t, err, d)
		tokens = tokens[1:]
		return v
	}
	tr := tracing{min: [2]float64{math.Inf(1), math.Inf(1)}, max: [2]float64{math.Inf(-1), math.Inf(-1)}}
	var at, start [2]float64
	step := func(to [2]float64) {
		tr.length += math.Hypot(to[0]-at[0], to[1]-at[1])
		tr.area += (at[0]*to[1] - at[1]*to[0]) / 2
		at = to
		for i := range 2 {
			tr.min[i], tr.max[i] = min(tr.min[i], to[i]), max(tr.max[i], to[i])
		}
	}
	for len(tokens) > 0 {
		word := tokens[0]
		tokens = tokens[1:]
		switch word {
		case "M":
			at = [2]float64{next(), next()}
			start = at
		case "L":
			step([2]float64{next(), next()})
		case "Z":
			step(start)
		case "A":
			rx, ry, turn, large, positive := next(), next(), next()*math.Pi/180, next() == 1, next() == 1
			to := [2]float64{next(), next()}
			// On the axes of the ellipse, scaled to a unit circle, the arc's chord has a
			// middle on whose normal the centre lies.
			unit := func(p [2]float64) (x, y float64) {
				s, c := math.Sincos(-turn)
				return (p[0]*c - p[1]*s) / rx, (p[0]*s + p[1]*c) / ry
			}
			ax, ay := unit(at)
			bx, by := unit(to)
			half := math.Hypot(bx-ax, by-ay) / 2
			off := math.Sqrt(max(0, 1-half*half))
			if large == positive {
				off = -off
			}
			cx, cy := (ax+bx)/2-off*(by-ay)/(2*half), (ay+by)/2+off*(bx-ax)/(2*half)
			from, sweep := math.Atan2(ay-cy, ax-cx), math.Atan2(by-cy, bx-cx)-math.Atan2(ay-cy, ax-cx)
			for positive && sweep <= 1e-9 {
				sweep += 2 * math.Pi
			}
			for !positive && sweep >= -1e-9 {
				sweep -= 2 * math.Pi
			}
			s, c := math.Sincos(turn)
			const n = 4000
			for i := 1; i <= n; i++ {
				y, x := math.Sincos(from + sweep*float64(i)/n)
				x, y = (x+cx)*rx, (y+cy)*ry
				step([2]float64{x*c - y*s, x*s + y*c})
			}
		}
	}
	return tr
}

// footprintsIn gives the outlines of the bases by name.
func footprintsIn(t *testing.T, svg string) map[string]string {
	out := map[string]string{}
	var title string
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		if e.Name.Local == "title" {
			require.NoError(t, d.DecodeElement(&title, &e))
			continue
		}
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		if attr["class"] == "plan-line plan-footprint" && attr["d"] != "" && strings.Contains(attr["d"], "Z") {
			name, _, _ := strings.Cut(title, ",")
			out[name] = attr["d"]
		}
	}
}

// ramanujan is the perimeter of an ellipse with the half-axes a and b, his second
// formula (references.md section 9); far closer than a ten-thousandth here.
func ramanujan(a, b float64) float64 {
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	return math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
}

// From the scene file to the paper: outlines as long, as large and as far across as
// closed forms have it (references.md section 9).
func TestFootprintsMeasureAsTheyShould(t *testing.T) {
	const text = `title = "Measures"
[scale]
ratio = 100
[levels]
yard = 3.0
[ground]
size = [400, 300]
level = "yard"
[[base]]
name = "round"
round = 32
at = [40, 40]
[[base]]
name = "oval"
oval = [60, 35]
at = [120, 50]
turn = 33
[[base]]
name = "hexagon"
hexagon = 30
at = [200, 50]
turn = 10
[[base]]
name = "stadium"
stadium = [60, 35]
at = [280, 60]
turn = -20
[[base]]
name = "rounded"
rectangle = [50, 25]
corner = 3
at = [60, 140]
turn = 70
[[base]]
name = "plain"
rectangle = [50, 25]
at = [150, 140]
turn = 90
[[base]]
name = "square"
square = 40
corner = 20
at = [250, 140]
`
	found := footprintsIn(t, drawnFrom(t, "-", text))
	for name, want := range map[string]struct{ length, area float64 }{
		"round":   {math.Pi * 32, math.Pi * 16 * 16},
		"oval":    {ramanujan(30, 17.5), 1649.336143},
		"hexagon": {6 * 30 / math.Sqrt(3), 779.422863},
		"stadium": {159.955743, 1837.112750},
		"rounded": {2*(50+25) - 8*3 + 2*math.Pi*3, 1242.274334},
		"plain":   {150, 1250},
		"square":  {math.Pi * 40, math.Pi * 400},
	} {
		tr := trace(t, found[name])
		require.InDelta(t, want.length, tr.length, 4e-3, "%s: length", name) // a corner is a thousandth of a mm off at most
		require.InDelta(t, want.area, tr.area, 6e-2, "%s: area, anticlockwise", name)
	}
	require.InDelta(t, 151.820579, ramanujan(30, 17.5), 1e-6)

	plain := trace(t, found["plain"]) // turned by a quarter about (150, 140)
	require.Equal(t, [2]float64{137.5, 115}, plain.min)
	require.Equal(t, [2]float64{162.5, 165}, plain.max)
	oval := trace(t, found["oval"])
	s, c := math.Sincos(33 * math.Pi / 180)
	require.InDelta(t, 120+math.Hypot(30*c, 17.5*s), oval.max[0], 2e-3)
	require.InDelta(t, 50+math.Hypot(30*s, 17.5*c), oval.max[1], 2e-3)
}

func TestAWallInASceneIsAsLongOnThePlan(t *testing.T) {
	svg := drawnFrom(t, "-", `[scale]
ratio = 100
[levels]
yard = 3.0
[ground]
size = [200, 100]
level = "yard"
[[wall]]
line = [[20, 40], [120, 40]]
from = "yard"
height = 20
thickness = 4
[[base]]
round = 25
`)
	require.Contains(t, svg, `plan-mass" d="M20 38L120 38L120 42L20 42Z"`)
	require.Contains(t, svg, `plan-frame" x="0" y="0" width="200" height="100"`)
}

// Every shipped scene, as it is and with other values, gives a drawing in which
// every number is one, and that a page takes over whole. As they are, the drawings are those
// of the frozen sets.
func TestPlansOfShippedScenes(t *testing.T) {
	bad := regexp.MustCompile(`(?i)\bnan\b|\binf\b|e[+-]\d\d|\.\d{4}`)
	requirePlan := func(t *testing.T, svg string, levels map[string]float64, pieces []string) {
		for _, d := range regexp.MustCompile(` (?:d|x|y|width|height|transform|viewBox)="([^"]*)"`).FindAllStringSubmatch(svg, -1) {
			require.NotRegexp(t, bad, d[1])
		}
		found := footprintsIn(t, svg)
		require.Len(t, found, len(pieces))
		for _, name := range pieces {
			require.NotEmpty(t, found[name], name)
		}
		for level := range levels {
			require.Contains(t, svg, ">"+level+" ", "the level is marked")
		}
		var b bytes.Buffer
		require.NoError(t, page.Write(&b, &page.Report{Plan: []byte(svg)}))
		require.Equal(t, strings.Count(svg, "<path "), strings.Count(b.String(), "<path "), "a page leaves none of it out")
		require.Contains(t, b.String(), "plan-footprint{")
	}
	for _, name := range scenes.Shipped() {
		t.Run(name, func(t *testing.T) {
			if testing.Short() {
				t.Skip("built without -short")
			}
			t.Parallel()
			dir, err := builtSet(name)
			require.NoError(t, err)
			svg, err := os.ReadFile(filepath.Join(dir, "to", name+look.PlanEnd))
			require.NoError(t, err)
			s, err := set.Open(t.Context(), nil, name, set.Selection{})
			require.NoError(t, err)
			var pieces []string
			for _, file := range filesIn(t, filepath.Join(dir, "to")) {
				if piece, ok := strings.CutSuffix(file, ".stl"); ok {
					pieces = append(pieces, piece)
				}
			}
			requirePlan(t, string(svg), s.Site.Levels, pieces)
		})
	}
	for name, sets := range map[string][]string{
		"saltmere-quay":  {"levels.mole=6", "crater.hit.depth=3", "deck.mole.on=walls", "paving.apron.bond=hexagonal"},
		"ashlare-temple": {"seed=9", "paving.court-flags.bond=herringbone"},
		"wendle-ford":    {"seed=9"},
	} {
		t.Run(fmt.Sprintf("%s %v", name, sets), func(t *testing.T) {
			t.Parallel()
			s, err := set.Open(t.Context(), nil, name, set.Selection{Sets: sets})
			require.NoError(t, err)
			cut, err := s.Cut(nil)
			require.NoError(t, err)
			var drawing bytes.Buffer
			require.NoError(t, plan.Write(&drawing, look.PlanOf(cut)))
			var pieces []string
			for _, p := range cut.Pieces {
				pieces = append(pieces, p.Name)
			}
			requirePlan(t, drawing.String(), s.Site.Levels, pieces)
		})
	}
}

func TestPlanIsWrittenWhole(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, "plan", "saltmere-quay")
	require.Zero(t, r.code, r.err)
	path := filepath.Join("build", "saltmere-quay", "saltmere-quay"+look.PlanEnd)
	require.Equal(t, filepath.ToSlash(path)+"\n", r.out)
	require.Empty(t, r.err)
	first, err := os.ReadFile(filepath.Join(dir, path))
	require.NoError(t, err)
	require.Equal(t, drawnFrom(t, "saltmere-quay", ""), string(first))

	r = runIn(t, dir, "plan", "saltmere-quay", "--variant", "high-water", "--to", "quay", "--quiet")
	require.Zero(t, r.code, r.err)
	require.Empty(t, r.out)
	require.Equal(t, []string{"saltmere-quay-high-water" + look.PlanEnd}, filesIn(t, filepath.Join(dir, "quay")))

	r = runIn(t, dir, "plan", "saltmere-quay", "--set", "crater.hit.depth=900")
	require.Equal(t, exitFaulty, r.code)
	again, err := os.ReadFile(filepath.Join(dir, path))
	require.NoError(t, err)
	require.Equal(t, first, again, "a faulty scene leaves what was there")

	require.NoError(t, os.WriteFile(filepath.Join(dir, "taken"), nil, 0o600))
	r = runIn(t, dir, "plan", "saltmere-quay", "--to", "taken")
	require.Equal(t, exitNotWritten, r.code)
}

// Whatever the parts draw has a rule and a place in the legend.
func TestEveryLineOfThePartsIsKnownToThePlan(t *testing.T) {
	text, err := os.ReadFile("../../parts/drawing.go")
	require.NoError(t, err)
	lines := regexp.MustCompile(`Line\w+\s+Line = "(\w+)"`).FindAllStringSubmatch(string(text), -1)
	require.Len(t, lines, 13)
	for _, l := range lines {
		d := &plan.Drawing{Max: plan.Point{X: 10, Y: 10}, Strokes: []plan.Stroke{{Line: plan.Line(l[1]), Path: []plan.Node{{}, {To: plan.Point{X: 5}}}}}}
		var b bytes.Buffer
		require.NoError(t, plan.Write(&b, d))
		require.Contains(t, b.String(), ".plan-"+l[1]+"{", "%s has no rule", l[1])
		if l[1] != "cleared" { // which has no line to tell of
			require.Greater(t, strings.Count(b.String(), "<text class=\"plan-text \" x="), 4, "%s is not in the legend", l[1])
		}
	}
}
