package wall

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// dressing is the surface of the wall: the scene's, else what suits its masonry.
func (w *Wall) dressing() string {
	switch {
	case w.Surface != nil:
		return *w.Surface
	case w.Coursing == "brick":
		return surface.Brick
	case w.Coursing == "none":
		return surface.Concrete
	}
	return surface.RockFaced
}

// mostOff is what a texture may take off each face of a wall of a thickness, mm: what is
// left is a wall that prints. 0 where there is no room for one.
func mostOff(s *parts.Site, thick float64) float64 {
	most := (thick - s.Print.Wall) / 2
	if most < 0.8*s.Grain() {
		return 0
	}
	return most
}

// onFace takes a relief from its own plane to the wall: x along, y up.
func onFace(h relief.Relief, at r3.Vec) relief.Relief {
	return relief.Place(h, sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(at)))
}

// smallUnit is the height of a brick, mm, below which most have no texture but that no
// two faces are alike.
const smallUnit = 2.0

// unit is a stone or a brick between two corners in the frame of its side: a block with
// eased edges and struck corners, hewn of planes, with its texture cut into it.
func (m *masonry) unit(lo, hi r3.Vec, round float64, seed uint64) sdf.Field {
	rng := rand.New(rand.NewPCG(seed, 23))
	size := r3.Sub(hi, lo)
	least := min(size.X, size.Z)
	if m.surface == surface.RockFaced {
		round = max(round, min(0.2*least, m.depth))
	}
	round = min(round, 0.3*least, 0.3*size.Y)
	planes := []convex.Plane{
		{N: sdf.V(1, 0, 0), D: hi.X}, {N: sdf.V(-1, 0, 0), D: -lo.X}, {N: sdf.V(0, 1, 0), D: hi.Y},
		{N: sdf.V(0, -1, 0), D: -lo.Y}, {N: sdf.V(0, 0, 1), D: hi.Z}, {N: sdf.V(0, 0, -1), D: -lo.Z},
	}
	mid := r3.Scale(0.5, r3.Add(lo, hi))
	half := r3.Scale(0.5, size)
	// cut takes off what lies beyond a plane at a place of the block's edge, depth behind it.
	cut := func(n, edge r3.Vec, depth float64) {
		n = convex.Unit(n)
		at := sdf.V(mid.X+edge.X*half.X, mid.Y+edge.Y*half.Y, mid.Z+edge.Z*half.Z)
		planes = append(planes, convex.Plane{N: n, D: float64(n.X*at.X) + float64(n.Y*at.Y) + float64(n.Z*at.Z) - depth})
	}
	spalled := rng.Float64() < 0.4*m.w.Wear
	side, left, up := sign(rng), sign(rng), sign(rng)
	a, b, deep := 0.5+rng.Float64(), 0.5+rng.Float64(), 0.15+0.2*rng.Float64()
	for _, y := range [2]float64{-1, 1} {
		for _, e := range [4][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			skew, wide := 0.12*(2*rng.Float64()-1), 0.4+0.5*rng.Float64()
			if round < 0.05 {
				continue
			}
			cut(sdf.V(e[0]+skew*e[1], y, e[1]+skew*e[0]), sdf.V(e[0], y, e[1]), round*wide)
		}
	}
	if spalled {
		cut(sdf.V(left*a, side*1.2, up*b), sdf.V(left, side, up), deep*least)
	}
	smooth := m.mostOff == 0 || m.surface == surface.Plain
	if small := least < smallUnit; small && !smooth && m.surface == surface.Brick {
		// Its faces are askew, and only one in three has a texture.
		for _, y := range [2]float64{-1, 1} {
			cut(sdf.V(0.12*(2*rng.Float64()-1), y, 0.2*(2*rng.Float64()-1)), sdf.V(0, y, 0), min(m.mostOff, 0.4*m.grain)*rng.Float64())
		}
		smooth = rng.Float64() < 0.67
	}
	body := convex.Boxed(planes, r3.Box{Min: lo, Max: hi})
	if smooth {
		return body
	}
	piece := surface.Piece{Seed: seed, Depth: m.grain, Most: m.mostOff}
	return relief.Carve(body, onFace(piece.Face(m.s, m.surface), mid))
}

func sign(rng *rand.Rand) float64 {
	if rng.Float64() < 0.5 {
		return -1
	}
	return 1
}

// unitSeed is that of stone c of a row of a side.
func (m *masonry) unitSeed(side wallSide, row, c int) uint64 {
	return rand.New(rand.NewPCG(m.seed^math.Float64bits(side.start), uint64(row)<<32^uint64(uint32(c)))).Uint64()
}

// coat is the texture of a plain side.
func (m *masonry) coat(f sdf.Field, side wallSide) sdf.Field {
	if m.mostOff == 0 || m.surface == surface.Plain {
		return f
	}
	h := surface.Upright(m.s, m.surface, m.unitSeed(side, 0, 0), m.w.Wear, m.mostOff)
	return relief.Carve(f, onFace(h, sdf.V(0, 0, m.w.From.Height)))
}

// roughTop breaks the top of a stone in facets, as the mortar on it came off.
func (m *masonry) roughTop(stone sdf.Field, top float64, seed uint64) sdf.Field {
	if m.mostOff == 0 || m.surface == surface.Plain {
		return stone
	}
	return surface.CutTop(stone, top, relief.NewFacets(seed, 1.3, m.s.Print.Relief, 0.1))
}

// roughEnd breaks the end of a side, a stone that nothing lies beside: x is where it ends,
// way the direction that it looks in along the side, 1 or -1.
func (m *masonry) roughEnd(stone sdf.Field, x, way float64, seed uint64) sdf.Field {
	if m.mostOff == 0 || m.surface == surface.Plain {
		return stone
	}
	return sdf.Intersection(stone, relief.Carve(sdf.HalfSpace(sdf.V(way, 0, 0), way*x), surface.Rough(seed, 2, m.endDepth())))
}

// endDepth is how far the ends of a side are broken, mm.
func (m *masonry) endDepth() float64 { return min(1.2*m.s.Print.Relief, 0.25*m.thick) }
