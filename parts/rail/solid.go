package rail

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Solid is every stretch of the rail: posts let into what carries them, the
// handrail over them and the infill between, all one piece.
func (r *Rail) Solid(s *parts.Site) sdf.Field {
	z := r.settled(s)
	return r.along(z.stretches, z)
}

// along is the rail along its stretches.
func (r *Rail) along(stretches []stretch, z *layout) sdf.Field {
	var solids []sdf.Field
	for _, run := range stretches {
		b := builder{r: r, z: z, run: run}
		b.build()
		solids = append(solids, b.solids...)
	}
	return sdf.Union(solids...)
}

type builder struct {
	r      *Rail
	z      *layout
	run    stretch
	solids []sdf.Field
}

func (b *builder) add(f sdf.Field) { b.solids = append(b.solids, f) }

// centre is the height of the middle of the handrail above the line where it is level.
func (b *builder) centre() float64 { return b.r.Height - b.z.handrail/2 }

// axis is the height of the middle of the handrail above a side of the line. A bar on a
// slope is taller on the upright, so that its middle lies lower under the same top.
func (b *builder) axis(s planar.Leg) float64 {
	slope := s.Slope()
	return b.centre() - (math.Sqrt(1+slope*slope)-1)*b.z.handrail/2
}

func (b *builder) build() {
	bays := b.run.bays
	b.handrail()
	if b.z.infill == "rails" {
		for k := range b.r.Rails {
			b.member(b.centre()*float64(k+1)/float64(b.r.Rails+1), b.z.baluster)
		}
	}
	for i, bay := range bays {
		b.post(bay.from)
		if last := i == len(bays)-1; last && !b.run.line.Closed || !last && bays[i+1].from != bay.to {
			b.post(bay.to)
		}
		switch b.z.infill {
		case "balusters":
			n, gap := balusters(bay.to-bay.from-b.z.post, b.z.baluster, b.z.gap)
			for k := range n {
				at := bay.from + b.z.post/2 + gap*float64(k+1) + b.z.baluster*(float64(k)+0.5)
				b.upright(at, b.z.baluster)
			}
		case "panel":
			b.panel(bay)
		}
	}
}

func (b *builder) post(at float64) {
	b.upright(at, b.z.post)
	if b.r.Caps == "ball" {
		p := planar.PointAt(b.run.sides, at)
		radius := b.z.post * 0.7
		b.add(sdf.Place(sdf.Sphere(radius), sdf.At(sdf.V(p.X, p.Y, p.Z+b.axis(planar.LegAt(b.run.sides, at))+radius))))
	}
}

// upright is a post or baluster from below what it stands on to the middle of
// the handrail.
func (b *builder) upright(at, thick float64) {
	p := planar.PointAt(b.run.sides, at)
	low, high := b.under(p, thick)-b.run.on.sink, p.Z+b.axis(planar.LegAt(b.run.sides, at))
	if high-low < thick {
		return // the handrail itself lies in what carries it
	}
	turn := sdf.Turn(sdf.V(0, 0, 1), b.heading(at))
	f := sdf.Cylinder(thick/2, high-low, 0)
	if b.r.Section == "square" {
		f = sdf.BoxBetween(sdf.V(-thick/2, -thick/2, 0), sdf.V(thick/2, thick/2, high-low))
	}
	b.add(sdf.Place(f, turn.Then(sdf.At(sdf.V(p.X, p.Y, low)))))
}

// under is the lowest of what lies under a square of the given side.
func (b *builder) under(p r3.Vec, side float64) float64 {
	h := side / 2
	z := math.Inf(1)
	for _, c := range [5][2]float64{{0, 0}, {-h, -h}, {h, -h}, {h, h}, {-h, h}} {
		z = min(z, b.run.on.top(r2.Vec{X: p.X + c[0], Y: p.Y + c[1]}))
	}
	return z
}

// heading is the direction of the line on the plan at a distance, degrees.
func (b *builder) heading(at float64) float64 {
	s := planar.LegAt(b.run.sides, at)
	return planar.HeadingOf(r3.Sub(s.B, s.A))
}

// handrail runs along the whole line with its top at the rail's height. Where the slope
// changes, the middles of its bars meet a little off the corner of the line.
func (b *builder) handrail() {
	ends := make([][2]r3.Vec, len(b.run.sides))
	for i, s := range b.run.sides {
		up := sdf.V(0, 0, b.axis(s))
		ends[i] = [2]r3.Vec{r3.Add(s.A, up), r3.Add(s.B, up)}
		if i == 0 {
			continue
		}
		last := b.run.sides[i-1]
		if steeper := last.Slope() - s.Slope(); steeper != 0 {
			t := (b.axis(s) - b.axis(last)) / steeper
			ends[i-1][1] = r3.Add(ends[i-1][1], r3.Scale(t/(last.To-last.From), r3.Sub(last.B, last.A)))
			ends[i][0] = r3.Add(ends[i][0], r3.Scale(t/(s.To-s.From), r3.Sub(s.B, s.A)))
		}
	}
	for _, e := range ends {
		b.add(bar(e[0], e[1], b.z.handrail, b.r.Section == "square"))
	}
}

// member is a rail along the whole line at a height above it.
func (b *builder) member(height, thick float64) {
	up := sdf.V(0, 0, height)
	for _, s := range b.run.sides {
		b.add(bar(r3.Add(s.A, up), r3.Add(s.B, up), thick, b.r.Section == "square"))
	}
}

// bar is a straight member between two points, carried on past both by half its
// thickness so that bars which meet there are one.
func bar(a, c r3.Vec, thick float64, square bool) sdf.Field {
	if !square {
		return sdf.Capsule(a, c, thick/2)
	}
	d := r3.Sub(c, a)
	level := math.Hypot(d.X, d.Y)
	pitch := math.Atan2(d.Z, level) * 180 / math.Pi
	pose := sdf.Turn(sdf.V(0, 1, 0), -pitch).Then(sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(d))).Then(sdf.At(r3.Scale(0.5, r3.Add(a, c))))
	return sdf.Place(sdf.Box(sdf.V(r3.Norm(d)+thick, thick, thick), 0), pose)
}

// panel fills a bay from what carries it to the handrail.
func (b *builder) panel(bay bay) {
	for _, s := range b.run.sides[planar.LegNumber(b.run.sides, bay.from):] {
		if s.From >= bay.to {
			break
		}
		from, to := max(bay.from, s.From), min(bay.to, s.To)
		if to-from < 1e-9 {
			continue
		}
		p, q := s.At(from), s.At(to)
		length := to - from
		drop := 0.0 // how far the line is above what carries it, at most
		for i := range 9 {
			m := s.At(from + length*float64(i)/8)
			drop = max(drop, m.Z-b.under(m, b.z.panel))
		}
		rise := q.Z - p.Z
		hyp := math.Hypot(length, rise)
		sin, cos := rise/hyp, length/hyp
		lo, hi := min(0, rise)-drop-b.run.on.sink, max(0, rise)+b.axis(s)
		f := sdf.Intersection(
			sdf.BoxBetween(sdf.V(0, -b.z.panel/2, lo), sdf.V(length, b.z.panel/2, hi)),
			sdf.HalfSpace(sdf.V(-sin, 0, cos), b.axis(s)*cos),
			sdf.HalfSpace(sdf.V(sin, 0, -cos), (drop+b.run.on.sink)*cos),
		)
		b.add(sdf.Place(f, sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(r3.Sub(q, p))).Then(sdf.At(p))))
	}
}
