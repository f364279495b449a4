package goods

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Crate is a box of boards in a frame of battens, or several.
type Crate struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"along its own x" default:"900 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Width  float64 `key:"width" type:"length" doc:"across that" default:"600 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Height float64 `key:"height" type:"height" doc:"over its floor" default:"600 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Braced bool    `key:"braced" type:"flag" doc:"with a board aslant over its long sides" default:"true"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "crate", Stage: parts.Fitting, Group: "Goods",
		Doc: "Crates of boards in a frame of battens.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[crate]]
at = [[25, 29], [37, 14]]
turn = 15

[[crate]]
at = [[43, 32]]
turn = 70
length = "700 mm"
width = "700 mm"
height = "950 mm"
`,
		New: func() parts.Part { return &Crate{} },
	})
}

// crateSizes are those of a crate as it is drawn, mm.
type crateSizes struct {
	bulk   r3.Vec
	batten float64 // width of the frame's battens
	proud  float64 // how far they stand out of the boards
	board  float64 // width of a board
	notes  parts.Notes
}

func (c *Crate) settled(s *parts.Site) *crateSizes {
	return parts.Settled(s, c, func() *crateSizes {
		z := &crateSizes{notes: parts.Notes{Part: c.Name}}
		least := 4 * s.Print.Wall
		z.bulk = sdf.V(z.notes.AtLeast("length", c.Length, least, "crate, four walls"), z.notes.AtLeast("width", c.Width, least, "crate, four walls"),
			z.notes.AtLeast("height", c.Height, least, "crate, four walls"))
		short := math.Min(z.bulk.X, math.Min(z.bulk.Y, z.bulk.Z))
		z.batten = math.Min(0.2*short, math.Max(s.OnPrint(90), 0.8*s.Print.Wall))
		z.proud = math.Min(s.Print.Relief, 0.1*short)
		z.board = math.Max(s.OnPrint(120), 3.5*s.Print.Gap)
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (c *Crate) Notes(s *parts.Site) []parts.Note { return c.settled(s).notes.List }

// Bulk is the size of one.
func (c *Crate) Bulk(s *parts.Site) r3.Vec { return c.settled(s).bulk }

// Body is one: boards let into a frame, which is proud of them.
func (c *Crate) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := c.settled(s)
	x, y, h := z.bulk.X/2, z.bulk.Y/2, z.bulk.Z
	box := func(x, y, low, high float64) sdf.Field { return sdf.BoxBetween(sdf.V(-x, -y, low), sdf.V(x, y, high)) }
	b, d := z.batten, z.proud
	boards := relief.NewPanels(at.Seed, 3*z.bulk.X, z.board, s.Print.Gap, 0.8*d, 0.3*d, 0)
	core := surface.CutTop(relief.Carve(box(x-d, y-d, at.Foot, h-d), surface.AllRound(boards, 0)), h-d, boards)
	const over = 1 // mm: beyond the outside
	frame := sdf.Difference(sdf.BoxEased(sdf.V(-x, -y, at.Foot), sdf.V(x, y, h), 0.3*d),
		box(x+over, y-b, b, h-b), box(x-b, y+over, b, h-b), box(x-b, y-b, b, h+over))
	all := []sdf.Field{core, frame}
	if c.Braced {
		rise, run := h-2*b, 2*(x-b)
		aslant := sdf.Turn(sdf.V(0, 1, 0), -math.Atan2(rise, run)*180/math.Pi).Then(sdf.At(sdf.V(0, 0, h/2)))
		brace := sdf.Place(sdf.Box(sdf.V(math.Hypot(rise, run)+2*b, 2*y-0.3*d, b), 0), aslant)
		all = append(all, sdf.Intersection(brace, box(x-d/2, y, 0, h-d/2)))
	}
	return sdf.Union(all...)
}

// Matter is boards.
func (c *Crate) Matter(s *parts.Site) parts.Matter {
	z := c.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.bulk.X, z.board, math.Max(s.OnPrint(22), s.Print.Wall)), Volume: 0.3 * z.bulk.X * z.bulk.Y * z.bulk.Z}
}

// Measures is its height beside a person.
func (c *Crate) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", c.settled(s).bulk.Z)
}

// Remedies of crates.
func (c *Crate) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(c)
	switch {
	case t.Thin():
		r.Scaled("height", "larger crates", c.Height, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the crates, or the stand")
	}
	return r.All
}
