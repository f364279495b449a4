package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
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
	facets  int     // triangles there are
	visited int     // triangles looked at for the picture, once a band of its rows
	written int     // samples of the picture written, those drawn over included
	covered int     // samples that show a mesh
	shaded  int     // places that light was worked out for
	maps    mapWork // of the shadow maps
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

	q := &f.patches
	dots := make([]dot, len(q.points))
	spans := make([][2]int, len(q.all)) // the rows that each patch covers
	const block = 64                    // patches
	workers.AtOnce((len(spans)+block-1)/block, func(b int) {
		for i := b * block; i < min((b+1)*block, len(spans)); i++ {
			p := &q.all[i]
			own := dots[p.point : p.point+p.points]
			for k, o := range q.points[p.point : p.point+p.points] {
				own[k] = s.cam.dot(vec(o))
			}
			spans[i] = spanOf(own, w)
		}
	})
	more, cut, owner := s.cam.clip(f, dots)
	bands := min(16, h)
	counts := make([]work, bands)
	workers.AtOnce(bands, func(b int) {
		l, n := s.view, &counts[b]
		l.y0, l.y1 = h*b/bands, h*(b+1)/bands
		l.near, l.id = l.near[l.y0*w:l.y1*w], l.id[l.y0*w:l.y1*w]
		l.clear()
		for i, span := range spans {
			if span[0] >= l.y1 || span[1] < l.y0 {
				continue
			}
			p := &q.all[i]
			only := anyWay
			if p.solid && len(cut) == 0 {
				only = counterClockwise
			}
			n.visited += p.facets
			n.written += paint(&l, dots[p.point:p.point+p.points], q.corners[p.facet:p.facet+p.facets], int32(p.facet), only)
		}
		n.written += paint(&l, more, cut, int32(len(f.corners)), anyWay)
		for i, id := range l.id {
			if id >= int32(len(f.corners)) {
				l.id[i] = owner[id-int32(len(f.corners))]
			}
			if id >= 0 {
				n.covered++
			}
		}
	})
	for b := range bands {
		done.visited += counts[b].visited
		done.written += counts[b].written
		done.covered += counts[b].covered
	}
	s.lookAround()
	return s, done
}

// spanOf gives the first and the last row of samples that dots lie about; none where all are
// beside the picture, w samples wide.
func spanOf(dots []dot, w int) [2]int {
	left, right := int32(math.MaxInt32), int32(math.MinInt32)
	top, low := left, right
	for _, d := range dots {
		if d.x != away {
			left, right, top, low = min(left, d.x), max(right, d.x), min(top, d.y), max(low, d.y)
		}
	}
	if left > right || right < 0 || int(left) > w*subSteps {
		return [2]int{math.MaxInt, math.MinInt}
	}
	return [2]int{int(top)/subSteps - 1, int(low)/subSteps + 1}
}
