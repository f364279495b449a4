package assembly

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the scene from above, drawn from the parts' own outlines. All is in
// scene mm, x to the east and y to the north.
type Plan struct {
	Box        r2.Box         // of the ground; of all that is drawn where there is none
	Strokes    []parts.Stroke // in the order of painting: what comes later lies above
	Labels     []parts.Label
	Levels     []LevelMark
	Footprints []Footprint // one for each piece, by name
}

// LevelMark is a finished height with the places of the plan where it is the
// highest there is; the first are the farthest from the edge of its region.
type LevelMark struct {
	Part   string
	Name   string  // of the level, "" where the scene gave a height
	Height float64 // mm above the datum
	Places []r2.Vec
}

// Footprint is the outline of one piece at its foot, as it lies on the scene.
type Footprint struct {
	Name   string // of the piece
	Base   string // of the base that it is one of
	Size   string // "oval 120 x 92"
	At     r2.Vec
	Turn   float64       // degrees
	Axis   r2.Vec        // where its own x axis meets its outline
	Path   []planar.Node // closed
	Stands [][]planar.Node
}

// Plan draws the scene from above. It takes no mesh and evaluates no solid.
func (sc *Scene) Plan() *Plan {
	s := sc.site
	p := &Plan{Levels: levelMarks(s)}
	for _, part := range inOrder(s) {
		if d, ok := part.(parts.Planner); ok {
			p.draw(s, d)
		}
		if d, ok := part.(parts.Labelled); ok {
			p.Labels = append(p.Labels, d.PlanLabels(s)...)
		}
	}
	slices.SortStableFunc(p.Strokes, func(a, b parts.Stroke) int {
		return cmp.Or(cmp.Compare(a.Layer, b.Layer), cmp.Compare(a.Rank, b.Rank))
	})
	for _, piece := range sc.pieces {
		p.Footprints = append(p.Footprints, piece.footprint())
	}
	p.Box = p.Bounds(s)
	return p
}

// draw adds the strokes of one part.
func (p *Plan) draw(s *parts.Site, d parts.Planner) {
	kind := parts.KindOfPart(d)
	for _, stroke := range d.Plan(s) {
		if len(stroke.Path) < 2 {
			continue
		}
		stroke.Part, stroke.Kind, stroke.Stage = d.Label(), kind.Word, kind.Stage
		switch {
		case stroke.Line == parts.LineHidden:
			stroke.Layer = parts.BelowFloor
		case stroke.Layer != parts.OnFloor:
		case kind.Stage == parts.Fitting:
			stroke.Layer = parts.Fitted
		case kind.Stage == parts.Damaging && stroke.Rank == 0: // what it cleared off the floors stays there
			stroke.Layer = parts.Damaged
		case kind.Stage == parts.Spilling:
			stroke.Layer = parts.Littered
		case kind.Stage == parts.Trimming:
			stroke.Layer = parts.Trimmed
		}
		switch stroke.Line {
		case parts.LineCleared: // nothing is there
		case parts.LineHidden:
			stroke.Group = stroke.Layer.Words()
		default:
			stroke.Group = cmp.Or(kind.Group, stroke.Layer.Words())
		}
		p.Strokes = append(p.Strokes, stroke)
	}
}

// Bounds is the ground's plot; in a scene without ground, the least box about
// all corners that are drawn.
func (p *Plan) Bounds(s *parts.Site) r2.Box {
	if land := s.Land(); land != nil {
		return land.Box()
	}
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	hold := func(path []planar.Node) {
		for _, n := range path {
			b.Min = r2.Vec{X: math.Min(b.Min.X, n.To.X), Y: math.Min(b.Min.Y, n.To.Y)}
			b.Max = r2.Vec{X: math.Max(b.Max.X, n.To.X), Y: math.Max(b.Max.Y, n.To.Y)}
		}
	}
	for _, s := range p.Strokes {
		if s.Line != parts.LineCut {
			hold(s.Path)
		}
	}
	for _, f := range p.Footprints {
		hold(f.Path)
	}
	if b.Min.X > b.Max.X {
		return r2.Box{}
	}
	return b
}

// footprint is the piece's outline at its foot, on the scene.
func (p *Piece) footprint() Footprint {
	b := p.berth
	f := Footprint{Name: p.Name, Base: p.Base.Name, Size: p.Footprint, At: b.At, Turn: b.Turn, Axis: b.Place(r2.Vec{X: b.Size.X / 2}), Path: b.Path()}
	for _, st := range p.Base.Stands {
		f.Stands = append(f.Stands, planar.CirclePath(b.Place(st.At), st.Round/2))
	}
	return f
}

// levelMarks lists every finished level with the places of the plan where it is
// seen: of the ground and its terraces, of decks, and of finishes at levels of
// their own.
func levelMarks(s *parts.Site) []LevelMark {
	var marks []LevelMark
	add := func(part parts.Part, level parts.Level, area *parts.Area) {
		if level.Name == "" {
			level.Name = namedAs(s, level.Height)
		}
		if area == nil {
			return
		}
		for i := range marks {
			if marks[i].Part == part.Label() && math.Abs(marks[i].Height-level.Height) < parts.SameHeight {
				return
			}
		}
		if places := seenAt(s, area, level.Height); len(places) > 0 {
			marks = append(marks, LevelMark{Part: part.Label(), Name: level.Name, Height: level.Height, Places: places})
		}
	}
	var held []float64 // levels of structure
	floors := func(all ...parts.Floor) {
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
		if f, ok := p.(parts.Floored); ok && !s.IsLand(p) {
			floors(f.Floors(s)...)
		}
		if f, ok := p.(parts.Finisher); ok {
			n := f.Finish(s)
			own := true
			for _, h := range held {
				own = own && math.Abs(h-n.Level) >= parts.SameHeight
			}
			if own {
				add(p, parts.Level{Name: n.LevelName, Height: n.Level}, n.Area)
			}
		}
	}
	return marks
}

// namedAs is the first, by name, of the scene's levels that lies at a height: a floor that was
// dug to a depth lies at one without saying so. "" for none.
func namedAs(s *parts.Site, height float64) string {
	for _, name := range slices.Sorted(maps.Keys(s.Levels)) {
		if math.Abs(s.Levels[name]-height) < parts.SameHeight {
			return name
		}
	}
	return ""
}

// seenAt gives places of a region where a level is the highest, those farthest
// from the region's edge first.
func seenAt(s *parts.Site, area *parts.Area, level float64) []r2.Vec {
	const (
		rows  = 24 // of places along the longer side
		least = 4  // mm from the edge of the region
		most  = 60
	)
	type place struct {
		at   r2.Vec
		deep float64
	}
	b, shape := area.Bounds(), area.Drawn()
	step := math.Max(math.Max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)/rows, 0.5)
	var found []place
	for y := b.Min.Y + step/2; y < b.Max.Y; y += step {
		for x := b.Min.X + step/2; x < b.Max.X; x += step {
			p := r2.Vec{X: x, Y: y}
			deep := -shape.Distance(p)
			if deep <= 0 {
				continue
			}
			if at, ok := s.LevelAt(p); ok && math.Abs(at-level) < parts.SameHeight {
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
