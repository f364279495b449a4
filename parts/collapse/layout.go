package collapse

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Laid gives the collapse of the wall that is nearest to the place and can come down as far,
// of a stretch of another length about it, to a stump of another height. A floor comes down
// where it did.
func (c *Collapse) Laid(s *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	z := c.settled(s)
	if !z.open || z.floor != nil {
		return c, nil
	}
	w, u, along := s.WallNear(at, func(w parts.Walled, u *parts.Upright) bool {
		return !slices.Contains(c.Spares, w.Label()) && (len(c.Only) == 0 || slices.Contains(c.Only, w.Label())) && u.High-s.Print.Wall >= c.Stump
	})
	if w == nil {
		return c, nil
	}
	laid := *c
	if laid.Of = w.Label(); laid.Of != c.Of {
		draw.Note("of", laid.Of)
	}
	if c.From != nil || c.To != nil {
		long := planar.LengthOf(u.Line)
		run := math.Min(long, (z.to-z.from)*(draw.Least+(draw.Most-draw.Least)*draw.Float64()))
		lo := parts.Readable(along-run/2, 0, long-run)
		hi := parts.Readable(lo+run, lo, long)
		laid.From, laid.To = &lo, &hi
		draw.Note("from", lo)
		draw.Note("to", hi)
	}
	laid.Stump = draw.SizeBelow("stump", c.Stump, u.High-s.Print.Wall)
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

// Struck is points along the stretch of the wall, or over the floor, and how far about them
// work comes down.
func (c *Collapse) Struck(s *parts.Site) parts.Strike {
	z := c.settled(s)
	strike := parts.Strike{Level: &parts.Level{Height: math.Inf(-1)}, Built: true}
	if !z.open {
		return strike
	}
	const points = 9
	if z.floor != nil {
		box := c.Area.Bounds()
		step := r2.Scale(1./points, r2.Sub(box.Max, box.Min))
		for i := range points * points {
			q := r2.Add(box.Min, r2.Vec{X: step.X * (float64(i%points) + 0.5), Y: step.Y * (float64(i/points) + 0.5)})
			if c.Area.Contains(q) {
				strike.Middle = append(strike.Middle, q)
			}
		}
		strike.Level = &z.floor.Level
		strike.Cut = planar.Norm2(step)
		strike.Reach = strike.Cut
		return strike
	}
	run := (z.to - z.from) / points
	for i := range points + 1 {
		strike.Middle = append(strike.Middle, z.line(z.from+run*float64(i), z.to)[0])
	}
	_, radius := c.Strewn(s)
	strike.Level = &parts.Level{Height: z.wall.Foot + z.least}
	strike.Cut = math.Max(run, z.wall.Thick/2+past)
	strike.Reach = math.Max(strike.Cut, radius)
	return strike
}
