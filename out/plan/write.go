package plan

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf/polygon"
)

// MaxFine is the most fine strokes of one part that are drawn, and MaxAllFine of
// all parts together: of a part with more, none is, and the legend says so.
const (
	MaxFine    = 15_000
	MaxAllFine = 40_000
)

// The margins round the scene, mm.
const (
	edgeMargin = 6   // of the page
	numbers    = 7   // for the numbers of the grid
	leastWide  = 180 // of the page, for the lettering below the scene
)

// sheet is a drawing that is being written.
type sheet struct {
	*Drawing
	w       bytes.Buffer
	left    float64 // of the scene on the page
	top     float64
	page    Point
	used    map[Line]bool
	leftOut []string // parts whose fine strokes are too many
	skip    map[string]bool
}

// Write writes the drawing as one SVG document. It fails where the scene has no
// size that can be drawn, or where w does.
func Write(w io.Writer, d *Drawing) error {
	s, err := newSheet(d)
	if err != nil {
		return err
	}
	s.left, s.top = edgeMargin+numbers, edgeMargin+numbers
	s.page.X = math.Max(leastWide, s.left+d.wide()+numbers+edgeMargin)
	s.left = (s.page.X - d.wide()) / 2
	below := s.top + d.high() + numbers + 3
	foot := s.foot(below)

	s.open()
	s.scene()
	s.gridNumbers()
	s.lettering()
	s.w.WriteString(foot)
	return s.end(w)
}

// end ends the drawing and writes it.
func (s *sheet) end(w io.Writer) error {
	s.w.WriteString("</svg>\n")
	_, err := w.Write(s.w.Bytes())
	return err
}

// WriteSymbol writes the drawing alone: nothing round it, no numbers, lettering or legend.
func WriteSymbol(w io.Writer, d *Drawing) error {
	s, err := newSheet(d)
	if err != nil {
		return err
	}
	s.page = Point{d.wide(), d.high()}
	s.open()
	s.scene()
	return s.end(w)
}

// newSheet begins a drawing, of a scene that has a size.
func newSheet(d *Drawing) (*sheet, error) {
	if !d.Min.drawable() || !d.Max.drawable() || d.Max.X <= d.Min.X || d.Max.Y <= d.Min.Y {
		return nil, fmt.Errorf("a scene from (%g, %g) to (%g, %g) mm cannot be drawn", d.Min.X, d.Min.Y, d.Max.X, d.Max.Y)
	}
	s := &sheet{Drawing: d, used: map[Line]bool{}, skip: map[string]bool{}}
	s.survey()
	return s, nil
}

func (d *Drawing) wide() float64 { return d.Max.X - d.Min.X }
func (d *Drawing) high() float64 { return d.Max.Y - d.Min.Y }

// survey finds which lines are used and which parts have too much detail.
func (s *sheet) survey() {
	counts := map[string]int{}
	var order []string
	for _, k := range s.Strokes {
		if !sound(k.Path) {
			continue
		}
		if k.Line == Fine {
			if counts[k.Part] == 0 {
				order = append(order, k.Part)
			}
			counts[k.Part]++
		}
	}
	all := 0
	for _, part := range order {
		if counts[part] > MaxFine || all+counts[part] > MaxAllFine {
			s.skip[part] = true
			s.leftOut = append(s.leftOut, part)
			continue
		}
		all += counts[part]
	}
	for _, k := range s.Strokes {
		if sound(k.Path) && !(k.Line == Fine && s.skip[k.Part]) {
			s.used[k.Line] = true
		}
	}
	for _, b := range s.Bases {
		if sound(b.Path) {
			s.used[Footprint] = true
			s.used[Axis] = s.used[Axis] || b.Axis.drawable()
		}
		for _, st := range b.Stands {
			s.used[Stand] = s.used[Stand] || sound(st)
		}
	}
}

