package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Stand is a patch kept flat and clear for a miniature's foot.
type Stand struct {
	At     r2.Vec   `key:"at" type:"point" doc:"centre from the middle of the footprint, along its own axes" default:"0, 0"`
	Round  float64  `key:"round" type:"length" doc:"diameter of the pad" required:"yes" min:"2" max:"200"`
	Level  *Level   `key:"level" type:"level" doc:"finished level that the pad lies at; left out, and height too: that of the floor or the step under its middle"`
	Height *float64 `key:"height" type:"length" doc:"height of the pad above the base's level, in place of level: it stays when levels move" min:"-10" max:"100"`
	Clear  float64  `key:"clear" type:"length" doc:"height kept clear above the pad" default:"40" min:"1" max:"300"`
}

// pad is a stand as it lies on a piece, in the piece's coordinates.
type pad struct {
	at         r2.Vec
	round      float64
	top, clear float64 // mm above the foot, and above the top
}

// padsOn gives the pads of a base laid at a spot, in the order of its stands.
func (b *Base) padsOn(s *Site, at *spot) []pad {
	if len(b.Stands) == 0 {
		return nil
	}
	datum := b.datum(s, at.onScene())
	pads := make([]pad, len(b.Stands))
	for i := range b.Stands {
		st := &b.Stands[i]
		up := 0.0 // over the base's level
		switch {
		case st.Level != nil:
			up = st.Level.Height - datum
		case st.Height != nil:
			up = *st.Height
		default:
			if floor, ok := s.FloorAt(at.place(st.At)); ok {
				up = floor - datum
			}
		}
		pads[i] = pad{st.At, st.Round, b.Height + b.Lift + up, st.Clear}
	}
	return pads
}

// overAndUnder gives, of every pad, the room that is kept clear over it, and the pad
// down to the foot.
func overAndUnder(pads []pad) (over, under []sdf.Field) {
	for _, p := range pads {
		over = append(over, drum(p.at, p.round/2, p.top, p.top+p.clear))
		under = append(under, drum(p.at, p.round/2, 0, p.top))
	}
	return over, under
}

// stood gives a base with its pads: all above a pad cleared away, all below it
// filled, as far as the column of the base goes.
func stood(f, column sdf.Field, pads []pad) sdf.Field {
	if len(pads) == 0 {
		return f
	}
	over, under := overAndUnder(pads)
	return sdf.Union(sdf.Difference(f, over...), sdf.Intersection(column, sdf.Union(under...)))
}

// finished gives a base with all that stays as it was asked for whatever the
// scenery does: its pads, its hollow and its pockets. wall is the print's least.
func (b *Base) finished(f, column sdf.Field, foot footprint, pads []pad, wall float64) sdf.Field {
	return sdf.Difference(stood(f, column, pads), b.hollowed(foot, wall)...)
}

// standFaults reports pads that reach over the edge, and those told twice.
func (b *Base) standFaults(f footprint) []Fault {
	const most = 100 // far more than fit
	if len(b.Stands) > most {
		return []Fault{{Part: b.Name, Key: fmt.Sprintf("stand[%d]", most), Text: fmt.Sprintf("%d stands", len(b.Stands)), Allowed: fmt.Sprintf("at most %d", most)}}
	}
	var faults []Fault
	shape := f.shape()
	for i := range b.Stands {
		st := &b.Stands[i]
		if over := st.Round/2 + shape.at(st.At) + b.Taper; over > 1e-9 {
			faults = append(faults, b.standFault(i, "round", fmt.Sprintf("the pad reaches %.2f mm beyond the top of the rim", over), "a pad within the top outline of the base"))
		}
		if st.Level != nil && st.Height != nil {
			faults = append(faults, b.standFault(i, "height", "the stand has a level already", "level or height, or neither"))
		}
	}
	return faults
}

// padFaults reports pads that, on a laid piece, lie lower than what must be left of the
// base or run into each other.
func (b *Base) padFaults(s *Site, at *spot) []Fault {
	pads := b.padsOn(s, at)
	var faults []Fault
	for i, p := range pads {
		least := b.leastTop()
		for _, k := range b.pockets(at.footprint) {
			if r2.Norm(r2.Sub(k.at, p.at)) < k.radius+bossWall+p.round/2 {
				least = max(least, k.depth+k.skin)
			}
		}
		if p.top < least-1e-9 {
			key, up := "at", least-b.Height-b.Lift
			allowed := fmt.Sprintf("a place where the floor is at least %.2f mm above the base's level", up)
			switch st := &b.Stands[i]; {
			case st.Level != nil:
				key, allowed = "level", fmt.Sprintf("at least %.2f mm", st.Level.Height+least-p.top)
			case st.Height != nil:
				key, allowed = "height", fmt.Sprintf("at least %.2f mm", up)
			}
			faults = append(faults, b.standFault(i, key, fmt.Sprintf("the pad lies %.2f mm above the foot, lower than what must be left of the base", p.top), allowed))
		}
		for j, o := range pads[:i] {
			if math.Abs(o.top-p.top) > sameHeight && r2.Norm(r2.Sub(o.at, p.at)) < (o.round+p.round)/2 {
				faults = append(faults, b.standFault(i, "at", fmt.Sprintf("the pad runs into stand[%d], which has another height", j), "pads apart, or of one height"))
				break
			}
		}
	}
	return faults
}

func (b *Base) standFault(i int, key, text, allowed string) Fault {
	return Fault{Part: b.Name, Key: fmt.Sprintf("stand[%d].%s", i, key), Text: text, Allowed: allowed}
}
