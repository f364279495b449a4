// Package plan draws the plan of a scene as SVG that prints at 1:1: one user unit
// is one mm of paper and one mm of the scene, north up.
//
// It takes plain values and knows nothing of parts. What is written is SVG 1.1
// (W3C Recommendation of 16 August 2011) with two additions of later standards
// that older readers pass over: role and aria attributes (WAI-ARIA), and in the
// style sheet paint-order and custom properties, each after a plain fallback. It
// runs nothing and fetches nothing. Coordinates have at most three decimals;
// what has a coordinate that is not finite, or beyond farthest, is left out.
package plan

import "math"

// Point is a place on the scene in mm, x to the east and y to the north.
type Point struct{ X, Y float64 }

// Node is a corner of a path and the way that leads to it: straight, or along an
// arc of an ellipse with the half-axes RX and RY in mm, the first turned by Turn
// degrees anticlockwise.
type Node struct {
	To        Point
	RX, RY    float64 // 0: straight
	Turn      float64
	Large     bool // the longer of the two ways round
	Clockwise bool
}

// Line is what a stroke shows, and so how it is drawn and told in the legend.
type Line string

// The kinds of line.
const (
	Edge      Line = "edge"
	Mass      Line = "mass"
	Fine      Line = "fine"
	Step      Line = "step"
	Way       Line = "way"
	Rail      Line = "rail"
	Bank      Line = "bank"
	Hidden    Line = "hidden"
	Damage    Line = "damage"
	Scar      Line = "scar"
	Cleared   Line = "cleared" // has no line: what it covers is gone
	Debris    Line = "debris"
	Cut       Line = "cut"
	Footprint Line = "footprint"
	Axis      Line = "axis"
	Stand     Line = "stand"
)

// Floors is the layer that the grid is drawn over.
const Floors = "floors"

// Stroke is one line of the drawing.
type Stroke struct {
	Part   string // what it belongs to, for readers
	Kind   string
	Layer  string // a word; strokes of one layer follow one another
	Group  string // what it is among in its layer, for readers: "Rails"; "" for nothing
	Line   Line
	Path   []Node
	Closed bool
	Covers bool // hides what is drawn before it, within its path
}

// Label is a note beside a part.
type Label struct {
	At   Point
	Text string
}

// Level is a finished height, with places where it may be marked, the best first.
type Level struct {
	Name   string
	Height float64 // mm
	Places []Point
}

// Base is the footprint of one piece.
type Base struct {
	Name   string
	Size   string // "oval 120 x 92"
	At     Point
	Turn   float64 // degrees
	Axis   Point   // where its own x axis meets its outline
	Path   []Node
	Stands [][]Node
}

// Drawing is all that a plan shows.
type Drawing struct {
	Title    string
	Ratio    float64 // the scale's denominator
	Min, Max Point   // of the scene, mm
	Strokes  []Stroke
	Labels   []Label
	Levels   []Level
	Bases    []Base
}

// farthest is how far from the origin anything is drawn, mm.
const farthest = 1e5

func drawable(values ...float64) bool {
	for _, v := range values {
		if !(math.Abs(v) <= farthest) { // NaN too
			return false
		}
	}
	return true
}

func (p Point) drawable() bool { return drawable(p.X, p.Y) }

// sound tells whether a path can be drawn.
func sound(path []Node) bool {
	for _, n := range path {
		if !drawable(n.To.X, n.To.Y, n.RX, n.RY, n.Turn) {
			return false
		}
	}
	return len(path) > 1
}
