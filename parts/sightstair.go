package parts

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

const (
	// stairAside is how far off its line a stair is looked at, degrees.
	stairAside = 35.0
	// leastTreads is how many treads, and stairShare how much of their width, a
	// stair must show.
	leastTreads, stairShare = 2, 0.2
	// stairPlaces is how many places across a tread are looked at.
	stairPlaces = 21
)

// treadPlace is a place in the middle of a tread that the piece shows.
type treadPlace struct {
	tread  int
	across float64 // from the middle of the stair, mm
	at     r3.Vec  // piece coordinates, as designed
}

// stair is the sight of a stair, if the piece shows it.
func (l *lookout) stair(st *Stair) (Sight, bool) {
	lay := st.layout(l.sc.site)
	places := l.treadsShown(st, lay)
	if len(places) == 0 {
		return Sight{}, false
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
	room := 1.5*lay.going + l.person/2
	box.Min = r3.Sub(box.Min, sdf.V(room, room, lay.riser+0.5))
	box.Max = r3.Add(box.Max, sdf.V(room, room, lay.riser+headroom*l.person))
	s := Sight{Kind: "stair", Part: st, Name: "stair-" + st.Name, Box: l.framed(box)}
	s.From = l.freest(marks, l.fromFoot(lay, mid))
	s.Figure = l.onTread(st, lay, places)
	return s, true
}

// treadsShown gives places on the treads that lie on the piece and are not built
// over, by tread and from side to side; none where that is too little.
func (l *lookout) treadsShown(st *Stair, lay *stairLayout) []treadPlace {
	var out []treadPlace
	treads := 0
	half := st.Width/2 - lay.cheek
	middle := lay.pose.Invert(l.p.Pose.Apply(r3.Vec{}))
	if half <= 0 || math.Abs(middle.X) > half+l.p.berth.reach() {
		return nil
	}
	for i := range lay.n - 1 {
		y := (float64(i)+0.5)*lay.going - lay.nosing
		if math.Abs(middle.Y-y) > l.p.berth.reach() {
			continue
		}
		shown := 0
		for k := range stairPlaces {
			x := half * (2*(float64(k)+0.5)/stairPlaces - 1)
			at := l.p.Pose.Invert(lay.place(x, y, lay.treadTop(i)))
			if l.top(r2.Vec{X: at.X, Y: at.Y}) > 0 || at.Z < 0 {
				continue
			}
			// On the tread, however worn: air above and solid below.
			over := r3.Add(at, sdf.V(0, 0, 0.6*lay.riser))
			under := r3.Sub(at, sdf.V(0, 0, 0.6*lay.riser))
			if l.p.Field.Value(over) > 0 && l.p.Field.Value(under) < 0 {
				shown++
				out = append(out, treadPlace{i, x, at})
			}
		}
		if float64(shown) >= stairShare*stairPlaces {
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
func (l *lookout) fromFoot(lay *stairLayout, mid r3.Vec) []float64 {
	down := r3.Sub(l.p.Pose.Invert(lay.place(0, -1, 0)), l.p.Pose.Invert(lay.place(0, 0, 0)))
	line := math.Atan2(down.Y, down.X) * 180 / math.Pi
	out := []float64{line + stairAside, line - stairAside, line, line + 2*stairAside, line - 2*stairAside}
	// The middle of the base lies on the side that has more of it.
	side := down.X*-mid.Y - down.Y*-mid.X
	turned := math.Abs(math.Remainder(out[1]-frontOn, 360)) < math.Abs(math.Remainder(out[0]-frontOn, 360))
	if side < -1 || side <= 1 && turned {
		out[0], out[1], out[3], out[4] = out[1], out[0], out[4], out[3]
	}
	return out
}

// onTread finds a person a place about a third up, near the middle of what shows.
func (l *lookout) onTread(st *Stair, lay *stairLayout, places []treadPlace) *r3.Vec {
	third := float64(lay.n)/3 - 1
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
		f := l.standing(q, t.at.Z, false)
		if f == nil || l.sc.Nearest(l.p, *f) != Part(st) {
			continue
		}
		return f
	}
	return nil
}
