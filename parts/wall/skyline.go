package wall

import (
	"math"
	"math/rand/v2"

	"socle/parts"
)

// skyline is a broken outline: a smooth random height between 0 and 1 along
// the wall.
type skyline struct{ wave, phase, size [5]float64 }

func newSkyline(rng *rand.Rand, length float64) *skyline {
	k := &skyline{}
	for i := range k.wave {
		k.wave[i] = 2 * math.Pi * (float64(i) + 0.6 + 0.5*rng.Float64()) / max(length, 1)
		k.phase[i] = 2 * math.Pi * rng.Float64()
		k.size[i] = 1 / float64(i+1)
	}
	return k
}

func (k *skyline) at(x float64) float64 {
	v, most := 0.0, 0.0
	for i := range k.wave {
		v += k.size[i] * math.Sin(k.wave[i]*x+k.phase[i])
		most += k.size[i]
	}
	// Waves are seldom all at their crests together: two thirds of that is a peak.
	return max(0, min(1, 0.5+0.75*v/most))
}

// skyline is the wall's broken top, and the random numbers that its stones then draw.
func (w *Wall) skyline(s *parts.Site) (*skyline, *rand.Rand) {
	rng := s.Rand(w.Name, w.Seed, "masonry")
	return newSkyline(rng, w.length()), rng
}

// standing is the height that is left of the wall at a distance along its line.
func (m *masonry) standing(x float64) float64 {
	if m.w.Ruin == 0 {
		return m.height
	}
	return m.height * (1 - m.w.Ruin*(0.1+0.85*m.top.at(x)))
}

// Upright is the wall as it is drawn, for what is set on it or breaks it.
func (w *Wall) Upright(s *parts.Site) (u parts.Upright, ok bool) {
	if len(w.Line) < 2 || w.length() < 1e-6 || !(w.height() > 0) {
		return u, false
	}
	m := w.settled(s)
	u = parts.Upright{Line: w.Line, Thick: m.thick, Foot: w.From.Height, High: m.height, Left: m.standing}
	if w.Coursing != "none" {
		rows, _ := m.grid(0)
		u.Course = m.body() / float64(rows)
	}
	return u, true
}
