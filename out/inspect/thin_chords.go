package inspect

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// medium is the side of the surface that is looked at: the solid or the air.
type medium struct {
	index  *Index
	inside bool
	least  float64 // the smallest least held against it, mm
	wall   float64 // the longest chord of interest across a wall or gap, mm
	far    float64 // the same across anything, mm
}

// chord is a line through the medium from one face to another that looks back.
type chord struct {
	mid, dir r3.Vec // dir of unit length, either way
	length   float64
}

const (
	// looksBack is the cosine of the angle between the normals of two faces that
	// count as looking at each other, 150 degrees; across a gap looksAcross, 160
	// degrees: what opens faster is a groove.
	looksBack, looksAcross = -0.8660254037844386, -0.9396926207859083
	// perWall and perGap are how many points there are along a stretch of the
	// least: more where a pin is to be followed than where a gap is, that runs long.
	perWall, perGap = 2.5, 1.5
	// lift is how far off the surface a line starts, mm, so that it does not meet
	// the face that it comes from: more than rounding, less than any detail.
	lift = 1e-5
	// piece is how many triangles one worker looks at in one go.
	piece = 4096
	// mostPoints is how many points a surface is looked at.
	mostPoints = 1 << 24
)

// facing tells whether two faces, by their normals, look at each other.
func (m *medium) facing(a, b r3.Vec) bool {
	if m.inside {
		return r3.Dot(a, b) <= looksBack
	}
	return r3.Dot(a, b) <= looksAcross
}

// spacing gives how far apart the points are, mm.
func (m *medium) spacing() float64 {
	if m.inside {
		return m.least / perWall
	}
	return m.least / perGap
}

// chords gives the chords of the medium, in an order that is always the same.
func (m *medium) chords(ctx context.Context) ([]chord, error) {
	x := m.index
	area := 0.0
	for i := range x.triangles {
		area += x.area(i)
	}
	share := m.spacing() * m.spacing()
	if !(area/share <= mostPoints) {
		return nil, fmt.Errorf("a surface of %g mm2 is too large to be looked at every %g mm", area, m.spacing())
	}
	lo, hi := vec(x.nodes[0].box[0]), vec(x.nodes[0].box[1])
	if size := r3.Sub(hi, lo); max(size.X, size.Y, size.Z)/m.spacing() >= mostCells {
		return nil, fmt.Errorf("a solid of %g x %g x %g mm is too large to be looked at every %g mm", size.X, size.Y, size.Z, m.spacing())
	}
	pieces := make([][]chord, (len(x.order)+piece-1)/piece)
	err := workers.ForEach(ctx, len(pieces), func(_, i int) error {
		from := i * piece
		for k, triangle := range x.order[from:min(from+piece, len(x.order))] {
			pieces[i] = m.from(pieces[i], int(triangle), from+k, share)
		}
		return nil
	})
	return slices.Concat(pieces...), err
}

// from appends the chords from the points of one triangle. There is a point to
// each share of area, on the whole: a small triangle gets none or one by its
// place in the tree's order, in which neighbours are near each other, and turns
// of the golden ratio part those that get one evenly. The n points of a large
// triangle lie one to each n-th of its area, in strips along its shortest side,
// and turn about from side to side in each (a Hammersley set; the square root
// keeps the density even), so that none of a long thin triangle goes unseen.
func (m *medium) from(chords []chord, triangle, place int, share float64) []chord {
	const golden = 0.6180339887498949
	x := m.index
	a, b, c := x.corners(triangle)
	if bc, ca, ab := r3.Norm2(r3.Sub(c, b)), r3.Norm2(r3.Sub(a, c)), r3.Norm2(r3.Sub(b, a)); ca < bc && ca <= ab {
		a, b, c = b, c, a
	} else if ab < bc {
		a, b, c = c, a, b
	}
	ab, ac := r3.Sub(b, a), r3.Sub(c, a)
	normal := r3.Cross(ab, ac)
	area := r3.Norm(normal)
	if area == 0 {
		return chords
	}
	normal = r3.Scale(1/area, normal)
	_, phase := math.Modf(float64(place) * golden)
	_, off := math.Modf(float64(place) * math.Sqrt2)
	n := int(area/2/share + phase)
	dir := normal
	if m.inside {
		dir = r3.Scale(-1, normal)
	}
	for k := range n {
		along := math.Sqrt((float64(k) + off) / float64(n))
		_, aside := math.Modf(phase + float64(k)*golden)
		u, v := along*(1-aside), along*aside
		p := r3.Add(a, r3.Add(r3.Scale(u, ab), r3.Scale(v, ac)))
		t, hit, ok := x.Hit(r3.Add(p, r3.Scale(lift, dir)), dir, m.far)
		if !ok || !m.facing(normal, x.Normal(hit)) {
			continue
		}
		t += lift
		chords = append(chords, chord{mid: r3.Add(p, r3.Scale(t/2, dir)), dir: dir, length: t})
	}
	return chords
}

// through gives the chord through a point along a direction and back; false
// where it does not end within reach both ways, or its ends do not look at each
// other.
func (m *medium) through(p, dir r3.Vec) (chord, bool) {
	x := m.index
	t, a, ok := x.Hit(p, dir, m.far)
	if !ok {
		return chord{}, false
	}
	back, b, ok := x.Hit(p, r3.Scale(-1, dir), m.far)
	if !ok || t+back > m.far || !m.facing(x.Normal(a), x.Normal(b)) {
		return chord{}, false
	}
	return chord{mid: r3.Add(p, r3.Scale((t-back)/2, dir)), dir: dir, length: t + back}, true
}

// askew is how much longer than a chord the squared one can be: faces that look
// back within 30 degrees are at most 15 degrees askew to a line between them, and
// 1/cos 15 degrees is 1.04.
const askew = 1.05

// squared gives the chord through the middle of another that stands square on
// the surface nearest to it: through a round bar the diameter, however askew the
// other was. Where its own ends are the nearest, or what is nearest is not one of
// the two faces, as at the edge of a plate, the chord stays as it is.
func (m *medium) squared(c chord) chord {
	q, d, _, ok := m.index.Nearest(c.mid, c.length)
	if !ok || d < lift || d > c.length/2-lift {
		return c
	}
	if s, ok := m.through(c.mid, r3.Scale(1/d, r3.Sub(q, c.mid))); ok && s.length <= askew*c.length {
		return s
	}
	return c
}

// arms gives how far it is to the surface along a direction and back, mm, far at
// most together.
func (m *medium) arms(p, dir r3.Vec, far float64) (ahead, back float64) {
	ahead, _, ok := m.index.Hit(p, dir, far)
	if !ok {
		return far, 0
	}
	back, _, ok = m.index.Hit(p, r3.Scale(-1, dir), far-ahead)
	if !ok {
		return ahead, far - ahead
	}
	return ahead, back
}

// width gives both arms together.
func (m *medium) width(p, dir r3.Vec, far float64) float64 {
	ahead, back := m.arms(p, dir, far)
	return ahead + back
}
