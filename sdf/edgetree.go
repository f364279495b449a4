package sdf

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// edgeNode is a node of a bounding-box tree over the edges of a polygon;
// node 0 is the root. A leaf owns a run of edges.
type edgeNode struct {
	box          r2.Box
	left, right  int32 // children, where count is 0
	first, count int32
}

const (
	edgeTreeFrom = 24 // edges from which a tree pays
	leafEdges    = 6
)

// newEdgeTree builds a tree and sorts the edges into its order; nil where they
// are few.
func newEdgeTree(edges []polygonEdge) []edgeNode {
	if len(edges) < edgeTreeFrom {
		return nil
	}
	nodes := make([]edgeNode, 0, len(edges))
	growEdgeTree(&nodes, edges, 0, len(edges))
	return nodes
}

func growEdgeTree(nodes *[]edgeNode, edges []polygonEdge, first, end int) int32 {
	run := edges[first:end]
	box := r2.Box{Min: run[0].a, Max: run[0].a}
	for _, e := range run {
		box.Min.X = min(box.Min.X, min(e.a.X, e.b.X))
		box.Min.Y = min(box.Min.Y, min(e.a.Y, e.b.Y))
		box.Max.X = max(box.Max.X, max(e.a.X, e.b.X))
		box.Max.Y = max(box.Max.Y, max(e.a.Y, e.b.Y))
	}
	at := int32(len(*nodes))
	*nodes = append(*nodes, edgeNode{box: box, first: int32(first), count: int32(len(run))})
	if len(run) <= leafEdges {
		return at
	}
	wide := box.Max.X-box.Min.X >= box.Max.Y-box.Min.Y
	slices.SortFunc(run, func(e, f polygonEdge) int {
		if wide {
			return cmp.Or(cmp.Compare(e.a.X+e.b.X, f.a.X+f.b.X), cmp.Compare(e.index, f.index))
		}
		return cmp.Or(cmp.Compare(e.a.Y+e.b.Y, f.a.Y+f.b.Y), cmp.Compare(e.index, f.index))
	})
	middle := first + len(run)/2
	left := growEdgeTree(nodes, edges, first, middle)
	right := growEdgeTree(nodes, edges, middle, end)
	n := &(*nodes)[at]
	n.left, n.right, n.count = left, right, 0
	return at
}

// square is the squared distance from p to the node's box.
func (n *edgeNode) square(p r2.Vec) float64 {
	dx := max(max(n.box.Min.X-p.X, p.X-n.box.Max.X), 0)
	dy := max(max(n.box.Min.Y-p.Y, p.Y-n.box.Max.Y), 0)
	return float64(dx*dx) + float64(dy*dy)
}

// nearestEdge gives the nearest edge to p, of two the lower index, and where
// along it. Boxes are passed over only where they are further by the slack, so that
// rounding never hides a tie.
func nearestEdge(tree []edgeNode, edges []polygonEdge, p r2.Vec) (nearest *polygonEdge, at int) {
	type entry struct {
		node   int32
		square float64
	}
	var stack [stackDepth]entry
	top := 1
	best, limit := math.Inf(1), math.Inf(1)
	for top > 0 {
		top--
		if stack[top].square > limit {
			continue
		}
		n := &tree[stack[top].node]
		if n.count > 0 {
			for i := n.first; i < n.first+n.count; i++ {
				e := &edges[i]
				if d, where := e.square(p); d < best || d == best && e.index < nearest.index {
					best, nearest, at = d, e, where
					reach := math.Sqrt(d) + slack
					limit = reach * reach
				}
			}
			continue
		}
		l, r := entry{n.left, tree[n.left].square(p)}, entry{n.right, tree[n.right].square(p)}
		if l.square < r.square { // the nearer child on top
			l, r = r, l
		}
		stack[top], stack[top+1] = l, r
		top += 2
	}
	return nearest, at
}

// edgesWithin gives, by index, the edges no further from p than a limit, squared.
func edgesWithin(tree []edgeNode, edges []polygonEdge, p r2.Vec, limit float64) []polygonEdge {
	kept := make([]polygonEdge, 0, 4)
	keep := func(run []polygonEdge) {
		for i := range run {
			if d, _ := run[i].square(p); d <= limit {
				kept = append(kept, run[i])
			}
		}
	}
	if tree == nil {
		keep(edges)
		return kept
	}
	var stack [stackDepth]int32
	top := 1
	for top > 0 {
		top--
		n := &tree[stack[top]]
		switch {
		case n.square(p) > limit:
		case n.count > 0:
			keep(edges[n.first : n.first+n.count])
		default:
			stack[top], stack[top+1] = n.left, n.right
			top += 2
		}
	}
	slices.SortFunc(kept, func(e, f polygonEdge) int { return cmp.Compare(e.index, f.index) })
	return kept
}
