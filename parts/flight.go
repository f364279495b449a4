package parts

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
)

// Flight is a flight of steps worked out for its site, in mm on the print. Its own axes:
// x across, to the right as one walks up; y from the first riser in the direction
// walked; z above the datum.
type Flight struct {
	Risers        int
	Riser, Going  float64
	From, To      float64 // finished heights
	Width         float64
	Landing       float64 // level stretch from the last riser to the floor above
	Cheek         float64 // thickness of a flank, 0 without
	Upstand       float64 // of the flanks over the line of the nosings
	Nosing, Arris float64 // overhang of the treads, and radius of their edges
	Facing        float64 // degrees from east, as one walks up
	Profile       string  // the word of the profile that it is laid out by
	Pose          sdf.Pose
}

// Climber is a part with a flight of steps.
type Climber interface {
	Part
	Checker
	// Flight gives the flight, a usable one even where the part breaks its rules.
	Flight(s *Site) Flight
	// Standing is the height of what one stands on above a point of the plan that lies
	// inset from the flank, mm above the datum; ok is false beyond the flight.
	Standing(s *Site, p r2.Vec) (z float64, ok bool)
	// RoomOver is the room over the treads between two heights, over the whole width and on
	// before the foot by so much: what an edge at the head gives way to.
	RoomOver(s *Site, low, high, before float64) sdf.Field
}

// Run is the length on the plan from the first riser to the last.
func (f *Flight) Run() float64 { return float64(f.Risers-1) * f.Going }

// End is the length on the plan from the first riser to the floor above.
func (f *Flight) End() float64 { return f.Run() + f.Landing }

// Place takes a point on the flight's own axes to the scene.
func (f *Flight) Place(x, y, z float64) r3.Vec { return f.Pose.Apply(sdf.V(x, y, z)) }

// OnPlan takes a point on the flight's own axes to the plan.
func (f *Flight) OnPlan(x, y float64) r2.Vec { return planar.OnPlan(f.Place(x, y, 0)) }

// Plan is the rectangle of the flight between two y on its own axes, in the scene.
func (f *Flight) Plan(y0, y1 float64) []r2.Vec {
	half := f.Width / 2
	return []r2.Vec{f.OnPlan(-half, y0), f.OnPlan(half, y0), f.OnPlan(half, y1), f.OnPlan(-half, y1)}
}

// HeadLine is the upper edge of the last riser, at the finished level, from the left
// flank to the right as one walks up.
func (f *Flight) HeadLine() [2]r3.Vec {
	return [2]r3.Vec{f.Place(-f.Width/2, f.End(), f.To), f.Place(f.Width/2, f.End(), f.To)}
}

// NosingLine is the height of the line through the nosings at y, level from where it
// comes up to the landing on.
func (f *Flight) NosingLine(y float64) float64 {
	if f.Risers == 1 || y >= f.Run()-f.Nosing {
		return f.To
	}
	return f.From + f.Riser + (y+f.Nosing)/f.Going*f.Riser
}

// Nosings is the line of the nosings at x between two y, in the scene.
func (f *Flight) Nosings(x, from, to float64) []r3.Vec {
	pts := []r3.Vec{f.Place(x, from, f.NosingLine(from))}
	if up := f.Run() - f.Nosing; f.Risers > 1 && from < up && up < to {
		pts = append(pts, f.Place(x, up, f.To))
	}
	return append(pts, f.Place(x, to, f.NosingLine(to)))
}

// TreadTop is the finished height of tread i, 0 the lowest.
func (f *Flight) TreadTop(i int) float64 {
	return f.From + (f.To-f.From)*float64(i+1)/float64(f.Risers)
}

// Tread is the height of the tread at y, the upper level beyond the head.
func (f *Flight) Tread(y float64) float64 {
	if f.Risers == 1 || y >= f.Run() {
		return f.To
	}
	return f.TreadTop(min(f.Risers-2, int(y/f.Going)))
}
