package works

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Course is embedded by what runs along a line of the plan over a floor.
type Course struct {
	course.Line
	Level *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the floor under its start"`
	Seed  uint64       `key:"seed" type:"seed" doc:"picks its wear" default:"1"`
}

// sharpest is the most that a line may turn at a corner, degrees.
const sharpest = 100

// level is the floor that it stands on.
func (c *Course) level(s *parts.Site) float64 {
	h, _ := s.StandingAt(c.Level, c.Points[0])
	return h
}

// legs are the sides of the line at a height over its floor.
func (c *Course) legs(s *parts.Site, height float64) []planar.Leg {
	return c.Legs(c.level(s) + height)
}

// foot is how far down a course goes to be held, under a band of a width, mm over the datum.
func (c *Course) foot(s *parts.Site, wide float64) float64 {
	level := c.level(s)
	return math.Min(level, s.BearingUnder(level, planar.Band(c.Points, wide/2)))
}

// Check reports lines that are none, with sides shorter than least, mm, or with corners
// that are too sharp.
func (c *Course) check(least float64) []parts.Fault {
	if faults := c.Line.Check(nil); len(faults) > 0 {
		return faults
	}
	for i := 1; i < len(c.Points); i++ {
		side := r2.Sub(c.Points[i], c.Points[i-1])
		if l := planar.Norm2(side); l < least {
			return c.Fault(fmt.Sprintf("points %d and %d are %.2f mm apart", i, i+1, l), fmt.Sprintf("at least %.2f mm", least))
		}
		if i == 1 {
			continue
		}
		if turn := turnAt(c.Points, i-1); math.Abs(turn) > sharpest {
			return c.Fault(fmt.Sprintf("turns by %.0f degrees at point %d", math.Abs(turn), i), fmt.Sprintf("at most %d degrees", sharpest))
		}
	}
	return nil
}

// CheckPlace reports a line whose start lies over no floor.
func (c *Course) CheckPlace(s *parts.Site) []parts.Fault {
	return c.Stands(s, c.Level, c.Points[0])
}

// turnAt is how far a line turns at one of its inner points, degrees, to the left.
func turnAt(line []r2.Vec, i int) float64 {
	a, b := r2.Sub(line[i], line[i-1]), r2.Sub(line[i+1], line[i])
	return math.Atan2(a.X*b.Y-a.Y*b.X, planar.Dot2(a, b)) * 180 / math.Pi
}

// joined is how far sides of a course reach into each other at a corner, mm.
const joined = 0.02

// swept is a profile along the sides of a line, mitred at its corners: its x to the left
// of the line, its y up from it. Its sides reach into each other by over at the corners, mm.
func swept(legs []planar.Leg, profile []r2.Vec, over float64) []sdf.Field {
	wide := 0.0
	for _, q := range profile {
		wide = math.Max(wide, math.Abs(q.X))
	}
	var all []sdf.Field
	for i, leg := range legs {
		long := leg.To - leg.From
		var cuts []sdf.Field
		ends := [2]float64{0, long}
		for k, next := range [2]int{i - 1, i + 1} {
			if next < 0 || next >= len(legs) {
				continue
			}
			u, v := r3.Unit(r3.Sub(leg.B, leg.A)), r3.Unit(r3.Sub(legs[next].B, legs[next].A))
			n, at, way := r3.Unit(r3.Add(u, v)), leg.B, 1.0
			if k == 0 {
				n, at, way = r3.Scale(-1, n), leg.A, -1
			}
			cuts = append(cuts, sdf.HalfSpace(n, r3.Dot(n, at)+over))
			half := math.Acos(math.Max(-1, math.Min(1, r3.Dot(u, v)))) / 2
			ends[k] += way * (wide*math.Tan(half) + 1)
		}
		// The profile's x and y become y and z, and its height the way along the side.
		stand := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), 90))
		f := sdf.Place(sdf.Prism(profile, ends[0], ends[1]), stand.Then(course.Frame(leg)))
		all = append(all, sdf.Intersection(append([]sdf.Field{f}, cuts...)...))
	}
	return all
}

// bandStroke is the outline of a course on the plan.
func (c *Course) bandStroke(wide float64, line parts.Line) parts.Stroke {
	return parts.Stroke{Line: line, Closed: true, Covers: true, Path: planar.Straight(planar.Band(c.Points, wide/2)...)}
}

// bitten is what bites leave of a course: it breaks in chunks, side by side along it.
func (c *Course) bitten(s *parts.Site, work sdf.Field, wide, high float64, bites []parts.Bite) []parts.Remains {
	taken := make([][]sdf.Field, len(bites))
	legs, foot := c.legs(s, 0), c.foot(s, wide)
	level := c.level(s)
	size := math.Max(fracture.Size(s, math.Min(wide, high)/2, bites), 2*s.Print.Wall)
	for _, leg := range legs {
		pose := course.Frame(leg)
		box := r3.Box{Min: sdf.V(-wide/2, -wide/2, foot-level), Max: sdf.V(leg.To-leg.From+wide/2, wide/2, high)}
		b := fracture.Break{Work: work, Frame: pose, Box: box, Size: fracture.Even(size), Held: func(q r3.Vec) bool { return q.Z < level+size }}
		for i, f := range b.Taken(bites) {
			if f != nil {
				taken[i] = append(taken[i], f)
			}
		}
	}
	return []parts.Remains{{Work: work, Taken: fracture.Unions(taken)}}
}

// matter is what of a course breaks at a patch: a form, a unit and a volume for each mm.
func (c *Course) matter(p *parts.Patch, wide float64, form parts.Form, unit r3.Vec, each float64) []parts.Matter {
	run := p.Run(c.Points, wide/2)
	if p.Whole {
		run = c.Length()
	}
	if run == 0 {
		return nil
	}
	return []parts.Matter{{Form: form, Unit: unit, Volume: run * each}}
}
