package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
	"socle/sdf"
)

// Floor is a level surface that a part gives to walk on: the land with its terraces,
// a deck. A finish is laid on floors and is a Finisher.
type Floor struct {
	Part   Part
	Role   Role
	Words  string    // what messages call it: `deck "mole"`, "the raised terrace"
	Key    string    // of its area in the scene: "area", "sunk[0].area"; "" where it has none of its own
	Area   *Area     // where it lies
	Level  Level     // finished
	Dip    float64   // how far its structure dips below its level at most, mm
	Hollow sdf.Field // of a sunk region: what it takes out of the land; else nil
	Loose  sdf.Field // of land: endless land as rough as its floor, with its lowest places at 0; nil where that is smooth
}

// Role is how a floor lies among the others.
type Role int

// The roles of floors.
const (
	Plot   Role = iota // the land, as far as it goes: what is sunk into it or raised on it goes before it
	Sunk               // a region of the land below its level
	Raised             // a region of the land above its level
	Slab               // a floor of its own, over the land
)

// Floored is a part that gives floors. Those of land come together: its plot first.
type Floored interface {
	Part
	Floors(s *Site) []Floor
}

// Dug is a region in which a part lowers the land.
type Dug struct {
	Words  string  // what messages call it: "the trench"
	Area   *Area   // its outline at its mouth
	Mouth  float64 // the height of that, mm above the datum
	Level  float64 // of its floor, mm above the datum
	Bank   float64 // slope of its sides against the horizontal, degrees
	Of     string  // what its floor is made of, a word of grounds; "" for what the ground is
	Beside string  // the same of its sides
	Spaded bool    // its sides are as rough as spades leave them
}

// Digger is a part that lowers the land. The ground asks for what it digs.
type Digger interface {
	Part
	// Digs gives the regions; none where the part breaks its rules. It is told the level of
	// the plot, and what the land is lowered or raised to at a place of the plan by all but
	// this part, mm above the datum. It may not ask the site for floors.
	Digs(s *Site, plot float64, land func(p r2.Vec) float64) []Dug
}

// Floors are all floors of the site, in the order of the file; finishes are not among
// them.
func (s *Site) Floors() []Floor {
	return Settled(s, nil, func() (all []Floor) {
		for _, p := range AllOf[Floored](s) {
			all = append(all, p.Floors(s)...)
		}
		return all
	})
}

// Slabs are the floors over the land.
func (s *Site) Slabs() (slabs []Floor) {
	for _, f := range s.Floors() {
		if f.Role == Slab {
			slabs = append(slabs, f)
		}
	}
	return slabs
}

// Land is what the scene stands on: its plot, and the regions sunk into it and raised
// on it.
type Land struct {
	Plot         Floor
	Sunk, Raised []Floor
}

// Land is that of the site, nil where it has none.
func (s *Site) Land() *Land {
	return Settled(s, nil, func() (land *Land) {
		for _, f := range s.Floors() {
			switch {
			case f.Role == Plot && land == nil:
				land = &Land{Plot: f}
			case land == nil || f.Part != land.Plot.Part:
			case f.Role == Sunk:
				land.Sunk = append(land.Sunk, f)
			case f.Role == Raised:
				land.Raised = append(land.Raised, f)
			}
		}
		return land
	})
}

// IsLand says whether a part is the land.
func (s *Site) IsLand(p Part) bool {
	land := s.Land()
	return land != nil && land.Plot.Part == p
}

// Box is the plot, from the origin.
func (l *Land) Box() r2.Box { return l.Plot.Area.Bounds() }

// Hollows are what the sunk regions take out of the land and of the finish on it.
func (l *Land) Hollows() (all []sdf.Field) {
	for _, f := range l.Sunk {
		all = append(all, f.Hollow)
	}
	return all
}

// Openings are what is taken out over what is sunk, down to a depth below the plot even
// where that is lower than the floor there: a thick finish of the plot ends beside them.
func (l *Land) Openings(deep float64) (all []sdf.Field) {
	for _, f := range l.Sunk {
		step := l.Plot.Level.Height - f.Level.Height
		for down := 0.0; down == 0 || down < deep && step > SameHeight; down += step {
			all = append(all, sdf.Place(f.Hollow, sdf.At(sdf.V(0, 0, -down))))
		}
	}
	return all
}

// holds says whether a place of the plan lies on the floor, the edge of a plot included.
func (f *Floor) holds(p r2.Vec) bool {
	if r := f.Area.Rect; f.Role == Plot && len(r) == 4 {
		return p.X >= r[0] && p.Y >= r[1] && p.X <= r[0]+r[2] && p.Y <= r[1]+r[3]
	}
	return f.Area.Contains(p)
}

// Sound says whether its area is one.
func (f *Floor) Sound() bool { return len(f.Area.Check("", "")) == 0 }

// At says whether the floor lies at a height.
func (f *Floor) At(height float64) bool { return math.Abs(f.Level.Height-height) < SameHeight }

// Within says whether all of a region of the plan lies on the floor.
func (f *Floor) Within(plan []r2.Vec) bool {
	return allWithin(plan, planar.Polygon(f.Area.Outline()))
}

// allWithin says whether no corner lies outside a shape.
func allWithin(plan []r2.Vec, f planar.Shape) bool {
	for _, p := range plan {
		if f.At(p) > 0 {
			return false
		}
	}
	return true
}

