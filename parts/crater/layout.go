package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Laid gives the crater at another place, of another size and with other lumps.
func (c *Crater) Laid(_ *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	laid := *c
	laid.At = draw.Place("at", at)
	laid.Diameter = draw.Size("diameter", c.Diameter)
	if c.Depth != nil {
		depth := draw.Size("depth", *c.Depth)
		laid.Depth = &depth
	}
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

// Struck is the crater's middle and how far about it the lip, and all of it, reaches:
// cracks run out to two radii at the most, and the lip wanders.
func (c *Crater) Struck(*parts.Site) parts.Strike {
	const cracks = 2
	radius := c.Diameter / 2
	return parts.Strike{
		Middle: []r2.Vec{c.At},
		Cut:    radius * (1 + 0.12*c.Roughness),
		Reach:  radius * max(cracks, c.Blanket),
		Level:  c.Level,
	}
}

// Laid gives the gouge at another place, in another direction and of another size:
// its line is turned and stretched about its middle.
func (g *Gouge) Laid(_ *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	laid := *g
	own := g.points()
	box := planar.Bounds(own)
	middle := r2.Scale(0.5, r2.Add(box.Min, box.Max))
	turn := planar.Heading(360 * draw.Float64())
	factor := draw.Least + (draw.Most-draw.Least)*draw.Float64()
	moved := func(p r2.Vec) r2.Vec {
		d := r2.Scale(factor, r2.Sub(p, middle))
		return parts.ReadablePlace(r2.Add(at, r2.Vec{X: turn.X*d.X - turn.Y*d.Y, Y: turn.Y*d.X + turn.X*d.Y}))
	}
	if len(g.Line) > 0 {
		laid.Line = nil
		var value [][2]float64
		for _, p := range own {
			q := moved(p)
			laid.Line = append(laid.Line, q)
			value = append(value, [2]float64{q.X, q.Y})
		}
		draw.Note("line", value)
	} else {
		from, to := moved(own[0]), moved(own[1])
		laid.From, laid.To = &from, &to
		draw.Note("from", [2]float64{from.X, from.Y})
		draw.Note("to", [2]float64{to.X, to.Y})
	}
	laid.Width = draw.Size("width", g.Width)
	laid.Depth = draw.Size("depth", g.Depth)
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

// Struck is points along the gouge, no farther apart than half its width, and how far
// about them it reaches.
func (g *Gouge) Struck(*parts.Site) parts.Strike {
	const most = 400 // of one side
	var middle []r2.Vec
	points := g.points()
	for i, b := range points[1:] {
		a := points[i]
		n := max(1, min(most, int(math.Ceil(2*r2.Norm(r2.Sub(b, a))/g.Width))))
		for k := range n {
			middle = append(middle, r2.Add(a, r2.Scale(float64(k)/float64(n), r2.Sub(b, a))))
		}
	}
	middle = append(middle, points[len(points)-1])
	half := g.Width / 2
	cut := half*(1+0.2*g.Roughness) + g.Width/4
	return parts.Strike{
		Middle: middle,
		Cut:    cut,
		Reach:  max(cut, lipReach*half+g.Width/4) + 0.4*g.Width,
		Level:  g.Level,
	}
}
