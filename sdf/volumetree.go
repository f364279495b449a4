package sdf

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// volumeTree is a bounding-volume tree over the parts of a union. A node's
// distance to a point, times the least tightness below it, is a floor under
// every part's value there, so whole branches are passed over.
type volumeTree struct {
	parts   []Field
	extents []partExtent // of the parts; of those that were pruned, as they were before
	nodes   []volumeNode // nodes[0] is the root
	order   []int32      // part numbers; each leaf owns a run of them
}

// partExtent is where a part is, and how tightly.
type partExtent struct {
	box       r3.Box
	tightness float64
}

// with is the extent of both.
func (a partExtent) with(b partExtent) partExtent {
	return partExtent{boxUnion(a.box, b.box), min(a.tightness, b.tightness)}
}

type volumeNode struct {
	partExtent
	left, right int32 // children, where count is 0
	first       int32 // the run in order, where count is not 0
	count       int32
}

const leafParts = 4

func newVolumeTree(parts []Field) *volumeTree {
	t := &volumeTree{
		parts: parts, extents: make([]partExtent, len(parts)),
		order: make([]int32, len(parts)), nodes: make([]volumeNode, 0, len(parts)),
	}
	for i, p := range parts {
		t.order[i] = int32(i)
		t.extents[i] = partExtent{p.Bounds(), p.Tightness()}
	}
	t.build(0, len(parts))
	return t
}

// centre along an axis; a box without limits counts as being at the origin.
func centre(b r3.Box, axis int) float64 {
	var lo, hi float64
	switch axis {
	case 0:
		lo, hi = b.Min.X, b.Max.X
	case 1:
		lo, hi = b.Min.Y, b.Max.Y
	default:
		lo, hi = b.Min.Z, b.Max.Z
	}
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return 0
	}
	return lo + hi
}

func (t *volumeTree) build(first, end int) int32 {
	run := t.order[first:end]
	node := volumeNode{first: int32(first), count: int32(len(run))}
	node.partExtent = t.extents[run[0]]
	for _, i := range run[1:] {
		node.partExtent = node.with(t.extents[i])
	}
	at := int32(len(t.nodes))
	t.nodes = append(t.nodes, node)
	if len(run) <= leafParts {
		return at
	}
	axis, widest := 0, -1.0
	for a := range 3 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, i := range run {
			c := centre(t.extents[i].box, a)
			lo, hi = min(lo, c), max(hi, c)
		}
		if hi-lo > widest {
			axis, widest = a, hi-lo
		}
	}
	slices.SortFunc(run, func(a, b int32) int {
		return cmp.Or(cmp.Compare(centre(t.extents[a].box, axis), centre(t.extents[b].box, axis)), cmp.Compare(a, b))
	})
	middle := first + len(run)/2
	left := t.build(first, middle)
	right := t.build(middle, end)
	n := &t.nodes[at]
	n.left, n.right, n.count = left, right, 0
	return at
}

// pruned is the tree over what is left of some of the parts: near are their numbers, in
// order. It halves them as this tree does, so that nothing is sorted again, and takes over
// their extents: what is left of a part has its values in the ball, so that its old
// bounds hold there.
func (t *volumeTree) pruned(near []int32, kept []Field) *volumeTree {
	p := &volumeTree{
		parts: kept, extents: make([]partExtent, len(kept)),
		order: make([]int32, 0, len(kept)), nodes: make([]volumeNode, 1, len(kept)),
	}
	for i, n := range near {
		p.extents[i] = t.extents[n]
	}
	p.nodes[0], _ = p.prune(t, 0, near)
	return p
}

// prune gives what is left of a node of another tree; ok is false where nothing is. Nodes
// below it are added.
func (t *volumeTree) prune(of *volumeTree, from int32, near []int32) (n volumeNode, ok bool) {
	whole := &of.nodes[from]
	if whole.count == 0 {
		l, left := t.prune(of, whole.left, near)
		r, right := t.prune(of, whole.right, near)
		switch {
		case !left:
			return r, right
		case !right:
			return l, left
		}
		at := int32(len(t.nodes))
		t.nodes = append(t.nodes, l, r)
		return volumeNode{partExtent: l.with(r.partExtent), left: at, right: at + 1}, true
	}
	n = volumeNode{first: int32(len(t.order))}
	for _, part := range of.order[whole.first : whole.first+whole.count] {
		i, found := slices.BinarySearch(near, part)
		if !found {
			continue
		}
		t.order = append(t.order, int32(i))
		if n.count == 0 {
			n.partExtent = t.extents[i]
		} else {
			n.partExtent = n.with(t.extents[i])
		}
		n.count++
	}
	return n, n.count > 0
}

// floor is a lower bound at p on every part below the node; inside its box
// there is none.
func (n *volumeNode) floor(p r3.Vec) float64 {
	if d := BoxDistance(p, n.box); d > 0 {
		return d*n.tightness - slack
	}
	return math.Inf(-1)
}

// stackDepth holds any tree of fewer than 2^60 parts: halving keeps it balanced.
const stackDepth = 64

// least gives the least value at p and the first part that has it.
func (t *volumeTree) least(p r3.Vec) (float64, int) {
	type entry struct {
		node  int32
		floor float64
	}
	var stack [stackDepth]entry
	stack[0] = entry{0, t.nodes[0].floor(p)}
	top := 1
	best, value := int32(math.MaxInt32), math.Inf(1)
	for top > 0 {
		top--
		e := stack[top]
		if e.floor > value {
			continue
		}
		n := &t.nodes[e.node]
		if n.count > 0 {
			for _, i := range t.order[n.first : n.first+n.count] {
				if v := t.parts[i].Value(p); v < value || v == value && i < best {
					best, value = i, v
				}
			}
			continue
		}
		l, r := entry{n.left, t.nodes[n.left].floor(p)}, entry{n.right, t.nodes[n.right].floor(p)}
		if l.floor < r.floor { // the nearer child on top
			l, r = r, l
		}
		stack[top], stack[top+1] = l, r
		top += 2
	}
	return value, int(best)
}

// within gives, in the order of the parts, those whose value at p is at most limit.
func (t *volumeTree) within(p r3.Vec, limit float64) []int32 {
	var found []int32
	var stack [stackDepth]int32
	top := 1
	for top > 0 {
		top--
		n := &t.nodes[stack[top]]
		if n.floor(p) > limit {
			continue
		}
		if n.count == 0 {
			stack[top], stack[top+1] = n.left, n.right
			top += 2
			continue
		}
		for _, i := range t.order[n.first : n.first+n.count] {
			if t.parts[i].Value(p) <= limit {
				found = append(found, i)
			}
		}
	}
	slices.Sort(found)
	return found
}
