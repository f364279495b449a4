package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Prints are the prints of soles in lines of steps along y, left and right in turn, in mm:
// flat, with sloping sides, and a heel apart from the sole where the gap between them is
// at least 0.
type Prints struct {
	seed   uint64
	lines  float64 // from one line of steps to the next
	pace   float64 // from step to step
	length float64 // of a sole
	width  float64
	depth  float64
	arch   float64 // width of what stays between sole and heel
	share  float64 // of the places that hold a line
}

const (
	printTurn  = 8 * math.Pi / 180 // how far a foot turns out at most
	printAside = 0.7               // how far its middle lies off the line, in widths
	printStray = 0.06              // how far it lies out of step, in paces
)

// NewPrints is lines of steps about lines mm apart, a print of a length, a width and a
// depth every pace mm, and arch mm left between sole and heel, 0 for none. A share of the
// lines, 0 to 1, is there. Prints are held to what fits between them.
func NewPrints(seed uint64, lines, pace, length, width, depth, arch, share float64) *Prints {
	pace = max(pace, 1e-3)
	length = min(length, 0.8*pace)
	width = min(width, length)
	return &Prints{seed: seed, lines: max(lines, 4*width), pace: pace, length: length, width: width, depth: depth, arch: arch, share: share}
}

// at gives the depth over a point and its derivative.
func (f *Prints) at(p r3.Vec) (float64, r3.Vec) {
	i := math.Round(p.X / f.lines)
	n := sdf.Hash(f.seed, int64(i), 0, 41)
	if unit(n) >= f.share {
		return 0, r3.Vec{}
	}
	// A line strays as far as its prints stay in its own band.
	free := f.lines/2 - (printAside+0.6)*f.width - f.length/2*math.Sin(printTurn)
	x := p.X - float64(i*f.lines) - float64(max(0, free)*signed(n>>20))
	j := math.Round(p.Y / f.pace)
	m := sdf.Hash(f.seed, int64(i), int64(j), 42)
	side := 1.0
	if int64(j)&1 != 0 {
		side = -1
	}
	sin, cos := math.Sincos(printTurn * side * unit(m))
	dx := x - float64(side*printAside*f.width)
	dy := p.Y - float64(j*f.pace) - float64(printStray*f.pace*signed(m>>20))
	u, v := float64(cos*dx)-float64(sin*dy), float64(sin*dx)+float64(cos*dy)
	d, gu, gv := f.outline(u, v)
	if d >= 0 {
		return 0, r3.Vec{}
	}
	if d <= -f.depth {
		return f.depth, r3.Vec{}
	}
	return -d, r3.Vec{X: -float64(cos*gu) - float64(sin*gv), Y: float64(sin*gu) - float64(cos*gv)}
}

// outline is the signed distance to a print, at most, and its derivative: an octagon, with
// the arch left out of it. The toe is at positive v.
func (f *Prints) outline(u, v float64) (d, gu, gv float64) {
	su, sv := math.Copysign(1, u), math.Copysign(1, v)
	au, av := math.Abs(u), math.Abs(v)
	d, gu, gv = au-f.width/2, su, 0
	if e := av - f.length/2; e > d {
		d, gu, gv = e, 0, sv
	}
	const lean = 0.6 // how the corners are cut: 0.8 across for 0.6 along
	if e := float64(0.8*au) + float64(lean*av) - float64(0.8*f.width/4) - float64(lean*f.length/2); e > d {
		d, gu, gv = e, 0.8*su, lean*sv
	}
	if f.arch > 0 {
		off := v + f.length*0.16
		if e := f.arch/2 - math.Abs(off); e > d {
			d, gu, gv = e, 0, -math.Copysign(1, off)
		}
	}
	return d, gu, gv
}

// Value is the depth over p, whatever its z.
func (f *Prints) Value(p r3.Vec) float64 {
	h, _ := f.at(p)
	return h
}

// Gradient is the depth over p and its derivative.
func (f *Prints) Gradient(p r3.Vec) (float64, r3.Vec) { return f.at(p) }

// Prune leaves out lines that are not there.
func (f *Prints) Prune(b sdf.Ball) Relief {
	r := b.R + slack
	i := math.Round((b.C.X - r) / f.lines)
	if i == math.Round((b.C.X+r)/f.lines) && unit(sdf.Hash(f.seed, int64(i), 0, 41)) >= f.share {
		return none
	}
	return f
}

func (f *Prints) Depth() float64    { return f.depth }
func (f *Prints) Steepest() float64 { return 1 }
func (f *Prints) Cost() int         { return 1 }
