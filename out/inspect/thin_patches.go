package inspect

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// form is what a place of the medium is like.
type form uint8

const (
	formWall form = iota // thin one way
	formPin              // thin two ways
	formGap              // of air
)

// place is where the medium is thin: the squared chord that stands for all those
// of its cell.
type place struct {
	chord
	form  form
	run   r3.Vec  // of a pin: the way it runs, unit length
	width float64 // of a pin: square to its run and to the chord, mm
	maybe bool    // of a pin: not clearly, see look
	first int     // its chords are those from first on, in their order
	count int
}

const (
	// across is how many directions around a chord are tried for the second width,
	// 45 degrees apart. If the narrowest is coarse times as wide as a pin can be,
	// 1/cos 22.5 degrees, there is no pin. Else finer is how often it is tried again
	// on both sides, at half the angle each time, which leaves 1.4 degrees.
	across, finer = 4, 4
	coarse        = 1.083
	// pinWide is how wide a pin can be for its thickness.
	pinWide = 2
	// pinTaper is by what share of its width either side of a pin can move over its
	// thickness along its run: more than a taper, less than the corner of a plate.
	pinTaper = 0.25
)

// places sorts the chords by cells of space as wide as the points are apart and
// by the axis they are nearest to, and squares the shortest of each. Cells whose
// chord is not thin when seen squarely are left out.
func (m *medium) places(ctx context.Context, chords []chord) ([]place, error) {
	keys := make([]uint64, len(chords))
	number := make([]int, len(chords))
	for i, c := range chords {
		axis := uint64(0)
		if a, b := math.Abs(c.dir.Y), math.Abs(c.dir.Z); a > math.Abs(c.dir.X) && a >= b {
			axis = 1
		} else if b > math.Abs(c.dir.X) {
			axis = 2
		}
		keys[i] = m.cellOf(c.mid, m.spacing()).key()<<2 | axis
		number[i] = i
	}
	slices.SortFunc(number, func(a, b int) int {
		return cmp.Or(cmp.Compare(keys[a], keys[b]), cmp.Compare(chords[a].length, chords[b].length), cmp.Compare(a, b))
	})
	sorted := make([]chord, len(chords))
	var all []place
	for i, n := range number {
		sorted[i] = chords[n]
		if i == 0 || keys[n] != keys[number[i-1]] {
			all = append(all, place{chord: chords[n], first: i})
		}
		all[len(all)-1].count++
	}
	copy(chords, sorted)

	err := workers.ForEach(ctx, (len(all)+some-1)/some, func(_, i int) error {
		for k := i * some; k < min((i+1)*some, len(all)); k++ {
			m.look(&all[k])
		}
		return nil
	})
	return slices.DeleteFunc(all, func(p place) bool { return p.count == 0 }), err
}

// some is how many places one worker looks at in one go.
const some = 64

// look squares the chord of a place and tells its form. It is a pin's where the
// medium is narrow square to the chord too. Clearly so where it stays as narrow
// its thickness further on along its run; else it may be the corner of a plate, or
// the root of a pin, which its neighbours tell. A place too thick for what it is
// is left with a count of 0.
func (m *medium) look(p *place) {
	c := m.squared(p.chord)
	p.chord, p.form = c, formGap
	if !m.inside {
		return
	}
	narrow, width := m.narrowest(c)
	if width >= pinWide*c.length {
		p.form = formWall
		if c.length > m.wall {
			p.count = 0
		}
		return
	}
	p.form, p.maybe, p.width = formPin, true, width
	p.run = r3.Cross(c.dir, narrow)
	far := 2 * pinWide * c.length
	ahead, back := m.arms(c.mid, narrow, far)
	// Half way across, what sticks out on both sides of something thicker is as
	// thick as that: a ledge, such as a stone between two joints of a wall, and no pin.
	if m.width(r3.Add(c.mid, r3.Scale((ahead-back)/2, narrow)), c.dir, far) > wavers*c.length {
		p.count = 0
		return
	}
	for _, step := range []float64{-c.length, c.length} {
		along := r3.Scale(math.Copysign(1, step), p.run)
		if _, _, ends := m.index.Hit(c.mid, along, c.length); ends {
			continue
		}
		a, b := m.arms(r3.Add(c.mid, r3.Scale(step, p.run)), narrow, far)
		if p.maybe = max(math.Abs(a-ahead), math.Abs(b-back)) > pinTaper*width; p.maybe {
			return
		}
	}
}

