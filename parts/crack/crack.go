package crack

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Crack is a split in floors along a jagged line, with branches.
type Crack struct {
	parts.Named
	Line      []r2.Vec     `key:"line" type:"points" doc:"where it runs, two points or more; between them it is jagged" required:"yes"`
	Level     *parts.Level `key:"level" type:"level" doc:"the surface that is split; left out, the highest finished level under its first point"`
	Width     float64      `key:"width" type:"length" doc:"across it at the surface, at its start" default:"30 mm" min:"0.1" max:"50" source:"common practice, no source"`
	Depth     float64      `key:"depth" type:"height" doc:"of its bottom below the level" default:"60 mm" min:"0.1" max:"100" source:"common practice, no source"`
	Branches  int          `key:"branches" type:"count" doc:"how many branches run off it" default:"2" min:"0" max:"20"`
	Roughness float64      `key:"roughness" type:"number" doc:"0 straight .. 1 wild: how far it strays from its line" default:"0.5" min:"0" max:"1"`
	Seed      uint64       `key:"seed" type:"seed" doc:"picks how it runs" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "crack", Stage: parts.Damaging,
		Doc: "A crack that runs on through stones, boards and ground at a level, narrower towards its end, with branches.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["700 mm", "450 mm"]
wear = 0.6

[[crack]]
line = [[6, 16], [24, 22], [36, 21], [58, 33]]
width = "170 mm"
depth = "160 mm"
branches = 5
roughness = 0.8
seed = 2
`,
		New: func() parts.Part { return &Crack{} },
	})
}

// crackSizes are a crack as it is drawn, mm.
type crackSizes struct {
	found        bool // false where the scene gives no level and nothing lies there
	level        float64
	width, depth float64
	runs         []run // the first is the crack itself
	notes        parts.Notes
}

// run is one jagged line, with its width at each corner.
type run struct {
	at    []r2.Vec
	width []float64
}

// settled is for a crack that has a line.
func (c *Crack) settled(s *parts.Site) *crackSizes {
	return parts.Settled(s, c, func() *crackSizes {
		z := &crackSizes{notes: parts.Notes{Part: c.Name}}
		if c.Level != nil {
			z.level, z.found = c.Level.Height, true
		} else {
			z.level, z.found = s.LevelAt(c.Line[0])
		}
		z.width = z.notes.AtLeast("width", c.Width, 1.3*s.Print.Gap, "gap that stays open")
		z.depth = z.notes.AtLeast("depth", c.Depth, s.Print.Relief, "relief")
		z.runs = c.lay(s, z.width)
		return z
	})
}

// mostCorners bounds the corners of one line.
const mostCorners = 200

// lay draws the crack and its branches. Each turns aside every few widths; a branch leaves at
// 25 to 65 degrees and is a third to two thirds as long as what is left of the crack. Common
// practice, no source.
func (c *Crack) lay(s *parts.Site, width float64) []run {
	rng := s.Rand(c.Name, c.Seed, "crack")
	main := c.jagged(rng, c.Line, width, width)
	runs := []run{main}
	for range c.Branches {
		i := 1 + rng.IntN(max(1, len(main.at)-2))
		share, turn, side := 1/3.0+rng.Float64()/3, 25+40*rng.Float64(), 2*float64(rng.IntN(2))-1
		if i+1 >= len(main.at) {
			continue
		}
		a, b := main.at[i], main.at[i+1]
		left := 0.0
		for k := i; k+1 < len(main.at); k++ {
			left += r2.Norm(r2.Sub(main.at[k+1], main.at[k]))
		}
		long := share * left
		if long < 3*width {
			continue
		}
		heading := math.Atan2(b.Y-a.Y, b.X-a.X)*180/math.Pi + side*turn
		end := r2.Add(a, r2.Scale(long, planar.Heading(heading)))
		runs = append(runs, c.jagged(rng, []r2.Vec{a, end}, 0.8*main.width[i], width))
	}
	return runs
}

