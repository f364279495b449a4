package partstest

import (
	"fmt"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// Quarry is a site with the given scale and the usual print limits.
func Quarry(ratio, exaggerate float64, work ...parts.Part) *parts.Site {
	return &parts.Site{
		Scale:  parts.Scale{Ratio: ratio, Person: 1.756, Exaggerate: exaggerate},
		Print:  parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3},
		Levels: map[string]float64{}, Seed: 1, Parts: work,
	}
}

// Layer is a bare finish, to be laid at a level.
type Layer struct {
	parts.Named
	finish parts.Finish
}

func (l *Layer) Finish(*parts.Site) parts.Finish { return l.finish }

// LayAt lays a finish of a thickness over everything at a level.
func LayAt(s *parts.Site, level, thickness float64) {
	name := fmt.Sprintf("laid-%v", level)
	s.Parts = append(s.Parts, &Layer{parts.Named{Name: name}, parts.Finish{
		Part: name, Area: &parts.Area{Rect: []float64{-300, -300, 600, 600}}, Level: level, Thickness: thickness, Recess: min(0.3, thickness), Joint: 0.3,
	}})
}

func Site(work ...parts.Part) *parts.Site {
	return &parts.Site{Scale: parts.Scale{Ratio: 100, Exaggerate: 1}, Print: parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3}, Parts: work}
}

// Work is a ball or a box of structure.
type Work struct {
	parts.Named
	Made sdf.Field
}

func (w *Work) Solid(*parts.Site) sdf.Field { return w.Made }

func Block(name string, lo, hi r3.Vec) *Work {
	return &Work{parts.Named{Name: name}, sdf.BoxBetween(lo, hi)}
}

// NotedKeys gives the keys of what has been noted, in order.
func NotedKeys(s *parts.Site) (keys []string) {
	notes := s.Notes()
	for _, p := range parts.AllOf[parts.Noter](s) {
		notes = append(notes, p.Notes(s)...)
	}
	for _, n := range notes {
		keys = append(keys, n.Key)
	}
	return keys
}

// PointsOf are the corners of a path of straight sides.
func PointsOf(t require.TestingT, path []planar.Node) []r2.Vec {
	pts := make([]r2.Vec, len(path))
	for i, n := range path {
		require.Zero(t, n.Radii, "an arc in a path of straight sides")
		pts[i] = n.To
	}
	return pts
}

func InBox(b r3.Box, q r3.Vec) bool {
	return q.X >= b.Min.X && q.Y >= b.Min.Y && q.Z >= b.Min.Z && q.X <= b.Max.X && q.Y <= b.Max.Y && q.Z <= b.Max.Z
}

func init() {
	parts.Register(parts.Kind{Word: "test-work", Stage: parts.Structure, Doc: "for tests", New: func() parts.Part { return &Work{} }})
}

func DrawArea(t *rapid.T) parts.Area {
	switch rapid.SampledFrom([]string{"rect", "round", "oval", "polygon"}).Draw(t, "shape") {
	case "rect":
		return parts.Area{Rect: []float64{-7, 3, rapid.Float64Range(3, 40).Draw(t, "width"), rapid.Float64Range(3, 40).Draw(t, "depth")},
			Turn: rapid.Float64Range(-180, 180).Draw(t, "area turn")}
	case "round":
		return parts.Area{Round: []float64{5, -3, rapid.Float64Range(3, 40).Draw(t, "diameter")}}
	case "oval":
		return parts.Area{Oval: []float64{5, -3, rapid.Float64Range(3, 40).Draw(t, "long"), rapid.Float64Range(3, 40).Draw(t, "short")},
			Turn: rapid.Float64Range(-180, 180).Draw(t, "area turn")}
	}
	a := parts.Area{Polygon: sdftest.StarOutline(t)}
	if len(a.Check("", "")) > 0 {
		t.Skip("crosses itself")
	}
	return a
}

// WorkAndDamage is a site with what is built and what strikes it, and no more.
func WorkAndDamage(s *parts.Site) *parts.Site {
	var work []parts.Part
	for _, p := range s.Parts {
		switch p.(type) {
		case parts.Solider, parts.Damager:
			work = append(work, p)
		}
	}
	return s.With(work)
}

// StrokesOf gives a part's strokes of one kind of line.
func StrokesOf(all []parts.Stroke, part string, line parts.Line) (out []parts.Stroke) {
	for _, s := range all {
		if s.Part == part && s.Line == line {
			out = append(out, s)
		}
	}
	return out
}

// SightsByName gives sights by their names, no two of which are the same.
func SightsByName(t require.TestingT, all []parts.Sight) map[string]parts.Sight {
	byName := map[string]parts.Sight{}
	for _, g := range all {
		require.NotContains(t, byName, g.Name)
		byName[g.Name] = g
	}
	return byName
}
