package wild

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// Boulder is a rock with faces where it broke, or several; each is let into its floor.
type Boulder struct {
	setout.Places
	Size     float64 `key:"size" type:"length" doc:"longest side on the plan" default:"900 mm" min:"0.5" max:"200" source:"a boulder is over 256 mm: the Wentworth scale, from memory"`
	Flatness float64 `key:"flatness" type:"number" doc:"0 nearly as tall as it is long .. 1 a slab of a fifth of that" default:"0.35" min:"0" max:"1" source:"common practice, no source"`
	Wear     float64 `key:"wear" type:"number" doc:"0 sharp, as it broke .. 1 rounded by water" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "boulder", Stage: parts.Fitting, Group: "Nature",
		Doc: "Boulders with flat faces where they broke, no two alike, let into the ground.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "gravel"

[[boulder]]
at = [[28, 29]]
size = "1.3 m"
flatness = 0.2
turn = 20

[[boulder]]
at = [[44, 20], [27, 11]]
size = "650 mm"
seed = 5
`,
		New: func() parts.Part { return &Boulder{} },
	})
}

// boulderSizes are those of a boulder as it is drawn, mm.
type boulderSizes struct {
	bulk  r3.Vec
	notes parts.Notes
}

const (
	tallest  = 0.8  // height of the least flat boulder, of its size
	flattest = 0.2  // of the flattest
	broad    = 0.78 // width of one, of its size
)

func (b *Boulder) settled(s *parts.Site) *boulderSizes {
	return parts.Settled(s, b, func() *boulderSizes {
		z := &boulderSizes{notes: parts.Notes{Part: b.Name}}
		size := z.notes.AtLeast("size", b.Size, 2.5*s.Print.Wall, "boulder, two and a half walls")
		high := (tallest + (flattest-tallest)*b.Flatness) * size
		z.bulk = sdf.V(size, broad*size, z.notes.AtLeast("flatness", high, math.Min(s.Print.Wall, tallest*size), "height of a boulder, a wall"))
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (b *Boulder) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

// Bulk is the size of one over its floor.
func (b *Boulder) Bulk(s *parts.Site) r3.Vec { return b.settled(s).bulk }

// lump is a convex rock of a radius of about one over z = 0: faces that look out and up,
// the fewer the sharper it is, and some larger ones where more broke off.
func lump(rng *rand.Rand, wear float64) []convex.Plane {
	faces := 9 + int(math.Round(13*wear))
	turn := rng.Float64()
	uneven := 0.3 - 0.18*wear
	planes := []convex.Plane{{N: sdf.V(0, 0, -1)}}
	for i := range faces {
		z := math.Max(0.04, math.Min(1, (float64(i)+between(rng, 0.1, 0.9))/float64(faces)))
		sin, cos := math.Sincos(2 * math.Pi * (turn + 0.382*float64(i) + between(rng, -0.07, 0.07))) // the golden angle
		flat := math.Sqrt(1 - z*z)
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(flat*cos, flat*sin, z)), D: 1 - uneven*rng.Float64()})
	}
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	lean := between(rng, 0.1, 0.3) // of its top, which is never a point
	planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(lean*cos, lean*sin, 1)), D: between(rng, 0.6, 0.72) + 0.15*wear})
	for range 2 + rng.IntN(2) {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, between(rng, 0.15, 1.1))), D: between(rng, 0.55, 0.75) + 0.15*wear})
	}
	return planes
}

// Body is one: a lump with lower shoulders that broke off it or lie against it, drawn out
// to its size, a crack across it and a rough face all over.
func (b *Boulder) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := b.settled(s)
	rng := s.Rand(b.Name, at.Seed, "rock")
	solids := [][]convex.Plane{lump(rng, b.Wear)}
	turn := rng.Float64()
	for i := range 1 + rng.IntN(2) {
		sin, cos := math.Sincos(2 * math.Pi * (turn + 0.5*float64(i) + between(rng, -0.1, 0.1)))
		small := between(rng, 0.5, 0.66)
		var side []convex.Plane
		for _, f := range lump(rng, b.Wear) {
			f.D *= small
			side = append(side, f)
		}
		solids = append(solids, convex.Placed(side, sdf.At(sdf.V(0.62*cos, 0.62*sin, 0))))
	}
	var corners []r3.Vec
	for _, planes := range solids {
		corners = append(corners, convex.Corners(planes)...)
	}
	lo, hi := boxOf(corners)
	size := r3.Sub(hi, lo)
	scale := sdf.V(z.bulk.X/size.X, z.bulk.Y/size.Y, z.bulk.Z/size.Z)
	move := sdf.V(-scale.X*(lo.X+hi.X)/2, -scale.Y*(lo.Y+hi.Y)/2, -scale.Z*lo.Z)
	var all []sdf.Field
	var peak []r3.Vec // corners of the first
	for i, planes := range solids {
		var drawn []convex.Plane
		for _, f := range planes[1:] { // all but the one that it lies on
			n := sdf.V(f.N.X/scale.X, f.N.Y/scale.Y, f.N.Z/scale.Z)
			d := f.D + r3.Dot(n, move)
			drawn = append(drawn, plane(n, r3.Scale(d/r3.Dot(n, n), n)))
		}
		drawn = clipped(drawn, sdf.V(-z.bulk.X/2, -z.bulk.Y/2, at.Foot-under), sdf.V(z.bulk.X/2, z.bulk.Y/2, z.bulk.Z))
		all = append(all, solidOf(drawn))
		if i == 0 {
			peak = convex.Corners(drawn)
		}
	}
	least := math.Min(z.bulk.Y, z.bulk.Z)
	body := footed(relief.Carve(sdf.Union(all...), grit(s, at.Seed, z.bulk.X, 0.12*least)), at.Foot)
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	lean := between(rng, 0.2, 0.8)
	out := convex.Unit(sdf.V(lean*cos, lean*sin, 1))
	across := convex.Unit(r3.Cross(out, sdf.V(cos, sin, -lean)))
	wide, deep := math.Max(1.6*s.Print.Gap, 0.035*z.bulk.X), 0.3*least
	if deep < wide {
		return body // too small to be cracked
	}
	return sdf.Difference(body, notch(r3.Add(farthest(peak, out), r3.Scale(between(rng, -0.15, 0.15)*z.bulk.Y, across)), out, across, wide, deep))
}

// Matter is stones.
func (b *Boulder) Matter(s *parts.Site) parts.Matter {
	bulk := b.settled(s).bulk
	return parts.Matter{Form: parts.Stones, Unit: bulk, Volume: 0.5 * bulk.X * bulk.Y * bulk.Z}
}

// Measures is its height beside a person.
func (b *Boulder) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "flatness", b.Bulk(s).Z)
}

// Remedies of boulders.
func (b *Boulder) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Thin():
		r.Scaled("size", "larger boulders", b.Size, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the boulders, or the stand")
	}
	return r.All
}
