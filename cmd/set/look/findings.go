package look

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set/finding"
	"socle/out/picture"
	"socle/parts"
)

// drawFindings draws the base with what was found on it ringed and numbered, from
// above and, where that hides something, from below; and for the report each place
// near by.
func (b *baseRenderer) drawFindings(all []finding.Finding) {
	if !slices.ContainsFunc(all, func(f finding.Finding) bool { return f.Number > 0 }) {
		return
	}
	above, below := b.plate(picture.ThreeQuarter), b.fromBelow()
	var upper, lower []picture.Mark
	for i := range all {
		f := &all[i]
		if f.Number == 0 {
			continue
		}
		m := b.markOf(f)
		if above.Hidden(m.At) && !below.Hidden(m.At) {
			lower = append(lower, m)
		} else {
			upper = append(upper, m)
		}
	}
	ringed := func(name, caption string, v picture.View, marks []picture.Mark) {
		if len(marks) > 0 {
			b.keep(name, caption, b.plate(v).Print(b.title(caption), marks))
		}
	}
	ringed("findings", "what was found", picture.ThreeQuarter, upper)
	ringed("findings-underside", "what was found below", picture.Underside, lower)
	if b.Page && b.Draws(ViewDetails) {
		b.drawPlaces(all)
	}
}

// fromBelow tells what is hidden from below: by the picture, or where that may not be
// drawn, for much less.
func (b *baseRenderer) fromBelow() *picture.Survey {
	if b.Draws(viewUnderside) {
		return &b.plate(picture.Underside).Survey
	}
	o := b.options(picture.Underside)
	o.Title = b.title("") // for its room
	return b.beside.Survey(o)
}

// largestRing is the most that a ring's radius is, of the longer side of the base: it
// points at the worst place, and does not go round all of it.
const largestRing = 0.05

// markOf rings the worst place of a finding.
func (b *baseRenderer) markOf(f *finding.Finding) picture.Mark {
	sides := r3.Sub(b.piece.Box.Max, b.piece.Box.Min)
	radius := math.Min(0.6*extent(f), largestRing*math.Max(sides.X, sides.Y))
	return picture.Mark{At: finding.Vec(*f.At), Radius: radius, Label: fmt.Sprint(f.Number), Grade: gradeOf[f.Severity]}
}

var gradeOf = map[string]picture.Grade{
	parts.SeverityStop: picture.Stop, parts.SeverityWarn: picture.Warning, parts.SeverityNote: picture.Note,
}

// extent is the longest side of the box about the worst place, mm.
func extent(f *finding.Finding) float64 {
	if f.Size == nil {
		return 0
	}
	return slices.Max(f.Size[:])
}

// nearViews are where a place is looked at from, the best first.
var nearViews = []picture.View{
	{Azimuth: -62, Elevation: 36, Perspective: 20}, {Azimuth: 28, Elevation: 36, Perspective: 20},
	{Azimuth: -152, Elevation: 36, Perspective: 20}, {Azimuth: 118, Elevation: 36, Perspective: 20},
	picture.Top,
	{Azimuth: -62, Elevation: -40, Perspective: 20}, {Azimuth: 118, Elevation: -40, Perspective: 20},
}

const (
	// leastNear is the least that a picture of a place shows, mm across.
	leastNear = 5.0
	// nearRing is the least radius of the ring in it, of half of that.
	nearRing = 0.25
)

// drawPlaces draws each place near by, from where it can be seen.
func (b *baseRenderer) drawPlaces(all []finding.Finding) {
	surveys := make([]*picture.Survey, len(nearViews))
	for i, v := range nearViews {
		surveys[i] = b.bare.Survey(picture.Options{Width: placeWidth, Height: placeHeight, View: v})
	}
	for i := range all {
		f := &all[i]
		if f.Number == 0 || b.err != nil || b.ctx.Err() != nil {
			continue
		}
		m := b.markOf(f)
		view := nearViews[0]
		for k, s := range surveys {
			if !s.Hidden(m.At) {
				view = nearViews[k]
				break
			}
		}
		half := 0.5 * math.Max(leastNear, 3*extent(f))
		m.Label, m.Radius = "", math.Max(m.Radius, nearRing*half) // its number stands beside it
		corner := r3.Vec{X: half, Y: half, Z: half}
		o := picture.Options{
			Width: placeWidth, Height: placeHeight, View: view, Marks: []picture.Mark{m},
			Focus: &r3.Box{Min: r3.Sub(m.At, corner), Max: r3.Add(m.At, corner)},
		}
		alt := fmt.Sprintf("%s, number %d, near by: %s", b.piece.Name, f.Number, f.Check)
		b.drawn.Places[f.Number], b.err = ForPage(b.bare.Draw(o), "", alt)
	}
}
