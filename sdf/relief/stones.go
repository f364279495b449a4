package relief

import (
	"math"

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
	return &Stones{seed: seed, pitch: math.Max(pitch, 1e-3), depth: depth, share: share}
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

// at gives the depth over a point, and its derivative.
func (s *Stones) at(p r3.Vec) (h float64, g r3.Vec) {
	x, y := p.X/s.pitch, p.Y/s.pitch
	fx, fy := math.Floor(x), math.Floor(y)
	h = 1
	for dj := int64(-1); dj <= 1; dj++ {
		for di := int64(-1); di <= 1; di++ {
			n := sdf.Hash(s.seed, int64(fx)+di, int64(fy)+dj, 3)
			if unit(n>>40) >= s.share {
				continue
			}
			cx := fx + float64(di) + 0.5 + float64(stoneJitter*signed(n))
			cy := fy + float64(dj) + 0.5 + float64(stoneJitter*signed(n>>20))
			m := sdf.Hash(n, 5, 7, 11)
			reach := stoneReach * (stoneLeast + float64((1-stoneLeast)*unit(m)))
			dx, dy := x-cx, y-cy
			if corner := stoneCorner * reach; float64(dx*dx)+float64(dy*dy) >= float64(corner*corner) {
				continue
			}
			r, nx, ny := s.flank(m, dx, dy)
			t := (r/reach - stoneTop) / (1 - stoneTop)
			rise := 0.55 + float64(0.45*unit(m>>20)) // of the tallest stone
			d := 1 - rise
			k := 0.0
			if t > 0 {
				d += float64(rise * t)
				k = rise / (reach * (1 - stoneTop))
			}
			if d < h {
				h, g = d, r3.Vec{X: float64(k * nx), Y: float64(k * ny)}
			}
		}
	}
	return float64(s.depth * h), r3.Scale(s.depth/s.pitch, g)
}

// flank is the greatest of the distances to the sides of a stone, and the side's normal.
func (s *Stones) flank(m uint64, dx, dy float64) (r, nx, ny float64) {
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
