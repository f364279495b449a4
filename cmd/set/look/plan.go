package look

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/cmd/set"
	"socle/out/plan"
	"socle/parts/planar"
)

// PlanEnd ends the name of the file of a plan, after that of the scene.
const PlanEnd = "-plan.svg"

// PlanOf draws the plan of a set.
func PlanOf(s *set.Set) *plan.Drawing {
	p := s.Place.Plan()
	d := &plan.Drawing{Title: s.Site.Title, Ratio: s.Site.Scale.Ratio, Min: planPoint(p.Box.Min), Max: planPoint(p.Box.Max)}
	if d.Title == "" {
		d.Title = s.Name
	}
	for _, k := range p.Strokes {
		d.Strokes = append(d.Strokes, plan.Stroke{
			Part: k.Part, Kind: k.Kind, Layer: k.Layer.String(), Group: k.Group, Line: plan.Line(k.Line),
			Path: planPath(k.Path), Closed: k.Closed, Covers: k.Covers,
		})
	}
	for _, l := range p.Labels {
		d.Labels = append(d.Labels, plan.Label{At: planPoint(l.At), Text: l.Text})
	}
	for _, l := range p.Levels {
		level := plan.Level{Name: l.Name, Height: l.Height}
		for _, at := range l.Places {
			level.Places = append(level.Places, planPoint(at))
		}
		d.Levels = append(d.Levels, level)
	}
	for _, b := range p.Footprints {
		base := plan.Base{
			Name: b.Name, Size: b.Size, At: planPoint(b.At), Turn: b.Turn,
			Axis: planPoint(b.Axis), Path: planPath(b.Path),
		}
		for _, st := range b.Stands {
			base.Stands = append(base.Stands, planPath(st))
		}
		d.Bases = append(d.Bases, base)
	}
	return d
}

func planPoint(p r2.Vec) plan.Point { return plan.Point{X: p.X, Y: p.Y} }

func planPath(path []planar.Node) []plan.Node {
	out := make([]plan.Node, len(path))
	for i, n := range path {
		out[i] = plan.Node{To: planPoint(n.To), RX: n.Radii.X, RY: n.Radii.Y, Turn: n.Turn, Large: n.Large, Clockwise: n.Clockwise}
	}
	return out
}
