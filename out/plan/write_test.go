package plan

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// rectanglePath is a closed path.
func rectanglePath(x, y, w, h float64) []Node {
	return []Node{{To: Point{x, y}}, {To: Point{x + w, y}}, {To: Point{x + w, y + h}}, {To: Point{x, y + h}}}
}

// yard is a drawing with something of everything.
func yard() *Drawing {
	d := &Drawing{Title: "Yard <&> \"Sons\"", Ratio: 100, Min: Point{0, 0}, Max: Point{120, 80}}
	add := func(layer string, line Line, closed, covers bool, path ...Node) {
		d.Strokes = append(d.Strokes, Stroke{Part: "part-" + layer, Kind: "kind", Layer: layer, Line: line, Path: path, Closed: closed, Covers: covers})
	}
	add(Floors, Edge, true, true, rectanglePath(0, 0, 120, 80)...)
	add(Floors, Fine, true, false, rectanglePath(10, 10, 2.345678, 1)...)
	add(Floors, Bank, false, false, Node{To: Point{1, 1}}, Node{To: Point{1, 2}})
	add("hidden", Hidden, true, false, rectanglePath(20, 20, 3, 3)...)
	add("standing", Mass, true, true, rectanglePath(10, 60, 100, 4)...)
	add("standing", Step, false, false, Node{To: Point{50, 50}}, Node{To: Point{60, 50}})
	add("standing", Way, false, false, Node{To: Point{55, 40}}, Node{To: Point{55, 50}})
	add("fittings", Rail, false, false, Node{To: Point{5, 70}}, Node{To: Point{60, 70}})
	add("damage", Cleared, true, true, rectanglePath(80, 20, 10, 10)...)
	add("damage", Damage, true, true, Node{To: Point{100, 30}}, Node{To: Point{80, 30}, RX: 10, RY: 10}, Node{To: Point{100, 30}, RX: 10, RY: 10})
	add("damage", Scar, false, false, Node{To: Point{100, 30}}, Node{To: Point{110, 30}})
	add("debris", Debris, true, false, rectanglePath(70, 10, 40, 40)...)
	add("trims", Cut, false, false, Node{To: Point{-3, 5}}, Node{To: Point{123, 5}})
	d.Labels = []Label{{Point{55, 38}, "6 up"}}
	d.Levels = []Level{{"quay", 3, []Point{{20, 30}, {30, 30}}}, {"", -2.5, []Point{{100, 70}}}}
	d.Bases = []Base{{Name: "walker", Size: "round 25", At: Point{30, 40}, Turn: 20, Axis: Point{41.7, 44.3},
		Path:   []Node{{To: Point{42.5, 40}}, {To: Point{17.5, 40}, RX: 12.5, RY: 12.5}, {To: Point{42.5, 40}, RX: 12.5, RY: 12.5}},
		Stands: [][]Node{{{To: Point{33, 40}}, {To: Point{27, 40}, RX: 3, RY: 3}, {To: Point{33, 40}, RX: 3, RY: 3}}}}}
	return d
}

func written(t require.TestingT, d *Drawing) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, d))
	return b.String()
}

// element is one element of a written drawing.
type element struct {
	name string
	attr map[string]string
	text string
	up   *element
}

func (e *element) has(class string) bool {
	for _, c := range strings.Fields(e.attr["class"]) {
		if c == class {
			return true
		}
	}
	return false
}

// elements reads a document strictly and lists its elements in order.
func elements(t require.TestingT, svg string) []*element {
	d := xml.NewDecoder(strings.NewReader(svg))
	var all []*element
	var at *element
	for {
		token, err := d.Token()
		if err == io.EOF {
			require.Nil(t, at)
			return all
		}
		require.NoError(t, err)
		switch token := token.(type) {
		case xml.StartElement:
			e := &element{name: token.Name.Local, attr: map[string]string{}, up: at}
			for _, a := range token.Attr {
				require.NotContains(t, e.attr, a.Name.Local)
				e.attr[a.Name.Local] = a.Value
			}
			all, at = append(all, e), e
		case xml.CharData:
			if at != nil {
				at.text += string(token)
			}
		case xml.EndElement:
			at = at.up
		}
	}
}

func withClass(all []*element, class string) []*element {
	var out []*element
	for _, e := range all {
		if e.has(class) {
			out = append(out, e)
		}
	}
	return out
}

