package picture

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Options says how a picture is made. The zero value is a view from +x, level with
// the ground, at 1600 x 1200.
type Options struct {
	Width, Height int // pixels, at most 8192; 0 is 1600 x 1200
	Supersample   int // samples along a side of a pixel, 1 .. 4; 0 is 2, so four a pixel
	View          View
	MMPerPixel    float64 // at the middle of the meshes, or of the focus; 0 fits them into the picture
	Focus         *r3.Box // what fills the picture, mm; nil: all of the meshes
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
	o.View = o.View.tidy()
	if !(o.MMPerPixel > 1e-6 && o.MMPerPixel < 1e6) {
		o.MMPerPixel = 0
	}
	if o.Focus != nil && !sound(*o.Focus) {
		o.Focus = nil
	}
	if !(o.Edges >= 0) {
		o.Edges = 0
	}
	o.Edges = min(1, o.Edges)
	return o
}

// sound says that a box has a size and lies within reach.
func sound(b r3.Box) bool {
	for _, k := range [3][2]float64{{b.Min.X, b.Max.X}, {b.Min.Y, b.Max.Y}, {b.Min.Z, b.Max.Z}} {
		if !(k[0] >= -farthest && k[0] < k[1] && k[1] <= farthest) {
			return false
		}
	}
	return true
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
	framed := f.points
	if o.Focus != nil {
		framed = o.Focus.Vertices()
	}
	s := &scene{
		cam: stand(o.View, f, framed, fit, float64(h), perMM), f: f,
		view:  layer{width: w, y1: h, near: make([]float32, w*h), id: make([]int32, w*h)},
		edges: o.Edges, height: h, side: n,
	}

	dots := make([]dot, len(f.points))
	const block = 1 << 14 // points
	forEach((len(dots)+block-1)/block, func(b int) {
		for i := b * block; i < min((b+1)*block, len(dots)); i++ {
			dots[i] = s.cam.dot(f.points[i])
		}
	})
	more, cut, owner := s.cam.clip(f, dots)
	dots, corners := append(dots, more...), append(slices.Clip(f.corners), cut...)
	bands := min(16, h)
	inBand := inBands(dots, corners, h, bands)
	written, covered := make([]int, bands), make([]int, bands)
	forEach(bands, func(b int) {
		l := s.view
		l.y0, l.y1 = h*b/bands, h*(b+1)/bands
		l.near, l.id = l.near[l.y0*w:l.y1*w], l.id[l.y0*w:l.y1*w]
		l.clear()
		for _, some := range inBand {
			written[b] += l.draw(dots, corners, some[b])
		}
		for i, id := range l.id {
			if id >= int32(len(f.corners)) {
				l.id[i] = owner[id-int32(len(f.corners))]
			}
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
