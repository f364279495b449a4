package inspection

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/inspect"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// A probe is what of a piece lies about a place, meshed and inspected alone: an upright
// column from the foot up, so that what is beneath is there too. Its own sides are
// none of the piece's, and what is found near them does not count.
const (
	probeRoom   = 4.0 // from the place to where findings count no longer, mm: several of the least walls
	probeMargin = 2.0 // from there to the sides of the column, mm
	mostProbe   = 8.0 // of the size of the finding is within the room, mm
	ProbePlaces = 3   // of one finding are looked at
)

// Probe inspects a piece about a place. It fails where there is nothing to mesh.
func Probe(ctx context.Context, s *set.Set, p *assembly.Piece, at r3.Vec, size float64) ([]finding.Finding, error) {
	room := probeRoom + math.Min(size, mostProbe)/2
	half := room + probeMargin
	// Whole cells are left out of the piece's own box, so that those which are kept are
	// where they are in the whole.
	o := s.MeshOptions(p)
	cell := mesh.CellOf(o.Cell)
	out := func(by float64) float64 { return cell * math.Max(0, math.Floor(by/cell)) }
	box := r3.Box{
		Min: r3.Vec{X: p.Box.Min.X + out(at.X-half-p.Box.Min.X), Y: p.Box.Min.Y + out(at.Y-half-p.Box.Min.Y), Z: p.Box.Min.Z},
		Max: r3.Vec{X: p.Box.Max.X - out(p.Box.Max.X-at.X-half), Y: p.Box.Max.Y - out(p.Box.Max.Y-at.Y-half), Z: p.Box.Max.Z},
	}
	if box.Max.X <= box.Min.X || box.Max.Y <= box.Min.Y {
		return nil, nil // the base lies elsewhere now
	}
	ball := sdf.BoxBall(box)
	ball.R += 1 // mm, so that the field beyond the sides is there too
	o.Box, o.KeepLoose = box, true
	solid, err := mesh.Build(ctx, sdf.Intersection(p.Field.Prune(ball), sdf.BoxBetween(box.Min, box.Max)), o)
	if err != nil {
		return nil, err
	}
	job := jobOf(s, p, o)
	job.Pads, job.Pockets, job.Foot, job.Chamfer, job.Printer, job.Top = nil, nil, 0, 0, inspect.PlateLimits{}, inspect.Top{}
	found, err := inspectAs(ctx, s, p, solid, job, nil)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(found.Findings, func(f finding.Finding) bool {
		return f.At == nil || math.Abs(f.At[0]-at.X) > room || math.Abs(f.At[1]-at.Y) > room
	}), nil
}

// ClearedAt says whether a finding of a check, at least so grave, is gone from about a
// place, and nothing as grave has come in its room.
func ClearedAt(before, after []finding.Finding, check string, rank int) bool {
	count := func(all []finding.Finding) map[string]int {
		n := map[string]int{}
		for _, f := range all {
			if finding.Rank(f.Severity) <= rank {
				n[f.Check] += max(f.Count, 1)
			}
		}
		return n
	}
	was, now := count(before), count(after)
	for check, n := range now {
		if n > was[check] {
			return false
		}
	}
	return now[check] < was[check]
}
