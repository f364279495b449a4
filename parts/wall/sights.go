package wall

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

const (
	// breachRoom is how wide the picture of a breach is, in its widths.
	breachRoom = 1.8
	// breachAside is how far from square on a breach is looked at, so that its broken
	// faces show, degrees.
	breachAside = 25.0
)

// Sights is the breach, if the piece shows it.
func (b *Breach) Sights(l parts.Lookout) []parts.Sight {
	if s, ok := b.sight(l); ok {
		return []parts.Sight{s}
	}
	return nil
}

// sight is that of the breach, if the piece shows it.
func (b *Breach) sight(l parts.Lookout) (parts.Sight, bool) {
	z := b.settled(l.Site())
	if !z.open {
		return parts.Sight{}, false
	}
	line := z.stretch(b.At-z.width/2, b.At+z.width/2)
	ahead := r3.Unit(planar.Raise(r2.Sub(line[len(line)-1], line[0])))
	base := z.wall.From.Height
	mid := planar.Raise(z.stretch(b.At, b.At+1e-3)[0])
	in := func(along, up float64) r3.Vec { // a place in the scene, to one in the piece
		return l.Pose().Invert(r3.Add(r3.Add(mid, r3.Scale(along, ahead)), sdf.V(0, 0, base+up)))
	}
	high := math.Min(z.high, z.wall.height())
	// Along the middle of the hole, out to the broken faces on both sides.
	var marks []r3.Vec
	shows := false
	for _, share := range []float64{0.25, 0.5, 0.75} {
		up := z.low + share*(high-z.low)
		if from := in(0, up); l.Top(r2.Vec{X: from.X, Y: from.Y}) > 0 || l.Field().Value(from) <= 0 {
			continue
		}
		marks = append(marks, in(0, up), in(-0.2*z.width, up), in(0.2*z.width, up))
		for _, side := range [2]float64{-1, 1} {
			at := 0.0
			for range 200 {
				d := l.Field().Value(in(side*at, up))
				if d < 0.01 || at > z.width {
					break
				}
				at += math.Max(d, 0.01)
			}
			if q := in(side*at, up); at <= z.width && l.Field().Value(q) < 0.02 && l.PartAt(q) == parts.Part(b) {
				shows = true
			}
		}
	}
	if !shows {
		return parts.Sight{}, false
	}
	foot, half := in(0, 0), breachRoom/2*math.Max(z.width, high-z.low)
	box := l.Framed(parts.About(r2.Vec{X: foot.X, Y: foot.Y}, half, foot.Z+math.Max(0, z.low-z.width/2)-1, foot.Z+high+0.3*z.width))
	box.Max.Z = math.Max(box.Max.Z, foot.Z+parts.Headroom*l.Person())
	box = l.Framed(box)
	onPiece := r3.Sub(in(1, 0), foot) // along the wall
	square := math.Atan2(onPiece.Y, onPiece.X)*180/math.Pi - 90
	azimuths := []float64{square + breachAside, square - breachAside, square + 180 - breachAside, square + 180 + breachAside}
	if math.Cos((square-parts.FrontOn)*math.Pi/180) < 0 { // the face that looks to the front first
		azimuths = append(azimuths[2:], azimuths[:2]...)
	}
	s := parts.Sight{Kind: "breach", Part: b, Name: "breach-" + b.Name, Box: box, From: l.Freest(marks, azimuths)}
	s.Figure = beforeBreach(l, foot, onPiece, z, s)
	return s, true
}

// beforeBreach finds a person a place beside the hole, before the wall as it is
// looked at.
func beforeBreach(l parts.Lookout, foot, ahead r3.Vec, z *breachSizes, s parts.Sight) *r3.Vec {
	out := r3.Vec{X: -ahead.Y, Y: ahead.X}
	sin, cos := math.Sincos(s.From * math.Pi / 180)
	if out.X*cos+out.Y*sin < 0 {
		out = r3.Scale(-1, out)
	}
	for _, off := range []float64{0.25, 0.4, 0.6} {
		for _, along := range []float64{0.65, -0.65, 0.5, -0.5, 0.8, -0.8, 0.35, -0.35, 0} {
			q := r3.Add(foot, r3.Add(r3.Scale(along*z.width, ahead), r3.Scale(z.masonry.thick/2+off*l.Person(), out)))
			if q.X < s.Box.Min.X || q.X > s.Box.Max.X || q.Y < s.Box.Min.Y || q.Y > s.Box.Max.Y {
				continue
			}
			if f := l.Standing(r2.Vec{X: q.X, Y: q.Y}, foot.Z, true); f != nil {
				return f
			}
		}
	}
	return nil
}
