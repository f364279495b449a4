package paving

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/planar"
)

func layBond(word string, b r2.Box, m module, seed uint64) []cell {
	rule := bondOf(word)
	return rule.lay(b, rule.fit(m), rand.New(rand.NewPCG(seed, 1)))
}

func square(side float64) r2.Box { return r2.Box{Max: r2.Vec{X: side, Y: side}} }

// 200 x 100 mm blocks are 50 to the square metre on the module (BS EN 1338
// usage), in every bond that takes them. Full size, 10 m square.
func TestFiftyBlocksASquareMetre(t *testing.T) {
	for _, word := range []string{"stack", "running", "herringbone", "basketweave"} {
		c := newCutter(planar.Corners(square(10_000)), 3, 1)
		whole, laid := 0.0, 0.0
		for _, place := range layBond(word, square(10_000), module{200, 100}, 1) {
			s, got := c.cutTo(place)
			if got != cutAway {
				laid += s.cutArea
				whole += s.cutArea / planar.SignedArea(place.corners)
			}
		}
		require.InDelta(t, 100e6, laid, 1e-3, word)
		require.InDelta(t, 50*100, whole, 1e-6, word)
	}
}

// Brick relations of BS EN 771 usage: 215 x 102.5 with joints of 10 is 225 x
// 112.5 on the module, and length = 2 widths + 1 joint, so basket weave and
// herringbone take it as it is. In threes: length = 3 widths + 2 joints.
func TestBondsFitTheirModule(t *testing.T) {
	const j = 10.0
	require.Equal(t, 215.0, 2*102.5+j)
	brick := module{215 + j, 102.5 + j}
	require.Equal(t, brick, bondOf("basketweave").fit(brick))
	require.Equal(t, brick, bondOf("herringbone").fit(brick))
	threes := module{3*65 + 2*j + j, 65 + j}
	require.Equal(t, threes, bondOf("basketweave").fit(threes))
	require.Equal(t, module{200, 100}, bondOf("herringbone").fit(module{300, 100}), "2:1 units")
	require.Equal(t, module{300, 100}, bondOf("running").fit(module{300, 100}))
}

// Courses of running bond are half a stone apart; those of stack bond line up.
func TestRunningOffset(t *testing.T) {
	for word, want := range map[string]float64{"running": 0.5, "stack": 0} {
		for _, c := range layBond(word, square(50), module{9, 6}, 1) {
			x := math.Mod(c.corners[0].X/9+10, 1)
			if c.course%2 == 0 {
				require.InDelta(t, 0, x, 1e-12)
			} else {
				require.InDelta(t, want, x, 1e-12)
			}
			require.InDelta(t, 6*float64(c.course), c.corners[0].Y, 1e-12)
		}
	}
}

// A herringbone stone butts against the side of one at right angles, so that no
// joint runs on for more than three widths.
func TestHerringboneInterlocks(t *testing.T) {
	cells := layBond("herringbone", square(40), module{4, 2}, 1)
	along := [2]int{}
	for _, c := range cells {
		b := planar.Bounds(c.corners)
		if size := r2.Sub(b.Max, b.Min); size.X > size.Y {
			require.InDeltaSlice(t, []float64{4, 2}, []float64{size.X, size.Y}, 1e-9)
			along[0]++
		} else {
			require.InDeltaSlice(t, []float64{2, 4}, []float64{size.X, size.Y}, 1e-9)
			along[1]++
		}
	}
	require.InEpsilon(t, along[0], along[1], 0.1, "half of them each way")
	// Along every grid line, the longest stretch that no stone crosses.
	for line := 2.0; line < 40; line += 2 {
		free := make([]bool, 20)
		for i := range free {
			free[i] = true
			for _, c := range cells {
				b := planar.Bounds(c.corners)
				x := 2*float64(i) + 1
				if b.Min.X < x && x < b.Max.X && b.Min.Y < line-0.1 && b.Max.Y > line+0.1 {
					free[i] = false
				}
			}
		}
		run := 0
		for _, f := range free {
			if run++; !f {
				run = 0
			}
			require.LessOrEqual(t, run, 3)
		}
	}
}

// Hexagons: with a across flats and joint j, column pitch a + j, row pitch
// (a + j) sqrt(3)/2, alternate rows offset (a + j)/2.
func TestHexagonPitch(t *testing.T) {
	const a, j = 40.0, 5.0
	rows := map[int][]float64{}
	for _, c := range layBond("hexagonal", square(400), module{a + j, a + j}, 1) {
		m := planar.Centroid(c.corners)
		require.InDelta(t, float64(c.course)*(a+j)*math.Sqrt(3)/2, m.Y, 1e-9)
		rows[c.course] = append(rows[c.course], m.X)
		// Every side of the stone, the cell less half a joint, is a/2 from its
		// middle: a across flats.
		stone := planar.InsetConvex(c.corners, j/2)
		require.Len(t, stone, 6)
		for _, s := range planar.SidesOf(stone) {
			require.InDelta(t, a/2, s.Offset-planar.Dot2(s.Normal, m), 1e-9)
		}
	}
	for n, xs := range rows {
		require.InDelta(t, -float64(n%2)*(a+j)/2, xs[0], 1e-9)
		for i := 1; i < len(xs); i++ {
			require.InDelta(t, a+j, xs[i]-xs[i-1], 1e-9)
		}
	}
}

