package main

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"socle/out/picture"
	"socle/parts"
)

// drawing is what the command line says of pictures.
type drawing struct {
	views []string
	from  string
	size  string
	every bool // every picture, of a draft too: pictures are what is asked for
}

// draftViews are what a build draws that is for looking, unless it is asked for others:
// the rest is hardly looked at, and the variants alone would take as long as the set.
var draftViews = []string{viewThreeQuarter, viewFindings, viewSet}

// at is what is drawn of a build of a fineness.
func (d *drawing) at(r resolution, p parts.Printer) *drawing {
	if d.every || len(d.views) > 0 || d.from != "" || !r.coarse(p) {
		return d
	}
	few := *d
	few.views = draftViews
	if few.size == "" {
		few.size = draftSize
	}
	return &few
}

// The views that are about the set.
const (
	viewSet      = "set"
	viewVariants = "variants"
	viewNone     = "none" // nothing but what the sheets need
)

// views are all that can be asked for by name.
func views() []string {
	var all []string
	for _, w := range wholeViews {
		all = append(all, w.name)
	}
	return append(all, viewDetails, viewFindings, viewSet, viewVariants)
}

const (
	usualSize   = "1200x900"
	draftSize   = "800x600" // where a draft draws little
	leastPixels = 160
	mostPixels  = 4096
)

func (d *drawing) flags(flags *pflag.FlagSet) {
	d.viewFlag(flags)
	flags.StringVar(&d.from, "from", "", "one more picture, from `AZIMUTH,ELEVATION`: degrees anticlockwise from east, and above the ground")
	d.sizeFlag(flags)
}

func (d *drawing) viewFlag(flags *pflag.FlagSet) {
	flags.StringSliceVar(&d.views, "view", nil, "only these pictures, a `LIST` of "+strings.Join(views(), ", "))
}

func (d *drawing) sizeFlag(flags *pflag.FlagSet) {
	flags.StringVar(&d.size, "size", "", "size of the pictures, `WIDTHxHEIGHT` in pixels (default "+usualSize+")")
}

// check reads what the flags say.
func (d *drawing) check() error {
	for _, v := range d.views {
		if !slices.Contains(views(), v) {
			return fmt.Errorf("--view %q: allowed: %s", v, strings.Join(views(), ", "))
		}
	}
	if _, err := d.pixels(); err != nil {
		return err
	}
	_, err := d.own()
	return err
}

// pixels is the size of the pictures.
func (d *drawing) pixels() (image.Point, error) {
	text := d.size
	if text == "" {
		text = usualSize
	}
	w, h, _ := strings.Cut(text, "x")
	x, errX := strconv.Atoi(w)
	y, errY := strconv.Atoi(h)
	if errX != nil || errY != nil || min(x, y) < leastPixels || max(x, y) > mostPixels {
		return image.Point{}, fmt.Errorf("--size %q: allowed: WIDTHxHEIGHT, each %d to %d pixels, as %s", text, leastPixels, mostPixels, usualSize)
	}
	return image.Pt(x, y), nil
}

// own is the view that --from asks for; nil where it does not.
func (d *drawing) own() (*picture.View, error) {
	if d.from == "" {
		return nil, nil
	}
	a, e, _ := strings.Cut(d.from, ",")
	azimuth, errA := strconv.ParseFloat(strings.TrimSpace(a), 64)
	elevation, errE := strconv.ParseFloat(strings.TrimSpace(e), 64)
	if errA != nil || errE != nil || !(math.Abs(azimuth) <= 360 && math.Abs(elevation) <= 90) {
		return nil, fmt.Errorf("--from %q: allowed: AZIMUTH,ELEVATION in degrees, -360 to 360 and -90 to 90, as -120,35", d.from)
	}
	return &picture.View{Azimuth: azimuth, Elevation: elevation, Perspective: picture.ThreeQuarter.Perspective}, nil
}

// artist gives who draws what a build asks for, nil where that is nothing; the drawing
// has been checked.
func (d *drawing) artist(s *scene, f formats) *artist {
	if !f.has(formatPNG, formatHTML) {
		return nil
	}
	a := &artist{scene: s, views: d.views, png: f.has(formatPNG), page: f.has(formatHTML)}
	a.size, _ = d.pixels()
	a.own, _ = d.own()
	if a.own != nil && len(a.views) == 0 {
		a.views = []string{viewNone} // it alone
	}
	return a
}

// wantsSheet says whether a sheet of the set is asked for.
func (d *drawing) wantsSheet(view string) bool {
	if d.from != "" && len(d.views) == 0 {
		return false
	}
	return len(d.views) == 0 || slices.Contains(d.views, view)
}