func TestThePageIsMeasuredInMillimetres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := yard()
		d.Min = Point{rapid.Float64Range(-50, 0).Draw(t, "x"), rapid.Float64Range(-50, 0).Draw(t, "y")}
		d.Max = Point{rapid.Float64Range(1, 900).Draw(t, "X"), rapid.Float64Range(1, 900).Draw(t, "Y")}
		all := elements(t, written(t, d))
		root := all[0]
		require.Equal(t, "svg", root.name)
		w, h := strings.TrimSuffix(root.attr["width"], "mm"), strings.TrimSuffix(root.attr["height"], "mm")
		require.Equal(t, "0 0 "+w+" "+h, root.attr["viewBox"], "one unit is one mm")
		require.NotEqual(t, w, root.attr["width"])
		frame := withClass(all, "plan-frame")[0]
		require.InDelta(t, d.wide(), float(t, frame.attr["width"]), 5.001e-4)
		require.InDelta(t, d.high(), float(t, frame.attr["height"]), 5.001e-4)
		require.GreaterOrEqual(t, float(t, w), d.wide()+2*edgeMargin)
		require.GreaterOrEqual(t, float(t, h), d.high()+2*edgeMargin)
	})
}

func float(t require.TestingT, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

func TestNorthIsUp(t *testing.T) {
	all := elements(t, written(t, yard()))
	var scene *element
	for _, e := range all {
		if e.attr["id"] == "plan-scene" {
			scene = e
		}
	}
	m := regexp.MustCompile(`^translate\((\S+) (\S+)\) scale\(1 -1\)$`).FindStringSubmatch(scene.attr["transform"])
	require.NotNil(t, m, "scene coordinates, turned north up and not scaled")
	left, top := float(t, m[1]), float(t, m[2])
	// The wall from (10, 60) to (110, 64) is 100 units long and above the middle.
	wall := withClass(all, "plan-mass")[0]
	require.Equal(t, "M10 60L110 60L110 64L10 64Z", wall.attr["d"])
	for up := wall.up; up != scene; up = up.up {
		require.NotContains(t, up.attr, "transform")
	}
	require.Less(t, top-60, top-40)
	// The name stands where the base is, on the same page.
	name := withClass(all, "plan-name")[0]
	require.Equal(t, "walker", name.text)
	require.InDelta(t, left+30, float(t, name.attr["x"]), 13)
	require.InDelta(t, top-40, float(t, name.attr["y"]), 13)
}

func TestOnlyWhatIsUsedIsInTheLegend(t *testing.T) {
	words := func(d *Drawing) []string {
		var out []string
		for _, e := range elements(t, written(t, d)) {
			if e.name == "text" && e.up.attr["id"] == "plan-legend" {
				out = append(out, e.text)
			}
		}
		return out
	}
	full := words(yard())
	for _, l := range legend {
		require.Contains(t, full, l.words)
	}
	d := yard()
	d.Strokes, d.Bases = d.Strokes[:1], nil
	require.Equal(t, []string{"edge, seen from above", "grid of 10 mm"}, words(d))
}

func TestLevelsAreMarkedAndListed(t *testing.T) {
	svg := written(t, yard())
	require.Contains(t, svg, ">quay +3.00</text>")
	require.Contains(t, svg, ">-2.50</text>")
	require.Contains(t, svg, "Levels: quay +3.00, -2.50")
}

// Nothing that is not a number reaches the page, and nothing without it is lost.
func TestBadValuesAreLeftOut(t *testing.T) {
	good := written(t, yard())
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		d := yard()
		add := func(p []Node) {
			d.Strokes = append(d.Strokes, Stroke{Part: "part-trims", Kind: "kind", Layer: "trims", Line: Cut, Path: p})
		}
		add([]Node{{To: Point{bad, 1}}, {To: Point{1, 1}}})
		add([]Node{{To: Point{2, 1}}, {To: Point{1, bad}}})
		add([]Node{{To: Point{2, 1}}, {To: Point{1, 1}, RX: bad, RY: 1}})
		add([]Node{{To: Point{2, 1}}, {To: Point{1, 1}, RX: 1, RY: 1, Turn: bad}})
		add([]Node{{To: Point{2, 1}}})
		add(nil)
		d.Labels = append(d.Labels, Label{Point{bad, 2}, "lost"})
		d.Levels = append(d.Levels, Level{"lost", bad, []Point{{1, 1}}})
		d.Levels[0].Places = append([]Point{{bad, bad}}, d.Levels[0].Places...)
		require.Equal(t, good, written(t, d), "%v", bad)

		d = yard()
		d.Ratio, d.Bases[0].Turn, d.Bases[0].Axis = bad, bad, Point{bad, 0}
		d.Bases[0].Stands[0][0].To.X = bad
		d.Bases = append(d.Bases, Base{Name: "lost", Path: []Node{{To: Point{bad, 0}}, {}}}, Base{Name: "bare", At: Point{bad, 0}, Path: rectanglePath(0, 0, 9, 9)})
		requireSound(t, written(t, d))

		d = yard()
		d.Max.X = bad
		require.Error(t, Write(io.Discard, d))
	}
	d := yard()
	d.Max = d.Min
	require.Error(t, Write(io.Discard, d))
	require.Error(t, Write(full{}, yard()), "a full disk is no success")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("full") }