// open writes what goes before the drawing.
func (s *sheet) open() {
	fmt.Fprintf(&s.w, `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="%smm" height="%smm" viewBox="0 0 %[1]s %[2]s" role="img" aria-labelledby="plan-title plan-desc">`+"\n",
		number(s.page.X), number(s.page.Y))
	fmt.Fprintf(&s.w, "<title id=\"plan-title\">%s</title>\n", escaped("Plan of "+s.Title))
	fmt.Fprintf(&s.w, "<desc id=\"plan-desc\">%s</desc>\n", escaped(s.description()))
	fmt.Fprintf(&s.w, "<defs><style type=\"text/css\">%s</style><clipPath id=\"plan-clip\"><rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/></clipPath></defs>\n",
		style, number(s.Min.X), number(s.Min.Y), number(s.wide()), number(s.high()))
	fmt.Fprintf(&s.w, "<rect class=\"plan-paper\" width=\"%s\" height=\"%s\"/>\n", number(s.page.X), number(s.page.Y))
}

// description says in words what the drawing shows.
func (s *sheet) description() string {
	var b strings.Builder
	fmt.Fprintf(&b, "The scene from above, north up, %s x %s mm at %s.", number(s.wide()), number(s.high()), s.scale())
	if len(s.Bases) > 0 {
		b.WriteString(" Bases, with their middles in mm from the south-west corner:")
		for i, base := range s.Bases {
			if i > 0 {
				b.WriteByte(';')
			}
			fmt.Fprintf(&b, " %s, %s", base.Name, base.Size)
			if base.At.drawable() {
				fmt.Fprintf(&b, " at %s, %s", number(base.At.X), number(base.At.Y))
			}
			if t := turnText(base.Turn); t != "" {
				b.WriteString(", " + t)
			}
		}
		b.WriteByte('.')
	}
	if len(s.Levels) > 0 {
		b.WriteString(" Levels in mm: ")
		for i, l := range s.levels() {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(l)
		}
		b.WriteByte('.')
	}
	return b.String()
}

// levels lists every level once, as it is written.
func (s *sheet) levels() []string {
	var out []string
	seen := map[string]bool{}
	for _, l := range s.Levels {
		if t := levelText(l); t != "" && !seen[t] {
			seen[t] = true
			out = append(out, t)
		}
	}
	return out
}

func levelText(l Level) string {
	if !drawable(l.Height) {
		return ""
	}
	h := fmt.Sprintf("%+.2f", l.Height)
	if math.Abs(l.Height) < 0.005 {
		h = "0.00"
	}
	return strings.TrimSpace(l.Name + " " + h)
}

func turnText(turn float64) string {
	if !drawable(turn) || math.Abs(turn) < 0.005 {
		return ""
	}
	return "turned " + number(math.Round(turn*100)/100) + "\u00b0"
}

func (s *sheet) scale() string {
	if !drawable(s.Ratio) {
		return "1 : ?"
	}
	return "1 : " + number(s.Ratio)
}

// scene writes the drawing itself, in the scene's own coordinates.
func (s *sheet) scene() {
	fmt.Fprintf(&s.w, "<g id=\"plan-scene\" transform=\"translate(%s %s) scale(1 -1)\">\n", number(s.left-s.Min.X), number(s.top+s.Max.Y))
	s.w.WriteString("<g clip-path=\"url(#plan-clip)\">\n")
	gridded := false
	grid := func() {
		if !gridded {
			s.grid()
		}
		gridded = true
	}
	for i := 0; i < len(s.Strokes); {
		j := i
		for j < len(s.Strokes) && s.Strokes[j].Layer == s.Strokes[i].Layer {
			j++
		}
		layer := s.Strokes[i].Layer
		if layer != Floors {
			grid()
		}
		if layer != "trims" {
			s.layer(layer, s.Strokes[i:j])
		}
		i = j
	}
	grid()
	s.w.WriteString("</g>\n")
	for i := 0; i < len(s.Strokes); {
		j := i
		for j < len(s.Strokes) && s.Strokes[j].Layer == s.Strokes[i].Layer {
			j++
		}
		if s.Strokes[i].Layer == "trims" { // they run past the scene
			s.layer("trims", s.Strokes[i:j])
		}
		i = j
	}
	s.bases()
	fmt.Fprintf(&s.w, "<rect class=\"plan-frame\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n</g>\n",
		number(s.Min.X), number(s.Min.Y), number(s.wide()), number(s.high()))
}

