package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Rail is a guard of posts, a handrail and an infill along a stair, the edge of
// a deck or a line. It takes its place and its heights from what it stands on,
// so that it follows when that moves.
type Rail struct {
	Named
	Along    string   `key:"along" type:"ref" doc:"the stair or deck that it runs along" words:"stair,deck"`
	Line     []r2.Vec `key:"line" type:"points" doc:"corners of the rail, in place of along"`
	Level    *Level   `key:"level" type:"level" doc:"finished level that a line stands on"`
	Flank    string   `key:"flank" type:"word" doc:"of a stair: the side that it runs along, as one walks up" default:"both" words:"both,left,right"`
	Edge     string   `key:"edge" type:"word" doc:"of a deck: all its edge, the open edge (where nothing joins at its level), or the sides that face one way" default:"open" words:"open,all,north,east,south,west"`
	Height   float64  `key:"height" type:"height" doc:"from the level or the line of the nosings to the top of the handrail" default:"1.1 m" min:"0.3" max:"500" source:"Approved Document K, Diagram 3.1: 1100 mm; 900 mm within a house and on flights"`
	Spacing  float64  `key:"spacing" type:"length" doc:"widest spacing of the posts, centre to centre; the bays are made equal" default:"1.5 m" min:"0.5" max:"1000" source:"EN ISO 14122-3, from memory: at most 1500 mm"`
	Post     float64  `key:"post" type:"length" doc:"thickness of a post" default:"100 mm" min:"0" max:"50" source:"common practice, no source"`
	Handrail float64  `key:"handrail" type:"length" doc:"thickness of the handrail" default:"40 mm" min:"0" max:"50" source:"IRC handrail grip, Type I: 32 to 51 mm"`
	Infill   string   `key:"infill" type:"word" doc:"what closes the bays; a panel, where the print thickens the rest until no opening shows" default:"balusters" words:"balusters,rails,panel,none"`
	Baluster float64  `key:"baluster" type:"length" doc:"thickness of a baluster or of a rail of the infill" default:"20 mm" min:"0" max:"50" source:"common practice, no source: steel bar 12 to 20 mm"`
	Gap      float64  `key:"gap" type:"length" doc:"widest clear gap between balusters, widened with them where the print thickens them" default:"100 mm" min:"0.05" max:"500" source:"Approved Document K, 3.3: 100 mm sphere; IBC 1015.4: 102 mm"`
	Rails    int      `key:"rails" type:"count" doc:"number of rails of the infill below the handrail" default:"1" min:"1" max:"20" source:"29 CFR 1926.502(b): mid rail about half way"`
	Section  string   `key:"section" type:"word" doc:"section of posts and rails" default:"round" words:"round,square"`
	Caps     string   `key:"caps" type:"word" doc:"what tops the posts" default:"none" words:"none,ball"`
	Inset    float64  `key:"inset" type:"length" doc:"from the flank or edge to the face of the posts" default:"50 mm" min:"0" max:"200" source:"common practice, no source"`
}

func init() {
	register(Kind{
		Word: "rail", Stage: Fitting,
		Doc: "Posts in equal bays with a handrail and an infill, along a stair, the edge of a deck, or a line. It follows what it stands on.",
		New: func() Part { return &Rail{} },
	})
}

// railSizes are a rail's thicknesses as drawn, mm, and the infill that is drawn.
type railSizes struct {
	post, handrail, baluster, gap, panel float64
	infill                               string
}

// showsOpen is how wide an opening must be against the members that the print
// thickens round it, for the eye to tell one from the other (no source).
const showsOpen = 2.0 / 3

// sizes raises what is too thin to print, and widens the gap between balusters
// in proportion so that they do not choke it. A rail whose openings would be
// lost between thickened members is drawn as a solid panel.
func (r *Rail) sizes(s *Site, note bool) railSizes {
	pin := s.Print.Pin
	z := railSizes{
		post: max(r.Post, pin), handrail: max(r.Handrail, pin),
		baluster: r.Baluster, gap: r.Gap, panel: s.Print.Wall, infill: r.Infill,
	}
	if r.Infill == "balusters" || r.Infill == "rails" {
		z.baluster = max(r.Baluster, pin)
	}
	if r.Infill == "balusters" {
		if r.Baluster > 0 && z.baluster > r.Baluster {
			z.gap = r.Gap * z.baluster / r.Baluster
		}
		z.gap = max(z.gap, s.Print.Gap)
	}
	if r.closes(s, z) {
		z.infill, z.baluster, z.gap = "panel", r.Baluster, r.Gap
	}
	if z.infill == "panel" {
		// Members that a panel holds all along need only stand out from it.
		least := min(pin, z.panel+2*s.Print.Relief)
		z.post, z.handrail = max(r.Post, least), max(r.Handrail, min(least, r.Height/2))
	}
	if note {
		r.noteSizes(s, z)
	}
	return z
}

