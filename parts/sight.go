package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Sight is a place on a piece that is worth a picture of its own.
type Sight struct {
	Kind   string  // stand, stair, crater or breach
	Part   Part    // what is there: the base for a stand
	Name   string  // of the picture, unique on the piece: "stair-water-stair", "stand-1"
	Box    r3.Box  // what the picture should show, piece coordinates, mm
	From   float64 // where it is best looked at from, degrees counter-clockwise from the piece's +x
	Figure *r3.Vec // where a person may stand in it, on what is there; nil where there is no such place
}

// Tone is what a place on the surface of a piece is.
type Tone uint8

// The tones.
const (
	Built  Tone = iota // as it was built
	Broken             // where damage took material away
	Strewn             // what lies in and around damage: spill, and what damage threw up
)

// How places are framed and looked at: common practice, no source.
const (
	// frontOn is the azimuth that a piece is looked at from unless something
	// stands between, degrees.
	frontOn = -62.0
	// sightLift is the elevation that a place is looked at from, degrees.
	sightLift = 35.0
	// standRoom and craterRoom are how wide the pictures of a stand and of a
	// crater are, in their diameters.
	standRoom, craterRoom = 2.2, 1.5
	// headroom is the height left over a floor for a person, in persons.
	headroom = 1.25
	// craterShare is how much of a crater's disc must lie on the piece, and
	// craterShows how much of that must be seen to be of it.
	craterShare, craterShows = 0.25, 0.1
)

// Sights gives the places on a piece that are worth a picture: its stands in the
// order of the scene, then the stairs, the craters and the breaches that it shows, each by name.
func (sc *Scene) Sights(p Piece) []Sight {
	if p.berth == nil {
		return nil
	}
	l := newLookout(sc, p)
	var out []Sight
	for i, pad := range p.Base.padsOn(sc.site, p.berth.spot) {
		out = append(out, l.stand(i, pad))
	}
	for _, part := range inOrder(sc.site) {
		if st, ok := part.(*Stair); ok {
			if s, shows := l.stair(st); shows {
				out = append(out, s)
			}
		}
	}
	for _, part := range inOrder(sc.site) {
		if c, ok := part.(*Crater); ok {
			if s, shows := l.crater(c); shows {
				out = append(out, s)
			}
		}
	}
	for _, part := range inOrder(sc.site) {
		if b, ok := part.(*Breach); ok {
			if s, shows := l.breach(b); shows {
				out = append(out, s)
			}
		}
	}
	return out
}

// lookout finds the sights of one piece.
type lookout struct {
	sc     *Scene
	p      Piece
	top    shape2  // its top outline: negative inside
	person float64 // their height on the print, the taller of plain and exaggerated, mm
	frame  r3.Box  // no picture shows more
}

// shape2 gives the signed distance from an outline in the plan, mm.
type shape2 func(r2.Vec) float64

func newLookout(sc *Scene, p Piece) *lookout {
	outline, taper := p.berth.shape(), p.Base.Taper
	s := sc.site
	l := &lookout{sc: sc, p: p, person: math.Max(s.OnPrint(s.person()), s.HeightOnPrint(s.person()))}
	l.top = func(q r2.Vec) float64 { return outline.at(q) + taper }
	over := headroom * l.person
	l.frame = r3.Box{Min: r3.Sub(p.Box.Min, sdf.V(1, 1, 0)), Max: r3.Add(p.Box.Max, sdf.V(1, 1, over))}
	return l
}

// framed is a box cut to what pictures show.
func (l *lookout) framed(b r3.Box) r3.Box {
	return r3.Box{
		Min: sdf.V(math.Max(b.Min.X, l.frame.Min.X), math.Max(b.Min.Y, l.frame.Min.Y), math.Max(b.Min.Z, l.frame.Min.Z)),
		Max: sdf.V(math.Min(b.Max.X, l.frame.Max.X), math.Min(b.Max.Y, l.frame.Max.Y), math.Min(b.Max.Z, l.frame.Max.Z)),
	}
}

// about is the box of a round place: half as wide as told, between two heights.
func about(c r2.Vec, half, low, high float64) r3.Box {
	return r3.Box{Min: sdf.V(c.X-half, c.Y-half, low), Max: sdf.V(c.X+half, c.Y+half, high)}
}

// ringPlaces is how many places round a disc are looked at.
const ringPlaces = 24

// ring gives places evenly round a point.
func ring(c r2.Vec, radius float64, n int) []r2.Vec {
	out := make([]r2.Vec, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = r2.Vec{X: c.X + radius*cos, Y: c.Y + radius*sin}
	}
	return out
}

// stand is the sight of the base's stand i.
func (l *lookout) stand(i int, p pad) Sight {
	high := math.Min(p.clear, math.Max(0.6*p.round, headroom*l.person))
	var marks []r3.Vec
	for _, q := range append(ring(p.at, 0.4*p.round, 8), p.at) {
		marks = append(marks, sdf.V(q.X, q.Y, p.top))
	}
	return Sight{
		Kind: "stand", Part: l.p.Base, Name: fmt.Sprintf("stand-%d", i+1),
		Box:  l.framed(about(p.at, standRoom/2*p.round, math.Max(0, p.top-1), p.top+high)),
		From: l.freest(marks, aroundFront()), Figure: l.standing(p.at, p.top, true),
	}
}

