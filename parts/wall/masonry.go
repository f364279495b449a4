package wall

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// unitSizes are the modules of masonry, joint included, in full-size mm: length
// along the wall and height of a course.
var unitSizes = map[string][2]float64{
	"brick":  {225, 75},  // BS EN 771 usage, BS 4729
	"block":  {450, 225}, // BS EN 771-3 usage
	"ashlar": {900, 300}, // common practice, no source
}

// coreSpare is what the core of a coursed wall has over the least wall held at its
// sides, mm, for the roughness of its stones. Common practice, no source.
const coreSpare = 0.1

// masonry is what a wall settles: its stonework as drawn, mm on the print, and its notes.
type masonry struct {
	w              *Wall
	sides          []wallSide
	top            *skyline
	openings       []WallOpening // as drawn, in the order of the scene
	thick          float64
	height         float64
	course, length float64 // module of a stone
	joint          float64
	depth          float64 // of the joints
	proud          float64 // of the coping
	cap            float64 // height of the coping
	notes          []parts.Note

	s       *parts.Site
	surface string  // a word of package surface
	grain   float64 // depth of the texture
	mostOff float64 // that it may take off each face, 0 for no texture
	seed    uint64  // of the stones' textures
}

func (w *Wall) settled(s *parts.Site) *masonry {
	return parts.Settled(s, w, func() *masonry { return w.settle(s) })
}

// settle works out sizes that the printer can hold: where a course would be lost,
// several are drawn as one.
func (w *Wall) settle(s *parts.Site) *masonry {
	// The core behind the joints is a wall held at its sides, and a little.
	core := s.Printer.JoinedWall() + coreSpare
	least, what := s.Print.Wall, "the least wall"
	if joints := core + 2*s.Print.Relief; w.Coursing != "none" && joints > least {
		least, what = joints, "the least that leaves a core behind the joints"
	}
	m := &masonry{w: w, height: w.height(), thick: max(w.Thickness, least), s: s, surface: w.dressing(), grain: s.Grain() * (1 + w.Wear)}
	m.mostOff, m.seed = mostOff(s, m.thick), s.Rand(w.Name, w.Seed, "faces").Uint64()
	m.sides = w.sidesOf(m.thick)
	m.top, _ = w.skyline(s)
	notes := parts.Notes{Part: w.Name}
	if m.thick > w.Thickness {
		notes.Add("thickness", "%.2f mm on the print is drawn at %.2f mm, %s", w.Thickness, m.thick, what)
	}
	if w.Coursing != "none" {
		unit := unitSizes[w.Coursing]
		m.joint = max(s.Print.Gap, s.OnPrint(10))
		m.length, m.course = s.OnPrint(unit[0]), s.HeightOnPrint(unit[1])
		// A stone shows where it is twice as tall as the joint beside it.
		if k := math.Ceil(3*m.joint/m.course - planar.Rounding); k > 1 {
			notes.Add("coursing", "courses of %.2f mm would be lost on the print: %.0f are drawn as one", m.course, k)
			m.course, m.length = k*m.course, k*m.length
		}
		m.length = max(m.length, 3*m.joint)
		deep := s.Print.Relief
		if m.surface == surface.RockFaced { // its margins lie back
			deep += 2 * s.Grain()
		}
		m.depth = max(0, min(deep, (m.thick-core)/2))
	}
	if w.Coping == "flat" {
		m.proud = max(s.Print.Relief, s.OnPrint(40))
		m.cap = min(m.height/2, max(2*s.Print.Relief, s.HeightOnPrint(75)))
	}
	for i, o := range w.Openings {
		m.openings = append(m.openings, o.drawn(s, m.height, fmt.Sprintf("opening[%d]", i), &notes))
	}
	m.notes = notes.List
	return m
}

// drawn is the opening as drawn in a wall of a height, mm: no narrower than the print's
// gap, and with a lower head where the lintel over it would be too thin to print and
// enough of the opening is left.
func (o WallOpening) drawn(s *parts.Site, height float64, key string, notes *parts.Notes) WallOpening {
	if most := height - s.Print.Wall; o.Head < height && o.Head > most && most-o.Sill >= s.Print.Gap {
		notes.Add(key+".head", "%.2f mm on the print is drawn at %.2f mm, so that the lintel is %.2f mm, the least wall", o.Head, most, height-most)
		o.Head = most
	}
	o.Width = notes.AtLeast(key+".width", o.Width, s.Print.Gap, "gap that stays open")
	return o
}

// grid gives the number of courses and of stones along a side of a length.
func (m *masonry) grid(length float64) (rows, columns int) {
	if m.w.Coursing == "none" {
		return 1, int(math.Ceil(length/m.slice())) + 1
	}
	return max(1, int(math.Round(m.body()/m.course))), max(1, int(math.Round(length/m.length)))
}

