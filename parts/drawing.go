package parts

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

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

// Words is what the plan usually calls the parts of a layer.
func (l Layer) Words() string {
	return [...]string{
		"Floors", "Hidden below", "Standing", "Fittings", "Damage", "Debris", "Trims",
	}[l]
}

// Stroke is one line of the plan.
type Stroke struct {
	Part   string // the part's name
	Kind   string // the word for its kind
	Group  string // what it is among in its layer: "Rails"; "" where nothing is left
	Stage  Stage
	Line   Line
	Layer  Layer
	Path   []planar.Node // the first is where it starts
	Closed bool
	Covers bool // hides what is drawn before it, within its path

	Rank float64 // among the floors: what has more lies above
}

// Label is a note on the plan.
type Label struct {
	At   r2.Vec
	Text string
}

// Planner is a part with an outline on the plan.
type Planner interface {
	Part
	// Plan gives the part's strokes in the order of painting. Part, Kind, Group, Stage
	// and, where it is left 0, Layer are filled in from the part's kind.
	Plan(s *Site) []Stroke
}

// Labelled is a part with notes on the plan.
type Labelled interface {
	Part
	PlanLabels(s *Site) []Label
}
