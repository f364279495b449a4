package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Trestle is a barrier: a pole on two wooden A-frames.
type Trestle struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"of the pole" default:"2 m" min:"2" max:"200" source:"common practice, no source"`
	Height float64 `key:"height" type:"height" doc:"of the top of the pole over the floor" default:"1.1 m" min:"1" max:"100" source:"common practice, no source"`
	Spread float64 `key:"spread" type:"length" doc:"of the legs on the floor, over all" default:"750 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Pole   float64 `key:"pole" type:"length" doc:"thickness of the pole" default:"120 mm" min:"0.2" max:"20" source:"common practice, no source"`
	Leg    float64 `key:"leg" type:"length" doc:"thickness of a leg" default:"100 mm" min:"0.2" max:"20" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "trestle", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "A barrier: a pole on two wooden A-frames.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[trestle]]
at = [[31, 31]]
turn = 10

[[drain-cover]]
at = [[36, 14]]
`,
		New: func() parts.Part { return &Trestle{} },
	})
}

// trestleSizes are those of a trestle as it is drawn, mm.
type trestleSizes struct {
	long, high, spread, pole, leg float64
	frame                         float64 // from the middle to each A-frame
	notes                         parts.Notes
}

func (t *Trestle) settled(s *parts.Site) *trestleSizes {
	return parts.Settled(s, t, func() *trestleSizes {
		z := &trestleSizes{notes: parts.Notes{Part: t.Name}}
		z.leg = z.notes.AtLeast("leg", t.Leg, 1.3*s.Print.Pin, "leg, a pin and a third")
		z.pole = z.notes.AtLeast("pole", t.Pole, 1.5*s.Print.Pin, "pole, a pin and a half: it is hewn")
		z.high = z.notes.AtLeast("height", t.Height, 3*z.leg+z.pole, "trestle, three legs and its pole")
		z.long = z.notes.AtLeast("length", t.Length, 8*z.leg, "trestle, eight legs")
		z.spread = z.notes.AtLeast("spread", t.Spread, 3.5*z.leg, "spread, three legs and a half")
		z.frame = 0.34 * z.long
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (t *Trestle) Notes(s *parts.Site) []parts.Note { return t.settled(s).notes.List }

// Bulk is the size of one.
func (t *Trestle) Bulk(s *parts.Site) r3.Vec {
	z := t.settled(s)
	return sdf.V(z.long, z.spread, z.high)
}

// Body is one: each A-frame has two legs that cross under the pole, and a brace between them.
func (t *Trestle) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := t.settled(s)
	grain := surface.Piece{Seed: at.Seed, Depth: 1.4 * s.Grain(), Most: 0.12 * z.leg}.Face(s, surface.Boards)
	upright := relief.Place(grain, sdf.Turn(sdf.V(1, 1, 1), -120))
	// The legs cross just under the pole and hold it in their fork.
	fork := z.high - z.pole - 0.2*z.leg
	half := z.spread/2 - 0.6*z.leg
	lean := math.Atan2(half, fork) * 180 / math.Pi
	long := math.Hypot(half, fork)
	var all []sdf.Field
	for i, side := range [2]float64{-1, 1} {
		x := side * z.frame
		for k, way := range [2]float64{-1, 1} {
			low := 0.7*z.leg - at.Foot/math.Cos(lean*math.Pi/180)
			leg := relief.Carve(sdf.BoxEased(sdf.V(-z.leg/2, -z.leg/2, -long-low), sdf.V(z.leg/2, z.leg/2, 0.3*z.pole), 0.08*z.leg), upright)
			askew := 1.5 * (2*chance(at.Seed, int64(2*i+k)) - 1)
			lie := sdf.Turn(sdf.V(0, 0, 1), 90*float64(k)).Then(sdf.Turn(sdf.V(0, 1, 0), askew)).Then(sdf.Turn(sdf.V(1, 0, 0), way*lean)).
				Then(sdf.At(sdf.V(x+0.3*way*z.leg, 0, fork)))
			all = append(all, sdf.Place(leg, lie))
		}
		// What fills their fork: slivers beside the pole would print thin.
		all = append(all, sdf.BoxBetween(sdf.V(x-0.8*z.leg, -0.45*z.leg, fork-0.6*z.leg), sdf.V(x+0.8*z.leg, 0.45*z.leg, z.high-z.pole/2)))
		// The brace from one leg up to the other, steep enough to print, with the heads of its bolts.
		way, low, high := 1-2*float64(i), 0.2*fork, (0.68+0.05*chance(at.Seed, int64(6+i)))*fork
		from, to := r2.Vec{X: -way * half * (1 - low/fork), Y: low}, r2.Vec{X: way * half * (1 - high/fork), Y: high}
		run := r2.Sub(to, from)
		thick := math.Max(0.5*z.leg, 0.9*s.Print.Wall)
		board := relief.Carve(sdf.Box(sdf.V(r2.Norm(run)+0.8*z.leg, thick, 0.9*z.leg), 0.06*z.leg), grain)
		out, mid := side*(0.1*z.leg+thick/2), r2.Scale(0.5, r2.Add(from, to))
		lie := sdf.Turn(sdf.V(0, 1, 0), -math.Atan2(run.Y, run.X)*180/math.Pi).Then(sdf.Turn(sdf.V(0, 0, 1), 90))
		all = append(all, sdf.Place(board, lie.Then(sdf.At(sdf.V(x+out, mid.X, mid.Y)))))
		for _, q := range [2]r2.Vec{from, to} {
			bolt := sdf.Cylinder(math.Max(0.2*z.leg, s.Print.Gap), 0.5*thick+s.Print.Relief, 0)
			all = append(all, sdf.Place(bolt, sdf.Turn(sdf.V(0, 1, 0), side*90).Then(sdf.At(sdf.V(x+out, q.X, q.Y)))))
		}
	}
	top := pole(s, at.Seed, z.pole, -z.long/2, z.long/2, 0)
	along := sdf.Turn(sdf.V(0, 1, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), 1.2*(2*chance(at.Seed, 9)-1))).Then(sdf.At(sdf.V(0, 0, z.high-z.pole/2)))
	// Hewn flat beneath: no part of it begins in the air between the frames.
	flat := sdf.Box(sdf.V(0.4*z.pole, math.Max(0.4*z.pole, math.Min(0.7*z.pole, 1.05*s.Print.Pin)), z.long-0.35*z.pole), 0)
	all = append(all, sdf.Place(top, along), sdf.Place(flat, sdf.At(sdf.V(0.25*z.pole, 0, 0)).Then(along)))
	return sdf.Intersection(sdf.Union(all...), sdf.BoxBetween(sdf.V(-z.long/2, -z.spread/2, at.Foot), sdf.V(z.long/2, z.spread/2, z.high)))
}

// Matter is ends of poles.
func (t *Trestle) Matter(s *parts.Site) parts.Matter {
	z := t.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.high, z.leg, z.leg), Volume: z.long*z.pole*z.pole + 4*z.high*z.leg*z.leg}
}

// Measures is its height beside a person.
func (t *Trestle) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", t.settled(s).high)
}

// Remedies of trestles.
func (t *Trestle) Remedies(s *parts.Site, e parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(t)
	z := t.settled(s)
	switch {
	case e.Thin():
		r.Scaled("leg", "thicker legs", z.leg, 1.25, 1.5)
		r.Scaled("pole", "a thicker pole", z.pole, 1.25, 1.5)
		r.Scaled("length", "a shorter pole", z.long, 0.8, 0.65)
	case e.Hanging():
		r.Scaled("length", "a shorter pole", z.long, 0.8, 0.65)
	case e.Of("stand", "rough-stand"):
		r.Words("at", "move the trestle, or the stand")
	}
	return r.All
}
