package inspect

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

var usual = Least{WallJoined: 0.5, WallFree: 1, Pin: 0.8, Slender: 10, Gap: 0.3}

func thin(t require.TestingT, s shape, least Least) []Finding {
	found, err := indexed(t, s).Thin(context.Background(), least)
	require.NoError(t, err)
	return found
}

// blocks is the surface of those cells of a lattice that are solid; they meet
// face to face or not at all.
func blocks(xs, ys, zs []float64, solid func(i, j, k int) bool) (s shape) {
	axes := [3][]float64{xs, ys, zs}
	is := func(c [3]int) bool {
		for a := range 3 {
			if c[a] < 0 || c[a] >= len(axes[a])-1 {
				return false
			}
		}
		return solid(c[0], c[1], c[2])
	}
	number := map[[3]int]uint32{}
	vertex := func(c [3]int) uint32 {
		v, ok := number[c]
		if !ok {
			v = uint32(len(s.vertices))
			number[c] = v
			s.vertices = append(s.vertices, [3]float32{float32(xs[c[0]]), float32(ys[c[1]]), float32(zs[c[2]])})
		}
		return v
	}
	for i := range len(xs) - 1 {
		for j := range len(ys) - 1 {
			for k := range len(zs) - 1 {
				c := [3]int{i, j, k}
				if !is(c) {
					continue
				}
				for a := range 3 {
					for up := range 2 {
						next, at := c, c
						next[a] += 2*up - 1
						at[a] += up
						if is(next) {
							continue
						}
						b := at
						b[(a+1)%3]++
						d := b
						d[(a+2)%3]++
						e := at
						e[(a+2)%3]++
						v := [4]uint32{vertex(at), vertex(b), vertex(d), vertex(e)}
						if up == 0 {
							v[1], v[3] = v[3], v[1]
						}
						s.triangles = append(s.triangles, [3]uint32{v[0], v[1], v[2]}, [3]uint32{v[0], v[2], v[3]})
					}
				}
			}
		}
	}
	return s
}

// post is a block 4 x 4 x 2 with a square pin in the middle of it.
func post(thickness, high float64) shape {
	h := thickness / 2
	across := []float64{-2, -h, h, 2}
	return blocks(across, across, []float64{0, 2, 2 + high}, func(i, j, k int) bool { return k == 0 || i == 1 && j == 1 })
}

// roundPost is a round pin on a disc, so thick between its flats.
func roundPost(thickness, high float64) shape {
	r := thickness / 2
	return lathed(r2.Vec{}, 24, [2]float64{0, 0}, [2]float64{3, 0}, [2]float64{3, 2}, [2]float64{r, 2}, [2]float64{r, 2 + high}, [2]float64{0, 2 + high})
}

// fin is a block with a wall of a thickness along the middle of it, and a tower at
// neither, one or both of its ends.
func fin(thickness, high, long float64, towers int) shape {
	h := thickness / 2
	return blocks([]float64{-3, -h, h, 3}, []float64{-2, 0, long, long + 2}, []float64{0, 2, 2 + high}, func(i, j, k int) bool {
		return k == 0 || i == 1 && j == 1 || j == 0 && towers > 0 || j == 2 && towers > 1
	})
}

// slot is a block with a straight slot in it, open above.
func slot(width, deep, long float64) shape {
	h := width / 2
	full := func(i, j, k int) bool { return k == 0 || i != 1 || j != 1 }
	return blocks([]float64{-3, -h, h, 3}, []float64{-2, 0, long, long + 2}, []float64{0, 5 - deep, 5}, full)
}

// groove is a block with a slot of a width at its floor, whose sides open by an
// angle, degrees.
func groove(width, deep, angle float64) shape {
	open := 1 + 2*deep*math.Tan(angle/2*math.Pi/180)/width
	return moved(slot(width, deep, 5), func(p r3.Vec) r3.Vec {
		if math.Abs(p.X) < 2 && p.Z == 5 {
			p.X *= open
		}
		return p
	})
}

