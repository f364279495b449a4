package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

const (
	// aloneCracked is the share of the cracked stones that broke by themselves; the
	// others lie on cracks that run on through several. Common practice, no source.
	aloneCracked = 0.4
	// crackWork bounds the stones that are held against the lines of cracks.
	crackWork = 4_000_000
)

// crackThrough breaks stones along lines that run on from one to the next and branch. A
// stone breaks at most once, and where a line would leave a thin part of one it takes the
// joint instead.
func (p *Paving) crackThrough(s *parts.Site, work *laying, z *pavingSizes) {
	whole := len(work.stones)
	if z.wear.cracked <= 0 || whole == 0 {
		return
	}
	const stonesOfLine = 6
	share := (1 - aloneCracked) * z.wear.cracked
	n := min(int(math.Ceil(share*float64(whole)/stonesOfLine)), crackWork/(2*stonesOfLine*whole)+1)
	rng := s.Rand(p.Name, p.Seed, "cracks")
	b := p.Area.Bounds()
	broken := make([]bool, whole)
	for range n {
		at := r2.Vec{X: b.Min.X + (b.Max.X-b.Min.X)*rng.Float64(), Y: b.Min.Y + (b.Max.Y-b.Min.Y)*rng.Float64()}
		heading := 2 * math.Pi * rng.Float64()
		line := crackLine(rng, at, heading, z.module.long, stonesOfLine)
		turn := math.Pi / 180 * (30 + 30*rng.Float64())
		if rng.Float64() < 0.5 {
			turn = -turn
		}
		branch := crackLine(rng, line[len(line)/2], heading+turn, z.module.long, stonesOfLine/2)
		work.breakAlong(line, broken, s.Print.Gap, z)
		work.breakAlong(branch, broken, s.Print.Gap, z)
	}
}

// crackLine is a line of some steps, each of which turns a little.
func crackLine(rng *rand.Rand, at r2.Vec, heading, step float64, steps int) []r2.Vec {
	line := []r2.Vec{at}
	for range steps {
		sin, cos := math.Sincos(heading + (rng.Float64()-0.5)*0.9)
		at = r2.Add(at, r2.Scale(step*(0.7+0.5*rng.Float64()), r2.Vec{X: cos, Y: sin}))
		line = append(line, at)
	}
	return line
}

// breakAlong breaks the stones that a line runs through from one side to another.
func (k *laying) breakAlong(line []r2.Vec, broken []bool, gap float64, z *pavingSizes) {
	near := planar.Bounds(line)
	for i := range broken {
		l := &k.stones[i]
		if broken[i] || l.even || l.missing || l.outline == nil ||
			l.box.Max.X < near.Min.X || l.box.Min.X > near.Max.X || l.box.Max.Y < near.Min.Y || l.box.Min.Y > near.Max.Y {
			continue
		}
		var met []r2.Vec
		for j, a := range line[:len(line)-1] {
			met = append(met, crossings(l.outline, a, line[j+1])...)
		}
		if len(met) != 2 {
			continue
		}
		e := r2.Sub(met[1], met[0])
		length := planar.Norm2(e)
		if length < z.least {
			continue
		}
		n := r2.Vec{X: e.Y / length, Y: -e.X / length}
		first, second, ok := l.split(n, planar.Dot2(n, met[0]), gap, z.least)
		if !ok {
			continue
		}
		second.lot.sink = min(1, l.lot.sink+0.3*l.lot.crackAt)
		broken[i] = true
		k.stones[i] = first
		k.stones = append(k.stones, second)
	}
}

// crossings are the points where a line from a to b crosses an outline.
func crossings(outline []r2.Vec, a, b r2.Vec) (met []r2.Vec) {
	d := r2.Sub(b, a)
	for i, p := range outline {
		e := r2.Sub(outline[(i+1)%len(outline)], p)
		det := r2.Cross(d, e)
		if math.Abs(det) < 1e-12 {
			continue
		}
		ap := r2.Sub(p, a)
		t, u := r2.Cross(ap, e)/det, r2.Cross(ap, d)/det
		if t >= 0 && t < 1 && u >= 0 && u < 1 {
			met = append(met, r2.Add(a, r2.Scale(t, d)))
		}
	}
	return met
}
