package picture

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
)

// tones tells which tones are seen.
type tones [lastTone + 1]bool

// key is the legend of a picture, laid out.
type key struct {
	box     rect
	entries []keyEntry
	size    float64 // of the letters, pixels
	face    font.Face
}

// keyEntry is a patch of a tone, or a ring of a grade, and what it stands for.
type keyEntry struct {
	tone   Tone
	grade  Grade
	ring   bool // of the grade, not a patch of the tone
	hidden bool // the ring is of what is hidden
	text   string
	x, y   float64 // the left end of the patch, and its middle
}

// A picture smaller than this has no legend: it would be all that is seen.
const (
	leastKeyWidth  = 560
	leastKeyHeight = 400
)

// newKey lays the legend out at the lower right, the tones over the grades, in
// as many rows as it takes to stay right of the scale bar. It is nil where there
// is nothing to tell apart or too little room.
func newKey(width, height int, bar float64, rows [][]keyEntry) *key {
	if width < leastKeyWidth || height < leastKeyHeight {
		return nil
	}
	size := 0.86 * letterSize(Options{Width: width, Height: height})
	k := &key{size: size, face: face(regular(), size)}
	edge, pad := barEdge(size/0.86), 0.7*size
	right, bottom := float64(width)-edge, float64(height)-0.8*size
	room := right - pad - max(bar+edge, 0.25*float64(width))
	var wide, y float64
	for _, row := range rows {
		var x float64
		for _, e := range row {
			w := 1.5*size + float64(font.MeasureString(k.face, e.text))/64
			if x > 0 && x+w > room {
				x, y = 0, y+1.5*size
			}
			if w > room {
				return nil
			}
			e.x, e.y = x, y
			k.entries = append(k.entries, e)
			wide = max(wide, x+w)
			x += w + 1.2*size
		}
		if len(row) > 0 {
			y += 1.5 * size
		}
	}
	if len(k.entries) < 2 {
		return nil
	}
	k.box = rect{right - wide - pad, bottom - y - 0.4*size, right + pad, bottom}
	if k.box.y0 < 0.5*float64(height) {
		return nil
	}
	for i := range k.entries {
		e := &k.entries[i]
		e.x, e.y = math.Round(e.x+k.box.x0+pad), math.Round(e.y+k.box.y0+0.95*size)
	}
	return k
}

// draw draws the legend on a pale panel, so that it reads on a shadow too.
func (k *key) draw(img *image.RGBA) {
	b := &brush{img: img}
	b.fill(halo, panelStrength, k.box.rounded(0.5*k.size))
	for _, e := range k.entries {
		half := 0.46 * k.size
		if e.ring {
			ring(b, spot{e.x + half, e.y}, 0.8*half, 0.105*k.size, e.grade, e.hidden)
		} else {
			patch := rect{e.x, e.y - half, e.x + 2*half, e.y + half}
			b.fill(ink, 0.7, patch.grown(max(0.5, 0.04*k.size)).rounded(0.26*k.size))
			b.fill(swatch(e.tone), 1, patch.rounded(0.22*k.size))
		}
		high := float64(k.face.Metrics().CapHeight) / 64
		write(img, k.face, ink, e.text, int(e.x+1.5*k.size), int(math.Round(e.y+high/2)))
	}
}

// swatch is the colour of a tone in full light.
func swatch(t Tone) color.RGBA {
	c := hues[min(t, lastTone)]
	return color.RGBA{encode(c[0]), encode(c[1]), encode(c[2]), 255}
}

// keyRows are the entries for the tones that are seen and for the lines of the
// rings.
func keyRows(present tones, rings []ringed, figure string) [][]keyEntry {
	rows := make([][]keyEntry, 2)
	names := [...]string{Clay: "as built", Broken: "broken", Strewn: "strewn", Added: "added", Removed: "taken away", Figure: "a person"}
	if figure != "" {
		names[Figure] = figure
	}
	for _, t := range []Tone{Clay, Broken, Strewn, Added, Removed, Figure} {
		if present[t] {
			rows[0] = append(rows[0], keyEntry{tone: t, text: names[t]})
		}
	}
	var graded, behind [Stop + 1]bool
	for i := range rings {
		graded[rings[i].Grade] = true
		behind[rings[i].Grade] = behind[rings[i].Grade] || rings[i].hidden
	}
	order := []Grade{Stop, Warning, Note}
	for _, g := range order {
		if graded[g] {
			rows[1] = append(rows[1], keyEntry{grade: g, ring: true, text: [...]string{Note: "note", Warning: "warning", Stop: "stop"}[g]})
		}
	}
	for _, g := range order {
		if behind[g] { // one of them is enough to tell what dots are
			rows[1] = append(rows[1], keyEntry{grade: g, ring: true, hidden: true, text: "hidden from here"})
			break
		}
	}
	return rows
}

// key lays out the legend that o asks for; nil where it asks for none, or there
// is none.
func (o Options) key(present tones, rings []ringed) *key {
	if !o.Legend {
		return nil
	}
	return newKey(o.Width, o.Height, barReach(o), keyRows(present, rings, o.FigureText))
}

// seen tells which tones are to be seen on the picture.
func (s *scene) seen() (present tones) {
	last := int32(-1)
	for _, id := range s.view.id {
		if id != last && id >= 0 {
			present[s.f.tone[id]] = true
		}
		last = id
	}
	return present
}

// drawLegend puts a key of the tones that are seen, and of the rings, at the
// lower right.
func drawLegend(img *image.RGBA, o Options, s *scene) {
	if !o.Legend {
		return
	}
	if k := o.key(s.seen(), s.rings(o.Marks, o.Width, o.Height)); k != nil {
		k.draw(img)
	}
}
