package hanging

import (
	"math"

	"socle/out/inspect/raster"
)

// around gives the box about a core that has all that can matter to it within
// reach, in mm: it begins with a word, and is inside the raster.
func (c core) around(r *raster.Raster, reach float64) core {
	for d, side := range [3]float64{r.Pixel, r.Pixel, r.Layer} {
		by := 2 * int(math.Ceil(reach/side))
		c.lo[d], c.hi[d] = max(c.lo[d]-by, 0), min(c.hi[d]+by, r.Size[d])
	}
	c.lo[0] -= c.lo[0] % 64
	c.hi[0] = min((c.hi[0]+63)/64*64, r.Size[0])
	return c
}

// Bit is what one core grew back to.
type Bit struct {
	Lo, Hi [3]int // its box, hi not included
	pixels int
	exits  []int // the cores that its ways out lead to
}

// add adds what hangs on it, but not its ways out.
func (g *Bit) add(h Bit) {
	g.pixels += h.pixels
	for d := range 3 {
		g.Lo[d], g.Hi[d] = min(g.Lo[d], h.Lo[d]), max(g.Hi[d], h.Hi[d])
	}
}

// Volume is that of its pixels, mm3.
func (g Bit) Volume(r *raster.Raster) float64 {
	return float64(g.pixels) * r.Pixel * r.Pixel * r.Layer
}

// regrowBytes is what it takes to grow core n back.
func (c *Cores) regrowBytes(n int, solid *raster.Raster, reach float64) float64 {
	const windows = 8
	w := c.All[n].around(solid, reach)
	words := float64((w.hi[0]-w.lo[0]+63)/64) * float64(w.hi[1]-w.lo[1]) * float64(w.hi[2]-w.lo[2])
	return 8 * windows * words
}

// regrow grows all cores back into the solid at once, each pixel to the core
// that reaches it first, and measures what core n gets; a pixel that it reaches
// together with another core goes to that. One step goes to the neighbours in
// the layer, corners too, another up and down; as many of either as the reach,
// in mm, has pixels or layers. It forgets where it has been.
func (c *Cores) regrow(n int, solid *raster.Raster, reach float64, been *visits) Bit {
	across, up := int(math.Ceil(reach/solid.Pixel)), int(math.Ceil(reach/solid.Layer))
	box := c.All[n].around(solid, reach)
	into := raster.NewWindow(solid, box.lo, box.hi)
	into.CopyOf(solid)
	own, others := into.Same(), into.Same()
	others.CopyOf(c.eroded)
	for k := c.All[n].lo[2]; k < c.All[n].hi[2]; k++ {
		for j := c.All[n].lo[1]; j < c.All[n].hi[1]; j++ {
			for _, run := range c.row(k*solid.Size[1] + j) {
				if int(run.core) == n {
					raster.Fill(own.Row(j-into.Lo[1], k-into.Lo[2]), int(run.from)-into.Lo[0], int(run.to)-into.Lo[0])
				}
			}
		}
	}
	for at, word := range own.Bits {
		others.Bits[at] &^= word
	}

	ownNext, othersNext, room := into.Same(), into.Same(), into.Same()
	for a, b := 0, 0; a < across || b < up; {
		// The step that is due, or both.
		level := float64(a+1)*solid.Pixel <= float64(b+1)*solid.Layer*(1+1e-9)
		rise := float64(b+1)*solid.Layer <= float64(a+1)*solid.Pixel*(1+1e-9)
		own.Widen(ownNext, room, level, rise)
		others.Widen(othersNext, room, level, rise)
		for at, space := range into.Bits {
			mine, theirs := own.Bits[at], others.Bits[at]
			theirsNow := theirs | othersNext.Bits[at]&space&^mine
			own.Bits[at] = mine | ownNext.Bits[at]&space&^theirsNow
			others.Bits[at] = theirsNow
		}
		if level {
			a++
		}
		if rise {
			b++
		}
	}

	g := Bit{Lo: solid.Size, exits: c.exits(n, own, solid, been)}
	for k := range own.Size[2] {
		for j := range own.Size[1] {
			for a, b := range raster.Runs(own.Row(j, k), own.Size[0]) {
				g.pixels += b - a
				for d, span := range [3][2]int{{a, b}, {j, j + 1}, {k, k + 1}} {
					g.Lo[d], g.Hi[d] = min(g.Lo[d], span[0]+own.Lo[d]), max(g.Hi[d], span[1]+own.Lo[d])
				}
			}
		}
	}
	return g
}
