package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

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
	// sightLift is the elevation that a place is looked at from, degrees.
	sightLift = 35.0
	// standRoom is how wide the picture of a stand is, in its diameter.
	standRoom = 2.2
	// mostMarks is how many places of a sight are looked for at most.
	mostMarks = 24
)

// Sights gives the places on a piece that are worth a picture: its stands in the
// order of the scene, then those of the parts that it shows, in the order of work.
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
		if p, ok := part.(Sighted); ok {
			out = append(out, p.Sights(l)...)
		}
	}
	return out
}

// lookout finds the sights of one piece.
type lookout struct {
	sc     *Scene
	p      Piece
	top    func(q r2.Vec) float64 // its top outline: negative inside
	person float64                // their height on the print, the taller of plain and exaggerated, mm
	frame  r3.Box                 // no picture shows more
}

func newLookout(sc *Scene, p Piece) *lookout {
	outline, taper := p.berth.shape(), p.Base.Taper
	s := sc.site
	l := &lookout{sc: sc, p: p, person: math.Max(s.OnPrint(s.person()), s.HeightOnPrint(s.person()))}
	l.top = func(q r2.Vec) float64 { return outline.at(q) + taper }
	over := Headroom * l.person
	l.frame = r3.Box{Min: r3.Sub(p.Box.Min, sdf.V(1, 1, 0)), Max: r3.Add(p.Box.Max, sdf.V(1, 1, over))}
	return l
}

func (l *lookout) Site() *Site          { return l.sc.site }
func (l *lookout) Pose() sdf.Pose       { return l.p.Pose }
func (l *lookout) Field() sdf.Field     { return l.p.Field }
func (l *lookout) Box() r3.Box          { return l.p.Box }
func (l *lookout) Reach() float64       { return l.p.berth.reach() }
func (l *lookout) Top(q r2.Vec) float64 { return l.top(q) }
func (l *lookout) Person() float64      { return l.person }
func (l *lookout) PartAt(q r3.Vec) Part { return l.sc.Nearest(l.p, q) }

// Framed is a box cut to what pictures show.
func (l *lookout) Framed(b r3.Box) r3.Box {
	return r3.Box{
		Min: sdf.V(math.Max(b.Min.X, l.frame.Min.X), math.Max(b.Min.Y, l.frame.Min.Y), math.Max(b.Min.Z, l.frame.Min.Z)),
		Max: sdf.V(math.Min(b.Max.X, l.frame.Max.X), math.Min(b.Max.Y, l.frame.Max.Y), math.Min(b.Max.Z, l.frame.Max.Z)),
	}
}

// stand is the sight of the base's stand i.
func (l *lookout) stand(i int, p pad) Sight {
	high := math.Min(p.clear, math.Max(0.6*p.round, Headroom*l.person))
	var marks []r3.Vec
	for _, q := range append(Ring(p.at, 0.4*p.round, 8), p.at) {
		marks = append(marks, sdf.V(q.X, q.Y, p.top))
	}
	return Sight{
		Kind: "stand", Part: l.p.Base, Name: fmt.Sprintf("stand-%d", i+1),
		Box:  l.Framed(About(p.at, standRoom/2*p.round, math.Max(0, p.top-1), p.top+high)),
		From: l.Freest(marks, AroundFront()), Figure: l.Standing(p.at, p.top, true),
	}
}

// clearly is how much more of a place must be seen from one side for it to be
// taken before one that is liked better, as a share.
const clearly = 0.15

// Freest gives the azimuth, of those given with the best liked first, from which
// most of the marks are seen: nothing stands between.
func (l *lookout) Freest(marks []r3.Vec, azimuths []float64) float64 {
	if len(marks) > mostMarks {
		few := make([]r3.Vec, mostMarks)
		for i := range few {
			few[i] = marks[i*(len(marks)-1)/(mostMarks-1)]
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
