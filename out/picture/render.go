package picture

import (
	"image"
	"math"
	"sync/atomic"
)

// Options says how a picture is made. The zero value is a three-quarter view at
// 1600 x 1200.
type Options struct {
	Width, Height int     // pixels, at most 8192; 0 is 1600 x 1200
	Supersample   int     // samples along a side of a pixel, 1 .. 4; 0 is 2, so four a pixel
	View          View    // the zero View is ThreeQuarter
	MMPerPixel    float64 // at the middle of the meshes; 0 fits them into the picture
	Crease        float64 // degrees: facets that meet at less are shaded smooth; 0 is 30, negative is every facet flat
	Edges         float64 // 0 .. 1: how dark the outlines and creases are drawn
	NoGround      bool    // leaves out the ground and the shadows on it
	NoScaleBar    bool
	Title         string // above the meshes, cut to what fits
	Marks         []Mark // ringed, with their labels
	Legend        bool   // a key of the tones and the grades of the marks, where there is room
	FigureText    string // what the legend calls the yardstick; "" is "a person"
}

const (
	mostPixels  = 8192    // along a side
	mostSamples = 1 << 26 // eight bytes each
)

// tidy puts every option into its range.
func (o Options) tidy() Options {
	if o.Width <= 0 || o.Height <= 0 {
		o.Width, o.Height = 1600, 1200
	}
	o.Width, o.Height = min(o.Width, mostPixels), min(o.Height, mostPixels)
	if o.Supersample <= 0 {
		o.Supersample = 2
	}
	o.Supersample = min(o.Supersample, 4)
	for o.Supersample > 1 && o.Width*o.Height*o.Supersample*o.Supersample > mostSamples {
		o.Supersample--
	}
	if (o.View == View{}) {
		o.View = ThreeQuarter
	}
	o.View = o.View.tidy()
	if !(o.MMPerPixel > 1e-6 && o.MMPerPixel < 1e6) {
		o.MMPerPixel = 0
	}
	switch {
	case o.Crease == 0 || math.IsNaN(o.Crease):
		o.Crease = 30
	case o.Crease < 0:
		o.Crease = 0
	}
	if !(o.Edges >= 0) {
		o.Edges = 0
	}
	o.Edges = min(1, o.Edges)
	return o
}

// work counts what a picture took: the figures to judge speed by, since they
// are the same on every machine.
type work struct {
	facets     int // triangles drawn
	written    int // samples of the picture written, those drawn over included
	covered    int // samples that show a mesh
	shaded     int // places that light was worked out for
	mapWritten int // texels of the shadow maps written
}

// Render draws the meshes, all in the same coordinates. The ground lies at
// their lowest point; it does not hide them from below, and is not seen edge
// on. No mesh, or none that can be drawn, gives the empty ground.
func Render(o Options, meshes ...Mesh) *image.RGBA {
	img, _ := render(o, meshes)
	return img
}

func render(o Options, meshes []Mesh) (*image.RGBA, work) {
	o = o.tidy()
	s, done := see(o, gather(meshes, o.Crease))
	if len(s.f.points) > 0 {
		box := s.f.box()
		s.tall = box.Max.Z - box.Min.Z
		s.rig, done.mapWritten = newRig(o.View, s.f, box, min(o.Width, o.Height))
		if !o.NoGround && o.View.Elevation > 0 {
			s.ground = newGround(s.rig, box, min(o.Width, o.Height))
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, o.Width, o.Height))
	var shaded atomic.Int64
	forTiles(o.Width, o.Height, func(x0, y0, x1, y1 int) {
		row := make([]rgb, x1-x0)
		for y := y0; y < y1; y++ {
			shaded.Add(int64(s.shadeRow(x0, y, row)))
			pix := img.Pix[img.PixOffset(x0, y):]
			for x, c := range row {
				pix[4*x], pix[4*x+1], pix[4*x+2], pix[4*x+3] = encode(c[0]), encode(c[1]), encode(c[2]), 255
			}
		}
	})
	done.shaded = int(shaded.Load())

	if o.Title != "" {
		drawTitle(img, o)
	}
	if !o.NoScaleBar && len(s.f.points) > 0 {
		drawScaleBar(img, o, s.cam.scale/float64(o.Supersample))
	}
	return img, done
}

// see finds which facet shows at every sample. o must be tidy.
func see(o Options, f *facets) (*scene, work) {
	n := o.Supersample
	w, h := o.Width*n, o.Height*n
	done := work{facets: len(f.corners)}

	fit := frame{0.06 * float64(w), 0.06 * float64(h), 0.94 * float64(w), 0.94 * float64(h)}
	if o.Title != "" {
		fit.y0 = min(fit.y0+2*letterSize(o)*float64(n), 0.4*float64(h))
	}
	if !o.NoScaleBar {
		fit.y1 = max(fit.y1-1.6*letterSize(o)*float64(n), 0.6*float64(h))
	}
	var perMM float64
	if o.MMPerPixel > 0 {
		perMM = float64(n) / o.MMPerPixel
	}
	s := &scene{
		cam: aim(o.View, f.points, fit, float64(h), perMM), f: f,
		view:   layer{width: w, y1: h, near: make([]float32, w*h), id: make([]int32, w*h)},
		reachN: max(2, 0.0085*float64(min(w, h))),
		edges:  o.Edges, height: h, side: n,
	}

	dots := make([]dot, len(f.points))
	for i, p := range f.points {
		dots[i] = toDot(s.cam.project(p))
	}
	const band = 64 // rows
	bands := (h + band - 1) / band
	written, covered := make([]int, bands), make([]int, bands)
	forEach(bands, func(b int) {
		l := s.view
		l.y0, l.y1 = b*band, min((b+1)*band, h)
		l.near, l.id = l.near[l.y0*w:l.y1*w], l.id[l.y0*w:l.y1*w]
		l.clear()
		written[b] = l.draw(dots, f.corners)
		for _, id := range l.id {
			if id >= 0 {
				covered[b]++
			}
		}
	})
	for b := range bands {
		done.written += written[b]
		done.covered += covered[b]
	}
	return s, done
}
