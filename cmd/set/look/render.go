// Package look draws the pieces of a set, and its plan.
package look

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"io"
	"math"
	"slices"
	"strings"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/page"
	"socle/out/picture"
	"socle/parts/assembly"
	"socle/sdf/mesh"
	"socle/sdf/sight"
)

// Drawn is what is drawn of one base while its solid is in memory.
type Drawn struct {
	Shots  []Shot               // in the order that they are shown in
	Thumb  image.Image          // for the contact sheet
	Life   image.Image          // at the size of life, for the sheet of those; nil where it is not asked for
	Places map[int]page.Picture // of findings, by their number
	Solid  *page.Solid          // to be turned in the report
}

// Shot is one picture of a base.
type Shot struct {
	Name  string // of its file, and for --view
	Png   []byte
	Small page.Picture // for the report
}

// The views of a whole base, by the names of their files.
const (
	viewThreeQuarter = "three-quarter"
	viewTop          = "top"
	viewSide         = "side"
	viewUnderside    = "underside"
	ViewLifeSize     = "life-size" // as large as it prints
	ViewDetails      = "details"   // stands, stairs, craters and breaches, each near by
	ViewFindings     = "findings"  // what the inspection found, ringed
	viewOwn          = "view"      // from where --from says
)

// wholeViews are the views of a whole base, and how a caption puts them.
var wholeViews = []struct {
	name, caption string
	view          picture.View
}{
	{viewThreeQuarter, "three-quarter view", picture.ThreeQuarter},
	{viewTop, "from above", picture.Top},
	{viewSide, "from the front", picture.Side},
	{viewUnderside, "from below", picture.Underside},
}

// Sizes of what is drawn, in pixels, and how well JPEGs are kept.
const (
	SmallShare  = 70 // per cent of a picture's side that it has in the report
	ThumbWidth  = 440
	ThumbHeight = 330
	placeWidth  = 320
	placeHeight = 240
	jpegQuality = 82
)

// Renderer draws bases.
type Renderer struct {
	Set   *set.Set
	Size  image.Point
	Views []string      // to draw; empty: all but viewOwn
	Own   *picture.View // of viewOwn; nil for none
	Png   bool          // for files
	Page  bool          // for the report

	Sights *sight.Keeper // of looks at bases; nil: none is kept
	Seen   Seen          // is shown the first picture of a base before it is meshed; nil: nobody
	shown  atomic.Bool   // one was
}

// Draws says whether a view is asked for.
func (r *Renderer) Draws(view string) bool {
	return len(r.Views) == 0 || slices.Contains(r.Views, view)
}

// Draw draws a solid, with what the inspection found.
func (r *Renderer) Draw(ctx context.Context, p *assembly.Piece, solid *mesh.Solid, found []finding.Finding) (*Drawn, error) {
	b, err := r.newBase(ctx, p, Shown(&solid.Mesh))
	if err != nil {
		return nil, err
	}
	if err := b.all(); err != nil {
		return nil, err
	}
	if b.Draws(ViewFindings) {
		if err := b.do(func() { b.drawFindings(found) }); err != nil {
			return nil, err
		}
	}
	if b.Page {
		b.drawn.Solid, b.err = turnable(ctx, b.shown)
	}
	return b.drawn, b.err
}

// all draws what needs no inspection.
func (b *baseRenderer) all() error {
	for _, draw := range append(b.ofBase(), func() { b.drawn.Thumb = b.thumb() }) {
		if err := b.do(draw); err != nil {
			return err
		}
	}
	return nil
}

// do draws one thing, unless ctx has ended.
func (b *baseRenderer) do(draw func()) error {
	if err := b.ctx.Err(); err != nil {
		return err
	}
	draw()
	return b.err
}

// Shown is a solid to draw, in one tone.
func Shown(m *mesh.Mesh) picture.Mesh {
	return picture.Mesh{Vertices: m.Vertices, Triangles: m.Triangles, Solid: true}
}

