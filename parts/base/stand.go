package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Stand is a patch kept flat and clear for a miniature's foot.
type Stand struct {
	At     r2.Vec       `key:"at" type:"point" plan:"own" doc:"centre from the middle of the footprint, along its own axes" default:"0, 0"`
	Round  float64      `key:"round" type:"length" doc:"diameter of the pad" required:"yes" min:"2" max:"200"`
	Level  *parts.Level `key:"level" type:"level" doc:"finished level of the pad; if level and height are left out: that of the floor or the step under its middle"`
	Height *float64     `key:"height" type:"length" doc:"height of the pad above the base's level, instead of level: it stays when levels move" min:"-10" max:"100"`
	Clear  float64      `key:"clear" type:"length" doc:"height kept clear above the pad" default:"40" min:"1" max:"300"`
	Face   string       `key:"face" type:"word" doc:"laid: the floor goes on under the foot, its stones true and level with shallow joints, bare ground packed level. smooth: a plain disc, as it also is if no floor lies at its height" default:"laid" words:"laid,smooth"`
}

// Pad is a stand as it lies on a piece, in the piece's coordinates.
type Pad struct {
	At         r2.Vec
	Round      float64
	Top, Clear float64 // mm above the foot, and above the top
	Laid       bool    // the floor goes on under it; else it is smooth
}

// PadsOn gives the pads of a base laid at a spot, in the order of its stands.
func (b *Base) PadsOn(s *parts.Site, at *Spot) []Pad {
	if len(b.Stands) == 0 {
		return nil
	}
	datum := b.Datum(s, at.OnScene())
	pads := make([]Pad, len(b.Stands))
	for i := range b.Stands {
		st := &b.Stands[i]
		up := 0.0 // over the base's level
		floor, on := s.FloorAt(at.Place(st.At))
		switch {
		case st.Level != nil:
			up = st.Level.Height - datum
		case st.Height != nil:
			up = *st.Height
		case on:
			up = floor - datum
		}
		pads[i] = Pad{st.At, st.Round, b.Height + b.Lift + up, st.Clear, st.Face == "laid" && on && math.Abs(floor-datum-up) < parts.SameHeight}
	}
	return pads
}

// standFaults reports pads that reach over the edge, and those with both a level and a
// height.
func (b *Base) standFaults(f Footprint) []parts.Fault {
	const most = 100 // far more than fit
	if len(b.Stands) > most {
		return []parts.Fault{{Part: b.Name, Key: fmt.Sprintf("stand[%d]", most), Text: fmt.Sprintf("%d stands", len(b.Stands)), Allowed: fmt.Sprintf("at most %d", most)}}
	}
	var faults []parts.Fault
	shape := f.Shape()
	for i := range b.Stands {
		st := &b.Stands[i]
		if over := st.Round/2 + shape.At(st.At) + b.Taper; over > 1e-9 {
			faults = append(faults, b.standFault(i, "round", fmt.Sprintf("the pad reaches %.2f mm beyond the top of the rim", over), "a pad within the top outline of the base"))
		}
		if st.Level != nil && st.Height != nil {
			faults = append(faults, b.standFault(i, "height", "the stand has a level already", "level or height, or neither"))
		}
	}
	return faults
}

// PadFaults reports pads that, on a laid piece, lie lower than what must be left of the
// base or run into each other.
func (b *Base) PadFaults(s *parts.Site, at *Spot) []parts.Fault {
	pads := b.PadsOn(s, at)
	var faults []parts.Fault
	for i, p := range pads {
		least := b.leastTop()
		for _, k := range b.pockets(s) {
			if r2.Norm(r2.Sub(k.at, p.At)) < k.radius+bossWall+p.Round/2 {
				least = max(least, k.depth+k.skin)
			}
		}
		if p.Top < least-1e-9 {
			key, up := "at", least-b.Height-b.Lift
			allowed := fmt.Sprintf("a place where the floor is at least %.2f mm above the base's level", up)
			switch st := &b.Stands[i]; {
			case st.Level != nil:
				key, allowed = "level", fmt.Sprintf("at least %.2f mm", st.Level.Height+least-p.Top)
			case st.Height != nil:
				key, allowed = "height", fmt.Sprintf("at least %.2f mm", up)
			}
			faults = append(faults, b.standFault(i, key, fmt.Sprintf("the pad lies %.2f mm above the foot, lower than what must be left of the base", p.Top), allowed))
		}
		for j, o := range pads[:i] {
			if math.Abs(o.Top-p.Top) > parts.SameHeight && r2.Norm(r2.Sub(o.At, p.At)) < (o.Round+p.Round)/2 {
				faults = append(faults, b.standFault(i, "at", fmt.Sprintf("the pad runs into stand[%d], which has another height", j), "pads apart, or of one height"))
				break
			}
		}
	}
	return faults
}

func (b *Base) standFault(i int, key, text, allowed string) parts.Fault {
	return parts.Fault{Part: b.Name, Key: fmt.Sprintf("stand[%d].%s", i, key), Text: text, Allowed: allowed}
}
