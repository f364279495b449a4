package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Paving is a finish of stones laid in a bond, in a bed, with open joints. Its
// highest stones reach the level and nothing of it lies above.
type Paving struct {
	Named
	Level     Level       `key:"level" type:"level" doc:"finished level: the top of its highest stones" required:"yes"`
	Area      Area        `key:"area" type:"table" doc:"the region it covers; stones are cut to it" required:"yes"`
	Bond      string      `key:"bond" type:"word" doc:"how the stones are laid; random is flags of mixed sizes" default:"running" words:"stack,running,herringbone,basketweave,hexagonal,random"`
	Stone     *[2]float64 `key:"stone" type:"size" doc:"long and short side of a stone with its joint; left out, the bond's usual stone: 600 mm flags in stack bond, 900 x 600 mm running and random, 200 x 100 mm blocks in herringbone and basketweave, 400 mm hexagons" min:"0.05" max:"500" source:"flags 300 x 300 to 600 x 900 mm: BS EN 1339 usage; blocks 200 x 100 mm on the module: BS EN 1338 usage; hexagons: common practice, no source"`
	Thickness *float64    `key:"thickness" type:"length" doc:"thickness of the finish, all of it below the level; left out, 50 mm full size or what the joints need" min:"0.1" max:"100" source:"flags 50 mm thick: BS EN 1339 trade usage"`
	Joint     *float64    `key:"joint" type:"length" doc:"width of the joints; left out, 10 mm full size or the least gap of the print" min:"0.02" max:"20" source:"flag joints 5 to 12 mm, mortar: trade usage"`
	Recess    *float64    `key:"recess" type:"length" doc:"depth of the joints below the stones; left out, the least relief of the print, the joint's width or a twentieth of the stone's" min:"0.05" max:"20" source:"common practice, no source"`
	Turn      float64     `key:"turn" type:"angle" doc:"turn of the courses against the area's own sides; 45 lays herringbone at 45" default:"0" min:"-360" max:"360"`
	Wear      float64     `key:"wear" type:"number" doc:"0 new .. 1 ruinous: sets all of the keys below that are left out" default:"0.2" min:"0" max:"1"`
	Arris     *float64    `key:"arris" type:"length" doc:"radius of the worn edges" min:"0" max:"20"`
	Uneven    *float64    `key:"uneven" type:"length" doc:"most that a stone is sunk below the level" min:"0" max:"20"`
	Tilt      *float64    `key:"tilt" type:"angle" doc:"most that a stone leans" min:"0" max:"10"`
	Crown     *float64    `key:"crown" type:"length" doc:"how far a stone's top falls from its middle to its corners" min:"0" max:"10"`
	Grain     *float64    `key:"grain" type:"length" doc:"depth of the roughness of the stones" min:"0" max:"5"`
	Chipped   *float64    `key:"chipped" type:"number" doc:"share of the stones that have chips" min:"0" max:"1"`
	Cracked   *float64    `key:"cracked" type:"number" doc:"share of the stones that are cracked in two" min:"0" max:"1"`
	Missing   *float64    `key:"missing" type:"number" doc:"share of the stones that are gone, leaving a rough bed" min:"0" max:"1"`
	Seed      uint64      `key:"seed" type:"seed" doc:"picks what each stone is like" default:"1"`
}

func init() {
	register(Kind{
		Word: "paving", Stage: Finishing,
		Doc: "Stones laid in a bond at a finished level. Their thickness lies below the level: the ground or deck under them makes room. Beside a stair's foot or head the stones lie true.",
		New: func() Part { return &Paving{} },
	})
}

// pavingSizes are a paving's sizes as drawn, in mm on the print.
type pavingSizes struct {
	module    module
	joint     float64
	recess    float64
	thickness float64
	least     float64 // least width of a cut stone
	wear      wear
}

