package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/out/inspect/chords"
	"socle/out/inspect/tree"
)

// Least is how thick, how wide and how stout things must be; 0 leaves a check out.
type Least struct {
	WallJoined float64 // thickness of a wall that is joined on two sides or more, mm
	WallFree   float64 // thickness of a wall that is joined on one side at most, mm
	Pin        float64 // thickness of a pin, mm
	Slender    float64 // the most that a pin's length may be of its thickness; needs Pin
	Gap        float64 // width of a gap, mm
	// Round is how far short of its least a thing with round faces may fall, mm:
	// what flat facets lie inside a round bar, on both sides.
	Round float64
}

const (
	// stout is the multiple of the least pin up to which pins are held against
	// Slender.
	stout = 2
)

// Thin finds the walls, pins and gaps under the least, exactly on the mesh and
// whatever way they are turned: no raster comes into it.
//
// Points are spread evenly over the surface, a few on every square of the least.
// From each a line goes into the solid, and for gaps out of it; where it comes to
// a face that looks back at it, within 30 degrees, there is a chord. So edges,
// corners and wedges of more than 30 degrees are not thin, however near their
// tip, nor are prisms of three sides or five. Chords that lie side by side are
// one feature (see patches): a pin where the solid is less than twice as wide as
// it is thick, else a wall.
//
// The thickness of a feature is the length of a real chord, squared up to the
// surface next to its middle. It is the middle one of all those about some place,
// there where that is least and they are even: what the feature measures over a
// stretch as long as the least, not at a needle's tip. At is the middle of that
// chord. Size is the box of a pin, and of those parts of a wall or gap that are no
// more than a quarter thicker.
//
// A pin must run twice its thickness at least; a wall twice its thickness one way
// and once the other, and the smallest least and half of that; a gap three times
// the least and half of it. What is smaller is a rivet, a chip or a crevice, no
// feature (common practice, no source). A wall is Free where it is joined on one
// of its sides at most (see sides). A pin's Length is straight from where it grows
// out of something wider to where it meets something wider again, or ends, within
// the spacing of the points: the span, so a rail's is from post to post, though it
// may take in a corner that two pins make. A pin gives one finding, that which is
// further from its limit.
//
// The worst comes first, by share of its limit, then by place. It is an error
// when a least is negative or not finite, and when the surface is too large to be
// looked at so closely.
func Thin(ctx context.Context, x *tree.Index, least Least) ([]Finding, error) {
	for _, l := range []float64{least.WallJoined, least.WallFree, least.Pin, least.Slender, least.Gap, least.Round} {
		if !(l >= 0) || math.IsInf(l, 1) {
			return nil, fmt.Errorf("a least of %g: it must be 0 or more", l)
		}
	}
	var found []Finding
	inside := chords.Medium{Index: x, Inside: true, Least: smallest(least.WallJoined, least.WallFree, least.Pin)}
	inside.Wall = chords.Wavers * max(least.WallJoined, least.WallFree)
	inside.Far = max(inside.Wall, chords.Wavers*least.Pin)
	if least.Slender > 0 {
		inside.Far = max(inside.Far, stout*least.Pin)
	}
	outside := chords.Medium{Index: x, Least: least.Gap, Wall: chords.Wavers * least.Gap, Far: chords.Wavers * least.Gap}
	for _, m := range []chords.Medium{inside, outside} {
		if m.Least == 0 {
			continue
		}
		features, err := m.Features(ctx)
		if err != nil {
			return nil, err
		}
		for _, f := range features {
			if finding, ok := least.judge(&f); ok {
				found = append(found, finding)
			}
		}
	}
	slices.SortFunc(found, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(b.share(), a.share()),
			slices.Compare(a.At[:], b.At[:]),
			cmp.Compare(a.Kind, b.Kind),
		)
	})
	return found, nil
}

// smallest gives the smallest that is not 0; 0 where all are.
func smallest(values ...float64) (least float64) {
	for _, v := range values {
		if v > 0 && (least == 0 || v < least) {
			least = v
		}
	}
	return least
}

// share gives how many times over its limit a thin or slender thing is.
func (f *Finding) share() float64 {
	if f.Kind == SlenderPin {
		return f.Value / f.Limit
	}
	return f.Limit / f.Value
}

// judge holds a feature against the least for its kind.
func (l Least) judge(f *chords.Feature) (Finding, bool) {
	finding := Finding{
		At:     [3]float64{f.At.X, f.At.Y, f.At.Z},
		Size:   [3]float64{f.Size.X, f.Size.Y, f.Size.Z},
		Value:  f.Thickness,
		Length: f.Length,
		Free:   f.Free,
	}
	switch f.Form {
	case chords.FormGap:
		finding.Kind, finding.Limit = NarrowGap, l.Gap
	case chords.FormWall:
		finding.Kind, finding.Limit = ThinWall, l.WallJoined
		if f.Free {
			finding.Limit = l.WallFree
		}
	case chords.FormPin:
		finding.Kind, finding.Limit = ThinPin, l.Pin
		slim := f.Length / f.Thickness
		if l.Slender > 0 && slim > l.Slender && f.Thickness <= stout*l.Pin &&
			slim/l.Slender > l.Pin/f.Thickness {
			finding.Kind, finding.Limit, finding.Value = SlenderPin, l.Slender, slim
			return finding, true
		}
	}
	short := tree.OnLattice
	if f.Round {
		short += l.Round
	}
	return finding, f.Thickness < finding.Limit-short
}
