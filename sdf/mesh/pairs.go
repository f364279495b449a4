package mesh

import (
	"math/bits"
	"slices"
)

// pairTree finds the pairs of triangles whose boxes touch: a binary tree over the
// triangles in Morton order, joined with itself.
type pairTree struct {
	points    []ipoint
	triangles [][3]int32
	order     []int32 // triangles in Morton order
	own       []ibox  // their boxes, in that order
	boxes     []ibox  // node n has children 2n+1 and 2n+2; runs are halved
	leaves    int     // the least power of two of leaves
}

type ibox struct{ lo, hi ipoint }

func (b *ibox) touches(c *ibox) bool {
	return b.lo[0] <= c.hi[0] && c.lo[0] <= b.hi[0] &&
		b.lo[1] <= c.hi[1] && c.lo[1] <= b.hi[1] &&
		b.lo[2] <= c.hi[2] && c.lo[2] <= b.hi[2]
}

func (b *ibox) grow(c *ibox) {
	for i := range 3 {
		b.lo[i], b.hi[i] = min(b.lo[i], c.lo[i]), max(b.hi[i], c.hi[i])
	}
}

func triangleBox(points []ipoint, t *[3]int32) ibox {
	b := ibox{points[t[0]], points[t[0]]}
	for _, v := range t[1:] {
		p := points[v]
		for i := range 3 {
			b.lo[i], b.hi[i] = min(b.lo[i], p[i]), max(b.hi[i], p[i])
		}
	}
	return b
}

const pairLeaf = 4 // about this many triangles a leaf

func newPairTree(points []ipoint, triangles [][3]int32) *pairTree {
	t := &pairTree{points: points, triangles: triangles, leaves: 1}
	for t.leaves*pairLeaf < len(triangles) {
		t.leaves *= 2
	}
	keys, boxes := make([]uint64, len(triangles)), make([]ibox, len(triangles))
	for i := range triangles {
		boxes[i] = triangleBox(points, &triangles[i])
		b := &boxes[i]
		var k uint64
		for j := range 3 {
			mid := uint64((int64(b.lo[j])+int64(b.hi[j]))/2 + maxUnits)
			k |= spread3(mid>>3) << j // 24 bits of which 21 are kept
		}
		keys[i] = k
	}
	t.order = sortByKey(keys)
	t.own = make([]ibox, len(triangles))
	for k, i := range t.order {
		t.own[k] = boxes[i]
	}
	t.boxes = make([]ibox, 2*t.leaves-1)
	for n := len(t.boxes) - 1; n >= 0; n-- {
		if n >= t.leaves-1 {
			lo, hi := t.run(n)
			for k := lo; k < hi; k++ {
				if k == lo {
					t.boxes[n] = t.own[k]
				} else {
					t.boxes[n].grow(&t.own[k])
				}
			}
			continue
		}
		t.boxes[n] = t.boxes[2*n+1]
		t.boxes[n].grow(&t.boxes[2*n+2])
	}
	return t
}

// run is the part of the order that leaf node n owns. Leaves share the
// triangles evenly, so none is empty once there are as many triangles as leaves.
func (t *pairTree) run(n int) (lo, hi int) {
	i := n - (t.leaves - 1)
	return i * len(t.order) / t.leaves, (i + 1) * len(t.order) / t.leaves
}

// spread3 puts two zero bits between the low 21 bits.
func spread3(x uint64) uint64 {
	x &= 0x1fffff
	x = (x | x<<32) & 0x1f00000000ffff
	x = (x | x<<16) & 0x1f0000ff0000ff
	x = (x | x<<8) & 0x100f00f00f00f00f
	x = (x | x<<4) & 0x10c30c30c30c30c3
	x = (x | x<<2) & 0x1249249249249249
	return x
}

// sortByKey gives the numbers 0..n-1 by rising key, equal keys by number: a radix
// sort, eight bits a pass, over the bits in which the keys differ.
func sortByKey(keys []uint64) []int32 {
	n := len(keys)
	order, spare := make([]int32, n), make([]int32, n)
	var differ uint64
	for i := range order {
		order[i] = int32(i)
		differ |= keys[i] ^ keys[0]
	}
	for shift := 0; shift < bits.Len64(differ); shift += 8 {
		if differ>>shift&0xff == 0 {
			continue
		}
		var count [257]int
		for _, i := range order {
			count[keys[i]>>shift&0xff+1]++
		}
		for b := range 256 {
			count[b+1] += count[b]
		}
		for _, i := range order {
			b := keys[i] >> shift & 0xff
			spare[count[b]] = i
			count[b]++
		}
		order, spare = spare, order
	}
	return order
}

