package wall

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Breach is a hole broken through a wall. In masonry it follows the courses: stones
// are out or in, or broken through, and the courses above close in over it in steps.
type Breach struct {
	parts.Named
	Wall      string  `key:"wall" type:"ref" doc:"the wall that it goes through" words:"wall" required:"yes"`
	At        float64 `key:"at" type:"length" doc:"its middle, along the wall from the first point of the line" required:"yes" min:"0" max:"4000"`
	Width     float64 `key:"width" type:"length" doc:"greatest width, to the next joint of the masonry" required:"yes" min:"0.3" max:"1000"`
	Height    float64 `key:"height" type:"height" doc:"height of the hole, in whole courses; if less than a quarter of the width would be left above it, the wall above falls too and leaves a gap, open to the sky" required:"yes" min:"0.3" max:"500" source:"a quarter: common practice, no source"`
	Sill      float64 `key:"sill" type:"height" doc:"its foot above the level that the wall stands on; 0 opens to the floor" default:"0" min:"0" max:"500"`
	Slope     float64 `key:"slope" type:"angle" doc:"steepest slope of its sides: they close in over a hole, and open out upward in a gap" default:"60" min:"30" max:"90" source:"masonry over an opening carries itself above a triangle of 45 to 60 degrees: rule of thumb for lintels; common practice, no source"`
	Roughness float64 `key:"roughness" type:"number" doc:"0 smooth .. 1 wild: an uneven outline, lumpy faces, stones split off one face of a thick wall" default:"0.5" min:"0" max:"1"`
	Seed      uint64  `key:"seed" type:"seed" doc:"picks the outline and the lumps" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "breach", Stage: parts.Damaging,
		Doc: "A hole broken through a wall, course by course, under an arch of broken stones; or a gap down from its top.",
		Example: `
[[wall]]
name = "yard-wall"
line = [[8, 32], [56, 32]]
from = "floor"
height = "1.7 m"
coursing = "brick"

[[breach]]
name = "hole"
wall = "yard-wall"
at = 24
width = "1.1 m"
height = "1.1 m"

[[spill]]
from = "hole"
`,
		New: func() parts.Part { return &Breach{} },
	})
}

const (
	// bridgeShare is how much must be left over a hole for it to bear, over the
	// hole's width.
	bridgeShare = 0.25
	// crownShare is the width of a hole's top over its own, and footShare of the
	// foot of a gap and of a hole over a sill. Common practice, no source.
	crownShare, footShare = 0.3, 0.5
	// strewnShare is how far rubble falls from a wall's faces, over the height that
	// it falls from. Common practice, no source.
	strewnShare = 0.4
)

// breachSizes are a breach's sizes as drawn, mm on the print, and its notes.
type breachSizes struct {
	open      bool // false where its wall is none, or its ruin has left nothing to break: the other fields then mean nothing
	wall      *Wall
	masonry   *masonry
	width     float64
	low, high float64 // of the hole above the level that the wall stands on
	gap       bool    // open to the sky; high is then what stands of the wall at its highest
	notes     []parts.Note
}

func (b *Breach) settled(s *parts.Site) *breachSizes {
	return parts.Settled(s, b, func() *breachSizes { return b.settle(s) })
}

// settle works out where the hole lies in the wall as it stands, and whether enough
// is left over it to bear.
func (b *Breach) settle(s *parts.Site) *breachSizes {
	w, ok := s.Find(b.Wall).(*Wall)
	if !ok || len(w.Line) < 2 || w.length() < 1e-6 || !(w.height() > 0) {
		return &breachSizes{}
	}
	notes := parts.Notes{Part: b.Name}
	z := &breachSizes{wall: w, masonry: w.settled(s), low: b.Sill}
	z.width = notes.AtLeast("width", b.Width, s.Print.Gap, "gap that stays open")
	z.high = math.Min(b.Sill+notes.AtLeast("height", b.Height, s.Print.Gap, "gap that stays open"), w.height())
	least, most := math.Inf(1), 0.0
	const places = 16
	for i := range places + 1 {
		h := z.masonry.standing(b.At + z.width*(float64(i)/places-0.5))
		least, most = math.Min(least, h), math.Max(most, h)
	}
	if least-z.high < math.Max(bridgeShare*z.width, s.Print.Wall) {
		z.gap, z.high = true, most
	}
	if z.open = z.high > z.low; !z.open {
		notes = parts.Notes{Part: b.Name}
		notes.Add("sill", "the ruin of %q has left nothing to break here", w.Name)
	}
	z.notes = notes.List
	return z
}

// Notes are what is drawn otherwise than the scene gives it.
func (b *Breach) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes }

// Check reports a breach that does not lie within its wall, and one that does not
// touch it.
func (b *Breach) Check(s *parts.Site) []parts.Fault {
	faults := b.Misses(b.Name, b.Wall, "the wall that it goes through")
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: b.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	w, ok := s.Find(b.Wall).(*Wall)
	if !ok || len(w.Check(s)) > 0 {
		return faults // the wall's own faults come first
	}
	length, height := w.length(), w.height()
	switch {
	case b.Width >= length:
		fault("width", fmt.Sprintf("less than %.2f mm", length), "%.2f mm is no less than the length of the wall, %.2f mm", b.Width, length)
	case b.At-b.Width/2 < -planar.Rounding || b.At+b.Width/2 > length+planar.Rounding:
		fault("at", fmt.Sprintf("from %.2f to %.2f mm along the wall", b.Width/2, length-b.Width/2),
			"a breach of %.2f mm at %.2f mm runs off the wall of %.2f mm", b.Width, b.At, length)
	}
	switch least := s.Print.Gap; {
	case b.Sill > height-least:
		fault("sill", fmt.Sprintf("at most %.2f mm", math.Max(0, height-least)), "%.2f mm leaves nothing to break of a wall of %.2f mm", b.Sill, height)
	case b.Sill+b.Height > height+planar.Rounding:
		fault("height", fmt.Sprintf("at most %.2f mm, which is a gap", height-b.Sill), "%.2f mm over a sill of %.2f mm is more than the wall, %.2f mm high", b.Height, b.Sill, height)
	}
	return faults
}

// stretch is the line of the wall between two distances from its first point.
func (z *breachSizes) stretch(from, to float64) []r2.Vec {
	return planar.Stretch(planar.Line{Pts: planar.RaiseLine(z.wall.Line, 0)}.Sides(), math.Max(0, from), math.Min(z.wall.length(), to))
}

// Strewn is where debris of the breach lies: on both sides of the wall, most of it
// about the foot of the hole.
func (b *Breach) Strewn(s *parts.Site) ([]r2.Vec, float64) {
	z := b.settled(s)
	if !z.open {
		return nil, 0
	}
	return z.stretch(b.At-0.4*z.width, b.At+0.4*z.width), z.strewn()
}

// strewn is how far from the wall's line its rubble falls, mm.
func (z *breachSizes) strewn() float64 { return z.masonry.thick/2 + strewnShare*z.high }

// Under is the height that debris of the breach falls from: under what stands over
// the hole; without end over a gap.
func (b *Breach) Under(s *parts.Site) float64 {
	z := b.settled(s)
	if !z.open || z.gap {
		return math.Inf(1)
	}
	return z.wall.From.Height + (z.low+z.high)/2
}
