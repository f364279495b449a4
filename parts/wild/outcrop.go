package wild

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// Outcrop is rock in beds that stands out of the ground, or several: the beds lean, and
// end in steps.
type Outcrop struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"along the edges of its beds, its own x" default:"1500 mm" min:"0.5" max:"300" source:"common practice, no source"`
	Width  float64 `key:"width" type:"length" doc:"across that, the way that its beds lean" default:"1200 mm" min:"0.5" max:"300" source:"common practice, no source"`
	Height float64 `key:"height" type:"height" doc:"of its highest edge over its floor" default:"800 mm" min:"0.5" max:"200" source:"common practice, no source"`
	Dip    float64 `key:"dip" type:"angle" doc:"how steep its beds lean, down towards its own -y" default:"18" min:"0" max:"45" source:"dip is measured from the level, down the slope of a bed: common practice, no source"`
	Bed    float64 `key:"bed" type:"height" doc:"about how thick a bed is" default:"120 mm" min:"0.1" max:"50" source:"a thick bed is 300 to 1000 mm, a medium one 100 to 300 mm: Ingram 1954, from memory"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "outcrop", Stage: parts.Fitting, Group: "Nature",
		Doc: "Rock in beds that lean, standing out of the ground in broken steps.",
		Example: `
[[outcrop]]
at = [[31, 27]]
length = "1.9 m"
width = "1.5 m"
height = "1 m"
turn = 20
`,
		New: func() parts.Part { return &Outcrop{} },
	})
}

// outcropSizes are those of an outcrop as it is drawn, mm.
type outcropSizes struct {
	bulk  r3.Vec
	bed   float64
	notes parts.Notes
}

