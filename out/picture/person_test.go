package picture

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// stretch is a run along an axis.
type stretch struct{ lo, hi float64 }

func (s stretch) size() float64 { return s.hi - s.lo }

// cutAcross gives what a level cut through a mesh covers along an axis (0 is x,
// 1 is y), as runs without a gap, in order.
func cutAcross(m Mesh, z float64, axis int) []stretch {
	var runs []stretch
	for _, t := range m.Triangles {
		s := stretch{math.Inf(1), math.Inf(-1)}
		for k := range 3 {
			a, b := vec(m.Vertices[t[k]]), vec(m.Vertices[t[(k+1)%3]])
			if (a.Z < z) == (b.Z < z) {
				continue
			}
			p := r3.Add(a, r3.Scale((z-a.Z)/(b.Z-a.Z), r3.Sub(b, a)))
			c := [2]float64{p.X, p.Y}[axis]
			s = stretch{min(s.lo, c), max(s.hi, c)}
		}
		if s.lo <= s.hi {
			runs = append(runs, s)
		}
	}
	slices.SortFunc(runs, func(a, b stretch) int { return cmp.Compare(a.lo, b.lo) })
	var joined []stretch
	for _, r := range runs {
		if n := len(joined); n > 0 && r.lo <= joined[n-1].hi+1e-6 {
			joined[n-1].hi = max(joined[n-1].hi, r.hi)
		} else {
			joined = append(joined, r)
		}
	}
	return joined
}

// The figure is as tall and as broad as published: Drillis and Contini (1966),
// fractions of stature, from memory.
func TestPersonHasHumanProportions(t *testing.T) {
	const tall = 100.0
	m := Person(tall, r3.Vec{}, 0)
	across := func(z float64) []stretch { return cutAcross(m, z*tall, 1) }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range m.Vertices {
		lo, hi = min(lo, float64(v[2])), max(hi, float64(v[2]))
	}
	require.Zero(t, lo)
	require.Equal(t, tall, hi)

	shoulders := across(0.818)
	require.Len(t, shoulders, 1)
	require.InDelta(t, 25.9, shoulders[0].size(), 0.8)

	for _, z := range []float64{0.63, 0.53} { // elbow, hip: arms hang clear of the body
		require.Len(t, across(z), 3, "at %g", z)
	}
	require.InDelta(t, 19.1, across(0.53)[1].size(), 0.4)
	require.Less(t, across(0.63)[1].size(), 0.85*across(0.53)[1].size(), "a waist")

	require.Len(t, across(0.485), 3, "wrists, beside the top of the legs")
	require.Less(t, across(0.485)[0].size(), 0.7*across(0.63)[0].size(), "a wrist is narrower than an elbow")

	for z, runs := range map[float64]int{0.36: 2, 0.285: 2, 0.1: 2, 0.02: 2, 0.43: 4, 0.93: 1} {
		require.Len(t, across(z), runs, "at %g", z)
	}
	hands := 0.0
	for z := 0.36; z < 0.43; z += 0.001 {
		if len(across(z)) == 4 {
			hands = z
			break
		}
	}
	require.InDelta(t, 0.377, hands, 0.005, "fingertips: wrist 0.485 less hand 0.108")

	// The narrowest of leg and neck; the widest of head and calf.
	extreme := func(from, to, sign float64) (at float64) {
		best := math.Inf(1)
		for z := from; z <= to; z += 0.001 {
			if s := sign * across(z)[0].size(); s < best {
				best, at = s, z
			}
		}
		return at
	}
	require.InDelta(t, 0.055, extreme(0.03, 0.15, 1), 0.02, "the ankle's joint is at 0.039, the leg thinnest just above")
	require.InDelta(t, 0.265, extreme(0.22, 0.36, 1), 0.035, "the knee, at 0.285, is narrower than thigh and calf")
	require.InDelta(t, 0.95, extreme(0.90, 0.99, -1), 0.02, "the head is widest above the eyes, at 0.936")

	// The chin: below it the outline in front falls back to the neck.
	front := func(z float64) float64 {
		runs := cutAcross(m, z*tall, 0)
		return runs[len(runs)-1].hi
	}
	drop, chin := 0.0, 0.0
	for z := 0.84; z < 0.91; z += 0.002 {
		if d := front(z+0.002) - front(z); d > drop {
			drop, chin = d, z+0.001
		}
	}
	require.InDelta(t, 0.870, chin, 0.006)

	// The foot: along its own line, which is turned outward.
	sin, cos := sincos(foot.turned)
	from, to := math.Inf(1), math.Inf(-1)
	for _, v := range m.Vertices {
		if v[1] > 0 && v[2] < 3 {
			along := float64(v[0])*cos + (float64(v[1])-5.8)*sin
			from, to = min(from, along), max(to, along)
		}
	}
	require.InDelta(t, 15.2, to-from, 0.15)
}

