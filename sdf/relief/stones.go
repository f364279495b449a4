package relief

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Stones is a bed of stones, clods or pebbles over the x, y plane, in mm, packed without
// an order: each is a low pyramid with a flat top, of flat faces, and no two are turned or
// as tall alike. Between them the ground is at the greatest depth.
type Stones struct {
	seed  uint64
	pitch float64
	depth float64
	share float64 // of the places that hold a stone
}

// NewStones is a bed of stones about pitch mm apart (at least 0.001) that stand up to depth
// mm over the ground between them. A share of the places, 0 to 1, holds one; the others are
// ground.
func NewStones(seed uint64, pitch, depth, share float64) *Stones {
	return &Stones{seed: seed, pitch: max(pitch, 1e-3), depth: depth, share: share}
}

const (
	stoneSides  = 5
	stoneJitter = 0.3  // how far a stone strays, over the pitch
	stoneReach  = 0.72 // how far the foot of the largest lies from its middle
	stoneLeast  = 0.62 // the smallest stone over the largest
	stoneTop    = 0.45 // of the way from the middle to the foot: where the flat top ends
	stoneCorner = 1.41 // more than how far a corner of the foot lies, over its sides: these are at most 89 degrees apart
)

// stoneSlope bounds the slope of a bed of depth 1 and pitch 1: a face falls by the depth
// over the width of the flank of the smallest stone.
const stoneSlope = 1 / (stoneReach * stoneLeast * (1 - stoneTop))

// stone is one of them, in pitches.
type stone struct {
	n      uint64
	x, y   float64
	reach  float64
	corner float64 // the square of how far its corners lie at most
}

// stone is the one of a place; ok is false where there is none.
func (s *Stones) stone(i, j int64) (o stone, ok bool) {
	n := sdf.Hash(s.seed, i, j, 3)
	if unit(n>>40) >= s.share {
		return o, false
	}
	o.x = float64(i) + 0.5 + float64(stoneJitter*signed(n))
	o.y = float64(j) + 0.5 + float64(stoneJitter*signed(n>>20))
	o.n = sdf.Hash(n, 5, 7, 11)
	o.reach = stoneReach * (stoneLeast + float64((1-stoneLeast)*unit(o.n)))
	corner := stoneCorner * o.reach
	o.corner = float64(corner * corner)
	return o, true
}

// over gives the depth that a stone leaves over a point, of 1, and its derivative; ok is
// false beyond it.
func (o *stone) over(x, y float64) (d, gx, gy float64, ok bool) {
	dx, dy := x-o.x, y-o.y
	if float64(dx*dx)+float64(dy*dy) >= o.corner {
		return 0, 0, 0, false
	}
	r, nx, ny := flank(o.n, dx, dy)
	t := (r/o.reach - stoneTop) / (1 - stoneTop)
	rise := 0.55 + float64(0.45*unit(o.n>>20)) // of the tallest stone
	d = 1 - rise
	k := 0.0
	if t > 0 {
		d += float64(rise * t)
		k = rise / (o.reach * (1 - stoneTop))
	}
	return d, float64(k * nx), float64(k * ny), true
}

// at gives the depth over a point, and its derivative.
func (s *Stones) at(p r3.Vec) (h float64, g r3.Vec) {
	x, y := p.X/s.pitch, p.Y/s.pitch
	i, j := int64(math.Floor(x)), int64(math.Floor(y))
	h = 1
	for dj := int64(-1); dj <= 1; dj++ {
		for di := int64(-1); di <= 1; di++ {
			if o, ok := s.stone(i+di, j+dj); ok {
				if d, gx, gy, ok := o.over(x, y); ok && d < h {
					h, g = d, r3.Vec{X: gx, Y: gy}
				}
			}
		}
	}
	return float64(s.depth * h), r3.Scale(s.depth/s.pitch, g)
}

// mostKept bounds the stones or corners that a relief keeps for a ball.
const mostKept = 48

