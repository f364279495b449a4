package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// A stone is hewn of planes: its sides, its top, and what wear has taken off its arrises
// and its corners. So its mesh has few triangles, and a look at it costs a few products.
// Its texture is cut into that.

// stone is the solid of a laid stone.
func (l *laid) stone(s *parts.Site, level, foot float64, z *pavingSizes) sdf.Field {
	var body sdf.Field
	face := l.face(s, z)
	if face != nil {
		foot -= face.Depth() // which it takes off the foot too
	}
	if l.outline == nil {
		arris := z.wear.arris
		if l.even {
			arris = min(arris, z.joint/2)
		}
		body = newStone(stoneShape{plan: l.plan, box: l.box, level: l.top(level, z), foot: foot, arris: arris})
	} else {
		box := r3.Box{Min: sdf.V(l.box.Min.X, l.box.Min.Y, foot), Max: sdf.V(l.box.Max.X, l.box.Max.Y, level)}
		body = convex.Boxed(l.planes(level, foot, z), box)
	}
	return relief.Carve(body, face)
}

// hair is how far under its level the top of a stone with a texture lies at least, mm:
// the mesh of its facets may stand over them by less than a print shows.
const hair = 0.015

// top is the height of the highest point of the stone.
func (l *laid) top(level float64, z *pavingSizes) float64 {
	switch {
	case l.even:
		return level
	case !l.flat && z.surface != surface.Plain:
		level -= hair
	}
	// Its joints show however far it has sunk.
	return level - min(float64(z.wear.uneven*l.lot.sunk())+l.settled, max(0.7*z.wear.uneven, 0.35*z.recess))
}

// leaning is how the top of the stone falls, mm a mm: as it leans by itself, and with
// the ground that has settled beneath it.
func (l *laid) leaning(z *pavingSizes) r2.Vec {
	if l.even {
		return r2.Vec{}
	}
	most := 0.15 * z.recess / planar.Norm2(l.half)
	lean := l.lot.leaning() * min(math.Tan(z.wear.tilt*math.Pi/180), most)
	sin, cos := math.Sincos(2 * math.Pi * l.lot.leanTurn)
	fall := l.fall
	if n := planar.Norm2(fall); n > most {
		fall = r2.Scale(most/n, fall)
	}
	return r2.Add(r2.Vec{X: lean * cos, Y: lean * sin}, fall)
}

// planes are those of the stone. Its highest corner is at its top.
func (l *laid) planes(level, foot float64, z *pavingSizes) []convex.Plane {
	mid := planar.Centroid(l.outline)
	lean, high := l.leaning(z), l.top(level, z)
	rise := 0.0
	for _, p := range l.outline {
		rise = max(rise, -planar.Dot2(lean, r2.Sub(p, mid)))
	}
	high -= rise
	onTop := func(p r2.Vec, below float64) r3.Vec {
		return sdf.V(p.X, p.Y, high-planar.Dot2(lean, r2.Sub(p, mid))-below)
	}
	sides := planar.SidesOf(l.outline)
	planes := make([]convex.Plane, 0, 3*len(sides)+8)
	for _, s := range sides {
		planes = append(planes, convex.Plane{N: sdf.V(s.Normal.X, s.Normal.Y, 0), D: s.Offset})
	}
	planes = append(planes, convex.Plane{N: sdf.V(0, 0, -1), D: -foot})
	planes = append(planes, through(onTop(mid, 0), onTop(r2.Add(mid, r2.Vec{X: 1}), 0), onTop(r2.Add(mid, r2.Vec{Y: 1}), 0)))

	rng := rand.New(rand.NewPCG(l.lot.seed, 17))
	round := z.wear.arris * (1 + 0.5*l.polish)
	if l.even {
		round = min(z.wear.arris, z.joint/2)
	}
	if round = min(round, 0.5*planar.Inradius(l.outline)); round > 0.02 {
		planes = l.ease(planes, sides, round, rng, onTop)
	}
	if l.even {
		return planes
	}
	if crown := z.wear.crown * (1 - 0.6*l.polish); crown > 0 && !l.flat {
		planes = l.swell(planes, mid, crown, z.surface == surface.Domed, rng, onTop)
	}
	if l.lot.chipped < z.wear.chipped {
		planes = l.knock(planes, mid, z, onTop)
	}
	return planes
}

// through is the plane through three points, looking up.
func through(a, b, c r3.Vec) convex.Plane {
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if n.Z < 0 {
		n = r3.Scale(-1, n)
	}
	n = convex.Unit(n)
	return convex.Plane{N: n, D: float64(n.X*a.X) + float64(n.Y*a.Y) + float64(n.Z*a.Z)}
}

