package parts

import (
	"fmt"
	"socle/sdf"
	"testing"

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
	solid sdf.Field
}

func (w *testWork) Solid(*Site) sdf.Field { return w.solid }

func assembled(t *testing.T, s *Site) *Scene {
	t.Helper()
	sc, err := Assemble(s)
	require.NoError(t, err)
	return sc
}

// onePiece builds the only base of a scene.
func onePiece(t *testing.T, s *Site) Piece {
	t.Helper()
	pieces := assembled(t, s).Pieces()
	require.Len(t, pieces, 1)
	return pieces[0]
}

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

// strokesOf gives a part's strokes of one kind of line.
func strokesOf(p *Plan, part string, line Line) []Stroke {
	var out []Stroke
	for _, s := range p.Strokes {
		if s.Part == part && s.Line == line {
			out = append(out, s)
		}
	}
	return out
}

func inBox(b r3.Box, q r3.Vec) bool {
	return q.X >= b.Min.X && q.Y >= b.Min.Y && q.Z >= b.Min.Z && q.X <= b.Max.X && q.Y <= b.Max.Y && q.Z <= b.Max.Z
}

func sightsOf(t *testing.T, s *Site) (*Scene, Piece, map[string]Sight) {
	t.Helper()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	byName := map[string]Sight{}
	for _, g := range sc.Sights(p) {
		require.NotContains(t, byName, g.Name)
		byName[g.Name] = g
	}
	return sc, p, byName
}

// damaged is the whole scene after damage.
func damaged(s *Site) sdf.Field {
	var work []Part
	for _, p := range s.Parts {
		switch p.(type) {
		case Solider, Damager:
			work = append(work, p)
		}
	}
	sc, err := Assemble(s.With(work))
	if err != nil {
		panic(err)
	}
	return sc.Field
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
