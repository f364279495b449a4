package fieldwork

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// The sides of a trench that it is fired from.
const (
	frontLeft  = "left"
	frontRight = "right"
)

// Trench is a cut into the ground along a line, with a firing step and banks of what was
// dug out beside it. The ground makes the cut (parts.Digger); its own solid is the banks.
type Trench struct {
	course.Line
	Width      float64 `key:"width" type:"length" doc:"of its floor, beside the firing step" default:"900 mm" min:"0.5" max:"500" source:"3 ft: manuals of field works of 1914 to 1918, from memory"`
	Depth      float64 `key:"depth" type:"height" doc:"of its floor below the ground's level; a base shows no more of it than it is thick, unless its lift raises it" default:"1.8 m" min:"0.3" max:"200" source:"6 ft: manuals of field works of 1914 to 1918, from memory"`
	Bank       float64 `key:"bank" type:"angle" doc:"slope of its sides against the horizontal; 90 is sheer" default:"75" min:"30" max:"90" source:"4 in 1 where earth is firm: common practice, no source"`
	Front      string  `key:"front" type:"word" plan:"flank" doc:"the side that it is fired from, as the line runs: firing step and parapet are there" default:"left" words:"left,right"`
	Step       float64 `key:"step" type:"length" doc:"width of the firing step; 0: none" default:"450 mm" min:"0" max:"200" source:"18 in: manuals of field works of 1914 to 1918, from memory"`
	StepHeight float64 `key:"step-height" type:"height" doc:"of the firing step over the floor" default:"700 mm" min:"0.1" max:"100" source:"leaves 4 ft 6 in to the top of the parapet: manuals of field works of 1914 to 1918, from memory"`
	Parapet    float64 `key:"parapet" type:"height" doc:"of the bank before it over the ground; 0: none" default:"300 mm" min:"0" max:"100" source:"1 ft: common practice, no source"`
	Parados    float64 `key:"parados" type:"height" doc:"of the bank behind it over the ground; 0: none" default:"0" min:"0" max:"100"`
	Thick      float64 `key:"thick" type:"length" doc:"of the banks at their foot" default:"1 m" min:"0.5" max:"300" source:"3 ft and more stop bullets: manuals of field works of 1914 to 1918, from memory"`
	Of         *string `key:"of" type:"word" doc:"what its floor, its sides and its banks are made of; left out, what the ground is, and earth for the banks" words:"earth,gravel,ballast,mud,sand,cinders,rock,plain"`
	Fallen     float64 `key:"fallen" type:"number" doc:"0 cut clean .. 1 clods and stones all along its sides: what sticks out of them, and what came down" default:"0.6" min:"0" max:"1"`
	Seed       uint64  `key:"seed" type:"seed" doc:"picks the relief of its banks and what has fallen" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "trench", Stage: parts.Structure, Group: "Fieldworks",
		Doc: "A trench dug into the ground along a line, with a firing step and banks. What stands on floors stands on its floor.",
		Example: `
[[trench]]
line = [[-8, 13], [24, 16], [40, 27], [72, 30]]
depth = "150 mm"
width = "420 mm"
step = "180 mm"
step-height = "80 mm"
parapet = "480 mm"
parados = "110 mm"
thick = "900 mm"

[[duckboards]]
line = [[12, 14.9], [24, 16], [40, 27], [50, 28]]
width = "330 mm"

[[revetment]]
line = [[21.8, 22.1], [37.8, 33.1]]
height = "520 mm"
lean = 14
`,
		New: func() parts.Part { return &Trench{} },
	})
}

// trenchSizes are those of a trench as it is dug, mm.
type trenchSizes struct {
	half, depth float64    // half the width of its floor
	step, rise  float64    // the firing step's width and height, 0 for none
	run         float64    // how far its sides lean out for each mm up
	bank        [2]float64 // heights of the banks before and behind it
	thick       float64    // of a bank at its foot
	notes       parts.Notes
}

const (
	heaped = 40   // slope of a bank, degrees: loose earth stands at 30 to 45 (civil engineering notes)
	fall   = 1.19 // how far it goes out for each mm down: the cotangent of that
	turns  = 90.0 // that a line may make at a corner at most, degrees
)

func (t *Trench) settled(s *parts.Site) *trenchSizes {
	return parts.Settled(s, t, func() *trenchSizes {
		z := &trenchSizes{notes: parts.Notes{Part: t.Name}, depth: t.Depth}
		z.half = z.notes.AtLeast("width", t.Width, 3*s.Print.Gap, "trench, three gaps") / 2
		sin, cos := planar.SinCos(t.Bank)
		z.run = cos / sin
		if t.Step > 0 {
			z.step = z.notes.AtLeast("step", t.Step, s.Print.Wall, "step, a wall")
			z.rise = z.notes.AtLeast("step-height", t.StepHeight, 2*s.Print.Relief, "step, twice the relief")
		}
		z.thick = t.Thick
		for i, h := range [2]float64{t.Parapet, t.Parados} {
			if h == 0 {
				continue
			}
			key := [2]string{"parapet", "parados"}[i]
			z.bank[i] = z.notes.AtLeast(key, h, 2*s.Print.Relief, "bank, twice the relief")
			z.thick = z.notes.AtLeast("thick", z.thick, z.bank[i]*(fall+z.run)+s.Print.Wall, "thickness of a bank of its height")
		}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (t *Trench) Notes(s *parts.Site) []parts.Note { return t.settled(s).notes.List }

// strip is what lies between two distances to the front of the line, its ends so far beyond
// those of the line.
func (t *Trench) strip(front, back, ends float64) *parts.Area {
	n := len(t.Points)
	line := append([]r2.Vec(nil), t.Points...)
	line[0] = r2.Sub(line[0], r2.Scale(ends, r2.Unit(r2.Sub(line[1], line[0]))))
	line[n-1] = r2.Add(line[n-1], r2.Scale(ends, r2.Unit(r2.Sub(line[n-1], line[n-2]))))
	if t.Front == frontRight {
		front, back = back, front
	}
	return &parts.Area{Polygon: planar.Strip(line, front, back)}
}

// mouth is its outline at the level of the ground.
func (t *Trench) mouth(z *trenchSizes) *parts.Area {
	out := z.half + z.depth*z.run
	return t.strip(out+z.step, out, z.depth*z.run)
}

// banks are the outlines of the banks at their feet, from the mouth on; nil for none.
func (t *Trench) banks(z *trenchSizes) (all [2]*parts.Area) {
	edge := z.half + z.depth*z.run
	if z.bank[0] > 0 {
		all[0] = t.strip(edge+z.step+z.thick, -edge-z.step, 0)
	}
	if z.bank[1] > 0 {
		all[1] = t.strip(-edge, edge+z.thick, 0)
	}
	return all
}

// heaps are the banks before the trench is cut through them: the whole band between their
// outer feet, and the half of it that is theirs. nil where there is none.
func (t *Trench) heaps(z *trenchSizes) (whole, half [2]*parts.Area) {
	edge := z.half + z.depth*z.run + z.thick
	if z.bank[0] > 0 {
		whole[0], half[0] = t.strip(edge+z.step, edge+z.step, 0), t.strip(edge+z.step, 0, 0)
	}
	if z.bank[1] > 0 {
		whole[1], half[1] = t.strip(edge, edge, 0), t.strip(0, edge, 0)
	}
	return whole, half
}

// Digs is the trench down to its firing step, and from there to its floor.
func (t *Trench) Digs(s *parts.Site, plot float64, _ func(r2.Vec) float64) []parts.Dug {
	if len(t.Check(s)) > 0 {
		return nil
	}
	z := t.settled(s)
	of := ""
	if t.Of != nil {
		of = *t.Of
	}
	dug := parts.Dug{Words: "the trench", Area: t.mouth(z), Mouth: plot, Level: plot - z.depth, Bank: t.Bank, Of: of, Beside: of, Spaded: of != surface.Plain}
	if z.step == 0 {
		return []parts.Dug{dug}
	}
	dug.Level += z.rise
	deep := dug
	out := z.half + z.rise*z.run
	deep.Area, deep.Mouth, deep.Level = t.strip(out, out, z.rise*z.run), dug.Level, plot-z.depth
	return []parts.Dug{dug, deep}
}

// Check reports lines that are none, that turn too sharply or run too close to themselves,
// and a step as high as the trench is deep.
func (t *Trench) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: t.Name, Key: key, Text: text, Allowed: allowed}}
	}
	if faults := t.Line.Check(s); len(faults) > 0 {
		return faults
	}
	const most = 200
	if n := len(t.Points); n > most {
		return t.Fault(fmt.Sprintf("has %d points", n), fmt.Sprintf("at most %d", most))
	}
	for i := 2; i < len(t.Points); i++ {
		at := planar.RaiseLine(t.Points[i-2:i+1], 0)
		if turn := math.Abs(turnOf(planar.Leg{A: at[0], B: at[1]}, planar.Leg{A: at[1], B: at[2]})) * 180 / math.Pi; turn > turns+1e-6 {
			return t.Fault(fmt.Sprintf("turns by %.0f degrees at point %d", turn, i), fmt.Sprintf("at most %g degrees", turns))
		}
	}
	if n := t.clodsAlong(s); n > mostPieces {
		return t.Fault(fmt.Sprintf("is so long that %.0f clods lie along it", n), fmt.Sprintf("at most %d: a shorter line", mostPieces))
	}
	z := t.settled(s)
	if z.step > 0 && z.rise > z.depth-2*s.Print.Relief {
		return fault("step-height", fmt.Sprintf("%.2f mm is not lower than the trench is deep, %.2f mm", z.rise, z.depth),
			fmt.Sprintf("at most %.2f mm, or step = 0", z.depth-2*s.Print.Relief))
	}
	out := z.half + z.rise*z.run
	outlines := []*parts.Area{t.mouth(z), t.strip(out, out, z.rise*z.run)}
	banks := t.banks(z)
	whole, half := t.heaps(z)
	outlines = append(append(append(outlines, banks[:]...), whole[:]...), half[:]...)
	for _, a := range outlines {
		if a != nil && len(a.Check(t.Name, course.Key)) > 0 {
			return t.Fault("the sides of the trench or of its banks run into each other",
				"longer legs, wider turns, or a narrower trench with thinner banks")
		}
	}
	return nil
}

// CheckPlace reports a trench where there is no ground to dig, and one through a raised
// terrace.
func (t *Trench) CheckPlace(s *parts.Site) []parts.Fault {
	fault := func(text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: t.Name, Key: course.Key, Text: text, Allowed: allowed}}
	}
	land := s.Land()
	if land == nil {
		return fault("there is no ground to dig it into", "a scene with a ground")
	}
	outline := t.mouth(t.settled(s)).Outline()
	for i := range land.Raised {
		if planar.OutlinesMeet(outline, land.Raised[i].Area.Outline()) {
			return fault("runs into a raised terrace of the ground", "a line beside it: trenches are dug from the ground's own level")
		}
	}
	return nil
}

// Pieces counts its banks and its clods.
func (t *Trench) Pieces(s *parts.Site) int {
	const lines = 16 // that clods lie on
	return 2*len(t.Points) + int(t.clodsAlong(s))*lines
}

// clodsAlong is how many clods may lie on a line along it.
func (t *Trench) clodsAlong(s *parts.Site) float64 { return t.Length() / clodPitch(s) }

// Solid is its banks.
func (t *Trench) Solid(s *parts.Site) sdf.Field {
	land := s.Land()
	if land == nil {
		return sdf.Nothing()
	}
	z := t.settled(s)
	rng := s.Rand(t.Name, t.Seed, "banks")
	of := "earth"
	if t.Of != nil {
		of = *t.Of
	}
	plot := land.Plot.Level.Height
	mouth := t.mouth(z)
	steep, lean := planar.SinCos(t.Bank)
	cut := &planar.Bank{Shape: mouth.Shape(), Box: mouth.Bounds(), At: plot, Lo: plot - z.depth,
		Hi: plot + math.Max(z.bank[0], z.bank[1]) + 1, Sin: steep, Cos: -lean}
	var all []sdf.Field
	whole, half := t.heaps(z)
	for i, a := range t.banks(z) {
		skin, lumps, waves := relief.Relief(nil), surface.Soil(s, of, rng.Uint64()), rng.Uint64()
		if of != surface.Plain {
			skin = surface.Spaded(s, rng.Uint64())
		}
		if a == nil {
			continue
		}
		sin, cos := planar.SinCos(heaped)
		foot := plot - land.Plot.Dip - parts.Embed
		if low, ok := s.LandUnder(a.Outline()); ok {
			foot = math.Min(foot, math.Max(low, plot-z.depth)-parts.Embed)
		}
		high := plot + z.bank[i]
		mound := &planar.Bank{Shape: whole[i].Shape(), Box: whole[i].Bounds(), At: plot, Lo: foot, Hi: high + 1, Sin: sin, Cos: cos}
		sides := sdf.Intersection(mound, half[i].Prism(foot-1, high+2))
		crest := relief.Sum(relief.NewFacets(waves, math.Max(3, 2*z.bank[i]), 0.25*z.bank[i], 0.1), lumps)
		top := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), high), crest)
		all = append(all, sdf.Intersection(relief.Carve(sdf.Difference(sides, cut), skin), top))
	}
	return sdf.Union(append(all, t.clods(s, z, plot)...)...)
}

// row is a line along the trench that clods lie on: so far beside it, at a height over its
// floor, and on a slope.
type row struct {
	beside, up float64
	slope      float64 // degrees, up and away from the line; 0 on a floor
	stray      float64 // how far up and down that they lie about it, mm
}

// rows are the feet of its sides, and lines up them and up the banks.
func (t *Trench) rows(z *trenchSizes) (all []row) {
	for i, way := range [2]float64{1, -1} {
		step, rise := 0.0, 0.0
		if way > 0 && z.step > 0 {
			step, rise = z.step, z.rise
			all = append(all, row{way * z.half, 0, 0, 0}, row{way * (z.half + 0.5*rise*z.run), 0.5 * rise, t.Bank, 0.2 * rise})
		}
		foot := way * (z.half + step + rise*z.run)
		all = append(all, row{foot, rise, 0, 0})
		for _, up := range [3]float64{0.25, 0.5, 0.78} {
			h := up * (z.depth - rise)
			all = append(all, row{foot + way*h*z.run, rise + h, t.Bank, 0.12 * (z.depth - rise)})
		}
		if h := z.bank[i]; h > 0 {
			mouth := z.half + z.depth*z.run + step
			all = append(all, row{way * (mouth + 0.4*h*z.run), z.depth + 0.4*h, t.Bank, 0.3 * h})
			for _, up := range [2]float64{0.2, 0.6} {
				all = append(all, row{way * (mouth + z.thick - up*h*fall), z.depth + up*h, -heaped, 0.2 * h})
			}
		}
	}
	return all
}

// clodPitch is how far apart clods lie, about, mm.
func clodPitch(s *parts.Site) float64 { return math.Max(s.OnPrint(130), 1.6*s.Print.Wall) }

// clods are what sticks out of the sides, and what has come down to their feet.
func (t *Trench) clods(s *parts.Site, z *trenchSizes, plot float64) (all []sdf.Field) {
	if t.Fallen == 0 {
		return nil
	}
	front := 1.0
	if t.Front == frontRight {
		front = -1
	}
	pitch := clodPitch(s)
	rng := s.Rand(t.Name, t.Seed, "clods")
	rough := 0.5 * surface.Spaded(s, 0).Depth()
	lines := t.rows(z)
	legs := t.Legs(plot - z.depth)
	for i, leg := range legs {
		long := leg.To - leg.From
		pose := course.Frame(leg)
		// A line to the left of a corner to the left is so much shorter for each mm beside it.
		var short [2]float64
		if i > 0 {
			short[0] = math.Tan(turnOf(legs[i-1], leg) / 2)
		}
		if i < len(legs)-1 {
			short[1] = math.Tan(turnOf(leg, legs[i+1]) / 2)
		}
		for _, r := range lines {
			beside := front * r.beside
			from, to := beside*short[0], long-beside*short[1]
			for k := range int((to - from) / pitch) {
				size := pitch * (0.22 + 0.33*rng.Float64()*rng.Float64())
				x := from + pitch*(float64(k)+rng.Float64())
				stays, turn, seed, stray := rng.Float64() < 0.8*t.Fallen, 360*rng.Float64(), rng.Uint64(), r.stray*(2*rng.Float64()-1)
				if !stays || x < from+size || x > to-size {
					continue
				}
				// Its middle lies a little within the face, below its relief.
				sin, cos := planar.SinCos(r.slope)
				out, deep := math.Copysign(1, beside), 0.2*size+rough
				in := sdf.V(x, beside+out*(cos*stray+sin*deep), r.up+sin*stray-cos*deep)
				all = append(all, sdf.Place(clod(seed, size), sdf.Turn(sdf.V(0, 0, 1), turn).Then(sdf.At(in)).Then(pose)))
			}
		}
	}
	return all
}

// turnOf is how far the line turns from one side to the next, radians to the left.
func turnOf(a, b planar.Leg) float64 {
	u, v := planar.OnPlan(r3.Sub(a.B, a.A)), planar.OnPlan(r3.Sub(b.B, b.A))
	return math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
}

// clod is a lump of earth or a stone of a radius, mm, about the origin, with flat faces; its
// underside falls in at 45 degrees, so that it begins on what it lies in.
func clod(seed uint64, size float64) sdf.Field {
	const faces = 11
	planes := []convex.Plane{{N: sdf.V(0, 0, -1), D: 0.5 * size}}
	for i := range faces {
		z := -0.7 + 1.65*(float64(i)+chance(seed, int64(i)))/faces
		flat := math.Sqrt(math.Max(0, 1-z*z))
		sin, cos := math.Sincos(2 * math.Pi * (0.382*float64(i) + 0.1*chance(seed, int64(20+i))))
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(flat*cos, flat*sin, z)), D: size * (0.7 + 0.3*chance(seed, int64(40+i)))})
	}
	if c := convex.New(planes); c != nil {
		return c
	}
	return sdf.Nothing()
}

// Extents are what it and its banks cover.
func (t *Trench) Extents(s *parts.Site) []parts.Extent {
	z := t.settled(s)
	all := []parts.Extent{{Key: course.Key, Points: t.mouth(z).Outline(), Closed: true, OnLand: true}}
	for _, b := range t.banks(z) {
		if b != nil {
			all = append(all, parts.Extent{Key: course.Key, Points: b.Outline(), Closed: true, OnLand: true})
		}
	}
	return all
}

// Plan is its banks, and the edge of its firing step; the ground draws the rest.
func (t *Trench) Plan(s *parts.Site) (strokes []parts.Stroke) {
	z := t.settled(s)
	for i, b := range t.banks(z) {
		if b == nil {
			continue
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Closed: true, Covers: true, Path: b.Path()})
		if top := b.Parallel(0.5 * z.bank[i] * (fall + z.run)); top != nil {
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Closed: true, Path: top})
		}
	}
	return strokes
}

// Breaks gives clods of its banks.
func (t *Trench) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	z := t.settled(s)
	const kept = 0.2 // of broken earth, in clods: common practice, no source
	volume := 0.0
	for i, b := range t.banks(z) {
		if b == nil {
			continue
		}
		run := patch.Run(t.Points, z.half+z.depth*z.run+z.step+z.thick)
		if patch.Whole {
			run = 1
		}
		volume += kept * run * z.bank[i] * (z.thick - 0.5*z.bank[i]*(fall+z.run))
	}
	if volume <= 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Clods, Volume: volume}}
}

// Measures are its depth beside a person, and how high the parapet is over the firing step.
func (t *Trench) Measures(s *parts.Site) []parts.Measure {
	z := t.settled(s)
	all := parts.TallBeside(s, "depth", "depth", z.depth)
	if z.step == 0 {
		return all
	}
	high := z.depth - z.rise + z.bank[0]
	m := parts.Unlimited("cover over the firing step", "step-height", high, s.FullHeight(high))
	m.Yardstick = s.Beside(m.Full)
	m.Least, m.Most, m.Law, m.Check = 1220, 1450, "field works", "unit"
	m.Why = "a man on the step fires over the parapet"
	m.Source = "4 ft 6 in, 4 ft to 4 ft 9 in: manuals of field works of 1914 to 1918, from memory"
	return append(all, m)
}

// Sights is a look along it from over its middle.
func (t *Trench) Sights(l parts.Lookout) []parts.Sight {
	s, pose := l.Site(), l.Pose()
	z := t.settled(s)
	land := s.Land()
	if land == nil {
		return nil
	}
	floor := land.Plot.Level.Height - z.depth
	legs := t.Legs(floor)
	for _, leg := range legs {
		q := pose.Invert(leg.At((leg.From + leg.To) / 2))
		if l.Top(planar.OnPlan(q)) > 0 {
			continue
		}
		half := math.Max(1.5*l.Person(), z.half+z.step+z.depth)
		sight := parts.Sight{Kind: "trench", Part: t, Name: "trench-" + t.Name,
			Box:  l.Framed(parts.About(planar.OnPlan(q), half, q.Z-1, q.Z+z.depth+z.bank[0]+1)),
			From: parts.FrontOn}
		sight.Figure = l.Standing(planar.OnPlan(q), q.Z, false)
		return []parts.Sight{sight}
	}
	return nil
}

// Remedies of a trench.
func (t *Trench) Remedies(s *parts.Site, trouble parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(t)
	z := t.settled(s)
	switch {
	case trouble.Thin():
		r.Scaled("thick", "thicker banks", z.thick, 1.3, 1.6)
	case trouble.Of("narrow-gap"):
		r.Scaled("width", "a wider trench", 2*z.half, 1.3, 1.6)
	case trouble.Hanging():
		r.Scaled("bank", "flatter sides", t.Bank, 0.85, 0.7)
	case trouble.Of("stand", "rough-stand", "stand-level"):
		r.Words("line", "move the trench, or the stand")
	}
	return r.All
}
