// Package theme writes whole scenes from a few words: a place of a known kind,
// sized to a list of bases, with something to show on every one of them. What it
// writes is a scene like any other, for its owner to go on with.
//
// The same arguments give the same bytes. Every random choice hangs on the
// theme, the seed and a purpose named.
package theme

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"strings"

	"socle/scenes"
)

const (
	// leastRatio and mostRatio bound the scales that a themed scene is laid out
	// for: with a larger place a wall fills a base, with a smaller one a step is
	// less than a printer's relief (common practice, no source).
	leastRatio, mostRatio = 20, 600
	// longestTitle is the most characters of a title.
	longestTitle = 100
)

// Ask is what a scene is asked for by.
type Ask struct {
	Theme string
	Bases string  // the list; "" for the theme's own
	Seed  uint64  // picks what goes where
	Scale float64 // the ratio; 0 for the theme's own
	Title string  // "" for the theme's own
}

// Made is a scene that was written.
type Made struct {
	Text   string
	Bases  int        // how many
	Ground [2]float64 // width and depth, mm
}

// theme is a kind of place.
type theme struct {
	name  string
	doc   string // a line for the help
	title string
	ratio float64
	bases string // the list where none is given
	// names of bases by size: small, middling and large, each taken once
	names  [3][]string
	manner manner
	things []*thing // that stand about in it
	apart  []string // stems of those that stand where a station asks for them, and nowhere else
	// zones gives the place from south to north.
	zones func(w *work) []*zone
}

// all lists the themes, as the help does.
func all() []*theme {
	return []*theme{quay(), foundry(), temple(), street(), mill(), rampart(), trench(), moor(), sidings()}
}

// Names lists the themes.
func Names() []string {
	var out []string
	for _, t := range all() {
		out = append(out, t.name)
	}
	return out
}

// Doc is a line on the theme called name, or "".
func Doc(name string) string {
	for _, t := range all() {
		if t.name == name {
			return fmt.Sprintf("%s, 1:%s", t.doc, mm(t.ratio))
		}
	}
	return ""
}

// Scene writes a scene. It fails where a word of what is asked is wrong, and
// where the scene that came of it does not keep what this package promises,
// which would be a fault of socle.
func Scene(ask Ask) (*Made, error) {
	var of *theme
	for _, t := range all() {
		if t.name == ask.Theme {
			of = t
		}
	}
	if of == nil {
		help := ""
		if near := nearestOf(ask.Theme, Names()); near != "" {
			help = fmt.Sprintf("did you mean %q? ", near)
		}
		return nil, fmt.Errorf("no theme is called %s; %sallowed: %s", quoted(ask.Theme), help, strings.Join(Names(), ", "))
	}
	if ask.Seed > math.MaxInt64 {
		return nil, fmt.Errorf("a seed of %d; allowed: 0 to %d, the most that a scene file holds", ask.Seed, int64(math.MaxInt64))
	}
	if ask.Scale == 0 {
		ask.Scale = of.ratio
	}
	if !(ask.Scale >= leastRatio && ask.Scale <= mostRatio) {
		return nil, fmt.Errorf("a scale of 1:%g; allowed for a theme: %d to %d", ask.Scale, leastRatio, mostRatio)
	}
	if ask.Title == "" {
		ask.Title = of.title
	}
	if n := len([]rune(ask.Title)); n > longestTitle {
		return nil, fmt.Errorf("a title of %d characters; allowed: at most %d", n, longestTitle)
	}
	if strings.ContainsFunc(ask.Title, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\uFFFD' }) {
		return nil, fmt.Errorf("the title %s has a character that cannot be shown; allowed: one line of text", quoted(ask.Title))
	}
	if ask.Bases == "" {
		ask.Bases = of.bases
	}
	list, err := readList(ask.Bases)
	if err != nil {
		return nil, err
	}
	w := &work{theme: of, ask: ask, list: list, counts: map[string]int{}, girths: map[string]float64{}}
	text, err := w.write()
	if err != nil {
		return nil, err
	}
	scene, err := scenes.Read(of.name+".toml", []byte(text), nil)
	if err != nil {
		return nil, fmt.Errorf("the scene of theme %q has errors, which is a fault of socle: %w", of.name, err)
	}
	if wrong := Check(scene); len(wrong) > 0 {
		return nil, fmt.Errorf("the scene of theme %q is not as it should be, which is a fault of socle: %s", of.name, strings.Join(wrong, "; "))
	}
	return &Made{Text: text, Bases: len(w.berths), Ground: [2]float64{w.size.X, w.size.Y}}, nil
}

// rand is the random stream of one purpose. A new choice gets a purpose of its
// own: it then moves no other.
func (w *work) rand(purpose string) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintf(h, "theme\x00%s\x00%d\x00%s", w.theme.name, w.ask.Seed, purpose)
	a := h.Sum64()
	h.Write([]byte{1})
	return rand.New(rand.NewPCG(a, h.Sum64()))
}

// between draws a number evenly from lo to hi.
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// full writes a length on the print as a length in the place, rounded as a
// person would; it gives what that is on the print, mm.
func (w *work) full(onPrint float64) (string, float64) {
	place := onPrint * w.ask.Scale / 1000 // m
	step, unit := 0.1, "m"
	switch {
	case place < 0.2:
		step, unit = 0.01, "mm"
	case place < 1:
		step, unit = 0.05, "mm"
	}
	place = math.Max(step, math.Round(place/step)*step)
	back := place * 1000 / w.ask.Scale
	if unit == "mm" {
		return fmt.Sprintf("%q", mm(math.Round(place*1000))+" mm"), back
	}
	return fmt.Sprintf("%q", mm(place)+" m"), back
}

// onPrint is a length in the place, in m, on the print in mm.
func (w *work) onPrint(place float64) float64 { return place * 1000 / w.ask.Scale }
