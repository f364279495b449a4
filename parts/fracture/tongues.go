package fracture

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/convex"
)

// Tongues are strips of a torn plate along the edge of a bite, curled away from it: down
// for the most part, up where chance has it.
type Tongues struct {
	Box   r3.Box  // about the plate
	Level float64 // height of its middle, mm
	Thick float64 // mm
	Width float64 // of a tongue at its root, mm
}

// mostTongues bounds the tongues of one bite.
const mostTongues = 60

// Of gives those of a bite in what is left of the plate.
func (t Tongues) Of(left sdf.Field, bite *parts.Bite) (out []sdf.Field) {
	room, ok := Near(t.Box, bite.Gone.Bounds(), t.Width)
	if !ok {
		return nil
	}
	rng := rand.New(rand.NewPCG(bite.Seed, 2))
	step := t.Width
	for (room.Max.X-room.Min.X)*(room.Max.Y-room.Min.Y)/(step*step) > mostPoints/4 {
		step *= 1.5
	}
	var roots []r3.Vec
	for y := room.Min.Y; y <= room.Max.Y; y += step {
		for x := room.Min.X; x <= room.Max.X && len(roots) < mostTongues; x += step {
			p := sdf.V(x, y, t.Level)
			var g r3.Vec
			for range 6 { // onto the edge of the bite
				v, d := bite.Gone.Gradient(p)
				if d.Z = 0; r3.Norm(d) < 0.05 {
					break
				}
				g = r3.Unit(d)
				p = r3.Sub(p, r3.Scale(v/r3.Norm(d), g))
			}
			if g == (r3.Vec{}) || math.Abs(bite.Gone.Value(p)) > 0.1*t.Width {
				continue
			}
			// From the edge out to where the plate still holds.
			for i := 0; i < 8 && left.Value(p) > -0.25*t.Thick; i++ {
				p = r3.Add(p, r3.Scale(0.25*t.Width, g))
			}
			root := r3.Add(p, r3.Scale(0.35*t.Width, g))
			if left.Value(p) > -0.25*t.Thick || left.Value(root) > -0.25*t.Thick || near(roots, root, 1.7*t.Width) {
				continue
			}
			roots = append(roots, root)
			out = append(out, t.tongue(rng, root, r3.Scale(-1, g))...)
		}
	}
	return out
}

func near(all []r3.Vec, p r3.Vec, within float64) bool {
	for _, q := range all {
		if r3.Norm(r3.Sub(p, q)) < within {
			return true
		}
	}
	return false
}

// tongue is a strip of three flat lengths, each bent against the last and narrower.
func (t Tongues) tongue(rng *rand.Rand, root, along r3.Vec) (out []sdf.Field) {
	curl := (12 + 20*rng.Float64()) * math.Pi / 180
	if rng.Float64() < 0.7 {
		curl = -curl
	}
	skew := (rng.Float64() - 0.5) * 0.6
	width, pitch := t.Width*(0.8+0.4*rng.Float64()), 0.0
	sin, cos := math.Sincos(skew)
	along = sdf.V(along.X*cos-along.Y*sin, along.Y*cos+along.X*sin, 0)
	aside := sdf.V(-along.Y, along.X, 0)
	at, length := root, t.Width*(0.7+0.3*rng.Float64())
	for i := range 3 {
		narrow := max(t.Thick, width*(1-0.25*float64(i+1)))
		if i == 2 {
			narrow = t.Thick
		}
		s, c := math.Sincos(pitch)
		d := r3.Add(r3.Scale(c, along), sdf.V(0, 0, s))
		up := r3.Cross(d, aside)
		wide := max(t.Thick, width*(1-0.25*float64(i)))
		taper := (wide - narrow) / 2 / length
		mid := func(n r3.Vec, by float64) convex.Plane {
			n = convex.Unit(n)
			return convex.Plane{N: n, D: r3.Dot(n, at) + by}
		}
		lap := 0.4 * t.Thick
		sides := 1 / math.Hypot(1, taper)
		planes := []convex.Plane{
			mid(up, t.Thick/2), mid(r3.Scale(-1, up), t.Thick/2),
			mid(d, length+lap), mid(r3.Scale(-1, d), lap),
			mid(r3.Add(aside, r3.Scale(taper, d)), wide/2*sides), mid(r3.Add(r3.Scale(-1, aside), r3.Scale(taper, d)), wide/2*sides),
		}
		if p := convex.New(planes); p != nil {
			out = append(out, p)
		}
		at = r3.Add(at, r3.Scale(length, d))
		pitch += curl
		length *= 0.8
	}
	return out
}
