package stair

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Extents are its outline on the plan, with the overhang of the treads.
func (st *Stair) Extents(s *parts.Site) []parts.Extent {
	l := st.settled(s)
	key := "foot"
	if st.Foot == nil {
		key = "head"
	}
	return []parts.Extent{{Key: key, Points: l.Plan(-l.Nosing, l.End()), Closed: true}}
}

// TopOver is the highest tread over a region: looked for at places between its middle
// and its corners.
func (st *Stair) TopOver(s *parts.Site, plan []r2.Vec, middle r2.Vec) (high float64, ok bool) {
	l := st.settled(s)
	if !planar.OutlinesMeet(plan, l.Plan(0, l.End())) {
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

// Standing is the height of the top of the stair above a point of the plan that
// lies inset from the flank: the tread, or the flank wall or string beside the
// treads. ok is false beyond the stair.
func (st *Stair) Standing(s *parts.Site, p r2.Vec) (z float64, ok bool) {
	return st.standing(st.settled(s), p)
}

func (st *Stair) standing(l *layout, p r2.Vec) (z float64, ok bool) {
	q := l.Pose.Invert(sdf.V(p.X, p.Y, 0))
	if math.Abs(q.X) > st.Width/2 || q.Y < 0 || q.Y > l.End() {
		return 0, false
	}
	z = l.Tread(q.Y)
	if st.Flanks != "none" && math.Abs(q.X) >= st.Width/2-l.Cheek {
		z = max(z, min(st.To.Height, l.NosingLine(q.Y)+l.Upstand))
	}
	return z, true
}

// Landings are the foot of the first riser and the head of the last, where the
// paving must lie true for them to be equal to the rest.
func (st *Stair) Landings(s *parts.Site) []parts.Lie {
	l := st.settled(s)
	lie := func(y, z float64) parts.Lie {
		a, b := l.Place(-st.Width/2, y, 0), l.Place(st.Width/2, y, 0)
		return parts.Lie{A: r2.Vec{X: a.X, Y: a.Y}, B: r2.Vec{X: b.X, Y: b.Y}, Height: z}
	}
	return []parts.Lie{lie(0, st.From.Height), lie(l.End(), st.To.Height)}
}

// Heights are those of the treads, and of the levels at either end.
func (st *Stair) Heights(s *parts.Site) []float64 {
	l := st.settled(s)
	out := []float64{l.From}
	for i := range l.Risers {
		out = append(out, l.TreadTop(i))
	}
	return out
}

// CheckPlace reports a flight of whose last tread half or more lies inside what the flight
// leads to: it comes up there from within.
func (st *Stair) CheckPlace(s *parts.Site) []parts.Fault {
	l := st.settled(s)
	if l.Risers == 1 {
		return nil
	}
	z := l.TreadTop(l.Risers - 2)
	y := l.Run() - l.Going/2
	at := func(share float64) string { return st.inside(s, l.OnPlan(share*st.Width, y), z) }
	name := at(0)
	if name == "" || at(-0.4) == "" && at(0.4) == "" {
		return nil
	}
	return []parts.Fault{{Part: st.Name, Key: "facing",
		Text:    fmt.Sprintf("leads into %s from inside: its last tread lies %.2f mm below the top there", name, l.To-z),
		Allowed: "a flight that comes up to the edge from outside: turn facing round, or move head or foot"}}
}

// inside names what at the upper level a place of the plan at a lower height lies in;
// "" where it lies in the open.
func (st *Stair) inside(s *parts.Site, p r2.Vec, z float64) string {
	leadsTo := func(f *parts.Floor) bool {
		return math.Abs(f.Level.Height-st.To.Height) <= parts.SameHeight && f.Sound() && f.Area.Contains(p)
	}
	for _, f := range s.Slabs() {
		if leadsTo(&f) {
			return f.Words
		}
	}
	land := s.Land()
	if land == nil || planar.Polygon(land.Plot.Area.Outline()).At(p) > 0 {
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
		if f.Area.Contains(p) {
			return ""
		}
	}
	return land.Plot.Words
}