// ring is a tube of a thickness on z = 0.
func ring(inner, thickness, high float64, n int) (s shape) {
	m := uint32(n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for _, r := range []float64{inner, inner + thickness} {
			for _, z := range []float64{0, high} {
				s.vertices = append(s.vertices, [3]float32{float32(r * cos), float32(r * sin), float32(z)})
			}
		}
	}
	for i := range m {
		a, b := 4*i, 4*((i+1)%m)
		for _, q := range [][4]uint32{{a + 2, b + 2, b + 3, a + 3}, {b, a, a + 1, b + 1}, {a + 3, b + 3, b + 1, a + 1}, {b + 2, a + 2, a, b}} {
			s.triangles = append(s.triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
		}
	}
	return s
}

// wedge is a ridge of an angle, degrees, 3 high and long.
func wedge(angle, long float64) shape {
	h := 3 * math.Tan(angle/2*math.Pi/180)
	s := box([3]float32{-1, 0, 0}, [3]float32{1, float32(long), 3})
	for i := range s.vertices {
		if s.vertices[i][2] > 0 {
			s.vertices[i][0] *= 1e-3
		} else {
			s.vertices[i][0] *= float32(h)
		}
	}
	return s
}

// turned is a shape turned at random and moved off the origin.
func turned(t *rapid.T, s shape) shape {
	r := r3.NewRotation(rapid.Float64Range(-3, 3).Draw(t, "angle"), unit().Draw(t, "about"))
	off := r3.Vec{X: rapid.Float64Range(-30, 30).Draw(t, "x"), Y: rapid.Float64Range(-30, 30).Draw(t, "y"), Z: 5}
	return moved(s, func(p r3.Vec) r3.Vec { return r3.Add(r.Rotate(p), off) })
}

const halfPixel = 0.025 // of a printer's pixel of 0.05 mm

// within tells whether a point is in the solid, by a line from it.
func within(x *Index, at [3]float64) bool {
	winds := 0
	for _, c := range x.Hits(r3.Vec{X: at[0], Y: at[1], Z: at[2]}, r3.Unit(r3.Vec{X: 3, Y: 1, Z: 2}), 500) {
		if c.Out {
			winds++
		} else {
			winds--
		}
	}
	return winds > 0
}

// A plate is a free wall of its thickness, however it lies.
func TestPlateOfKnownThickness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thickness := rapid.Float64Range(0.05, 1.2).Draw(t, "thickness")
		wide, long := rapid.Float64Range(2.5, 6).Draw(t, "wide"), rapid.Float64Range(2.5, 9).Draw(t, "long")
		s := turned(t, box([3]float32{}, [3]float32{float32(wide), float32(long), float32(thickness)}))
		found := thin(t, s, usual)
		if thickness > 1-2*onLattice {
			if thickness >= 1 {
				require.Empty(t, found)
			}
			return
		}
		require.Len(t, found, 1)
		f := found[0]
		require.Equal(t, ThinWall, f.Kind)
		require.True(t, f.Free)
		require.Equal(t, 1.0, f.Limit)
		require.InDelta(t, thickness, f.Value, onLattice)
		require.True(t, within(indexed(t, s), f.At))
	})
}

// A bar, round or square, is a pin of its thickness and length, however it lies.
func TestBarOfKnownSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(0.25, 1.1).Draw(t, "size")
		long := rapid.Float64Range(2.5, 7).Draw(t, "long")
		sides := rapid.SampledFrom([]int{4, 12, 32}).Draw(t, "sides")
		radius := size / 2 / math.Cos(math.Pi/float64(sides)) // so that its flats are size apart
		s := turned(t, frustum(0, 0, radius, radius, long, sides))
		least := usual
		least.Slender = 0
		found := thin(t, s, least)
		if size > 0.8-2*onLattice {
			if size >= 0.8 {
				require.Empty(t, found)
			}
			return
		}
		require.Len(t, found, 1)
		f := found[0]
		require.Equal(t, ThinPin, f.Kind)
		require.InDelta(t, size, f.Value, halfPixel)
		require.InDelta(t, long, f.Length, 0.05)
		require.True(t, within(indexed(t, s), f.At))
	})
}

