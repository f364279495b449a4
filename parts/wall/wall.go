package wall

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Wall is masonry along a line: plain or in courses, whole or ruined, with
// openings.
type Wall struct {
	parts.Named
	Line      []r2.Vec      `key:"line" type:"points" doc:"corners of its middle line, in order" required:"yes"`
	Thickness float64       `key:"thickness" type:"length" doc:"thickness of the wall" default:"327.5 mm" min:"0" max:"200" source:"one and a half bricks: UK brick module, BS EN 771 usage"`
	From      parts.Level   `key:"from" type:"level" doc:"finished level that it stands on" required:"yes"`
	To        *parts.Level  `key:"to" type:"level" doc:"level of its top, in place of a height"`
	Height    *float64      `key:"height" type:"height" doc:"height above the level that it stands on" min:"0.3" max:"500"`
	Coursing  string        `key:"coursing" type:"word" doc:"masonry on its faces: plain, or courses in running bond" default:"none" words:"none,brick,block,ashlar" source:"brick 225 x 75, block 450 x 225: BS EN 771 usage; ashlar 900 x 300: common practice, no source"`
	Surface   *string       `key:"surface" type:"word" doc:"what its faces are like; left out: brick for brick, rock-faced stone for block and ashlar, concrete for a plain wall; plain has no texture" words:"rubbed,tooled,rock-faced,brick,concrete,render,plain" source:"common practice, no source"`
	Coping    string        `key:"coping" type:"word" doc:"stones that cap it and stand out on both sides" default:"none" words:"none,flat"`
	Ruin      float64       `key:"ruin" type:"number" doc:"0 whole .. 1 a stump: how far its top has come down" default:"0" min:"0" max:"1"`
	Wear      float64       `key:"wear" type:"number" doc:"0 new .. 1 ruinous: rounded and uneven stones" default:"0.2" min:"0" max:"1"`
	Seed      uint64        `key:"seed" type:"seed" doc:"picks the stones and the broken top" default:"1"`
	Openings  []WallOpening `key:"opening" type:"tables" doc:"doors and windows through the wall"`
}

// WallOpening is a rectangular hole through a wall.
type WallOpening struct {
	At    float64 `key:"at" type:"length" doc:"its middle, along the wall from the first point of the line" min:"0" max:"4000" required:"yes"`
	Width float64 `key:"width" type:"length" doc:"clear width" min:"0.3" max:"1000" required:"yes"`
	Sill  float64 `key:"sill" type:"height" doc:"its foot above the level that the wall stands on; 0 is a door" default:"0" min:"0" max:"500"`
	Head  float64 `key:"head" type:"height" doc:"its top above the level that the wall stands on" min:"0.3" max:"500" required:"yes"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "wall", Stage: parts.Structure, Group: "Stairs, walls and columns", NoteUnused: true,
		Doc: "A wall along a line, plain or coursed in brick, block or ashlar, whole or in ruin, with doors and windows.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[wall]]
line = [[10, 20], [20, 36], [56, 34]]
from = "floor"
height = "1.8 m"
coursing = "block"
ruin = 0.6
opening = [{ at = "2 m", width = "600 mm", sill = "600 mm", head = "1.3 m" }]
`,
		New: func() parts.Part { return &Wall{} },
	})
}

// mostStones keeps a long wall of small stones from filling the memory.
const mostStones = 50_000

// height is the height of the wall above its level, mm.
func (w *Wall) height() float64 {
	switch {
	case w.Height != nil:
		return *w.Height
	case w.To != nil:
		return w.To.Height - w.From.Height
	}
	return 0
}

// Check reports a wall without a line or a height, and openings that do not fit.
func (w *Wall) Check(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: w.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	length := w.length()
	switch {
	case len(w.Line) < 2 || length < 1e-6:
		fault("line", "two points or more, apart", "has no length")
		return faults
	case w.Height == nil && w.To == nil:
		fault("height", "a height, or to = a level", "has no height")
		return faults
	case w.Height != nil && w.To != nil && math.Abs(w.To.Height-w.From.Height-*w.Height) > 1e-6:
		fault("height", "a height or to, not both", "%.3f mm does not agree with to, %.3f mm above from", *w.Height, w.To.Height-w.From.Height)
	}
	h := w.height()
	if h < 0.3 {
		fault("to", fmt.Sprintf("a level above %.3f mm", w.From.Height+0.3), "%.3f mm is not above from, %.3f mm", w.From.Height+h, w.From.Height)
		return faults
	}
	for i, o := range w.Openings {
		key := fmt.Sprintf("opening[%d]", i)
		switch {
		case o.At-o.Width/2 < 0 || o.At+o.Width/2 > length:
			fault(key+".at", fmt.Sprintf("from %.2f to %.2f mm along the wall", o.Width/2, length-o.Width/2), "an opening of %.2f mm at %.2f mm runs off the wall of %.2f mm", o.Width, o.At, length)
		case o.Head <= o.Sill:
			fault(key+".head", fmt.Sprintf("more than the sill, %.2f mm", o.Sill), "%.2f mm is not above the sill", o.Head)
		case o.Head > h+1e-9 || w.settled(s).openings[i].Head > h-s.Print.Wall+planar.Rounding && o.Head < h:
			fault(key+".head", fmt.Sprintf("at most %.2f mm", h-s.Print.Wall), "%.2f mm leaves no lintel under the top at %.2f mm", o.Head, h)
		}
	}
	if n := w.Pieces(s); n > mostStones {
		fault("coursing", fmt.Sprintf("at most %d stones: a shorter wall, or larger stones", mostStones), "makes %d stones", n)
	}
	return faults
}