// closes says whether the print thickens the members so far that the openings
// between them are lost, to the printer or to the eye.
func (r *Rail) closes(s *Site, z railSizes) bool {
	if z.infill == "panel" || z.post <= r.Post && z.handrail <= r.Handrail && z.baluster <= r.Baluster {
		return false
	}
	shows := func(open, thick float64) bool { return open >= max(s.Print.Gap, showsOpen*thick)-rounding }
	high, bars := r.Height-z.handrail, z.handrail
	if z.infill == "rails" {
		bars = max(z.handrail, z.baluster)
		high = (r.Height-z.handrail/2)/float64(r.Rails+1) - (bars+z.baluster)/2
	}
	return !shows(high, bars) || !shows(r.bayLength(z)-z.post, z.post)
}

// bayLength is the longest that a bay may be, mm: at least so long that one
// post does not run into the next.
func (r *Rail) bayLength(z railSizes) float64 { return max(r.Spacing, 1.5*z.post) }

// noteSizes tells what is drawn otherwise than asked.
func (r *Rail) noteSizes(s *Site, z railSizes) {
	if z.infill != r.Infill {
		s.Note(r.Name, "infill", "posts and rails of %.2f mm, the least pin, would leave no opening that shows: drawn as a solid panel of %.2f mm between posts of %.2f mm",
			s.Print.Pin, z.panel, z.post)
		return
	}
	raised := func(key string, asked, drawn float64) {
		if drawn > asked {
			s.Note(r.Name, key, "%.2f mm on the print is drawn at %.2f mm, the least pin", asked, drawn)
		}
	}
	raised("post", r.Post, z.post)
	raised("handrail", r.Handrail, z.handrail)
	raised("baluster", r.Baluster, z.baluster)
	if r.Infill == "balusters" && r.Baluster > 0 && z.baluster > r.Baluster {
		s.Note(r.Name, "gap", "gaps of %.2f mm are widened to at most %.2f mm, as the balusters are thickened", r.Gap, z.gap)
	}
}

// footing is the height of what carries the rail above a point of the plan; the
// posts go through any finish into the structure below it.
type footing struct {
	top  func(p r2.Vec) float64
	sink float64 // how far below top the structure is sure to be reached
}

// railRun is one unbroken stretch of rail.
type railRun struct {
	line line3
	on   footing
}

// runs gives the stretches of the rail, empty where a reference is broken.
func (r *Rail) runs(s *Site) []railRun {
	z := r.sizes(s, false)
	inset := max(r.Inset, 0.1) + z.post/2
	if r.Along == "" {
		if r.Level == nil || len(r.Line) < 2 {
			return nil
		}
		level := r.Level.Height
		return []railRun{{line3{pts: raiseLine(r.Line, level)}, r.flatFooting(s, level, r.Line)}}
	}
	switch on := s.Find(r.Along).(type) {
	case Climber:
		return r.stairRuns(s, on, inset, z)
	case Floored:
		for _, f := range on.Floors(s) {
			if f.Role == Slab {
				return r.deckRuns(s, f, inset)
			}
		}
	}
	return nil
}

func (r *Rail) flatFooting(s *Site, level float64, plan []r2.Vec) footing {
	return footing{func(r2.Vec) float64 { return level }, level - StructureUnder(s, level, plan) + embed}
}

// stairRuns follow the line of the nosings from a little up the flight, where the
// first post stands on the first tread, to as far over the landing, where the last one
// stands in line with a rail along the edge there.
func (r *Rail) stairRuns(s *Site, st Climber, inset float64, z railSizes) []railRun {
	if len(st.Check(s)) > 0 {
		return nil
	}
	l := st.Flight(s)
	from, to := inset, l.Run()+l.Landing+inset
	if to-from < 1e-9 {
		return nil // one riser: the edge of the landing
	}
	plan := l.Plan(0, l.Run()+l.Landing+2*inset)
	if l.Cheek > 0 { // on the middle of the flank
		inset = max(l.Cheek/2, z.post/2)
	}
	inset = min(inset, l.Width/2)
	on := footing{sink: embed + max(0, l.To-StructureUnder(s, l.To, plan))}
	on.top = func(p r2.Vec) float64 {
		if h, ok := st.Standing(s, p); ok {
			return h
		}
		return l.To
	}
	posts := []float64{0, to - from}
	if l.Landing > 2*z.post {
		posts = []float64{0, l.Run(), to - from}
	}
	var runs []railRun
	for _, side := range []struct {
		word string
		x    float64
	}{{"left", -l.Width/2 + inset}, {"right", l.Width/2 - inset}} {
		if r.Flank == "both" || r.Flank == side.word {
			runs = append(runs, railRun{line3{pts: l.Nosings(side.x, from, to), posts: posts}, on})
		}
	}
	return runs
}