// narrowest gives the direction square to a chord in which the medium is
// narrowest about its middle, and that width; pinWide times the chord at most.
func (m *medium) narrowest(c chord) (narrow r3.Vec, width float64) {
	e, f := square(c.dir)
	most := pinWide * c.length
	best, width := 0.0, math.Inf(1)
	try := func(angle float64) {
		sin, cos := math.Sincos(angle)
		way := r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))
		if w := m.width(c.mid, way, coarse*most); w < width {
			narrow, width, best = way, w, angle
		}
	}
	for k := range across {
		try(math.Pi * float64(k) / across)
	}
	if width >= coarse*most {
		return narrow, width
	}
	for step, k := math.Pi/across/2, 0; k < finer; step, k = step/2, k+1 {
		middle := best
		try(middle - step)
		try(middle + step)
	}
	return narrow, width
}

// square gives two directions square to another and to each other.
func square(d r3.Vec) (e, f r3.Vec) {
	e = r3.Vec{X: 1}
	if math.Abs(d.X) > 0.6 {
		e = r3.Vec{Y: 1}
	}
	e = r3.Unit(r3.Cross(d, e))
	return e, r3.Cross(d, e)
}

// cell is a cube of space, by its number along x, y and z from the solid's lower
// corner.
type cell [3]int32

// mostCells is how many there may be along an axis.
const mostCells = 1 << 20

func (m *medium) cellOf(p r3.Vec, side float64) cell {
	from := r3.Sub(p, vec(m.index.nodes[0].box[0]))
	return cell{int32(math.Floor(from.X / side)), int32(math.Floor(from.Y / side)), int32(math.Floor(from.Z / side))}
}

// key orders the cells; middles of chords outside the box by rounding are taken
// as in it.
func (c cell) key() uint64 {
	return uint64(max(c[2], 0))<<40 | uint64(max(c[1], 0))<<20 | uint64(max(c[0], 0))
}

// neighbourhood knows which places are near which: those of place i are
// list[start[i]:start[i+1]], itself left out, in an order that is always the same.
type neighbourhood struct {
	places []place
	start  []int
	list   []int32
}

// neighbours finds the places within reach of each other.
func (m *medium) neighbours(ctx context.Context, places []place) (*neighbourhood, error) {
	reach := m.reach()
	cells := map[cell][]int32{}
	for i := range places {
		c := m.cellOf(places[i].mid, reach)
		cells[c] = append(cells[c], int32(i))
	}
	near := make([][]int32, len(places))
	err := workers.ForEach(ctx, (len(places)+some-1)/some, func(_, k int) error {
		var about []int32
		for i := k * some; i < min((k+1)*some, len(places)); i++ {
			about = about[:0]
			c := m.cellOf(places[i].mid, reach)
			for z := c[2] - 1; z <= c[2]+1; z++ {
				for y := c[1] - 1; y <= c[1]+1; y++ {
					for x := c[0] - 1; x <= c[0]+1; x++ {
						for _, j := range cells[cell{x, y, z}] {
							if int(j) != i && r3.Norm2(r3.Sub(places[j].mid, places[i].mid)) <= reach*reach {
								about = append(about, j)
							}
						}
					}
				}
			}
			near[i] = slices.Clone(about)
		}
		return nil
	})
	h := &neighbourhood{places: places, start: make([]int, 1, len(places)+1)}
	for _, about := range near {
		h.list = append(h.list, about...)
		h.start = append(h.start, len(h.list))
	}
	return h, err
}

func (h *neighbourhood) near(i int) []int32 { return h.list[h.start[i]:h.start[i+1]] }

// reach gives how far apart neighbours can be, mm: a cell between them may have
// come out empty.
func (m *medium) reach() float64 { return 2.2 * m.spacing() }

