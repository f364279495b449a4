package mesh

// mender collects where a proof failed and what to do there: first keep the
// reduction out, then emit the cells in safe mode.
type mender struct {
	t      *octree
	locked map[ipoint]bool // vertices that the reduction must not touch
	safe   map[ipoint]bool // least corners of leaves to emit in safe mode
}

// mend reads the crossing pairs: vertices not locked yet are locked; a pair of
// which all vertices were locked already is the emission's own, and every
// leaf about it is emitted in safe mode.
func (m *mender) mend(x *examiner) {
	if m.locked == nil {
		m.locked, m.safe = map[ipoint]bool{}, map[ipoint]bool{}
	}
	for _, pair := range x.pairs {
		fresh := false
		for _, t := range pair {
			for _, v := range x.triangles[t] {
				if p := x.points[v]; !m.locked[p] {
					m.locked[p] = true
					fresh = true
				}
			}
		}
		if fresh {
			continue
		}
		for _, t := range pair {
			for _, v := range x.triangles[t] {
				for _, lo := range m.t.leavesAt(x.points[v]) {
					m.safe[lo] = true
				}
			}
		}
	}
}

// leavesAt gives the least corners of the crossed leaves that hold a point.
func (t *octree) leavesAt(p ipoint) []ipoint {
	var out []ipoint
	for _, b := range t.blocks {
		lo := t.at(b.at, 0, 0, 0)
		if !holds(lo, blockSteps*t.step, p) {
			continue
		}
		for i := range b.leaves {
			l := &b.leaves[i]
			if at := t.at(b.at, int(l.x), int(l.y), int(l.z)); l.crossed() && holds(at, int32(l.size)*t.step, p) {
				out = append(out, at)
			}
		}
	}
	return out
}

// holds says whether the closed cube holds p.
func holds(lo ipoint, side int32, p ipoint) bool {
	for i := range 3 {
		if p[i] < lo[i] || p[i] > lo[i]+side {
			return false
		}
	}
	return true
}