// deckRuns follow the deck's outline, inset, less the stretches that are not
// asked for and those where a stair comes up.
func (r *Rail) deckRuns(s *Site, d Floor, inset float64) []railRun {
	outline := anticlockwise(d.Area.outline())
	level := d.Level.Height
	inner, floor := insetOutline(outline, inset), d.Area.drawn()
	for i := range inner {
		if !(floor.Distance(inner[i]) < 0) {
			return nil // the deck is narrower than the inset
		}
	}
	on := r.flatFooting(s, level, outline)
	ring := line3{pts: raiseLine(inner, level), closed: true}
	var lines []line3
	switch want, ok := compass[r.Edge]; {
	case ok:
		lines = facing(outline, inner, level, want)
	default:
		lines = []line3{ring}
	}
	gone := r.gaps(s, d, inset)
	var runs []railRun
	for _, l := range lines {
		for _, part := range l.cut(gone, 0.25) {
			if sides := part.sides(); len(sides) > 0 && sides[len(sides)-1].to > 2*inset {
				runs = append(runs, railRun{part, on})
			}
		}
	}
	return runs
}

var compass = map[string]r2.Vec{"north": {Y: 1}, "east": {X: 1}, "south": {Y: -1}, "west": {X: -1}}

// facing gives the stretches of the inner outline whose side of the outer one
// faces within 45 degrees of a direction.
func facing(outline, inner []r2.Vec, level float64, want r2.Vec) []line3 {
	n := len(outline)
	faces := make([]bool, n)
	start, all := 0, true
	for i := range n {
		out := r2.Scale(-1, leftNormal(outline[i], outline[(i+1)%n]))
		faces[i] = r2.Dot(out, want) > math.Sqrt2/2-1e-9
		all = all && faces[i]
		if !faces[i] {
			start = i + 1
		}
	}
	pts := raiseLine(inner, level)
	if all {
		return []line3{{pts: pts, closed: true}}
	}
	var lines []line3
	var now []r3.Vec
	for k := range n {
		i := (start + k) % n
		if !faces[i] {
			if now != nil {
				lines = append(lines, line3{pts: now})
			}
			now = nil
			continue
		}
		if now == nil {
			now = []r3.Vec{pts[i]}
		}
		now = append(now, pts[(i+1)%n])
	}
	if now != nil {
		lines = append(lines, line3{pts: now})
	}
	return lines
}

// gaps tells which points of the inset line carry no rail: the head or foot of
// a stair, and for an open edge whatever joins the deck at its level.
func (r *Rail) gaps(s *Site, d Floor, inset float64) func(p r3.Vec) bool {
	type way struct {
		pose       sdf.Pose
		half, deep float64
		y0         float64
	}
	var ways []way
	for _, st := range AllOf[Climber](s) {
		if len(st.Check(s)) > 0 {
			continue
		}
		l := st.Flight(s)
		edge := min(inset, l.Width/2)
		if l.Cheek > 0 {
			edge = l.Cheek / 2
		}
		half := l.Width/2 - edge // up to the middle of the stair's own rail
		switch {
		case math.Abs(l.To-d.Level.Height) < sameHeight:
			ways = append(ways, way{l.Pose, half, 2 * inset, l.Run() + l.Landing})
		case math.Abs(l.From-d.Level.Height) < sameHeight:
			ways = append(ways, way{l.Pose, half, 2 * inset, 0})
		}
	}
	var joins []Floor
	if r.Edge == "open" {
		for _, other := range s.Slabs() {
			if other.Part != d.Part && math.Abs(other.Level.Height-d.Level.Height) < sameHeight {
				joins = append(joins, other)
			}
		}
	}
	return func(p r3.Vec) bool {
		for _, w := range ways {
			q := w.pose.Invert(p)
			if math.Abs(q.X) < w.half && math.Abs(q.Y-w.y0) < w.deep {
				return true
			}
		}
		for _, other := range joins {
			for _, c := range [4]r2.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
				if other.Area.contains(r2.Add(r2.Vec{X: p.X, Y: p.Y}, r2.Scale(2*inset, c))) {
					return true
				}
			}
		}
		return false
	}
}

