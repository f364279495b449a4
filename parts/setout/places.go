package setout

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Places is embedded by a part that is a thing, or several alike, set on floors: at places
// that are given, along a line, or in rows over an area.
type Places struct {
	parts.Named
	At      []r2.Vec     `key:"at" type:"points" doc:"where they stand, the middle of each"`
	Along   []r2.Vec     `key:"along" type:"points" doc:"a line that they stand along, instead of at: the first at its start, each turned as the line runs"`
	Area    *parts.Area  `key:"area" type:"table" doc:"a region that they stand on in rows, instead of at"`
	Spacing *float64     `key:"spacing" type:"length" doc:"from the middle of one to the next, along a line or in rows; left out, a little more than they are long" min:"0.3" max:"1000"`
	Level   *parts.Level `key:"level" type:"level" doc:"finished level that they stand on; left out, the highest floor under the middle of each"`
	Turn    float64      `key:"turn" type:"angle" plan:"turn" doc:"how far each is turned about the upright" default:"0" min:"-360" max:"360"`
	Stray   float64      `key:"stray" type:"angle" doc:"how far each is turned aside at most, by the seed" default:"0" min:"0" max:"180"`
	Jitter  float64      `key:"jitter" type:"length" doc:"how far each stands off its place at most along x and y, by the seed" default:"0" min:"0" max:"100"`
	Seed    uint64       `key:"seed" type:"seed" doc:"picks how each is turned, moved and worn" default:"1"`
}

// Thing is a part made of one thing or several alike; it embeds Places.
type Thing interface {
	parts.Part
	// Bulk is the size of one as it is drawn, mm: its length along its own x, its width and
	// its height.
	Bulk(s *parts.Site) r3.Vec
	// Body is one in its own frame, where it stands on z = 0 with its middle over the origin
	// and its length along x. It goes down to at.Foot, 0 or less, where it is let into its
	// floor.
	Body(s *parts.Site, at Spot) sdf.Field
}

// Spot is where one of a part stands.
type Spot struct {
	At    r2.Vec
	Level float64 // of its floor, mm above the datum
	Turn  float64 // degrees
	Foot  float64 // how far it goes down to be held, over its level: 0 or less, mm
	N     int     // its number among them
	Seed  uint64  // its own
}

// mostThings bounds how many there are of one part.
const mostThings = 2000

// FollowsLine says that each is turned from the line that they stand along.
func (p *Places) FollowsLine() bool { return len(p.Along) > 0 }

// thing is the part that embeds the places.
func (p *Places) thing(s *parts.Site) Thing { return s.Find(p.Name).(Thing) }

// spots are where they stand, settled once.
func (p *Places) spots(s *parts.Site) []Spot {
	t := p.thing(s)
	return parts.Settled(s, t, func() []Spot {
		rng := s.Rand(p.Name, p.Seed, "places")
		bulk := t.Bulk(s)
		var out []Spot
		for i, m := range p.marks(bulk) {
			at := Spot{At: m.at, Turn: p.Turn + m.turn, N: i, Seed: rng.Uint64()}
			jx, jy, turn := 2*rng.Float64()-1, 2*rng.Float64()-1, 2*rng.Float64()-1
			at.At = r2.Add(at.At, r2.Vec{X: p.Jitter * jx, Y: p.Jitter * jy})
			at.Turn += p.Stray * turn
			level, ok := s.StandingAt(p.Level, at.At)
			if !ok {
				continue
			}
			at.Level = level
			at.Foot = math.Min(0, s.BearingUnder(level, at.outline(bulk))-level)
			out = append(out, at)
		}
		return out
	})
}

// mark is a place in the plan before chance moves it, with the heading of its line, degrees.
type mark struct {
	at   r2.Vec
	turn float64
}

// marks are the places that the scene gives.
func (p *Places) marks(bulk r3.Vec) (all []mark) {
	step := p.step(bulk)
	switch {
	case len(p.Along) > 1:
		from := 0.0 // along the side that is next
		for i, b := range p.Along[1:] {
			a := p.Along[i]
			side := r2.Sub(b, a)
			long := planar.Norm2(side)
			turn := math.Atan2(side.Y, side.X) * 180 / math.Pi
			for ; from <= long+parts.Nearly; from += step {
				all = append(all, mark{r2.Add(a, r2.Scale(from/long, side)), turn})
			}
			from -= long
		}
	case p.Area != nil:
		own, box := p.unturned()
		c := own.Centre()
		sin, cos := planar.SinCos(p.Area.Turn)
		size := r2.Sub(box.Max, box.Min)
		nx, ny := math.Max(1, math.Floor(size.X/step)), math.Max(1, math.Floor(size.Y/step))
		for j := range int(ny) {
			for i := range int(nx) {
				q := r2.Vec{X: box.Min.X + size.X*(float64(i)+0.5)/nx, Y: box.Min.Y + size.Y*(float64(j)+0.5)/ny}
				if !own.Contains(q) {
					continue
				}
				if p.Area.Turn != 0 {
					d := r2.Sub(q, c)
					q = r2.Vec{X: c.X + cos*d.X - sin*d.Y, Y: c.Y + sin*d.X + cos*d.Y}
				}
				all = append(all, mark{at: q})
			}
		}
	default:
		for _, q := range p.At {
			all = append(all, mark{at: q})
		}
	}
	return all
}

