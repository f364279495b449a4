package stair

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

const (
	// offLine is how far off its line a stair is looked at, degrees.
	offLine = 35.0
	// leastTreads is how many treads, and leastShown how much of their width, a
	// stair must show.
	leastTreads, leastShown = 2, 0.2
	// placesAcross is how many places across a tread are looked at.
	placesAcross = 21
)

// treadPlace is a place in the middle of a tread that the piece shows.
type treadPlace struct {
	tread  int
	across float64 // from the middle of the stair, mm
	at     r3.Vec  // piece coordinates, as designed
}

// Sights is the stair, if the piece shows it.
func (st *Stair) Sights(l parts.Lookout) []parts.Sight {
	if s, ok := st.sight(l); ok {
		return []parts.Sight{s}
	}
	return nil
}

// sight is that of the stair, if the piece shows it.
func (st *Stair) sight(l parts.Lookout) (parts.Sight, bool) {
	lay := st.settled(l.Site())
	places := st.treadsShown(l, lay)
	if len(places) == 0 {
		return parts.Sight{}, false
	}
	box := r3.Box{Min: places[0].at, Max: places[0].at}
	var marks []r3.Vec
	var mid r3.Vec
	for _, t := range places {
		box.Min = sdf.V(math.Min(box.Min.X, t.at.X), math.Min(box.Min.Y, t.at.Y), math.Min(box.Min.Z, t.at.Z))
		box.Max = sdf.V(math.Max(box.Max.X, t.at.X), math.Max(box.Max.Y, t.at.Y), math.Max(box.Max.Z, t.at.Z))
		marks = append(marks, t.at)
		mid = r3.Add(mid, r3.Scale(1/float64(len(places)), t.at))
	}
	room := 1.5*lay.Going + l.Person()/2
	box.Min = r3.Sub(box.Min, sdf.V(room, room, lay.Riser+0.5))
	box.Max = r3.Add(box.Max, sdf.V(room, room, lay.Riser+parts.Headroom*l.Person()))
	s := parts.Sight{Kind: "stair", Part: st, Name: "stair-" + st.Name, Box: l.Framed(box)}
	s.From = l.Freest(marks, fromFoot(l, lay, mid))
	s.Figure = st.onTread(l, lay, places)
	return s, true
}

// treadsShown gives places on the treads that lie on the piece and are not built
// over, by tread and from side to side; none where that is too little.
func (st *Stair) treadsShown(l parts.Lookout, lay *layout) []treadPlace {
	var out []treadPlace
	treads := 0
	half := st.Width/2 - lay.Cheek
	middle := lay.Pose.Invert(l.Pose().Apply(r3.Vec{}))
	if half <= 0 || math.Abs(middle.X) > half+l.Reach() {
		return nil
	}
	for i := range lay.Risers - 1 {
		y := (float64(i)+0.5)*lay.Going - lay.Nosing
		if math.Abs(middle.Y-y) > l.Reach() {
			continue
		}
		shown := 0
		for k := range placesAcross {
			x := half * (2*(float64(k)+0.5)/placesAcross - 1)
			at := l.Pose().Invert(lay.Place(x, y, lay.TreadTop(i)))
			if l.Top(r2.Vec{X: at.X, Y: at.Y}) > 0 || at.Z < 0 {
				continue
			}
			// On the tread, however worn: air above and solid below.
			over := r3.Add(at, sdf.V(0, 0, 0.6*lay.Riser))
			under := r3.Sub(at, sdf.V(0, 0, 0.6*lay.Riser))
			if l.Field().Value(over) > 0 && l.Field().Value(under) < 0 {
				shown++
				out = append(out, treadPlace{i, x, at})
			}
		}
		if float64(shown) >= leastShown*placesAcross {
			treads++
		}
	}
	if treads < leastTreads {
		return nil
	}
	return out
}

// fromFoot lists azimuths that look up a stair: a little to the side that has
// more of the base, to the other side, and along it.
func fromFoot(l parts.Lookout, lay *layout, mid r3.Vec) []float64 {
	down := r3.Sub(l.Pose().Invert(lay.Place(0, -1, 0)), l.Pose().Invert(lay.Place(0, 0, 0)))
	line := math.Atan2(down.Y, down.X) * 180 / math.Pi
	out := []float64{line + offLine, line - offLine, line, line + 2*offLine, line - 2*offLine}
	// The middle of the base lies on the side that has more of it.
	side := down.X*-mid.Y - down.Y*-mid.X
	turned := math.Abs(math.Remainder(out[1]-parts.FrontOn, 360)) < math.Abs(math.Remainder(out[0]-parts.FrontOn, 360))
	if side < -1 || side <= 1 && turned {
		out[0], out[1], out[3], out[4] = out[1], out[0], out[4], out[3]
	}
	return out
}

// onTread finds a person a place about a third up, near the middle of what shows.
func (st *Stair) onTread(l parts.Lookout, lay *layout, places []treadPlace) *r3.Vec {
	third := float64(lay.Risers)/3 - 1
	low, high := places[0].across, places[0].across
	for _, t := range places {
		low, high = math.Min(low, t.across), math.Max(high, t.across)
	}
	off := func(t treadPlace) float64 { return math.Abs(float64(t.tread) - third) }
	aside := func(t treadPlace) float64 { return math.Abs(t.across - (low+high)/2) }
	sorted := slices.Clone(places)
	slices.SortStableFunc(sorted, func(a, b treadPlace) int {
		return cmp.Or(cmp.Compare(off(a), off(b)), cmp.Compare(aside(a), aside(b)))
	})
	for _, t := range sorted {
		q := r2.Vec{X: t.at.X, Y: t.at.Y}
		f := l.Standing(q, t.at.Z, false)
		if f == nil || l.PartAt(*f) != parts.Part(st) {
			continue
		}
		return f
	}
	return nil
}
