package mesh

import "slices"

// mender collects where a proof failed and what to do there: first keep the
// reduction out, then emit the cells in safe mode too.
type mender struct {
	t          *octree
	kept       []ibox          // no vertex in these is removed by the reduction
	distrusted []ibox          // leaves that touch these are emitted in safe mode
	safe       map[ipoint]bool // their least corners
	rounds     int32
}

// mend reads the pairs that cross and the shells that are turned. The reduction is kept
// out of where the boxes of a pair meet and of the box of a shell, a cell further out
// each time; from the third time on, the emission is distrusted as well, and is to be
// done again.
func (m *mender) mend(x *examiner) (distrusts bool) {
	m.rounds++
	places := slices.Clone(x.turned)
	for _, pair := range x.pairs {
		a := triangleBox(x.points, &x.triangles[pair[0]])
		b := triangleBox(x.points, &x.triangles[pair[1]])
		for i := range 3 {
			a.lo[i], a.hi[i] = max(a.lo[i], b.lo[i]), min(a.hi[i], b.hi[i])
		}
		places = append(places, a)
	}
	margin := m.rounds * cellSteps * m.t.step
	for i := range places {
		places[i].widen(margin)
	}
	m.kept = append(m.kept, places...)
	if m.rounds > 2 {
		m.distrusted = append(m.distrusted, places...)
	}
	return m.rounds > 2
}

// widen moves every side outward.
func (b *ibox) widen(by int32) {
	for i := range 3 {
		b.lo[i], b.hi[i] = b.lo[i]-by, b.hi[i]+by
	}
}

// distrust marks the crossed leaves that touch the distrusted places, and gives their
// blocks.
func (m *mender) distrust() (blocks []int32) {
	m.safe = map[ipoint]bool{}
	for i := range m.distrusted {
		box := &m.distrusted[i]
		for k, b := range m.t.blocks {
			if c := cube(m.t.at(b.at, 0, 0, 0), blockSteps*m.t.step); !c.touches(box) {
				continue
			}
			blocks = append(blocks, int32(k))
			for i := range b.leaves {
				l := &b.leaves[i]
				at := m.t.at(b.at, int(l.x), int(l.y), int(l.z))
				if c := cube(at, int32(l.size)*m.t.step); l.crossed() && c.touches(box) {
					m.safe[at] = true
				}
			}
		}
	}
	return blocks
}

func cube(lo ipoint, side int32) ibox {
	return ibox{lo: lo, hi: ipoint{lo[0] + side, lo[1] + side, lo[2] + side}}
}

// keeps says whether p lies in a place that the reduction is kept out of.
func (m *mender) keeps(p ipoint) bool {
	at := ibox{p, p}
	for i := range m.kept {
		if m.kept[i].touches(&at) {
			return true
		}
	}
	return false
}