// sizes settles what the print can hold, with a note for each thing that is
// drawn otherwise than asked.
func (p *Paving) sizes(s *Site) (z pavingSizes, notes []Note) {
	note := func(key, format string, args ...any) {
		notes = append(notes, Note{Part: p.Name, Key: key, Text: fmt.Sprintf(format, args...)})
	}
	given := func(v *float64, usual float64) float64 {
		if v != nil {
			return *v
		}
		return usual
	}
	rule := bondOf(p.Bond)

	const usualJoint, usualThickness = 10, 50 // full-size mm
	joint := given(p.Joint, s.OnPrint(usualJoint))
	z.joint = math.Max(joint, s.Print.Gap)
	if joint < s.Print.Gap {
		note("joint", "joints of %.3f mm on the print are drawn at %.2f mm, the least gap", joint, z.joint)
	}

	asked := module{s.OnPrint(rule.stone[0]), s.OnPrint(rule.stone[1])}
	if p.Stone != nil {
		asked = module{math.Max(p.Stone[0], p.Stone[1]), math.Min(p.Stone[0], p.Stone[1])}
	}
	z.module = rule.fit(asked)
	if p.Stone != nil && math.Abs(z.module.long-asked.long) > 0.01*asked.long {
		note("stone", "%s bond cannot be laid with %.2f x %.2f mm: drawn at %.2f x %.2f mm", p.Bond, asked.long, asked.short, z.module.long, z.module.short)
	}
	// A stone shows where it is at least twice as wide as the joint beside it.
	if small := z.module.short * rule.smallest; small < 3*z.joint {
		k := 3 * z.joint / small
		note("stone", "stones of %.2f x %.2f mm on the print would be lost between the joints: drawn %.2f times as large", z.module.long, z.module.short, k)
		z.module = module{k * z.module.long, k * z.module.short}
	}
	small := z.module.short * rule.smallest

	// Large stones need deeper joints to read (common practice, no source).
	z.recess = math.Max(given(p.Recess, math.Max(z.joint, 0.05*small)), s.Print.Relief)
	if p.Recess != nil && *p.Recess < s.Print.Relief {
		note("recess", "joints %.2f mm deep are drawn %.2f mm deep, the least relief", *p.Recess, z.recess)
	}
	const bed = 0.2 // mm of bed under the joints at least
	z.thickness = given(p.Thickness, s.OnPrint(usualThickness))
	if z.thickness < z.recess+bed {
		if p.Thickness != nil {
			note("thickness", "%.2f mm is drawn at %.2f mm, to hold joints %.2f mm deep", z.thickness, z.recess+bed, z.recess)
		}
		z.thickness = z.recess + bed
	}
	// Masons do not lay cuts under a quarter of a stone (common practice, no
	// source), nor can a print hold them.
	z.least = math.Max(small/4, 1.5*z.joint)

	w := p.Wear
	z.wear = wear{
		arris:   given(p.Arris, math.Min(0.25*z.joint+0.15*w*small, 1.5*z.recess)),
		uneven:  given(p.Uneven, 0.5*w*z.recess),
		tilt:    given(p.Tilt, 4*w),
		crown:   given(p.Crown, 0.4*w*z.recess),
		grain:   given(p.Grain, 0.4*w*z.recess),
		chipped: given(p.Chipped, w),
		cracked: given(p.Cracked, 0.2*w*w),
		missing: given(p.Missing, 0.1*w*w),
	}
	return z, notes
}

// courses is the area's outline in the frame of the courses, and the pose from
// that frame to the scene.
func (p *Paving) courses() (outline []r2.Vec, pose sdf.Pose) {
	pose = sdf.Turn(sdf.V(0, 0, 1), p.Area.Turn+p.Turn)
	for _, c := range p.Area.outline() {
		q := pose.Invert(sdf.V(c.X, c.Y, 0))
		outline = append(outline, r2.Vec{X: q.X, Y: q.Y})
	}
	return outline, pose
}

// Pieces is the most stones that the area can take.
func (p *Paving) Pieces(s *Site) int {
	if len(p.Area.Check(p.Name, "area")) > 0 {
		return 0
	}
	z, _ := p.sizes(s)
	outline, _ := p.courses()
	b := boundsOf(outline)
	most := bondOf(p.Bond).most(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, z.module)
	if z.wear.cracked > 0 {
		most *= 2
	}
	return int(math.Min(most, math.MaxInt32))
}

