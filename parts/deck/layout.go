package deck

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// layout is a deck worked out for its site, in mm on the print and above the datum.
type layout struct {
	thickness     float64 // of the slab
	top, soffit   float64 // heights of the slab, below the finishes laid on it
	foot          float64 // height that what carries it goes down to
	kerb, upstand float64 // of its edge

	// What carries it, on its own axes.
	pose        sdf.Pose  // from those axes to the plan
	half        r2.Vec    // half its sides
	side        float64   // of a pier, thickness of a wall
	piers       []r2.Vec  // their middles
	rows        []float64 // of piers, across
	walls       []float64 // middles of the walls along the longer side
	wallsAcross bool      // the longer side is the first

	notes parts.Notes
}

// settled is the deck's layout, worked out once for its site.
func (d *Deck) settled(s *parts.Site) *layout {
	return parts.Settled(s, d, func() *layout { return d.settle(s) })
}

// Notes say what is drawn otherwise than the scene gives it.
func (d *Deck) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

func (d *Deck) settle(s *parts.Site) *layout {
	z := &layout{notes: parts.Notes{Part: d.Name}}
	outline := d.Area.Outline()
	z.top = parts.StructureUnder(s, d.Level.Height, outline)
	z.thickness = z.notes.AtLeast("thickness", d.Thickness, s.Print.Wall, "wall")
	z.soffit = z.top - z.thickness
	// Into the ground, or where there is none, well below the slab.
	if ground, ok := s.LandUnder(outline); ok {
		z.foot = min(ground, z.soffit) - parts.Embed
	} else {
		z.notes.Add("on", "no ground lies under the deck: what carries it ends at the datum")
		z.foot = min(0, z.soffit) - parts.Embed
	}
	if d.On != "solid" {
		d.setOut(s, z)
	}
	switch d.Edge {
	case "kerb":
		z.kerb = z.notes.AtLeast("kerb", d.Kerb, s.Print.Wall, "wall")
		z.upstand = z.notes.AtLeast("upstand", d.Upstand, s.Print.Relief, "relief")
	case "nosing":
		z.kerb = z.notes.AtLeast("kerb", d.Kerb, s.Print.Relief, "relief")
	}
	return z
}

// setOut finds the places of the piers or walls that fit under the deck.
func (d *Deck) setOut(s *parts.Site, z *layout) {
	z.pose, z.half = d.frame()
	z.side = z.notes.AtLeast("pier", d.Pier, s.Print.Wall, "wall")
	if d.On == "piers" {
		z.side = z.notes.AtLeast("pier", z.side, s.Print.Pin, "pin")
	}
	us := stations(z.half.X-d.Inset-z.side/2, d.Spacing)
	vs := stations(z.half.Y-d.Inset-z.side/2, d.Spacing)
	floor := d.Area.Drawn()
	if d.On == "walls" {
		z.wallsAcross = z.half.X >= z.half.Y
		along := us
		if !z.wallsAcross {
			along = vs
		}
		for _, a := range along {
			if d.wallStands(z, floor, a) {
				z.walls = append(z.walls, a)
			}
		}
		if len(z.walls) == 0 {
			z.notes.Add("on", "no wall fits under the deck %.2f mm within its edge: it is drawn solid", d.Inset)
		}
		return
	}
	z.rows = vs
	for _, u := range us {
		for _, v := range vs {
			if planar.HoldsAll(floor, z.rectangle(u, v, z.side/2, z.side/2)) {
				z.piers = append(z.piers, r2.Vec{X: u, Y: v})
			}
		}
	}
	if len(z.piers) == 0 {
		z.notes.Add("on", "no pier of %.2f mm fits under the deck: it is drawn solid", z.side)
	}
}

// rectangle is one about a point of the deck's own axes, half its sides given, in the
// scene.
func (z *layout) rectangle(u, v, hu, hv float64) []r2.Vec {
	place := func(u, v float64) r2.Vec { return planar.OnPlan(z.pose.Apply(sdf.V(u, v, 0))) }
	return []r2.Vec{place(u-hu, v-hv), place(u+hu, v-hv), place(u+hu, v+hv), place(u-hu, v+hv)}
}

// frame is the deck's own rectangle: the pose that takes its centre and axes to
// the plan, and half its sides.
func (d *Deck) frame() (pose sdf.Pose, half r2.Vec) {
	turn := sdf.Turn(sdf.V(0, 0, 1), d.Area.Turn)
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range d.Area.Outline() {
		q := turn.Invert(sdf.V(p.X, p.Y, 0))
		lo = r2.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r2.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	mid := r2.Scale(0.5, r2.Add(lo, hi))
	return sdf.At(sdf.V(mid.X, mid.Y, 0)).Then(turn), r2.Scale(0.5, r2.Sub(hi, lo))
}

// wallStands says whether some of a cross wall at a station lies within the
// deck by more than the inset.
func (d *Deck) wallStands(z *layout, floor sdf.Shape, station float64) bool {
	for i := -16; i <= 16; i++ {
		t := float64(i) / 16
		q := sdf.V(station, t*z.half.Y, 0)
		if !z.wallsAcross {
			q = sdf.V(t*z.half.X, station, 0)
		}
		if floor.Distance(planar.OnPlan(z.pose.Apply(q))) < -d.Inset-0.2 {
			return true
		}
	}
	return false
}

// stations are places at equal spacing from -reach to reach, one in the middle
// where there is no room.
func stations(reach, spacing float64) []float64 {
	if reach <= 0 {
		return []float64{0}
	}
	n := planar.EqualBays(2*reach, spacing)
	at := make([]float64, n+1)
	for i := range at {
		at[i] = -reach + 2*reach*float64(i)/float64(n)
	}
	return at
}

// Carriers are its piers or walls.
func (d *Deck) Carriers(s *parts.Site) (under float64, carriers []parts.Extent) {
	z := d.settled(s)
	add := func(points ...r2.Vec) {
		e := parts.Extent{Key: "on", Wide: z.side / 2}
		for _, p := range points {
			q := z.pose.Apply(r3.Vec{X: p.X, Y: p.Y})
			e.Points = append(e.Points, r2.Vec{X: q.X, Y: q.Y})
		}
		carriers = append(carriers, e)
	}
	for _, p := range z.piers {
		add(p)
	}
	for _, a := range z.walls {
		if z.wallsAcross {
			add(r2.Vec{X: a, Y: -z.half.Y}, r2.Vec{X: a, Y: z.half.Y})
		} else {
			add(r2.Vec{X: -z.half.X, Y: a}, r2.Vec{X: z.half.X, Y: a})
		}
	}
	return z.soffit, carriers
}
