package spill

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/collapse"
	"socle/parts/partstest/built"
	"socle/parts/partstest/fixtures"
	"socle/parts/wall"
	"socle/sdf"
)

// What came down of a wall lies along its foot in bricks: as much of it as came down, with its
// voids, on the sides that it fell to, and no steeper than its angle of repose.
func TestCollapseSpill(t *testing.T) {
	for falls, height := range map[string]float64{"both": 16, "right": 22} {
		w := &wall.Wall{Named: parts.Named{Name: "byre"}, Line: []r2.Vec{{X: 10, Y: 40}, {X: 90, Y: 40}}, Thickness: 3,
			From: parts.Level{Height: 10}, Height: &height, Coursing: "brick", Coping: "none", Wear: 0.2, Seed: 3}
		c := &collapse.Collapse{Named: parts.Named{Name: "fall"}, Of: "byre", From: new(20.0), To: new(60.0), Stump: 5, Slope: 65, Falls: falls,
			Bulking: 1.4, Roughness: 0.4, Seed: 2}
		p := &Spill{Named: parts.Named{Name: "spill"}, From: "fall", Matter: "found", Count: new(1), Exponent: 2.5, Sherds: 0.3, Repose: 36, Reach: new(0.5), Seed: 2}
		s := fixtures.GroundWith(w, c, p)
		require.Empty(t, assembly.Check(s))
		require.Empty(t, c.Notes(s), "a spill comes from it")
		for _, x := range p.settled(s).stuff {
			require.Equal(t, parts.Bricks, x.Form, "the wall alone")
		}
		under := built.Struck(s)
		d := p.lay(s, under)
		require.Greater(t, d.heaped, 40)
		laid := sdf.Union(under, d.core)
		for _, f := range d.fragments {
			for _, b := range f.bodies {
				laid = sdf.Union(laid, b.Polytope)
			}
		}
		want := 0.0
		for _, h := range c.Heaps(s) {
			want += h.Volume
		}
		// Columns of what lies on the ground beside the wall.
		const step = 0.5
		sum, south, north, far := 0.0, 0.0, 0.0, 0.0
		ground := newPile(under, p.settled(s).bounds(), 1)
		for x := 10.1; x < 90; x += step {
			for y := 15.1; y < 65; y += step {
				if math.Abs(y-40) < 1.7 {
					continue
				}
				z := 40.0
				for v := laid.Value(sdf.V(x, y, z)); v > 0.01 && z > 9; v = laid.Value(sdf.V(x, y, z)) {
					z -= v
				}
				high := math.Max(0, z-ground.floorAt(x, y))
				if high > 0.6 {
					far = math.Max(far, math.Abs(y-40))
				}
				sum += high * step * step
				if y < 40 {
					south += high * step * step
				} else {
					north += high * step * step
				}
			}
		}
		require.InEpsilon(t, want, sum, 0.15, falls)
		if falls == "right" {
			require.Less(t, north, 0.1*south)
		} else {
			require.InEpsilon(t, south, north, 0.3)
		}
		h := &p.settled(s).heaps[0]
		require.Less(t, far, 1.5+math.Max(0, h.high-3)/h.slope+h.radius+2.3, "its foot, and a brick")
	}
}

// A heap is as high as makes its volume: of a wedge against a face, and of a ridge. Geometry.
func TestHeapHigh(t *testing.T) {
	long := &parts.Heap{B: r2.Vec{X: 1e5}, Out: r2.Vec{Y: 1}, Stands: 100, Volume: 1e5 * 8}
	require.InEpsilon(t, math.Sqrt(2*8*0.5), heapHigh(long, 0.5), 1e-3, "area = h^2 / (2 slope)")
	ridge := &parts.Heap{B: r2.Vec{X: 1e5}, Volume: 1e5 * 8}
	require.InEpsilon(t, math.Sqrt(8*0.5), heapHigh(ridge, 0.5), 1e-3, "area = h^2 / slope")
	cone := &parts.Heap{Volume: math.Pi * 27 / (3 * 0.25)}
	require.InEpsilon(t, 3.0, heapHigh(cone, 0.5), 1e-6, "volume = pi h^3 / (3 slope^2)")
	low := &parts.Heap{B: r2.Vec{X: 1e5}, Out: r2.Vec{Y: 1}, Stands: 1, Volume: 1e5 * (9 + 8)}
	require.InEpsilon(t, 3.0, heapHigh(low, 0.5), 1e-3, "higher than what it lies against, it falls back to that")
}