// newBase sets a base up to be drawn in its tones.
func (r *Renderer) newBase(ctx context.Context, p *assembly.Piece, shown picture.Mesh) (*baseRenderer, error) {
	tones, err := r.Set.Place.Tones(ctx, *p, Middles(shown))
	if err != nil {
		return nil, err
	}
	shown.Tones = make([]picture.Tone, len(tones))
	for i, t := range tones {
		shown.Tones[i] = toneOf[t]
	}
	b := &baseRenderer{
		Renderer: r, ctx: ctx, piece: p, shown: shown, bare: picture.NewSubject(shown),
		drawn: &Drawn{Places: map[int]page.Picture{}}, plates: map[picture.View]*picture.Plate{},
	}
	box := p.Box
	b.beside = b.bare.With(yardstick(r.Set, p, picture.ThreeQuarter.Azimuth))
	b.dwarfed = tall(r.Set) > dwarfing*max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
	return b, nil
}

// toneOf is how what a place is is drawn.
var toneOf = map[assembly.Tone]picture.Tone{assembly.Built: picture.Clay, assembly.Broken: picture.Broken, assembly.Strewn: picture.Strewn}

// Middles are the middles of the triangles of a mesh.
func Middles(m picture.Mesh) []r3.Vec {
	at := make([]r3.Vec, len(m.Triangles))
	for i, t := range m.Triangles {
		for _, v := range t {
			q := m.Vertices[v]
			at[i] = r3.Add(at[i], r3.Vec{X: float64(q[0]) / 3, Y: float64(q[1]) / 3, Z: float64(q[2]) / 3})
		}
	}
	return at
}

// tall is the height of the yardstick on the print, mm.
func tall(s *set.Set) float64 { return s.Site.HeightOnPrint(1000 * s.Site.Scale.Person) }

// yardstick is the person that the scene is scaled against, standing to the right of
// a base as it is seen from an azimuth, degrees, and looking at whoever looks.
func yardstick(s *set.Set, p *assembly.Piece, azimuth float64) picture.Mesh {
	tall := tall(s)
	sin, cos := math.Sincos(azimuth * math.Pi / 180)
	right := r2.Vec{X: -sin, Y: cos}
	var reach float64
	for _, corner := range p.Intent(s.Site).Outline {
		reach = max(reach, r2.Dot(corner, right))
	}
	at := r2.Scale(reach+0.5*tall, right)
	return picture.Person(tall, r3.Vec{X: at.X, Y: at.Y}, azimuth)
}

// YardstickText says who the yardstick is.
func YardstickText(s *set.Set) string {
	return fmt.Sprintf("a person of %.2f m: %.1f mm", s.Site.Scale.Person, tall(s))
}

// baseRenderer draws the pictures of one base, until one fails.
type baseRenderer struct {
	*Renderer
	ctx     context.Context
	piece   *assembly.Piece
	shown   picture.Mesh
	bare    *picture.Subject // the base alone
	beside  *picture.Subject // with the yardstick beside it
	dwarfed bool             // by the yardstick
	plates  map[picture.View]*picture.Plate
	drawn   *Drawn
	err     error
}

// dwarfing is how tall the yardstick is, of the base's longer side, where it is left
// out of small pictures: they would be of it.
const dwarfing = 0.4

// options are those of a large picture.
func (b *baseRenderer) options(v picture.View) picture.Options {
	return picture.Options{Width: b.Size.X, Height: b.Size.Y, View: v, Legend: true, FigureText: YardstickText(b.Set)}
}

// Small sets a solid up for a small picture from an azimuth, degrees.
func (r *Renderer) Small(ctx context.Context, p *assembly.Piece, solid *mesh.Solid, azimuth float64) (*picture.Subject, error) {
	b, err := r.newBase(ctx, p, Shown(&solid.Mesh))
	if err != nil {
		return nil, err
	}
	return b.small(azimuth), nil
}

// small is the base with the yardstick beside it, unless that dwarfs it.
func (b *baseRenderer) small(azimuth float64) *picture.Subject {
	switch {
	case b.dwarfed:
		return b.bare
	case azimuth == picture.ThreeQuarter.Azimuth:
		return b.beside
	}
	return b.bare.With(yardstick(b.Set, b.piece, azimuth))
}

// thumb draws the small picture for the sheets.
func (b *baseRenderer) thumb() image.Image {
	return b.small(picture.ThreeQuarter.Azimuth).Draw(picture.Options{
		Width: ThumbWidth, Height: ThumbHeight, Supersample: 3, View: picture.ThreeQuarter, NoScaleBar: true,
	})
}