// layer writes the strokes of one layer, part by part.
func (s *sheet) layer(word string, strokes []Stroke) {
	fmt.Fprintf(&s.w, "<g id=\"plan-%s\" aria-label=\"%s\">\n", identifier(word), escaped(cmp.Or(groups(strokes), word)))
	for i := 0; i < len(strokes); {
		j := i
		for j < len(strokes) && strokes[j].Part == strokes[i].Part {
			j++
		}
		s.part(strokes[i:j])
		i = j
	}
	s.w.WriteString("</g>\n")
}

// groups lists what the strokes of a layer are among: "Rails, bollards".
func groups(strokes []Stroke) string {
	var all []string
	for _, k := range strokes {
		if k.Group != "" && !slices.Contains(all, k.Group) {
			all = append(all, k.Group)
		}
	}
	for i := range all {
		if i > 0 {
			all[i] = strings.ToLower(all[i][:1]) + all[i][1:]
		}
	}
	return strings.Join(all, ", ")
}

// part writes the strokes of one part; what can be drawn in one go is one path.
func (s *sheet) part(strokes []Stroke) {
	fmt.Fprintf(&s.w, "<g><title>%s</title>\n", escaped(strings.TrimSpace(strokes[0].Part+", "+strokes[0].Kind)))
	open := ""
	for _, k := range strokes {
		if !sound(k.Path) || k.Line == Fine && s.skip[k.Part] {
			continue
		}
		class := "plan-line plan-" + identifier(string(k.Line))
		if k.Covers && k.Line != Mass {
			class += " plan-covers"
		}
		if class != open || k.Covers {
			if open != "" {
				s.w.WriteString("\"/>\n")
			}
			fmt.Fprintf(&s.w, `<path class="%s" d="`, class)
			open = class
		}
		if k.Line == Fine && isStraight(k.Path) {
			s.w.WriteString(fineData(k.Path, k.Closed))
		} else {
			s.w.WriteString(pathData(k.Path, k.Closed))
		}
		if k.Line == Way {
			s.w.WriteString("\"/>\n")
			s.arrow(k.Path)
			open = ""
		}
	}
	if open != "" {
		s.w.WriteString("\"/>\n")
	}
	s.w.WriteString("</g>\n")
}

// arrow is the head of a way and the dot that it starts at.
func (s *sheet) arrow(path []Node) {
	const long, half = 1.8, 0.6 // mm
	a, b := path[len(path)-2].To, path[len(path)-1].To
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return
	}
	u := Point{(b.X - a.X) / l, (b.Y - a.Y) / l}
	c := Point{b.X - long*u.X, b.Y - long*u.Y}
	tip := []Node{{To: b}, {To: Point{c.X - half*u.Y, c.Y + half*u.X}}, {To: Point{c.X + half*u.Y, c.Y - half*u.X}}}
	fmt.Fprintf(&s.w, "<path class=\"plan-tip\" d=\"%s\"/>\n", pathData(tip, true))
	fmt.Fprintf(&s.w, "<circle class=\"plan-tip\" cx=\"%s\" cy=\"%s\" r=\"0.5\"/>\n", number(path[0].To.X), number(path[0].To.Y))
}

// gridStep is the spacing of the grid, mm: wider where there would be too many lines.
func (s *sheet) gridStep() float64 {
	step := 10.0
	for math.Max(s.wide(), s.high())/step > 200 {
		step *= 10
	}
	return step
}

