package look

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strconv"
	"strings"

	"socle/cmd/set"
	"socle/out/picture"
	"socle/parts"
)

// Request is what is asked of pictures.
type Request struct {
	Views []string // only these; none: all
	From  string   // one more, from AZIMUTH,ELEVATION in degrees; "" for none
	Size  string   // WIDTHxHEIGHT in pixels; "" for the usual
	Every bool     // every picture, of a draft too: pictures are what is asked for
}

// draftViews are what a build draws that is for looking, unless it is asked for others:
// the rest is hardly looked at, and the variants alone would take as long as the set.
var draftViews = []string{viewThreeQuarter, ViewLifeSize, ViewFindings, ViewSet}

// At is what is drawn of a build that is meshed so finely.
func (q Request) At(r set.Resolution, p parts.Printer) Request {
	if q.Every || len(q.Views) > 0 || q.From != "" || !r.Coarse(p) {
		return q
	}
	q.Views = draftViews
	if q.Size == "" {
		q.Size = draftSize
	}
	return q
}

// The views that are about the set.
const (
	ViewSet      = "set"
	ViewVariants = "variants"
	ViewNone     = "none" // nothing but what the sheets need
)

// Views are all that can be asked for by name.
func Views() []string {
	var all []string
	for _, w := range wholeViews {
		all = append(all, w.name)
	}
	return append(all, ViewLifeSize, ViewDetails, ViewFindings, ViewSet, ViewVariants)
}

const (
	UsualSize   = "1200x900"
	draftSize   = "800x600" // where a draft draws little
	leastPixels = 160
	mostPixels  = 4096
)

// Check reads what the flags say.
func (q *Request) Check() error {
	for _, v := range q.Views {
		if !slices.Contains(Views(), v) {
			return fmt.Errorf("--view %q: allowed: %s", v, strings.Join(Views(), ", "))
		}
	}
	if _, err := q.pixels(); err != nil {
		return err
	}
	_, err := q.own()
	return err
}

// pixels is the size of the pictures.
func (q *Request) pixels() (image.Point, error) {
	text := q.Size
	if text == "" {
		text = UsualSize
	}
	w, h, _ := strings.Cut(text, "x")
	x, errX := strconv.Atoi(w)
	y, errY := strconv.Atoi(h)
	if errX != nil || errY != nil || min(x, y) < leastPixels || max(x, y) > mostPixels {
		return image.Point{}, fmt.Errorf("--size %q: allowed: WIDTHxHEIGHT, each %d to %d pixels, as %s", text, leastPixels, mostPixels, UsualSize)
	}
	return image.Pt(x, y), nil
}

// own is the view that --from asks for; nil where it does not.
func (q *Request) own() (*picture.View, error) {
	if q.From == "" {
		return nil, nil
	}
	a, e, _ := strings.Cut(q.From, ",")
	azimuth, errA := strconv.ParseFloat(strings.TrimSpace(a), 64)
	elevation, errE := strconv.ParseFloat(strings.TrimSpace(e), 64)
	if errA != nil || errE != nil || !(math.Abs(azimuth) <= 360 && math.Abs(elevation) <= 90) {
		return nil, fmt.Errorf("--from %q: allowed: AZIMUTH,ELEVATION in degrees, -360 to 360 and -90 to 90, as -120,35", q.From)
	}
	return &picture.View{Azimuth: azimuth, Elevation: elevation, Perspective: picture.ThreeQuarter.Perspective}, nil
}

// Renderer gives who draws what is asked for, as files and for a page, nil where neither is;
// what is asked for has been checked.
func (q *Request) Renderer(s *set.Set, png, page bool) *Renderer {
	if !png && !page {
		return nil
	}
	a := &Renderer{Set: s, Views: q.Views, Png: png, Page: page}
	a.Size, _ = q.pixels()
	a.Own, _ = q.own()
	if a.Own != nil && len(a.Views) == 0 {
		a.Views = []string{ViewNone} // it alone
	}
	return a
}

// DrawsSheet says whether a sheet of the set is asked for.
func (q *Request) DrawsSheet(view string) bool {
	if q.From != "" && len(q.Views) == 0 {
		return false
	}
	return len(q.Views) == 0 || slices.Contains(q.Views, view)
}