// Prune keeps the stones that reach into a ball.
func (s *Stones) Prune(b sdf.Ball) Relief {
	x, y, r := b.C.X/s.pitch, b.C.Y/s.pitch, b.R/s.pitch+slack
	lo := func(x float64) int64 { return int64(math.Floor(x-r)) - 1 }
	hi := func(x float64) int64 { return int64(math.Floor(x+r)) + 1 }
	if (hi(x)-lo(x)+1)*(hi(y)-lo(y)+1) > mostKept {
		return s
	}
	few := &fewStones{Stones: s}
	for j := lo(y); j <= hi(y); j++ { // in the order of at
		for i := lo(x); i <= hi(x); i++ {
			if o, ok := s.stone(i, j); ok {
				few.all = append(few.all, o)
			}
		}
	}
	return few.Prune(b)
}

// fewStones is a bed of stones of which there are but a few.
type fewStones struct {
	*Stones
	all []stone
}

func (s *fewStones) at(p r3.Vec) (h float64, g r3.Vec) {
	x, y := p.X/s.pitch, p.Y/s.pitch
	h = 1
	for i := range s.all {
		if d, gx, gy, ok := s.all[i].over(x, y); ok && d < h {
			h, g = d, r3.Vec{X: gx, Y: gy}
		}
	}
	return float64(s.depth * h), r3.Scale(s.depth/s.pitch, g)
}

func (s *fewStones) Value(p r3.Vec) float64 {
	h, _ := s.at(p)
	return h
}

func (s *fewStones) Gradient(p r3.Vec) (float64, r3.Vec) { return s.at(p) }
func (s *fewStones) Cost() int                           { return min(3, len(s.all)) }

func (s *fewStones) Prune(b sdf.Ball) Relief {
	x, y, r := b.C.X/s.pitch, b.C.Y/s.pitch, b.R/s.pitch+slack
	var near [mostKept]stone
	n := 0
	for _, o := range s.all {
		dx, dy, far := x-o.x, y-o.y, stoneCorner*o.reach+r
		if float64(dx*dx)+float64(dy*dy) < float64(far*far) && s.reaches(&o, dx, dy, r) {
			near[n] = o
			n++
		}
	}
	switch n {
	case 0:
		return &even{s.depth}
	case len(s.all):
		return s
	}
	return &fewStones{s.Stones, slices.Clone(near[:n])}
}

// reaches says whether a stone may stand over the ground within r of a place; all in
// pitches.
func (s *Stones) reaches(o *stone, dx, dy, r float64) bool {
	side, _, _ := flank(o.n, dx, dy)
	return side-r < o.reach
}

// flank is the greatest of the distances to the sides of a stone, and the side's normal.
func flank(m uint64, dx, dy float64) (r, nx, ny float64) {
	first := int(m >> 44 & 63)
	for i := range stoneSides {
		d := directions[(first+i*len(directions)/stoneSides+int(m>>(50+2*uint(i))&3))%len(directions)]
		if v := float64(d[0]*dx) + float64(d[1]*dy); i == 0 || v > r {
			r, nx, ny = v, d[0], d[1]
		}
	}
	return r, nx, ny
}

// Value is the depth over p, whatever its z.
func (s *Stones) Value(p r3.Vec) float64 {
	h, _ := s.at(p)
	return h
}

// Gradient is the depth over p and its derivative.
func (s *Stones) Gradient(p r3.Vec) (float64, r3.Vec) { return s.at(p) }

func (s *Stones) Depth() float64    { return s.depth }
func (s *Stones) Steepest() float64 { return stoneSlope * s.depth / s.pitch }
func (s *Stones) Cost() int         { return 3 }

// directions are 64 unit vectors in the plane.
var directions = func() (d [64][2]float64) {
	for i := range d {
		d[i][1], d[i][0] = math.Sincos(2 * math.Pi * float64(i) / 64)
	}
	return d
}()
