package fracture

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// Mesh is the reinforcement of a slab, in mm on the print.
type Mesh struct {
	Thick   float64 // of a bar
	Spacing float64 // middle to middle
	Longest float64 // that sticks out of a break
}

// MeshOf is that of a slab: bars of 8 mm at 200 mm (BS 4483 fabric A252, from memory), no
// thinner than a pin of the print, with two pins between them at least. They stick out by
// no more than half as far as a slender pin may.
func MeshOf(s *parts.Site) Mesh {
	const bar, centres = 8, 200 // full-size mm
	m := Mesh{Thick: max(s.Print.Pin, s.OnPrint(bar))}
	m.Spacing = max(s.OnPrint(centres), 3*m.Thick)
	m.Longest = min(5, max(2, s.Inspect.Slender/2)) * m.Thick
	return m
}

// mostBars bounds the bars of one break.
const mostBars = 300

// Bars are the ends of the reinforcement that stick out of what is left of a slab, between
// two heights: two to five times as long as they are thick, rooted by as much as they are
// thick, bent down and aside.
func (m Mesh) Bars(slab, left sdf.Field, low, high float64, bite *parts.Bite, box r3.Box) (bars []sdf.Field) {
	room, ok := Near(box, bite.Gone.Bounds(), 2*m.Spacing)
	if !ok || high-low < m.Thick {
		return nil
	}
	rng := rand.New(rand.NewPCG(bite.Seed, 1))
	spacing := m.Spacing
	for wide := max(room.Max.X-room.Min.X, room.Max.Y-room.Min.Y); wide/spacing > mostBars/4; {
		spacing *= 1.5
	}
	for axis := range 2 {
		z := low + (high-low)*0.4
		if axis == 1 { // one layer lies on the other where there is room
			z = min(z+m.Thick, high-m.Thick/2)
		}
		from, to, lo, hi := room.Min.X, room.Max.X, room.Min.Y, room.Max.Y
		along := sdf.V(1, 0, 0)
		if axis == 1 {
			from, to, lo, hi, along = lo, hi, from, to, sdf.V(0, 1, 0)
		}
		for k := math.Ceil(lo / spacing); k*spacing < hi && len(bars) < mostBars; k++ {
			at := func(t float64) r3.Vec {
				if axis == 1 {
					return sdf.V(k*spacing, t, z)
				}
				return sdf.V(t, k*spacing, z)
			}
			step := m.Thick / 4
			in, edge := left.Value(at(from)) < 0, math.Inf(-1)
			for t := from + step; t < to; t += step {
				now := left.Value(at(t)) < 0
				if now == in {
					continue
				}
				torn := slab.Value(at(t)) < 0 && slab.Value(at(t-step)) < 0 // not an edge of its own
				if now {                                                    // back into the slab
					if bar := m.bar(rng, left, at(t), r3.Scale(-1, along), t-edge); torn && bar != nil {
						bars = append(bars, bar...)
					}
				} else {
					far := to - t
					for u := t + step; u < to; u += step {
						if left.Value(at(u)) < 0 {
							far = u - t
							break
						}
					}
					if bar := m.bar(rng, left, at(t), along, far); torn && bar != nil {
						bars = append(bars, bar...)
					}
					edge = t
				}
				in = now
			}
		}
	}
	return bars
}

// bar sticks out of a break at a place; nil where it would not hold or has no room.
func (m Mesh) bar(rng *rand.Rand, left sdf.Field, at, out r3.Vec, room float64) []sdf.Field {
	length, fall, aside := m.Thick*(2+3*rng.Float64()), (0.2+0.8*rng.Float64())*math.Pi/3, (rng.Float64()-0.5)*1.2
	length = min(length, min(m.Longest, 0.45*room))
	root := r3.Sub(at, r3.Scale(1.5*m.Thick, out))
	if length < m.Thick || left.Value(root) > -0.3*m.Thick || left.Value(r3.Sub(at, r3.Scale(0.6*m.Thick, out))) > 0 {
		return nil
	}
	knee := r3.Add(at, r3.Scale(0.4*length, out))
	sin, cos := math.Sincos(fall)
	d := r3.Unit(sdf.V(out.X*cos-out.Y*aside, out.Y*cos+out.X*aside, -sin))
	tip := r3.Add(knee, r3.Scale(0.6*length, d))
	return []sdf.Field{sdf.Capsule(root, knee, m.Thick/2), sdf.Capsule(knee, tip, m.Thick/2)}
}
