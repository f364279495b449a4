package inspect

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
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
	run   r3.Vec // of a pin: the way it runs, unit length
	maybe bool   // of a pin: not clearly, see look
	first int    // its chords are those from first on, in their order
	count int
}

const (
	// across is how many directions around a chord are tried for the second width:
	// 30 degrees apart, so it comes out too large by 1/cos 15 degrees at most, 4 %.
	across = 6
	// pinWide is how wide a pin can be for its thickness.
	pinWide = 2
	// pinTaper is by what share the width of a pin can change over half its
	// thickness along its run: more than a taper, less than the corner of a plate.
	pinTaper = 0.25
)

// places sorts the chords by cells of space as wide as the points are apart and
// by the axis they are nearest to, and squares the shortest of each. Cells whose
// chord is not thin when seen squarely are left out.
func (m *medium) places(ctx context.Context, chords []chord) ([]place, error) {
	keys := make([]uint64, len(chords))
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	for _, c := range chords {
		lo.X, lo.Y, lo.Z = min(lo.X, c.mid.X), min(lo.Y, c.mid.Y), min(lo.Z, c.mid.Z)
	}
	number := make([]int, len(chords))
	for i, c := range chords {
		axis := uint64(0)
		if a, b := math.Abs(c.dir.Y), math.Abs(c.dir.Z); a > math.Abs(c.dir.X) && a >= b {
			axis = 1
		} else if b > math.Abs(c.dir.X) {
			axis = 2
		}
		cell := cellOf(r3.Sub(c.mid, lo), m.spacing())
		keys[i] = cell.key()<<2 | axis
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

	const some = 64
	err := forEach(ctx, (len(all)+some-1)/some, func(_, i int) error {
		for k := i * some; k < min((i+1)*some, len(all)); k++ {
			m.look(&all[k])
		}
		return nil
	})
	return all, err
}

// look squares the chord of a place and tells its form. It is a pin's where the
// medium is narrow square to the chord too. Clearly so where it stays as narrow
// half a thickness further along its run; else it may be the corner of a plate,
// or the root of a pin, which its neighbours tell.
func (m *medium) look(p *place) {
	c := m.squared(p.chord)
	p.chord, p.form = c, formGap
	if !m.inside {
		return
	}
	p.form = formWall
	e, f := square(c.dir)
	narrow, width := r3.Vec{}, pinWide*c.length
	for k := range across {
		sin, cos := math.Sincos(math.Pi * float64(k) / across)
		way := r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))
		if w := m.width(c.mid, way, pinWide*c.length); w < width {
			p.form, narrow, width = formPin, way, w
		}
	}
	if p.form == formWall {
		return
	}
	p.run = r3.Cross(c.dir, narrow)
	for _, step := range []float64{-c.length / 2, c.length / 2} {
		along := r3.Scale(math.Copysign(1, step), p.run)
		if _, _, ends := m.index.Hit(c.mid, along, c.length/2); ends {
			continue
		}
		w := m.width(r3.Add(c.mid, r3.Scale(step, p.run)), narrow, pinWide*c.length)
		p.maybe = p.maybe || math.Abs(w-width) > pinTaper*width
	}
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

// cell is a cube of space, by its number along x, y and z.
type cell [3]int32

const mostCells = 1 << 20 // along an axis

func cellOf(p r3.Vec, side float64) cell {
	at := func(c float64) int32 { return int32(min(max(math.Floor(c/side), -mostCells), mostCells-1)) }
	return cell{at(p.X), at(p.Y), at(p.Z)}
}

// key orders the cells from 0 on.
func (c cell) key() uint64 { return uint64(c[2])<<40 | uint64(c[1])<<20 | uint64(c[0]) }

// neighbourhood finds the places near one another.
type neighbourhood struct {
	places []place
	reach  float64
	cells  map[cell][]int32
}

func newNeighbourhood(places []place, reach float64) *neighbourhood {
	h := &neighbourhood{places: places, reach: reach, cells: map[cell][]int32{}}
	for i := range places {
		c := cellOf(places[i].mid, reach)
		h.cells[c] = append(h.cells[c], int32(i))
	}
	return h
}

// near calls do for each place within reach of place i, itself left out, in an
// order that is always the same.
func (h *neighbourhood) near(i int, do func(j int)) {
	c := cellOf(h.places[i].mid, h.reach)
	for z := c[2] - 1; z <= c[2]+1; z++ {
		for y := c[1] - 1; y <= c[1]+1; y++ {
			for x := c[0] - 1; x <= c[0]+1; x++ {
				for _, j := range h.cells[cell{x, y, z}] {
					if int(j) != i && r3.Norm2(r3.Sub(h.places[j].mid, h.places[i].mid)) <= h.reach*h.reach {
						do(int(j))
					}
				}
			}
		}
	}
}

// reach gives how far apart neighbours can be, mm: a cell between them may have
// come out empty.
func (m *medium) reach() float64 { return 2.2 * m.spacing() }

// aligned is the cosine of the most that the chords of neighbours in a wall, or
// the runs of neighbours in a pin, may be turned to each other, 37 degrees.
const aligned = 0.8

// joins tells whether two places near each other are of one feature: of one form,
// turned alike, and beside each other rather than one behind the other.
func (p *place) joins(q *place) bool {
	if p.form != q.form {
		return false
	}
	if p.form == formPin {
		return math.Abs(r3.Dot(p.run, q.run)) > aligned && p.along(q)
	}
	apart := r3.Sub(q.mid, p.mid)
	half := max(p.length, q.length) / 2
	return math.Abs(r3.Dot(p.dir, q.dir)) > aligned &&
		math.Abs(r3.Dot(apart, p.dir)) <= half && math.Abs(r3.Dot(apart, q.dir)) <= half
}

// settle decides the places that are maybe a pin's: they are beside one that is
// clearly so, and else a wall's.
func (h *neighbourhood) settle() {
	for i := range h.places {
		p := &h.places[i]
		if !p.maybe {
			continue
		}
		p.form = formWall
		h.near(i, func(j int) {
			if q := &h.places[j]; q.form == formPin && !q.maybe && q.along(p) {
				p.form, p.run = formPin, q.run
			}
		})
	}
}

// along tells whether a place lies on the run of a pin's.
func (p *place) along(q *place) bool {
	apart := r3.Sub(q.mid, p.mid)
	off := r3.Sub(apart, r3.Scale(r3.Dot(apart, p.run), p.run))
	return r3.Norm(off) <= max(p.length, q.length)/2 && math.Abs(r3.Dot(p.run, q.dir)) < 1-aligned
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
		h.near(i, func(j int) {
			if j < i && h.places[i].joins(&h.places[j]) {
				a, b := find(i), find(j)
				root[max(a, b)] = min(a, b)
			}
		})
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
