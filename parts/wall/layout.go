package wall

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Laid gives the breach in the wall that is nearest to the place and can take it, of
// another size and with other lumps. One that touches its own wall only stays in that.
func (b *Breach) Laid(s *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	laid := *b
	wall, along, least := (*Wall)(nil), 0.0, math.Inf(1)
	for _, w := range parts.AllOf[*Wall](s) {
		if slices.Contains(b.Spares, w.Name) || len(b.Only) > 0 && !slices.Contains(b.Only, w.Name) ||
			w.length() <= b.Width || w.height() < b.Sill+s.Print.Gap {
			continue
		}
		if on, off := planar.NearestAlong(w.Line, at); off < least {
			wall, along, least = w, on, off
		}
	}
	if wall == nil {
		return b, nil // which lies where it lay
	}
	if wall.Name != b.Wall {
		laid.Wall = wall.Name
		draw.Note("wall", wall.Name)
	}
	laid.Width = draw.SizeBelow("width", b.Width, 0.9*wall.length())
	half := laid.Width / 2
	laid.At = parts.Readable(along, half, wall.length()-half)
	draw.Note("at", laid.At)
	laid.Height = draw.SizeBelow("height", b.Height, wall.height()-b.Sill)
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

// Struck is points along the breach, on the line of its wall, and how far about them it
// cuts: through the wall's thickness, and a little more at a face that splits.
func (b *Breach) Struck(s *parts.Site) parts.Strike {
	z := b.settled(s)
	if !z.open {
		return parts.Strike{Level: &parts.Level{Height: math.Inf(-1)}, Built: true}
	}
	half, thick := z.width/2, z.masonry.thick
	const points = 9
	var middle []r2.Vec
	for i := range points {
		middle = append(middle, z.stretch(b.At-half+z.width*float64(i)/points, b.At+half)[0])
	}
	foot := z.wall.From
	foot.Height += z.low
	cut := math.Max(z.width/points, thick*(1+b.Roughness))
	return parts.Strike{Middle: middle, Cut: cut, Reach: math.Max(cut, z.strewn()), Level: &foot, Built: true}
}
