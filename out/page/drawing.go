package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
)

// A drawing is put into the page as it is, so that it prints sharp and its words
// can be found and read out. Nothing of it may run, fetch, or reach beyond itself:
// only what is listed here comes over, and its ids are given a prefix.

// drawingID is put before every id of the drawing.
const drawingID = "drawing-"

// drawn are the elements of SVG that only draw or describe (SVG 2, chapters 5 to 14).
// What else there is goes, with all that it holds: scripts, foreign objects, links,
// pictures from elsewhere, animations.
var drawn = words(`svg g defs symbol use path rect circle ellipse line polyline polygon
	text tspan title desc style pattern clipPath mask marker linearGradient radialGradient stop`)

// drawnPlainly are the attributes that come over whatever they say, as long as they
// point nowhere; those of presentation are told by presents.
var drawnPlainly = words(`class d x y x1 y1 x2 y2 dx dy cx cy r rx ry fx fy width height viewBox
	preserveAspectRatio points transform rotate textLength lengthAdjust pathLength offset
	gradientUnits gradientTransform spreadMethod patternUnits patternContentUnits patternTransform
	clipPathUnits maskUnits maskContentUnits markerWidth markerHeight markerUnits orient refX refY
	role lang version`)

func words(list string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(list) {
		set[w] = true
	}
	return set
}

// presents tells attributes of presentation and of description, which have a
// common shape: fill, stroke-width, font-family, aria-label, data-level.
var presents = regexp.MustCompile(`^(fill|stroke|font|text|stop|clip|mask|marker|paint|shape|vector|dominant|alignment|baseline|letter|word|writing|unicode|color|aria|data)(-[a-z0-9-]+)?$|^(opacity|display|visibility|overflow|style|direction|cursor)$`)

// pointsAway tells values that may fetch something: an address of any kind that is
// not a place in the drawing itself, or an escape that may hide one.
var pointsAway = regexp.MustCompile(`(?i)url\(\s*['"]?\s*[^#'"\s]|url\(\s*['"]?\s*$|image\(|image-set\(|src\(|javascript:|expression\(|@|\\|<`)

// place is a reference to an id of the drawing in a value: url(#hatch).
var place = regexp.MustCompile(`url\(\s*['"]?\s*#([^'")\s]*)\s*['"]?\s*\)`)

var errNoDrawing = errors.New("no SVG drawing")

// drawing gives an SVG document as an element of the page. What may not come over
// is left out; what is no well-formed SVG document is refused.
func drawing(svg []byte) ([]byte, error) {
	d := xml.NewDecoder(bytes.NewReader(svg))
	d.CharsetReader = func(string, io.Reader) (io.Reader, error) { return nil, errNoDrawing }
	var w bytes.Buffer
	var open []string
	for {
		token, err := d.Token()
		switch {
		case err == io.EOF && len(open) == 0 && w.Len() > 0:
			return w.Bytes(), nil
		case err != nil:
			return nil, errNoDrawing
		}
		switch t := token.(type) {
		case xml.StartElement:
			name := t.Name.Local
			if len(open) == 0 && (name != "svg" || w.Len() > 0) {
				return nil, errNoDrawing
			}
			if !drawn[name] || name == "svg" && len(open) > 0 {
				if err := d.Skip(); err != nil {
					return nil, errNoDrawing
				}
				continue
			}
			if name == "style" {
				if err := writeStyle(&w, d); err != nil {
					return nil, err
				}
				continue
			}
			open = append(open, name)
			w.WriteString("<" + name)
			seen := map[string]bool{}
			for _, a := range t.Attr {
				writeAttribute(&w, name, a, seen)
			}
			w.WriteString(">")
		case xml.EndElement:
			w.WriteString("</" + open[len(open)-1] + ">")
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				writeText(&w, string(t))
			}
		}
	}
}

// writeAttribute writes one attribute, where it may come over.
func writeAttribute(w *bytes.Buffer, element string, a xml.Attr, seen map[string]bool) {
	name, value := a.Name.Local, printable(a.Value)
	switch {
	case name == "href": // of either namespace
		if element != "use" || !strings.HasPrefix(value, "#") {
			return
		}
		value = "#" + drawingID + value[1:]
	case a.Name.Space != "":
		return
	case name == "id":
		value = drawingID + value
	case name == "aria-labelledby" || name == "aria-describedby":
		ids := strings.Fields(value)
		for i := range ids {
			ids[i] = drawingID + ids[i]
		}
		value = strings.Join(ids, " ")
	case !drawnPlainly[name] && !presents.MatchString(name):
		return
	case strings.HasPrefix(name, "aria-") || strings.HasPrefix(name, "data-"):
		// Words for a reader, whatever they say.
	case pointsAway.MatchString(value):
		return
	default:
		value = place.ReplaceAllString(value, "url(#"+drawingID+"$1)")
	}
	if seen[name] {
		return
	}
	seen[name] = true
	w.WriteString(" " + name + `="`)
	writeText(w, value)
	w.WriteString(`"`)
}

// writeStyle writes the rules of a drawing so that they hold within it alone,
// or nothing where they may fetch something. The decoder stands behind <style>.
func writeStyle(w *bytes.Buffer, d *xml.Decoder) error {
	var rules strings.Builder
	for {
		token, err := d.Token()
		if err != nil {
			return errNoDrawing
		}
		switch t := token.(type) {
		case xml.CharData:
			rules.WriteString(string(t))
		case xml.StartElement:
			if err := d.Skip(); err != nil {
				return errNoDrawing
			}
		case xml.EndElement:
			text := strings.TrimSpace(printable(rules.String()))
			if text == "" || pointsAway.MatchString(text) || !balanced(text) {
				return nil
			}
			w.WriteString("<style>.drawing{")
			writeText(w, place.ReplaceAllString(text, "url(#"+drawingID+"$1)"))
			w.WriteString("}</style>")
			return nil
		}
	}
}

// balanced tells that braces open and close in pairs, so that rules which stand in
// braces cannot leave them. Comments and strings could hide a brace.
func balanced(rules string) bool {
	deep := 0
	for _, r := range rules {
		switch r {
		case '{':
			deep++
		case '}':
			deep--
		case '"', '\'':
			return false
		}
		if deep < 0 {
			return false
		}
	}
	return deep == 0 && !strings.Contains(rules, "/*")
}

func writeText(w *bytes.Buffer, s string) {
	// Writing to a buffer does not fail.
	_ = xml.EscapeText(w, []byte(printable(s)))
}
