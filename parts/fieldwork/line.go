package fieldwork

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Line is embedded by work that runs along a line of the plan.
type Line struct {
	course.Line `plan:"left"`

	Level *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the highest floor under the middle of each of its legs"`
	Seed  uint64       `key:"seed" type:"seed" doc:"picks how its pieces lie and are worn" default:"1"`
}

// work is a part that runs along a line; it embeds Line.
type work interface {
	parts.Part
	// across is how wide it is on the plan, and how high it stands, mm.
	across(s *parts.Site) (wide, high float64)
	// unit is about how long one piece of it is along the line, and how many lie beside and
	// over each other there.
	unit(s *parts.Site) (long float64, abreast int)
	// bodies are the pieces that it is made of.
	bodies(s *parts.Site) []body
}

// body is one piece of a work, in the scene.
type body struct {
	solid sdf.Field
	frame sdf.Pose // from its own frame
	box   r3.Box   // about it, in its own frame
}

// leg is a straight stretch of the line. In its frame x runs along it from its start, y to
// its left, and z = 0 is its floor.
type leg struct {
	n     int
	last  bool // of the line
	pose  sdf.Pose
	long  float64
	level float64
	foot  float64 // how far it goes down to be held, over its level: 0 or less, mm
}

// mostPieces bounds how many pieces one work has.
const mostPieces = 3000

// work is the part that embeds the line.
func (l *Line) work(s *parts.Site) work { return s.Find(l.Name).(work) }

// legs are those of the line, settled once.
func (l *Line) legs(s *parts.Site) []leg {
	return parts.Settled(s, l.work(s), func() (all []leg) {
		wide, _ := l.work(s).across(s)
		for n, middle := range l.Middles() {
			a, b := l.Points[n], l.Points[n+1]
			side := r2.Sub(b, a)
			g := leg{n: n, last: n == len(l.Points)-2, long: planar.Norm2(side)}
			level, ok := s.StandingAt(l.Level, middle)
			if !ok {
				continue
			}
			g.level = level
			g.pose = sdf.Turn(sdf.V(0, 0, 1), math.Atan2(side.Y, side.X)*180/math.Pi).Then(sdf.At(sdf.V(a.X, a.Y, level)))
			g.foot = math.Min(0, s.BearingUnder(level, g.outline(wide))-level)
			all = append(all, g)
		}
		return all
	})
}

// outline is what a leg covers on the plan, as wide as told: past a corner of the line by
// half of that.
func (g *leg) outline(wide float64) []r2.Vec {
	from, to := 0.0, g.long
	if g.n > 0 {
		from -= wide / 2
	}
	if !g.last {
		to += wide / 2
	}
	out := make([]r2.Vec, 0, 4)
	for _, c := range [4][2]float64{{from, -1}, {to, -1}, {to, 1}, {from, 1}} {
		p := g.pose.Apply(sdf.V(c[0], c[1]*wide/2, 0))
		out = append(out, r2.Vec{X: p.X, Y: p.Y})
	}
	return out
}

// Check reports a line that is none, and more pieces than a work may have.
func (l *Line) Check(s *parts.Site) []parts.Fault {
	if faults := l.Line.Check(s); len(faults) > 0 {
		return faults
	}
	each, abreast := l.work(s).unit(s)
	if n := (l.Length()/each + float64(len(l.Points))) * float64(abreast); n > mostPieces {
		return l.Fault(fmt.Sprintf("is so long that it takes %.0f pieces", n), fmt.Sprintf("at most %d pieces: a shorter line, or larger pieces", mostPieces))
	}
	return nil
}

// CheckPlace reports a leg under which no floor lies.
func (l *Line) CheckPlace(s *parts.Site) []parts.Fault {
	return l.Stands(s, l.Level, l.Middles()...)
}

// Pieces counts them, each for several.
func (l *Line) Pieces(s *parts.Site) int {
	const each = 5
	return each * len(l.work(s).bodies(s))
}

// Solid is all pieces.
func (l *Line) Solid(s *parts.Site) sdf.Field { return joined(l.work(s).bodies(s)) }

// joined is the solid of some pieces.
func joined(all []body) sdf.Field {
	solids := make([]sdf.Field, len(all))
	for i := range all {
		solids[i] = all[i].solid
	}
	return sdf.Union(solids...)
}

// Extents are what each leg covers.
func (l *Line) Extents(s *parts.Site) (all []parts.Extent) {
	wide, _ := l.work(s).across(s)
	for _, g := range l.legs(s) {
		all = append(all, parts.Extent{Key: course.Key, Points: g.outline(wide), Closed: true})
	}
	return all
}

// Plan is the outline of each leg, and a line across it for every piece.
func (l *Line) Plan(s *parts.Site) (strokes []parts.Stroke) {
	w := l.work(s)
	wide, _ := w.across(s)
	each, _ := w.unit(s)
	for _, g := range l.legs(s) {
		strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Closed: true, Covers: true, Path: planar.Straight(g.outline(wide)...)})
		n := math.Max(1, math.Round(g.long/each))
		for i := 1.0; i < n; i++ {
			a, b := g.pose.Apply(sdf.V(g.long*i/n, -wide/2, 0)), g.pose.Apply(sdf.V(g.long*i/n, wide/2, 0))
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Path: planar.Straight(r2.Vec{X: a.X, Y: a.Y}, r2.Vec{X: b.X, Y: b.Y})})
		}
	}
	return strokes
}

// piece is a body as it breaks.
func (b *body) piece() *fracture.Piece {
	size := r3.Sub(b.box.Max, b.box.Min)
	return &fracture.Piece{Solid: b.solid, Frame: b.frame, Box: b.box, Low: b.box.Min.Z, Thick: math.Min(size.X, math.Min(size.Y, size.Z)) / 2}
}

// Bitten is what bites leave of it.
func (l *Line) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	var all []fracture.Piece
	for _, b := range l.work(s).bodies(s) {
		all = append(all, *b.piece())
	}
	return fracture.Pieces(s, all, bites, under)
}

// fallen gives how much of a work comes down at a patch: its volume for each mm of its line.
func (l *Line) fallen(patch *parts.Patch, perMM float64) float64 {
	if patch.Whole {
		return perMM
	}
	return perMM * patch.Run(l.Points, 0)
}

// Measures is its height beside a person.
func (l *Line) Measures(s *parts.Site) []parts.Measure {
	_, high := l.work(s).across(s)
	return parts.TallBeside(s, "height", "height", high)
}

// Sights is the first stretch of it that the piece shows.
func (l *Line) Sights(look parts.Lookout) []parts.Sight {
	s := look.Site()
	w := l.work(s)
	wide, high := w.across(s)
	half := math.Max(wide, 1.2*look.Person())
	for _, g := range l.legs(s) {
		for t := 0.5 * wide; t < g.long; t += wide {
			if sight, ok := parts.SightOf(look, w, g.pose.Apply(sdf.V(t, 0, high)), high, half, wide/2); ok {
				return []parts.Sight{sight}
			}
		}
	}
	return nil
}
