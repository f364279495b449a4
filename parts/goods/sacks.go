package goods

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Sacks are filled sacks that lie in a heap, or several heaps.
type Sacks struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"of a filled sack" default:"800 mm" min:"0.5" max:"50" source:"a sack of 50 kg of grain: common practice, no source"`
	Width  float64 `key:"width" type:"length" doc:"of a filled sack" default:"480 mm" min:"0.3" max:"50" source:"common practice, no source"`
	Height float64 `key:"height" type:"height" doc:"how thick a filled sack lies" default:"230 mm" min:"0.2" max:"50" source:"common practice, no source"`
	Layers int     `key:"layers" type:"count" doc:"layers of the heap, each one sack shorter than the one below" default:"2" min:"1" max:"8"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "sacks", Stage: parts.Fitting, Group: "Goods",
		Doc: "Filled sacks in a heap, each sagging over those that it lies on.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[sacks]]
at = [[30, 29]]
turn = 15
layers = 3

[[sacks]]
at = [[42, 14]]
turn = -35
layers = 1
`,
		New: func() parts.Part { return &Sacks{} },
	})
}

// sackSizes are those of a sack as it is drawn, mm.
type sackSizes struct {
	sack  r3.Vec
	rise  float64 // from one layer to the next
	notes parts.Notes
}

// Sacks lie a share of their width apart, pressed into each other, and a layer sinks as far
// into the one below. Common practice, no source.
const (
	sackApart = 0.88
	sackRise  = 0.8
)

func (k *Sacks) settled(s *parts.Site) *sackSizes {
	return parts.Settled(s, k, func() *sackSizes {
		z := &sackSizes{notes: parts.Notes{Part: k.Name}}
		z.sack = sdf.V(z.notes.AtLeast("length", k.Length, 3*s.Print.Wall, "sack, three walls"), z.notes.AtLeast("width", k.Width, 2*s.Print.Wall, "sack, two walls"),
			z.notes.AtLeast("height", k.Height, s.Print.Wall, "wall"))
		z.rise = sackRise * z.sack.Z
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (k *Sacks) Notes(s *parts.Site) []parts.Note { return k.settled(s).notes.List }

// Bulk is the size of a heap.
func (k *Sacks) Bulk(s *parts.Site) r3.Vec {
	z := k.settled(s)
	return sdf.V(z.sack.X, z.sack.Y*(1+sackApart*float64(k.Layers)), z.sack.Z+z.rise*float64(k.Layers-1))
}

// Body is one heap: layers side by side across it, the lowest of one sack more than there
// are layers.
func (k *Sacks) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := k.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 5))
	var all []sdf.Field
	for layer := range k.Layers {
		n := k.Layers + 1 - layer
		for i := range n {
			y := (float64(i) - float64(n-1)/2) * sackApart * z.sack.Y
			low, foot := float64(layer)*z.rise, -0.35*z.sack.Z // down into those below: nothing is shut in between
			if layer == 0 {
				foot = at.Foot
			}
			pose := sdf.Turn(sdf.V(0, 0, 1), 8*(2*rng.Float64()-1)).Then(sdf.At(sdf.V(0.05*z.sack.X*(2*rng.Float64()-1), y, low)))
			all = append(all, sdf.Place(k.sack(s, z, foot, layer == 0, rng.Uint64()), pose))
		}
	}
	return sdf.Union(all...)
}

// sack is one on z = 0, let down to foot: a cushion, flat beneath, with creases towards its
// ends and a tied neck at one.
func (k *Sacks) sack(s *parts.Site, z *sackSizes, foot float64, onFloor bool, seed uint64) sdf.Field {
	x, y, h := z.sack.X, z.sack.Y, z.sack.Z
	round := 0.48 * h
	cushion := sdf.Union(
		sdf.Place(sdf.Box(sdf.V(0.82*x, y, h), round), sdf.At(sdf.V(-0.05*x, 0, h/2))),
		sdf.Place(sdf.Box(sdf.V(0.92*x, 0.72*y, 0.86*h), 0.42*h), sdf.At(sdf.V(-0.02*x, 0, 0.43*h))))
	neck := sdf.Place(sdf.Box(sdf.V(0.16*x, 0.3*y, math.Max(0.4*h, 0.6*s.Print.Pin)), 0.15*h), sdf.At(sdf.V(0.42*x, 0, 0.3*h)))
	creases := relief.Sum(
		relief.NewFacets(seed, math.Max(1.1, 0.3*y), 1.5*s.Grain(), 0.2),
		relief.Place(relief.NewGrooves(seed+1, math.Max(1.2, 0.3*y), 2*s.Print.Gap, 1.2*s.Grain(), 0.5, s.Print.Gap), sdf.Turn(sdf.V(0, 0, 1), 90)))
	bag := relief.Carve(sdf.Union(cushion, neck), creases)
	under := sdf.BoxBetween(sdf.V(-0.34*x, -0.3*y, foot), sdf.V(0.28*x, 0.3*y, 0.5*h))
	tie := sdf.BoxBetween(sdf.V(0.28*x, -0.11*y, foot), sdf.V(0.48*x, 0.11*y, 0.3*h)) // under the neck, which would begin in the air
	if onFloor {
		in := 0.2 * h // its rounded foot, upright: creases beneath would begin in the air
		under = sdf.Union(under, sdf.BoxBetween(sdf.V(-0.46*x+in, -y/2+in, foot), sdf.V(0.36*x-in, y/2-in, 0.1*h)))
	}
	return sdf.Union(bag, under, tie)
}

// Matter is clods: what was in them.
func (k *Sacks) Matter(s *parts.Site) parts.Matter {
	z := k.settled(s)
	n := k.Layers * (k.Layers + 3) / 2
	return parts.Matter{Form: parts.Clods, Unit: sdf.V(z.sack.Y, z.sack.Y, z.sack.Z), Volume: 0.7 * float64(n) * z.sack.X * z.sack.Y * z.sack.Z}
}

// Measures is the height of a heap beside a person.
func (k *Sacks) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "heap", "layers", k.Bulk(s).Z)
}

// Remedies of sacks.
func (k *Sacks) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(k)
	switch {
	case t.Thin():
		r.Scaled("height", "thicker sacks", k.Height, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the sacks, or the stand")
	}
	return r.All
}
