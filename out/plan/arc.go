package plan

import "math"

// chords are straight sides along the way that leads to a node, one for every
// eighth of a turn or less of an arc.
func chords(from Point, n Node) [][2]Point {
	c, start, sweep, rx, ry, ok := centred(from, n)
	if !ok {
		return [][2]Point{{from, n.To}}
	}
	steps := max(1, int(math.Ceil(math.Abs(sweep)/(math.Pi/8))))
	sin, cos := math.Sincos(n.Turn * math.Pi / 180)
	var out [][2]Point
	last := from
	for i := 1; i <= steps; i++ {
		s, k := math.Sincos(start + sweep*float64(i)/float64(steps))
		p := Point{c.X + rx*k*cos - ry*s*sin, c.Y + rx*k*sin + ry*s*cos}
		if i == steps {
			p = n.To
		}
		out = append(out, [2]Point{last, p})
		last = p
	}
	return out
}

// centred gives the middle of the arc that leads to a node, where on the ellipse
// it starts and how far round it goes, radians anticlockwise, and its half-axes,
// enlarged where they do not reach (SVG 1.1, appendix F.6.5 and F.6.6).
func centred(from Point, n Node) (c Point, start, sweep, rx, ry float64, ok bool) {
	rx, ry = n.RX, n.RY
	if !(rx > 0 && ry > 0) || from == n.To {
		return c, 0, 0, 0, 0, false
	}
	sin, cos := math.Sincos(n.Turn * math.Pi / 180)
	dx, dy := (from.X-n.To.X)/2, (from.Y-n.To.Y)/2
	x, y := cos*dx+sin*dy, cos*dy-sin*dx
	if k := x*x/(rx*rx) + y*y/(ry*ry); k > 1 {
		rx, ry = rx*math.Sqrt(k), ry*math.Sqrt(k)
	}
	q := (rx*rx*ry*ry - rx*rx*y*y - ry*ry*x*x) / (rx*rx*y*y + ry*ry*x*x)
	f := math.Sqrt(max(0, q))
	if n.Large == !n.Clockwise {
		f = -f
	}
	cx, cy := f*rx*y/ry, -f*ry*x/rx
	start = math.Atan2((y-cy)/ry, (x-cx)/rx)
	end := math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	sweep = end - start
	switch {
	case !n.Clockwise && sweep <= 0:
		sweep += 2 * math.Pi
	case n.Clockwise && sweep >= 0:
		sweep -= 2 * math.Pi
	}
	c = Point{cos*cx - sin*cy + (from.X+n.To.X)/2, sin*cx + cos*cy + (from.Y+n.To.Y)/2}
	return c, start, sweep, rx, ry, true
}
