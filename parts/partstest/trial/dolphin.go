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

// Dolphin is a row of posts to moor at.
type Dolphin struct {
	parts.Named
	At       []r2.Vec     `key:"at" type:"points" doc:"where dolphins stand" required:"yes"`
	On       string       `key:"on" type:"ref" doc:"the floor that they stand on" of:"slab"`
	Level    *parts.Level `key:"level" type:"level" doc:"finished level that they stand on, in place of on"`
	Height   float64      `key:"height" type:"height" doc:"over the level" default:"900 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Diameter float64      `key:"diameter" type:"length" doc:"thickness" default:"300 mm" min:"0.1" max:"50" source:"common practice, no source"`
	Cap      string       `key:"cap" type:"word" doc:"how they end" default:"flat" words:"flat,domed"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "dolphin", Stage: parts.Fitting, Group: "Dolphins",
		Doc: "Posts to moor at, on a floor or at a level.",
		New: func() parts.Part { return &Dolphin{} },
	})
}

// level is what they stand on; ok is false where nothing says.
func (d *Dolphin) level(s *parts.Site) (level float64, ok bool) {
	if d.Level != nil {
		return d.Level.Height, true
	}
	if on, is := s.Find(d.On).(parts.Floored); is {
		for _, f := range on.Floors(s) {
			return f.Level.Height, true
		}
	}
	return 0, false
}

func (d *Dolphin) thick(s *parts.Site) float64 { return math.Max(d.Diameter, s.Print.Pin) }

// Check reports dolphins without a level, and such as are wider than tall.
func (d *Dolphin) Check(s *parts.Site) (faults []parts.Fault) {
	if (d.Level == nil) == (d.On == "") {
		faults = append(faults, parts.Fault{Part: d.Name, Text: "stands on nothing, or on two things", Allowed: "one of on and level"})
	}
	if d.Diameter > d.Height {
		faults = append(faults, parts.Fault{Part: d.Name, Key: "height",
			Text: fmt.Sprintf("%.2f mm is less than the diameter", d.Height), Allowed: fmt.Sprintf("at least %.2f mm", d.Diameter)})
	}
	return faults
}

func (d *Dolphin) Pieces(*parts.Site) int { return 2 * len(d.At) }

func (d *Dolphin) Extents(*parts.Site) (all []parts.Extent) {
	for i, at := range d.At {
		all = append(all, parts.Extent{Key: fmt.Sprintf("at[%d]", i), Points: []r2.Vec{at}, Wide: d.Diameter / 2})
	}
	return all
}

func (d *Dolphin) Solid(s *parts.Site) sdf.Field {
	level, _ := d.level(s)
	r := d.thick(s) / 2
	var all []sdf.Field
	for _, at := range d.At {
		foot := s.BearingUnder(level, parts.Ring(at, r, 8))
		all = append(all, sdf.Place(sdf.Cylinder(r, level+d.Height-foot, 0), sdf.At(sdf.V(at.X, at.Y, foot))))
		if d.Cap == "domed" {
			all = append(all, sdf.Place(sdf.Sphere(r), sdf.At(sdf.V(at.X, at.Y, level+d.Height))))
		}
	}
	return sdf.Union(all...)
}

// Notes say what is drawn thicker than asked.
func (d *Dolphin) Notes(s *parts.Site) []parts.Note {
	if thick := d.thick(s); thick > d.Diameter {
		return []parts.Note{{Part: d.Name, Key: "diameter", Text: fmt.Sprintf("%.2f mm on the print is drawn at %.2f mm, the least pin", d.Diameter, thick)}}
	}
	return nil
}

func (d *Dolphin) Plan(s *parts.Site) (strokes []parts.Stroke) {
	for _, at := range d.At {
		strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Closed: true, Covers: true, Path: planar.CirclePath(at, d.thick(s)/2)})
	}
	return strokes
}

func (d *Dolphin) PlanLabels(*parts.Site) []parts.Label {
	return []parts.Label{{At: r2.Add(d.At[0], r2.Vec{X: d.Diameter + 3}), Text: "moorings"}}
}

// tallest is full size, mm: a person's hip (common practice, no source).
const tallest = 1100

func (d *Dolphin) Measures(s *parts.Site) []parts.Measure {
	m := parts.Unlimited("height", "height", d.Height, s.FullHeight(d.Height))
	m.Check, m.Most, m.Yardstick, m.Law = "unit", tallest, s.Beside(m.Full), "mooring"
	m.Why = "A rope is laid over it from above."
	return []parts.Measure{m}
}

// Sights is the first of them that the piece shows.
func (d *Dolphin) Sights(l parts.Lookout) []parts.Sight {
	level, _ := d.level(l.Site())
	for _, at := range d.At {
		top := l.Pose().Invert(sdf.V(at.X, at.Y, level+d.Height))
		q := r2.Vec{X: top.X, Y: top.Y}
		if h, ok := l.Drop(q, l.Box().Max.Z); l.Top(q) > 0 || !ok || l.PartAt(sdf.V(q.X, q.Y, h)) != parts.Part(d) {
			continue
		}
		half := math.Max(d.Height, 2*d.Diameter)
		s := parts.Sight{Kind: "dolphin", Part: d, Name: "dolphin-" + d.Name,
			Box:  l.Framed(parts.About(q, half, top.Z-d.Height-1, top.Z+1)),
			From: l.Freest([]r3.Vec{top}, parts.AroundFront())}
		for _, beside := range parts.Ring(q, d.Diameter+l.Person()/2, 8) {
			if s.Figure = l.Standing(beside, top.Z-d.Height, true); s.Figure != nil {
				break
			}
		}
		return []parts.Sight{s}
	}
	return nil
}

func (d *Dolphin) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	switch {
	case t.Of("unit"):
		r.Scaled("height", "lower dolphins", d.Height, 0.8, 0.6)
	case t.Thin():
		r.Scaled("diameter", "thicker dolphins", d.thick(s), 1.2, 1.5, 2)
		r.Set("cap", "which is stouter", "flat")
	}
	return r.All
}
