package stair

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// layout is a stair worked out for its site, in mm on the print.
type layout struct {
	parts.Flight
	waist     float64      // thickness of the slab or the strings of an open flight
	slab      float64      // thickness of a free tread
	freeTread bool         // the flight is free treads between strings
	fault     *parts.Fault // what keeps the stair from being built, or nil
	notes     parts.Notes
}

// settled is the stair's layout, worked out once for its site.
func (st *Stair) settled(s *parts.Site) *layout {
	return parts.Settled(s, st, func() *layout { return st.settle(s) })
}

// Flight is the stair's.
func (st *Stair) Flight(s *parts.Site) parts.Flight { return st.settled(s).Flight }

// Notes say what the layout draws otherwise than the scene gives it.
func (st *Stair) Notes(s *parts.Site) []parts.Note { return st.settled(s).notes.List }

// noEdge stands for the distance to the edge that a stair leads to where there
// is none.
const noEdge = -1.0

// agreement is how far apart two statements of one length may be, relative.
const agreement = 0.005

// settle works the stair out. It needs from below to and a foot or a head; a
// contradiction is kept as the layout's fault, with a usable layout all the same.
func (st *Stair) settle(s *parts.Site) *layout {
	l := &layout{
		Flight: parts.Flight{From: st.From.Height, To: st.To.Height, Width: st.Width, Facing: st.Facing, Profile: st.Profile},
		notes:  parts.Notes{Part: st.Name},
	}
	rise := max(l.To-l.From, 1e-6)
	law := stepLawOf(st.Profile)
	full := s.FullHeight(rise)
	dir := r2.Vec{X: sdf.Turn(sdf.V(0, 0, 1), st.Facing).Rotate(sdf.V(1, 0, 0)).X,
		Y: sdf.Turn(sdf.V(0, 0, 1), st.Facing).Rotate(sdf.V(1, 0, 0)).Y}

	reach := noEdge
	edge := "the head given"
	switch {
	case st.Foot != nil && st.Head != nil:
		d := r2.Sub(*st.Head, *st.Foot)
		reach = r2.Dot(d, dir)
		if side := math.Abs(r2.Cross(dir, d)); side > 0.05 || reach <= 0 {
			l.fail(st, "head", "a head straight ahead of the foot in the facing direction, or only one of the two",
				"lies %.2f mm before the foot and %.2f mm to its side", reach, side)
			reach = noEdge
		}
	case st.Foot != nil:
		edge, reach = st.edgeAhead(s, dir, law, full)
	}

	f := st.choose(s, law, full, reach, l)
	if coarse, changed := f.coarser(full, s.FullHeight(s.Print.Relief)); changed {
		l.notes.Add("riser", "%d risers of %.2f mm would be under the print's relief of %.2f mm: %d of %.2f mm are drawn",
			f.risers, rise/float64(f.risers), s.Print.Relief, coarse.risers, rise/float64(coarse.risers))
		if st.Going == nil && reach > 0 && coarse.risers > 1 {
			coarse.going = s.FullSize(reach) / float64(coarse.risers-1)
		}
		f = coarse
	}
	l.Risers, l.Riser, l.Going = f.risers, rise/float64(f.risers), s.OnPrint(f.going)

	if reach != noEdge && l.fault == nil {
		st.meet(l, edge, reach, dir)
	}
	foot := r2.Vec{}
	switch {
	case st.Foot != nil:
		foot = *st.Foot
	case st.Head != nil:
		foot = r2.Sub(*st.Head, r2.Scale(l.Run(), dir))
	}
	l.Pose = sdf.Turn(sdf.V(0, 0, 1), st.Facing-90).Then(sdf.At(sdf.V(foot.X, foot.Y, 0)))
	st.thicken(s, l)
	st.chooseTreads(s, l)
	return l
}

// fail keeps the first fault.
func (l *layout) fail(st *Stair, key, allowed, format string, args ...any) {
	if l.fault == nil {
		l.fault = &parts.Fault{Part: st.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed}
	}
}

// choose settles the risers and the going, full size, from what is given and
// what is left to the profile. reach is the run to fill in mm on the print.
func (st *Stair) choose(s *parts.Site, law stepLaw, full, reach float64, l *layout) flight {
	var f flight
	switch {
	case st.Risers != nil:
		f.risers = *st.Risers
		if st.Riser != nil {
			if asked := s.FullHeight(*st.Riser); math.Abs(full/float64(f.risers)-asked) > agreement*asked {
				l.fail(st, "riser", fmt.Sprintf("one of the two; %d risers are %.1f mm each in full size", f.risers, full/float64(f.risers)),
					"%.1f mm full size does not agree with %d risers over a rise of %.0f mm", asked, f.risers, full)
			}
		}
	case st.Riser != nil:
		asked := s.FullHeight(*st.Riser)
		f.risers = int(max(1, min(maxRisers, math.Round(full/asked))))
		if made := full / float64(f.risers); math.Abs(made-asked) > agreement*asked {
			l.notes.Add("riser", "%d equal risers of %.1f mm full size come closest to the %.1f mm asked for", f.risers, made, asked)
		}
	case st.Going == nil && reach > 0:
		if fit, ok := law.fit(full, s.FullSize(reach), 0); ok {
			return fit
		}
		fallthrough
	default:
		f = law.choose(full)
		f.risers = min(f.risers, maxRisers)
	}
	f.riser = full / float64(f.risers)
	switch {
	case st.Going != nil:
		f.going = s.FullSize(*st.Going)
	default:
		f.going = law.goingFor(f.riser)
		if reach > 0 && f.risers > 1 {
			filling := s.FullSize(reach) / float64(f.risers-1)
			if lo, hi := law.goingRange(f.riser); filling >= lo-planar.Rounding && filling <= hi+planar.Rounding {
				f.going = filling
			}
		}
	}
	given := st.Risers != nil || st.Riser != nil || st.Going != nil
	if key, text, allowed := law.wrong(f); key != "" && given {
		if key == "riser" && st.Riser == nil && st.Risers != nil {
			key = "risers"
		}
		l.fail(st, key, allowed, "%s", text)
	} else if key != "" {
		l.notes.Add(key, "%s: the rise of %.0f mm cannot be divided otherwise", text, full)
	}
	return f
}

