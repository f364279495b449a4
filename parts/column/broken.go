package column

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/fracture"
	"socle/sdf"
)

// Columns break where a bite reaches two of five places of their section: the middle and
// four at its edge. What stands below ends at the joint of a drum, as tall as the shaft
// is thick, or is torn off in facets; above it all is gone. Common practice, no source.
const (
	struckPlaces = 2
	tornShare    = 0.5 // of those that break, torn through a drum
)

// Bitten is the columns that still stand, as high as the bites left them.
func (c *Column) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	rng := s.Rand(c.Name, c.Seed, "columns")
	z := c.settled(s)
	texture := s.Rand(c.Name, c.Seed, "surface").Uint64()
	var stand []sdf.Field
	taken := make([][]sdf.Field, len(bites))
	for i, at := range c.At {
		whole := c.one(s, rng, at, z, drumSeed(texture, i))
		high, bite := c.struck(at, z, bites)
		base := z.base + 0.1*z.foot
		switch {
		case bite < 0:
			stand = append(stand, whole)
			continue
		case high < base || under.Value(sdf.V(at.X, at.Y, s.BearingUnder(c.Level.Height, []r2.Vec{at})+0.1)) > 0:
			continue // gone with its foot
		}
		stand = append(stand, whole)
		k := rand.New(rand.NewPCG(bites[bite].Seed, uint64(int64(math.Round(1000*at.X)))<<32^uint64(int64(math.Round(1000*at.Y)))))
		taken[bite] = append(taken[bite], sdf.Place(c.above(k, high, z), sdf.At(sdf.V(at.X, at.Y, c.Level.Height))))
	}
	return []parts.Remains{{Work: sdf.Union(stand...), Taken: fracture.Unions(taken)}}
}

// struck is the height over the level at which a bite first reaches a column, and which;
// -1 where none does.
func (c *Column) struck(at r2.Vec, z *sizes, bites []parts.Bite) (high float64, bite int) {
	step := math.Max(z.foot/8, c.Height/200)
	for h := 0.0; h <= c.Height; h += step {
		for i := range bites {
			in := 0
			for _, d := range [5]r2.Vec{{}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				q := r2.Add(at, r2.Scale(0.45*z.foot, d))
				if bites[i].Gone.Value(sdf.V(q.X, q.Y, c.Level.Height+h)) < 0 {
					in++
				}
			}
			if in >= struckPlaces {
				return h, i
			}
		}
	}
	return 0, -1
}

// above is what is gone of a column about the axis, struck at a height over its level.
func (c *Column) above(rng *rand.Rand, high float64, z *sizes) sdf.Field {
	torn := rng.Float64() < tornShare
	joint := z.base + math.Max(0, math.Floor((high-z.base)/z.foot))*z.foot
	if joint > 0 && joint >= z.base && !torn {
		high = joint
	}
	reach := 3 * z.foot
	all := sdf.BoxBetween(sdf.V(-reach, -reach, math.Max(0, high-1.5*z.foot)), sdf.V(reach, reach, 2*c.Height+reach))
	turn := 360 * rng.Float64()
	face := func(lean, turn, at float64) sdf.Field {
		n := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.Turn(sdf.V(0, 1, 0), lean).Rotate(sdf.V(0, 0, 1)))
		return sdf.HalfSpace(n, n.Z*at)
	}
	if !torn { // off its bed by a hair's breadth, and a spall off the joint's edge
		return sdf.Intersection(all, sdf.Complement(sdf.Intersection(face(0, 0, high), face(35+20*rng.Float64(), turn, high+0.2*z.foot))))
	}
	a, b, d := rng.Float64(), rng.Float64(), rng.Float64()
	left := sdf.Union(
		sdf.Intersection(face(25+25*a, turn, high), face(40+20*d, turn+200, high+0.2*z.foot)),
		sdf.Intersection(face(30+25*b, turn+140, high-0.1*z.foot), face(25+20*a, turn+250, high)))
	return sdf.Intersection(all, sdf.Complement(left))
}
