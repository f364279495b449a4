package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Stair is a straight flight from one level to another. Both are finished
// heights, so every riser is the rise divided by their number, the last one
// too, whatever paving lies on the landing.
type Stair struct {
	Named
	From    Level    `key:"from" type:"level" doc:"finished level that the stair rises from" required:"yes"`
	To      Level    `key:"to" type:"level" doc:"finished level that it leads up to" required:"yes"`
	Foot    *r2.Vec  `key:"foot" type:"point" doc:"middle of the foot of the first riser; the run then fits the deck that the stair leads to"`
	Head    *r2.Vec  `key:"head" type:"point" doc:"middle of the last riser, in place of the foot or beside it; the foot then follows the rise"`
	Facing  float64  `key:"facing" type:"facing" doc:"direction walked up" words:"east,north-east,north,north-west,west,south-west,south,south-east" required:"yes"`
	Width   float64  `key:"width" type:"length" doc:"width over all, flanks included" default:"2 m" min:"0.5" max:"2000"`
	Risers  *int     `key:"risers" type:"count" doc:"number of risers; left out, the profile chooses" min:"1" max:"1000"`
	Riser   *float64 `key:"riser" type:"height" doc:"riser to come closest to with equal risers" min:"0.05" max:"500"`
	Going   *float64 `key:"going" type:"length" doc:"tread from nosing to nosing; left out, the step-length rule chooses" min:"0.05" max:"1000"`
	Profile string   `key:"profile" type:"word" doc:"limits on riser, going and pitch in full size" default:"comfort" words:"comfort,dwelling,public,private,utility,general,industrial,free" source:"DIN 18065, IRC 2018 R311.7.5, IBC 1011.5.2, Approved Document K (2013) Table 1.1, EN ISO 14122-3"`
	Nosing  float64  `key:"nosing" type:"length" doc:"overhang of each tread before its riser" default:"0" min:"0" max:"50"`
	Side    string   `key:"side" type:"word" doc:"solid down to the ground, or an open flight: a sloping slab, or treads between strings" default:"solid" words:"solid,open"`
	Waist   float64  `key:"waist" type:"length" doc:"thickness of the slab or the strings of an open flight below its steps" default:"150 mm" min:"0" max:"100" source:"common practice, no source"`
	Flanks  string   `key:"flanks" type:"word" doc:"what runs along both sides" default:"none" words:"none,string,wall"`
	Cheek   float64  `key:"cheek" type:"length" doc:"thickness of a string or flank wall" default:"200 mm" min:"0" max:"100" source:"common practice, no source"`
	Upstand float64  `key:"upstand" type:"height" doc:"how far a string or flank wall stands above the line of the nosings" default:"120 mm" min:"0" max:"100" source:"common practice, no source"`
	Arris   *float64 `key:"arris" type:"length" doc:"radius of the edges of the treads, their nosings too; left out, 0 of a new stair, and with wear what it has rounded off" min:"0" max:"20"`
	Wear    float64  `key:"wear" type:"number" doc:"0 new .. 1 ruinous: dished treads, rounded and chipped nosings; the back of each tread stays at its height" default:"0" min:"0" max:"1"`
	Seed    uint64   `key:"seed" type:"seed" doc:"picks where the nosings are chipped" default:"1"`
}

func init() {
	register(Kind{
		Word: "stair", Stage: Structure,
		Doc: "A straight flight of equal risers between two finished levels. Riser and going follow the step-length rule where they are left out, and change with the levels.",
		New: func() Part { return &Stair{} },
	})
}

// maxRisers is the most risers of one flight.
const maxRisers = 1000

// Standing is the height of the top of the stair above a point of the plan that
// lies inset from the flank: the tread, or the flank wall or string beside the
// treads. ok is false beyond the stair.
func (st *Stair) Standing(s *Site, p r2.Vec) (z float64, ok bool) {
	return st.standing(st.layout(s), p)
}