// Random flags are mixed, fill the area and keep to the sizes of the list.
func TestRandomFlagsAreMixed(t *testing.T) {
	sizes := map[[2]int]int{}
	sum := 0.0
	for _, c := range layBond("random", square(300), module{9, 6}, 3) {
		b := planar.Bounds(c.corners)
		s := [2]int{int(math.Round((b.Max.X - b.Min.X) / 3)), int(math.Round((b.Max.Y - b.Min.Y) / 3))}
		require.Contains(t, flagSizes, s)
		sizes[s]++
		sum += planar.SignedArea(c.corners)
	}
	require.InDelta(t, 300*300, sum, 1e-6)
	require.Len(t, sizes, 6, "every size is used")
	require.NotEqual(t, layBond("random", square(300), module{9, 6}, 3), layBond("random", square(300), module{9, 6}, 4))
}

// apart is the distance between two convex outlines along the best of their
// sides' normals: at most their distance.
func apart(a, b []r2.Vec) float64 {
	best := math.Inf(-1)
	for _, pair := range [2][2][]r2.Vec{{a, b}, {b, a}} {
		for _, s := range planar.SidesOf(pair[0]) {
			least := math.Inf(1)
			for _, p := range pair[1] {
				least = math.Min(least, planar.Dot2(s.Normal, p)-s.Offset)
			}
			best = math.Max(best, least)
		}
	}
	return best
}

func drawPaving(t *rapid.T) (*parts.Site, *Paving) {
	s := &parts.Site{
		Scale: parts.Scale{Ratio: 100, Exaggerate: 1}, Seed: rapid.Uint64Range(0, 9).Draw(t, "site seed"),
		Print: parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3},
	}
	p := &Paving{
		Named: parts.Named{Name: "apron"}, Level: parts.Level{Height: 4}, Area: partstest.DrawArea(t),
		Bond: rapid.SampledFrom(bonds).Draw(t, "bond").word,
		Turn: rapid.SampledFrom([]float64{0, 45, 90, 17}).Draw(t, "turn"),
		Wear: rapid.Float64Range(0, 1).Draw(t, "wear"), Seed: rapid.Uint64Range(0, 9).Draw(t, "seed"),
	}
	if rapid.Bool().Draw(t, "own stone") {
		p.Stone = &[2]float64{rapid.Float64Range(1.5, 8).Draw(t, "long"), rapid.Float64Range(1.5, 8).Draw(t, "short")}
	}
	s.Parts = []parts.Part{p}
	return s, p
}

// No two stones of any bond, cut to any area, come nearer than a joint; none
// leaves the area less half a joint; and there are no more than Pieces says.
func TestStonesKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPaving(t)
		require.Empty(t, p.Check(s))
		z := p.settled(s)
		l := p.laying(s)
		require.LessOrEqual(t, len(l.stones)+len(l.fills), p.Pieces(s))
		shape := p.Area.Shape()
		for i := range l.stones {
			a := &l.stones[i]
			if a.outline == nil {
				continue
			}
			require.GreaterOrEqual(t, 2*planar.Inradius(a.outline), z.least*0.99, "no slivers")
			for _, q := range a.outline {
				require.LessOrEqual(t, shape.At(q), 1e-6-z.joint/2*0.5)
			}
			for j := range i {
				b := &l.stones[j]
				if b.outline == nil || r2.Norm(r2.Sub(planar.Centroid(a.outline), planar.Centroid(b.outline))) > 20 {
					continue
				}
				require.GreaterOrEqual(t, apart(a.outline, b.outline), z.joint*(1-1e-6))
			}
		}
	})
}

// The cells of every bond, cut to any area without inward corners, are together
// exactly the area: stones and joints cover it once.
func TestCellsCoverTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPaving(t)
		outline, _ := p.courses()
		if !planar.IsConvex(outline) {
			t.Skip("has an inward corner")
		}
		z := p.settled(s)
		c := newCutter(outline, z.joint, z.least)
		sum := 0.0
		for _, place := range z.bond.lay(planar.Bounds(outline), z.module, s.Rand(p.Name, p.Seed, "bond")) {
			if v, got := c.cutTo(place); got != cutAway {
				sum += v.cutArea
			}
		}
		require.InEpsilon(t, planar.SignedArea(outline), sum, 1e-6)
	})
}

// A strip too thin for stones is taken by the stones beside it: in a rectangle
// laid square in stack, running or basket weave bond no mortar is left, and the
// grown cells still cover the area once.
func TestStonesGrowOverSlivers(t *testing.T) {
	for _, word := range []string{"stack", "running"} {
		s := &parts.Site{Scale: parts.Scale{Ratio: 100, Exaggerate: 1}, Print: parts.Print{Gap: 0.3, Relief: 0.3}}
		p := &Paving{Named: parts.Named{Name: "apron"}, Area: parts.Area{Rect: []float64{2, 3, 36.4, 24.5}}, Bond: word, Stone: &[2]float64{6, 3}}
		z := p.settled(s)
		outline, _ := p.courses()
		c := newCutter(outline, z.joint, z.least)
		cells := bondOf(word).lay(planar.Bounds(outline), z.module, nil)
		thin := 0
		for _, place := range cells {
			if _, got := c.cutTo(place); got == cutSliver {
				thin++
			}
		}
		require.Greater(t, thin, 5, "36.4 leaves 0.4 beside stones of 6, 24.5 leaves 0.5 above courses of 3")
		slabs, left := c.cutAll(cells)
		require.Empty(t, left)
		sum := 0.0
		for _, b := range slabs {
			sum += b.cutArea
		}
		require.InDelta(t, 36.4*24.5, sum, 1e-6, word)
	}
}
