package works

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// The words for the end of a duct, and for what it stands on.
const (
	endOpen    = "open"
	endGrille  = "grille"
	onTrestles = "trestles"
)

// Duct is a line of rectangular duct of sheet metal at a height over a floor.
type Duct struct {
	Course
	Width    float64 `key:"width" type:"length" doc:"of its section, across the line" default:"500 mm" min:"0.5" max:"200" source:"sides of 100 to 2000 mm: EN 1505, from memory"`
	Depth    float64 `key:"depth" type:"height" doc:"of its section, upright" default:"400 mm" min:"0.5" max:"200" source:"sides of 100 to 2000 mm: EN 1505, from memory"`
	Height   float64 `key:"height" type:"height" doc:"of its underside over the floor" default:"300 mm" min:"0" max:"200"`
	Flanges  float64 `key:"flanges" type:"length" doc:"from one pair of flanges to the next, about" default:"1.25 m" min:"1" max:"500" source:"sections of 1.2 to 1.5 m: trade figures, from memory"`
	Supports string  `key:"supports" type:"word" doc:"what it stands on: a low wall of blocks under all of it, which prints without a span, or trestles of angle iron" default:"wall" words:"wall,trestles"`
	Spacing  float64 `key:"spacing" type:"length" doc:"from one trestle to the next, at most" default:"1.2 m" min:"1" max:"500" source:"at most 2.4 to 3 m: trade figures, from memory; closer, as it spans less on the print"`
	End      string  `key:"end" type:"word" doc:"how its last end is: open, with a grille, or closed; its first end is closed" default:"grille" words:"open,grille,closed"`
	Wear     float64 `key:"wear" type:"number" doc:"0 new .. 1 dented" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "duct", Stage: parts.Fitting, Group: "Works",
		Doc: "Rectangular duct of sheet metal along a line: mitred bends, flanges, creased panels, and an end that is open or has a grille.",
		Example: `
[[duct]]
line = [[27, 44], [27, 17], [46, 17]]
width = "400 mm"
depth = "320 mm"
height = "250 mm"

[[drum]]
at = [[40, 31]]
stray = 60

[[boulder]]
at = [[15, 26]]
size = "420 mm"
`,
		New: func() parts.Part { return &Duct{} },
	})
}

// ductSizes are those of a duct as it is drawn, mm.
type ductSizes struct {
	half, deep float64 // half its width, and its depth
	low        float64 // its underside over the floor
	flange     float64 // how far flanges stand out
	plate      float64 // thickness of a pair of them
	pitch      float64
	crease     float64 // how far creases stand out
	leaf       float64 // thickness of sheet at an open end
	leg        float64 // of a trestle
	notes      parts.Notes
}

func (d *Duct) settled(s *parts.Site) *ductSizes {
	return parts.Settled(s, d, func() *ductSizes {
		z := &ductSizes{notes: parts.Notes{Part: d.Name}}
		z.half = z.notes.AtLeast("width", d.Width, 2.5*s.Print.Wall, "duct, two and a half walls") / 2
		z.deep = z.notes.AtLeast("depth", d.Depth, 2.5*s.Print.Wall, "duct, two and a half walls")
		z.flange = math.Max(s.OnPrint(30), s.Print.Relief) // 30 mm profiles: trade figures, from memory
		z.plate = math.Max(s.OnPrint(40), s.Print.Wall)
		z.pitch = math.Max(d.Flanges, 4*z.plate)
		z.low = d.Height
		if z.low > 0 {
			z.low = z.notes.AtLeast("height", d.Height, z.flange+s.Print.Gap, "height over a floor, a flange and a gap")
		}
		z.crease = 0.6 * s.Print.Relief
		z.leaf = math.Max(s.OnPrint(3), s.Print.Wall)
		z.leg = math.Max(s.OnPrint(60), s.Print.Pin)
		return z
	})
}

// Check reports lines with sides too short for their mitres.
func (d *Duct) Check(s *parts.Site) []parts.Fault {
	z := d.settled(s)
	least := 4 * z.plate
	if len(d.Points) > 2 {
		least = 2.6 * (z.half + z.flange)
	}
	return d.check(math.Max(1, least))
}

// Notes say what is drawn larger than the scene gives it.
func (d *Duct) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

// Pieces counts panels with their creases, flanges and trestles.
func (d *Duct) Pieces(s *parts.Site) int {
	z := d.settled(s)
	long, tall := z.blocks(s)
	rows := 1 + math.Max(0, z.low-z.flange)/tall
	return 40 + 8*len(d.Points) + int(math.Min(1e9, d.Length()*(20/z.pitch+12/d.Spacing+2*rows/long)))
}

// blocks is how long a block of the wall under it is, and how high a course of them.
func (z *ductSizes) blocks(s *parts.Site) (long, course float64) {
	const full, high = 450, 150 // full-size mm: common practice, no source
	course = math.Max(s.HeightOnPrint(high), 3*s.Print.Gap)
	return math.Max(s.OnPrint(full), 2*course), course
}

// rect is a rectangular section of the duct: so far beyond its sides, its y from its middle.
func (z *ductSizes) rect(out float64) []r2.Vec {
	x, y := z.half+out, z.deep/2+out
	return []r2.Vec{{X: -x, Y: -y}, {X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}}
}

// Solid is the duct with its flanges and what it stands on.
func (d *Duct) Solid(s *parts.Site) sdf.Field {
	z := d.settled(s)
	legs := d.legs(s, z.low+z.deep/2)
	rng := s.Rand(d.Name, d.Seed, "sheet")
	body := sdf.Union(swept(legs, z.rect(0), joined)...)
	if dents := d.Wear * math.Min(4*s.Grain(), 0.1*z.half); dents > 0 {
		in := z.rect(-1.1 * dents) // closes the mitres, where the sides end, and keeps the underside level
		in[0].Y, in[1].Y = -z.deep/2, -z.deep/2
		core := sdf.Union(swept(legs, in, joined)...)
		body = sdf.Union(relief.Carve(body, surface.Rough(rng.Uint64(), math.Max(2, 0.6*z.half), dents)), core)
	}
	all := []sdf.Field{body}
	var cuts []sdf.Field
	for i, leg := range legs {
		first, last := 0.0, leg.To-leg.From // of its straight panels
		mitre := func(turn float64) float64 {
			return (z.half + z.flange) * math.Tan(math.Abs(turn)*math.Pi/360)
		}
		if i > 0 {
			first = mitre(turnAt(d.Points, i))
		}
		if i < len(legs)-1 {
			last -= mitre(turnAt(d.Points, i+1))
		}
		pose := course.Frame(leg)
		n := math.Max(1, math.Round((last-first-z.plate)/z.pitch))
		bay := (last - first - z.plate) / n
		for k := range int(n) + 1 {
			at := first + z.plate/2 + bay*float64(k)
			all = append(all, sdf.Place(z.collar(at), pose))
			if k < int(n) {
				for _, f := range z.creases(s, at+z.plate/2, at+bay-z.plate/2) {
					all = append(all, sdf.Place(f, pose))
				}
			}
		}
		if i == len(legs)-1 && d.End != "closed" {
			cuts = append(cuts, sdf.Place(z.mouth(s, last, d.End == endGrille), pose))
		}
		all = append(all, d.under(s, z, leg, first, last)...)
	}
	if d.Supports != onTrestles || z.low == 0 {
		all = append(all, d.wall(s, z, rng.Uint64())...)
	}
	f := sdf.Union(all...)
	if len(cuts) > 0 {
		f = sdf.Difference(f, cuts...)
	}
	return f
}

// collar is a pair of flanges at a place along a side, with cleats at its upper corners. It
// is flat below, level with the duct: what hangs under that would print as an island.
func (z *ductSizes) collar(at float64) sdf.Field {
	box := func(long, from, to, out float64) sdf.Field {
		return sdf.BoxBetween(sdf.V(at-long/2, from, -z.deep/2), sdf.V(at+long/2, to, z.deep/2+out))
	}
	x, cleat := z.half+z.flange, 1.5*z.flange
	corners := sdf.Union(box(1.6*z.plate, -x, -x+cleat, z.flange), box(1.6*z.plate, x-cleat, x, z.flange))
	// Beneath they slope away from the flanges at 45 degrees, so that they begin on them.
	w, low := math.Sqrt(0.5), z.deep/2+z.flange-cleat-z.plate/2
	fore, aft := sdf.HalfSpace(sdf.V(w, 0, -w), w*(at-low)), sdf.HalfSpace(sdf.V(-w, 0, -w), w*(-at-low))
	return sdf.Union(box(z.plate, -x, x, z.flange), sdf.Intersection(corners, fore, aft))
}

// creases are those of the panels between two flanges: a cross over the top and one over each
// side.
func (z *ductSizes) creases(s *parts.Site, from, to float64) (all []sdf.Field) {
	r := math.Max(0.5*s.Print.Gap, 3*z.crease) // low and wide: a ridge as high as it is wide would print thin
	if to-from < 8*r {
		return nil
	}
	in := r - z.crease // of its middle, below the face
	x, y := z.half-in, z.deep/2-in
	edge := 0.12 * math.Min(z.half, z.deep/2)
	for _, way := range [2]float64{-1, 1} {
		a, b := from+edge, to-edge
		all = append(all, sdf.Capsule(sdf.V(a, -way*(z.half-edge), y), sdf.V(b, way*(z.half-edge), y), r))
		for _, side := range [2]float64{-1, 1} {
			crease := sdf.Capsule(sdf.V(a, side*x, -way*(z.deep/2-edge)), sdf.V(b, side*x, way*(z.deep/2-edge)), r)
			all = append(all, sdf.Intersection(crease, sdf.HalfSpace(sdf.V(0, 0, -1), z.deep/2))) // none hangs under it
		}
	}
	return all
}

// mouth is what is taken out of the last end: its room, or the openings between the blades
// of a grille, which slope down to the outside.
func (z *ductSizes) mouth(s *parts.Site, end float64, grille bool) sdf.Field {
	x, low, high := z.half-z.leaf, -z.deep/2+z.leaf, z.deep/2-z.leaf
	deep := math.Min(2.2*z.half, 1.6*z.deep)
	const over = 5 // mm
	if !grille {
		// Its roof falls to the back at 45 degrees, so that it closes over nothing wide.
		fall := sdf.V(-1, 0, 1)
		room := sdf.BoxBetween(sdf.V(end-deep, -x, low), sdf.V(end+over, x, high))
		return sdf.Intersection(room, sdf.HalfSpace(fall, r3.Dot(r3.Unit(fall), sdf.V(end-0.3*z.half, 0, high))))
	}
	pitch := math.Max(s.OnPrint(50), s.Print.Gap+0.7*s.Print.Wall)
	n := math.Max(1, math.Floor((high-low)/pitch))
	pitch = (high - low) / n
	open := math.Max(s.Print.Gap, 0.5*pitch)
	deep = math.Max(1.2*s.Print.Relief, math.Min(2*open, 0.6*z.half))
	var all []sdf.Field
	for i := range int(n) {
		mid := low + pitch*(float64(i)+0.5)
		// In x and z; deepest at its upper edge.
		slot := sdf.Prism([]r2.Vec{{X: end + over, Y: mid - open/2 - over}, {X: end + over, Y: mid + open/2}, {X: end - deep, Y: mid + open/2},
			{X: end - deep, Y: mid + open/2 - 0.3*open}, {X: end, Y: mid - open/2}}, -x, x)
		all = append(all, sdf.Place(slot, sdf.Turn(sdf.V(1, 0, 0), 90)))
	}
	return sdf.Union(all...)
}

// under are the trestles of a side: two legs with feet, and a beam across that the duct lies
// on, its underside falling to the legs at 45 degrees.
func (d *Duct) under(s *parts.Site, z *ductSizes, leg planar.Leg, first, last float64) (all []sdf.Field) {
	if d.Supports != onTrestles || z.low == 0 {
		return nil
	}
	foot := d.foot(s, 2*(z.half+z.flange)) - leg.A.Z
	floor := -z.deep/2 - z.low
	n := planar.EqualBays(last-first-2*z.leg, d.Spacing)
	out := z.half + 0.5*z.leg
	pose := course.Frame(leg)
	for k := range n + 1 {
		at := first + 1.5*z.leg + (last-first-3*z.leg)*float64(k)/float64(n)
		lo, hi := at-z.leg/2, at+z.leg/2
		top := -z.deep/2 + 0.15*z.leg
		rise := math.Min(z.half-0.5*z.leg, math.Max(0, z.low-z.leg))
		// In y and z: an arch of straight sides.
		arch := []r2.Vec{{X: -out, Y: foot}, {X: -out + z.leg, Y: foot}, {X: -out + z.leg, Y: top - z.leg - rise}, {X: -out + z.leg + rise, Y: top - z.leg},
			{X: out - z.leg - rise, Y: top - z.leg}, {X: out - z.leg, Y: top - z.leg - rise},
			{X: out - z.leg, Y: foot}, {X: out, Y: foot}, {X: out, Y: top}, {X: -out, Y: top}}
		stand := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), 90)) // its x to y, its y to z
		all = append(all, sdf.Place(sdf.Prism(arch, lo, hi), stand.Then(pose)))
		for _, side := range [2]float64{-1, 1} {
			y := side * (out - z.leg/2)
			plate := floor + math.Max(s.OnPrint(15), s.Print.Relief)
			all = append(all, sdf.Place(sdf.BoxBetween(sdf.V(at-1.1*z.leg, y-1.1*z.leg, foot), sdf.V(at+1.1*z.leg, y+1.1*z.leg, plate)), pose))
		}
	}
	return all
}

// wall is a low wall of blocks under all of the line, a little narrower than the duct.
func (d *Duct) wall(s *parts.Site, z *ductSizes, seed uint64) (all []sdf.Field) {
	half := math.Max(0.7*z.half, z.half-0.8) // mm: little may stand out over nothing
	legs := d.legs(s, 0)
	foot := d.foot(s, 2*(z.half+z.flange)) - d.level(s)
	into := z.low + 0.3*z.deep
	all = swept(legs, []r2.Vec{{X: -half, Y: foot}, {X: half, Y: foot}, {X: half, Y: into}, {X: -half, Y: into}}, joined)
	if z.low < 2*s.Print.Relief {
		return all
	}
	// Blocks that stand out of it in courses, with joints between them.
	long, tall := z.blocks(s)
	rows := math.Max(1, math.Round((z.low-z.flange)/tall))
	high := (z.low - z.flange) / rows
	for i, leg := range legs {
		n := math.Max(1, math.Round((leg.To-leg.From)/long))
		each := (leg.To - leg.From) / n
		pose := course.Frame(leg)
		for r := range int(rows) {
			for k := range int(n) + r%2 {
				from := each * (float64(k) - 0.5*float64(r%2))
				a, b := math.Max(0, from)+s.Print.Gap/2, math.Min(leg.To-leg.From, from+each)-s.Print.Gap/2
				if b-a < 2*s.Print.Gap {
					continue
				}
				stray := float64(sdf.Hash(seed, int64(i), int64(r), int64(k))&0xff) / 0xff
				out := half + (0.5+0.4*stray)*s.Print.Relief
				low := high*float64(r) + s.Print.Gap/2
				if r == 0 {
					low = foot
				}
				all = append(all, sdf.Place(sdf.BoxBetween(sdf.V(a, -out, low), sdf.V(b, out, high*float64(r+1)-s.Print.Gap/2)), pose))
			}
		}
	}
	return all
}

// widest is the width of all of it.
func (d *Duct) widest(z *ductSizes) float64 {
	wide := 2 * (z.half + z.flange)
	if d.Supports == onTrestles {
		wide = math.Max(wide, 2*z.half+3.2*z.leg)
	}
	return wide
}

// top is its height over its floor.
func (z *ductSizes) top() float64 { return z.low + z.deep + z.flange }

// Extents are what it covers.
func (d *Duct) Extents(s *parts.Site) []parts.Extent { return d.Covers(d.widest(d.settled(s))) }

// Plan is its outline and its middle.
func (d *Duct) Plan(s *parts.Site) []parts.Stroke {
	return []parts.Stroke{d.bandStroke(2*d.settled(s).half, parts.LineMass), {Line: parts.LineFine, Path: planar.Straight(d.Points...)}}
}

// Bitten is what bites leave of it.
func (d *Duct) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := d.settled(s)
	return d.bitten(s, d.Solid(s), d.widest(z), z.top(), bites)
}

// Breaks gives torn sheet.
func (d *Duct) Breaks(s *parts.Site, at *parts.Patch) []parts.Matter {
	z := d.settled(s)
	return d.matter(at, d.widest(z), parts.Plates, sdf.V(2*z.half, z.deep, math.Max(s.OnPrint(2), s.Print.Wall)), 2*(2*z.half+z.deep)*z.leaf)
}

// Measures is its height beside a person.
func (d *Duct) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "depth", d.settled(s).top())
}

// Sights is a look at its last end.
func (d *Duct) Sights(l parts.Lookout) []parts.Sight {
	z := d.settled(l.Site())
	legs := d.legs(l.Site(), z.top()-z.flange)
	long := d.Length()
	for _, back := range []float64{z.half, 4 * z.half, 8 * z.half, long / 2} {
		if back > long {
			break
		}
		if sight, ok := parts.SightOf(l, d, planar.PointAt(legs, long-back), z.top(), math.Max(3*z.half, 1.2*l.Person()), z.half); ok {
			return []parts.Sight{sight}
		}
	}
	return nil
}

// Remedies of ducts.
func (d *Duct) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	z := d.settled(s)
	switch {
	case t.Thin():
		r.Scaled("width", "a wider duct", 2*z.half, 1.25, 1.5)
	case t.Hanging():
		r.To("supports", "a wall under it", "wall")
		r.To("end", "a grille, or a closed end", "grille", "closed")
		r.Scaled("width", "a narrower duct", 2*z.half, 0.8, 0.65)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the duct, or the stand")
	}
	return r.All
}
