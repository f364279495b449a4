package stair

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Stair is a straight flight from one level to another. Both are finished
// heights, so every riser is the rise divided by their number, the last one
// too, whatever paving lies on the landing.
type Stair struct {
	parts.Named
	From    parts.Level `key:"from" type:"level" doc:"finished level that the stair rises from" required:"yes"`
	To      parts.Level `key:"to" type:"level" doc:"finished level that it leads up to" required:"yes"`
	Foot    *r2.Vec     `key:"foot" type:"point" doc:"middle of the foot of the first riser; the run then fits the deck that the stair leads to"`
	Head    *r2.Vec     `key:"head" type:"point" doc:"middle of the last riser, in place of the foot or beside it; the foot then follows the rise"`
	Facing  float64     `key:"facing" type:"facing" doc:"direction in which one walks up" words:"east,north-east,north,north-west,west,south-west,south,south-east" required:"yes"`
	Width   float64     `key:"width" type:"length" doc:"total width, with flanks" default:"2 m" min:"0.5" max:"2000"`
	Risers  *int        `key:"risers" type:"count" doc:"number of risers; left out, the profile chooses" min:"1" max:"1000"`
	Riser   *float64    `key:"riser" type:"height" doc:"the riser that you want; equal risers come as close to it as they can" min:"0.05" max:"500"`
	Going   *float64    `key:"going" type:"length" doc:"tread from nosing to nosing; left out, the step-length rule chooses" min:"0.05" max:"1000"`
	Profile string      `key:"profile" type:"word" doc:"limits on riser, going and pitch in full size" default:"comfort" words:"comfort,dwelling,public,private,utility,general,industrial,free" source:"DIN 18065, IRC 2018 R311.7.5, IBC 1011.5.2, Approved Document K (2013) Table 1.1, EN ISO 14122-3"`
	Nosing  float64     `key:"nosing" type:"length" doc:"overhang of each tread before its riser" default:"0" min:"0" max:"50"`
	Side    string      `key:"side" type:"word" doc:"solid down to the ground, or an open flight: a sloping slab, or treads between strings" default:"solid" words:"solid,open"`
	Waist   float64     `key:"waist" type:"length" doc:"thickness of the slab or the strings of an open flight below its steps" default:"150 mm" min:"0" max:"100" source:"common practice, no source"`
	Flanks  string      `key:"flanks" type:"word" doc:"what runs along both sides" default:"none" words:"none,string,wall"`
	Cheek   float64     `key:"cheek" type:"length" doc:"thickness of a string or flank wall" default:"200 mm" min:"0" max:"100" source:"common practice, no source"`
	Upstand float64     `key:"upstand" type:"height" doc:"how far a string or flank wall stands above the line of the nosings" default:"120 mm" min:"0" max:"100" source:"common practice, no source"`
	Arris   *float64    `key:"arris" type:"length" doc:"radius of the edges of the treads and nosings; left out, 0 on a new stair, and as much as wear rounds off" min:"0" max:"20"`
	Surface string      `key:"surface" type:"word" doc:"what its treads and risers are like; the back of each tread stays flat; plain has no texture" default:"tooled" words:"rubbed,tooled,rock-faced,concrete,boards,plate,plain" source:"common practice, no source"`
	Wear    float64     `key:"wear" type:"number" doc:"0 new .. 1 ruinous: dished treads, rounded and chipped nosings; the back of each tread stays at its height" default:"0" min:"0" max:"1"`
	Seed    uint64      `key:"seed" type:"seed" doc:"picks where the nosings are chipped" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "stair", Stage: parts.Structure, Group: "Stairs, walls and columns",
		Doc: "A straight flight of equal risers between two finished levels. Riser and going follow the step-length rule where they are left out, and change with the levels.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[deck]]
name = "terrace"
level = "floor + 1 m"
area = { rect = [0, 32, 64, 16] }

[[stair]]
from = "floor"
to = "floor + 1 m"
head = [32, 32]
facing = "north"
flanks = "wall"
`,
		New: func() parts.Part { return &Stair{} },
	})
}

// maxRisers is the most risers of one flight.
const maxRisers = 1000

// Check reports levels the wrong way round, a run that cannot be climbed and
// sizes outside the profile.
func (st *Stair) Check(s *parts.Site) []parts.Fault {
	fault := func(key, allowed, format string, args ...any) []parts.Fault {
		return []parts.Fault{{Part: st.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed}}
	}
	if st.To.Height <= st.From.Height {
		return fault("to", "from is the lower level and to the upper one: swap them and turn facing round",
			"leads from %.3f mm to %.3f mm, which is not upward", st.From.Height, st.To.Height)
	}
	if st.Foot == nil && st.Head == nil {
		return fault("foot", "foot = [x, y] at the first riser, or head = [x, y] at the last", "has neither a foot nor a head")
	}
	l := st.settled(s)
	if l.fault != nil {
		return []parts.Fault{*l.fault}
	}
	if clear := st.Width - 2*l.Cheek; st.Flanks != "none" && clear < s.Print.Gap {
		return fault("width", fmt.Sprintf("at least %.2f mm", 2*l.Cheek+s.Print.Gap),
			"%.2f mm leaves no treads between flanks of %.2f mm", st.Width, l.Cheek)
	}
	return nil
}

// Pieces counts the treads, with their dishes and chips.
func (st *Stair) Pieces(s *parts.Site) int {
	if st.To.Height <= st.From.Height || st.Foot == nil && st.Head == nil {
		return 0
	}
	return 4 + st.settled(s).Risers*(3+chipsPerTread)
}
