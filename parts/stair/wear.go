package stair

import (
	"math"
	"math/rand/v2"

	"socle/sdf"
)

// chipsPerTread is the most chips that wear knocks out of one nosing.
const chipsPerTread = 3

// wornShare is how much of its width wear dishes out of a tread.
const wornShare = 0.76

// level is all below tread i, less a dish that is deepest at the nosing and runs out before
// the back of the tread.
func (b *builder) level(i int) sdf.Field {
	l := b.l
	y, top := float64(i)*l.Going-l.Nosing, l.TreadTop(i)
	level := sdf.HalfSpace(sdf.V(0, 0, 1), top)
	if b.st.Wear <= 0 {
		return level
	}
	return sdf.Difference(level, dish(b.half*wornShare, b.st.Wear*0.22*min(l.Riser, l.Going), y, 0.7*l.Going, top))
}

// worn takes chips out of the nosing of tread i.
func (b *builder) worn(i int, rng *rand.Rand, tread sdf.Field) sdf.Field {
	wear := b.st.Wear
	if wear <= 0 {
		return tread
	}
	l := b.l
	y, top := float64(i)*l.Going-l.Nosing, l.TreadTop(i)
	var take []sdf.Field
	for range chipsPerTread {
		at := (rng.Float64()*2 - 1) * b.half
		size := (0.15 + 0.25*rng.Float64()) * min(l.Riser, l.Going)
		tilt := rng.Float64()*60 - 30
		if rng.Float64() > wear || size < b.s.Print.Relief/2 {
			continue
		}
		chip := sdf.Place(sdf.Box(sdf.V(2.2*size, size, size), 0),
			sdf.Turn(sdf.V(1, 0, 0), 45).Then(sdf.Turn(sdf.V(0, 0, 1), tilt/2)).Then(sdf.Turn(sdf.V(0, 1, 0), tilt/3)).
				Then(sdf.At(sdf.V(at, y-size*0.15, top+size*0.15))))
		take = append(take, chip)
	}
	return sdf.Difference(tread, take...)
}

// dish is a hollow trodden into a tread: half its width, its depth at the
// nosing at y, and the length over which it runs out, all mm. It is a lying
// cylinder of the radius that such a chord and depth have.
func dish(half, depth, y, length, top float64) sdf.Field {
	radius := (half*half + depth*depth) / (2 * depth)
	lean := math.Atan2(depth, length) * 180 / math.Pi
	// Its lowest line ends at the origin, then leans down towards the nosing.
	reach := length * 1.3 // a little past the nosing
	tube := sdf.Place(sdf.Cylinder(radius, reach, 0), sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(0, 0, radius))))
	return sdf.Place(tube, sdf.Turn(sdf.V(1, 0, 0), lean).Then(sdf.At(sdf.V(0, y+length, top))))
}
