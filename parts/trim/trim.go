package trim

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Trim is a straight cut that squares off the scene: all beyond it goes.
type Trim struct {
	parts.Named
	Through *r2.Vec      `key:"through" type:"point" doc:"a point of an upright cut, with facing"`
	Facing  *float64     `key:"facing" type:"facing" doc:"direction, from the cut, of the side that is kept" words:"east,north-east,north,north-west,west,south-west,south,south-east"`
	Line    []r2.Vec     `key:"line" type:"points" plan:"left" doc:"two points of an upright cut, instead of through and facing; the side on your left, as you go from the first to the second, is kept"`
	Area    *parts.Area  `key:"area" type:"table" doc:"a region that is kept, instead of a line"`
	Top     *parts.Level `key:"top" type:"level" doc:"height above which everything is cut off; alone or with any of the others"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "trim", Stage: parts.Trimming,
		Doc: "A straight cut that squares off the scene: upright through a point or a line, round a region, or level at a height.",
		New: func() parts.Part { return &Trim{} },
	})
}

// Check reports a trim that is none, or more than one at a time.
func (t *Trim) Check(*parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: t.Name, Key: key, Text: text, Allowed: allowed}}
	}
	const cuts = "through with facing, line, area or top"
	used := 0
	for _, is := range []bool{t.Through != nil || t.Facing != nil, len(t.Line) > 0, t.Area != nil} {
		if is {
			used++
		}
	}
	switch {
	case used > 1:
		return fault("", "the trim cuts in more than one way", "one of through with facing, line, and area; another trim for another cut")
	case used == 0 && t.Top == nil:
		return fault("", "the trim cuts nothing", cuts)
	case t.Through != nil && t.Facing == nil:
		return fault("through", "the cut has a point but no direction", "facing beside through: the side that is kept")
	case t.Through == nil && t.Facing != nil:
		return fault("facing", "the cut has a direction but no point", "through beside facing: a point of the cut")
	case len(t.Line) == 1 || len(t.Line) > 2:
		return fault("line", fmt.Sprintf("has %d points", len(t.Line)), "two points")
	case len(t.Line) == 2 && r2.Norm(r2.Sub(t.Line[0], t.Line[1])) < parts.LeastSize:
		return fault("line", "both points are one", fmt.Sprintf("points at least %v mm apart", parts.LeastSize))
	case t.Area != nil:
		return t.Area.Check(t.Name, "area")
	}
	return nil
}

// Keep is the region that the scene is cut down to. Is exact for one cut.
func (t *Trim) Keep(*parts.Site) sdf.Field {
	var keep []sdf.Field
	upright := func(p, kept r2.Vec) {
		keep = append(keep, sdf.HalfSpace(sdf.V(-kept.X, -kept.Y, 0), -r2.Dot(kept, p)))
	}
	switch {
	case t.Through != nil && t.Facing != nil:
		upright(*t.Through, planar.Heading(*t.Facing))
	case len(t.Line) == 2:
		upright(t.Line[0], planar.LeftNormal(t.Line[0], t.Line[1]))
	case t.Area != nil:
		keep = append(keep, t.Area.Prism(-parts.TrimReach, parts.TrimReach))
	}
	if t.Top != nil {
		keep = append(keep, sdf.HalfSpace(sdf.V(0, 0, 1), t.Top.Height))
	}
	return sdf.Intersection(keep...)
}

// Remedies of a trim.
func (t *Trim) Remedies(_ *parts.Site, on parts.Trouble) []parts.Remedy {
	if !on.Thin() && !on.Hanging() && !on.Trapped() {
		return nil
	}
	r := parts.RemediesOf(t)
	switch {
	case t.Through != nil && t.Facing != nil:
		sin, cos := math.Sincos(*t.Facing * math.Pi / 180)
		r.Shifts("through", "move the cut a little", *t.Through, r2.Vec{X: cos, Y: sin})
	default:
		r.Words("", "move the cut a little")
	}
	return r.All
}

// Plan is the cut, across the whole scene where it is a straight one. A level cut
// has no line on the plan.
func (t *Trim) Plan(s *parts.Site) []parts.Stroke {
	var a, along r2.Vec
	switch {
	case t.Area != nil:
		return []parts.Stroke{{Line: parts.LineCut, Path: t.Area.Path(), Closed: true}}
	case t.Through != nil && t.Facing != nil:
		kept := planar.Heading(*t.Facing)
		a, along = *t.Through, r2.Vec{X: kept.Y, Y: -kept.X}
	case len(t.Line) == 2:
		a, along = t.Line[0], r2.Unit(r2.Sub(t.Line[1], t.Line[0]))
	default:
		return nil
	}
	plot := r2.Box{Min: a, Max: a}
	if land := s.Land(); land != nil {
		plot = land.Box()
	}
	const beyond = 3 // mm past the plot, so that it reads as a cut
	from, to, ok := through(plot, a, along)
	if !ok {
		return nil
	}
	return []parts.Stroke{{Line: parts.LineCut, Path: planar.Straight(
		r2.Add(a, r2.Scale(from-beyond, along)), r2.Add(a, r2.Scale(to+beyond, along)))}}
}

// through gives where a line from a along a unit direction enters and leaves a box.
func through(b r2.Box, a, along r2.Vec) (from, to float64, ok bool) {
	from, to = math.Inf(-1), math.Inf(1)
	for _, k := range [2][4]float64{{a.X, along.X, b.Min.X, b.Max.X}, {a.Y, along.Y, b.Min.Y, b.Max.Y}} {
		if math.Abs(k[1]) < 1e-12 {
			if k[0] < k[2] || k[0] > k[3] {
				return 0, 0, false
			}
			continue
		}
		t0, t1 := (k[2]-k[0])/k[1], (k[3]-k[0])/k[1]
		from, to = math.Max(from, math.Min(t0, t1)), math.Min(to, math.Max(t0, t1))
	}
	return from, to, from <= to
}
