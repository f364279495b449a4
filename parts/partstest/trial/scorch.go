package trial

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Scorch is a shallow pit that a fire has burnt.
type Scorch struct {
	parts.Named
	At       r2.Vec  `key:"at" type:"point" doc:"its middle" required:"yes"`
	Diameter float64 `key:"diameter" type:"length" doc:"from lip to lip" required:"yes" min:"1" max:"200"`
	Depth    float64 `key:"depth" type:"length" doc:"from the level to its floor" default:"0.8" min:"0.2" max:"20" source:"common practice, no source"`
	Seed     uint64  `key:"seed" type:"seed" doc:"picks its lumps" default:"1"`
	parts.Narrowing
}

func init() {
	parts.Register(parts.Kind{
		Word: "scorch", Stage: parts.Damaging,
		Doc: "A shallow pit that a fire has burnt.",
		New: func() parts.Part { return &Scorch{} },
	})
}

// ball is the radius of the ball that the pit is part of, by its chord and its depth.
func (c *Scorch) ball() float64 { return (c.Diameter*c.Diameter/4 + c.Depth*c.Depth) / (2 * c.Depth) }

func (c *Scorch) Check(s *parts.Site) (faults []parts.Fault) {
	if _, ok := s.LevelAt(c.At); !ok {
		faults = append(faults, parts.Fault{Part: c.Name, Key: "at", Text: "nothing lies there to burn", Allowed: "a place on a floor"})
	}
	if most := c.Diameter / 3; c.Depth > most {
		faults = append(faults, parts.Fault{Part: c.Name, Key: "depth", Text: fmt.Sprintf("%.2f mm is too deep for fire", c.Depth),
			Allowed: fmt.Sprintf("at most %.2f mm", most)})
	}
	return faults
}

func (c *Scorch) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "at", Points: []r2.Vec{c.At}, Wide: c.Diameter / 2}}
}

func (c *Scorch) CheckPlace(s *parts.Site) []parts.Fault {
	return s.LargerThanLand(c, "diameter", []r2.Vec{c.At}, c.Diameter)
}

func (c *Scorch) Throw(*parts.Site) sdf.Field { return nil }

func (c *Scorch) Cut(s *parts.Site) sdf.Field {
	level, _ := s.LevelAt(c.At)
	pit := sdf.Place(sdf.Sphere(c.ball()), sdf.At(sdf.V(c.At.X, c.At.Y, level-c.Depth+c.ball())))
	lumps := sdf.NewNoise(s.Rand(c.Name, c.Seed, "scorch").Uint64(), math.Max(c.Diameter/3, 2*s.Print.Gap), 2)
	over := sdf.Place(sdf.Cylinder(c.Diameter/2, c.Depth+4, 0), sdf.At(sdf.V(c.At.X, c.At.Y, level-c.Depth-1)))
	return sdf.Intersection(sdf.Displace(pit, lumps, 0.1*c.Depth), over)
}

func (c *Scorch) Strewn(*parts.Site) ([]r2.Vec, float64) { return []r2.Vec{c.At}, c.Diameter / 2 }

func (c *Scorch) Laid(_ *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	laid := *c
	laid.At = draw.Place("at", at)
	laid.Diameter = draw.Size("diameter", c.Diameter)
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

func (c *Scorch) Struck(*parts.Site) parts.Strike {
	return parts.Strike{Middle: []r2.Vec{c.At}, Cut: c.Diameter / 2, Reach: c.Diameter / 2}
}

func (c *Scorch) Plan(*parts.Site) []parts.Stroke {
	return []parts.Stroke{{Line: parts.LineDamage, Closed: true, Covers: true, Path: planar.CirclePath(c.At, c.Diameter/2)}}
}

func (c *Scorch) Sights(l parts.Lookout) []parts.Sight {
	level, _ := l.Site().LevelAt(c.At)
	mid := l.Pose().Invert(sdf.V(c.At.X, c.At.Y, level))
	q := r2.Vec{X: mid.X, Y: mid.Y}
	h, ok := l.Drop(q, l.Box().Max.Z)
	if floor := sdf.V(q.X, q.Y, h); !ok || l.Top(q) > 0 || l.PartAt(floor) != parts.Part(c) {
		return nil
	}
	return []parts.Sight{{Kind: "scorch", Part: c, Name: "scorch-" + c.Name,
		Box:  l.Framed(parts.About(q, c.Diameter, mid.Z-c.Depth-1, mid.Z+2)),
		From: l.Freest([]r3.Vec{sdf.V(q.X, q.Y, h)}, parts.AroundFront())}}
}

func (c *Scorch) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(c)
	if t.Thin() || t.Of("stand", "rough-stand") {
		r.Spare(t, c.Only, c.Spares)
		r.Scaled("depth", "a shallower pit", c.Depth, 0.7, 0.5)
		r.Shifts("at", "move it a little", c.At, r2.Vec{})
	}
	return r.All
}
