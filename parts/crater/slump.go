package crater

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/convex"
)

// A panel of floor beside a crater. Shares of its radius; common practice, no source.
const (
	panelLong    = 1.1  // towards the middle, at a slump of 1
	panelWide    = 1.4  // along the lip, at a slump of 1
	panelThick   = 0.12 // of ground
	panelThrough = 0.4  // of a floor with room beneath, at most
	steepPanel   = 62.0 // degrees that it leans at most
	panelWays    = 24   // bearings that are tried
)

// panel is a place for one.
type panel struct {
	hinge        r2.Vec // on the edge of the hole, in the middle of the panel
	out          r2.Vec // away from the crater's middle
	level, thick float64
	long, wide   float64
	hung         bool // from a floor with room beneath
}

// Slump is a panel of floor that has broken off at the lip and leans into the bowl on its
// hinge, with what is laid on it; nil where none is wanted or there is no floor for it.
func (c *Crater) Slump(s *parts.Site, floors, left sdf.Field) sdf.Field {
	z := c.settled(s)
	long, wide := panelLong*c.Fall*z.radius, panelWide*math.Sqrt(c.Fall)*z.radius
	if least := max(3*s.Print.Wall, 3); 0.6*long < least || 0.6*wide < least {
		return nil
	}
	rng := s.Rand(c.Name, c.Seed, "slump")
	first := rng.IntN(panelWays)
	for _, level := range c.levels(s, z) {
		var lips [panelWays]lipSpot
		var far [panelWays]float64
		for i := range panelWays {
			sin, cos := math.Sincos(2 * math.Pi * float64(first+i) / panelWays)
			lips[i].out = r2.Vec{X: cos, Y: sin}
			far[i] = c.edge(z, lips[i].out, level, left)
			lips[i].at = r2.Add(c.At, r2.Scale(far[i], lips[i].out))
		}
		for _, share := range [3]float64{1, 0.8, 0.6} { // the largest that there is room for
			for i, lip := range lips {
				if far[i] > 0.9*share*long {
					if p := c.panelAt(s, z, lip, level, share*long, share*wide, floors, left); p != nil {
						return p.lean(rng, z, floors, left)
					}
				}
			}
		}
	}
	return nil
}

// underJoints is how far below a level floor is looked for: under the joints of a finish, mm.
const underJoints = 0.6

// edge is how far from the middle the floor at a level begins on a bearing; 0 where it
// does not.
func (c *Crater) edge(z *craterSizes, out r2.Vec, level float64, left sdf.Field) float64 {
	for r := 0.3 * z.radius; r < 1.5*z.radius; {
		v := left.Value(sdf.V(c.At.X+out.X*r, c.At.Y+out.Y*r, level-underJoints))
		if v < -0.1 {
			return r
		}
		r += max(z.radius/100, v)
	}
	return 0
}

// levels are those of the floors that the crater reaches, the highest first: a panel of
// a deck over the bowl is seen best.
func (c *Crater) levels(s *parts.Site, z *craterSizes) (all []float64) {
	for _, f := range s.Slabs() {
		if f.Level.Height > z.level+parts.SameHeight {
			all = append(all, f.Level.Height)
		}
	}
	for i := range all { // few: the highest first
		for k := i; k > 0 && all[k] > all[k-1]; k-- {
			all[k], all[k-1] = all[k-1], all[k]
		}
	}
	return append(all, z.level)
}

// panelAt is the panel at a place of the lip and a level; nil where there is no floor for it.
func (c *Crater) panelAt(s *parts.Site, z *craterSizes, lip lipSpot, level, long, wide float64, floors, left sdf.Field) *panel {
	p := &panel{hinge: lip.at, out: lip.out, level: level, long: long, wide: wide}
	at := func(in, aside, z float64) r3.Vec {
		return sdf.V(lip.at.X-lip.out.X*in-lip.out.Y*aside, lip.at.Y-lip.out.Y*in+lip.out.X*aside, z)
	}
	// As deep as the floor goes over the whole of it.
	most, through := max(1.2*s.Print.Wall, panelThick*z.radius), panelThrough*z.radius
	p.thick = through
	for _, q := range [6][2]float64{{0.1, 0}, {0.5, -0.4}, {0.5, 0.4}, {0.9, 0}, {0.9, -0.3}, {0.9, 0.3}} {
		deep := underJoints
		for deep < through {
			v := floors.Value(at(q[0]*long, q[1]*wide, level-deep))
			if v > 0 {
				p.hung = true
				break
			}
			deep += max(0.05, -v)
		}
		p.thick = min(p.thick, deep)
		if deep == underJoints || q[0] > 0.2 && left.Value(at(q[0]*long, q[1]*wide, level-underJoints)) < 0.02 {
			return nil // nothing was there, or it is there still
		}
	}
	if !p.hung {
		p.thick = most
	}
	for _, aside := range [3]float64{-0.3, 0, 0.3} { // it hangs on floor that still lies
		if left.Value(at(-1.5, aside*wide, level-underJoints)) > 0 {
			return nil
		}
	}
	if p.thick < s.Print.Wall {
		return nil
	}
	return p
}