func (st *Stair) standing(l *stairLayout, p r2.Vec) (z float64, ok bool) {
	q := l.Pose.Invert(sdf.V(p.X, p.Y, 0))
	if math.Abs(q.X) > st.Width/2 || q.Y < 0 || q.Y > l.Run()+l.Landing {
		return 0, false
	}
	z = l.Tread(q.Y)
	if st.Flanks != "none" && math.Abs(q.X) >= st.Width/2-l.Cheek {
		z = max(z, min(st.To.Height, l.NosingLine(q.Y)+l.Upstand))
	}
	return z, true
}

// Landings are the foot of the first riser and the head of the last, where the
// paving must lie true for them to be equal to the rest.
func (st *Stair) Landings(s *Site) []Lie {
	l := st.layout(s)
	lie := func(y, z float64) Lie {
		a, b := l.Place(-st.Width/2, y, 0), l.Place(st.Width/2, y, 0)
		return Lie{A: r2.Vec{X: a.X, Y: a.Y}, B: r2.Vec{X: b.X, Y: b.Y}, Height: z}
	}
	return []Lie{lie(0, st.From.Height), lie(l.Run()+l.Landing, st.To.Height)}
}

// Check reports levels the wrong way round, a run that cannot be climbed and
// sizes outside the profile.
func (st *Stair) Check(s *Site) []Fault {
	fault := func(key, allowed, format string, args ...any) []Fault {
		return []Fault{{Part: st.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed}}
	}
	if st.To.Height <= st.From.Height {
		return fault("to", "from is the lower level and to the upper one: swap them and turn facing round",
			"leads from %.3f mm to %.3f mm, which is not upward", st.From.Height, st.To.Height)
	}
	if st.Foot == nil && st.Head == nil {
		return fault("foot", "foot = [x, y] at the first riser, or head = [x, y] at the last", "has neither a foot nor a head")
	}
	l := st.layout(s)
	if l.fault != nil {
		return []Fault{*l.fault}
	}
	if clear := st.Width - 2*l.Cheek; st.Flanks != "none" && clear < s.Print.Gap {
		return fault("width", fmt.Sprintf("at least %.2f mm", 2*l.Cheek+s.Print.Gap),
			"%.2f mm leaves no treads between flanks of %.2f mm", st.Width, l.Cheek)
	}
	return nil
}

// Pieces counts the treads, with their dishes and chips.
func (st *Stair) Pieces(s *Site) int {
	if st.To.Height <= st.From.Height || st.Foot == nil && st.Head == nil {
		return 0
	}
	return 4 + st.layout(s).Risers*(3+chipsPerTread)
}

// Remedies of a stair.
func (st *Stair) Remedies(s *Site, t Trouble) []Remedy {
	l := st.layout(s)
	r := remediesOf(st)
	open := st.Side == "open"
	solid := func() {
		if open {
			r.to("side", `side = "solid"`, "solid")
		}
	}
	flanked := st.Flanks != "none"
	switch {
	case t.thin() || t.trapped():
		r.scaled("wear", "less wear", st.Wear, 0.5, 0)
		if flanked {
			r.scaled("cheek", "thicker flanks", l.Cheek, 1.15, 1.3, 1.6)
		}
		if open {
			r.scaled("waist", "a thicker waist", l.waist, 1.2, 1.5)
		}
		solid()
		if st.Wear > 0 {
			r.seeds(st.Seed)
		}
	case t.hanging():
		r.scaled("nosing", "a smaller nosing", st.Nosing, 0.5, 0)
		solid()
	case t.of("narrow-gap"):
		solid()
	case t.of("shallow-relief", "stair"):
		var values []any
		for _, by := range []int{-1, 1, -2, 2} {
			if n := l.Risers + by; n > 0 {
				values = append(values, n)
			}
		}
		r.to("risers", "one riser more or less", values...)
		r.words("to", "other levels, or another profile")
	case t.of("rough-stand", "stand"):
		r.scaled("going", "a longer going", l.Going, 1.15, 1.3)
	case t.of("uneven-risers"):
		r.scaled("wear", "less wear", st.Wear, 0.5, 0)
		r.words("to", "from and to at finished levels, the same as the paving's")
	}
	return r.all
}
