package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The relief of a surface near by: joints, tool marks, worn edges. The maps of the sky
// are too coarse for them, so that the samples of the picture themselves are asked how
// high the horizon stands.

// reliefReaches is how far away the horizon is looked for, mm of the print: from what
// just prints to the width of a stone.
var reliefReaches = [...]float64{0.1, 0.2, 0.5, 1.3}

// reliefWays are the directions on the picture in which it is looked for.
var reliefWays = func() (ways [7][2]float64) {
	for i := range ways {
		sn, cs := sincos((float64(i) + 0.37) * 360 / float64(len(ways)))
		ways[i] = [2]float64{cs, sn}
	}
	return ways
}()

const (
	leastAbove = 0.04 // sine of the height over the plane from which a horizon takes light
	leastBelow = 0.06 // the same of a depth that makes a ridge
	ridgeSteps = 2    // of the reaches tell of ridges
)

// reliefSteps are the samples that are looked at, for a nearness: they lie as far away on
// the print wherever a place is.
type reliefSteps struct {
	ways  [len(reliefWays)][len(reliefReaches)]reliefStep
	reach int     // the farthest, samples along a side
	fades float64 // what is sqrt(1/fades) mm away is another thing, in front or behind
}

// reliefStep is one sample.
type reliefStep struct {
	x, y   int     // from the sample's own
	over   int     // the same, by its number
	dx, dy float64 // the same, mm at the focus, y up
	flat   float64 // how far off the plane, mm at the focus, what counts for nothing may lie
}

// nearGrade tells places apart by their nearness, some hundredth of it each.
func nearGrade(near float32) int { return int(math.Float32bits(near) >> 17) }

// lookAround sets the steps out for all that is seen. Where there is perspective, from the
// least nearness to the greatest.
func (s *scene) lookAround() {
	if s.cam.dist == 0 {
		s.around = []reliefSteps{s.stepsAt(1)}
		return
	}
	least, most := float32(math.Inf(1)), float32(0)
	for _, n := range s.view.near {
		if n != nothing {
			least, most = min(least, n), max(most, n)
		}
	}
	if least > most {
		return
	}
	s.firstGrade = nearGrade(least)
	for g := s.firstGrade; g <= nearGrade(most); g++ {
		lo, hi := math.Float32frombits(uint32(g)<<17), math.Float32frombits(uint32(g+1)<<17)
		s.around = append(s.around, s.stepsAt(float64(lo+hi)/2))
	}
}

// stepsAt are the steps where things are drawn so many times as large as at the focus.
func (s *scene) stepsAt(times float64) (t reliefSteps) {
	perMM := s.cam.scale * times
	var steps [len(reliefReaches)]float64 // samples
	for i, r := range reliefReaches {
		steps[i] = max(r*perMM, 1.3*float64(i+1))
	}
	farthest := steps[len(steps)-1]
	mm := 1.25 * farthest / perMM
	t.reach, t.fades = int(farthest)+1, 1/(mm*mm)
	for w, way := range reliefWays {
		for k, step := range steps {
			x, y := int(math.Floor(0.5+way[0]*step)), int(math.Floor(0.5+way[1]*step))
			dx, dy := float64(x)/s.cam.scale, -float64(y)/s.cam.scale
			t.ways[w][k] = reliefStep{x, y, y*s.view.width + x, dx, dy, leastAbove * math.Hypot(dx, dy) * s.upright()}
		}
	}
	return t
}

// upright is the cosine of the widest angle between a line of sight and the camera's axis: of
// how far two places lie from each other on the picture, they lie so far from each other at
// least.
func (s *scene) upright() float64 {
	if s.cam.dist == 0 {
		return 1
	}
	c := &s.cam
	x, y := max(c.cx, float64(s.view.width)-c.cx), max(c.cy, float64(s.height)-c.cy)
	return c.dist / math.Hypot(c.dist, math.Hypot(x, y)/c.scale)
}

// relief looks at the samples around one for what stands above the plane of the facet,
// with unit normal n, or falls away from it. hollow is the share of the light of an
// even sky, by the cosine, that the horizon leaves: 1 where nothing stands above; ridge
// runs from 0 to about 1 on an outward edge.
//
// How far a place lies from the plane, times its nearness, runs evenly with the place on
// the picture and the nearness. So the samples that lie about on the plane, most of them,
// are told by three products.
func (s *scene) relief(x, y int, n r3.Vec) (hollow, ridge float64) {
	c := &s.cam
	mx, my, mz := r3.Dot(n, c.right), r3.Dot(n, c.up), r3.Dot(n, c.back)
	at := y*s.view.width + x
	near := s.view.near[at]
	p := c.ofPicture(float64(x)+0.5, float64(y)+0.5, float64(near))
	ax, ay := (float64(x)+0.5-c.cx)/c.scale, (c.cy-float64(y)-0.5)/c.scale
	mn := mz // how h below grows with the nearness
	if c.dist > 0 {
		mn = (c.dist-p.Z)*mz - p.X*mx - p.Y*my
	}
	t := &s.around[0]
	if c.dist > 0 {
		t = &s.around[nearGrade(near)-s.firstGrade]
	}
	atRim := x < t.reach || y < t.reach || x >= s.view.width-t.reach || y >= s.height-t.reach
	var above, below float64
	for w := range t.ways {
		var highest float64
		for k := range t.ways[w] {
			step := &t.ways[w][k]
			if atRim && (uint(x+step.x) >= uint(s.view.width) || uint(y+step.y) >= uint(s.height)) {
				break
			}
			there := s.view.near[at+step.over]
			if there == nothing {
				break
			}
			h := step.dx*mx + step.dy*my + float64(there-near)*mn
			if h <= step.flat && (k >= ridgeSteps || h >= -step.flat) {
				continue
			}
			// From p, times the nearness where there is perspective.
			times, z := 1.0, float64(there)
			if c.dist > 0 {
				times = z
				z = c.dist*z - c.dist
			}
			dx, dy, dz := ax+step.dx-p.X*times, ay+step.dy-p.Y*times, z-p.Z*times
			far := dx*dx + dy*dy + dz*dz
			fade := max(0, 1-far*t.fades/(times*times))
			h *= fade / math.Sqrt(far) // sine of the height over the plane
			highest = max(highest, h)
			if k < ridgeSteps {
				below += max(0, -leastBelow-h)
			}
		}
		above += max(0, highest-leastAbove)
	}
	return max(0.1, 1-1.15*above/float64(len(reliefWays))), min(1, 2*below/float64(ridgeSteps*len(reliefWays)))
}
