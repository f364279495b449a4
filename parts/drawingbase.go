package parts

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// footprint is the piece's outline at its foot, on the scene.
func (p *Piece) footprint() Footprint {
	b := p.berth
	f := Footprint{Name: p.Name, Base: p.Base.Name, Size: p.Footprint, At: b.at, Turn: b.turn, Axis: b.place(r2.Vec{X: b.size.X / 2}), Path: b.path()}
	for _, st := range p.Base.Stands {
		f.Stands = append(f.Stands, circlePath(b.place(st.At), st.Round/2))
	}
	return f
}

// path is the outline of the placed footprint, anticlockwise. Is exact: curves
// are arcs.
func (s *spot) path() []Node {
	h := r2.Scale(0.5, s.size)
	switch s.word {
	case "round", "oval":
		return ellipsePath(s.at, h.X, h.Y, s.turn)
	case "hexagon":
		var pts []r2.Vec
		for _, p := range s.outline() {
			pts = append(pts, s.place(p))
		}
		return straight(pts...)
	}
	r := s.radius()
	core := []r2.Vec{}
	for _, q := range [4]r2.Vec{{X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}, {X: -1, Y: -1}} {
		core = append(core, s.support(q))
	}
	var path []Node
	for i, c := range core { // a side to each corner, and round it
		from := [4]r2.Vec{{Y: -1}, {X: 1}, {Y: 1}, {X: -1}}[i]
		to := r2.Vec{X: -from.Y, Y: from.X}
		path = append(path, Node{To: s.place(r2.Add(c, r2.Scale(r, from)))})
		if r > 0 {
			path = append(path, Node{To: s.place(r2.Add(c, r2.Scale(r, to))), Radii: r2.Vec{X: r, Y: r}})
		}
	}
	return path
}

// levelMarks lists every finished level with the places of the plan where it is
// seen: of the ground and its terraces, of decks, and of finishes at levels of
// their own.
func levelMarks(s *Site) []LevelMark {
	var marks []LevelMark
	add := func(part Part, level Level, area *Area) {
		if area == nil {
			return
		}
		for i := range marks {
			if marks[i].Part == part.Label() && math.Abs(marks[i].Height-level.Height) < sameHeight {
				return
			}
		}
		if places := seenAt(s, area, level.Height); len(places) > 0 {
			marks = append(marks, LevelMark{Part: part.Label(), Name: level.Name, Height: level.Height, Places: places})
		}
	}
	var held []float64 // levels of structure
	floors := func(all ...Floor) {
		for _, f := range all {
			add(f.Part, f.Level, f.Area)
			held = append(held, f.Level.Height)
		}
	}
	if land := s.Land(); land != nil {
		floors(land.Plot)
		floors(land.Sunk...)
		floors(land.Raised...)
	}
	for _, p := range inOrder(s) {
		if f, ok := p.(Floored); ok && !s.isLand(p) {
			floors(f.Floors(s)...)
		}
		if f, ok := p.(Finisher); ok {
			n := f.Finish(s)
			own := true
			for _, h := range held {
				own = own && math.Abs(h-n.Level) >= sameHeight
			}
			if own {
				add(p, Level{n.LevelName, n.Level}, n.Area)
			}
		}
	}
	return marks
}

// seenAt gives places of a region where a level is the highest, those farthest
// from the region's edge first.
func seenAt(s *Site, area *Area, level float64) []r2.Vec {
	const (
		rows  = 24 // of places along the longer side
		least = 4  // mm from the edge of the region
		most  = 60
	)
	type place struct {
		at   r2.Vec
		deep float64
	}
	b, shape := area.bounds(), area.drawn()
	step := math.Max(math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)/rows, 0.5)
	var found []place
	for y := b.Min.Y + step/2; y < b.Max.Y; y += step {
		for x := b.Min.X + step/2; x < b.Max.X; x += step {
			p := r2.Vec{X: x, Y: y}
			deep := -shape.Distance(p)
			if deep <= 0 {
				continue
			}
			if at, ok := s.LevelAt(p); ok && math.Abs(at-level) < sameHeight {
				found = append(found, place{p, math.Min(deep, least)})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b place) int { return cmp.Compare(b.deep, a.deep) })
	var out []r2.Vec
	for i := range min(len(found), most) { // spread over all that were found
		out = append(out, found[i*len(found)/min(len(found), most)].at)
	}
	return out
}
