package sdf

// Side says where a ball lies: 1 where all of it is outside the solid or on its surface, -1
// where all of it is inside, 0 where that is not known. It tells more than the value in the
// middle does: a field that rises more slowly than the distance may know how slowly in the
// ball, and of what is joined each part may be told by itself.
func Side(f Field, b Ball) int {
	if s, ok := f.(interface{ Side(b Ball) int }); ok {
		return s.Side(b)
	}
	return sideOf(f.Value(b.C), b.R)
}

// sideOf is the side of a ball in whose middle a field has a value.
func sideOf(v, radius float64) int {
	switch {
	case v > radius:
		return 1
	case v < -radius:
		return -1
	}
	return 0
}

// Side is inside where one part is, and outside where all are.
func (u *union) Side(b Ball) int {
	if u.tree != nil {
		return sideOf(u.Value(b.C), b.R)
	}
	all := 1
	for _, f := range u.parts {
		switch Side(f, b) {
		case -1:
			return -1
		case 0:
			all = 0
		}
	}
	return all
}

// Side is outside where one part is, and inside where all are.
func (n *intersection) Side(b Ball) int {
	all := -1
	for _, f := range n.parts {
		switch Side(f, b) {
		case 1:
			return 1
		case 0:
			all = 0
		}
	}
	return all
}

func (c *complement) Side(b Ball) int { return -Side(c.f, b) }
func (f *placed) Side(b Ball) int     { return Side(f.f, f.inside(b)) }
