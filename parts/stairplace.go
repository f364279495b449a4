package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Extents are its outline on the plan, with the overhang of the treads.
func (st *Stair) Extents(s *Site) []Extent {
	l := st.layout(s)
	key := "foot"
	if st.Foot == nil {
		key = "head"
	}
	return []Extent{{Key: key, Points: l.Plan(-l.Nosing, l.Run()+l.Landing), Closed: true}}
}

// TopOver is the highest tread over a region: looked for at places between its middle
// and its corners.
func (st *Stair) TopOver(s *Site, plan []r2.Vec, middle r2.Vec) (high float64, ok bool) {
	l := st.layout(s)
	if !outlinesMeet(plan, l.Plan(0, l.Run()+l.Landing)) {
		return 0, false
	}
	high = math.Inf(-1)
	for _, p := range plan {
		for _, share := range [...]float64{0, 0.25, 0.5, 0.75, 1} {
			if z, on := st.standing(l, r2.Add(middle, r2.Scale(share, r2.Sub(p, middle)))); on {
				high, ok = math.Max(high, z), true
			}
		}
	}
	return high, ok
}

// CheckPlace reports a flight of whose last tread half or more lies inside what the flight
// leads to: it comes up there from within.
func (st *Stair) CheckPlace(s *Site) []Fault {
	l := st.layout(s)
	if l.Risers == 1 {
		return nil
	}
	z := l.TreadTop(l.Risers - 2)
	y := l.Run() - l.Going/2
	at := func(share float64) string { return st.within(s, l.OnPlan(share*st.Width, y), z) }
	name := at(0)
	if name == "" || at(-0.4) == "" && at(0.4) == "" {
		return nil
	}
	return []Fault{{Part: st.Name, Key: "facing",
		Text:    fmt.Sprintf("leads into %s from within: its last tread lies %.2f mm below the top there", name, l.To-z),
		Allowed: "a flight that comes up to the edge from outside: turn facing round, or move head or foot"}}
}

// within names what at the upper level a place of the plan at a lower height lies in;
// "" where it lies in the open.
func (st *Stair) within(s *Site, p r2.Vec, z float64) string {
	leadsTo := func(f *Floor) bool {
		return math.Abs(f.Level.Height-st.To.Height) <= sameHeight && f.sound() && f.Area.contains(p)
	}
	for _, f := range s.Slabs() {
		if leadsTo(&f) {
			return f.Words
		}
	}
	land := s.Land()
	if land == nil || newPolygonShape(land.Plot.Area.outline()).at(p) > 0 {
		return ""
	}
	for _, f := range land.Raised {
		if leadsTo(&f) {
			return f.Words
		}
	}
	if land.Plot.Level.Height-land.Plot.Dip <= z {
		return ""
	}
	for _, f := range land.Sunk {
		if f.Area.contains(p) {
			return ""
		}
	}
	return land.Plot.Words
}

// Plan is the flight's outline, the nosing of every tread, its flanks and the way
// up, from the foot of the first riser to the head of the last.
func (st *Stair) Plan(s *Site) []Stroke {
	l := st.layout(s)
	at := func(x, y float64) r2.Vec { return onPlan(l.Place(x, y, 0)) }
	half, end := st.Width/2, l.Run()+l.Landing
	if end == 0 { // one riser: the edge of the upper level is the step
		return []Stroke{{Line: LineStep, Layer: Standing, Path: straight(at(-half, 0), at(half, 0))}}
	}
	front := -l.Nosing
	strokes := []Stroke{{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
		Path: straight(at(-half, front), at(half, front), at(half, end), at(-half, end))}}
	treads := half
	if l.Cheek > 0 {
		treads -= l.Cheek
		for _, side := range [2]float64{-1, 1} {
			strokes = append(strokes, Stroke{Line: LineEdge, Layer: Standing, Closed: true, Covers: true,
				Path: straight(at(side*treads, 0), at(side*half, 0), at(side*half, end), at(side*treads, end))})
		}
	}
	for i := range l.Risers {
		y := float64(i) * l.Going
		if i < l.Risers-1 {
			y -= l.Nosing // the last riser has the landing over it
		}
		strokes = append(strokes, Stroke{Line: LineStep, Layer: Standing, Path: straight(at(-treads, y), at(treads, y))})
	}
	return append(strokes, Stroke{Line: LineWay, Layer: Standing, Path: straight(at(0, 0), at(0, l.Run()))})
}

// PlanLabels says how many risers go up, beside the foot of the flight.
func (st *Stair) PlanLabels(s *Site) []Label {
	l := st.layout(s)
	const before = 2.2 // mm before the foot
	return []Label{{At: onPlan(l.Place(0, -l.Nosing-before, 0)), Text: fmt.Sprintf("%d up", l.Risers)}}
}

// Heights are those of the treads, and of the levels at either end.
func (st *Stair) Heights(s *Site) []float64 {
	l := st.layout(s)
	out := []float64{l.From}
	for i := range l.Risers {
		out = append(out, l.TreadTop(i))
	}
	return out
}