// A pin's length is from the block that it stands on.
func TestPostOfKnownSize(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Float64Range(0.3, 0.79).Draw(t, "size")
		high := rapid.Float64Range(2, 6).Draw(t, "high")
		least := usual
		least.Slender = 0
		found := thin(t, turned(t, post(size, high)), least)
		require.Len(t, found, 1)
		require.Equal(t, ThinPin, found[0].Kind)
		require.InDelta(t, size, found[0].Value, onLattice)
		require.InDelta(t, high, found[0].Length, 0.25, "within the spacing of the points")
	})
}

// On both sides of each limit.
func TestThinLimits(t *testing.T) {
	open := usual
	open.Slender = 0
	curved := open
	curved.Round = 0.01
	for _, c := range []struct {
		what  string
		s     shape
		least Least
		kind  Kind
		value float64 // of what is to be found; 0 for nothing
	}{
		{"free wall", fin(0.999, 3, 5, 0), curved, ThinWall, 0.999},
		{"free wall", fin(0.9999, 3, 5, 0), curved, ThinWall, 0},
		{"joined wall", fin(0.499, 3, 5, 2), curved, ThinWall, 0.499},
		{"joined wall", fin(0.4999, 3, 5, 2), curved, ThinWall, 0},
		{"round bar", roundPost(0.789, 4), curved, ThinPin, 0.789},
		{"round bar, as short as its facets", roundPost(0.791, 4), curved, ThinPin, 0},
		{"tube", ring(3, 0.989, 5, 96), Least{WallFree: 1, Round: 0.01}, ThinWall, 0.989},
		{"tube, as short as its facets", ring(3, 0.991, 5, 96), Least{WallFree: 1, Round: 0.01}, ThinWall, 0},
		{"wall joined below and at one end", fin(0.49, 3, 5, 1), usual, ThinWall, 0.49},
		{"wall joined below and at one end", fin(0.51, 3, 5, 1), usual, ThinWall, 0},
		{"very thin wall", fin(0.1, 3, 5, 2), usual, ThinWall, 0.1},
		{"no wall asked for", fin(0.1, 3, 5, 2), Least{Gap: 0.3}, ThinWall, 0},
		{"pin", post(0.799, 4), curved, ThinPin, 0.799},
		{"pin", post(0.7999, 4), curved, ThinPin, 0},
		{"slender pin", post(0.9, 9.3), usual, SlenderPin, 9.3 / 0.9},
		{"stout pin", post(0.9, 8.7), usual, SlenderPin, 0},
		{"slender pin, as thick as is looked at", post(1.5, 15.5), usual, SlenderPin, 15.5 / 1.5},
		{"pin thick enough to be as long as it likes", post(1.61, 30), usual, SlenderPin, 0},
		{"gap", slot(0.28, 2, 5), curved, NarrowGap, 0.28},
		{"gap", slot(0.299, 2, 5), curved, NarrowGap, 0.299},
		{"gap", slot(0.2999, 2, 5), curved, NarrowGap, 0},
		{"gap just long enough", slot(0.2, 2, 1), usual, NarrowGap, 0.2},
		{"crevice", slot(0.2, 0.6, 0.8), usual, NarrowGap, 0},
		{"tapered gap", groove(0.2, 0.5, 15), usual, NarrowGap, 0.25},
		{"groove", groove(0.2, 0.5, 25), usual, NarrowGap, 0},
		{"stub", post(0.7, 1.3), usual, ThinPin, 0},
		{"just a pin", post(0.7, 1.6), usual, ThinPin, 0.7},
		{"arris", wedge(35, 6), usual, ThinWall, 0},
		{"ridge", wedge(35, 6), Least{WallFree: 1}, ThinWall, 0},
	} {
		found := thin(t, c.s, c.least)
		if c.value == 0 {
			require.Empty(t, found, c.what)
			continue
		}
		require.Len(t, found, 1, c.what)
		require.Equal(t, c.kind, found[0].Kind, c.what)
		tolerance := onLattice
		switch c.kind {
		case SlenderPin:
			tolerance = 0.2
		case NarrowGap:
			tolerance = halfPixel
		case ThinWall, ThinPin:
			if c.least.Round > 0 {
				tolerance = 0.001
			}
		}
		require.InDelta(t, c.value, found[0].Value, tolerance, c.what)
		require.Equal(t, c.kind == ThinWall && found[0].Limit == c.least.WallFree, found[0].Free, c.what)
	}
}

