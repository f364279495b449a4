package wild

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Beams are fallen timbers that lie across each other, or several such piles.
type Beams struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"of the longest" default:"1.8 m" min:"0.5" max:"300" source:"common practice, no source"`
	Width  float64 `key:"width" type:"length" doc:"of each, on the side that it lies on" default:"150 mm" min:"0.2" max:"50" source:"joists of 50 by 200 mm, beams of 150 by 225 mm: trade sizes, from memory"`
	Depth  float64 `key:"depth" type:"length" doc:"of each, upright to that" default:"200 mm" min:"0.2" max:"50" source:"joists of 50 by 200 mm, beams of 150 by 225 mm: trade sizes, from memory"`
	Count  int     `key:"count" type:"count" doc:"how many lie in a pile" default:"4" min:"1" max:"8" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "beams", Stage: parts.Fitting, Group: "Ruin",
		Doc: "Fallen timbers with torn ends in piles, one across the other, with dirt drawn up under them.",
		Example: `
[[beams]]
at = [[32, 26]]
turn = 20
length = "2.2 m"
width = "220 mm"
depth = "280 mm"
count = 5
seed = 2
`,
		New: func() parts.Part { return &Beams{} },
	})
}

// beamsSizes are those of a pile as it is drawn, mm.
type beamsSizes struct {
	long, wide, deep float64
	notes            parts.Notes
}

