package wild

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// Pool is standing water in a hollow of the ground: a puddle or a pond. The ground makes the
// hollow (parts.Digger); its own solid is the water, the mud about it and what stands in it.
type Pool struct {
	parts.Named
	Area    parts.Area `key:"area" type:"table" doc:"what it lies in; its shore winds within that" required:"yes"`
	Below   float64    `key:"below" type:"height" doc:"how far the water lies below the ground about it" default:"30 mm" min:"0.05" max:"20" source:"common practice, no source"`
	Bank    float64    `key:"bank" type:"angle" doc:"slope of its shore against the horizontal" default:"35" min:"15" max:"80" source:"loose earth stands at 30 to 45: civil engineering notes"`
	Rim     float64    `key:"rim" type:"height" doc:"of the lip of mud about it, over the ground; 0: none" default:"25 mm" min:"0" max:"10" source:"common practice, no source"`
	Winding float64    `key:"winding" type:"number" doc:"0 the area as it is .. 1 a shore that winds far into it" default:"0.5" min:"0" max:"1"`
	Of      string     `key:"of" type:"word" doc:"what its shore is made of" default:"mud" words:"earth,gravel,ballast,mud,sand,cinders,rock,plain"`
	Ripples float64    `key:"ripples" type:"number" doc:"0 smooth water .. 1 ripples as deep as show" default:"0.6" min:"0" max:"1"`
	Stones  int        `key:"stones" type:"count" doc:"stones at its shore and in it; those that find no room are left out" default:"6" min:"0" max:"60"`
	Stubs   int        `key:"stubs" type:"count" doc:"broken reeds that stand in it, no thinner than a pin; those that find no room are left out" default:"6" min:"0" max:"60"`
	Leaves  int        `key:"leaves" type:"count" doc:"leaves that float on it; those that find no room are left out" default:"4" min:"0" max:"60"`
	Seed    uint64     `key:"seed" type:"seed" doc:"picks its shore and what lies in it" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "pool", Stage: parts.Fitting, Group: "Nature",
		Doc: "A puddle or a pond in the ground, or in a hole of its paving: water with ripples, a shore of mud, stones, broken reeds and leaves.",
		Example: `
[[pool]]
area = { oval = [32, 22, 34, 24] }
stones = 10
stubs = 9
leaves = 5

[[reeds]]
at = [[20, 33], [48, 30]]
height = "420 mm"

[[boulder]]
at = [[45, 11]]
size = "420 mm"
`,
		New: func() parts.Part { return &Pool{} },
	})
}

// poolSizes are those of a pool as it is drawn, mm.
type poolSizes struct {
	below, rim float64
	ripple     float64     // depth of the ripples
	shore      *parts.Area // its outline at its mouth; nil where the area is none
	broad      float64     // width of the widest disc in it
	stub       float64     // thickness of a reed
	leaf       float64     // diameter of a leaf, at most
	notes      parts.Notes
}

func (p *Pool) settled(s *parts.Site) *poolSizes {
	return parts.Settled(s, p, func() *poolSizes {
		z := &poolSizes{notes: parts.Notes{Part: p.Name}}
		z.below = z.notes.AtLeast("below", p.Below, s.Print.Relief, "depth of relief")
		if p.Rim > 0 {
			z.rim = z.notes.AtLeast("rim", p.Rim, s.Print.Relief, "height of relief")
		}
		z.ripple = p.Ripples * 2.6 * s.Grain()
		z.stub = 1.15 * s.Print.Pin
		const pad = 200 // full-size mm: leaves of water lilies of 100 to 300 mm, from memory
		z.leaf = math.Max(s.OnPrint(pad), 4*s.Print.Relief)
		if len(p.Area.Check(p.Name, "area")) == 0 {
			z.shore, z.broad = p.shore(s)
		}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (p *Pool) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes.List }

// even is points of an outline, n of them, the same length of it apart.
func even(outline []r2.Vec, n int) (out []r2.Vec, step float64) {
	closed := append(append([]r2.Vec(nil), outline...), outline[0])
	sides := planar.Line{Pts: planar.RaiseLine(closed, 0)}.Sides()
	step = sides[len(sides)-1].To / float64(n)
	for i := range n {
		out = append(out, planar.OnPlan(planar.PointAt(sides, step*(float64(i)+0.5))))
	}
	return out, step
}

// eased is a closed outline with each corner drawn towards its neighbours, some times over.
func eased(outline []r2.Vec, times int) []r2.Vec {
	n := len(outline)
	for range times {
		next := make([]r2.Vec, n)
		for i, q := range outline {
			next[i] = r2.Add(r2.Scale(0.5, q), r2.Scale(0.25, r2.Add(outline[(i+n-1)%n], outline[(i+1)%n])))
		}
		outline = next
	}
	return outline
}

// shore is an outline that winds within the area: its edge moved in by waves of three
// lengths, and eased; less far where it would cross itself. broad is the width of the
// widest disc in it, mm.
func (p *Pool) shore(s *parts.Site) (shore *parts.Area, broad float64) {
	area := p.Area.Outline()
	box := planar.Bounds(area)
	within := planar.Polygon(area)
	_, deep := planar.Widest(within, box, 0.02*math.Min(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y))
	const corners = 120
	marks, step := even(area, corners)
	rng := s.Rand(p.Name, p.Seed, "shore")
	waves := math.Max(2, math.Round(corners*step/math.Max(6, 1.6*deep))) // along the shore
	var phase [3]float64
	for i := range phase {
		phase[i] = rng.Float64()
	}
	shore = &parts.Area{Polygon: area}
	for in := 0.7 * p.Winding * deep; in > 1e-3*deep; in /= 2 {
		out := make([]r2.Vec, corners)
		for i, q := range marks {
			wave := 0.0
			for k, of := range [3]struct{ share, often float64 }{{0.5, 0.5}, {0.3, 1}, {0.2, 1.9}} {
				sin, _ := planar.SinCos(360 * (phase[k] + float64(i)/corners*math.Max(1, math.Round(waves*of.often))))
				wave += of.share * (0.5 + 0.5*sin)
			}
			_, away := within.Slope(q)
			out[i] = r2.Sub(q, r2.Scale(in*wave, away))
		}
		try := &parts.Area{Polygon: eased(out, 6)}
		if len(try.Check(p.Name, "area")) == 0 {
			shore = try
			break
		}
	}
	_, half := planar.Widest(planar.Polygon(shore.Outline()), box, 0.05*deep)
	return shore, 2 * half
}

// Digs is the hollow down to under the ripples of the water.
func (p *Pool) Digs(s *parts.Site, _ float64, land func(r2.Vec) float64) []parts.Dug {
	if len(p.Check(s)) > 0 {
		return nil
	}
	z := p.settled(s)
	mouth := land(p.Area.Centre())
	return []parts.Dug{{Words: "the pool", Area: z.shore, Mouth: mouth, Level: mouth - z.below - z.ripple, Bank: p.Bank, Of: surface.Plain, Beside: p.Of}}
}

// mouth is the level of the ground about it, mm above the datum; ok is false where the
// ground has no hollow for it.
func (p *Pool) mouth(s *parts.Site) (level float64, ok bool) {
	land := s.Land()
	z := p.settled(s)
	if land == nil {
		return 0, false
	}
	for i := range land.Sunk {
		if f := &land.Sunk[i]; f.Area == z.shore {
			return f.Level.Height + z.below + z.ripple, true
		}
	}
	return 0, false
}

// Check reports an area that is none, and one too small for a pool.
func (p *Pool) Check(s *parts.Site) []parts.Fault {
	if faults := p.Area.Check(p.Name, "area"); len(faults) > 0 {
		return faults
	}
	z := p.settled(s)
	// Its shores take so much of it.
	if least := 2*(z.below+z.ripple)/math.Tan(p.Bank*math.Pi/180) + 2*s.Print.Wall; z.broad < least {
		return []parts.Fault{{Part: p.Name, Key: "area", Text: fmt.Sprintf("leaves a pool of %.2f mm between its shores", z.broad),
			Allowed: fmt.Sprintf("at least %.2f mm: a larger area, less winding, a steeper bank or less below", least)}}
	}
	return nil
}

// CheckPlace reports a pool off the ground, and one with a floor over it.
func (p *Pool) CheckPlace(s *parts.Site) []parts.Fault {
	fault := func(text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: p.Name, Key: "area", Text: text, Allowed: allowed}}
	}
	land := s.Land()
	c := p.Area.Centre()
	if land == nil || planar.Polygon(land.Plot.Area.Outline()).At(c) > 0 {
		return fault("its middle is not on the ground", "an area on the ground")
	}
	mouth, ok := p.mouth(s)
	if over, _ := s.FloorAt(c); ok && over > mouth+parts.SameHeight {
		return fault("a floor lies over it", "a place on open ground, or in the paving at the ground's level")
	}
	return nil
}

// Pieces counts what lies in it.
func (p *Pool) Pieces(*parts.Site) int { return 4 + p.Stones + 4*p.Stubs + 3*p.Leaves }

// within is the shore as the region that lies so far inside it, mm.
func (z *poolSizes) within(in float64) planar.Shape {
	return &planar.Inset{F: planar.Polygon(z.shore.Outline()), D: in}
}

// Solid is the water, the lip of mud about it and what lies in it.
func (p *Pool) Solid(s *parts.Site) sdf.Field {
	mouth, ok := p.mouth(s)
	if !ok {
		return sdf.Nothing()
	}
	z := p.settled(s)
	rng := s.Rand(p.Name, p.Seed, "water")
	level := mouth - z.below
	box := z.shore.Bounds()
	wind := 360 * rng.Float64()
	pitch := math.Max(s.OnPrint(90), 4*s.Print.Gap)
	waves := func(turn, pitch float64) relief.Relief {
		g := relief.NewGrooves(rng.Uint64(), pitch, 0.9*pitch, 0.5*z.ripple, 0.3, 0.2*pitch)
		return surface.Laid(relief.Bent(g, rng.Uint64(), 2.5*pitch, 0.4*pitch), turn, r3.Vec{})
	}
	water := planar.Prism(z.within(0), box, math.Min(level-z.ripple, parts.StructureUnder(s, mouth, z.shore.Outline()))-parts.Embed, level)
	if z.ripple > 0 {
		water = surface.CutTop(water, level, relief.Sum(waves(wind, pitch), waves(wind+35, 1.6*pitch)))
	}
	all := []sdf.Field{water}
	all = append(all, p.lip(s, z, mouth, rng))
	return sdf.Union(append(all, p.things(s, z, level, rng)...)...)
}

// lip is the shore, with mud thrown up about it: where paving ends at the pool, this is all
// that holds the water.
func (p *Pool) lip(s *parts.Site, z *poolSizes, mouth float64, rng *rand.Rand) sdf.Field {
	const gentle = 24 // degrees
	sin, cos := planar.SinCos(gentle)
	wide, high := math.Max(s.Print.Wall, 1.5*z.rim), z.rim // of its top, and its height
	if z.rim == 0 {
		wide, high = s.Print.Gap, -0.4*s.Print.Relief
	}
	under := parts.StructureUnder(s, mouth, z.shore.Outline())
	wide = math.Max(wide, (mouth-under)/math.Tan(p.Bank*math.Pi/180)) // paving ends so far from the pool
	low := under - s.Roughness(mouth) - parts.Embed
	ring := &planar.Bank{Shape: z.within(-wide), Box: planar.GrownBox(z.shore.Bounds(), wide),
		At: mouth + high, Lo: low, Hi: mouth + high + 1, Sin: sin, Cos: cos}
	steep, lean := planar.SinCos(p.Bank)
	open := &planar.Bank{Shape: z.within(0), Box: z.shore.Bounds(), At: mouth,
		Lo: math.Min(low, mouth-z.below) - parts.Embed, Hi: mouth + high + 2, Sin: steep, Cos: -lean}
	lumps := relief.Sum(relief.NewFacets(rng.Uint64(), math.Max(2.2, s.OnPrint(160)), 0.6*math.Max(z.rim, s.Print.Relief), 0.1),
		surface.Soil(s, p.Of, rng.Uint64()))
	top := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), mouth+high), lumps)
	skin := surface.Bank(s, p.Of, rng.Uint64())
	return sdf.Difference(sdf.Intersection(relief.Carve(ring, skin), top), relief.Carve(open, skin))
}

// things are the stones, broken reeds and leaves in it, each clear of those before.
func (p *Pool) things(s *parts.Site, z *poolSizes, level float64, rng *rand.Rand) (all []sdf.Field) {
	shape := planar.Polygon(z.shore.Outline())
	box := z.shore.Bounds()
	type disc struct {
		at r2.Vec
		r  float64
	}
	var laid []disc
	edge := z.below / math.Tan(p.Bank*math.Pi/180) // from the shore to the water
	// place finds room for a round thing between two distances inside the water's edge.
	place := func(r, from, to float64) (r2.Vec, bool) {
		const tries = 60
		for range tries {
			q := r2.Vec{X: between(rng, box.Min.X, box.Max.X), Y: between(rng, box.Min.Y, box.Max.Y)}
			if d := -shape.At(q) - edge; d < from || d > to {
				continue
			}
			free := true
			for _, o := range laid {
				free = free && planar.Norm2(r2.Sub(q, o.at)) > r+o.r+s.Print.Gap
			}
			if free {
				laid = append(laid, disc{q, r})
				return q, true
			}
		}
		return r2.Vec{}, false
	}
	foot := -z.ripple - parts.Embed - under // of what stands in it, over the water
	for range p.Stones {
		size := math.Max(s.OnPrint(between(rng, 40, 110)), between(rng, 0.8, 1.3)*s.Print.Wall)
		q, ok := place(size, -0.5*size, 2.5*size)
		turn, seed := 360*rng.Float64(), rng.Uint64()
		if !ok {
			continue
		}
		var planes []convex.Plane
		for _, f := range lump(rng, 0.7) {
			f.D *= size
			planes = append(planes, f)
		}
		planes[0].D = -foot // the one that it lies on
		stone := relief.Carve(solidOf(planes), surface.Rough(seed, math.Max(1, 0.8*size), math.Min(s.Grain(), 0.1*size)))
		flat := sdf.At(sdf.V(q.X, q.Y, level-between(rng, 0.1, 0.35)*size))
		all = append(all, footed(sdf.Place(stone, sdf.Turn(sdf.V(0, 0, 1), turn).Then(flat)), level+foot+under))
	}
	for range p.Stubs {
		high := math.Max(s.HeightOnPrint(between(rng, 60, 260)), between(rng, 1, 2)*z.stub)
		high = math.Min(high, 0.7*slender*z.stub)
		q, ok := place(0.5*z.stub, 0.5*z.stub, math.Max(0.35*z.broad, 2*z.stub))
		lean, turn, cut := between(rng, 0, 16), 360*rng.Float64(), between(rng, 20, 45)
		if !ok {
			continue
		}
		stem := sdf.Cone(0.5*z.stub, 0.46*z.stub, high-foot)
		slant := convex.Unit(sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.Turn(sdf.V(0, 1, 0), cut).Rotate(sdf.V(0, 0, 1))))
		stem = sdf.Intersection(sdf.Place(stem, sdf.At(sdf.V(0, 0, foot))), sdf.HalfSpace(slant, slant.Z*(high-0.3*z.stub)))
		ring := sdf.Place(sdf.Torus(1.5*z.stub, 0.5*s.Print.Gap), sdf.At(sdf.V(0, 0, 0.4*s.Grain()-0.5*s.Print.Gap))) // in the water about it
		pose := sdf.Turn(sdf.V(0, 1, 0), lean).Then(sdf.Turn(sdf.V(0, 0, 1), turn)).Then(sdf.At(sdf.V(q.X, q.Y, level)))
		all = append(all, footed(sdf.Place(stem, pose), level+foot+under), sdf.Place(ring, sdf.At(sdf.V(q.X, q.Y, level))))
	}
	for range p.Leaves {
		r := z.leaf / 2 * between(rng, 0.6, 1)
		q, ok := place(r, r, math.Inf(1))
		turn, open := 360*rng.Float64(), between(rng, 18, 32)
		if !ok {
			continue
		}
		thick := math.Max(s.Print.Relief, s.OnPrint(8))
		pad := sdf.Place(sdf.Cone(r, 0.92*r, thick+z.ripple+parts.Embed), sdf.At(sdf.V(0, 0, -z.ripple-parts.Embed)))
		a, b := sdf.Turn(sdf.V(0, 0, 1), open).Rotate(sdf.V(0, -1, 0)), sdf.Turn(sdf.V(0, 0, 1), -open).Rotate(sdf.V(0, 1, 0))
		slit := sdf.Intersection(sdf.HalfSpace(a, -0.1*r), sdf.HalfSpace(b, -0.1*r)) // from its stalk to its edge
		dish := sdf.Place(sdf.Sphere(3*r), sdf.At(sdf.V(0, 0, 3*r+0.45*thick)))      // its edge turns up
		all = append(all, sdf.Place(sdf.Difference(pad, slit, dish), sdf.Turn(sdf.V(0, 0, 1), turn).Then(sdf.At(sdf.V(q.X, q.Y, level)))))
	}
	return all
}

// Extents are what it covers.
func (p *Pool) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: p.Area.Outline(), Closed: true, OnLand: true}}
}

// Plan is its water; the ground draws its shore.
func (p *Pool) Plan(s *parts.Site) []parts.Stroke {
	z := p.settled(s)
	var strokes []parts.Stroke
	for _, in := range []float64{0.12, 0.24} { // lines along the shore, as on maps
		if path := z.shore.Parallel(in * z.broad); path != nil {
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Closed: true, Path: path})
		}
	}
	return strokes
}

// Measures is its breadth beside a person.
func (p *Pool) Measures(s *parts.Site) []parts.Measure {
	z := p.settled(s)
	m := parts.Unlimited("breadth", "area", z.broad, s.FullSize(z.broad))
	m.Yardstick = s.Share(m.Full)
	return []parts.Measure{m}
}

// Sights is a look at its widest place.
func (p *Pool) Sights(l parts.Lookout) []parts.Sight {
	s := l.Site()
	z := p.settled(s)
	mouth, ok := p.mouth(s)
	if !ok {
		return nil
	}
	at, _ := planar.Widest(planar.Polygon(z.shore.Outline()), z.shore.Bounds(), 0.05*z.broad)
	if sight, ok := parts.SightOf(l, p, sdf.V(at.X, at.Y, mouth), z.below, math.Max(z.broad, l.Person()/2), z.broad/2); ok {
		return []parts.Sight{sight}
	}
	return nil
}

// Remedies of a pool.
func (p *Pool) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(p)
	switch {
	case t.Thin(), t.Hanging():
		r.To("stubs", "no reeds", 0)
		r.To("leaves", "no leaves", 0)
	case t.Of("bare") && p.Ripples < 1:
		r.To("ripples", "deeper ripples", 1.0)
	case t.Of("shallow-relief"):
		r.To("ripples", "deeper ripples, or none", 1.0, 0.0)
	case t.Of("stand", "rough-stand", "stand-level"):
		r.Words("area", "move the pool, or the stand")
	}
	return r.All
}