// A tube, however it lies, is as thick as its flats are apart.
func TestTubeOfKnownThickness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thickness := rapid.Float64Range(0.2, 0.9).Draw(t, "thickness")
		n := rapid.IntRange(24, 48).Draw(t, "n")
		s := ring(2, thickness, rapid.Float64Range(2, 4).Draw(t, "high"), n)
		found := thin(t, turned(t, s), Least{WallJoined: 1, WallFree: 1})
		require.Len(t, found, 1)
		require.InDelta(t, thickness*math.Cos(math.Pi/float64(n)), found[0].Value, halfPixel)
	})
}

// A hollow box: each side is joined all round.
func TestShellOfKnownThickness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thickness := rapid.Float64Range(0.2, 0.6).Draw(t, "thickness")
		w := float32(thickness)
		s := together(box([3]float32{}, [3]float32{4, 4.5, 3.5}), inward(box([3]float32{w, w, w}, [3]float32{4 - w, 4.5 - w, 3.5 - w})))
		found := thin(t, turned(t, s), usual)
		if thickness > 0.5-2*onLattice {
			if thickness >= 0.5 {
				require.Empty(t, found)
			}
			return
		}
		require.Len(t, found, 6)
		for _, f := range found {
			require.Equal(t, ThinWall, f.Kind)
			require.False(t, f.Free)
			require.InDelta(t, thickness, f.Value, onLattice)
		}
	})
}

// A railing: two rails through three posts on a block, of bars of one thickness.
// Each length from one to the next is a pin of its own, and none is slender,
// though the rails are over 8 mm long.
func TestRailIsFromPostToPost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(0.6, 0.79).Draw(t, "thickness")
		var xs []float64
		for i := range 3 {
			xs = append(xs, 4*float64(i), 4*float64(i)+w)
		}
		s := blocks(xs, []float64{-2, 0, w, 2}, []float64{0, 2, 4, 4 + w, 6 + w, 6 + 2*w}, func(i, j, k int) bool {
			return k == 0 || j == 1 && (i%2 == 0 || k == 2 || k == 4)
		})
		least := usual
		least.Slender = 8
		found := thin(t, turned(t, s), least)
		up, along := 0, 0
		for _, f := range found {
			require.Equal(t, ThinPin, f.Kind)
			require.InDelta(t, w, f.Value, onLattice)
			span := 4 - w
			if f.Length <= span-0.25 { // by what lies between: an upright may have a corner with it
				up++
				span = 2
			} else {
				along++
			}
			require.Greater(t, f.Length, span-0.25)
			require.Less(t, f.Length, span+2*w, "a corner may be taken with it, no more")
		}
		require.Equal(t, 6, up)
		require.Equal(t, 4, along)
	})
}

// A blade is thin where it has been so for a stretch, not as thin as its edge.
func TestBladeIsNotAsThinAsItsEdge(t *testing.T) {
	found := thin(t, wedge(8, 6), usual)
	require.Len(t, found, 1)
	require.Equal(t, ThinWall, found[0].Kind)
	base := 6 * math.Tan(4*math.Pi/180)
	require.Greater(t, found[0].Value, 0.2*base)
	require.Less(t, found[0].Value, base)
}

// Whatever the solid, what is found is on the wrong side of its limit, and in the
// solid's box.
func TestThinOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := clutter().Draw(t, "solid")
		least := Least{WallJoined: 0.8, WallFree: 1.2, Pin: 1.1, Slender: 3, Gap: 1.05}
		lo, hi, err := extentOf(s.vertices, s.triangles)
		require.NoError(t, err)
		for _, f := range thin(t, s, least) {
			if f.Kind == SlenderPin {
				require.Greater(t, f.Value, f.Limit)
			} else {
				require.Less(t, f.Value, f.Limit)
			}
			require.Positive(t, f.Value)
			for c := range 3 {
				require.True(t, f.At[c] >= lo[c] && f.At[c] <= hi[c])
				require.LessOrEqual(t, f.Size[c], hi[c]-lo[c]+2*lift)
			}
		}
	})
}

