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

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/page"
	"socle/out/picture"
	"socle/parts/assembly"
	"socle/sdf/mesh"
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
	Seen  Seen          // nil: nobody
}

// Seen is told of the first picture of a base as soon as that is drawn, nil where there is none
// before the inspection; from any goroutine.
type Seen func(p *assembly.Piece, first *Shot)

// Draws says whether a view is asked for.
func (r *Renderer) Draws(view string) bool {
	return len(r.Views) == 0 || slices.Contains(r.Views, view)
}

// Begin sets a base up to be drawn, and draws its first picture if somebody is to be told of
// it: which asks for no more than the solid.
func (r *Renderer) Begin(ctx context.Context, p *assembly.Piece, solid *mesh.Solid) (*Drawing, error) {
	b, err := r.newBase(ctx, p, solid)
	if err != nil {
		return nil, err
	}
	d := &Drawing{b, b.ofSolid()}
	for r.Seen != nil && b.err == nil && len(b.drawn.Shots) == 0 && len(d.left) > 0 {
		if err := d.step(); err != nil {
			return nil, err
		}
	}
	r.Tell(p, b.drawn)
	return d, b.err
}

// Tell tells who is to be told of the first picture of a base.
func (r *Renderer) Tell(p *assembly.Piece, l *Drawn) {
	switch {
	case r.Seen == nil:
	case len(l.Shots) == 0:
		r.Seen(p, nil)
	default:
		r.Seen(p, &l.Shots[0])
	}
}

// Drawing is a base that is being drawn.
type Drawing struct {
	b    *baseRenderer
	left []func() // to be drawn of the solid alone, in their order
}

// step draws the next of what is left.
func (d *Drawing) step() error {
	if err := d.b.ctx.Err(); err != nil {
		return err
	}
	next := d.left[0]
	d.left = d.left[1:]
	next()
	return d.b.err
}

// Finish draws the rest, with what the inspection found.
func (d *Drawing) Finish(found []finding.Finding) (*Drawn, error) {
	b := d.b
	if b.Draws(ViewFindings) {
		d.left = append(d.left, func() { b.drawFindings(found) })
	}
	for len(d.left) > 0 {
		if err := d.step(); err != nil {
			return nil, err
		}
	}
	if b.Page {
		b.drawn.Solid, b.err = turnable(b.ctx, b.shown)
	}
	return b.drawn, b.err
}

// newBase sets a solid up to be drawn in its tones.
func (r *Renderer) newBase(ctx context.Context, p *assembly.Piece, solid *mesh.Solid) (*baseRenderer, error) {
	tones, err := r.Set.Place.Tones(ctx, *p, Middles(solid))
	if err != nil {
		return nil, err
	}
	shown := picture.Mesh{Vertices: solid.Vertices, Triangles: solid.Triangles, Tones: make([]picture.Tone, len(tones)), Solid: true}
	for i, t := range tones {
		shown.Tones[i] = toneOf[t]
	}
	b := &baseRenderer{
		Renderer: r, ctx: ctx, piece: p, shown: shown, bare: picture.NewSubject(shown),
		drawn: &Drawn{Places: map[int]page.Picture{}}, plates: map[picture.View]*picture.Plate{},
	}
	box := solid.Proof.Box
	b.beside = b.bare.With(yardstick(r.Set, p, picture.ThreeQuarter.Azimuth))
	b.dwarfed = tall(r.Set) > dwarfing*max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
	return b, nil
}

// toneOf is how what a place is is drawn.
var toneOf = map[assembly.Tone]picture.Tone{assembly.Built: picture.Clay, assembly.Broken: picture.Broken, assembly.Strewn: picture.Strewn}

// Middles are the middles of the triangles of a solid.
func Middles(s *mesh.Solid) []r3.Vec {
	at := make([]r3.Vec, len(s.Triangles))
	for i, t := range s.Triangles {
		for _, v := range t {
			q := s.Vertices[v]
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
	b, err := r.newBase(ctx, p, solid)
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

// ofSolid is what there is to draw of the solid alone: the views of the whole base, one from
// where --from says, what is near by, and the small picture.
func (b *baseRenderer) ofSolid() (all []func()) {
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
	return append(all, func() { b.drawn.Thumb = b.thumb() })
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
