package mesh

type vec = [3]float64

func sub(a, b vec) vec { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func dotv(a, b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func crossv(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// distance2 is the squared distance from p to the triangle (a,b,c); Ericson,
// Real-Time Collision Detection, 5.1.5.
func distance2(p, a, b, c vec) float64 {
	ab, ac, ap := sub(b, a), sub(c, a), sub(p, a)
	d1, d2 := dotv(ab, ap), dotv(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return dotv(ap, ap)
	}
	bp := sub(p, b)
	d3, d4 := dotv(ab, bp), dotv(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return dotv(bp, bp)
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return awayFrom(ap, ab, d1/(d1-d3))
	}
	cp := sub(p, c)
	d5, d6 := dotv(ab, cp), dotv(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return dotv(cp, cp)
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return awayFrom(ap, ac, d2/(d2-d6))
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return awayFrom(bp, sub(c, b), (d4-d3)/((d4-d3)+(d5-d6)))
	}
	n := crossv(ab, ac)
	h := dotv(n, ap)
	return h * h / dotv(n, n)
}

// awayFrom is the squared length of p - t*d.
func awayFrom(p, d vec, t float64) float64 {
	q := vec{p[0] - t*d[0], p[1] - t*d[1], p[2] - t*d[2]}
	return dotv(q, q)
}

// segmentDistance2 is the squared distance from p to the segment ab.
func segmentDistance2(p, a, b vec) float64 {
	d, ap := sub(b, a), sub(p, a)
	n := dotv(d, d)
	if n == 0 {
		return dotv(ap, ap)
	}
	return awayFrom(ap, d, min(max(dotv(ap, d)/n, 0), 1))
}
