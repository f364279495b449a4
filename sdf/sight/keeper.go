package sight

import (
	"container/list"
	"sync"

	"socle/sdf"
)

// Keeper keeps the cubes that were looked at last, by what they were made from, up to a
// number of bytes. It may be used from several goroutines.
type Keeper struct {
	mu    sync.Mutex
	most  int // bytes
	held  int
	by    map[sdf.Digest]*list.Element
	order list.List // of *kept, the last used first
}

type kept struct {
	key   sdf.Digest
	cubes []*Cube
	bytes int
}

// NewKeeper gives a keeper of up to so many bytes.
func NewKeeper(most int) *Keeper { return &Keeper{most: most, by: map[sdf.Digest]*list.Element{}} }

// patch gives the cubes of a patch: those that are kept, and the others made.
func (k *Keeper) patch(m *maker, p patch) (all []*Cube) {
	ball := sdf.BoxBall(m.box(p.at, p.n))
	key, ok := k.keyOf(m, p)
	if cubes, kept := k.take(key, ok); kept {
		return cubes
	}
	f := m.field.Prune(ball)
	for z := range p.n {
		for y := range p.n {
			for x := range p.n {
				at := [3]int32{p.at[0] + x, p.at[1] + y, p.at[2] + z}
				if c := k.cube(m, patch{at, 1}, f); c != nil {
					all = append(all, c)
				}
			}
		}
	}
	if ok {
		k.keep(key, all)
	}
	return all
}

// cube gives one cube; nil where the surface does not enter it.
func (k *Keeper) cube(m *maker, p patch, f sdf.Field) *Cube {
	ball := sdf.BoxBall(m.box(p.at, p.n))
	m.evals++
	if sdf.Side(f, ball) != 0 {
		return nil
	}
	key, ok := k.keyOf(m, p)
	if cubes, kept := k.take(key, ok); kept {
		return cubes[0]
	}
	c := m.run(p.at, f.Prune(ball))
	if ok {
		k.keep(key, []*Cube{&c})
	}
	return &c
}

// keyOf tells what a patch is made from; ok is false where that cannot be told, or nothing
// is kept.
func (k *Keeper) keyOf(m *maker, p patch) (key sdf.Digest, ok bool) {
	if k == nil {
		return key, false
	}
	f := sdf.Narrow(m.field, sdf.BoxBall(m.box(p.at, p.n)))
	m.digested = append(m.digested, f)
	key, err := m.digester.Of(struct {
		Cell  float64
		At    [3]int32
		N     int32
		Field sdf.Field
	}{m.cell, p.at, p.n, f})
	return key, err == nil
}

// take gives what is kept by a key, if that is one.
func (k *Keeper) take(key sdf.Digest, isKey bool) ([]*Cube, bool) {
	if !isKey {
		return nil, false
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	e, ok := k.by[key]
	if !ok {
		return nil, false
	}
	k.order.MoveToFront(e)
	return e.Value.(*kept).cubes, true
}

// overhead is what an entry takes beside the triangles and vertices, bytes.
const overhead = 256

func (k *Keeper) keep(key sdf.Digest, cubes []*Cube) {
	bytes := overhead
	for _, c := range cubes {
		bytes += 64 + 12*len(c.Triangles) + 12*len(c.Vertices)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if _, ok := k.by[key]; ok {
		return
	}
	k.by[key] = k.order.PushFront(&kept{key, cubes, bytes})
	for k.held += bytes; k.held > k.most && k.order.Len() > 1; {
		e := k.order.Remove(k.order.Back()).(*kept)
		delete(k.by, e.key)
		k.held -= e.bytes
	}
}
