package wild

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Log is the trunk of a tree that lies on the ground, or several.
type Log struct {
	setout.Places
	Length   float64 `key:"length" type:"length" doc:"from end to end" default:"2 m" min:"0.5" max:"300" source:"common practice, no source"`
	Diameter float64 `key:"diameter" type:"length" doc:"at its thick end" default:"400 mm" min:"0.3" max:"100" source:"common practice, no source"`
	Taper    float64 `key:"taper" type:"number" doc:"diameter at its thin end, as a share of that at its thick end" default:"0.8" min:"0.3" max:"1" source:"10 mm in a metre is a usual taper of saw logs, from memory; the default is more, as near the root"`
	Ends     string  `key:"ends" type:"word" doc:"how its ends are: sawn, broken, or the thick one sawn and the thin one broken" default:"mixed" words:"mixed,sawn,broken"`
	Stubs    int     `key:"stubs" type:"count" doc:"how many stubs of branches it has, at most" default:"2" min:"0" max:"8" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "log", Stage: parts.Fitting, Group: "Nature",
		Doc: "Trunks of trees with bark, sawn or broken off, that lie on the ground.",
		Example: `
[[log]]
at = [[31, 28]]
turn = 20
length = "2.1 m"
diameter = "520 mm"
stubs = 4

[[log]]
at = [[40, 14]]
turn = -25
length = "1 m"
diameter = "300 mm"
ends = "broken"
`,
		New: func() parts.Part { return &Log{} },
	})
}

// logSizes are those of a log as it is drawn, mm.
type logSizes struct {
	long, thick, thin float64 // its length and its radii
	sunk              float64 // how deep it lies in its floor
	notes             parts.Notes
}

func (l *Log) settled(s *parts.Site) *logSizes {
	return parts.Settled(s, l, func() *logSizes {
		z := &logSizes{notes: parts.Notes{Part: l.Name}}
		diameter := z.notes.AtLeast("diameter", l.Diameter, math.Max(1.5*s.Print.Wall, s.Print.Pin), "log, one and a half walls")
		z.long = z.notes.AtLeast("length", l.Length, 1.5*diameter, "log, one and a half diameters")
		z.thick, z.thin = diameter/2, math.Max(l.Taper*diameter, s.Print.Pin)/2
		const lies = 0.12 // of its radius, in its floor
		z.sunk = lies * z.thick
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (l *Log) Notes(s *parts.Site) []parts.Note { return l.settled(s).notes.List }

// Bulk is the size of one as it lies, without its stubs.
func (l *Log) Bulk(s *parts.Site) r3.Vec {
	z := l.settled(s)
	return sdf.V(z.long, 2*z.thick, 2*z.thick-z.sunk)
}

// splinters is how long those of a broken end are, of its radius.
const splinters = 1.5

// Body is one: a trunk along x, its thick end at -x, its underside level; litter lies
// against it.
func (l *Log) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := l.settled(s)
	rng := s.Rand(l.Name, at.Seed, "log")
	profile := []r2.Vec{{X: z.thick, Y: 0}, {X: z.thin, Y: z.long}}
	low, high := l.Ends != broken, l.Ends == sawn // whether they are sawn
	if high {
		profile = append(profile, rings(s, z.thin, z.long, 1)...)
	}
	profile = append(profile, r2.Vec{Y: z.long}, r2.Vec{})
	if low {
		face := rings(s, z.thick, 0, -1)
		for i := range face {
			profile = append(profile, face[len(face)-1-i])
		}
	}
	trunk := sdf.Revolve(profile)
	const aslant = 22 // degrees: a broken end is longest where it lies, so that its splinters rest
	if !high {
		end := sdf.Place(splintered(at.Seed+11, 2*z.thin, math.Min(splinters*z.thin, 0.2*z.long)),
			sdf.Turn(sdf.V(0, 1, 0), -aslant).Then(sdf.At(sdf.V(z.thin, 0, z.long))))
		trunk = sdf.Intersection(trunk, end)
	}
	if !low {
		end := sdf.Place(splintered(at.Seed+12, 2*z.thick, math.Min(splinters*z.thick, 0.2*z.long)),
			sdf.Turn(sdf.V(0, 1, 0), aslant-180).Then(sdf.At(sdf.V(z.thick, 0, 0))))
		trunk = sdf.Intersection(trunk, end)
	}
	all := []sdf.Field{relief.Carve(trunk, bark(s, at.Seed, z.thick, z.long, 0.2*z.thin))}
	lean := math.Atan2(z.thick-z.thin, z.long)
	lie := sdf.At(sdf.V(0, 0, -z.long/2)).Then(sdf.Turn(sdf.V(0, 1, 0), 90+lean*180/math.Pi))
	foot := lie.Apply(sdf.V(z.thick, 0, 0)) // the lowest of its thick end: x across the trunk looks down
	lie = lie.Then(sdf.At(sdf.V(0, 0, -z.sunk-foot.Z)))
	for range l.Stubs {
		up, along := between(rng, 0.45, 0.9), between(rng, 0.2, 0.7)
		side := 2*float64(rng.IntN(2)) - 1
		radius := z.thick + along*(z.thin-z.thick)
		way := sdf.V(-math.Sin(up*math.Pi/2), side*math.Cos(up*math.Pi/2), between(rng, 0.2, 0.7)) // -x looks up as it lies
		thick := math.Max(between(rng, 0.4, 0.6)*radius, s.Print.Pin)
		if thick > 0.8*radius {
			continue // no trunk for a branch that prints
		}
		all = append(all, stub(sdf.V(0, 0, along*z.long), way, radius*between(rng, 1.5, 1.75), thick))
	}
	// It has no bark beneath, where every plate would begin in the air beside a furrow.
	keel := sdf.Intersection(sdf.Place(trunk, lie), sdf.HalfSpace(sdf.V(0, 0, 1), 0.6*z.thick))
	log := sdf.Union(sdf.Place(sdf.Union(all...), lie), keel)
	from, to := -0.49*z.long, 0.49*z.long // of the litter: it ends under the splinters
	if !low {
		from += math.Min(splinters*z.thick, 0.2*z.long)
	}
	if !high {
		to -= math.Min(splinters*z.thin, 0.2*z.long)
	}
	litter := bank(from, to, at.Foot-under, 0.26*z.thin, 0.8*z.thin, 0.5*z.thin)
	return footed(sdf.Union(log, relief.Carve(litter, grit(s, at.Seed+4, z.thick, 0.15*z.thin))), at.Foot)
}

// Matter is billets of wood.
func (l *Log) Matter(s *parts.Site) parts.Matter {
	z := l.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.long, z.thick, z.thin), Volume: math.Pi * z.thick * z.thin * z.long}
}

// Measures is its height beside a person.
func (l *Log) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "diameter", l.Bulk(s).Z)
}

// Remedies of logs.
func (l *Log) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(l)
	switch {
	case t.Thin():
		r.Scaled("diameter", "thicker logs", l.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the logs, or the stand")
	}
	return r.All
}
