package street

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// courseOf is a course along a bent line at a level, worn.
func courseOf(seed uint64, wear float64, line ...r2.Vec) Course {
	return Course{Line: course.Line{Named: parts.Named{Name: "it"}, Points: line}, Level: &parts.Level{Height: 3}, Wear: wear, Seed: seed}
}

func fenceOf(s *parts.Site, of string, seed uint64, wear float64, line ...r2.Vec) *Fence {
	return &Fence{Course: courseOf(seed, wear, line...), Height: s.HeightOnPrint(1200), Of: of, Spacing: s.OnPrint(1800), Post: s.OnPrint(100), Rails: 2,
		Paling: s.OnPrint(75), Gap: s.OnPrint(50)}
}

func kerbOf(s *parts.Site, gutter string, seed uint64, wear float64, line ...r2.Vec) *Kerb {
	return &Kerb{Course: courseOf(seed, wear, line...), Stone: s.OnPrint(915), Width: s.OnPrint(150), Upstand: s.HeightOnPrint(110),
		Gutter: gutter, Channel: s.OnPrint(255)}
}

// runner is what these tests ask of what runs along a line.
type runner interface {
	parts.Solider
	parts.Checker
	parts.Placed
	parts.Noter
	parts.Planner
	parts.Measured
}

// What runs along a line is one piece let into its floor, lies within what it says that it
// covers, and its field keeps the promise of fields.
func TestCoursesAreWhatTheySay(t *testing.T) {
	for _, ratio := range []float64{56, 285} {
		s := partstest.Quarry(ratio, 1)
		line := []r2.Vec{{}, {X: 21}, {X: 30, Y: 9}}
		for i, p := range []runner{
			fenceOf(s, "palings", 1, 1, line...), fenceOf(s, "boards", 2, 0.5, line...), fenceOf(s, "rails", 3, 1, line...), fenceOf(s, "palings", 4, 0, line[:2]...),
			kerbOf(s, "right", 1, 1, line...), kerbOf(s, "left", 2, 0, line...), kerbOf(s, "none", 3, 0.5, line[:2]...),
		} {
			t.Run(fmt.Sprintf("%v-%d", ratio, i), func(t *testing.T) {
				s := partstest.Quarry(ratio, 1, p)
				require.Empty(t, p.Check(s))
				f := p.Solid(s)
				extent := p.Extents(s)[0]
				high := p.Measures(s)[0].Printed
				box := r3.Box{Min: sdf.V(-2, -2, 2.55), Max: sdf.V(32, 12, 3+1.4*high+1)}
				sdftest.RequireOnePiece(t, f, r3.Box{}, 0.3)
				sdftest.RequireHonest(t, f, box, uint64(i))
				require.Less(t, f.Bounds().Min.Z, 2.6, "let into its floor")
				for x := -4.0; x < 36; x += 0.45 {
					for y := -6.0; y < 16; y += 0.45 {
						_, ok := topAt(f, x, y, box.Max.Z)
						if !ok {
							continue
						}
						near := math.Inf(1)
						for k := 1; k < len(extent.Points); k++ {
							near = math.Min(near, segmentTo(r2.Vec{X: x, Y: y}, extent.Points[k-1], extent.Points[k]))
						}
						// A square end and a mitre reach as far again as half of it is wide.
						require.LessOrEqual(t, near, 1.42*extent.Wide+0.05, "(%v, %v)", x, y)
					}
				}
				require.NotEmpty(t, p.Plan(s))
			})
		}
	}
}

func segmentTo(p, a, b r2.Vec) float64 {
	side := r2.Sub(b, a)
	k := math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, a), side)/r2.Dot(side, side)))
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(k, side))))
}

// Posts stand at equal bays, and all palings of a new fence are as high as it is.
func TestFencePosts(t *testing.T) {
	s := partstest.Quarry(56, 1)
	f := fenceOf(s, "palings", 1, 0, r2.Vec{}, r2.Vec{X: 90})
	s.Parts = []parts.Part{f}
	z := f.settled(s)
	require.Len(t, z.bays, 3, "90 mm in bays of 32.1 at most")
	solid := f.Solid(s)
	for _, x := range []float64{0, 30, 60, 90} {
		require.InDelta(t, 3+z.high+0.4*z.post, sdftest.DropOnto(t, solid, x, 0, 60), 0.05)
	}
	require.InDelta(t, 30*56, f.Measures(s)[1].Full, 1e-6)
	n := math.Round(30 / (z.paling + z.gap))
	for k := range int(n) {
		x := 30 * (float64(k) + 0.5) / n
		top := sdftest.DropOnto(t, solid, x, z.rail/2+0.4*z.thick, 60)
		require.InDelta(t, 3+z.high, top, 0.03*z.high+0.05)
	}
	gap := 30 / n // between the first and the second
	require.Positive(t, solid.Value(sdf.V(gap, z.rail/2+0.4*z.thick, 3+0.9*z.high)), "open")
}

// A kerb of BS EN 1340 stones, from memory: 915 mm long, 150 mm wide, with a joint between
// each and the next.
func TestKerbStones(t *testing.T) {
	s := partstest.Quarry(20, 1)
	k := kerbOf(s, "none", 1, 0, r2.Vec{}, r2.Vec{X: 4 * s.OnPrint(915)})
	s.Parts = []parts.Part{k}
	f := k.Solid(s)
	step := s.OnPrint(915)
	up := s.HeightOnPrint(110)
	for i := range 4 {
		mid := step * (float64(i) + 0.5)
		require.InDelta(t, 3+up, sdftest.DropOnto(t, f, mid, 0, 60), 0.15)
		require.Negative(t, f.Value(sdf.V(mid, 0.5*s.OnPrint(150)-0.4, 3+0.5*up)))
		require.Positive(t, f.Value(sdf.V(mid, 0.5*s.OnPrint(150)+0.01, 3+0.5*up)))
		if i > 0 {
			require.Less(t, sdftest.DropOnto(t, f, step*float64(i), 0, 60), 3+up-0.3, "a joint")
		}
	}
	// A gutter lies lower than the kerb, and its middle lower than its edge.
	k = kerbOf(s, "right", 1, 0, r2.Vec{}, r2.Vec{X: 4 * step})
	s.Parts = []parts.Part{k}
	f = k.Solid(partstest.Quarry(20, 1, k))
	edge, middle := sdftest.DropOnto(t, f, step/2, -s.OnPrint(75+245), 60), sdftest.DropOnto(t, f, step/2, -s.OnPrint(75+128), 60)
	require.Greater(t, edge, middle+0.1)
	require.Less(t, edge, 3+up-1)
}

func TestCourseFaults(t *testing.T) {
	s := partstest.Quarry(56, 1)
	for _, c := range []struct {
		line []r2.Vec
		text string
	}{{[]r2.Vec{{}}, "has fewer than two points"}, {[]r2.Vec{{}, {}, {X: 9}}, "points 1 and 2 are one"}} {
		faults := kerbOf(s, "none", 1, 0, c.line...).Check(s)
		require.Len(t, faults, 1)
		require.Equal(t, "line", faults[0].Key)
		require.Equal(t, c.text, faults[0].Text)
	}
	k := kerbOf(s, "none", 1, 0, r2.Vec{}, r2.Vec{X: 9})
	require.Empty(t, k.CheckPlace(s))
	k.Level = nil
	s.Parts = []parts.Part{k}
	require.Contains(t, k.CheckPlace(s)[0].Text, "nothing to stand on")
}