// Check reports a rail along nothing, or one that its own thickness fills.
func (r *Rail) Check(s *Site) []Fault {
	fault := func(key, allowed, format string, args ...any) []Fault {
		return []Fault{{Part: r.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed}}
	}
	switch {
	case r.Along == "" && len(r.Line) == 0:
		return fault("along", "along = the name of a stair or deck, or line with level", "runs along nothing")
	case r.Along != "" && len(r.Line) > 0:
		return fault("line", "along or line, not both", "stands beside along = %q", r.Along)
	case r.Along == "" && len(r.Line) < 2:
		return fault("line", "two points or more", "has %d point", len(r.Line))
	case r.Along == "" && r.Level == nil:
		return fault("level", "the level that the line stands on", "a line needs a level")
	}
	if least := r.Handrail + s.Print.Gap; r.Height < least {
		return fault("height", fmt.Sprintf("at least %.2f mm", least), "%.2f mm leaves no room under a handrail of %.2f mm", r.Height, r.Handrail)
	}
	return nil
}

// Pieces counts posts, rails and balusters.
func (r *Rail) Pieces(s *Site) int {
	if len(r.Check(s)) > 0 {
		return 0
	}
	z := r.sizes(s, false)
	total := 0
	for _, run := range r.runs(s) {
		for _, b := range r.bays(run.line, z) {
			total += 3 + r.Rails
			if z.infill == "balusters" {
				n, _ := balusters(b.to-b.from-z.post, z.baluster, z.gap)
				total += n
			}
		}
		total += len(run.line.pts) * (1 + r.Rails)
	}
	return total
}

// bay is the stretch between two posts, from middle to middle along the plan.
type bay struct{ from, to float64 }

// bays sets posts at the corners and equal bays between them.
func (r *Rail) bays(l line3, z railSizes) []bay {
	sides := l.sides()
	if len(sides) == 0 {
		return nil
	}
	total := sides[len(sides)-1].to
	at := l.posts
	if at == nil {
		at = l.corners()
	}
	if l.closed {
		if len(at) == 0 {
			at = []float64{0}
		}
		at = append(at, at[0]+total)
	}
	var bays []bay
	for i := 1; i < len(at); i++ {
		length := at[i] - at[i-1]
		n := equalBays(length, r.bayLength(z))
		for k := range n {
			bays = append(bays, bay{at[i-1] + length*float64(k)/float64(n), at[i-1] + length*float64(k+1)/float64(n)})
		}
	}
	return bays
}

// Extents are its line, if it has one of its own.
func (r *Rail) Extents(*Site) []Extent {
	if len(r.Line) == 0 {
		return nil
	}
	return []Extent{{Key: "line", Points: r.Line}}
}

// Remedies of a rail.
func (r *Rail) Remedies(s *Site, t Trouble) []Remedy {
	z := r.sizes(s, false)
	m := remediesOf(r)
	stouter := func() {
		m.scaled("handrail", "a thicker handrail", z.handrail, 1.15, 1.3)
		m.scaled("post", "thicker posts", z.post, 1.15, 1.3)
		if z.infill == "balusters" || z.infill == "rails" {
			m.scaled("baluster", "thicker balusters", z.baluster, 1.15, 1.3)
		}
	}
	closer := func() { m.scaled("spacing", "closer posts", r.bayLength(z), 0.8, 0.6) }
	panel := func() {
		if z.infill != "panel" {
			m.to("infill", `infill = "panel", which holds the handrail all along`, "panel")
		}
	}
	switch {
	case t.thin():
		stouter()
		m.scaled("inset", "another inset", r.Inset, 1.5, 2, 0.5)
		closer()
		panel()
	case t.hanging():
		closer()
		panel()
	case t.of("narrow-gap", "opening"):
		if z.infill == "balusters" {
			by := []float64{1.3, 1.6}
			if t.of("opening") {
				by = []float64{0.5, 0.3}
			}
			m.scaled("gap", map[bool]string{true: "a narrower gap", false: "a wider gap"}[t.of("opening")], r.Gap, by...)
		}
		panel()
	case t.of("rail"):
		const usual = 1100 // mm full size, as the key's default
		m.to("height", "the usual 1.1 m", handy(s.HeightOnPrint(usual)))
	case t.of("uneven-risers", "stand", "rough-stand"):
		m.scaled("inset", "another inset", r.Inset, 0.5, 0)
	}
	return m.all
}

// balusters gives how many balusters of thickness b stand in a clear span so
// that no gap is wider than widest, and the gap that results. All in mm.
//
//	n = ceil((span - widest)/(b + widest))   gap = (span - n b)/(n + 1)
func balusters(span, b, widest float64) (n int, gap float64) {
	if span > widest {
		n = int(math.Ceil((span-widest)/(b+widest) - rounding))
	}
	return n, (span - float64(n)*b) / float64(n+1)
}