// ofBase is what there is to draw of the base without its inspection: the views of the whole
// base, one from where --from says, and what is near by.
func (b *baseRenderer) ofBase() (all []func()) {
	for _, w := range wholeViews {
		if b.Draws(w.name) {
			all = append(all, func() { b.keep(w.name, w.caption, b.plate(w.view).Print(b.title(w.caption), nil)) })
		}
	}
	if b.Draws(ViewLifeSize) {
		all = append(all, func() {
			o := b.bare.LifeSize(picture.ThreeQuarter)
			life := b.bare.Draw(o)
			b.drawn.Life = life
			b.keepAs(ViewLifeSize, "at the size of life", life, picture.WriteLifePNG, 100)
		})
	}
	if b.Own != nil {
		all = append(all, func() {
			caption := fmt.Sprintf("from %g degrees, %g degrees up", b.Own.Azimuth, b.Own.Elevation)
			o := b.options(*b.Own)
			o.Title = b.title(caption)
			b.keep(viewOwn, caption, b.bare.With(yardstick(b.Set, b.piece, b.Own.Azimuth)).Draw(o))
		})
	}
	if b.Draws(ViewDetails) {
		all = append(all, b.drawDetails)
	}
	return all
}

// plate draws a view of the whole base; those that findings are ringed on once.
func (b *baseRenderer) plate(v picture.View) *picture.Plate {
	if have := b.plates[v]; have != nil {
		return have
	}
	o := b.options(v)
	o.Title = b.title("") // for its room
	drawn := b.beside.Expose(o)
	if v == picture.ThreeQuarter || v == picture.Underside {
		b.plates[v] = drawn
	}
	return drawn
}

// title is what stands over a picture.
func (b *baseRenderer) title(caption string) string { return b.piece.Name + ", " + caption }

// drawDetails draws each stand, stair, crater and breach near by, with the yardstick on it
// where there is a place to stand.
func (b *baseRenderer) drawDetails() {
	for _, s := range b.Set.Place.Sights(*b.piece) {
		o := b.options(picture.View{Azimuth: s.From, Elevation: 32, Perspective: 20})
		o.Focus = &s.Box
		subject := b.bare
		if s.Figure != nil && b.inSight(o, *s.Figure) {
			subject = b.bare.With(picture.Person(tall(b.Set), *s.Figure, s.From))
		}
		caption := strings.Join(strings.SplitN(s.Name, "-", 2), " ")
		o.Title = b.title(caption)
		b.keep(s.Name, caption, subject.Draw(o))
	}
}

// inSight says whether a person who stands at a place would be seen, chest and head.
func (b *baseRenderer) inSight(o picture.Options, feet r3.Vec) bool {
	survey := b.bare.Survey(o)
	for _, share := range []float64{0.6, 0.95} {
		if survey.Hidden(r3.Add(feet, r3.Vec{Z: share * tall(b.Set)})) {
			return false
		}
	}
	return true
}

// keep keeps one picture, for its file and for the report.
func (b *baseRenderer) keep(name, caption string, img image.Image) {
	b.keepAs(name, caption, img, picture.WritePNG, SmallShare)
}

// keepAs keeps one picture, for its file as write writes it, and for the report at so
// many per cent of its sides.
func (b *baseRenderer) keepAs(name, caption string, img image.Image, write func(io.Writer, image.Image) error, share int) {
	if b.err != nil {
		return
	}
	shot := Shot{Name: name}
	if b.Png {
		var file bytes.Buffer
		if b.err = write(&file, img); b.err != nil {
			return
		}
		shot.Png = file.Bytes()
	}
	if b.Page {
		size := img.Bounds().Size()
		small := picture.Shrink(img, size.X*share/100, size.Y*share/100)
		shot.Small, b.err = ForPage(small, caption, fmt.Sprintf("%s, %s: %s", b.piece.Name, b.piece.Footprint, caption))
	}
	b.drawn.Shots = append(b.drawn.Shots, shot)
}

// ForPage is a picture for the report.
func ForPage(img image.Image, caption, alt string) (page.Picture, error) {
	var file bytes.Buffer
	err := picture.WriteJPEG(&file, img, jpegQuality)
	size := img.Bounds().Size()
	return page.Picture{Caption: caption, Alt: alt, JPEG: file.Bytes(), Width: size.X, Height: size.Y}, err
}