const (
	// aligned is the cosine of the most that the chords of neighbours in a wall may
	// be turned to each other, 37 degrees, and abreast that of the runs of neighbours
	// in a pin, 18 degrees: in the crossing of two bars runs point every way.
	aligned, abreast = 0.8, 0.95
	// upright is the sine of the most that a chord of a pin may lean along its run,
	// 20 degrees.
	upright = 0.35
	// stride is how far apart neighbours in a pin can be, of its thickness, where
	// that is more than their reach: less than where another bar as thick runs into it.
	stride = 0.7
	// rootRuns is how far from a clear place those that are maybe a pin's can be, of
	// its thickness: a little more than what a clear place looks ahead.
	rootRuns = 1.3
)

// joins tells whether two places near each other are of one feature: of one form,
// turned alike, and beside each other rather than one behind the other.
func (m *medium) joins(p, q *place) bool {
	if p.form != q.form {
		return false
	}
	if p.form == formPin {
		return math.Abs(r3.Dot(p.run, q.run)) > abreast && m.along(p, q) && m.staysNarrow(p, q)
	}
	apart := r3.Sub(q.mid, p.mid)
	half := max(p.length, q.length) / 2
	return math.Abs(r3.Dot(p.dir, q.dir)) > aligned &&
		math.Abs(r3.Dot(apart, p.dir)) <= half && math.Abs(r3.Dot(apart, q.dir)) <= half
}

// staysNarrow tells whether a pin is as narrow halfway from one place to another
// as it is at both: not so where another bar runs into it.
func (m *medium) staysNarrow(p, q *place) bool {
	halfway := r3.Scale(0.5, r3.Add(p.mid, q.mid))
	for _, a := range []*place{p, q} {
		most := (1 + pinTaper) * max(a.width, a.length)
		if m.width(halfway, r3.Unit(r3.Cross(a.run, a.dir)), 2*most) > most {
			return false
		}
	}
	return true
}

// along tells whether place q is on the run of p, a pin's.
func (m *medium) along(p, q *place) bool {
	apart := r3.Sub(q.mid, p.mid)
	on := r3.Dot(apart, p.run)
	off := r3.Norm(r3.Sub(apart, r3.Scale(on, p.run)))
	thick := max(p.length, q.length)
	return off <= thick/2 && math.Abs(on) <= max(stride*thick, m.reach()) &&
		math.Abs(r3.Dot(p.run, q.dir)) < upright
}

// settle decides the places that are maybe a pin's: they are where they hang
// together with one that is clearly so, not far from it, and the medium is as
// narrow there, seen along the same run; else they are a wall's. So a pin reaches
// to where something wider begins, and not into it.
func (m *medium) settle(h *neighbourhood) {
	from := make([]int, len(h.places)) // the clear place that one was reached from
	var queue []int
	for i := range h.places {
		from[i] = -1
		if p := &h.places[i]; p.form == formPin && !p.maybe {
			from[i] = i
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		root := &h.places[from[i]]
		for _, j := range h.near(i) {
			q := &h.places[j]
			if !q.maybe || from[j] >= 0 || !m.along(&h.places[i], q) ||
				r3.Norm(r3.Sub(q.mid, root.mid)) > rootRuns*root.length {
				continue
			}
			side := r3.Unit(r3.Cross(root.run, q.dir))
			if w := m.width(q.mid, side, pinWide*root.width); w <= (1+pinTaper)*root.width {
				from[j], q.run = from[i], root.run
				queue = append(queue, int(j))
			}
		}
	}
	for i := range h.places {
		if p := &h.places[i]; p.maybe && from[i] < 0 {
			p.form = formWall
		}
	}
}

// patches puts the places that hang together, neighbour by neighbour, into
// patches, each a list of places; in the order of their first.
func (m *medium) patches(h *neighbourhood) [][]int {
	root := make([]int, len(h.places))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range h.places {
		for _, j := range h.near(i) {
			if int(j) >= i {
				continue
			}
			a, b := find(i), find(int(j))
			if a != b && m.joins(&h.places[i], &h.places[j]) {
				root[max(a, b)] = min(a, b)
			}
		}
	}
	var all [][]int
	number := make([]int, len(root))
	for i := range root {
		r := find(i)
		if r == i {
			number[i] = len(all)
			all = append(all, nil)
		}
		all[number[r]] = append(all[number[r]], i)
	}
	return all
}
