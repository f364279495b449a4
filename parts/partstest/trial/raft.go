package trial

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Raft is a floor of planks on a frame.
type Raft struct {
	parts.Named
	Level parts.Level `key:"level" type:"level" doc:"finished level of its planks" required:"yes"`
	Area  parts.Area  `key:"area" type:"table" doc:"the region it covers" required:"yes"`
	Plank float64     `key:"plank" type:"length" doc:"width of a plank" default:"300 mm" min:"0.5" max:"50" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "raft", Stage: parts.Structure, Group: "Rafts",
		Doc: "A floor of planks, solid down to what it floats on.",
		New: func() parts.Part { return &Raft{} },
	})
}

func (r *Raft) Floors(*parts.Site) []parts.Floor {
	return []parts.Floor{{Part: r, Role: parts.Slab, Words: fmt.Sprintf("raft %q", r.Name), Key: "area", Area: &r.Area, Level: r.Level}}
}

func (r *Raft) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: r.Area.Outline(), Closed: true, OnLand: true}}
}

// Check reports a raft that is no area, or under the land.
func (r *Raft) Check(s *parts.Site) []parts.Fault {
	faults := r.Area.Check(r.Name, "area")
	if len(faults) > 0 {
		return faults
	}
	if land, ok := s.LandUnder(r.Area.Outline()); ok && r.Level.Height <= land {
		faults = append(faults, parts.Fault{Part: r.Name, Key: "level", Text: fmt.Sprintf("%.3f mm is under water", r.Level.Height),
			Allowed: fmt.Sprintf("more than %.3f mm", land)})
	}
	return faults
}

func (r *Raft) wide(s *parts.Site) float64 { return math.Max(r.Plank, 3*s.Print.Gap) }

// seams are the middles of the gaps between planks, along y.
func (r *Raft) seams(s *parts.Site) (all []float64) {
	b := r.Area.Bounds()
	for y := b.Min.Y + r.wide(s); y < b.Max.Y; y += r.wide(s) {
		all = append(all, y)
	}
	return all
}

func (r *Raft) Pieces(s *parts.Site) int { return 1 + len(r.seams(s)) }

func (r *Raft) Solid(s *parts.Site) sdf.Field {
	level, b := r.Level.Height, r.Area.Bounds()
	foot := math.Min(0, level) - parts.Embed
	if land, ok := s.LandUnder(r.Area.Outline()); ok {
		foot = land - parts.Embed
	}
	var gaps []sdf.Field
	for _, y := range r.seams(s) {
		gaps = append(gaps, sdf.BoxBetween(sdf.V(b.Min.X-1, y-s.Print.Gap/2, level-s.Print.Relief), sdf.V(b.Max.X+1, y+s.Print.Gap/2, level+1)))
	}
	return sdf.Difference(parts.LowerUnderFinishes(s, r.Area.Prism(foot, level), level), gaps...)
}

func (r *Raft) Plan(s *parts.Site) []parts.Stroke {
	rank, b := s.FloorRank(r.Level.Height, parts.Structure), r.Area.Bounds()
	strokes := []parts.Stroke{{Line: parts.LineEdge, Path: r.Area.Path(), Closed: true, Covers: true, Rank: rank}}
	for _, y := range r.seams(s) {
		strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Rank: rank, Path: planar.Straight(r2.Vec{X: b.Min.X, Y: y}, r2.Vec{X: b.Max.X, Y: y})})
	}
	return strokes
}
