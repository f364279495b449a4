package picture

import (
	"image"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// creaseAngle is the angle, degrees, under which facets that meet are shaded as
// one smooth surface.
const creaseAngle = 22

// Subject is a set of meshes made ready to be drawn more than once: what does not
// hang on the view is worked out once. It may be drawn from several goroutines at
// once.
type Subject struct {
	f            *facets
	box          r3.Box
	above, below *sky // for pictures from above the ground, and from below it
}

// NewSubject makes meshes, all in the same coordinates, ready.
func NewSubject(meshes ...Mesh) *Subject {
	return newSubject(gather(meshes, creaseAngle))
}

func newSubject(f *facets) *Subject {
	s := &Subject{f: f}
	if len(f.points) > 0 {
		s.box = f.box()
		s.above, s.below = newSky(f, s.box, 1), newSky(f, s.box, -1)
	}
	return s
}

// With gives the subject with more meshes in it, small beside it. They stand in the
// light of the same sky: they throw shadows, but do not keep the sky off.
func (s *Subject) With(meshes ...Mesh) *Subject {
	if len(s.f.points) == 0 {
		return NewSubject(meshes...)
	}
	t := *s
	t.f = s.f.with(gather(meshes, creaseAngle))
	t.box = t.f.box()
	return &t
}

// Draw draws the subject. The ground lies at its lowest point; it does not hide
// anything from below, and is not seen edge on. A subject without a facet that can
// be drawn gives the empty ground.
func (s *Subject) Draw(o Options) *image.RGBA {
	img, _ := s.draw(o)
	return img
}

// Survey tells where places lie on the picture that Draw would give.
func (s *Subject) Survey(o Options) *Survey {
	o = o.tidy()
	o.Supersample = 1
	seen, _ := see(o, s.f)
	return &Survey{seen}
}

func (s *Subject) draw(o Options) (*image.RGBA, work) {
	p, done := s.expose(o)
	p.s.letter(p.img, p.o)
	return p.img, done
}

// Plate is a picture of a subject without its lettering, which can be printed more
// than once with other marks.
type Plate struct {
	Survey
	img *image.RGBA
	o   Options
}

// Expose draws all of a picture but its title, marks, legend and scale bar. The
// title, even one that is given when it is printed, must be in the options: the
// subject makes room for it.
func (s *Subject) Expose(o Options) *Plate {
	p, _ := s.expose(o)
	return p
}

// Print gives the picture with a title and marks.
func (p *Plate) Print(title string, marks []Mark) *image.RGBA {
	img := image.NewRGBA(p.img.Rect)
	copy(img.Pix, p.img.Pix)
	o := p.o
	o.Title, o.Marks = title, marks
	p.s.letter(img, o)
	return img
}

func (s *Subject) expose(o Options) (*Plate, work) {
	o = o.tidy()
	v, done := see(o, s.f)
	if len(s.f.points) > 0 {
		v.tall = s.box.Max.Z - s.box.Min.Z
		v.rig, done.maps = s.light(o)
		if !o.NoGround && o.View.Elevation > 0 {
			v.ground = newGround(v.rig, s.box, min(o.Width, o.Height))
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, o.Width, o.Height))
	var shaded atomic.Int64
	forTiles(o.Width, o.Height, func(x0, y0, x1, y1 int) {
		row := make([]rgb, x1-x0)
		held := make([]skyHeld, (len(row)+heldAcross-1)/heldAcross)
		for y := y0; y < y1; y++ {
			if (y-y0)%heldDown == 0 {
				clear(held)
			}
			shaded.Add(int64(v.shadeRow(x0, y, row, held)))
			pix := img.Pix[img.PixOffset(x0, y):]
			for x, c := range row {
				pix[4*x], pix[4*x+1], pix[4*x+2], pix[4*x+3] = encode(c[0]), encode(c[1]), encode(c[2]), 255
			}
		}
	})
	done.shaded = int(shaded.Load())
	return &Plate{Survey{v}, img, o}, done
}

// letter puts on the picture what is drawn around the meshes.
func (s *scene) letter(img *image.RGBA, o Options) {
	drawMarks(img, o, s)
	if o.Title != "" {
		drawTitle(img, o)
	}
	if len(s.f.points) == 0 {
		return
	}
	if !o.NoScaleBar {
		drawScaleBar(img, o, s.cam.scale/float64(o.Supersample))
	}
	drawLegend(img, o, s)
}

// light hangs the lamps for a view: the sky of the subject, lit once, and a key of
// the view's own. A picture of a small part has finer maps of what is in focus.
func (s *Subject) light(o Options) (*rig, mapWork) {
	all := s.above
	if o.View.Elevation < 0 {
		all = s.below
	}
	done := all.light()
	r := newRig(o.View, all, s.box)
	size := max(256, min(2048, min(o.Width, o.Height)*o.Supersample*5/8))
	r.key = newLamp(s.box, r.keyDirection, size)
	done = done.plus(r.key.draw(s.f))
	if o.Focus == nil {
		return r, done
	}
	at := focused(*o.Focus, s.box)
	if length(r3.Sub(at.Max, at.Min)) > small*length(r3.Sub(s.box.Max, s.box.Min)) {
		return r, done
	}
	whole := r.key
	r.key = newLamp(at, r.keyDirection, size)
	r.key.beyond = &whole
	done = done.plus(r.key.draw(s.f))
	if min(o.Width, o.Height) < leastSkied {
		return r, done
	}
	near := newSky(s.f, at, all.axis)
	done = done.plus(near.draw())
	for i := range near.lamps {
		near.lamps[i].beyond = &all.lamps[i]
	}
	r.sky = near.lamps
	return r, done
}

const (
	// small is how much of the subject, by its diagonal, a focus may take up to have
	// maps of its own.
	small = 0.6
	// leastSkied is the least side of a picture, pixels, that has a sky of its own:
	// in a smaller one the whole's is fine enough.
	leastSkied = 400
)

// focused is the box that a picture of another box shows with what is around it.
func focused(focus, all r3.Box) r3.Box {
	grow := r3.Scale(0.35, r3.Sub(focus.Max, focus.Min))
	b := r3.Box{Min: r3.Sub(focus.Min, grow), Max: r3.Add(focus.Max, grow)}
	for _, k := range []struct{ lo, hi, least, most *float64 }{
		{&b.Min.X, &b.Max.X, &all.Min.X, &all.Max.X}, {&b.Min.Y, &b.Max.Y, &all.Min.Y, &all.Max.Y}, {&b.Min.Z, &b.Max.Z, &all.Min.Z, &all.Max.Z},
	} {
		*k.lo, *k.hi = max(*k.lo, *k.least), min(*k.hi, *k.most)
		if !(*k.lo < *k.hi) { // it lies off the subject, or is no box
			return all
		}
	}
	return b
}

// sky is a number of lamps far away, spread evenly over the half sphere above or
// below, each with the map of what its light reaches first.
type sky struct {
	axis  float64 // 1: above; -1: below
	f     *facets
	box   r3.Box
	lamps []lamp
	under *ground // its light on the ground, where it is above
	once  sync.Once
}

// light draws the maps, if they are not there yet, and tells what that took: nothing
// the next time.
func (k *sky) light() (done mapWork) {
	k.once.Do(func() {
		done = k.draw()
		if k.axis > 0 {
			k.under = underSky(k.lamps, k.box)
		}
	})
	return done
}

// draw draws the maps.
func (k *sky) draw() (done mapWork) {
	each := make([]mapWork, len(k.lamps))
	workers.AtOnce(len(k.lamps), func(i int) { each[i] = k.lamps[i].draw(k.f) })
	for _, w := range each {
		done = done.plus(w)
	}
	return done
}
