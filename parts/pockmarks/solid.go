package pockmarks

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

// Shares of marks. Common practice, no source.
const (
	scarDepth  = 0.5 // of a chipped rim, over the bowl's
	scarLeast  = 1.15
	scarMost   = 1.7 // of its radius, over the bowl's
	ringHeight = 0.45
	ringWide   = 0.75 // of a raised rim, over the bowl's radius
)

// Cut is the bowls with their scars.
func (p *Pockmarks) Cut(s *parts.Site) sdf.Field {
	z := p.settled(s)
	var all []sdf.Field
	for _, m := range p.laid(s) {
		f := &z.faces[m.face]
		pose := sdf.At(sdf.V(m.at.X, m.at.Y, -z.sag)).Then(f.pose)
		all = append(all, sdf.Place(p.bowl(s, z, &m), pose))
		if z.rim == "chipped" {
			if scar := p.scar(s, z, &m); scar != nil {
				all = append(all, sdf.Place(scar, pose))
			}
		}
	}
	return sdf.Union(all...)
}

// ball is the radius of the ball whose cap a bowl is, by its chord and its depth.
func (m *mark) ball() float64 { return (m.wide*m.wide/4 + m.depth*m.depth) / (2 * m.depth) }

// over is how far above its face a mark clears what stands out there, mm.
func over(s *parts.Site, z *sizes) float64 { return s.Print.Relief + z.sag }

// bowl is the cap of a ball, askew: in the frame of the face, its middle at the origin.
func (p *Pockmarks) bowl(s *parts.Site, z *sizes, m *mark) sdf.Field {
	r := m.ball()
	ball := sdf.Place(sdf.Sphere(r), sdf.At(sdf.V(0, 0, r-m.depth)))
	return sdf.Intersection(ball, sdf.HalfSpace(sdf.V(0, 0, 1), over(s, z)))
}

// scar is what came off round a bowl: shallow, of flat facets, wider on one side.
func (p *Pockmarks) scar(s *parts.Site, z *sizes, m *mark) sdf.Field {
	rng := rand.New(rand.NewPCG(m.seed, 3))
	deep := math.Max(scarDepth*m.depth, 0.5*s.Print.Relief)
	planes := []convex.Plane{{N: sdf.V(0, 0, 1), D: over(s, z)}}
	floor := convex.Unit(sdf.V(0.12*p.Roughness*rng.NormFloat64(), 0.12*p.Roughness*rng.NormFloat64(), -1))
	planes = append(planes, convex.Plane{N: floor, D: deep})
	n := 5 + rng.IntN(3)
	turn, side := 2*math.Pi*rng.Float64(), 2*math.Pi*rng.Float64()
	for i := range n {
		angle := turn + 2*math.Pi*(float64(i)+0.6*p.Roughness*(rng.Float64()-0.5))/float64(n)
		sin, cos := math.Sincos(angle)
		far := scarLeast + (scarMost-scarLeast)*(0.5*rng.Float64()+0.5*math.Max(0, math.Cos(angle-side)))
		if p.Roughness == 0 {
			far = (scarLeast + scarMost) / 2
		}
		steep := 0.5 + 0.6*rng.Float64() // rise over run
		normal := convex.Unit(sdf.V(cos, sin, -1/steep))
		planes = append(planes, convex.Plane{N: normal, D: r3.Dot(normal, sdf.V(cos*far*m.wide/2, sin*far*m.wide/2, 0))})
	}
	if c := convex.New(planes); c != nil {
		return c
	}
	return nil
}

// Throw is the raised rims; nil where there are none.
func (p *Pockmarks) Throw(s *parts.Site) sdf.Field {
	z := p.settled(s)
	if z.rim != "raised" || p.On != "" {
		return nil
	}
	var all []sdf.Field
	for _, m := range p.laid(s) {
		high := math.Max(ringHeight*m.depth, s.Print.Relief)
		r, out := m.wide/2, math.Max(ringWide*m.wide/2, 1.6*high)
		foot := -z.sag - 0.5
		ring := sdf.Revolve([]r2.Vec{{X: 0.5 * r, Y: foot}, {X: r + out + 0.5, Y: foot}, {X: r + out, Y: -z.sag},
			{X: r + 0.2*out, Y: high - z.sag}, {X: 0.9 * r, Y: high - z.sag}})
		ring = sdf.Displace(ring, sdf.NewNoise(m.seed, math.Max(r, 2*s.Print.Gap), 2), 0.3*p.Roughness*high)
		all = append(all, sdf.Place(ring, sdf.At(sdf.V(m.at.X, m.at.Y, 0)).Then(z.faces[m.face].pose)))
	}
	if len(all) == 0 {
		return nil
	}
	return sdf.Union(all...)
}

// Plan is the marks of a floor, and those of a wall as they lie along it.
func (p *Pockmarks) Plan(s *parts.Site) (strokes []parts.Stroke) {
	z := p.settled(s)
	for _, m := range p.laid(s) {
		f := &z.faces[m.face]
		at := func(x, out float64) r2.Vec { return planar.OnPlan(f.pose.Apply(sdf.V(m.at.X+x, m.at.Y, out))) }
		stroke := parts.Stroke{Line: parts.LineScar, Path: planar.CirclePath(at(0, 0), m.wide/2), Closed: true}
		if p.On != "" {
			stroke = parts.Stroke{Line: parts.LineScar, Path: planar.Straight(at(-m.wide/2, 0), at(0, -m.depth), at(m.wide/2, 0))}
		}
		strokes = append(strokes, stroke)
	}
	return strokes
}

// Sights is the widest mark that a piece shows, with those about it.
func (p *Pockmarks) Sights(l parts.Lookout) []parts.Sight {
	s := l.Site()
	z := p.settled(s)
	for _, m := range p.laid(s) {
		f := &z.faces[m.face]
		place := func(x, y, out float64) r3.Vec { return l.Pose().Invert(f.pose.Apply(sdf.V(m.at.X+x, m.at.Y+y, out))) }
		bottom, out := place(0, 0, -m.depth-z.sag), place(0, 0, 1)
		if l.Top(planar.OnPlan(bottom)) > 0 || math.Abs(l.Field().Value(bottom)) > 0.05 || l.PartAt(bottom) != parts.Part(p) {
			continue
		}
		half := math.Max(4*z.most, l.Person()/2)
		sight := parts.Sight{Kind: "pockmarks", Part: p, Name: "pockmarks-" + p.Name}
		sight.Box = l.Framed(parts.About(planar.OnPlan(bottom), half, bottom.Z-half, bottom.Z+half))
		azimuths := parts.AroundFront()
		if p.On != "" {
			square := math.Atan2(out.Y-bottom.Y, out.X-bottom.X) * 180 / math.Pi
			azimuths = []float64{square + 25, square - 25, square, square + 50, square - 50}
		}
		sight.From = l.Freest([]r3.Vec{place(0, 0, 0.1), place(z.most, 0, 0.1), place(-z.most, 0, 0.1)}, azimuths)
		return []parts.Sight{sight}
	}
	return nil
}
