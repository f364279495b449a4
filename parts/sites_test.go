package parts

import (
	"fmt"
	"socle/sdf"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// quarry is a site with the given scale and the usual print limits.
func quarry(ratio, exaggerate float64, work ...Part) *Site {
	return &Site{
		Scale:  Scale{Ratio: ratio, Person: 1.756, Exaggerate: exaggerate},
		Print:  Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3},
		Levels: map[string]float64{}, Seed: 1, Parts: work,
	}
}

// layer is a bare finish, to be layer at a level.
type layer struct {
	Named
	finish Finish
}

func (l *layer) Finish(*Site) Finish { return l.finish }

// layAt lays a finish of a thickness over everything at a level.
func layAt(s *Site, level, thickness float64) {
	name := fmt.Sprintf("laid-%v", level)
	s.Parts = append(s.Parts, &layer{Named{name}, Finish{
		Part: name, Area: &Area{Rect: []float64{-300, -300, 600, 600}}, Level: level, Thickness: thickness, Recess: min(0.3, thickness), Joint: 0.3,
	}})
}

func plainSite(work ...Part) *Site {
	return &Site{Scale: Scale{Ratio: 100, Exaggerate: 1}, Print: Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3}, Parts: work}
}

// testWork is a ball or a box of structure.
type testWork struct {
	Named
	made sdf.Field
}

func (w *testWork) Solid(*Site) sdf.Field { return w.made }

func block(name string, lo, hi r3.Vec) *testWork {
	return &testWork{Named{name}, sdf.BoxBetween(lo, hi)}
}

// notedKeys gives the keys of what has been noted, in order.
func notedKeys(s *Site) (keys []string) {
	for _, n := range s.Notes() {
		keys = append(keys, n.Key)
	}
	return keys
}

// pointsOf are the corners of a path of straight sides.
func pointsOf(t require.TestingT, path []Node) []r2.Vec {
	pts := make([]r2.Vec, len(path))
	for i, n := range path {
		require.Zero(t, n.Radii, "an arc in a path of straight sides")
		pts[i] = n.To
	}
	return pts
}

func inBox(b r3.Box, q r3.Vec) bool {
	return q.X >= b.Min.X && q.Y >= b.Min.Y && q.Z >= b.Min.Z && q.X <= b.Max.X && q.Y <= b.Max.Y && q.Z <= b.Max.Z
}

func init() {
	register(Kind{Word: "test-work", Stage: Structure, Doc: "for tests", New: func() Part { return &testWork{} }})
}

func drawArea(t *rapid.T) Area {
	switch rapid.SampledFrom([]string{"rect", "round", "oval", "polygon"}).Draw(t, "shape") {
	case "rect":
		return Area{Rect: []float64{-7, 3, rapid.Float64Range(3, 40).Draw(t, "width"), rapid.Float64Range(3, 40).Draw(t, "depth")},
			Turn: rapid.Float64Range(-180, 180).Draw(t, "area turn")}
	case "round":
		return Area{Round: []float64{5, -3, rapid.Float64Range(3, 40).Draw(t, "diameter")}}
	case "oval":
		return Area{Oval: []float64{5, -3, rapid.Float64Range(3, 40).Draw(t, "long"), rapid.Float64Range(3, 40).Draw(t, "short")},
			Turn: rapid.Float64Range(-180, 180).Draw(t, "area turn")}
	}
	a := Area{Polygon: starOutline(t)}
	if len(a.Check("", "")) > 0 {
		t.Skip("crosses itself")
	}
	return a
}