func TestThinIsSortedByShare(t *testing.T) {
	far := moved(post(0.5, 4), func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 40}) })
	gap := moved(slot(0.2, 2, 5), func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: -40}) })
	found := thin(t, together(fin(0.9, 3, 5, 0), far, gap), usual)
	require.Len(t, found, 3)
	require.Equal(t, []Kind{ThinPin, NarrowGap, ThinWall}, []Kind{found[0].Kind, found[1].Kind, found[2].Kind})
}

func TestWorkersFindTheSameThinThings(t *testing.T) {
	s := together(rough(20, 2, 80), fin(0.4, 3, 5, 0), moved(post(0.5, 6), func(p r3.Vec) r3.Vec { return r3.Add(p, r3.Vec{X: 40}) }))
	found := thin(t, s, usual)
	require.NotEmpty(t, found)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, found, thin(t, s, usual))
}

func TestThinErrors(t *testing.T) {
	x := indexed(t, fin(0.4, 3, 5, 0))
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		_, err := x.Thin(context.Background(), Least{Gap: bad})
		require.ErrorContains(t, err, "0 or more")
	}
	_, err := x.Thin(context.Background(), Least{Gap: 1e-6})
	require.ErrorContains(t, err, "too large")
	far := moved(box([3]float32{}, [3]float32{1, 1, 1}), func(p r3.Vec) r3.Vec { return r3.Vec{X: 1e6 * p.X, Y: p.Y, Z: p.Z * 1e-3} })
	_, err = indexed(t, far).Thin(context.Background(), usual)
	require.ErrorContains(t, err, "too large")
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err = x.Thin(ctx, usual)
	require.ErrorIs(t, err, context.Canceled)
	found, err := x.Thin(context.Background(), Least{})
	require.NoError(t, err)
	require.Empty(t, found)
}

// The stones of a wall between their joints are ledges of its core, and no pins
// however small they are.
func TestStonesBetweenJointsAreNoPins(t *testing.T) {
	const wide, core, joint, stone = 1.0, 0.5, 0.3, 0.7
	zs := []float64{0, 2}
	for range 4 {
		zs = append(zs, zs[len(zs)-1]+joint, zs[len(zs)-1]+joint+stone)
	}
	ys := []float64{0}
	for range 6 {
		ys = append(ys, ys[len(ys)-1]+1.2, ys[len(ys)-1]+1.2+joint)
	}
	h, c := wide/2, core/2
	wall := blocks([]float64{-3, -h, -c, c, h, 3}, ys, zs, func(i, j, k int) bool {
		return k == 0 || i == 2 || i > 0 && i < 4 && k%2 == 0 && j%2 == 0
	})
	require.Empty(t, thin(t, wall, Least{Pin: 0.8, Slender: 10}))
	// A stone that stands alone is one.
	bar := blocks([]float64{-3, -h, h, 3}, []float64{0, 1.2}, []float64{0, 2, 5}, func(i, _, k int) bool { return k == 0 || i == 1 })
	found := thin(t, bar, Least{Pin: 1.1})
	require.Len(t, found, 1)
	require.Equal(t, ThinPin, found[0].Kind)
}

// A wall is as free as it is, however long for its height.
func TestALongWallIsFreeToo(t *testing.T) {
	for _, long := range []float64{2, 5, 10, 20, 40} {
		for towers, free := range []bool{true, false, false} {
			found := thin(t, fin(0.4, 3, long, towers), Least{WallJoined: 0.5, WallFree: 1})
			require.Len(t, found, 1, "%v %v", long, towers)
			require.Equal(t, free, found[0].Free, "%v long, %v towers", long, towers)
		}
	}
}
