package sdf

// Narrow leaves out of what is joined, in unions, intersections and what is placed,
// those parts that cannot matter in the ball, as Prune does, and keeps the rest whole.
// Prune gives of what Narrow gives, in the ball and in any ball within it, just what
// it gives of f. It is made at once, to be told apart (DigestOf) and not to be looked
// at often: what is left is not in a tree.
func Narrow(f Field, b Ball) Field {
	switch f := f.(type) {
	case *union:
		near := f.near(b, nil)
		if len(near) == 1 {
			return Narrow(f.parts[near[0]], b)
		}
		kept := make([]Field, len(near))
		changed := len(near) < len(f.parts)
		for i, n := range near {
			kept[i] = Narrow(f.parts[n], b)
			changed = changed || kept[i] != f.parts[n]
		}
		if changed {
			return &union{parts: kept, cost: totalCost(kept)}
		}
	case *intersection:
		near := f.near(b, nil)
		kept := make([]Field, len(near))
		changed := len(near) < len(f.parts)
		for i, n := range near {
			kept[i] = Narrow(f.parts[n], b)
			changed = changed || kept[i] != f.parts[n]
		}
		if changed {
			return prunedIntersection(kept)
		}
	case *complement:
		if g := Narrow(f.f, b); g != f.f {
			return &complement{g}
		}
	case *placed:
		if g := Narrow(f.f, f.inside(b)); g != f.f {
			return &placed{f: g, pose: f.pose, bounds: f.bounds}
		}
	}
	return f
}