// jagged breaks a line up in short sides that stray from it, and narrows it towards its end.
func (c *Crack) jagged(rng *rand.Rand, line []r2.Vec, wide, width float64) run {
	step := 3.5 * width
	var out run
	for i, b := range line[1:] {
		a := line[i]
		side := r2.Sub(b, a)
		long := r2.Norm(side)
		n := max(1, min(mostCorners/len(line), int(long/step)))
		across := planar.LeftNormal(a, b)
		for k := range n {
			at := r2.Add(a, r2.Scale(float64(k)/float64(n), side))
			if stray := (2*rng.Float64() - 1) * c.Roughness * 0.45 * math.Min(step, long/float64(n)); k > 0 {
				at = r2.Add(at, r2.Scale(stray, across))
			}
			out.at = append(out.at, at)
		}
	}
	out.at = append(out.at, line[len(line)-1])
	for i := range out.at {
		out.width = append(out.width, wide*(1-0.6*float64(i)/float64(len(out.at)-1)))
	}
	return out
}

// Notes are what is drawn otherwise than the scene gives it.
func (c *Crack) Notes(s *parts.Site) []parts.Note { return c.settled(s).notes.List }

// Pieces counts the sides of its lines.
func (c *Crack) Pieces(*parts.Site) int { return mostCorners / 4 * (1 + c.Branches) }

// Check reports a line that is none and a surface that is not there.
func (c *Crack) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: c.Name, Key: key, Text: text, Allowed: allowed}}
	}
	if len(c.Line) < 2 {
		return fault("line", "has one point", "two points or more")
	}
	if faults := parts.LineFaults(c.Name, "line", c.Line); faults != nil {
		return faults
	}
	if !c.settled(s).found {
		return fault("line", fmt.Sprintf("there is nothing to split at (%.2f, %.2f) mm", c.Line[0].X, c.Line[0].Y),
			"a first point on the ground, a deck or a finish, or a level of its own")
	}
	return nil
}

// Throw is nothing: a crack throws nothing out.
func (c *Crack) Throw(*parts.Site) sdf.Field { return nil }

// proud is how far above its level a crack still splits what stands out of it, mm.
const proud = 0.8

// Cut is a V along each side of its lines, and a slit above them.
func (c *Crack) Cut(s *parts.Site) sdf.Field {
	z := c.settled(s)
	var all []sdf.Field
	for _, r := range z.runs {
		for i, b := range r.at[1:] {
			a := r.at[i]
			side := r2.Sub(b, a)
			long, half := r2.Norm(side), (r.width[i]+r.width[i+1])/4
			deep := z.depth * (0.5 + 0.5*half*2/z.width)
			section := []r2.Vec{{Y: -deep}, {X: half}, {X: half, Y: proud}, {X: -half, Y: proud}, {X: -half}}
			pose := sdf.At(sdf.V(0, 0, -half/2)).Then(sdf.Turn(sdf.V(1, 0, 0), 90)).
				Then(sdf.Turn(sdf.V(0, 0, 1), math.Atan2(side.Y, side.X)*180/math.Pi+90)).Then(sdf.At(sdf.V(a.X, a.Y, z.level)))
			all = append(all, sdf.Place(sdf.Prism(section, 0, long+half), pose))
		}
	}
	return sdf.Union(all...)
}

// Extents are its line.
func (c *Crack) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "line", Points: c.Line, Wide: c.Width / 2}}
}

// Plan is the crack with its branches.
func (c *Crack) Plan(s *parts.Site) (strokes []parts.Stroke) {
	for _, r := range c.settled(s).runs {
		strokes = append(strokes, parts.Stroke{Line: parts.LineScar, Path: planar.Straight(r.at...)})
	}
	return strokes
}

// Remedies of a crack.
func (c *Crack) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(c)
	switch {
	case t.Thin() || t.Hanging() || t.Of("narrow-gap"):
		r.Seeds(c.Seed)
		r.Scaled("width", "a wider or narrower crack", c.Width, 1.25, 0.8)
		if c.Branches > 0 {
			r.To("branches", "fewer branches", c.Branches/2, 0)
		}
	case t.Of("shallow-relief"):
		r.Scaled("depth", "a deeper crack", c.Depth, 1.25, 1.6)
	case t.Of("uneven-foot", "skin"):
		r.Scaled("depth", "less depth", c.Depth, 0.8, 0.6)
	case t.Of("stand", "rough-stand", "uneven-risers"):
		r.Spare(t, c.Only, c.Spares)
	}
	return r.All
}