func (s *sheet) grid() {
	step := s.gridStep()
	s.w.WriteString("<path id=\"plan-grid\" class=\"plan-grid\" d=\"")
	for x := math.Ceil(s.Min.X/step) * step; x <= s.Max.X; x += step {
		fmt.Fprintf(&s.w, "M%s %sV%s", number(x), number(s.Min.Y), number(s.Max.Y))
	}
	for y := math.Ceil(s.Min.Y/step) * step; y <= s.Max.Y; y += step {
		fmt.Fprintf(&s.w, "M%s %sH%s", number(s.Min.X), number(y), number(s.Max.X))
	}
	s.w.WriteString("\"/>\n")
}

// gridNumbers writes the scene's coordinates along all four edges.
func (s *sheet) gridNumbers() {
	step := s.gridStep()
	s.w.WriteString("<g id=\"plan-numbers\" aria-label=\"Grid, in mm\">\n")
	for x := math.Ceil(s.Min.X/step) * step; x <= s.Max.X; x += step {
		at := s.left + x - s.Min.X
		s.text(at, s.top-1.2, "plan-small plan-soft plan-middle", number(x))
		s.text(at, s.top+s.high()+3.4, "plan-small plan-soft plan-middle", number(x))
	}
	for y := math.Ceil(s.Min.Y/step) * step; y <= s.Max.Y; y += step {
		at := s.top + s.Max.Y - y + 1
		s.text(s.left-1.2, at, "plan-small plan-soft plan-end", number(y))
		if y > s.Min.Y+2 && y < s.Max.Y-2 { // clear of the numbers at the corners
			s.text(s.left+s.wide()+1.2, at, "plan-small plan-soft", number(y))
		}
	}
	s.w.WriteString("</g>\n")
}

// bases writes every footprint with its stands.
func (s *sheet) bases() {
	s.w.WriteString("<g id=\"plan-bases\" aria-label=\"Bases\">\n")
	for _, b := range s.Bases {
		if !sound(b.Path) {
			continue
		}
		fmt.Fprintf(&s.w, "<g><title>%s</title>\n", escaped(b.Name+", "+b.Size))
		fmt.Fprintf(&s.w, "<path class=\"plan-line plan-footprint\" d=\"%s\"/>\n", pathData(b.Path, true))
		for _, st := range b.Stands {
			if sound(st) {
				fmt.Fprintf(&s.w, "<path class=\"plan-line plan-stand\" d=\"%s\"/>\n", pathData(st, true))
			}
		}
		if b.Axis.drawable() && b.At.drawable() {
			const in = 2.5 // mm
			if l := math.Hypot(b.Axis.X-b.At.X, b.Axis.Y-b.At.Y); l > 0 {
				end := Point{b.Axis.X - in*(b.Axis.X-b.At.X)/l, b.Axis.Y - in*(b.Axis.Y-b.At.Y)/l}
				fmt.Fprintf(&s.w, "<path class=\"plan-line plan-axis\" d=\"%s\"/>\n", pathData([]Node{{To: b.Axis}, {To: end}}, false))
			}
		}
		s.w.WriteString("</g>\n")
	}
	s.w.WriteString("</g>\n")
}

// lettering sets the notes of parts, the names of bases and the levels, in that
// order, each clear of what is set before it where it can be.
func (s *sheet) lettering() {
	room := &spread{within: frame{s.Min, s.Max}}
	for _, k := range s.Strokes {
		if k.Line != Fine && k.Line != Bank && k.Line != Hidden && k.Line != Rail && sound(k.Path) {
			room.avoid(k.Path, k.Closed)
		}
	}
	for _, b := range s.Bases {
		for _, st := range b.Stands {
			if sound(st) {
				room.avoid(st, true)
			}
		}
	}
	s.w.WriteString("<g id=\"plan-notes\" aria-label=\"Notes\">\n")
	for _, l := range s.Labels {
		if !l.At.drawable() || l.Text == "" {
			continue
		}
		room.taken = append(room.taken, about(l.At, width(l.Text, noteSize), noteSize))
		s.onScene(l.At, noteSize, "plan-halo plan-middle", l.Text)
	}
	s.w.WriteString("</g>\n<g id=\"plan-names\" aria-label=\"Names of bases\">\n")
	for _, b := range s.Bases {
		if b.At.drawable() && sound(b.Path) {
			s.baseName(room, b)
		}
	}
	s.w.WriteString("</g>\n<g id=\"plan-levels\" aria-label=\"Levels\">\n")
	for _, b := range s.Bases {
		if sound(b.Path) {
			room.avoid(b.Path, true)
			room.owned = append(room.owned, b.Path)
		}
	}
	for _, l := range s.Levels {
		s.levelMark(room, l)
	}
	s.w.WriteString("</g>\n")
}

