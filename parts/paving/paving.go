package paving

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Paving is a finish of stones laid in a bond, in a bed, with open joints. Its
// highest stones reach the level and nothing of it lies above.
type Paving struct {
	parts.Named
	Level     parts.Level `key:"level" type:"level" doc:"finished level: the top of its highest stones" required:"yes"`
	Area      parts.Area  `key:"area" type:"table" doc:"the region it covers; stones are cut to it" required:"yes"`
	Bond      string      `key:"bond" type:"word" doc:"how the stones are laid; random is flags of mixed sizes" default:"running" words:"stack,running,herringbone,basketweave,hexagonal,random"`
	Stone     *[2]float64 `key:"stone" type:"size" doc:"long and short side of a stone with its joint; left out, the bond's usual stone: 600 mm flags in stack bond, 900 x 600 mm running and random, 200 x 100 mm blocks in herringbone and basketweave, 400 mm hexagons" min:"0.05" max:"500" source:"flags 300 x 300 to 600 x 900 mm: BS EN 1339 usage; blocks 200 x 100 mm on the module: BS EN 1338 usage; hexagons: common practice, no source"`
	Thickness *float64    `key:"thickness" type:"length" doc:"thickness of the finish, all of it below the level; left out, 50 mm full size or what the joints need" min:"0.1" max:"100" source:"flags 50 mm thick: BS EN 1339 trade usage"`
	Joint     *float64    `key:"joint" type:"length" doc:"width of the joints; left out, 10 mm full size or the least gap of the print" min:"0.02" max:"20" source:"flag joints 5 to 12 mm, mortar: trade usage"`
	Recess    *float64    `key:"recess" type:"length" doc:"depth of the joints below the stones; left out, the least relief of the print, more where it is worn, the joint's width or a sixteenth of the stone's" min:"0.05" max:"20" source:"common practice, no source"`
	Turn      float64     `key:"turn" type:"angle" plan:"aside" doc:"turn of the courses against the area's own sides; 45 lays herringbone at 45" default:"0" min:"-360" max:"360"`
	Surface   *string     `key:"surface" type:"word" doc:"what the stones are like; left out: domed setts and blocks up to 250 mm wide in full size, flags tooled, and rubbed from a wear of 0.6 on; plain has no texture" words:"rubbed,tooled,rock-faced,domed,brick,concrete,boards,plate,plain" source:"common practice, no source"`
	Path      []r2.Vec    `key:"path" type:"points" doc:"a line that people walk: stones along it are polished and trodden down, as they are before stairs"`
	Wear      float64     `key:"wear" type:"number" doc:"0 new .. 1 ruinous: sets those of the keys below that are left out" default:"0.2" min:"0" max:"1"`
	Arris     *float64    `key:"arris" type:"length" doc:"radius of the worn edges" min:"0" max:"20"`
	Uneven    *float64    `key:"uneven" type:"length" doc:"greatest depth that a stone sinks below the level" min:"0" max:"20"`
	Tilt      *float64    `key:"tilt" type:"angle" doc:"greatest lean of a stone" min:"0" max:"10"`
	Crown     *float64    `key:"crown" type:"length" doc:"how far a stone's top falls from its middle to its corners" min:"0" max:"10"`
	Grain     *float64    `key:"grain" type:"length" doc:"depth of the texture of the stones; 0 leaves them smooth" min:"0" max:"5"`
	Chipped   *float64    `key:"chipped" type:"number" doc:"share of the stones that have chips" min:"0" max:"1"`
	Cracked   *float64    `key:"cracked" type:"number" doc:"share of the stones that are cracked in two" min:"0" max:"1"`
	Missing   *float64    `key:"missing" type:"number" doc:"share of the stones that are gone, leaving a rough bed" min:"0" max:"1"`
	Seed      uint64      `key:"seed" type:"seed" doc:"picks what each stone is like" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "paving", Stage: parts.Finishing, Group: "Ground, decks and paving",
		Doc: "Stones laid in a bond at a finished level. Their thickness lies below the level: the ground or deck under them makes room. Beside a stair's foot or head the stones lie true.",
		New: func() parts.Part { return &Paving{} },
	})
}

// courses is the area's outline in the frame of the courses, and the pose from
// that frame to the scene.
func (p *Paving) courses() (outline []r2.Vec, pose sdf.Pose) {
	pose = sdf.Turn(sdf.V(0, 0, 1), p.Area.Turn+p.Turn)
	for _, c := range p.Area.Outline() {
		q := pose.Invert(sdf.V(c.X, c.Y, 0))
		outline = append(outline, r2.Vec{X: q.X, Y: q.Y})
	}
	return outline, pose
}

// Pieces is the most stones that the area can take.
func (p *Paving) Pieces(s *parts.Site) int {
	if len(p.Area.Check(p.Name, "area")) > 0 {
		return 0
	}
	z := p.settled(s)
	outline, _ := p.courses()
	b := planar.Bounds(outline)
	most := z.bond.most(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, z.module)
	if z.wear.cracked > 0 {
		most *= 2
	}
	return int(min(most, math.MaxInt32))
}

// Check reports a bad area and more stones than a scene may have.
func (p *Paving) Check(s *parts.Site) []parts.Fault {
	faults := p.Area.Check(p.Name, "area")
	if n := p.Pieces(s); n > parts.MaxPieces {
		faults = append(faults, parts.Fault{Part: p.Name, Key: "stone",
			Text: fmt.Sprintf("the area would take up to %d stones", n), Allowed: fmt.Sprintf("at most %d in a scene", parts.MaxPieces)})
	}
	return faults
}

// Notes are what is drawn otherwise than the scene gives it.
func (p *Paving) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes }

// Extents are its area.
func (p *Paving) Extents(*parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: p.Area.Outline(), Closed: true}}
}

// Finish is the layer that structure makes room for.
func (p *Paving) Finish(s *parts.Site) parts.Finish {
	z := p.settled(s)
	return parts.Finish{Part: p.Name, Area: &p.Area, Level: p.Level.Height, LevelName: p.Level.Name, Thickness: z.thickness, Recess: z.recess, Joint: z.joint}
}
