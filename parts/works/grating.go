package works

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Grating is a panel of bearing bars and cross bars in a frame, or several.
type Grating struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"along its bearing bars" default:"1 m" min:"1" max:"300" source:"panels of 1 m by 500 mm to 1 m: trade figures, from memory"`
	Width  float64 `key:"width" type:"length" doc:"across them" default:"700 mm" min:"1" max:"300" source:"trade figures, from memory"`
	Pitch  float64 `key:"pitch" type:"length" doc:"from one bearing bar to the next" default:"34 mm" min:"0.1" max:"20" source:"34.3 mm, DIN 24537, from memory"`
	Cross  float64 `key:"cross" type:"length" doc:"from one cross bar to the next" default:"100 mm" min:"0.1" max:"50" source:"33 to 100 mm: trade figures, from memory"`
	Raised float64 `key:"raised" type:"height" doc:"its top over its floor" default:"60 mm" min:"0.1" max:"20" source:"bearing bars of 30 to 60 mm: trade figures, from memory"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "grating", Stage: parts.Fitting, Group: "Works",
		Doc: "Panels of grating in a frame, laid over a floor: bearing bars with cross bars between them, cut as deep as shows.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
surface = "concrete"

[[grating]]
at = [[34, 22]]
length = "1.2 m"
width = "800 mm"
turn = 15

[[drum]]
at = [[24, 37]]
`,
		New: func() parts.Part { return &Grating{} },
	})
}

// gratingSizes are those of a grating as it is drawn, mm.
type gratingSizes struct {
	bulk         r3.Vec
	pitch, cross float64
	frame        float64 // width of its frame
	deep         float64 // of the openings
	notes        parts.Notes
}

func (g *Grating) settled(s *parts.Site) *gratingSizes {
	return parts.Settled(s, g, func() *gratingSizes {
		z := &gratingSizes{notes: parts.Notes{Part: g.Name}}
		bar := 0.55 * s.Print.Wall // joined to the next by the floor of the openings
		open := 1.3 * s.Print.Gap
		z.pitch = z.notes.AtLeast("pitch", g.Pitch, bar+open, "pitch, a bar and an opening")
		z.cross = z.notes.AtLeast("cross", g.Cross, 1.5*(bar+open), "pitch of cross bars, one and a half of that")
		z.frame = math.Max(s.OnPrint(40), 0.8*s.Print.Wall)
		x := z.notes.AtLeast("length", g.Length, 2*z.frame+2*z.cross, "grating, its frame and two openings")
		y := z.notes.AtLeast("width", g.Width, 2*z.frame+2*z.pitch, "grating, its frame and two openings")
		h := z.notes.AtLeast("raised", g.Raised, 1.5*s.Print.Relief, "grating, one and a half reliefs")
		z.bulk = sdf.V(x, y, h)
		z.deep = math.Min(1.6*s.Print.Relief, 0.9*h)
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (g *Grating) Notes(s *parts.Site) []parts.Note { return g.settled(s).notes.List }

// Bulk is the size of one.
func (g *Grating) Bulk(s *parts.Site) r3.Vec { return g.settled(s).bulk }

// Body is one: a frame about a panel in which the openings are sunk.
func (g *Grating) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := g.settled(s)
	x, y, h := z.bulk.X/2, z.bulk.Y/2, z.bulk.Z
	in, inY := x-z.frame, y-z.frame
	ny, nx := max(1, int(math.Round(2*inY/z.pitch))), max(1, int(math.Round(2*in/z.cross)))
	py, px := 2*inY/float64(ny), 2*in/float64(nx)
	flank := math.Min(0.15*s.Print.Gap, 0.1*py)
	open := math.Max(1.3*s.Print.Gap, 0.55*py)
	// Studs turned inside out are the openings, one to a cell.
	holes := relief.Inverse(relief.NewStuds(px, py, px-0.55*s.Print.Wall, open-2*flank, flank, z.deep, false))
	panel := relief.Place(holes, sdf.At(sdf.V(-in+px/2, -inY+py/2, 0)))
	core := relief.Carve(sdf.BoxBetween(sdf.V(-in-0.1, -inY-0.1, at.Foot-2*z.deep), sdf.V(in+0.1, inY+0.1, h)), panel)
	bed := sdf.BoxBetween(sdf.V(-x+0.1, -y+0.1, at.Foot), sdf.V(x-0.1, y-0.1, h-z.deep))
	core = sdf.Intersection(core, sdf.HalfSpace(sdf.V(0, 0, -1), -at.Foot))
	const over = 1 // mm
	frame := sdf.Difference(sdf.BoxBetween(sdf.V(-x, -y, at.Foot), sdf.V(x, y, h)), sdf.BoxBetween(sdf.V(-in, -inY, h-z.deep-0.05), sdf.V(in, inY, h+over)))
	return sdf.Union(core, bed, frame)
}

// Matter is bars and plate.
func (g *Grating) Matter(s *parts.Site) parts.Matter {
	z := g.settled(s)
	return parts.Matter{Form: parts.Plates, Unit: sdf.V(z.bulk.X/2, z.bulk.Y/2, math.Max(z.deep, s.Print.Wall)), Volume: 0.4 * z.bulk.X * z.bulk.Y * z.deep}
}

// Measures is its pitch beside a person.
func (g *Grating) Measures(s *parts.Site) []parts.Measure {
	pitch := g.settled(s).pitch
	m := parts.Unlimited("pitch", "pitch", pitch, s.FullSize(pitch))
	m.Yardstick = s.Share(m.Full)
	return []parts.Measure{m}
}

// Remedies of gratings.
func (g *Grating) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(g)
	switch {
	case t.Thin(), t.Of("narrow-gap", "shallow-relief"):
		r.Scaled("pitch", "bars further apart", g.Pitch, 1.5, 2)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the gratings, or the stand")
	}
	return r.All
}
