package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Sight is a place on a piece that is worth a picture of its own.
type Sight struct {
	Kind   string  // "stand", or the word of the part's kind
	Part   Part    // what is there: the base for a stand
	Name   string  // of the picture, unique on the piece: "stair-water-stair", "stand-1"
	Box    r3.Box  // what the picture should show, piece coordinates, mm
	From   float64 // where it is best looked at from, degrees counter-clockwise from the piece's +x
	Figure *r3.Vec // where a person may stand in it, on what is there; nil where there is no such place
}

// Sighted is a part that is worth pictures of its own on the pieces that show it.
type Sighted interface {
	Part
	Sights(l Lookout) []Sight
}

// Lookout is a piece as it is looked over for sights. All places are in the piece's
// coordinates: foot at z = 0, the middle of the footprint at the origin, mm.
type Lookout interface {
	Site() *Site
	Pose() sdf.Pose         // from the piece to the scene
	Field() sdf.Field       // the whole solid
	Box() r3.Box            // about it
	Reach() float64         // of the footprint from its middle
	Top(q r2.Vec) float64   // signed distance from its top outline, negative inside
	Person() float64        // height of a person on the print
	PartAt(q r3.Vec) Part   // whose surface a place on it is
	Framed(b r3.Box) r3.Box // cut to what pictures show
	// Freest gives the azimuth, of those given with the best liked first, from which most
	// of the marks are seen.
	Freest(marks []r3.Vec, azimuths []float64) float64
	// Drop gives the height at which the line down from a place first meets the piece; ok
	// is false where it meets nothing, or starts inside.
	Drop(q r2.Vec, from float64) (height float64, ok bool)
	// Standing gives the point of the floor where a person may stand near a height: nil
	// where there is no floor, something is in the way or, where level is asked for, the
	// floor is not level.
	Standing(q r2.Vec, near float64, level bool) *r3.Vec
}

// How places are framed and looked at: common practice, no source.
const (
	// FrontOn is the azimuth that a piece is looked at from unless something stands
	// between, degrees.
	FrontOn = -62.0
	// Headroom is the height left over a floor for a person, in persons.
	Headroom = 1.25
)

// About is the box of a round place: half as wide as told, between two heights.
func About(c r2.Vec, half, low, high float64) r3.Box {
	return r3.Box{Min: sdf.V(c.X-half, c.Y-half, low), Max: sdf.V(c.X+half, c.Y+half, high)}
}

// SightOf is a close-up of a thing that stands under a place of the scene, its top: high mm
// tall, half of what is shown wide, with a person beside it, clear of its middle. ok is false
// where the piece does not show it there.
func SightOf(l Lookout, p Part, top r3.Vec, high, half, clear float64) (s Sight, ok bool) {
	pose := l.Pose()
	top = pose.Invert(top)
	q := r2.Vec{X: top.X, Y: top.Y}
	if h, ok := l.Drop(q, l.Box().Max.Z); l.Top(q) > 0 || !ok || l.PartAt(sdf.V(q.X, q.Y, h)) != p {
		return Sight{}, false
	}
	s = Sight{Kind: WordOf(p), Part: p, Name: WordOf(p) + "-" + p.Label(),
		Box:  l.Framed(About(q, half, top.Z-high-1, top.Z+1)),
		From: l.Freest([]r3.Vec{top}, AroundFront())}
	for _, beside := range Ring(q, clear+l.Person()/2, 8) {
		if s.Figure = l.Standing(beside, top.Z-high, true); s.Figure != nil {
			break
		}
	}
	return s, true
}

// Ring gives places evenly round a point.
func Ring(c r2.Vec, radius float64, n int) []r2.Vec {
	out := make([]r2.Vec, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = r2.Vec{X: c.X + radius*cos, Y: c.Y + radius*sin}
	}
	return out
}

// AroundFront lists azimuths, the front first and its neighbours after it.
func AroundFront() []float64 {
	out := []float64{FrontOn}
	for turn := 30.0; turn < 180; turn += 30 {
		out = append(out, FrontOn+turn, FrontOn-turn)
	}
	return append(out, FrontOn+180)
}
