package goods

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Pallet is a flat pallet of boards on blocks, or several; stacked as many high as wanted.
type Pallet struct {
	setout.Places
	Length  float64 `key:"length" type:"length" doc:"along its own x" default:"1.2 m" min:"0.5" max:"100" source:"EN 13698-1: 800 by 1200 mm, from memory"`
	Width   float64 `key:"width" type:"length" doc:"across that" default:"800 mm" min:"0.5" max:"100" source:"EN 13698-1: 800 by 1200 mm, from memory"`
	Height  float64 `key:"height" type:"height" doc:"of one, over its floor" default:"144 mm" min:"0.2" max:"50" source:"EN 13698-1: 144 mm, from memory"`
	Stacked int     `key:"stacked" type:"count" doc:"how many lie on each other" default:"1" min:"1" max:"20"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "pallet", Stage: parts.Fitting, Group: "Goods",
		Doc: "Flat pallets: boards on three runners of blocks.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[pallet]]
at = [[27, 31]]
turn = 12
stacked = 4

[[pallet]]
at = [[36, 13]]
turn = -8
`,
		New: func() parts.Part { return &Pallet{} },
	})
}

// palletSizes are those of a pallet as it is drawn, mm.
type palletSizes struct {
	bulk  r3.Vec  // of one
	board float64 // thickness of a board, top and bottom
	notes parts.Notes
}

func (p *Pallet) settled(s *parts.Site) *palletSizes {
	return parts.Settled(s, p, func() *palletSizes {
		z := &palletSizes{notes: parts.Notes{Part: p.Name}}
		z.board = math.Max(s.HeightOnPrint(22), math.Max(0.6*s.Print.Wall, s.Print.Relief))
		z.bulk = sdf.V(z.notes.AtLeast("length", p.Length, 6*s.Print.Wall, "pallet, six walls"), z.notes.AtLeast("width", p.Width, 5*s.Print.Wall, "pallet, five walls"),
			z.notes.AtLeast("height", p.Height, 2*z.board+1.5*s.Print.Gap, "pallet of boards that print"))
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (p *Pallet) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes.List }

// Bulk is the size of a stack.
func (p *Pallet) Bulk(s *parts.Site) r3.Vec {
	b := p.settled(s).bulk
	return sdf.V(b.X, b.Y, b.Z*float64(p.Stacked))
}

// deckShares are the boards of the deck across its width: from and to, as shares. Boards of
// 145 mm outside and in the middle, 100 mm between them (EN 13698-1, from memory).
var deckShares = [5][2]float64{{0, 0.18}, {0.23, 0.36}, {0.41, 0.59}, {0.64, 0.77}, {0.82, 1}}

// Body is one stack.
func (p *Pallet) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := p.settled(s)
	x, y := z.bulk.X/2, z.bulk.Y/2
	grain := relief.Sum(
		relief.NewFacets(at.Seed, 1.5, 0.8*s.Grain(), 0.3),
		relief.Place(relief.NewGrooves(at.Seed, 2.4*s.Print.Gap, 1.2*s.Print.Gap, s.Grain(), 0.4, 0.3*s.Print.Gap), sdf.Turn(sdf.V(0, 0, 1), 90)))
	var all []sdf.Field
	for n := range p.Stacked {
		low := z.bulk.Z * float64(n)
		foot := low - 0.05 // into the one below
		if n == 0 {
			foot = at.Foot
		}
		high := low + z.bulk.Z
		// Within it is solid up to its deck, so that no resin is shut in and no board spans the
		// blocks: what shows is as deep as a fork's tip, and stands out by little over nothing.
		const ledge = 1.2 // mm
		in := math.Max(math.Min(0.08*z.bulk.Y, ledge), s.Print.Wall)
		all = append(all, sdf.BoxBetween(sdf.V(in-x, in-y, foot), sdf.V(x-in, y-in, high-0.95*z.board)))
		// Runners: three rows of blocks along x, each with a board beneath; between the
		// blocks is room for forks, as far as it stays open.
		for _, v := range [3]float64{0.06, 0.5, 0.94} {
			wide := 0.06 * z.bulk.Y
			m := -y + v*z.bulk.Y
			all = append(all, sdf.BoxBetween(sdf.V(-x, m-wide, foot), sdf.V(x, m+wide, low+z.board)))
			for _, u := range [3]float64{0.06, 0.5, 0.94} {
				half := 0.06 * z.bulk.X
				c := -x + u*z.bulk.X
				all = append(all, sdf.BoxBetween(sdf.V(c-half, m-wide, foot), sdf.V(c+half, m+wide, high-0.5*z.board)))
			}
		}
		for _, u := range [3]float64{0.06, 0.5, 0.94} { // cross boards under the deck
			half, c := 0.06*z.bulk.X, -x+u*z.bulk.X
			all = append(all, sdf.BoxBetween(sdf.V(c-half, -y, high-1.6*z.board), sdf.V(c+half, y, high-0.5*z.board)))
		}
		top := sdf.HalfSpace(sdf.V(0, 0, 1), high)
		if n == p.Stacked-1 {
			top = relief.Carve(top, grain)
		}
		for _, d := range deckShares {
			b := sdf.BoxBetween(sdf.V(-x, -y+d[0]*z.bulk.Y, high-z.board), sdf.V(x, -y+d[1]*z.bulk.Y, high+1))
			all = append(all, sdf.Intersection(b, top))
		}
	}
	return sdf.Union(all...)
}

// Matter is boards.
func (p *Pallet) Matter(s *parts.Site) parts.Matter {
	z := p.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.bulk.X, 0.15*z.bulk.Y, z.board), Volume: 0.4 * z.bulk.X * z.bulk.Y * z.bulk.Z * float64(p.Stacked)}
}

// Measures is the length of one against the standard's.
func (p *Pallet) Measures(s *parts.Site) []parts.Measure {
	z := p.settled(s)
	m := parts.Unlimited("length", "length", z.bulk.X, s.FullSize(z.bulk.X))
	return []parts.Measure{m}
}

// Remedies of pallets.
func (p *Pallet) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(p)
	switch {
	case t.Thin(), t.Hanging():
		r.Scaled("height", "thicker pallets", p.Height, 1.5, 2)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the pallets, or the stand")
	}
	return r.All
}