// aroundFront lists azimuths, the front first and its neighbours after it.
func aroundFront() []float64 {
	out := []float64{frontOn}
	for turn := 30.0; turn < 180; turn += 30 {
		out = append(out, frontOn+turn, frontOn-turn)
	}
	return append(out, frontOn+180)
}

// crater is the sight of a crater, if the piece shows it.
func (l *lookout) crater(c *Crater) (Sight, bool) {
	z, ok := c.sizes(l.sc.site)
	if !ok {
		return Sight{}, false
	}
	mid := l.p.Pose.Invert(sdf.V(c.At.X, c.At.Y, z.level))
	at := r2.Vec{X: mid.X, Y: mid.Y}
	if l.top(at) > z.radius {
		return Sight{}, false
	}
	// Rings of equal shares of the disc.
	const rings = 4
	all, seen := 0, 0
	var marks []r3.Vec
	for k := range rings {
		for _, q := range ring(at, z.radius*math.Sqrt((float64(k)+0.5)/rings), ringPlaces) {
			all++
			if l.top(q) > 0 {
				continue
			}
			if h, ok := l.drop(q, l.p.Box.Max.Z); ok {
				marks = append(marks, sdf.V(q.X, q.Y, h))
			}
		}
	}
	if float64(len(marks)) < craterShare*float64(all) {
		return Sight{}, false
	}
	for _, q := range marks {
		switch part := l.sc.Nearest(l.p, q).(type) {
		case *Crater:
			if part == c {
				seen++
			}
		case Spiller:
			if q.Z < mid.Z {
				seen++
			}
		}
	}
	if float64(seen) < craterShows*float64(len(marks)) {
		return Sight{}, false
	}
	box := l.framed(about(at, craterRoom*z.radius, mid.Z+z.rim-z.depth-1, mid.Z+z.rim+headroom*l.person))
	s := Sight{Kind: "crater", Part: c, Name: "crater-" + c.Name, Box: box, From: l.freest(marks, aroundFront())}
	s.Figure = l.besideCrater(at, z, mid.Z, s)
	return s, true
}

// besideCrater finds a person a place near the rim: behind the crater or at its
// side, as it is looked at.
func (l *lookout) besideCrater(at r2.Vec, z craterSizes, level float64, s Sight) *r3.Vec {
	for _, turn := range []float64{110, -110, 130, -130, 90, -90, 150, -150, 170, -170, 70, -70, 50, -50, 30, -30} {
		sin, cos := math.Sincos((s.From + turn) * math.Pi / 180)
		for _, far := range []float64{1.15, 1.25, 1.35, 1.07} {
			q := r2.Vec{X: at.X + far*z.radius*cos, Y: at.Y + far*z.radius*sin}
			if q.X < s.Box.Min.X || q.X > s.Box.Max.X || q.Y < s.Box.Min.Y || q.Y > s.Box.Max.Y {
				continue
			}
			if f := l.standing(q, level+z.rim, true); f != nil {
				return f
			}
		}
	}
	return nil
}

// clearly is how much more of a place must be seen from one side for it to be
// taken before one that is liked better, as a share.
const clearly = 0.15

// freest gives the azimuth, of those given with the best liked first, from which
// most of the marks are seen: nothing stands between.
func (l *lookout) freest(marks []r3.Vec, azimuths []float64) float64 {
	if len(marks) > ringPlaces {
		few := make([]r3.Vec, ringPlaces)
		for i := range few {
			few[i] = marks[i*(len(marks)-1)/(ringPlaces-1)]
		}
		marks = few
	}
	best, most := azimuths[0], -1.0
	for _, a := range azimuths {
		sin, cos := math.Sincos(a * math.Pi / 180)
		up, out := math.Sincos(sightLift * math.Pi / 180)
		way := sdf.V(cos*out, sin*out, up)
		free := 0
		for _, m := range marks {
			if l.seen(m, way) {
				free++
			}
		}
		share := float64(free) / math.Max(1, float64(len(marks)))
		if most < 0 || share > most+clearly {
			best, most = a, share
		}
		if most > 1-clearly {
			break
		}
	}
	return math.Remainder(best, 360)
}

// seen says whether nothing of the piece stands between a place on it and an eye
// far off.
func (l *lookout) seen(at, way r3.Vec) bool {
	const off = 0.4 // mm over the surface: its own roughness hides nothing
	at.Z += off
	for range 200 {
		if at.Z > l.p.Box.Max.Z || l.top(r2.Vec{X: at.X, Y: at.Y}) > l.p.Base.Taper+1 {
			return true
		}
		d := l.p.Field.Value(at)
		if d < 0.01 {
			return false
		}
		at = r3.Add(at, r3.Scale(math.Max(d, 0.05), way))
	}
	return true
}
