package base

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Base is one printed piece, or several alike: a footprint laid on the scene,
// with a rim, an underside and perhaps magnet pockets and stands. Sizes are the
// outline at the foot of the rim, the widest place.
type Base struct {
	parts.Named
	Round     *float64    `key:"round" type:"length" doc:"footprint: a circle of this diameter" min:"10" max:"300"`
	Oval      *[2]float64 `key:"oval" type:"size" doc:"footprint: a true ellipse, [long, short]" min:"10" max:"300"`
	Rectangle *[2]float64 `key:"rectangle" type:"size" doc:"footprint: a rectangle, [width, depth]" min:"10" max:"300"`
	Square    *float64    `key:"square" type:"length" doc:"footprint: a square of this side" min:"10" max:"300"`
	Hexagon   *float64    `key:"hexagon" type:"length" doc:"footprint: a regular hexagon, across flats; a flat faces north" min:"10" max:"300"`
	Stadium   *[2]float64 `key:"stadium" type:"size" doc:"footprint: straight sides with half-round ends, [long, short]" min:"10" max:"300"`
	Corner    float64     `key:"corner" type:"length" doc:"radius of the corners of a rectangle or square at the foot" default:"0" min:"0" max:"100"`

	At    *r2.Vec  `key:"at" type:"point" doc:"centre of the footprint on the scene; left out: placed by seed, clear of every other base"`
	Turn  *float64 `key:"turn" type:"angle" plan:"turn" doc:"turn of the footprint; left out: 0 with at, by seed without" min:"-360" max:"360"`
	Count int      `key:"count" type:"count" doc:"how many of this base, each cut from its own place; several are called NAME-1, NAME-2, ..." default:"1" min:"1" max:"200"`
	Gap   float64  `key:"gap" type:"length" doc:"least gap to other bases and to the edge of the scene, if socle chooses the place" default:"1" min:"0" max:"50" source:"common practice, no source"`
	Seed  uint64   `key:"seed" type:"seed" doc:"picks the places of bases without at" default:"1"`

	Height  float64      `key:"height" type:"length" doc:"height of the rim" default:"4" min:"2" max:"8" source:"3 to 4 usual, 2 low, 5 with sculpted tops: common practice, no source"`
	Taper   float64      `key:"taper" type:"length" doc:"how far the top outline lies inside the foot, measured square to the edge" default:"1" min:"0" max:"2" source:"0.5 to 1.5 a side: common practice, no source"`
	Chamfer float64      `key:"chamfer" type:"length" doc:"chamfer at the foot, against the swelling of the first layers" default:"0.4" min:"0" max:"0.6" source:"0.3 to 0.5 at 45 degrees: common practice, no source"`
	Level   *parts.Level `key:"level" type:"level" doc:"finished level at the top of the rim; left out: that of the deck, terrace or pit that holds the whole footprint, or else the ground's"`
	Lift    float64      `key:"lift" type:"length" doc:"how far that level stands above the top of the rim" default:"0" min:"0" max:"50"`
	Top     *float64     `key:"top" type:"length" doc:"greatest height of the whole piece; a taller piece is an error" min:"2" max:"1000"`
	Floor   float64      `key:"floor" type:"length" doc:"least thickness that damage leaves, above the foot or above a hollow" default:"1.2" min:"0.5" max:"8" source:"a wall of 1.0 and a little: bureau design-rule charts"`
	Rim     string       `key:"rim" type:"word" doc:"whether damage bites into the rim or leaves it whole" default:"bitten" words:"bitten,whole"`

	Underside string   `key:"underside" type:"word" doc:"solid, or hollow with ribs and vents" default:"solid" words:"solid,hollow"`
	Wall      float64  `key:"wall" type:"length" doc:"thickness of the wall round a hollow, at the foot" default:"2" min:"1.5" max:"5" source:"1.5 to 3.0: bureau guides"`
	Roof      float64  `key:"roof" type:"length" doc:"thickness between a hollow and the top of the rim" default:"1.5" min:"0.8" max:"6" source:"common practice, no source"`
	Ribs      int      `key:"ribs" type:"count" doc:"ribs across a hollow" default:"2" min:"0" max:"12"`
	Vent      float64  `key:"vent" type:"length" doc:"diameter of the vents through the wall and the ribs of a hollow; if there is no height for a hole, the vent is an open notch of this width" default:"3" min:"2" max:"6" source:"holes of 2 to 3 usual for miniatures: common practice, no source"`
	Magnets   []Magnet `key:"magnet" type:"tables" doc:"pockets for disc magnets in the underside"`
	Stands    []Stand  `key:"stand" type:"tables" doc:"pads kept flat and clear for a miniature's foot"`
}

// FollowsLine says that socle turns it, where it chooses its place.
func (b *Base) FollowsLine() bool { return b.At == nil }

func init() {
	parts.Register(parts.Kind{
		Word: "base", Stage: parts.Cutting,
		Doc: "One printed piece, or several alike: a footprint cut out of the scene, with a rim, an underside, magnet pockets and stands. Without a place, socle finds one.",
		New: func() parts.Part { return &Base{} },
	})
}

// Check reports a base without exactly one footprint, and a rim, an underside,
// pockets or stands that it has no room for.
func (b *Base) Check(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	fault := func(key, text, allowed string) {
		faults = append(faults, parts.Fault{Part: b.Name, Key: key, Text: text, Allowed: allowed})
	}
	feet := b.Footprints()
	switch len(feet) {
	case 1:
	case 0:
		fault("", "the base has no footprint", "one of round, oval, rectangle, square, hexagon and stadium")
		return faults
	default:
		fault(feet[1].Word, "the base has a footprint already: "+feet[0].String(), "one of round, oval, rectangle, square, hexagon and stadium")
		return faults
	}
	f := feet[0]
	if (f.Word == "oval" || f.Word == "stadium") && f.Size.X < f.Size.Y {
		fault(f.Word, fmt.Sprintf("%g mm long and %g mm short", f.Size.X, f.Size.Y), "the long size first; turn says which way it lies")
	}
	switch short := min(f.Size.X, f.Size.Y); {
	case b.Corner == 0:
	case f.Word != "rectangle" && f.Word != "square":
		fault("corner", "a footprint of this shape has no corners to round", "a corner with rectangle or square only")
	case 2*b.Corner > short:
		fault("corner", fmt.Sprintf("%g mm", b.Corner), fmt.Sprintf("at most %g mm, half the short side", short/2))
	}
	if b.At != nil && b.Count > 1 {
		fault("count", fmt.Sprintf("%d bases, but at gives one place", b.Count), "one base with at, or several placed by seed")
	}
	if b.Floor > b.Height {
		fault("floor", fmt.Sprintf("%g mm is more than the rim is high", b.Floor), fmt.Sprintf("at most %g mm", b.Height))
	}
	if b.Top != nil && *b.Top < b.Height+b.Lift {
		fault("top", fmt.Sprintf("%g mm is lower than the base's own level, at %g mm", *b.Top, b.Height+b.Lift), fmt.Sprintf("at least %g mm", b.Height+b.Lift))
	}
	if len(faults) > 0 {
		return faults
	}
	faults = append(faults, b.hollowFaults(f)...)
	faults = append(faults, b.magnetFaults(s, f)...)
	return append(faults, b.standFaults(f)...)
}