// Every piece of the figure is closed, turned outward and without a triangle
// that has no area, at any size, place and turn.
func TestPersonIsClosedAndOutward(t *testing.T) {
	require.Less(t, len(Person(1, r3.Vec{}, 0).Triangles), 6000)
	rapid.Check(t, func(t *rapid.T) {
		tall := rapid.Float64Range(1, 100).Draw(t, "height")
		at := r3.Vec{
			X: rapid.Float64Range(-200, 200).Draw(t, "x"),
			Y: rapid.Float64Range(-200, 200).Draw(t, "y"),
			Z: rapid.Float64Range(-5, 5).Draw(t, "z"),
		}
		m := Person(tall, at, rapid.Float64Range(-720, 720).Draw(t, "facing"))
		require.Len(t, m.Tones, len(m.Triangles))
		piece := pieces(m)
		volume := map[int]float64{}
		edges := map[[2]uint32]int{}
		for i, tri := range m.Triangles {
			if m.Tones[i] != Figure {
				t.Fatalf("triangle %d is of tone %d", i, m.Tones[i])
			}
			a, b, c := vec(m.Vertices[tri[0]]), vec(m.Vertices[tri[1]]), vec(m.Vertices[tri[2]])
			a, b, c = r3.Sub(a, at), r3.Sub(b, at), r3.Sub(c, at)
			volume[piece[tri[0]]] += r3.Dot(a, r3.Cross(b, c)) / 6
			for k := range 3 {
				edges[[2]uint32{tri[k], tri[(k+1)%3]}]++
			}
		}
		for e, n := range edges {
			if n != 1 || edges[[2]uint32{e[1], e[0]}] != 1 {
				t.Fatalf("edge %v is not shared by two triangles that run it both ways", e)
			}
		}
		require.Len(t, volume, 9, "torso, neck, head, and two arms, legs and feet")
		var whole float64
		for _, v := range volume {
			require.Positive(t, v)
			whole += v
		}
		// A body of 75 kg and 1.756 m is about as heavy as water: 0.0139 of its
		// stature cubed. The pieces run into each other and are counted twice there.
		require.InDelta(t, 0.0139, whole/(tall*tall*tall), 0.003)
		require.InDelta(t, at.Z+tall, float64(highest(m)), 2e-5)
	})
}

// A full turn comes round, and what is to the left at facing 0 is behind at 90:
// the toes point where the figure looks.
func TestPersonFaces(t *testing.T) {
	toes := func(facing float64) r3.Vec { // the middle of what is close to the ground, heel and toes
		m := Person(50, r3.Vec{X: 3, Y: -4}, facing)
		var sum r3.Vec
		n := 0.0
		for _, v := range m.Vertices {
			if v[2] < 2 {
				sum, n = r3.Add(sum, vec(v)), n+1
			}
		}
		return r3.Sub(r3.Scale(1/n, sum), r3.Vec{X: 3, Y: -4})
	}
	for _, facing := range []float64{0, 90, 180, -62} {
		sin, cos := sincos(facing)
		p := toes(facing)
		require.Greater(t, p.X*cos+p.Y*sin, 1.0, "forward")
		require.InDelta(t, 0, p.Y*cos-p.X*sin, 1e-3, "as far to the left as to the right")
	}
	require.Equal(t, Person(9, r3.Vec{}, 0), Person(9, r3.Vec{}, 720))
}

func TestPersonOfNoSizeIsEmpty(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, m := range []Mesh{
		Person(0, r3.Vec{}, 0), Person(-3, r3.Vec{}, 0), Person(nan, r3.Vec{}, 0), Person(inf, r3.Vec{}, 0),
		Person(6, r3.Vec{X: nan}, 0), Person(6, r3.Vec{Z: inf}, 0), Person(6, r3.Vec{}, nan),
	} {
		require.Empty(t, m.Triangles)
		require.Empty(t, m.Vertices)
	}
}

func highest(m Mesh) float32 {
	z := m.Vertices[0][2]
	for _, v := range m.Vertices {
		z = max(z, v[2])
	}
	return z
}

// pieces numbers the connected pieces that the vertices belong to.
func pieces(m Mesh) []int {
	root := make([]uint32, len(m.Vertices))
	for i := range root {
		root[i] = uint32(i)
	}
	find := func(v uint32) uint32 {
		for root[v] != v {
			root[v] = root[root[v]]
			v = root[v]
		}
		return v
	}
	for _, t := range m.Triangles {
		root[find(t[1])] = find(t[0])
		root[find(t[2])] = find(t[0])
	}
	number := map[uint32]int{}
	of := make([]int, len(root))
	for v := range root {
		r := find(uint32(v))
		if _, ok := number[r]; !ok {
			number[r] = len(number)
		}
		of[v] = number[r]
	}
	return of
}
