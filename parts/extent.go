package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// Extent is where on the plan a part lies as the scene gives it: an area, a line, or the
// disc or band about one.
type Extent struct {
	Key    string // that gives it
	Points []r2.Vec
	Closed bool
	Wide   float64 // to every side, mm
	OnLand bool    // it lies on the land, and not on a slab beyond it
}

// Placed is a part whose place on the plan the scene gives.
type Placed interface {
	Part
	Extents(s *Site) []Extent
}

// Carried is a raised part that stands on others of its own, piers or walls: where, and the
// height of what they carry, mm above the datum. None where it is solid down to the ground.
type Carried interface {
	Part
	Carriers(s *Site) (under float64, carriers []Extent)
}

// PlaceChecker is a part with rules against the place that it has in the scene. It is
// asked only where it breaks no rule of its own and lies on the land or on a slab.
type PlaceChecker interface {
	Part
	CheckPlace(s *Site) []Fault
}

// Topped is a part with tops that show beside the floors: treads, the top of a wall.
type Topped interface {
	Part
	// TopOver is the highest of it over a region of the plan about a place, mm above the
	// datum; ok is false where it has nothing there.
	TopOver(s *Site, plan []r2.Vec, middle r2.Vec) (height float64, ok bool)
}

// Upright is work that stands along a line of the plan, as it is drawn, mm on the print.
type Upright struct {
	Line   []r2.Vec // its middle
	Thick  float64
	Foot   float64                     // height of the level that it stands on
	High   float64                     // of its top above that, as it was built
	Course float64                     // height of its courses, 0 for none
	Left   func(along float64) float64 // how high it stands at a distance along its line
}

// Stretch is a part of its line between two distances along it, mm: from its start and to
// its end, where they are left out.
func (u *Upright) Stretch(from, to *float64) (lo, hi float64) {
	hi = planar.LengthOf(u.Line)
	if from != nil {
		lo = *from
	}
	if to != nil {
		hi = math.Min(hi, *to)
	}
	return lo, hi
}

// Walled is a part that stands up along a line: a wall. ok is false where its keys make none.
type Walled interface {
	Solider
	Upright(s *Site) (u Upright, ok bool)
}

// WallNear is what stands up along a line and is nearest to a place of the plan, of all that
// suit, with how far along its line the place nearest to that is, mm; nil for none.
func (s *Site) WallNear(at r2.Vec, suits func(w Walled, u *Upright) bool) (near Walled, of Upright, along float64) {
	least := math.Inf(1)
	for _, w := range AllOf[Walled](s) {
		u, ok := w.Upright(s)
		if !ok || len(u.Line) < 2 {
			continue
		}
		if on, off := planar.NearestAlong(u.Line, at); off < least && suits(w, &u) {
			near, of, along, least = w, u, on, off
		}
	}
	return near, of, along
}

// Nearly is how far over an edge still counts as on it, mm: what rounding may
// do, and far below what a print shows.
const Nearly = 1e-3

// Meets says whether some of it lies within an outline.
func (e *Extent) Meets(outline []r2.Vec) bool {
	far := e.Wide + 2*Nearly
	if own, other := planar.Bounds(e.Points), planar.Bounds(outline); own.Min.X > other.Max.X+far || own.Min.Y > other.Max.Y+far ||
		other.Min.X > own.Max.X+far || other.Min.Y > own.Max.Y+far {
		return false
	}
	shape := planar.Polygon(outline)
	n := len(e.Points)
	for i, a := range e.Points {
		if shape.At(a) <= e.Wide+Nearly {
			return true
		}
		b := e.Points[(i+1)%n]
		if n < 2 || i == n-1 && !e.Closed {
			continue
		}
		for k, c := range outline {
			if planar.SidesMeet(a, b, c, outline[(k+1)%len(outline)]) || planar.SegmentDistance(c, a, b) <= e.Wide+Nearly {
				return true
			}
		}
	}
	return e.Closed && planar.Polygon(e.Points).At(outline[0]) < 0
}

// LineFaults reports a line of the plan with too many points, with one too far away, or with
// two that are one.
func LineFaults(part, key string, line []r2.Vec) []Fault {
	fault := func(text, allowed string) []Fault {
		return []Fault{{Part: part, Key: key, Text: text, Allowed: allowed}}
	}
	if len(line) > MostCorners {
		return fault(fmt.Sprintf("has %d points", len(line)), fmt.Sprintf("at most %d", MostCorners))
	}
	for i, p := range line {
		if math.IsNaN(p.X+p.Y) || max(math.Abs(p.X), math.Abs(p.Y)) > MostReach {
			return fault(fmt.Sprintf("point %d is at (%v, %v) mm", i+1, p.X, p.Y), fmt.Sprintf("within %v mm of the origin", float64(MostReach)))
		}
		if i > 0 && r2.Norm(r2.Sub(p, line[i-1])) < LeastSize {
			return fault(fmt.Sprintf("points %d and %d are one", i, i+1), fmt.Sprintf("points at least %v mm apart", LeastSize))
		}
	}
	return nil
}

// LargerThanLand reports damage that takes all of the land: a band of a width about a
// line, which a key gives.
func (s *Site) LargerThanLand(p Part, key string, line []r2.Vec, wide float64) []Fault {
	land := s.Land()
	if land == nil {
		return nil
	}
	far := 0.0 // of the corners from the line
	for _, c := range land.Plot.Area.Outline() {
		near := math.Inf(1)
		for i, b := range line {
			near = math.Min(near, planar.SegmentDistance(c, line[max(0, i-1)], b))
		}
		far = math.Max(far, near)
	}
	if far > wide/2 {
		return nil
	}
	size := land.Box().Max
	return []Fault{{Part: p.Label(), Key: key,
		Text:    fmt.Sprintf("%.2f mm is larger than the scene: all of the ground lies inside", wide),
		Allowed: fmt.Sprintf("less than %.2f mm there, on ground of %g x %g mm", 2*far, size.X, size.Y)}}
}
