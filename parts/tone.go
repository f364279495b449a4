package parts

import (
	"context"
	"math"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/workers"
)

const (
	// offSurface is how far from the surface, by the field, a place may lie and
	// still be told what it is of, mm.
	offSurface = 0.5
	// toneCube is the edge of the cubes within which the same bodies are looked at, mm.
	toneCube = 1.5
	// toneSimple is the edge of the cubes for which fields are simplified, once, mm:
	// that costs as much as some dozens of looks at them.
	toneSimple = 4.0
	// toneFew is how many places are not worth a smaller cube.
	toneFew = 6
	// toneShared is how often the box of the piece is halved before its cubes are
	// dealt out whole.
	toneShared = 3
)

// Tones tells of each place on the surface of a piece, in the piece's
// coordinates, what it is. It is what Nearest would tell: Broken where that is the
// cut of a damage, Strewn where it is a spill or what a damage threw up, and Built
// elsewhere; but the floor that a base keeps under all damage is Broken where a cut
// has laid it bare. A place more than 0.5 mm off the surface is Built, and so is
// everything on a piece that no scene has cut. It fails only with the error of
// the context.
func (sc *Scene) Tones(ctx context.Context, p Piece, at []r3.Vec) ([]Tone, error) {
	out := make([]Tone, len(at))
	if p.berth == nil || len(at) == 0 {
		return out, ctx.Err()
	}
	t := newToner(sc.sceneryOf(p), at, out)
	root := t.root(p.Box)
	level := []toneNode{root}
	for range toneShared {
		next := make([][]toneNode, len(level))
		if err := workers.ForEach(ctx, len(level), func(_, i int) error {
			next[i] = t.open(&level[i])
			return nil
		}); err != nil {
			return nil, err
		}
		level = level[:0:0]
		for _, n := range next {
			level = append(level, n...)
		}
	}
	if err := workers.ForEach(ctx, len(level), func(_, i int) error {
		t.descend(ctx, level[i])
		return nil
	}); err != nil {
		return nil, err
	}
	return out, nil
}

// toner finds the tones of many places. Bodies share faces: each field is
// simplified, and looked at, once for all of them.
type toner struct {
	fields []sdf.Field
	cuts   []int // of the fields, those that damage cuts by
	bodies []tonedBody
	at     []r3.Vec
	out    []Tone
	looks  atomic.Int64 // at fields, for places; not for cubes
}

type tonedBody struct{ faces []tonedFace }

type tonedFace struct {
	field int // among those of the cube
	sign  float64
	tone  Tone
	stage Stage
	floor bool // of what a base keeps: laid bare, it is broken
}

// toneNode is a cube with the places in it and what of the piece may be their surface.
type toneNode struct {
	centre r3.Vec
	edge   float64
	places []int32
	fields []sdf.Field
	cuts   []int
	bodies []tonedBody
}

func newToner(all *scenery, at []r3.Vec, out []Tone) *toner {
	t := &toner{at: at, out: out}
	index := map[sdf.Field]int{}
	stages, cuts := map[Part]Stage{}, map[int]bool{}
	for i := range all.bodies {
		var b tonedBody
		for k, f := range all.bodies[i].faces {
			n, have := index[f.field]
			if !have {
				n = len(t.fields)
				index[f.field] = n
				t.fields = append(t.fields, f.field)
			}
			stage, have := stages[f.part]
			if !have {
				stage = StageOf(f.part)
				stages[f.part] = stage
			}
			tone := f.tone(k == 0)
			if tone == Broken && !cuts[n] {
				cuts[n] = true
				t.cuts = append(t.cuts, n)
			}
			b.faces = append(b.faces, tonedFace{field: n, sign: f.sign, tone: tone, stage: stage, floor: k == 0 && all.bodies[i].floor})
		}
		t.bodies = append(t.bodies, b)
	}
	return t
}

// tone is what the surface is where the face makes it; own is for the body's own
// field, before what bounds it.
func (f *face) tone(own bool) Tone {
	switch f.part.(type) {
	case Damager:
		if own {
			return Strewn
		}
		return Broken
	case Spiller:
		return Strewn
	}
	return Built
}

// root is the cube about a whole piece with the places in it.
func (t *toner) root(box r3.Box) toneNode {
	size := r3.Sub(box.Max, box.Min)
	n := toneNode{
		centre: r3.Scale(0.5, r3.Add(box.Min, box.Max)),
		edge:   math.Max(size.X, math.Max(size.Y, size.Z)) + 2*offSurface,
		fields: t.fields, cuts: t.cuts, bodies: t.bodies,
	}
	for i, p := range t.at {
		d := r3.Sub(p, n.centre)
		if h := n.edge / 2; math.Abs(d.X) <= h && math.Abs(d.Y) <= h && math.Abs(d.Z) <= h {
			n.places = append(n.places, int32(i))
		}
	}
	return n
}