// ease takes off the arrises, each by two faces that are wider at one end than at the other.
func (l *laid) ease(planes []convex.Plane, sides []planar.Side, round float64, rng *rand.Rand, onTop func(r2.Vec, float64) r3.Vec) []convex.Plane {
	for i := range sides {
		s, next := &sides[i], &sides[(i+1)%len(sides)]
		a, b := s.A, next.A
		wide, narrow, deep := rng.Float64(), rng.Float64(), rng.Float64()
		if s.Length < 4*round || l.even {
			wide, narrow, deep = 0.5, 0.5, 0.5
		}
		for _, face := range [...][2]float64{{0.8, 0.35}, {0.35, 0.9}} { // in from the side, down from the top
			in := func(p r2.Vec, u float64) r3.Vec {
				return onTop(r2.Sub(p, r2.Scale(round*face[0]*(0.6+0.8*u), s.Normal)), 0)
			}
			p, q := in(a, wide), in(b, narrow)
			planes = append(planes, through(p, q, onTop(r2.Scale(0.5, r2.Add(a, b)), round*face[1]*(0.6+0.8*deep))))
		}
	}
	return planes
}

// swell makes the top fall by a crown from its middle to its edge: of a domed stone from
// near the middle on, else towards the edges alone.
func (l *laid) swell(planes []convex.Plane, mid r2.Vec, crown float64, domed bool, rng *rand.Rand, onTop func(r2.Vec, float64) r3.Vec) []convex.Plane {
	n, from, jitter := 5, 0.5, 0.15
	if domed {
		n, from, jitter = 7, 0.22, 0.18
	}
	turn := rng.Float64()
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + turn + 0.5*rng.Float64()) / float64(n))
		u := r2.Vec{X: cos, Y: sin}
		reach := 0.0
		for _, p := range l.outline {
			reach = max(reach, planar.Dot2(u, r2.Sub(p, mid)))
		}
		start := reach * (from + jitter*(2*rng.Float64()-1))
		fall := crown * (0.7 + 0.6*rng.Float64())
		p, q := r2.Add(mid, r2.Scale(start, u)), r2.Add(mid, r2.Scale(reach, u))
		side := r2.Vec{X: -u.Y, Y: u.X}
		planes = append(planes, through(onTop(p, 0), onTop(r2.Add(p, side), 0), onTop(q, fall)))
	}
	return planes
}

// knock strikes off corners: one to three of a small stone, more of one that is large
// against its relief. Never is so much gone that the stone is less than a quarter of it lower.
func (l *laid) knock(planes []convex.Plane, mid r2.Vec, z *pavingSizes, onTop func(r2.Vec, float64) r3.Vec) []convex.Plane {
	narrow := 2 * min(l.half.X, l.half.Y)
	most := max(2, min(len(l.lot.chips), int(narrow/(4*z.recess))))
	n := 1 + int(float64(most)*(1-l.lot.chipped/z.wear.chipped)*(1-1e-9))
	count := len(l.outline)
	for _, c := range l.lot.chips[:min(n, most)] {
		i := min(int(c.place*float64(count)), count-1)
		p, before, after := l.outline[i], l.outline[(i+count-1)%count], l.outline[(i+1)%count]
		depth := min(z.recess*(0.6+1.2*c.size), 0.25*narrow)
		along := func(to r2.Vec, share float64) (r2.Vec, bool) {
			e := r2.Sub(to, p)
			length := planar.Norm2(e)
			if length < 1e-3 {
				return p, false
			}
			return r2.Add(p, r2.Scale(min(depth*share, 0.6*length)/length, e)), true
		}
		a, okA := along(before, 0.9+1.8*c.flat)
		b, okB := along(after, 0.9+1.8*c.rise)
		if okA && okB {
			planes = append(planes, through(onTop(a, 0), onTop(b, 0), onTop(p, depth)))
		}
	}
	return planes
}

// frame is the stone's own: its middle, x along it.
func (l *laid) frame() sdf.Pose {
	mid := r2.Scale(0.5, r2.Add(l.box.Min, l.box.Max))
	return sdf.Turn(sdf.V(0, 0, 1), math.Atan2(l.long.Y, l.long.X)*180/math.Pi).Then(sdf.At(sdf.V(mid.X, mid.Y, 0)))
}

// barely is the width of a domed stone, mm, up to which its facets are texture enough.
const barely = 2.5

// face is the texture of the stone, nil for none: the firmest has none.
func (l *laid) face(s *parts.Site, z *pavingSizes) relief.Relief {
	if l.flat || z.wear.grain <= 0 || z.surface == surface.Domed && 2*min(l.half.X, l.half.Y) < barely {
		return nil
	}
	pose := l.frame()
	p := surface.Piece{Seed: l.lot.seed, Half: l.half, Depth: z.wear.grain * (0.7 + 0.6*l.lot.grain), Worn: l.polish, Most: 0.62 * z.recess}
	if l.outline != nil && (l.even || z.surface == surface.Tooled || z.surface == surface.Plate) {
		p.Outline = planar.NewConvex(inFrame(l.outline, pose))
	}
	if l.even {
		return relief.Place(p.True(s, z.surface), pose)
	}
	word := z.surface
	if worn := 0.15 + 0.8*z.wear.chipped; word == surface.Tooled && l.lot.chips[5].flat < worn {
		word = surface.Rubbed // its lines are worn away
	}
	return relief.Place(p.Face(s, word), pose)
}

// inFrame is an outline in the frame of a pose about the vertical.
func inFrame(outline []r2.Vec, pose sdf.Pose) []r2.Vec {
	out := make([]r2.Vec, len(outline))
	for i, q := range outline {
		out[i] = planar.OnPlan(pose.Invert(sdf.V(q.X, q.Y, 0)))
	}
	return out
}
