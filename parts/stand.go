package parts

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Stand is a patch kept flat and clear for a miniature's foot.
type Stand struct {
	At     r2.Vec  `key:"at" type:"point" doc:"centre from the middle of the footprint, along its own axes" default:"0, 0"`
	Round  float64 `key:"round" type:"length" doc:"diameter of the pad" required:"yes" min:"2" max:"200"`
	Height float64 `key:"height" type:"length" doc:"height of the pad above the base's level" default:"0" min:"-10" max:"100"`
	Clear  float64 `key:"clear" type:"length" doc:"height kept clear above the pad" default:"40" min:"1" max:"300"`
}

// padTop is the height of a stand's pad above the foot of the base, mm.
func (b *Base) padTop(st *Stand) float64 { return b.Height + b.Lift + st.Height }

// overAndUnder gives, of every stand, the room that is kept clear over its pad,
// and the pad down to the foot.
func (b *Base) overAndUnder() (clear, pads []sdf.Field) {
	for i := range b.Stands {
		st := &b.Stands[i]
		top := b.padTop(st)
		clear = append(clear, drum(st.At, st.Round/2, top, top+st.Clear))
		pads = append(pads, drum(st.At, st.Round/2, 0, top))
	}
	return clear, pads
}

// stood gives the base with its pads: all above a pad cleared away, all below it
// filled, as far as the column of the base goes.
func (b *Base) stood(f, column sdf.Field) sdf.Field {
	clear, pads := b.overAndUnder()
	if len(pads) == 0 {
		return f
	}
	return sdf.Union(sdf.Difference(f, clear...), sdf.Intersection(column, sdf.Union(pads...)))
}

// finished gives a base with all that stays as it was asked for whatever the
// scenery does: its pads, its hollow and its pockets. wall is the print's least.
func (b *Base) finished(f, column sdf.Field, foot footprint, wall float64) sdf.Field {
	return sdf.Difference(b.stood(f, column), b.hollowed(foot, wall)...)
}

// standFaults reports pads that reach over the edge, run into each other or lie
// lower than what must be left of the base.
func (b *Base) standFaults(f footprint) []Fault {
	const most = 100 // far more than fit
	if len(b.Stands) > most {
		return []Fault{{Part: b.Name, Key: fmt.Sprintf("stand[%d]", most), Text: fmt.Sprintf("%d stands", len(b.Stands)), Allowed: fmt.Sprintf("at most %d", most)}}
	}
	var faults []Fault
	shape := f.shape()
	for i := range b.Stands {
		st := &b.Stands[i]
		fault := func(key, text, allowed string) {
			faults = append(faults, Fault{Part: b.Name, Key: fmt.Sprintf("stand[%d].%s", i, key), Text: text, Allowed: allowed})
		}
		if over := st.Round/2 + shape.at(st.At) + b.Taper; over > 1e-9 {
			fault("round", fmt.Sprintf("the pad reaches %.2f mm beyond the top of the rim", over), "a pad within the top outline of the base")
		}
		least := b.leastTop()
		for _, p := range b.pockets(f) {
			if r2.Norm(r2.Sub(p.at, st.At)) < p.radius+bossWall+st.Round/2 {
				least = max(least, p.depth+p.skin)
			}
		}
		if top := b.padTop(st); top < least-1e-9 {
			fault("height", fmt.Sprintf("the pad lies %.2f mm above the foot, lower than what must be left of the base", top),
				fmt.Sprintf("at least %.2f mm", least-b.Height-b.Lift))
		}
		for j := range i {
			o := &b.Stands[j]
			if o.Height != st.Height && r2.Norm(r2.Sub(o.At, st.At)) < (o.Round+st.Round)/2 {
				fault("at", fmt.Sprintf("the pad runs into stand[%d], which has another height", j), "pads apart, or of one height")
				break
			}
		}
	}
	return faults
}
