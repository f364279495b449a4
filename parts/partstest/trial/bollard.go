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

// Bollard is a row of posts to moor at.
type Bollard struct {
	parts.Named
	At       []r2.Vec     `key:"at" type:"points" doc:"where bollards stand" required:"yes"`
	On       string       `key:"on" type:"ref" doc:"the floor that they stand on" of:"slab"`
	Level    *parts.Level `key:"level" type:"level" doc:"finished level that they stand on, in place of on"`
	Height   float64      `key:"height" type:"height" doc:"over the level" default:"900 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Diameter float64      `key:"diameter" type:"length" doc:"thickness" default:"300 mm" min:"0.1" max:"50" source:"common practice, no source"`
	Cap      string       `key:"cap" type:"word" doc:"how they end" default:"flat" words:"flat,domed"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "bollard", Stage: parts.Fitting, Group: "Bollards",
		Doc: "Posts to moor at, on a floor or at a level.",
		New: func() parts.Part { return &Bollard{} },
	})
}

// level is what they stand on; ok is false where nothing says.
func (b *Bollard) level(s *parts.Site) (level float64, ok bool) {
	if b.Level != nil {
		return b.Level.Height, true
	}
	if on, is := s.Find(b.On).(parts.Floored); is {
		for _, f := range on.Floors(s) {
			return f.Level.Height, true
		}
	}
	return 0, false
}

func (b *Bollard) thick(s *parts.Site) float64 { return math.Max(b.Diameter, s.Print.Pin) }

// Check reports bollards without a level, and such as are wider than tall.
func (b *Bollard) Check(s *parts.Site) (faults []parts.Fault) {
	if (b.Level == nil) == (b.On == "") {
		faults = append(faults, parts.Fault{Part: b.Name, Text: "stands on nothing, or on two things", Allowed: "one of on and level"})
	}
	if b.Diameter > b.Height {
		faults = append(faults, parts.Fault{Part: b.Name, Key: "height",
			Text: fmt.Sprintf("%.2f mm is less than the diameter", b.Height), Allowed: fmt.Sprintf("at least %.2f mm", b.Diameter)})
	}
	return faults
}

func (b *Bollard) Pieces(*parts.Site) int { return 2 * len(b.At) }

func (b *Bollard) Extents(*parts.Site) (all []parts.Extent) {
	for i, at := range b.At {
		all = append(all, parts.Extent{Key: fmt.Sprintf("at[%d]", i), Points: []r2.Vec{at}, Wide: b.Diameter / 2})
	}
	return all
}

func (b *Bollard) Solid(s *parts.Site) sdf.Field {
	level, _ := b.level(s)
	r := b.thick(s) / 2
	var all []sdf.Field
	for _, at := range b.At {
		foot := s.BearingUnder(level, parts.Ring(at, r, 8))
		all = append(all, sdf.Place(sdf.Cylinder(r, level+b.Height-foot, 0), sdf.At(sdf.V(at.X, at.Y, foot))))
		if b.Cap == "domed" {
			all = append(all, sdf.Place(sdf.Sphere(r), sdf.At(sdf.V(at.X, at.Y, level+b.Height))))
		}
	}
	return sdf.Union(all...)
}

// Notes say what is drawn thicker than asked.
func (b *Bollard) Notes(s *parts.Site) []parts.Note {
	if thick := b.thick(s); thick > b.Diameter {
		return []parts.Note{{Part: b.Name, Key: "diameter", Text: fmt.Sprintf("%.2f mm on the print is drawn at %.2f mm, the least pin", b.Diameter, thick)}}
	}
	return nil
}

func (b *Bollard) Plan(s *parts.Site) (strokes []parts.Stroke) {
	for _, at := range b.At {
		strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Closed: true, Covers: true, Path: planar.CirclePath(at, b.thick(s)/2)})
	}
	return strokes
}

func (b *Bollard) PlanLabels(*parts.Site) []parts.Label {
	return []parts.Label{{At: r2.Add(b.At[0], r2.Vec{X: b.Diameter + 3}), Text: "moorings"}}
}

// tallest is full size, mm: a person's hip (common practice, no source).
const tallest = 1100

func (b *Bollard) Measures(s *parts.Site) []parts.Measure {
	m := parts.Unlimited("height", "height", b.Height, s.FullHeight(b.Height))
	m.Check, m.Most, m.Yardstick, m.Law = "unit", tallest, s.Beside(m.Full), "mooring"
	m.Why = "A rope is laid over it from above."
	return []parts.Measure{m}
}

// Sights is the first of them that the piece shows.
func (b *Bollard) Sights(l parts.Lookout) []parts.Sight {
	level, _ := b.level(l.Site())
	for _, at := range b.At {
		top := l.Pose().Invert(sdf.V(at.X, at.Y, level+b.Height))
		q := r2.Vec{X: top.X, Y: top.Y}
		if h, ok := l.Drop(q, l.Box().Max.Z); l.Top(q) > 0 || !ok || l.PartAt(sdf.V(q.X, q.Y, h)) != parts.Part(b) {
			continue
		}
		half := math.Max(b.Height, 2*b.Diameter)
		s := parts.Sight{Kind: "bollard", Part: b, Name: "bollard-" + b.Name,
			Box:  l.Framed(parts.About(q, half, top.Z-b.Height-1, top.Z+1)),
			From: l.Freest([]r3.Vec{top}, parts.AroundFront())}
		for _, beside := range parts.Ring(q, b.Diameter+l.Person()/2, 8) {
			if s.Figure = l.Standing(beside, top.Z-b.Height, true); s.Figure != nil {
				break
			}
		}
		return []parts.Sight{s}
	}
	return nil
}

func (b *Bollard) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Of("unit"):
		r.Scaled("height", "lower bollards", b.Height, 0.8, 0.6)
	case t.Thin():
		r.Scaled("diameter", "thicker bollards", b.thick(s), 1.2, 1.5, 2)
		r.Set("cap", "which is stouter", "flat")
	}
	return r.All
}