// Check reports a bad area and more stones than a scene may have.
func (p *Paving) Check(s *Site) []Fault {
	faults := p.Area.Check(p.Name, "area")
	if n := p.Pieces(s); n > MaxPieces {
		faults = append(faults, Fault{Part: p.Name, Key: "stone",
			Text: fmt.Sprintf("the area would take up to %d stones", n), Allowed: fmt.Sprintf("at most %d in a scene", MaxPieces)})
	}
	return faults
}

// Extents are its area.
func (p *Paving) Extents(*Site) []Extent {
	return []Extent{{Key: "area", Points: p.Area.outline(), Closed: true}}
}

// Finish is the layer that structure makes room for.
func (p *Paving) Finish(s *Site) Finish {
	z, _ := p.sizes(s)
	return Finish{Part: p.Name, Area: &p.Area, Level: p.Level.Height, LevelName: p.Level.Name, Thickness: z.thickness, Recess: z.recess, Joint: z.joint}
}

// Solid is the bed and the stones in it.
func (p *Paving) Solid(s *Site) sdf.Field {
	z, notes := p.sizes(s)
	for _, n := range notes {
		s.Note(n.Part, n.Key, "%s", n.Text)
	}
	level := p.Level.Height
	foot := level - z.thickness
	bottom := foot - keyed - s.Roughness(level)

	work := p.lay(s, z)
	stones := make([]sdf.Field, 0, len(work.stones)+1)
	var pits []sdf.Field
	for _, l := range work.stones {
		if l.missing {
			pits = append(pits, l.pit(level, foot, z))
		} else {
			stones = append(stones, l.stone(level, foot, z))
		}
	}
	for _, f := range work.fills {
		stones = append(stones, newStone(stoneShape{outline: f.outline, plan: f.plan, box: f.box, level: level - z.recess/3, foot: foot}))
	}
	bed := sdf.Difference(p.Area.prism(bottom, level-z.recess), pits...)
	all := sdf.Union(append(stones, bed)...)
	if land := s.Land(); land != nil && land.Plot.at(level) {
		return sdf.Difference(all, land.Hollows()...)
	}
	return all
}

// trueStones are the stones that lie true.
type trueStones []laid

// EvenAt says whether a place lies well within a stone that lies true.
func (p *Paving) EvenAt(s *Site, at r2.Vec) bool {
	z, _ := p.sizes(s)
	stones := Settled(s, p, func() (stones trueStones) {
		for _, l := range p.lay(s, z).stones {
			if l.true && !l.missing && l.outline != nil {
				stones = append(stones, l)
			}
		}
		return stones
	})
	in := math.Min(z.wear.arris, z.joint/2) + flatStone
	for i := range stones {
		if b := stones[i].box; at.X < b.Min.X || at.Y < b.Min.Y || at.X > b.Max.X || at.Y > b.Max.Y {
			continue
		}
		if newConvexShape(stones[i].outline).at(at) < -in {
			return true
		}
	}
	return false
}

// Remedies of a paving.
func (p *Paving) Remedies(s *Site, t Trouble) []Remedy {
	z, _ := p.sizes(s)
	r := remediesOf(p)
	switch {
	case t.thin() || t.hanging() || t.trapped() || t.of("rough-stand", "stand"):
		if t.hanging() && p.Tilt != nil {
			r.scaled("tilt", "less tilt", *p.Tilt, 0.5, 0)
		}
		r.scaled("wear", "less wear", p.Wear, 0.5, 0)
		r.seeds(p.Seed)
		r.scaled("recess", "shallower joints", z.recess, 0.8)
	case t.of("narrow-gap"):
		r.scaled("joint", "wider joints", z.joint, 1.2, 1.5)
		r.scaled("wear", "less wear", p.Wear, 0.5, 0)
	case t.of("shallow-relief"):
		r.scaled("recess", "deeper joints", z.recess, 1.2, 1.5)
		r.scaled("wear", "less wear", p.Wear, 0.5, 0)
	case t.of("unit"):
		r.words("stone", "a larger stone with a wider joint")
	case t.of("uneven-risers"):
		r.words("level", "the level that the stair measures from")
	}
	return r.all
}
