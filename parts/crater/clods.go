package crater

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

// What is thrown: the largest at the lip is a share of the radius, and the size falls with
// the distance; the number larger than a size goes as its power, as in broken rock
// (references.md section 6); the area that they cover falls with the square of the
// distance. The shares are common practice, no source.
const (
	largestClod  = 0.17 // of the radius
	clodFall     = 1.3  // power of the distance
	clodExponent = 2.5
	clodCover    = 0.2 // of the area, at the lip
	clodReach    = 1.5 // where the last lie, over the edge of the sheet
	mostClods    = 400
	clodSunk     = 0.42 // of its size, below what it lies on
	clodSolidity = 0.6  // its area over the square of its size
)

// leastClod is the size of the least clod that prints, mm: it stands out by the least
// relief and is no hair.
func leastClod(s *parts.Site) float64 {
	return max(s.Print.Relief/0.45, s.Printer.LeastPin()/0.65)
}

// clodLaw is where clods fall and how large they are.
type clodLaw struct {
	centre       r2.Vec
	radius, last float64 // from the lip to where the last lie, mm
	least        float64 // size, mm
	rays         *rays
}

// most is the size of the largest at a distance.
func (l clodLaw) most(r float64) float64 {
	return largestClod * l.radius * math.Pow(l.radius/r, clodFall)
}

// count is how many cover their share of the area: of a cover falling with the square,
// 2 pi R^2 c ln(last/R).
func (l clodLaw) count() int {
	area := 2 * math.Pi * l.radius * l.radius * clodCover * math.Log(l.last/l.radius)
	mean := max(l.least, 0.4*(l.least+l.most(1.3*l.radius)))
	return min(mostClods, int(area/(clodSolidity*mean*mean)))
}

// draw gives the place and the size of one clod; ok is false where none falls.
func (l clodLaw) draw(rng *rand.Rand) (at r2.Vec, size float64, ok bool) {
	r := l.radius * math.Pow(l.last/l.radius, rng.Float64())
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	u, chance := rng.Float64(), rng.Float64()
	at = r2.Add(l.centre, r2.Scale(r, r2.Vec{X: cos, Y: sin}))
	size = l.least * math.Pow(1-u, -1/clodExponent)
	if l.rays != nil && r > 1.25*l.radius {
		b, _, _ := l.rays.at(at, min(r, 1.5*l.radius))
		if chance > 0.15+0.8*b {
			return at, size, false
		}
	}
	most := l.most(r)
	if most < l.least {
		return at, l.least, chance < 0.5*most/l.least
	}
	return at, min(size, most), true
}

// newClod is an angular lump about the origin, of a size, mm, flatter than wide.
func newClod(rng *rand.Rand, size float64) []convex.Plane {
	const n = 11
	turn, flat := 2*math.Pi*rng.Float64(), 0.6+0.25*rng.Float64()
	var planes []convex.Plane
	for i := range n { // directions spread over the ball by the golden angle
		z := 1 - (2*float64(i)+1)/n
		sin, cos := math.Sincos(turn + 2.39996*float64(i) + 0.5*(rng.Float64()-0.5))
		w := math.Sqrt(1 - z*z)
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(w*cos, w*sin, z/flat)),
			D: size / 2 * (0.62 + 0.3*rng.Float64()) * math.Sqrt(w*w+flat*flat*z*z)})
	}
	return planes
}

// thrownClods lets clods fall onto a solid: each is let into it and carried by it, at
// heights between low and high. Places that clear says no to stay free.
func thrownClods(rng *rand.Rand, l clodLaw, on sdf.Field, low, high float64, clear func(at r2.Vec, size float64) bool) []sdf.Field {
	var out []sdf.Field
	if l.last <= l.radius {
		return nil
	}
	for range l.count() {
		at, size, ok := l.draw(rng)
		planes := newClod(rng, size) // drawn in any case, so that the others stay
		if !ok || !clear(at, size) {
			continue
		}
		z, ok := fall(on, at, high, low)
		if !ok || !carried(on, sdf.V(at.X, at.Y, z), size) {
			continue
		}
		if c := convex.New(convex.Placed(planes, sdf.At(sdf.V(at.X, at.Y, z+size*(0.37-clodSunk))))); c != nil {
			out = append(out, c)
		}
	}
	return out
}

// fall is the height of a solid's surface at a place of the plan between two heights; ok
// is false where it has none there.
func fall(on sdf.Field, at r2.Vec, from, to float64) (float64, bool) {
	const touch, most = 1e-3, 200
	z := from
	for range most {
		v := on.Value(sdf.V(at.X, at.Y, z))
		if v < touch {
			return z, z < from
		}
		if z -= v; z < to {
			break
		}
	}
	return 0, false
}

// carried says whether a solid carries a clod all round, and does not stand over it.
func carried(on sdf.Field, at r3.Vec, size float64) bool {
	for i := range 4 {
		d := [4]r2.Vec{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}[i]
		p := sdf.V(at.X+0.4*size*d.X, at.Y+0.4*size*d.Y, at.Z-0.45*size)
		if on.Value(p) > 0 {
			return false
		}
		if p.Z = at.Z + 0.6*size; on.Value(p) < 0 {
			return false
		}
	}
	return on.Value(sdf.V(at.X, at.Y, at.Z-clodSunk*size)) < 0
}

// offCracks says whether a place is clear of cracks by a distance.
func offCracks(cracks []crackPath, at r2.Vec, far float64) bool {
	for _, c := range cracks {
		for i, b := range c.line[1:] {
			if planar.SegmentDistance(at, c.line[i], b) < far+c.width[0]/2 {
				return false
			}
		}
	}
	return true
}
