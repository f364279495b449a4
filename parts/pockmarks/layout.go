package pockmarks

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Laid gives the marks about another burst, or on the wall that is nearest to the place and
// long enough, in other places. The burst stays as far from a wall as it was. Marks over an
// area lie where they lay.
func (p *Pockmarks) Laid(s *parts.Site, at r2.Vec, draw *parts.LayoutDraw) (parts.Movable, []parts.Move) {
	laid := *p
	switch {
	case p.On != "":
		if !p.laidOnWall(s, at, draw, &laid) {
			return p, nil
		}
	case p.At != nil:
		to := draw.Place("at", at)
		laid.At, laid.Up = &to, draw.Size("up", p.Up)
		if p.Reach != nil {
			reach := draw.Size("reach", *p.Reach)
			laid.Reach = &reach
		}
	default:
		return p, nil
	}
	laid.Seed = draw.Seed("seed")
	return &laid, draw.Moves
}

func (p *Pockmarks) laidOnWall(s *parts.Site, at r2.Vec, draw *parts.LayoutDraw, laid *Pockmarks) bool {
	z := p.settled(s)
	if !z.found {
		return false
	}
	from, to := z.wall.Stretch(p.From, p.To)
	part := p.From != nil || p.To != nil // of the wall
	w, u, along := s.WallNear(at, func(w parts.Walled, u *parts.Upright) bool {
		return !slices.Contains(p.Spares, w.Label()) && (len(p.Only) == 0 || slices.Contains(p.Only, w.Label())) &&
			(!part || planar.LengthOf(u.Line) >= to-from)
	})
	if w == nil {
		return false
	}
	if laid.On = w.Label(); laid.On != p.On {
		draw.Note("on", laid.On)
	}
	if part {
		room := planar.LengthOf(u.Line) - (to - from)
		lo := parts.Readable(along-(to-from)/2, 0, room)
		hi := lo + (to - from)
		laid.From, laid.To = &lo, &hi
		draw.Note("from", lo)
		draw.Note("to", hi)
	}
	if p.At != nil {
		_, off := planar.NearestAlong(z.wall.Line, *p.At)
		foot := planar.OnPlan(planar.PointAt(planar.Line{Pts: planar.RaiseLine(u.Line, 0)}.Sides(), along))
		if out := r2.Sub(at, foot); planar.Norm2(out) > parts.LeastSize {
			burst := draw.Place("at", r2.Add(foot, r2.Scale(off/planar.Norm2(out), out)))
			laid.At = &burst
		}
	}
	return true
}

// Struck is the places of all marks, and how far about them the widest scar goes.
func (p *Pockmarks) Struck(s *parts.Site) parts.Strike {
	z := p.settled(s)
	strike := parts.Strike{Level: p.Level, Built: p.On != ""}
	low := math.Inf(1) // of the lowest mark
	for _, m := range p.laid(s) {
		q := z.faces[m.face].pose.Apply(planar.Raise(m.at))
		strike.Middle = append(strike.Middle, planar.OnPlan(q))
		strike.Cut = math.Max(strike.Cut, scarMost*m.wide/2)
		low = math.Min(low, q.Z)
	}
	if strike.Built {
		strike.Level = &parts.Level{Height: low}
		if len(strike.Middle) == 0 {
			strike.Level.Height = math.Inf(-1) // nothing is struck
		}
	}
	strike.Reach = strike.Cut
	return strike
}