var numeral = regexp.MustCompile(`-?\d+(\.\d+)?(e[-+]?\d+)?`)

// requireSound reads a drawing strictly and looks at every number in it. A page takes a
// drawing over as it is: nothing in it runs, fetches, or leads anywhere.
func requireSound(t require.TestingT, svg string) {
	for _, e := range elements(t, svg) {
		require.Contains(t, []string{"svg", "title", "desc", "defs", "style", "clipPath", "g", "path", "rect", "circle", "text"}, e.name)
		if e.name != "style" {
			requireSeen(t, e.text)
		}
		for name, value := range e.attr {
			require.Contains(t, []string{"xmlns", "version", "type", "role", "aria-label", "aria-labelledby", "id", "class", "clip-path",
				"width", "height", "viewBox", "transform", "d", "x", "y", "cx", "cy", "r"}, name)
			if name == "aria-label" {
				requireSeen(t, value)
				continue
			}
			if name == "clip-path" {
				require.Equal(t, "url(#plan-clip)", value)
			}
			require.NotRegexp(t, `(?i)nan|inf`, value, name)
			if name == "xmlns" || name == "version" {
				continue
			}
			for _, n := range numeral.FindAllStringSubmatch(value, -1) {
				require.LessOrEqual(t, len(n[1]), 4, "%s: more than three decimals in %s", name, n[0])
				require.Empty(t, n[2], "%s: %s", name, n[0])
			}
		}
	}
}

// requireSeen holds a text to characters that are seen, and line ends.
func requireSeen(t require.TestingT, text string) {
	for _, r := range text {
		require.True(t, unicode.IsGraphic(r) || r == '\n', "%q in %q", r, text)
	}
}

func TestAnyDrawingIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(rapid.Float64Range(-200, 400), rapid.Float64())
		point := func(name string) Point { return Point{value.Draw(t, name+".x"), value.Draw(t, name+".y")} }
		path := func() (out []Node) {
			for range rapid.IntRange(0, 4).Draw(t, "corners") {
				n := Node{To: point("corner"), Turn: value.Draw(t, "turn"), Large: rapid.Bool().Draw(t, "large"), Clockwise: rapid.Bool().Draw(t, "clockwise")}
				if rapid.Bool().Draw(t, "arc") {
					n.RX, n.RY = value.Draw(t, "rx"), value.Draw(t, "ry")
				}
				out = append(out, n)
			}
			return out
		}
		d := &Drawing{Title: rapid.String().Draw(t, "title"), Ratio: value.Draw(t, "ratio"), Min: point("min"), Max: point("max")}
		for range rapid.IntRange(0, 6).Draw(t, "strokes") {
			d.Strokes = append(d.Strokes, Stroke{
				Part: rapid.String().Draw(t, "part"), Layer: rapid.SampledFrom([]string{Floors, "trims", "odd \"layer\""}).Draw(t, "layer"),
				Line: rapid.SampledFrom([]Line{Edge, Fine, Way, Mass, "odd"}).Draw(t, "line"), Path: path(),
				Closed: rapid.Bool().Draw(t, "closed"), Covers: rapid.Bool().Draw(t, "covers"),
			})
		}
		d.Labels = []Label{{point("label"), rapid.String().Draw(t, "text")}}
		d.Levels = []Level{{rapid.String().Draw(t, "level"), value.Draw(t, "height"), []Point{point("place")}}}
		d.Bases = []Base{{Name: rapid.String().Draw(t, "base"), Size: "round 3", At: point("at"), Turn: value.Draw(t, "turned"), Axis: point("axis"), Path: path(), Stands: [][]Node{path()}}}
		var b bytes.Buffer
		if Write(&b, d) == nil {
			requireSound(t, b.String())
		}
	})
}