// task is a pair of nodes to join; a node with itself finds the pairs within it.
type task struct{ a, b int32 }

func (t *pairTree) isLeaf(n int32) bool { return int(n) >= t.leaves-1 }

// divide gives the tasks that a task is made of; ok is false where it is to be
// done whole.
func (t *pairTree) divide(k task, out []task) ([]task, bool) {
	switch {
	case k.a == k.b:
		if t.isLeaf(k.a) {
			return out, false
		}
		l, r := 2*k.a+1, 2*k.a+2
		return append(out, task{l, l}, task{l, r}, task{r, r}), true
	case !t.boxes[k.a].touches(&t.boxes[k.b]):
		return out, true
	case t.isLeaf(k.a) && t.isLeaf(k.b):
		return out, false
	case t.isLeaf(k.a):
		return append(out, task{k.a, 2*k.b + 1}, task{k.a, 2*k.b + 2}), true
	case t.isLeaf(k.b):
		return append(out, task{2*k.a + 1, k.b}, task{2*k.a + 2, k.b}), true
	}
	a, b := 2*k.a+1, 2*k.b+1
	return append(out, task{a, b}, task{a, b + 1}, task{a + 1, b}, task{a + 1, b + 1}), true
}

// enoughTasks is until when tasks are divided, to be shared out.
const enoughTasks = 2048

// crossings gives every pair of triangles that is improper, the lesser number
// first, in order.
func (t *pairTree) crossings(w *crew) ([][2]int32, error) {
	if len(t.triangles) == 0 {
		return nil, nil
	}
	tasks := []task{{0, 0}}
	for grew := true; grew && len(tasks) < enoughTasks; {
		grew = false
		var next []task
		for _, k := range tasks {
			var divided bool
			if next, divided = t.divide(k, next); divided {
				grew = true
			} else {
				next = append(next, k)
			}
		}
		tasks = next
	}
	found := make([][][2]int32, len(tasks))
	err := w.inParallel(numbers(len(tasks)), func() func(i int32) error {
		var stack []task
		return func(i int32) error {
			stack = append(stack[:0], tasks[i])
			for len(stack) > 0 {
				k := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				var divided bool
				if stack, divided = t.divide(k, stack); !divided {
					found[i] = t.join(k, found[i])
				}
			}
			return nil
		}
	})
	if err != nil {
		return nil, err
	}
	all := slices.Concat(found...)
	slices.SortFunc(all, func(a, b [2]int32) int {
		return slices.Compare(a[:], b[:])
	})
	return all, nil
}

// join tests the pairs of two leaves, or of one.
func (t *pairTree) join(k task, found [][2]int32) [][2]int32 {
	alo, ahi := t.run(int(k.a))
	blo, bhi := t.run(int(k.b))
	for i := alo; i < ahi; i++ {
		tb := &t.own[i]
		from := blo
		if k.a == k.b {
			from = i + 1
		}
		for j := from; j < bhi; j++ {
			if !tb.touches(&t.own[j]) {
				continue
			}
			ti, ui := t.order[i], t.order[j]
			tv, uv := &t.triangles[ti], &t.triangles[ui]
			tp := [3]ipoint{t.points[tv[0]], t.points[tv[1]], t.points[tv[2]]}
			up := [3]ipoint{t.points[uv[0]], t.points[uv[1]], t.points[uv[2]]}
			if improper(&tp, &up, tv, uv) {
				found = append(found, [2]int32{min(ti, ui), max(ti, ui)})
			}
		}
	}
	return found
}

// depth is how many shells a vertex of shell k lies within: those that a line from it
// straight up passes through an odd number of times. The shells must not touch.
func (t *pairTree) depth(vertex int32, of []int32, k int32) int {
	p := &t.points[vertex]
	line := ibox{*p, ipoint{p[0], p[1], maxUnits}}
	odd := map[int32]bool{}
	stack := []int32{0}
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if !t.boxes[n].touches(&line) {
			continue
		}
		if !t.isLeaf(n) {
			stack = append(stack, 2*n+1, 2*n+2)
			continue
		}
		lo, hi := t.run(int(n))
		for i := lo; i < hi; i++ {
			o := t.order[i]
			q := &t.triangles[o]
			if of[o] == k || !t.own[i].touches(&line) || !isOver(&t.points[q[0]], &t.points[q[1]], &t.points[q[2]], p) {
				continue
			}
			if odd[of[o]] {
				delete(odd, of[o])
			} else {
				odd[of[o]] = true
			}
		}
	}
	return len(odd)
}