// length is the length of the line on the plan, mm.
func (w *Wall) length() float64 {
	total := 0.0
	for i := 1; i < len(w.Line); i++ {
		total += r2.Norm(r2.Sub(w.Line[i], w.Line[i-1]))
	}
	return total
}

// Pieces counts the stones of every side, at most.
func (w *Wall) Pieces(s *parts.Site) int {
	m := w.settled(s)
	total := 0
	for _, side := range m.sides {
		rows, columns := m.grid(side.length())
		total += rows*(columns+1)*2 + 2
	}
	return total
}

// wallSide is one straight side of a wall: its pose, and the stretch along it
// that it fills, corners included.
type wallSide struct {
	pose     sdf.Pose // x along, y to the left, z up
	from, to float64
	start    float64 // distance along the whole line at x = 0
}

func (s wallSide) length() float64 { return s.to - s.from }

// sidesOf are the straight sides of a wall of a thickness.
func (w *Wall) sidesOf(thick float64) []wallSide {
	var sides []wallSide
	at := 0.0
	for i := 1; i < len(w.Line); i++ {
		a, d := w.Line[i-1], r2.Sub(w.Line[i], w.Line[i-1])
		length := r2.Norm(d)
		if length < 1e-9 {
			continue
		}
		side := wallSide{
			pose: sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(sdf.V(d.X, d.Y, 0))).Then(sdf.At(sdf.V(a.X, a.Y, 0))),
			to:   length, start: at,
		}
		if i > 1 {
			side.from -= mitre(w.Line[i-2], a, w.Line[i], thick)
		}
		if i < len(w.Line)-1 {
			side.to += mitre(a, w.Line[i], w.Line[i+1], thick)
		}
		sides = append(sides, side)
		at += length
	}
	return sides
}

// mitre is how far a wall goes on past the corner b, so that its outer face
// meets that of the next side; no further than half its thickness.
func mitre(a, b, c r2.Vec, thick float64) float64 {
	u, v := r2.Sub(b, a), r2.Sub(c, b)
	turn := math.Abs(math.Atan2(r2.Cross(u, v), r2.Dot(u, v)))
	return thick / 2 * math.Tan(min(turn, math.Pi/2)/2)
}

// plan is the outline of a side, in the scene.
func (side wallSide) plan(thick float64) []r2.Vec {
	var pts []r2.Vec
	for _, c := range [4][2]float64{{side.from, -1}, {side.to, -1}, {side.to, 1}, {side.from, 1}} {
		p := side.pose.Apply(sdf.V(c[0], c[1]*thick/2, 0))
		pts = append(pts, r2.Vec{X: p.X, Y: p.Y})
	}
	return pts
}

// Notes are what is drawn otherwise than the scene gives it.
func (w *Wall) Notes(s *parts.Site) []parts.Note { return w.settled(s).notes }

// Solid is the wall's stones or its plain body, less its openings.
func (w *Wall) Solid(s *parts.Site) sdf.Field {
	m := w.settled(s)
	_, rng := w.skyline(s)
	var solids []sdf.Field
	for i, side := range m.sides {
		foot := s.BearingUnder(w.From.Height, side.plan(m.thick))
		var f sdf.Field
		if w.Coursing == "none" {
			f = m.plain(side, foot, rng)
		} else {
			f = m.coursed(side, foot, w.courses(s)[i])
		}
		solids = append(solids, sdf.Place(f, side.pose))
	}
	var holes []sdf.Field
	for _, o := range m.openings {
		for _, side := range m.sides {
			lo, hi := o.At-o.Width/2-side.start, o.At+o.Width/2-side.start
			if hi <= side.from || lo >= side.to {
				continue
			}
			holes = append(holes, sdf.Place(sdf.BoxBetween(
				sdf.V(lo, -m.thick, w.From.Height+o.Sill), sdf.V(hi, m.thick, w.From.Height+o.Head)), side.pose))
		}
	}
	return sdf.Difference(sdf.Union(solids...), holes...)
}

// Extents are the band about its line.
func (w *Wall) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "line", Points: w.Line, Wide: w.Thickness / 2}}
}

// TopOver is its top as it was built.
func (w *Wall) TopOver(s *parts.Site, plan []r2.Vec, _ r2.Vec) (height float64, ok bool) {
	return w.From.Height + w.height(), w.Extents(s)[0].Meets(plan)
}