// edgeAhead finds the edge that the stair leads to, by name and distance
// before the foot: of a deck or a raised terrace at the upper level, or of the
// sunk terrace that it climbs out of. It is the first that the middle line
// meets, unless it lies so far off that no lawful flight would come near it;
// without one the distance is noEdge.
func (st *Stair) edgeAhead(s *parts.Site, dir r2.Vec, law stepLaw, full float64) (name string, reach float64) {
	_, longest := law.runs(full)
	if own := law.choose(full).run(); math.IsInf(longest, 1) || longest < own {
		longest = 2 * own
	}
	far := 1.5 * s.OnPrint(max(longest, 2*stride))
	if st.Going != nil {
		far = max(far, 1.5**st.Going*float64(law.choose(full).risers))
	}
	reach = noEdge
	meet := func(what string, area *parts.Area, level float64) {
		if math.Abs(level-st.To.Height) > parts.SameHeight {
			return
		}
		if t, ok := area.FirstHit(*st.Foot, dir, far); ok && (reach == noEdge || t < reach) {
			name, reach = what, t
		}
	}
	for _, f := range s.Slabs() {
		meet(f.Words, f.Area, f.Level.Height)
	}
	if land := s.Land(); land != nil {
		for _, f := range land.Raised {
			meet(f.Words, f.Area, f.Level.Height)
		}
		for _, f := range land.Sunk {
			if f.Area.Contains(*st.Foot) {
				meet("the edge of "+f.Words, f.Area, land.Plot.Level.Height)
			}
		}
	}
	return name, reach
}

// meet sees that the flight ends where it should: a short one is carried on by
// a landing, one that would run into the deck is a fault.
func (st *Stair) meet(l *layout, what string, reach float64, dir r2.Vec) {
	switch over := l.Run() - reach; {
	case over > 1e-6:
		at := r2.Sub(*st.Foot, r2.Scale(over, dir))
		l.fail(st, "foot", fmt.Sprintf("a foot at [%.2f, %.2f] or further back, or head in place of foot", at.X, at.Y),
			"leaves %.2f mm to %s, and the flight needs %.2f mm (%d goings of %.3f mm)", reach, what, l.Run(), l.Risers-1, l.Going)
	case over < -1e-6:
		l.Landing = -over
		l.notes.Add("foot", "the flight ends %.2f mm before %s: a landing of its own carries it there", l.Landing, what)
	}
}

// thicken settles the sizes that the printer has a say in.
func (st *Stair) thicken(s *parts.Site, l *layout) {
	if st.Side == "open" {
		l.waist = l.notes.AtLeast("waist", st.Waist, s.Print.Wall, "wall")
	}
	if st.Flanks != "none" {
		l.Cheek = l.notes.AtLeast("cheek", st.Cheek, s.Print.Wall, "wall")
		l.Upstand = l.notes.AtLeast("upstand", st.Upstand, s.Print.Relief, "relief")
	}
	if st.Nosing > 0 {
		l.Nosing = l.notes.AtLeast("nosing", st.Nosing, s.Print.Relief, "relief")
		if l.Nosing > l.Going/3 {
			l.notes.Add("nosing", "left out: %.2f mm would hide a third of each going of %.2f mm", l.Nosing, l.Going)
			l.Nosing = 0
		}
	}
	small := min(l.Riser, l.Going, st.Width)
	switch {
	case st.Arris != nil:
		l.Arris = min(*st.Arris, small/2)
		if l.Arris < *st.Arris {
			l.notes.Add("arris", "%.2f mm on the print is drawn at %.2f mm, half of the riser, the going or the width", *st.Arris, l.Arris)
		}
	case st.Wear > 0:
		// Nothing that a printer would not show.
		if r := small * (0.06 + 0.12*st.Wear); r >= 0.06 {
			l.Arris = min(r, 0.4)
		}
	}
}

// chooseTreads settles whether an open flight is free treads: only between strings, and
// only where a gap that prints is left under each tread.
func (st *Stair) chooseTreads(s *parts.Site, l *layout) {
	l.slab = max(s.Print.Wall, s.HeightOnPrint(50))
	if l.Risers == 1 {
		l.notes.Add("", "one riser of %.2f mm: the edge of the upper level is the step", l.Riser)
		return
	}
	if st.Side == "solid" || st.Flanks != "string" {
		return
	}
	gap := l.Riser - l.slab
	l.freeTread = gap >= s.Print.Gap
	if !l.freeTread {
		l.notes.Add("side", "treads of %.2f mm leave %.2f mm open under each, less than the print's gap of %.2f mm: a closed slab is drawn",
			l.slab, max(0, gap), s.Print.Gap)
	}
}