func (o *Outcrop) settled(s *parts.Site) *outcropSizes {
	return parts.Settled(s, o, func() *outcropSizes {
		z := &outcropSizes{notes: parts.Notes{Part: o.Name}}
		least := 3 * s.Print.Wall
		z.bulk = sdf.V(z.notes.AtLeast("length", o.Length, least, "outcrop, three walls"), z.notes.AtLeast("width", o.Width, least, "outcrop, three walls"),
			z.notes.AtLeast("height", o.Height, s.Print.Wall, "outcrop, a wall"))
		z.bed = z.notes.AtLeast("bed", o.Bed, math.Max(0.8*s.Print.Wall, 2.5*s.Print.Gap), "bed")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (o *Outcrop) Notes(s *parts.Site) []parts.Note { return o.settled(s).notes.List }

// Bulk is the size of one over its floor.
func (o *Outcrop) Bulk(s *parts.Site) r3.Vec { return o.settled(s).bulk }

const (
	mostBeds  = 14   // that an outcrop has
	stepsBack = 0.3  // how far its highest bed stands back on the side where the beds rise, of half its width
	showing   = 0.35 // of its height, that the outermost of beds that stand steep show
	narrows   = 0.45 // how much of its plan the highest bed does not cover
)

// Body is one: a block for each of its beds, in two where a joint runs through it, all with
// their tops along the beds. Each stands back from the one below it. Seams are cut along
// the beds where a side shows more than one.
func (o *Outcrop) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := o.settled(s)
	rng := s.Rand(o.Name, at.Seed, "beds")
	sin, cos := math.Sincos(o.Dip * math.Pi / 180)
	up := sdf.V(0, -sin, cos) // square to the beds
	lo, hi := sdf.V(-z.bulk.X/2, -z.bulk.Y/2, at.Foot-under), sdf.V(z.bulk.X/2, z.bulk.Y/2, z.bulk.Z)
	y := z.bulk.Y / 2
	back := (1 - stepsBack) * y                                                   // of the highest edge
	top, low := r3.Dot(up, sdf.V(0, back, z.bulk.Z)), r3.Dot(up, sdf.V(0, -y, 0)) // beds through it, and through the foot of the slope
	steep := low > top-z.bed
	if steep {
		low = math.Min(r3.Dot(up, sdf.V(0, y, showing*z.bulk.Z)), top-z.bed)
	}
	count := math.Max(1, math.Min(mostBeds, math.Round((top-low)/z.bed)))
	thick := (top - low) / count
	var all []sdf.Field
	for k := range int(count) {
		down := count - 1 - float64(k) // to the highest
		height := float64(k) / math.Max(1, count-1)
		stray := between(rng, -0.2, 0.2) * math.Min(1, down)
		left, far := 1-narrows*height, (1-stepsBack*height)*y
		deep := left * y
		if steep {
			deep = (far + y) / 2
		}
		all = append(all, bedAt(rng, z, lo, hi, block{top: convex.Plane{N: up, D: top - thick*(down+stray)}, far: far,
			half: sdf.V(left*z.bulk.X/2, deep, 0), whole: k == 0, last: down == 0})...)
	}
	if steep { // beds over the highest edge, the more broken off the higher they are
		most := r3.Dot(up, sdf.V(0, -y, showing*z.bulk.Z))
		n := math.Max(1, math.Min(mostBeds, math.Round((most-top)/thick)))
		for k := 1.0; k <= n; k++ {
			d := top + (most-top)*k/n
			high := z.bulk.Z * (1 - (1-showing)*0.8*k/n*between(rng, 0.8, 1))
			far := math.Max((cos*high-d)/sin, 2*z.bed-y) // where it is as high
			all = append(all, bedAt(rng, z, lo, hi, block{top: convex.Plane{N: up, D: d}, far: far, half: sdf.V(z.bulk.X/2, (far+y)/2, 0), whole: k == n})...)
		}
	}
	// Square to the seams z runs up, x across the beds.
	most := math.Min(0.3*z.bed, 0.1*math.Min(z.bulk.X, math.Min(z.bulk.Y, z.bulk.Z)))
	cut := math.Min(1.4*s.Print.Relief, most)
	seam := relief.NewGrooves(at.Seed, thick, 1.6*s.Print.Gap, cut, 0.4, 0.12*thick).At(top)
	along := relief.Place(relief.Bent(seam, at.Seed+3, 1.7*thick, 0.12*thick), sdf.Turn(sdf.V(0, 1, 0), -90).Then(sdf.Turn(sdf.V(1, 0, 0), o.Dip)))
	return footed(relief.Carve(sdf.Union(all...), relief.Sum(grit(s, at.Seed+1, 0.5*z.bulk.X, most), along)), at.Foot)
}

// block is a bed before it is broken: the plane of its top, where it ends on the side where
// the beds rise, and half its length and width.
type block struct {
	top         convex.Plane
	far         float64
	half        r3.Vec
	whole, last bool // it reaches the sides of the box; it has the highest edge
}

// bedAt are the blocks that a bed is broken into, each down to the foot.
func bedAt(rng *rand.Rand, z *outcropSizes, lo, hi r3.Vec, o block) (all []sdf.Field) {
	const leastLean, mostLean = 0.02, 0.12 // of a side
	middle := sdf.V(between(rng, -1, 1)*(z.bulk.X/2-o.half.X), o.far-o.half.Y, 0)
	blocks := 1 + rng.IntN(2)
	if o.half.X < 2*z.bed {
		blocks = 1
	}
	joint := between(rng, -0.25, 0.25) * o.half.X
	side, skew := 2*float64(rng.IntN(2))-1, between(rng, -0.3, 0.3)
	for b := range blocks {
		planes := []convex.Plane{o.top}
		if b > 0 { // it has lost a part of its bed, or stands a little lower
			planes[0].D -= between(rng, 0.3, 0.7) * z.bed
		} else if blocks > 1 {
			planes = append(planes, plane(sdf.V(side, side*skew, 0), r3.Add(middle, sdf.V(joint, 0, 0))))
		}
		for i := range 8 {
			turn := (float64(i) + between(rng, -0.28, 0.28)) * math.Pi / 4
			if o.whole && i%2 == 0 {
				turn = float64(i) * math.Pi / 4 // the lowest bed reaches its box
			}
			s, c := math.Sincos(turn)
			n := sdf.V(c, s, between(rng, leastLean, mostLean))
			if o.last && i == 2 {
				n.Z = leastLean
			}
			far := between(rng, 0.78, 1)
			if i%2 == 1 {
				far = between(rng, 0.98, 1.18)
			} else if o.whole || o.last && i == 2 {
				far = 1
			}
			planes = append(planes, plane(n, r3.Add(middle, sdf.V(far*o.half.X*c, far*o.half.Y*s, 0))))
		}
		all = append(all, solidOf(clipped(planes, lo, hi)))
	}
	return all
}

// Matter is slabs of stone.
func (o *Outcrop) Matter(s *parts.Site) parts.Matter {
	z := o.settled(s)
	return parts.Matter{Form: parts.Flags, Unit: sdf.V(0.6*z.bulk.X, 0.5*z.bulk.Y, z.bed), Volume: 0.4 * z.bulk.X * z.bulk.Y * z.bulk.Z}
}

// Measures is its height beside a person.
func (o *Outcrop) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", o.Bulk(s).Z)
}

// Remedies of outcrops.
func (o *Outcrop) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(o)
	switch {
	case t.Thin():
		r.Scaled("bed", "thicker beds", o.Bed, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the outcrop, or the stand")
	}
	return r.All
}
