package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// How a crater is framed and looked at: common practice, no source.
const (
	// craterRoom is how wide its picture is, in its diameter.
	craterRoom = 1.5
	// craterShare is how much of its disc must lie on the piece, and craterShows how much
	// of that must be seen to be of it.
	craterShare, craterShows = 0.25, 0.1
	// discPlaces is how many places round the disc are looked at.
	discPlaces = 24
)

// Sights is the crater, if the piece shows it.
func (c *Crater) Sights(l parts.Lookout) []parts.Sight {
	if s, ok := c.sight(l); ok {
		return []parts.Sight{s}
	}
	return nil
}

// sight is that of the crater, if the piece shows it.
func (c *Crater) sight(l parts.Lookout) (parts.Sight, bool) {
	z := c.settled(l.Site())
	if !z.found {
		return parts.Sight{}, false
	}
	mid := l.Pose().Invert(sdf.V(c.At.X, c.At.Y, z.level))
	at := r2.Vec{X: mid.X, Y: mid.Y}
	if l.Top(at) > z.radius {
		return parts.Sight{}, false
	}
	// Rings of equal shares of the disc.
	const rings = 4
	all, seen := 0, 0
	var marks []r3.Vec
	for k := range rings {
		for _, q := range parts.Ring(at, z.radius*math.Sqrt((float64(k)+0.5)/rings), discPlaces) {
			all++
			if l.Top(q) > 0 {
				continue
			}
			if h, ok := l.Drop(q, l.Box().Max.Z); ok {
				marks = append(marks, sdf.V(q.X, q.Y, h))
			}
		}
	}
	if float64(len(marks)) < craterShare*float64(all) {
		return parts.Sight{}, false
	}
	for _, q := range marks {
		part := l.PartAt(q)
		if _, spill := part.(parts.Spiller); part == parts.Part(c) || spill && q.Z < mid.Z {
			seen++
		}
	}
	if float64(seen) < craterShows*float64(len(marks)) {
		return parts.Sight{}, false
	}
	box := l.Framed(parts.About(at, craterRoom*z.radius, mid.Z+z.rim-z.depth-1, mid.Z+z.rim+parts.Headroom*l.Person()))
	s := parts.Sight{Kind: "crater", Part: c, Name: "crater-" + c.Name, Box: box, From: l.Freest(marks, parts.AroundFront())}
	s.Figure = besideCrater(l, at, z, mid.Z, s)
	return s, true
}

// besideCrater finds a person a place near the rim: behind the crater or at its
// side, as it is looked at.
func besideCrater(l parts.Lookout, at r2.Vec, z *craterSizes, level float64, s parts.Sight) *r3.Vec {
	for _, turn := range []float64{110, -110, 130, -130, 90, -90, 150, -150, 170, -170, 70, -70, 50, -50, 30, -30} {
		sin, cos := math.Sincos((s.From + turn) * math.Pi / 180)
		for _, far := range []float64{1.15, 1.25, 1.35, 1.07} {
			q := r2.Vec{X: at.X + far*z.radius*cos, Y: at.Y + far*z.radius*sin}
			if q.X < s.Box.Min.X || q.X > s.Box.Max.X || q.Y < s.Box.Min.Y || q.Y > s.Box.Max.Y {
				continue
			}
			if f := l.Standing(q, level+z.rim, true); f != nil {
				return f
			}
		}
	}
	return nil
}