func TestTooFineAPartIsLeftOutAndSaidSo(t *testing.T) {
	d := yard()
	before := strings.Count(written(t, d), "plan-fine")
	for i := range MaxFine + 1 {
		d.Strokes = append(d.Strokes, Stroke{Part: "setts", Layer: "floors", Line: Fine, Path: rectanglePath(float64(i%100), 1, 1, 1), Closed: true})
	}
	svg := written(t, d)
	require.Equal(t, before, strings.Count(svg, "plan-fine"), "only the part that is within bounds")
	require.Contains(t, svg, "Joints left out, more than 15000 in a part or 40000 in all: setts")
	d.Strokes = d.Strokes[:len(d.Strokes)-1]
	svg = written(t, d)
	require.NotContains(t, svg, "left out")
	var drawn []int
	for _, e := range withClass(elements(t, svg), "plan-fine") {
		drawn = append(drawn, strings.Count(e.attr["d"], "M"))
	}
	require.Contains(t, drawn, MaxFine, "all in one path")
}

// Text is at least 2 mm tall on paper: no size of the style sheet is less than
// what gives capitals of 2 mm.
func TestLetteringIsTallEnough(t *testing.T) {
	sizes := regexp.MustCompile(`font-size:([\d.]+)px`).FindAllStringSubmatch(style, -1)
	require.Len(t, sizes, 5)
	for _, s := range sizes {
		require.GreaterOrEqual(t, 0.716*float(t, s[1]), 2.0)
	}
	for _, e := range elements(t, written(t, yard())) {
		if e.name == "text" {
			require.True(t, e.has("plan-text"))
			require.NotContains(t, e.attr, "font-size")
		}
	}
}

// Every class that is used has a rule, and every id is the drawing's own.
func TestClassesAndIdsAreTheDrawingsOwn(t *testing.T) {
	ids := map[string]bool{}
	for _, e := range elements(t, written(t, yard())) {
		for _, c := range strings.Fields(e.attr["class"]) {
			require.Contains(t, style, "."+c+"{")
		}
		if id := e.attr["id"]; id != "" {
			require.True(t, strings.HasPrefix(id, "plan-"), id)
			require.False(t, ids[id], "two of %s", id)
			ids[id] = true
		}
	}
	require.NotRegexp(t, `["'@\\<]|/\*|url\(`, style, "it is the same in XML and in HTML")
	require.Equal(t, strings.Count(style, "{"), strings.Count(style, "}"))
	for _, rule := range regexp.MustCompile(`([a-z-]+):(var\()`).FindAllStringSubmatchIndex(style, -1) {
		property := style[rule[2]:rule[3]]
		require.Regexp(t, property+`:#[0-9a-f]+;$`, style[:rule[2]], "a plain colour before each that a page may set")
	}
}

// The document type of SVG 1.1 (Second Edition), from Debian's w3c-sgml-lib, holds
// the elements, the attributes and how they nest; not what attributes say, which
// are plain text to it. What it does not know, role and aria-*, is taken out first.
func TestValidAgainstTheSVGDocumentType(t *testing.T) {
	const dtd = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"
	_, missing := os.Stat(dtd)
	if _, err := exec.LookPath("xmllint"); err != nil || missing != nil {
		const cure = "the document type or xmllint is not installed: apt-get install w3c-sgml-lib libxml2-utils"
		if os.Getenv("CI") != "" {
			t.Fatal(cure)
		}
		t.Skip(cure)
	}
	later := regexp.MustCompile(` (role|aria-[a-z]+)="[^"]*"`)
	valid := func(svg string) error {
		path := filepath.Join(t.TempDir(), "plan.svg")
		require.NoError(t, os.WriteFile(path, []byte(later.ReplaceAllString(svg, "")), 0o600))
		text, err := exec.Command("xmllint", "--noout", "--nonet", "--dtdvalid", dtd, path).CombinedOutput()
		if err != nil {
			return errors.New(string(text))
		}
		return nil
	}
	svg := written(t, yard())
	require.NoError(t, valid(svg))
	require.Error(t, valid(strings.Replace(svg, "<path ", "<pathe ", 1)), "the check can fail")
	require.Error(t, valid(strings.Replace(svg, " cx=", " centre=", 1)), "the check can fail")
}

func TestPaper(t *testing.T) {
	require.Equal(t, "A4", paperFor(297, 210))
	require.Equal(t, "A3", paperFor(297.1, 210))
	require.Equal(t, "A3", paperFor(268, 250))
	require.Equal(t, "A0", paperFor(841, 1189))
	require.Empty(t, paperFor(842, 1189))
	// ISO 216: each is half the one before, to the mm below, and A0 is a square metre.
	for i := range len(sheets) - 1 {
		require.Equal(t, sheets[i].long, sheets[i+1].short)
		require.Equal(t, math.Floor(sheets[i+1].long/2), sheets[i].short)
	}
	require.InEpsilon(t, 1e6, sheets[4].short*sheets[4].long, 1e-3)
}
