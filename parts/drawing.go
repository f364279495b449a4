package parts

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the scene from above, drawn from the parts' own outlines. All is in
// scene mm, x to the east and y to the north.
type Plan struct {
	Box        r2.Box   // of the ground; of all that is drawn where there is none
	Strokes    []Stroke // in the order of painting: what comes later lies above
	Labels     []Label
	Levels     []LevelMark
	Footprints []Footprint // one for each piece, by name
}

// Line is what a stroke shows, and so how it is drawn.
type Line string

// The kinds of line.
const (
	LineEdge    Line = "edge"    // outline of what can be seen from above
	LineMass    Line = "mass"    // outline of what stands up: a wall, a shaft
	LineFine    Line = "fine"    // joints and other detail
	LineStep    Line = "step"    // the nosing of a tread
	LineWay     Line = "way"     // the way up a flight
	LineRail    Line = "rail"    // handrail and posts
	LineBank    Line = "bank"    // ticks on the falling side of an edge
	LineHidden  Line = "hidden"  // what lies below what can be seen
	LineDamage  Line = "damage"  // the lip of damage
	LineScar    Line = "scar"    // detail of damage
	LineCleared Line = "cleared" // none: what it covers is gone
	LineDebris  Line = "debris"  // how far debris lies
	LineCut     Line = "cut"     // a trim
)

// Layer is where a stroke lies among the others.
type Layer int

// The layers, from below.
const (
	OnFloor    Layer = iota // ground, decks and the finishes on them
	BelowFloor              // hidden below them
	Standing                // stairs, walls, columns
	Fitted                  // rails
	Damaged
	Littered
	Trimmed
)

func (l Layer) String() string {
	return [...]string{"floors", "hidden", "standing", "fittings", "damage", "debris", "trims"}[l]
}

// Stroke is one line of the plan.
type Stroke struct {
	Part   string // the part's name
	Kind   string // the word for its kind
	Stage  Stage
	Line   Line
	Layer  Layer
	Path   []Node // the first is where it starts
	Closed bool
	Covers bool // hides what is drawn before it, within its path

	rank float64 // among the floors: what has more lies above
}

// Node is a corner of a path and the way that leads to it: straight, or along an
// arc of an ellipse.
type Node struct {
	To        r2.Vec
	Radii     r2.Vec  // half-axes of the arc, mm; zero for a straight way
	Turn      float64 // of the first half-axis, degrees
	Large     bool    // the longer of the two ways round
	Clockwise bool
}

// Label is a note on the plan.
type Label struct {
	At   r2.Vec
	Text string
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
	Turn   float64 // degrees
	Axis   r2.Vec  // where its own x axis meets its outline
	Path   []Node  // closed
	Stands [][]Node
}

// Planner is a part with an outline on the plan.
type Planner interface {
	Part
	// Plan gives the part's strokes in the order of painting. Part, Kind, Stage
	// and, where it is left 0, Layer are filled in from the part's kind.
	Plan(s *Site) []Stroke
}

// Labelled is a part with notes on the plan.
type Labelled interface {
	Part
	PlanLabels(s *Site) []Label
}

// Plan draws the scene from above. It takes no mesh and evaluates no solid.
func (sc *Scene) Plan() *Plan {
	s := sc.site
	p := &Plan{Levels: levelMarks(s)}
	for _, part := range inOrder(s) {
		if d, ok := part.(Planner); ok {
			p.draw(s, d)
		}
		if d, ok := part.(Labelled); ok {
			p.Labels = append(p.Labels, d.PlanLabels(s)...)
		}
	}
	slices.SortStableFunc(p.Strokes, func(a, b Stroke) int {
		return cmp.Or(cmp.Compare(a.Layer, b.Layer), cmp.Compare(a.rank, b.rank))
	})
	for _, piece := range sc.pieces {
		p.Footprints = append(p.Footprints, piece.footprint())
	}
	p.Box = p.bounds(s)
	return p
}

// draw adds the strokes of one part.
func (p *Plan) draw(s *Site, d Planner) {
	kind := kindOfPart(d)
	for _, stroke := range d.Plan(s) {
		if len(stroke.Path) < 2 {
			continue
		}
		stroke.Part, stroke.Kind, stroke.Stage = d.Label(), kind.Word, kind.Stage
		switch {
		case stroke.Line == LineHidden:
			stroke.Layer = BelowFloor
		case stroke.Layer != OnFloor:
		case kind.Stage == Fitting:
			stroke.Layer = Fitted
		case kind.Stage == Damaging && stroke.rank == 0: // what it cleared off the floors stays there
			stroke.Layer = Damaged
		case kind.Stage == Spilling:
			stroke.Layer = Littered
		case kind.Stage == Trimming:
			stroke.Layer = Trimmed
		}
		p.Strokes = append(p.Strokes, stroke)
	}
}

// bounds is the ground's plot; in a scene without ground, the least box about
// all corners that are drawn.
func (p *Plan) bounds(s *Site) r2.Box {
	if land := s.Land(); land != nil {
		return land.Box()
	}
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	hold := func(path []Node) {
		for _, n := range path {
			b.Min = r2.Vec{X: math.Min(b.Min.X, n.To.X), Y: math.Min(b.Min.Y, n.To.Y)}
			b.Max = r2.Vec{X: math.Max(b.Max.X, n.To.X), Y: math.Max(b.Max.Y, n.To.Y)}
		}
	}
	for _, s := range p.Strokes {
		if s.Line != LineCut {
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