// baseName sets a base's name, its size and its turn within its footprint: in the
// middle, or the nearest place where it covers nothing.
func (s *sheet) baseName(room *spread, b Base) {
	lines := []string{b.Size}
	if t := turnText(b.Turn); t != "" {
		lines = append(lines, t)
	}
	class, size := "plan-name plan-halo plan-middle", nameSize
	if !holds(b.Path, about(b.At, bold*width(b.Name, size)+1, size)) {
		class, size = "plan-name plan-narrow plan-halo plan-middle", narrowSize
	}
	wide := bold * width(b.Name, size)
	for _, l := range lines {
		wide = math.Max(wide, width(l, smallSize))
	}
	high := size*1.15 + float64(len(lines))*smallSize*lineHeight
	at := room.nearest(b, wide, high)
	y := at.Y + high/2 - size*0.85
	x, py := s.onPage(Point{at.X, y})
	s.text(x, py, class, b.Name)
	for i, l := range lines {
		s.text(x, py+smallSize*lineHeight*float64(i+1), "plan-small plan-halo plan-middle", l)
	}
}

// holds tells whether all corners of a frame lie inside a closed path, by its chords.
func holds(path []Node, f frame) bool {
	var corners []r2.Vec
	for i, n := range path {
		if i == 0 {
			corners = append(corners, r2.Vec(n.To))
			continue
		}
		for _, l := range chords(path[i-1].To, n) {
			corners = append(corners, r2.Vec(l[1]))
		}
	}
	for _, p := range [...]Point{f.min, f.max, {f.min.X, f.max.Y}, {f.max.X, f.min.Y}} {
		if !polygon.Contains(corners, r2.Vec(p)) {
			return false
		}
	}
	return true
}

// levelMark is a level in a frame where it is seen best.
func (s *sheet) levelMark(room *spread, l Level) {
	text := levelText(l)
	if text == "" {
		return
	}
	const high = 4.4
	wide := width(text, noteSize) + 2
	at, ok := room.best(l.Places, wide+1, high+1)
	if !ok {
		return
	}
	x, y := s.onPage(at)
	fmt.Fprintf(&s.w, "<rect class=\"plan-rule plan-covers\" x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n",
		number(x-wide/2), number(y-high/2), number(wide), number(high))
	s.text(x, y+noteSize*0.35, "plan-middle", text)
}

// onPage takes a place of the scene to the page.
func (s *sheet) onPage(p Point) (x, y float64) {
	return s.left + p.X - s.Min.X, s.top + s.Max.Y - p.Y
}

// onScene writes a text about a place of the scene.
func (s *sheet) onScene(p Point, size float64, class, text string) {
	x, y := s.onPage(p)
	s.text(x, y+size*0.35, class, text)
}

func (s *sheet) text(x, y float64, class, text string) { writeText(&s.w, x, y, class, text) }

func writeText(w *bytes.Buffer, x, y float64, class, text string) {
	fmt.Fprintf(w, "<text class=\"plan-text %s\" x=\"%s\" y=\"%s\">%s</text>\n", class, number(x), number(y), escaped(text))
}

// escaped makes a text safe in XML and HTML. What is not seen, as a control character or
// one that turns the direction of what follows, becomes a mark for it.
func escaped(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(strings.Map(func(r rune) rune { // writing to a buffer does not fail
		if unicode.IsGraphic(r) {
			return r
		}
		return unicode.ReplacementChar
	}, text)))
	return b.String()
}

// identifier keeps the small letters and digits of a word.
func identifier(word string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, word)
}
