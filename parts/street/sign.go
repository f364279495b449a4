package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Sign is a post with a blank board or with fingers that point ways, or several.
type Sign struct {
	setout.Places
	Height  float64 `key:"height" type:"height" doc:"over its floor, of the post" default:"2.3 m" min:"1" max:"200" source:"common practice, no source"`
	Post    float64 `key:"post" type:"length" doc:"thickness of the post" default:"110 mm" min:"0" max:"50" source:"common practice, no source"`
	Of      string  `key:"of" type:"word" doc:"what the post carries: a board across it, fingers, or nothing" default:"fingers" words:"board,fingers,none"`
	Length  float64 `key:"length" type:"length" doc:"of the board, or of a finger from the post" default:"750 mm" min:"0" max:"100" source:"common practice, no source"`
	Deep    float64 `key:"deep" type:"height" doc:"height of the board; a finger is as high as its share of it" default:"550 mm" min:"0" max:"100" source:"common practice, no source"`
	Fingers int     `key:"fingers" type:"count" doc:"number of fingers, one under another, each turned by the seed" default:"3" min:"1" max:"6"`
	Lean    float64 `key:"lean" type:"angle" doc:"how far it is knocked over, along its own x" default:"0" min:"0" max:"30"`
	Wear    float64 `key:"wear" type:"number" doc:"0 new .. 1 weathered, its boards split and broken" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "sign", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Posts with a blank board, or with fingers that point ways.",
		Example: `
[[sign]]
at = [[32, 27]]
height = "1.9 m"
of = "board"
length = "1 m"
turn = 130
wear = 0.6

[[boulder]]
at = [[42, 16], [20, 31], [26, 11]]
size = "500 mm"
`,
		New: func() parts.Part { return &Sign{} },
	})
}

// signSizes are those of a sign as it is drawn, mm.
type signSizes struct {
	high, post float64
	long, deep float64 // of the board; of a finger, from the axis of the post
	thick      float64 // of a board
	fingers    int
	bulk       r3.Vec
	notes      parts.Notes
}

// signCap is how far a post reaches over what it carries, over its thickness.
const signCap = 0.9

func (g *Sign) settled(s *parts.Site) *signSizes {
	return parts.Settled(s, g, func() *signSizes {
		z := &signSizes{notes: parts.Notes{Part: g.Name}}
		z.post = z.notes.AtLeast("post", g.Post, s.Print.Pin, "pin")
		z.high = z.notes.AtLeast("height", g.Height, 5*z.post, "sign, five times as high as its post is thick")
		z.thick = math.Max(s.OnPrint(30), s.Print.Wall+0.7*s.Print.Relief)
		side, across := z.post/2, z.post/2
		switch g.Of {
		case "board":
			z.long = z.notes.AtLeast("length", g.Length, 2*z.post, "board, twice as long as the post is thick")
			z.deep = math.Min(0.6*z.high, z.notes.AtLeast("deep", g.Deep, 1.2*s.Print.Wall, "board, more than a wall"))
			across = math.Max(across, z.long/2)
			side += z.thick
		case "fingers":
			z.long = z.notes.AtLeast("length", g.Length, 2*z.post, "finger, twice as long as the post is thick")
			least := 1.2 * s.Print.Wall
			z.deep = math.Max(least, z.notes.AtLeast("deep", g.Deep, least, "finger, more than a wall")/float64(max(3, g.Fingers)))
			z.fingers = g.Fingers
			if n := int(0.6 * z.high / (1.25 * z.deep)); n < z.fingers {
				z.fingers = max(1, n)
				z.notes.Add("fingers", "%d of %d are left out: the post has no room for them", g.Fingers-z.fingers, g.Fingers)
			}
			side = math.Hypot(z.long, z.thick/2)
			across = math.Max(across, side)
		}
		sin, cos := planar.SinCos(g.Lean)
		far, top := z.post/2/cos, 0.0
		reach := plan(z.post/2, z.high-z.post/2, 0.45*z.post/2, z.high)
		switch g.Of {
		case "board": // behind the way that it leans, so that its foot does not hang
			far = math.Max(far, side*cos-(z.high-signCap*z.post-z.deep)*sin)
			top = (z.high-signCap*z.post)*cos + side*sin
		case "fingers":
			reach = append(reach, r2.Vec{X: side, Y: z.high - signCap*z.post})
		}
		for _, p := range reach {
			far, top = math.Max(far, p.X*cos+p.Y*sin), math.Max(top, p.Y*cos+p.X*sin)
		}
		z.bulk = sdf.V(2*far, 2*across, top)
		return z
	})
}

// Notes say what is drawn otherwise than the scene gives it.
func (g *Sign) Notes(s *parts.Site) []parts.Note { return g.settled(s).notes.List }

// Bulk is the size of one: as far as it may reach to either side of its foot.
func (g *Sign) Bulk(s *parts.Site) r3.Vec { return g.settled(s).bulk }

// Body is one: a square post with a pointed head, and boards in it.
func (g *Sign) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := g.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	half := z.post / 2
	sin, cos := planar.SinCos(g.Lean)
	root := (-at.Foot + half*sin) / cos
	grain := surface.AllRound(grainOf(s, at.Seed, 0.12*z.post), 0)
	post := sdf.Union(relief.Carve(sdf.BoxBetween(sdf.V(-half, -half, -root), sdf.V(half, half, z.high-half)), grain),
		tapered(z.high-half-0.02, z.high, half, 0.45*half))
	all := []sdf.Field{post}
	top := z.high - signCap*z.post
	switch g.Of {
	case "board":
		all = append(all, g.board(s, rng, at.Seed, top))
	case "fingers":
		for k := range z.fingers {
			turn := 360 * rng.Float64()
			if k > 0 { // away from the one over it
				turn = 137.5*float64(k) + 40*rng.Float64()
			}
			all = append(all, sdf.Place(g.finger(s, rng, at.Seed+uint64(k), top-1.25*z.deep*float64(k)), sdf.Turn(sdf.V(0, 0, 1), turn)))
		}
	}
	f := sdf.Union(all...)
	if g.Lean == 0 {
		return f
	}
	return sdf.Intersection(sdf.Place(f, sdf.Turn(sdf.V(0, 1, 0), g.Lean)), sdf.HalfSpace(sdf.V(0, 0, -1), -at.Foot))
}

// board stands across the post, its face along -x, in a frame of battens, on two stays: its top
// at a height.
func (g *Sign) board(s *parts.Site, rng *rand.Rand, seed uint64, top float64) sdf.Field {
	z := g.settled(s)
	out, in := z.post/2+z.thick, z.post/2-0.1 // its face, and its back within the post
	y, low := z.long/2, top-z.deep
	edge := math.Min(0.18*z.deep, math.Max(s.OnPrint(45), 0.6*s.Print.Wall))
	sunk := math.Min(0.5*s.Print.Relief, 0.3*z.thick)
	face := sdf.BoxBetween(sdf.V(in, -y, low), sdf.V(out, y, top))
	boards := relief.NewPanels(seed, 3*z.long, math.Max(s.OnPrint(140), 3.5*s.Print.Gap), s.Print.Gap, 0.8*sunk, 0.3*sunk, 0)
	facing := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), 90))
	panel := sdf.Intersection(face, relief.Carve(sdf.HalfSpace(sdf.V(1, 0, 0), out-sunk), relief.Place(boards, facing)))
	frame := sdf.Difference(face, sdf.BoxBetween(sdf.V(in-1, -y+edge, low+edge), sdf.V(out+1, y-edge, top-edge)))
	board := sdf.Union(panel, frame)
	if g.Wear > 0.2 { // a corner is broken off
		reach := 0.5 * g.Wear * math.Min(z.deep, y)
		side := 1 - 2*float64(rng.IntN(2))
		n := sdf.V(0, side, 0.6+0.8*rng.Float64())
		corner := sdf.V(0, side*(y-reach), top)
		board = sdf.Intersection(board, sdf.HalfSpace(n, r3.Dot(n, corner)/r3.Norm(n)))
	}
	stick := math.Max(s.OnPrint(45), s.Print.Pin) / 2
	stays := []sdf.Field{board}
	for _, side := range [2]float64{-1, 1} { // from under its ends down to the post
		end := math.Max(0, y-stick)
		foot := math.Max(stick, low+stick-end)
		stays = append(stays, sdf.Capsule(sdf.V(z.post/2, side*end, low+1.1*stick), sdf.V(z.post/2-stick/2, 0, foot), stick))
	}
	return sdf.Place(sdf.Union(stays...), sdf.Turn(sdf.V(0, 0, 1), 180))
}

// finger is a pointed board out of the post along x, on a bracket: its top at a height.
func (g *Sign) finger(s *parts.Site, rng *rand.Rand, seed uint64, top float64) sdf.Field {
	z := g.settled(s)
	low, half := top-z.deep, z.thick/2
	long := z.long
	tip := math.Min(0.5*z.deep, 0.3*z.long)
	if rng.Float64() < 0.4*g.Wear { // broken short
		long *= 0.55 + 0.25*rng.Float64()
	}
	// Its plan is upright: x stays, y is up. Grain is on its sides alone.
	upright := sdf.Turn(sdf.V(1, 0, 0), 90)
	outline := sdf.Prism(plan(0, low, long-tip, low, long, (low+top)/2, long-tip, top, 0, top), -z.thick, z.thick)
	const over = 5 // mm: beyond its outline
	grain := relief.NewFacets(seed, math.Max(1, 3*s.Print.Gap), math.Min(s.Grain(), 0.08*z.thick), 0.4)
	slab := relief.Carve(sdf.BoxBetween(sdf.V(-over, low-over, -half), sdf.V(z.long+over, top+over, half)), grain)
	f := sdf.Place(sdf.Intersection(outline, slab), upright)
	rim := math.Max(0.7*s.Print.Gap, 0.14*z.deep)
	sunk := math.Min(0.35*s.Print.Relief, 0.25*z.thick)
	from := z.post/2 + rim
	if long-tip-from > 2*rim && z.deep > 4*rim {
		inner := plan(from, low+rim, long-tip-0.4*rim, low+rim, long-1.5*rim, (low+top)/2, long-tip-0.4*rim, top-rim, from, top-rim)
		for _, side := range [2]float64{-1, 1} {
			lo, hi := half-sunk, half+1
			if side < 0 {
				lo, hi = -half-1, -half+sunk
			}
			f = sdf.Difference(f, sdf.Place(sdf.Prism(inner, lo, hi), upright))
		}
	}
	// A pierced bracket carries it, at half a right angle.
	reach := math.Min(0.97*(long-tip), low)
	web := 0.45 * z.thick
	bracket := sdf.Prism(plan(0, low+0.05, reach, low+0.05, reach, low, 0, low-reach), -web, web)
	const inscribed = 0.293 // of the side of such a triangle: the radius of its circle
	if hole := math.Min(inscribed*reach-s.Print.Pin, 1.4); hole > s.Print.Gap {
		at := inscribed * reach
		bracket = sdf.Difference(bracket, sdf.Place(sdf.Cylinder(hole, 2*z.thick, 0), sdf.At(sdf.V(at, low-at, -z.thick))))
	}
	return sdf.Union(f, sdf.Place(bracket, upright))
}

// Matter is boards.
func (g *Sign) Matter(s *parts.Site) parts.Matter {
	z := g.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.high, z.post, z.post), Volume: z.post*z.post*z.high + z.long*z.deep*z.thick}
}

// Measures is its height beside a person.
func (g *Sign) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", g.settled(s).bulk.Z)
}

// Remedies of signs.
func (g *Sign) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(g)
	switch {
	case t.Thin():
		r.Scaled("post", "a thicker post", g.Post, 1.25, 1.5)
		if t.Of("slender-pin") {
			r.Scaled("height", "a lower post", g.Height, 0.85, 0.7)
		}
		r.Scaled("wear", "less worn", g.Wear, 0.5, 0)
	case t.Hanging():
		r.Scaled("length", "shorter", g.Length, 0.8, 0.6)
		r.Scaled("lean", "which leans less", g.Lean, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the signs, or the stand")
	}
	return r.All
}