// body is the height of the wall under its coping.
func (m *masonry) body() float64 { return m.height - m.cap }

// slice is the length of the slices of a broken plain wall.
func (m *masonry) slice() float64 { return max(0.5, 0.8*m.thick) }

// plain is a wall without courses; its broken top is faceted.
func (m *masonry) plain(side wallSide, foot float64, rng *rand.Rand) sdf.Field {
	base, t := m.w.From.Height, m.thick/2
	if m.w.Ruin == 0 {
		body := sdf.BoxBetween(sdf.V(side.from, -t, foot), sdf.V(side.to, t, base+m.body()))
		if m.cap > 0 {
			return sdf.Union(m.coat(body, side), m.coping(side.from, side.to))
		}
		return m.coat(body, side)
	}
	n := max(1, int(math.Ceil(side.length()/m.slice())))
	at := make([]float64, n+1)
	z := make([]float64, n+1)
	for i := range at {
		at[i] = side.from + side.length()*float64(i)/float64(n)
		if i > 0 && i < n {
			at[i] += (rng.Float64() - 0.5) * 0.6 * side.length() / float64(n)
		}
		z[i] = base + m.standing(side.start+at[i]) + (rng.Float64()-0.5)*0.25*m.thick
		z[i] = min(base+m.height, max(z[i], base+0.05*m.height))
	}
	var slices []sdf.Field
	for i := range n {
		rise, run := z[i+1]-z[i], at[i+1]-at[i]
		lean := (rng.Float64() - 0.5) * 0.9 // across the wall
		normal := sdf.V(-rise/run, -lean, 1)
		through := sdf.V(at[i], 0, z[i])
		d := (normal.X*through.X + normal.Z*through.Z) / math.Sqrt(normal.X*normal.X+normal.Y*normal.Y+1)
		high := max(z[i], z[i+1]) + m.thick
		slices = append(slices, sdf.Intersection(
			sdf.BoxBetween(sdf.V(max(side.from, at[i]-0.05), -t, foot), sdf.V(min(side.to, at[i+1]+0.05), t, min(base+m.height, high))),
			sdf.HalfSpace(normal, d)))
	}
	// Cut into the whole side: slices have faces of their own within it.
	whole := m.coat(sdf.BoxBetween(sdf.V(side.from, -t, foot), sdf.V(side.to, t, base+m.height+m.thick)), side)
	return sdf.Intersection(whole, sdf.Union(slices...))
}

// lap is how far the mortar of one stone reaches into the next, mm, so that the
// wall is one piece.
const lap = 0.06

// coreInto is how far the core of a wall ends below the tops of its stones, mm: where a
// top is bare, what is rough of it lies above.
const coreInto = 0.4

// course is one course of a side: its heights, the middles of the joints between its
// stones along the side, and what finishes each stone, three numbers from 0 to 1.
type course struct {
	low, high float64
	edges     []float64
	finish    [][3]float64
}

// courses are those of every side of a coursed wall, the lowest first.
func (w *Wall) courses(s *parts.Site) [][]course {
	return parts.Settled(s, w, func() (all [][]course) {
		m := w.settled(s)
		_, rng := w.skyline(s)
		for _, side := range m.sides {
			all = append(all, m.coursesOf(side, rng))
		}
		return all
	})
}

// coursesOf sets out the courses of a side, whether their stones stand or not, so that
// more ruin leaves the stones that still stand as they were.
func (m *masonry) coursesOf(side wallSide, rng *rand.Rand) []course {
	rows, columns := m.grid(side.length())
	rise, stone := m.body()/float64(rows), side.length()/float64(columns)
	out := make([]course, rows)
	for row := range out {
		edges := []float64{side.from}
		for c := range columns {
			e := side.from + float64(c+1)*stone
			if row%2 == 1 {
				e -= stone / 2
			}
			if m.w.Coursing == "ashlar" && c < columns-1 {
				e += (rng.Float64() - 0.5) * 0.24 * stone
			}
			edges = append(edges, e)
		}
		if row%2 == 1 {
			edges = append(edges, side.to)
		}
		finish := make([][3]float64, len(edges)-1)
		for i := range finish {
			finish[i] = [3]float64{rng.Float64(), rng.Float64(), rng.Float64()}
		}
		base := m.w.From.Height
		out[row] = course{base + float64(row)*rise, base + float64(row+1)*rise, edges, finish}
	}
	return out
}