// LevelAt is the highest finished level at a place of the plan, mm above the datum; ok
// is false where there is no floor.
func (s *Site) LevelAt(p r2.Vec) (level float64, ok bool) {
	level = math.Inf(-1)
	raise := func(h float64) { level, ok = math.Max(level, h), true }
	land := s.Land()
	if land != nil && land.Plot.holds(p) {
		h := land.Plot.Level.Height
		for i := range land.Raised {
			if land.Raised[i].holds(p) {
				h = math.Max(h, land.Raised[i].Level.Height)
			}
		}
		for i := range land.Sunk {
			if land.Sunk[i].holds(p) {
				h = math.Min(h, land.Sunk[i].Level.Height)
			}
		}
		raise(h)
	}
	floors := s.Floors()
	for i := range floors {
		if f := &floors[i]; f.Role == Slab && f.holds(p) {
			raise(f.Level.Height)
		}
	}
	inSunk := func(h float64) bool { // where paving at the level of the land ends
		if land == nil || !land.Plot.At(h) {
			return false
		}
		for i := range land.Sunk {
			if land.Sunk[i].holds(p) {
				return true
			}
		}
		return false
	}
	for _, n := range s.Finishes() {
		if n.Area.Contains(p) && !inSunk(n.Level) {
			raise(n.Level)
		}
	}
	return level, ok
}

// FloorAt is the highest finished floor at a place of the plan, or what of a flight one
// stands on over it, mm above the datum; ok is false where there is none.
func (s *Site) FloorAt(p r2.Vec) (level float64, ok bool) {
	level, ok = s.LevelAt(p)
	for _, st := range AllOf[Climber](s) {
		if z, on := st.Standing(s, p); on && (!ok || z > level) {
			level, ok = z, true
		}
	}
	return level, ok
}

// StandingAt is what a thing stands on at a place of the plan: the level that it is given,
// or else the highest floor there; ok is false where there is neither.
func (s *Site) StandingAt(given *Level, p r2.Vec) (level float64, ok bool) {
	if given != nil {
		return given.Height, true
	}
	return s.FloorAt(p)
}

// Roughness is how far below a level the land may dip there, mm.
func (s *Site) Roughness(level float64) (dip float64) {
	land := s.Land()
	if land == nil {
		return 0
	}
	for _, floors := range [][]Floor{{land.Plot}, land.Sunk, land.Raised} {
		for i := range floors {
			if floors[i].At(level) {
				dip = math.Max(dip, floors[i].Dip)
			}
		}
	}
	return dip
}

// LandUnder is the lowest height of the land's structure under a region of the plan; ok
// is false where no part of the region is over land.
func (s *Site) LandUnder(plan []r2.Vec) (height float64, ok bool) {
	land := s.Land()
	if land == nil || !planar.OutlinesMeet(plan, land.Plot.Area.Outline()) {
		return 0, false
	}
	height = math.Inf(1)
	covered := false
	for i := range land.Raised {
		f := &land.Raised[i]
		if o := f.Area.Outline(); planar.OutlinesMeet(plan, o) {
			height = math.Min(height, StructureUnder(s, f.Level.Height, plan)-f.Dip)
			covered = covered || f.Within(plan)
		}
	}
	if !covered {
		height = math.Min(height, StructureUnder(s, land.Plot.Level.Height, plan)-land.Plot.Dip)
	}
	for i := range land.Sunk {
		f := &land.Sunk[i]
		if planar.OutlinesMeet(plan, f.Area.Outline()) {
			height = math.Min(height, StructureUnder(s, f.Level.Height, plan)-f.Dip)
		}
	}
	return height, true
}

// Embed is how far a part is let into what carries it, mm: more than any cell of the
// mesh needs to join the two.
const Embed = 0.5

// carried says whether one slab at a level lies under all corners of a region.
func (s *Site) carried(level float64, plan []r2.Vec) bool {
	for _, f := range s.Slabs() {
		if math.Abs(f.Level.Height-level) > SameHeight {
			continue
		}
		all := true
		for _, p := range plan {
			all = all && f.Area.Contains(p)
		}
		if all {
			return true
		}
	}
	return false
}

// BearingUnder is the height that structure standing at a level goes down to: let into
// the structure under the level, below any finish there, or where no slab at that level
// carries all of it, into the land.
func (s *Site) BearingUnder(level float64, plan []r2.Vec) float64 {
	z := StructureUnder(s, level, plan) - Embed
	if s.carried(level, plan) {
		return z
	}
	if ground, ok := s.LandUnder(plan); ok {
		z = min(z, ground-Embed)
	}
	return z
}

// FloorRank orders what can be walked on: the land and its finish, what is sunk into it
// with the deepest last, then all above it by height, a finish over its structure and
// what is fixed to it over both.
func (s *Site) FloorRank(height float64, stage Stage) float64 {
	ground := height
	if land := s.Land(); land != nil {
		ground = land.Plot.Level.Height
	}
	rank := height - ground
	if rank < 0 {
		rank = SameHeight * (1 - 1/(1-rank)) // below all that is raised
	}
	const over = 1e-6 // of what is laid on it, a stage
	return rank + over*SameHeight*float64(stage-Structure)
}