// lean is the panel on its hinge, its end bedded in what is below.
func (p *panel) lean(rng *rand.Rand, z *craterSizes, floors, left sdf.Field) sdf.Field {
	// In its own axes x points out of the hole, the hinge along y through the origin, at
	// the foot of its edge.
	turn := sdf.Turn(sdf.V(0, 0, 1), math.Atan2(p.out.Y, p.out.X)*180/math.Pi)
	place := turn.Then(sdf.At(sdf.V(p.hinge.X, p.hinge.Y, p.level-p.thick)))
	const over = 0.6 // mm over the level: what stands higher is not of the floor
	root := 0.4 * p.thick
	planes := []convex.Plane{
		{N: sdf.V(0, 0, 1), D: p.thick + over}, {N: sdf.V(0, 0, -1), D: 0},
		{N: convex.Unit(sdf.V(1, 0, 0.3)), D: root},
	}
	face := func(turn, off, dip float64) {
		sin, cos := math.Sincos(turn)
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, dip)), D: off})
	}
	u := func() float64 { return rng.Float64() - 0.5 }
	face(math.Pi/2+0.35*u(), p.wide/2*(0.9+0.2*u()), 0.4*u())
	face(-math.Pi/2+0.35*u(), p.wide/2*(0.9+0.2*u()), 0.4*u())
	face(math.Pi+0.4+0.3*u(), p.long*(0.97+0.1*u()), 0.5*u())
	face(math.Pi-0.4+0.3*u(), p.long*(0.97+0.1*u()), 0.5*u())
	face(math.Pi+1.0+0.2*u(), 0.55*(p.long+p.wide)*(0.85+0.1*u()), 0.4*u())
	face(math.Pi-1.0+0.2*u(), 0.55*(p.long+p.wide)*(0.85+0.1*u()), 0.4*u())
	own := convex.New(planes)
	prism := convex.New(convex.Placed(planes, place))
	if own == nil || prism == nil {
		return nil
	}
	// Down until its end is bedded.
	list := 10 * u()
	pose := func(lean float64) sdf.Pose { // of the panel's own axes
		return sdf.Turn(sdf.V(1, 0, 0), list).Then(sdf.Turn(sdf.V(0, 1, 0), -lean)).Then(place)
	}
	lean := 12.0
	bedded := func(lean float64) int {
		n := 0
		for _, y := range [3]float64{-0.3, 0, 0.3} {
			if left.Value(pose(lean).Apply(sdf.V(-0.92*p.long, y*p.wide, 0))) < -0.3 {
				n++
			}
		}
		return n
	}
	for ; lean < steepPanel && bedded(lean) < 2; lean++ {
	}
	if hangs := bedded(lean) < 2; hangs {
		lean = 20 + 15*rng.Float64()
	}
	moved := place.Inverse().Then(pose(lean))
	ball := sdf.BoxBall(prism.Bounds())
	slab := sdf.Place(sdf.Intersection(floors.Prune(ball), prism), moved)
	work := []sdf.Field{slab}

	// What holds it at the hinge, crushed: the foot of the edge and the foot of the panel.
	q := pose(lean)
	var corners []convex.Plane
	low := q.Apply(sdf.V(-0.5*p.thick, 0, 0))
	drop := place.Invert(low).Z
	corners = append(corners,
		convex.Plane{N: sdf.V(1, 0, 0), D: 1.2}, convex.Plane{N: convex.Unit(sdf.V(-1, 0, 0.35)), D: 0.6 * p.thick},
		convex.Plane{N: sdf.V(0, 1, 0), D: 0.42 * p.wide}, convex.Plane{N: sdf.V(0, -1, 0), D: 0.42 * p.wide},
		convex.Plane{N: sdf.V(0, 0, -1), D: -drop + 0.1}, convex.Plane{N: convex.Unit(sdf.V(-0.4, 0.1, 1)), D: 0.55 * p.thick})
	if k := convex.New(convex.Placed(corners, place)); k != nil {
		work = append(work, k)
	}
	// Nothing is left open beneath that resin could not leave.
	gap, n := 0.0, 0
	for i := range 4 {
		at := q.Apply(sdf.V(-p.long*(float64(i)+0.5)/4, 0, 0))
		for d := 0.0; d < 4*p.thick+2*z.depth; d += 0.2 {
			if left.Value(sdf.V(at.X, at.Y, at.Z-d)) < 0 {
				break
			}
			gap += 0.2
		}
		n++
	}
	if !p.hung || gap/float64(n) < 2 {
		under := append([]convex.Plane(nil), planes...)
		under[0] = convex.Plane{N: sdf.V(0, 0, 1), D: 0.5 * p.thick}
		under[1] = convex.Plane{N: sdf.V(0, 0, -1), D: max(2, z.depth)}
		if f := convex.New(convex.Placed(under, q)); f != nil {
			work = append(work, f)
		}
	}
	return sdf.Union(work...)
}
