package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Duckboards are slats on two runners.
type Duckboards struct {
	Line
	Width  float64 `key:"width" type:"length" doc:"length of a slat, across the line" default:"450 mm" min:"1" max:"100" source:"common practice, no source"`
	Slat   float64 `key:"slat" type:"length" doc:"width of a slat, along the line" default:"90 mm" min:"0.2" max:"50" source:"common practice, no source"`
	Gap    float64 `key:"gap" type:"length" doc:"between slats" default:"25 mm" min:"0" max:"50" source:"common practice, no source"`
	Height float64 `key:"height" type:"height" doc:"of the top of the slats over the floor" default:"75 mm" min:"0.2" max:"50" source:"common practice, no source"`
	Wear   float64 `key:"wear" type:"number" doc:"0 new .. 1: how many slats are missing, broken or loose" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "duckboards", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "Slats on two runners, laid along a line over soft ground.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[duckboards]]
line = [[8, 18], [30, 21], [56, 36]]
width = "650 mm"
wear = 0.6

[[reeds]]
at = [[25, 37], [33, 33], [45, 18]]
`,
		New: func() parts.Part { return &Duckboards{} },
	})
}

// duckSizes are those of duckboards as they are drawn, mm.
type duckSizes struct {
	wide, slat, gap, high float64
	thick                 float64 // of a slat
	runner                float64 // width of a runner
	notes                 parts.Notes
}

func (d *Duckboards) settled(s *parts.Site) *duckSizes {
	return parts.Settled(s, d, func() *duckSizes {
		z := &duckSizes{notes: parts.Notes{Part: d.Name}}
		const thick, runner = 25, 75 // full-size mm: common practice, no source
		z.wide = z.notes.AtLeast("width", d.Width, 3*s.Print.Wall, "duckboard, three walls")
		z.slat = z.notes.AtLeast("slat", d.Slat, 3*s.Print.Gap, "slat, three gaps")
		z.gap = z.notes.AtLeast("gap", d.Gap, s.Print.Gap, "gap")
		z.thick = math.Max(s.HeightOnPrint(thick), 1.3*s.Print.Relief)
		z.high = z.notes.AtLeast("height", d.Height, 1.6*z.thick, "duckboard, a slat on its runners")
		z.runner = math.Min(math.Max(s.OnPrint(runner), 0.8*s.Print.Wall), z.wide/4)
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (d *Duckboards) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

func (d *Duckboards) across(s *parts.Site) (wide, high float64) {
	z := d.settled(s)
	return z.wide, z.high
}

func (d *Duckboards) unit(s *parts.Site) (long float64, abreast int) {
	z := d.settled(s)
	return z.slat + z.gap, 1
}

func (d *Duckboards) bodies(s *parts.Site) (all []body) {
	z := d.settled(s)
	for _, g := range d.legs(s) {
		rng := s.Rand(d.Name, d.Seed+uint64(g.n), "slats")
		n := math.Max(1, math.Round(g.long/(z.slat+z.gap)))
		pitch := g.long / n
		for i := range int(n) {
			seed, fate, how := rng.Uint64(), rng.Float64(), [4]float64{rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()}
			from, to := pitch*float64(i), pitch*float64(i+1)
			solids := z.under(s, &g, from, to)
			if f := z.slatAt(s, seed, fate/math.Max(d.Wear, 1e-9), how, pitch*z.slat/(z.slat+z.gap)); f != nil {
				solids = append(solids, sdf.Place(f, sdf.At(sdf.V((from+to)/2, 0, 0))))
			}
			all = append(all, body{solid: sdf.Place(sdf.Union(solids...), g.pose), frame: g.pose,
				box: r3.Box{Min: sdf.V(from, -z.wide/2, g.foot), Max: sdf.V(to, z.wide/2, z.high)}})
		}
	}
	return all
}

// under is a stretch of the two runners, and of the mud between them, up to the slats.
func (z *duckSizes) under(s *parts.Site, g *leg, from, to float64) []sdf.Field {
	const lap = 0.02 // mm, of one stretch over the next
	out := z.wide/2 - math.Min(0.04*z.wide, s.Print.Gap)
	mud := sdf.BoxBetween(sdf.V(from-lap, -out+0.3*z.runner, g.foot), sdf.V(to+lap, out-0.3*z.runner, z.high-0.9*z.thick))
	solids := []sdf.Field{mud}
	for _, side := range [2]float64{-1, 1} {
		a, b := side*out, side*(out-z.runner)
		solids = append(solids, sdf.BoxBetween(sdf.V(from-lap, math.Min(a, b), g.foot), sdf.V(to+lap, math.Max(a, b), z.high-0.6*z.thick)))
	}
	return solids
}

// slatAt is a slat about x = 0: nil where it is missing. Its fate is below 1 where it is
// worn, and least where it is gone.
func (z *duckSizes) slatAt(s *parts.Site, seed uint64, fate float64, how [4]float64, wide float64) sdf.Field {
	const gone, broken = 0.25, 0.6
	if fate < gone {
		return nil
	}
	half := sdf.V(wide/2, z.wide/2, z.thick/2)
	grain := surface.Piece{Seed: seed, Half: r2.Vec{X: half.Y, Y: half.X}, Depth: 1.3 * s.Grain(), Most: 0.3 * z.thick}.Face(s, surface.Boards)
	board := relief.Carve(sdf.Box(r3.Scale(2, half), 0.12*z.thick), relief.Place(grain, sdf.Turn(sdf.V(0, 0, 1), 90)))
	loose := 1.0
	switch {
	case fate < broken: // an end is off, at a slant and in splinters
		side := 1.0
		if how[3] < 0.5 {
			side = -1
		}
		end := side * half.Y * (0.15 + 0.5*how[2])
		var teeth []r2.Vec
		for k := range 5 {
			teeth = append(teeth, r2.Vec{X: half.X * (float64(k)/2 - 1) * 1.1, Y: end + side*wide*(0.5*float64(k%2)+0.3*how[k%4])})
		}
		teeth = append(teeth, r2.Vec{X: 1.1 * half.X, Y: side * z.wide}, r2.Vec{X: -1.1 * half.X, Y: side * z.wide})
		board = sdf.Difference(board, sdf.Prism(teeth, -z.thick, z.thick))
	case fate < 1:
		loose = 3
	}
	lie := sdf.Turn(sdf.V(0, 0, 1), loose*1.5*(2*how[0]-1)).Then(sdf.At(sdf.V(0, 0, z.high-half.Z-0.18*z.thick*how[1])))
	return sdf.Place(board, lie)
}

// Breaks gives ends of slats.
func (d *Duckboards) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	z := d.settled(s)
	volume := d.fallen(patch, 0.7*z.wide*z.thick)
	if volume == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Boards, Unit: sdf.V(z.wide, z.slat, math.Max(z.thick, s.Print.Wall)), Volume: volume}}
}

// Remedies of duckboards.
func (d *Duckboards) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	z := d.settled(s)
	switch {
	case t.Thin(), t.Hanging():
		r.Scaled("wear", "less worn", d.Wear, 0.5, 0)
		r.Scaled("slat", "wider slats", z.slat, 1.3, 1.6)
	case t.Of("narrow-gap"):
		r.Scaled("gap", "wider gaps", z.gap, 1.3, 1.6)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the duckboards, or the stand")
	}
	return r.All
}
