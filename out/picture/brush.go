package picture

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
)

// spot is a place on the picture, in pixels from its upper left.
type spot struct{ x, y float64 }

// outline is a closed curve of straight sides. Filled together with one that
// runs the other way round inside it, it leaves that out.
type outline []spot

// brush fills outlines with smooth edges.
type brush struct {
	img  *image.RGBA
	mask vector.Rasterizer
}

// fill covers the inside of the outlines, which are taken as one shape.
// strength runs from 0 to 1, which hides what was there.
func (b *brush) fill(c color.RGBA, strength float64, outlines ...outline) {
	lo, hi := spot{math.Inf(1), math.Inf(1)}, spot{math.Inf(-1), math.Inf(-1)}
	for _, o := range outlines {
		for _, p := range o {
			lo = spot{min(lo.x, p.x), min(lo.y, p.y)}
			hi = spot{max(hi.x, p.x), max(hi.y, p.y)}
		}
	}
	all := b.img.Bounds()
	if !(lo.x < float64(all.Max.X) && lo.y < float64(all.Max.Y) && hi.x > 0 && hi.y > 0) {
		return
	}
	lo, hi = spot{max(lo.x, 0), max(lo.y, 0)}, spot{min(hi.x, float64(all.Max.X)), min(hi.y, float64(all.Max.Y))}
	box := image.Rect(int(lo.x), int(lo.y), int(math.Ceil(hi.x)), int(math.Ceil(hi.y)))
	b.mask.Reset(box.Dx(), box.Dy())
	for _, o := range outlines {
		for i, p := range o {
			x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
			if i == 0 {
				b.mask.MoveTo(x, y)
			} else {
				b.mask.LineTo(x, y)
			}
		}
		b.mask.ClosePath()
	}
	b.mask.Draw(b.img, box, image.NewUniform(faded(c, strength)), image.Point{})
}

// faded is an opaque colour that covers only so much, in the premultiplied form
// of color.RGBA.
func faded(c color.RGBA, strength float64) color.RGBA {
	k := max(0, min(1, strength))
	of := func(v uint8) uint8 { return uint8(float64(v)*k + 0.5) }
	return color.RGBA{of(c.R), of(c.G), of(c.B), of(255)}
}

// disc is a circle.
func disc(c spot, r float64) outline { return arc(nil, c, r, 0, 360) }

// band is a ring of the given width about a circle: two outlines.
func band(c spot, r, width float64) []outline {
	return []outline{disc(c, r+width/2), arc(nil, c, max(0, r-width/2), 360, 0)}
}

// sector is the part of a band between two angles, in degrees.
func sector(c spot, r, width, from, to float64) outline {
	return arc(arc(nil, c, r+width/2, from, to), c, max(0, r-width/2), to, from)
}

// arc adds points along a circle, from one angle to the other in degrees.
func arc(o outline, c spot, r, from, to float64) outline {
	n := max(2, int(math.Ceil(math.Abs(to-from)/360*max(16, 3*r))))
	for i := range n + 1 {
		sn, cs := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		o = append(o, spot{c.x + r*cs, c.y + r*sn})
	}
	return o
}

// stroke is a straight line of the given width.
func stroke(p, q spot, width float64) outline {
	dx, dy := q.x-p.x, q.y-p.y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return nil
	}
	dx, dy = dx/l*width/2, dy/l*width/2
	return outline{{p.x - dy, p.y + dx}, {q.x - dy, q.y + dx}, {q.x + dy, q.y - dx}, {p.x + dy, p.y - dx}}
}

// rect is an upright rectangle.
type rect struct{ x0, y0, x1, y1 float64 }

func (r rect) grown(by float64) rect { return rect{r.x0 - by, r.y0 - by, r.x1 + by, r.y1 + by} }

func (r rect) middle() spot { return spot{(r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2} }

// shared is the area that two rectangles have in common.
func (r rect) shared(o rect) float64 {
	w, h := min(r.x1, o.x1)-max(r.x0, o.x0), min(r.y1, o.y1)-max(r.y0, o.y0)
	return max(0, w) * max(0, h)
}

// nearest is the place in the rectangle that is nearest to p.
func (r rect) nearest(p spot) spot {
	return spot{max(r.x0, min(r.x1, p.x)), max(r.y0, min(r.y1, p.y))}
}

// rounded is the rectangle with its corners rounded.
func (r rect) rounded(radius float64) outline {
	radius = min(radius, (r.x1-r.x0)/2, (r.y1-r.y0)/2)
	o := arc(nil, spot{r.x1 - radius, r.y1 - radius}, radius, 0, 90)
	o = arc(o, spot{r.x0 + radius, r.y1 - radius}, radius, 90, 180)
	o = arc(o, spot{r.x0 + radius, r.y0 + radius}, radius, 180, 270)
	return arc(o, spot{r.x1 - radius, r.y0 + radius}, radius, 270, 360)
}
