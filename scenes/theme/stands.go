package theme

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
)

// round is a round place in the plan, mm.
type round struct {
	at   r2.Vec
	wide float64
}

// besideStand is what is left free between a stand that was kept a place and what is
// laid beside it, mm.
const besideStand = 0.5

// narrow is how much of a base's short side has to be left beside its stand for what it
// shows, mm; where less is, the stand lies to one end and what it shows to the other.
const narrow = 5.0

// person is how tall a person is on the print, mm.
func (w *work) person() float64 { return w.onPrint(1.75) }

// reserves says whether a base is so small, and the place so near, that a figure's foot
// takes much of it: then its stand has its place before anything else is laid.
func (w *work) reserves(b *berth) bool { return b.side() < standSide && w.ask.Scale < evenFrom }

// footWide is the diameter of the place that is kept for a stand, mm.
func (w *work) footWide(b *berth) float64 {
	return halves(math.Max(base.FootOn(b.side()), stance(b.side(), w.person())))
}

// reserve keeps the place of a stand, at the rim, to the side that the station wants it
// on.
func (w *work) reserve(b *berth) *round {
	if !w.reserves(b) {
		return nil
	}
	wide := w.footWide(b)
	dir := b.station.stand
	if dir == (r2.Vec{}) {
		sin, cos := math.Sincos(2 * math.Pi * w.rand("stand of "+b.name).Float64())
		dir = r2.Vec{X: cos, Y: sin}
		if lengthwise := turned(r2.Vec{X: 1}, b.turn); b.side()-2*taper-wide < narrow {
			dir = r2.Scale(math.Copysign(1, r2.Dot(dir, lengthwise)), lengthwise)
		}
	}
	outline, at := b.outline(), b.at
	for far := 0.0; far < b.side(); far += 0.1 {
		p := r2.Add(b.at, r2.Scale(far, dir))
		if depthIn(outline, p)-taper-0.6 < wide/2 {
			break
		}
		at = tenthOf(p)
	}
	return &round{at, wide}
}

// clearOf says whether a disc lies clear of the place kept for a stand.
func (b *berth) clearOf(p r2.Vec, radius float64) bool {
	return b.kept == nil || r2.Norm(r2.Sub(p, b.kept.at)) >= b.kept.wide/2+radius+besideStand-1e-9
}

// aside moves a disc away from the place kept for a stand until it is clear: straight, or
// in that direction nearest to it in which its middle stays well on the base.
func (b *berth) aside(p r2.Vec, radius float64) r2.Vec {
	if b.clearOf(p, radius) {
		return p
	}
	away := r2.Sub(p, b.kept.at)
	if r2.Norm(away) < 0.1 {
		away = r2.Sub(b.at, b.kept.at)
	}
	away = r2.Scale(b.kept.wide/2+radius+besideStand+0.1, r2.Unit(away))
	outline := b.outline()
	for turn := 0.0; turn <= 180; turn += 15 {
		for _, way := range []float64{turn, -turn} {
			if q := r2.Add(b.kept.at, turned(away, way)); depthIn(outline, q) > taper+0.35*radius {
				return q
			}
		}
	}
	back := r2.Unit(r2.Sub(b.at, b.kept.at)) // to the side that has most room
	return r2.Add(b.kept.at, r2.Scale(r2.Norm(away), back))
}

// halves is a length cut to half a mm.
func halves(v float64) float64 { return math.Floor(2*v) / 2 }

// asideLine moves a line of a width, all of it, away from the place kept for a stand.
func (b *berth) asideLine(width float64, along []r2.Vec) []r2.Vec {
	if b.kept == nil {
		return along
	}
	way := r2.Unit(r2.Sub(b.at, b.kept.at))
	out := append([]r2.Vec(nil), along...)
	for range 100 {
		clear := true
		for i := 1; i < len(out); i++ {
			clear = clear && toSide(b.kept.at, out[i-1], out[i]) >= b.kept.wide/2+width/2+besideStand
		}
		if clear {
			break
		}
		for i := range out {
			out[i] = r2.Add(out[i], r2.Scale(0.25, way))
		}
	}
	const beyond = 1.0 // mm past the box of the base: no other base lies there
	for i, p := range out {
		x, y := b.half.X+beyond, b.half.Y+beyond
		out[i] = r2.Vec{X: math.Max(b.at.X-x, math.Min(b.at.X+x, p.X)), Y: math.Max(b.at.Y-y, math.Min(b.at.Y+y, p.Y))}
	}
	return slices.CompactFunc(out, func(p, q r2.Vec) bool { return r2.Norm(r2.Sub(p, q)) < 0.5 })
}

