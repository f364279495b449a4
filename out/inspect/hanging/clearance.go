package hanging

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/out/inspect/tree"
)

// throatAt measures a passage on the mesh, along the surface's own side of a place:
// the diameter of the largest ball there that lies athwart the way ahead, where
// that is least within so far along the way, mm. It gives its middle too. The
// place must not lie on the surface, and no ball wider than twice far is told
// from another.
func throatAt(x *tree.Index, p, ahead r3.Vec, along, far float64) (width float64, middle r3.Vec) {
	const golden = 0.6180339887498949
	e, f := tree.Across(ahead)
	at := func(by float64) (float64, r3.Vec) { return widestBall(x, r3.Add(p, r3.Scale(by, ahead)), e, f, far) }
	if _, d, _, ok := x.Nearest(p, along); ok {
		along = min(along, 0.9*d) // else it might be through the surface
	}
	from, to := -along, along
	a, b := to-golden*(to-from), from+golden*(to-from)
	da, ma := at(a)
	db, mb := at(b)
	for to-from > 1e-3 {
		if da < db {
			to, b, db, mb = b, a, da, ma
			a = to - golden*(to-from)
			da, ma = at(a)
		} else {
			from, a, da, ma = a, b, db, mb
			b = from + golden*(to-from)
			db, mb = at(b)
		}
	}
	width, middle = at(0)
	if da < width {
		width, middle = da, ma
	}
	if db < width {
		width, middle = db, mb
	}
	return width, middle
}

// widestBall gives the diameter of the largest ball about a place of the plane
// through p along e and f, uphill from p, and its middle. It never steps further
// than the ball that it is in, and so stays on p's side of the surface.
func widestBall(x *tree.Index, p, e, f r3.Vec, far float64) (diameter float64, middle r3.Vec) {
	const around = 16 // directions: ridges of the distance are climbed up to 79 degrees from either face
	clear := func(p r3.Vec) float64 {
		_, d, _, ok := x.Nearest(p, far)
		if !ok {
			return far
		}
		return d
	}
	radius := clear(p)
	for step := radius; step > tree.OnLattice/4 && radius < far; {
		best, to := radius, p
		for n := range around {
			sin, cos := math.Sincos(2 * math.Pi * float64(n) / around)
			q := r3.Add(p, r3.Scale(0.9*step, r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))))
			if d := clear(q); d > best {
				best, to = d, q
			}
		}
		if best > radius {
			radius, p = best, to
			step = min(2*step, radius)
		} else {
			step /= 2
		}
	}
	return 2 * radius, p
}