// open gives the eight parts of a cube that have places which may be other than
// Built, each with what is left there.
func (t *toner) open(n *toneNode) []toneNode {
	if len(n.places) == 0 {
		return nil
	}
	side := func(i int32) (k int) {
		p := t.at[i]
		if p.X >= n.centre.X {
			k |= 1
		}
		if p.Y >= n.centre.Y {
			k |= 2
		}
		if p.Z >= n.centre.Z {
			k |= 4
		}
		return k
	}
	var ends [9]int
	for _, i := range n.places {
		ends[side(i)+1]++
	}
	for k := range 8 {
		ends[k+1] += ends[k]
	}
	sorted, next := make([]int32, len(n.places)), ends
	for _, i := range n.places {
		k := side(i)
		sorted[next[k]] = i
		next[k]++
	}
	var out []toneNode
	for k := range 8 {
		if ends[k] == ends[k+1] {
			continue
		}
		q := n.edge / 4
		off := sdf.V(-q, -q, -q)
		if k&1 != 0 {
			off.X = q
		}
		if k&2 != 0 {
			off.Y = q
		}
		if k&4 != 0 {
			off.Z = q
		}
		c := toneNode{centre: r3.Add(n.centre, off), edge: n.edge / 2, places: sorted[ends[k]:ends[k+1]]}
		if t.narrow(&c, n) {
			out = append(out, c)
		}
	}
	return out
}

// narrow takes over from the cube about it what may be the surface in a cube, and
// says whether anything there may be other than Built. Left out are bodies that
// are farther than offSurface everywhere in the cube, and faces that lie deeper
// than that everywhere: neither changes what is told of a place.
func (t *toner) narrow(n, from *toneNode) bool {
	r := n.edge / 2 * math.Sqrt(3) * (1 + 1e-9)
	type look struct {
		value, reach float64
		have         bool
		index        int // of the field in the cube, from 1
	}
	looks := make([]look, len(from.fields))
	at := func(i int) *look {
		l := &looks[i]
		if !l.have {
			f := from.fields[i]
			l.value, l.reach, l.have = f.Value(n.centre), r*f.Lipschitz()+offSurface+1e-9, true
		}
		return l
	}
	take := func(field int) int {
		l := at(field)
		if l.index == 0 {
			n.fields = append(n.fields, from.fields[field])
			l.index = len(n.fields)
		}
		return l.index - 1
	}
	for _, c := range from.cuts {
		if l := at(c); l.value <= l.reach {
			n.cuts = append(n.cuts, take(c))
		}
	}
	other := false
	for i := range from.bodies {
		faces := from.bodies[i].faces
		off := false
		for _, f := range faces {
			if l := at(f.field); f.sign*l.value > l.reach {
				off = true
				break
			}
		}
		if off {
			continue
		}
		var b tonedBody
		for _, f := range faces {
			l := at(f.field)
			if f.sign*l.value < -l.reach {
				continue
			}
			other = other || f.tone != Built || f.floor && len(n.cuts) > 0
			f.field = take(f.field)
			b.faces = append(b.faces, f)
		}
		if len(b.faces) == 0 {
			return false // all of the cube is deep inside
		}
		n.bodies = append(n.bodies, b)
	}
	if !other {
		return false
	}
	if n.edge <= toneSimple && from.edge > toneSimple {
		ball := sdf.Ball{C: n.centre, R: r}
		for i, f := range n.fields {
			n.fields[i] = f.Prune(ball)
		}
	}
	return true
}

// descend finds the tones of all places in a cube.
func (t *toner) descend(ctx context.Context, n toneNode) {
	if ctx.Err() != nil {
		return
	}
	if n.edge > toneCube && len(n.places) > toneFew {
		for _, c := range t.open(&n) {
			t.descend(ctx, c)
		}
		return
	}
	values := make([]float64, len(n.fields))
	have := make([]bool, len(n.fields))
	looks := 0
	for k, i := range n.places {
		if k%4096 == 4095 && ctx.Err() != nil {
			return
		}
		clear(have)
		p := t.at[i]
		t.out[i] = n.tone(func(f int) float64 {
			if !have[f] {
				values[f], have[f] = n.fields[f].Value(p), true
				looks++
			}
			return values[f]
		})
	}
	t.looks.Add(int64(looks))
}

// tone picks the surface as Nearest does, from the values of the fields at a place.
func (n *toneNode) tone(value func(field int) float64) Tone {
	least, lowest, tone, stage := math.Inf(1), math.Inf(1), Built, Stage(-1)
	held, floor := false, false
	for i := range n.bodies {
		most, owner := math.Inf(-1), (*tonedFace)(nil)
		faces := n.bodies[i].faces
		for k := range faces {
			if v := faces[k].sign * value(faces[k].field); v >= most {
				most, owner = v, &faces[k]
			}
		}
		lowest = math.Min(lowest, most)
		d := math.Abs(most)
		if in := most < -heldWithin; in != held {
			if held {
				continue
			}
			least, stage, held = math.Inf(1), -1, true
		}
		if d < least-sameSurface || d <= least+sameSurface && stage <= owner.stage {
			least, tone, stage, floor = math.Min(least, d), owner.tone, owner.stage, owner.floor
		}
	}
	if !(math.Abs(lowest) <= offSurface) {
		return Built
	}
	if floor && slices.ContainsFunc(n.cuts, func(c int) bool { return value(c) < heldWithin }) {
		return Broken
	}
	return tone
}