// unturned is the area before it is turned, with its box: rows run along its own sides.
func (p *Places) unturned() (own parts.Area, box r2.Box) {
	own = *p.Area
	own.Turn = 0
	return own, own.Bounds()
}

// step is the spacing as it is drawn, mm.
func (p *Places) step(bulk r3.Vec) float64 {
	if p.Spacing != nil {
		return *p.Spacing
	}
	if p.Area != nil {
		return 1.15 * math.Max(bulk.X, bulk.Y)
	}
	return 1.05 * bulk.X
}

// outline is the rectangle that one covers on the plan.
func (at Spot) outline(bulk r3.Vec) []r2.Vec {
	sin, cos := planar.SinCos(at.Turn)
	out := make([]r2.Vec, 4)
	for i, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		x, y := c[0]*bulk.X/2, c[1]*bulk.Y/2
		out[i] = r2.Vec{X: at.At.X + cos*x - sin*y, Y: at.At.Y + sin*x + cos*y}
	}
	return out
}

// pose takes one from its own frame to the scene.
func (at Spot) pose() sdf.Pose {
	return sdf.Turn(sdf.V(0, 0, 1), at.Turn).Then(sdf.At(sdf.V(at.At.X, at.At.Y, at.Level)))
}

// Check reports places that are given in no way or in two, and more things than a part may
// have.
func (p *Places) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: p.Name, Key: key, Text: text, Allowed: allowed}}
	}
	const ways = "one of at, along and area"
	given := 0
	for _, is := range []bool{len(p.At) > 0, len(p.Along) > 0, p.Area != nil} {
		if is {
			given++
		}
	}
	switch {
	case given == 0:
		return fault("", "nothing says where it stands", ways)
	case given > 1:
		return fault("", "its places are given in more than one way", ways)
	case p.Spacing != nil && len(p.At) > 0:
		return fault("spacing", "places that are given have no spacing", "spacing with along or area")
	case len(p.Along) == 1:
		return fault("along", "has one point", "two points or more")
	case len(p.At) > mostThings:
		return fault("at", fmt.Sprintf("has %d places", len(p.At)), fmt.Sprintf("at most %d", mostThings))
	}
	if faults := parts.LineFaults(p.Name, "along", p.Along); len(faults) > 0 {
		return faults
	}
	if p.Area != nil {
		if faults := p.Area.Check(p.Name, "area"); len(faults) > 0 {
			return faults
		}
	}
	bulk := p.thing(s).Bulk(s)
	if n := p.count(bulk); n > mostThings {
		return fault("spacing", fmt.Sprintf("gives %.0f of them", n), fmt.Sprintf("at most %d", mostThings))
	}
	return nil
}

// count is about how many there are, told before any is laid out.
func (p *Places) count(bulk r3.Vec) float64 {
	step := p.step(bulk)
	switch {
	case len(p.Along) > 1:
		return planar.LengthOf(p.Along)/step + 1
	case p.Area != nil:
		_, box := p.unturned()
		return math.Max(1, (box.Max.X-box.Min.X)/step) * math.Max(1, (box.Max.Y-box.Min.Y)/step)
	}
	return float64(len(p.At))
}

// CheckPlace reports things under which no floor lies.
func (p *Places) CheckPlace(s *parts.Site) []parts.Fault {
	for i, m := range p.marks(p.thing(s).Bulk(s)) {
		if _, ok := s.StandingAt(p.Level, m.at); ok {
			continue
		}
		key := "along"
		switch {
		case p.Area != nil:
			key = "area"
		case len(p.At) > 0:
			key = fmt.Sprintf("at[%d]", i)
		}
		return []parts.Fault{{Part: p.Name, Key: key, Text: fmt.Sprintf("nothing to stand on lies at (%.2f, %.2f) mm", m.at.X, m.at.Y),
			Allowed: "a place on the ground, on a deck or on a step, or a level of its own"}}
	}
	return nil
}