func (b *Beams) settled(s *parts.Site) *beamsSizes {
	return parts.Settled(s, b, func() *beamsSizes {
		z := &beamsSizes{notes: parts.Notes{Part: b.Name}}
		z.wide = z.notes.AtLeast("width", b.Width, s.Print.Wall, "beam, a wall")
		z.deep = z.notes.AtLeast("depth", b.Depth, s.Print.Wall, "beam, a wall")
		z.long = z.notes.AtLeast("length", b.Length, 4*math.Max(z.wide, z.deep), "beam, four times its side")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (b *Beams) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

const (
	settles = 0.2  // how far each is let into what it lies on, of its depth
	sinks   = 0.12 // how far what lies on the floor is let into it, of its depth
	digs    = 0.3  // how far the foot of one that leans is let into it, of its depth
	leaning = 0.62 // length of the longest that leans, of the length
	rests   = 0.56 // where it lies across the first, of its length from its foot
)

// lean is the angle at which a timber of a length leans on the first, degrees.
func (z *beamsSizes) lean(long float64) float64 {
	return math.Atan2(z.deep*(1-sinks-settles+digs), rests*long) * 180 / math.Pi
}

// Bulk is the room of a pile: as long as the first, as wide and as tall as those that lean on it.
func (b *Beams) Bulk(s *parts.Site) r3.Vec {
	z := b.settled(s)
	if b.Count < 2 {
		return sdf.V(z.long, z.wide, z.deep*(1-sinks))
	}
	long := leaning * z.long
	sin, cos := math.Sincos(z.lean(long) * math.Pi / 180)
	return sdf.V(z.long, 2*(rests*long+digs*z.deep), long*sin+z.deep*(cos-digs))
}

// Body is one pile: the first lies on the floor, and the others lean across it, from either
// side, each with a foot on the floor.
func (b *Beams) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := b.settled(s)
	rng := s.Rand(b.Name, at.Seed, "beams")
	bulk := b.Bulk(s)
	lo, hi := sdf.V(-bulk.X/2, -bulk.Y/2, at.Foot), sdf.V(bulk.X/2, bulk.Y/2, bulk.Z)
	flat := sdf.At(sdf.V(0, 0, -sinks*z.deep))
	dirt := bank(-0.47*z.long, 0.47*z.long, at.Foot-under, 0.12*z.deep, 0.5*z.wide+0.15*z.deep, 0.45*z.wide)
	all := []sdf.Field{sdf.Place(b.beam(s, z, at.Seed, z.long, true), flat), relief.Carve(dirt, grit(s, at.Seed+20, z.wide, 0.1*z.deep))}
	side := 2*float64(rng.IntN(2)) - 1
	for i := 1; i < b.Count; i++ {
		long, aside := leaning*z.long, 0.0
		if i > 1 {
			long *= between(rng, 0.7, 0.95)
			aside = between(rng, -28, 28)
		}
		// In turn from either side, along the first.
		across := z.long * 0.6 * ((float64(i)-0.5)/float64(b.Count-1) - 0.5)
		turn := sdf.Turn(sdf.V(0, 0, 1), 90*side+aside)
		pose := sdf.At(sdf.V(long/2, 0, 0)).Then(sdf.Turn(sdf.V(0, 1, 0), -z.lean(long))).Then(sdf.At(sdf.V(-rests*long, 0, -digs*z.deep))).
			Then(turn).Then(sdf.At(sdf.V(across, 0, 0)))
		all = append(all, sdf.Place(b.beam(s, z, at.Seed+uint64(i), long, false), pose))
		foot := bank(-rests*long-digs*z.deep, -0.25*long, at.Foot-under, 0.2*z.deep, 0.5*z.wide+digs*z.deep, 0.45*z.wide)
		all = append(all, sdf.Place(relief.Carve(foot, grit(s, at.Seed+uint64(20+i), z.wide, 0.1*z.deep)), turn.Then(sdf.At(sdf.V(across, 0, 0)))))
		side = -side
	}
	return footed(sdf.Intersection(sdf.Union(all...), sdf.BoxBetween(r3.Sub(lo, sdf.V(0, 0, under)), hi)), at.Foot)
}

// beam is one along x over z = 0, of a length: its grain runs along it, and its ends are torn,
// that at -x only where both are.
func (b *Beams) beam(s *parts.Site, z *beamsSizes, seed uint64, long float64, both bool) sdf.Field {
	least := math.Min(z.wide, z.deep)
	body := sdf.Place(sdf.Box(sdf.V(long, z.wide, z.deep), math.Min(0.08*least, 0.25)), sdf.At(sdf.V(0, 0, z.deep/2)))
	cut := math.Min(0.9*s.Print.Relief, 0.1*least)
	pitch := math.Max(0.38*least, 3.2*s.Print.Gap)
	grain := relief.Bent(relief.NewGrooves(seed, pitch, 1.4*s.Print.Gap, cut, 0.3, 0.3*pitch), seed+1, 6*pitch, 0.3*pitch)
	along := relief.Place(grain, sdf.Turn(sdf.V(0, 0, 1), -90)) // over the plan, along x
	sides := relief.Place(grain, sdf.Turn(sdf.V(0, 0, 1), -90).Then(sdf.Turn(sdf.V(1, 0, 0), 90)))
	dents := relief.NewFacets(seed+2, 0.9*least, 0.6*cut, 0.3)
	whole := relief.Carve(body, relief.Sum(relief.Deepest(along, sides), dents))
	if tear := 0.6 * least; tear > s.Print.Gap {
		for k, way := range []float64{90, -90} {
			if k == 1 && !both {
				break
			}
			end := splintered(seed+uint64(3+k), least, tear)
			side := 1 - 2*float64(k)
			aslant := 20 * side // the lower side is longer, and rests
			pose := sdf.Turn(sdf.V(0, 1, 0), way-aslant).Then(sdf.At(sdf.V(side*long/2, 0, 0)))
			whole = sdf.Intersection(whole, sdf.Place(end, pose))
		}
	}
	return whole
}

// Matter is ends of timber.
func (b *Beams) Matter(s *parts.Site) parts.Matter {
	z := b.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.long/2, z.wide, z.deep), Volume: 0.7 * float64(b.Count) * z.long * z.wide * z.deep}
}

// Measures is its height beside a person.
func (b *Beams) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "depth", b.Bulk(s).Z)
}

// Remedies of beams.
func (b *Beams) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Thin():
		r.Scaled("width", "wider beams", b.Width, 1.25, 1.5)
		r.Scaled("depth", "deeper beams", b.Depth, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the beams, or the stand")
	}
	return r.All
}