// coursed is a wall of stones in running bond. A stone stands where the ruin
// has left it and something carries it.
func (m *masonry) coursed(side wallSide, foot float64, courses []course) sdf.Field {
	base, t := m.w.From.Height, m.thick/2
	rise := m.body() / float64(len(courses))
	solids := []sdf.Field{ // the footing, in the ground
		sdf.BoxBetween(sdf.V(side.from, -t+m.depth, foot), sdf.V(side.to, t-m.depth, base+lap)),
	}
	type cell struct {
		from, to float64
		top      float64   // of the stone
		stone    sdf.Field // nil of the footing
		seed     uint64
	}
	// bared puts up the stones of a course, rough where nothing was left on them.
	bared := func(row, over []cell) {
		for _, c := range row {
			if c.stone == nil {
				continue
			}
			covered := 0.0
			for _, o := range over {
				covered += max(0, min(c.to, o.to)-max(c.from, o.from))
			}
			if covered < 0.95*(c.to-c.from) {
				c.stone = m.roughTop(c.stone, c.top, c.seed+3)
			}
			solids = append(solids, c.stone)
		}
	}
	below := []cell{{from: side.from, to: side.to}}
	for row, laid := range courses {
		var kept []cell
		edges, low, high := laid.edges, laid.low, laid.high
		for c := 1; c < len(edges); c++ {
			proud, round, skew := laid.finish[c-1][0], laid.finish[c-1][1], laid.finish[c-1][2]-0.5
			at := cell{from: edges[c-1], to: edges[c]}
			mid := (at.from + at.to) / 2
			if high-rise/2 > base+m.standing(side.start+mid) {
				continue
			}
			carried := 0.0
			for _, b := range below {
				carried += max(0, min(at.to, b.to)-max(at.from, b.from))
			}
			if carried < 0.4*(at.to-at.from) {
				continue
			}
			// Mortar reaches down and back into the stones that are there, and
			// nowhere stands beyond the stone that it holds.
			lo, hi := at.from+m.joint/2, at.to-m.joint/2
			back := lo
			if len(kept) > 0 && kept[len(kept)-1].to == at.from {
				back = at.from - m.joint/2 - lap
			}
			first, last := c == 1, c == len(edges)-1
			if first {
				lo, back = at.from, at.from+m.endDepth()
			}
			end := hi // of the mortar
			if last {
				hi, end = at.to, at.to-m.endDepth()
			}
			bottom, top := low+m.joint/2, high-m.joint/2
			if row == len(courses)-1 && m.cap == 0 {
				top = high
			}
			if hi-lo < 0.2 {
				continue
			}
			into := min(coreInto, (top-bottom)/2)
			solids = append(solids, sdf.BoxBetween(
				sdf.V(back, -t+m.depth, bottom-m.joint-lap-into), sdf.V(end, t-m.depth, top-into)))
			size := sdf.V(hi-lo, 2*t-0.5*m.depth*m.w.Wear*proud, top-bottom)
			r := min(size.X, size.Z, m.thick) * (0.04 + 0.2*m.w.Wear*round)
			if r < 0.05 {
				r = 0
			}
			shift := skew * 0.3 * m.depth * m.w.Wear
			at.top, at.seed = top, m.unitSeed(side, row, c)
			at.stone = m.unit(sdf.V(lo, shift-size.Y/2, bottom), sdf.V(hi, shift+size.Y/2, top), min(r, m.joint), at.seed)
			if first {
				at.stone = m.roughEnd(at.stone, lo, -1, at.seed+1)
			}
			if last {
				at.stone = m.roughEnd(at.stone, hi, 1, at.seed+2)
			}
			kept = append(kept, at)
		}
		bared(below, kept)
		below = kept
	}
	var capped []cell
	if m.cap > 0 {
		for _, c := range below {
			if m.standing(side.start+(c.from+c.to)/2) > m.body() {
				solids, capped = append(solids, m.coping(c.from, c.to)), append(capped, c)
			}
		}
	}
	bared(below, capped)
	return sdf.Union(solids...)
}

// coping is one length of coping.
func (m *masonry) coping(from, to float64) sdf.Field {
	z := m.w.From.Height + m.body()
	if open := m.joint / 2; to-from > 6*open {
		from, to = from+open, to-open
	}
	body := sdf.BoxEased(sdf.V(from, -m.thick/2-m.proud, z-m.joint-lap), sdf.V(to, m.thick/2+m.proud, z+m.cap), min(0.15, m.cap/4))
	if m.surface == surface.Plain {
		return body
	}
	piece := surface.Piece{
		Seed: m.seed ^ math.Float64bits(from), Half: r2.Vec{X: (to - from) / 2, Y: m.thick/2 + m.proud}, Depth: m.grain, Most: min(m.cap/3, 0.8*m.proud),
	}
	return relief.Carve(body, relief.Place(piece.Face(m.s, surface.Rubbed), sdf.At(sdf.V((from+to)/2, 0, 0))))
}
