package fracture

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// Boards are laid side by side: along y of their frame, in a box in it.
type Boards struct {
	Frame sdf.Pose
	Box   r3.Box
	Width float64 // of a board, mm
}

// Taken is what each bite takes: of every board a length, its ends splintered and one
// farther in than the next.
func (b Boards) Taken(bites []parts.Bite) []sdf.Field {
	out := make([]sdf.Field, len(bites))
	for i := range bites {
		out[i] = b.taken(&bites[i])
	}
	return out
}

func (b Boards) taken(bite *parts.Bite) sdf.Field {
	if b.Width > coarse*bite.Wide {
		return bite.Rough
	}
	room, ok := Near(b.Box, sdf.Place(bite.Gone, b.Frame.Inverse()).Bounds(), b.Width)
	if !ok {
		return nil
	}
	width := b.Width
	for (room.Max.X-room.Min.X)/width > mostChunks {
		width *= 1.5
	}
	z := (b.Box.Min.Z + b.Box.Max.Z) / 2
	var taken []sdf.Field
	for k := math.Floor((room.Min.X - b.Box.Min.X) / width); b.Box.Min.X+k*width < room.Max.X; k++ {
		rng := rand.New(rand.NewPCG(bite.Seed, uint64(int64(k))))
		left := b.Box.Min.X + k*width
		from, to := math.Inf(1), math.Inf(-1)
		const n = 400
		for i := range n + 1 {
			y := room.Min.Y + (room.Max.Y-room.Min.Y)*float64(i)/n
			if bite.Gone.Value(b.Frame.Apply(sdf.V(left+width/2, y, z))) < 0 {
				from, to = min(from, y), max(to, y)
			}
		}
		ends := [2][]r2.Vec{Splinters(rng, left, width), Splinters(rng, left, width)}
		in := [2]float64{width * (2.6*rng.Float64() - 0.9), width * (2.6*rng.Float64() - 0.9)}
		if to-from < 2*width {
			continue
		}
		// A board's end that would be shorter than it is wide goes too.
		if from+in[0] < b.Box.Min.Y+2*width {
			from, in[0] = b.Box.Min.Y-2*width, 0
		}
		if to-in[1] > b.Box.Max.Y-2*width {
			to, in[1] = b.Box.Max.Y+2*width, 0
		}
		var outline []r2.Vec
		for _, p := range ends[0] {
			outline = append(outline, r2.Vec{X: p.X, Y: from + in[0] + p.Y})
		}
		for i := len(ends[1]) - 1; i >= 0; i-- {
			p := ends[1][i]
			outline = append(outline, r2.Vec{X: p.X, Y: to - in[1] - p.Y})
		}
		taken = append(taken, sdf.Place(sdf.Prism(outline, b.Box.Min.Z, b.Box.Max.Z), b.Frame))
	}
	if len(taken) == 0 {
		return nil
	}
	return sdf.Union(taken...)
}

// Splinters is the end of a board, from its left side to its right: one to three teeth,
// up to a width and a half long.
func Splinters(rng *rand.Rand, left, width float64) (end []r2.Vec) {
	teeth := 1 + rng.IntN(3)
	if width < 2 { // mm: thinner ones would not print
		teeth = 1 + rng.IntN(2)
	}
	for i := range 2*teeth + 1 {
		x := float64(i) / float64(2*teeth)
		if i > 0 && i < 2*teeth {
			x += (rng.Float64() - 0.5) * 0.6 / float64(2*teeth)
		}
		y := 0.3 * rng.Float64()
		if i%2 == 1 {
			y = -0.3 - 1.1*rng.Float64()
		}
		switch i {
		case 0:
			x -= overlap / width
		case 2 * teeth:
			x += overlap / width
		}
		end = append(end, r2.Vec{X: left + x*width, Y: y * width})
	}
	return end
}
