package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

var (
	ink      = color.RGBA{72, 70, 68, 255}
	quietInk = color.RGBA{104, 101, 98, 255} // for what is read second
)

// The fonts are compiled in, so that they cannot fail to parse but by a
// mistake of ours.
var (
	regular = sync.OnceValue(func() *opentype.Font { return mustParse(goregular.TTF) })
	medium  = sync.OnceValue(func() *opentype.Font { return mustParse(gomedium.TTF) })
)

func mustParse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic(fmt.Sprintf("picture: a font that is part of the program: %v", err))
	}
	return f
}

// face gives the font at a size in pixels. A face is not to be shared between
// workers.
func face(f *opentype.Font, size float64) font.Face {
	fc, err := opentype.NewFace(f, &opentype.FaceOptions{Size: max(4, size), DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic(fmt.Sprintf("picture: a font that is part of the program: %v", err))
	}
	return fc
}

// letterSize is the height of the scale bar's letters, pixels.
func letterSize(o Options) float64 {
	return max(9, 0.021*float64(min(o.Width, o.Height)))
}

// fitting cuts text to the width in pixels, with an ellipsis for what is lost.
func fitting(fc font.Face, text string, width int) string {
	limit := fixed.I(width)
	if font.MeasureString(fc, text) <= limit {
		return text
	}
	const more = "…"
	w := font.MeasureString(fc, more)
	kept := 0
	for i, r := range text {
		a, _ := fc.GlyphAdvance(r)
		if w += a; w > limit {
			break
		}
		kept = i + len(string(r))
	}
	return text[:min(kept, len(text))] + more
}

// wrapped breaks text at spaces into lines of at most the width in pixels; what
// does not fit into the last line is cut, with an ellipsis.
func wrapped(fc font.Face, text string, width, lines int) []string {
	var all []string
	limit := fixed.I(width)
	words := strings.Fields(text)
	for len(words) > 0 {
		if len(all) == lines-1 {
			return append(all, fitting(fc, strings.Join(words, " "), width))
		}
		line := words[0]
		words = words[1:]
		for len(words) > 0 && font.MeasureString(fc, line+" "+words[0]) <= limit {
			line += " " + words[0]
			words = words[1:]
		}
		all = append(all, fitting(fc, line, width))
	}
	return all
}

// write puts text with its baseline at y, starting at x.
func write(img draw.Image, fc font.Face, c color.RGBA, text string, x, y int) {
	d := font.Drawer{Dst: img, Src: image.NewUniform(c), Face: fc, Dot: fixed.P(x, y)}
	d.DrawString(text)
}

// panel lays a pale ground under letters in a picture that is seen near by: what
// they would else stand on may be dark.
func panel(img *image.RGBA, o Options, letters rect, size float64) {
	if o.Focus != nil {
		b := &brush{img: img}
		b.fill(halo, panelStrength, letters.grown(0.5*size).rounded(0.45*size))
	}
}

// panelStrength is how much a panel hides of what is under it.
const panelStrength = 0.55

func drawTitle(img *image.RGBA, o Options) {
	size := 1.45 * letterSize(o)
	fc := face(medium(), size)
	edge, y := int(1.6*size), int(2*size)
	text := fitting(fc, o.Title, o.Width-2*edge)
	end := edge + font.MeasureString(fc, text).Ceil()
	panel(img, o, rect{float64(edge), float64(y) - 0.75*size, float64(end), float64(y) + 0.1*size}, 0.8*size)
	write(img, fc, ink, text, edge, y)
}

// barLength is the length of the scale bar, mm, for a picture at perMM pixels
// per mm: 1, 2 or 5 times a power of ten, the longest that takes at most 0.2 of
// the width.
func barLength(width int, perMM float64) float64 {
	most := 0.2 * float64(width) / perMM
	ten := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{5, 2} {
		if k*ten <= most {
			return k * ten
		}
	}
	return ten
}

// barEdge is how far the title and the scale bar stand from the left edge,
// pixels, for letters of a size.
func barEdge(letters float64) float64 { return 1.6 * 1.45 * letters }

// atMidDepth is what is said of a scale that holds there only.
const atMidDepth = " at mid-depth"

// scaleBar is a bar with its length in mm at the lower left. In perspective it
// holds at the middle of the meshes, and says so.
type scaleBar struct {
	label             string
	size              float64 // of the letters, pixels
	x, y, long, thick int     // its upper left end, pixels
}

// newScaleBar lays the bar out; ok is false where there is no length to show.
func newScaleBar(o Options, perMM float64) (b scaleBar, ok bool) {
	mm := barLength(o.Width, perMM)
	if !(mm > 0) || math.IsInf(mm, 0) {
		return b, false
	}
	b.size = letterSize(o)
	b.long = int(math.Round(mm * perMM))
	b.thick = max(2, int(b.size/6))
	b.x, b.y = int(barEdge(b.size)), o.Height-int(1.5*b.size)
	b.label = fmt.Sprintf("%g mm", mm)
	if o.View.Perspective > 0 {
		b.label += atMidDepth
	}
	return b, true
}

// textAt is where the label begins.
func (b *scaleBar) textAt() int { return b.x + b.long + int(0.7*b.size) }

// box is what the bar and its label cover.
func (b *scaleBar) box() rect {
	end := b.textAt() + font.MeasureString(face(regular(), b.size), b.label).Ceil()
	return rect{float64(b.x), float64(b.y) - b.size, float64(end), float64(b.y) + b.size/2}
}

func (b *scaleBar) draw(img *image.RGBA) {
	paint := func(x0, y0, x1, y1 int) {
		draw.Draw(img, image.Rect(x0, y0, x1, y1), image.NewUniform(ink), image.Point{}, draw.Src)
	}
	paint(b.x, b.y, b.x+b.long, b.y+b.thick)
	tick := max(1, b.thick/2)
	paint(b.x, b.y-2*b.thick, b.x+tick, b.y)
	paint(b.x+b.long-tick, b.y-2*b.thick, b.x+b.long, b.y)
	write(img, face(regular(), b.size), ink, b.label, b.textAt(), b.y+b.thick)
}

func drawScaleBar(img *image.RGBA, o Options, perMM float64) {
	if b, ok := newScaleBar(o, perMM); ok {
		panel(img, o, b.box(), b.size)
		b.draw(img)
	}
}

// barReach is how far from the left edge the scale bar and its label may reach,
// whatever its length.
func barReach(o Options) float64 {
	if o.NoScaleBar {
		return 0
	}
	size := letterSize(o)
	b := scaleBar{x: int(barEdge(size)), long: o.Width / 5, size: size, label: "5000 mm"}
	if o.View.Perspective > 0 {
		b.label += atMidDepth
	}
	return b.box().x1
}

// lettered are the places that the title, the scale bar and the legend may take,
// which marks keep clear of where they can.
func (o Options) lettered(rings []ringed) []rect {
	size := letterSize(o)
	var all []rect
	if o.Title != "" {
		all = append(all, rect{0, 0, float64(o.Width), 3.6 * size})
	}
	if !o.NoScaleBar {
		all = append(all, rect{0, float64(o.Height) - 3*size, barReach(o), float64(o.Height)})
	}
	if k := o.key(tones{true, true, true, true}, rings); k != nil {
		all = append(all, k.box)
	}
	return all
}