// asideColumns moves columns along the line that they stand on until they are clear of
// the place kept for a stand and of each other. One that finds no place is left out, but
// for the first.
func (b *berth) asideColumns(radius float64, at []r2.Vec) []r2.Vec {
	outline := b.outline()
	var out []r2.Vec
	fits := func(p r2.Vec) bool {
		return b.clearOf(p, radius) && !slices.ContainsFunc(out, func(o r2.Vec) bool { return r2.Norm(r2.Sub(p, o)) < 2*radius })
	}
	for _, p := range at {
		if b.clearOf(p, radius) {
			out = append(out, p)
		}
	}
	for _, p := range at {
		if b.clearOf(p, radius) {
			continue
		}
	places:
		for step := 0.25; step < b.side(); step += 0.25 {
			for _, way := range []float64{step, -step} {
				if q := r2.Add(p, r2.Vec{X: way}); fits(q) && depthIn(outline, q) > radius+taper {
					out = append(out, q)
					break places
				}
			}
		}
	}
	if len(out) == 0 && len(at) > 0 {
		return []r2.Vec{b.aside(at[0], radius)}
	}
	return out
}

// asideRegion is a region without the place kept for a stand; false where little of it
// is left.
func (b *berth) asideRegion(area region) (region, bool) {
	if b.kept == nil {
		return area, true
	}
	lo, hi := area.plan[0], area.plan[0]
	for _, p := range area.plan {
		lo = r2.Vec{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
		hi = r2.Vec{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	if len(area.plan) == 4 {
		return b.asidePatch(lo.X, lo.Y, hi.X, hi.Y)
	}
	radius := (hi.X - lo.X) / 2
	return roundPatch(b.aside(r2.Scale(0.5, r2.Add(lo, hi)), radius), 2*radius), true
}

// asidePatch takes what a rectangle has of the place kept for a stand off it, by one
// straight cut; ok is false where little is left.
func (b *berth) asidePatch(x0, y0, x1, y1 float64) (r region, ok bool) {
	const least = 2.5 // mm, of a side
	c, off := b.kept.at, b.kept.wide/2+besideStand
	if near := (r2.Vec{X: math.Max(x0, math.Min(x1, c.X)), Y: math.Max(y0, math.Min(y1, c.Y))}); r2.Norm(r2.Sub(near, c)) >= off {
		return patch(x0, y0, x1, y1), true
	}
	most := 0.0
	for _, cut := range [4][4]float64{
		{x0, y0, math.Min(x1, c.X-off), y1}, {math.Max(x0, c.X+off), y0, x1, y1},
		{x0, y0, x1, math.Min(y1, c.Y-off)}, {x0, math.Max(y0, c.Y+off), x1, y1},
	} {
		wide, deep := cut[2]-cut[0], cut[3]-cut[1]
		if wide >= least && deep >= least && wide*deep > most {
			r, ok, most = patch(cut[0], cut[1], cut[2], cut[3]), true, wide*deep
		}
	}
	return r, ok
}

const (
	// stanceShare is how wide a figure stands, in its height: legs apart, or in its
	// stride. stanceSide is the most of a base's short side that its stand takes for
	// that. Both are common practice, no source.
	stanceShare, stanceSide = 0.4, 0.5
	// floorPlay is how far a floor beside a stand may lie from it, mm: what is told by
	// the inspection of a built one.
	floorPlay = 0.5
)

// stance is the least diameter of a stand on a base of a short side, mm, where a person
// is so tall on the print.
func stance(side, person float64) float64 {
	return math.Min(math.Min(stanceShare*person, stanceSide*side), base.LargestFoot)
}

// standFaults says which stands are too small for a figure, and which do not lie on one
// floor.
func standFaults(s *parts.Site) (wrong []string) {
	person := s.OnPrint(1000 * s.Scale.Person)
	for _, b := range parts.AllOf[*base.Base](s) {
		if b.At == nil {
			continue
		}
		turn := 0.0
		if b.Turn != nil {
			turn = *b.Turn
		}
		for _, st := range b.Stands {
			if least := stance(footOf(b).side(), person); st.Round < least-0.5 {
				wrong = append(wrong, fmt.Sprintf("the stand of base %q is %.1f mm for a figure of %.1f, which wants %.1f", b.Name, st.Round, person, least))
			}
			middle := r2.Add(*b.At, turned(st.At, turn))
			level := math.Inf(1)
			switch floor, ok := s.FloorAt(middle); {
			case st.Level != nil:
				level = st.Level.Height
			case st.Height == nil && ok:
				level = floor
			}
			for _, p := range append(ringOf(middle, st.Round/2), middle) {
				if floor, ok := s.FloorAt(p); !ok || math.Abs(floor-level) > floorPlay {
					wrong = append(wrong, fmt.Sprintf("the stand of base %q lies at %.1f mm, and the floor there at %.1f", b.Name, level, floor))
					break
				}
			}
		}
	}
	return wrong
}
