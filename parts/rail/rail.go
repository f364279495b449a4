package rail

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Rail is a guard of posts, a handrail and an infill along a stair, the edge of
// a deck or a line. It takes its place and its heights from what it stands on,
// so that it follows when that moves.
type Rail struct {
	parts.Named
	Along    string       `key:"along" type:"ref" doc:"the stair or deck that it runs along" of:"flight,slab"`
	Line     []r2.Vec     `key:"line" type:"points" doc:"corners of the rail, in place of along"`
	Level    *parts.Level `key:"level" type:"level" doc:"finished level that a line stands on"`
	Flank    string       `key:"flank" type:"word" plan:"flank" doc:"on a stair: the side that it runs along, as one walks up" default:"both" words:"both,left,right"`
	Edge     string       `key:"edge" type:"word" plan:"side" doc:"on a deck: the whole edge, the open edge (where nothing joins at its level), or the sides that face one way" default:"open" words:"open,all,north,east,south,west"`
	Height   float64      `key:"height" type:"height" doc:"from the level or the line of the nosings to the top of the handrail" default:"1.1 m" min:"0.3" max:"500" source:"Approved Document K, Diagram 3.1: 1100 mm; 900 mm within a house and on flights"`
	Spacing  float64      `key:"spacing" type:"length" doc:"widest spacing of the posts, centre to centre; the bays are made equal" default:"1.5 m" min:"0.5" max:"1000" source:"EN ISO 14122-3, from memory: at most 1500 mm"`
	Post     float64      `key:"post" type:"length" doc:"thickness of a post" default:"100 mm" min:"0" max:"50" source:"common practice, no source"`
	Handrail float64      `key:"handrail" type:"length" doc:"thickness of the handrail" default:"40 mm" min:"0" max:"50" source:"IRC handrail grip, Type I: 32 to 51 mm"`
	Infill   string       `key:"infill" type:"word" doc:"what fills the bays; a panel is drawn if the least sizes of the print would leave no opening" default:"balusters" words:"balusters,rails,panel,none"`
	Baluster float64      `key:"baluster" type:"length" doc:"thickness of a baluster or of a rail of the infill" default:"20 mm" min:"0" max:"50" source:"common practice, no source: steel bar 12 to 20 mm"`
	Gap      float64      `key:"gap" type:"length" doc:"widest clear gap between balusters, widened with them where the print thickens them" default:"100 mm" min:"0.05" max:"500" source:"Approved Document K, 3.3: 100 mm sphere; IBC 1015.4: 102 mm"`
	Rails    int          `key:"rails" type:"count" doc:"number of rails of the infill below the handrail" default:"1" min:"1" max:"20" source:"29 CFR 1926.502(b): mid rail about half way"`
	Section  string       `key:"section" type:"word" doc:"section of posts and rails" default:"round" words:"round,square"`
	Caps     string       `key:"caps" type:"word" doc:"what is on top of the posts" default:"none" words:"none,ball"`
	Inset    float64      `key:"inset" type:"length" doc:"from the flank or edge to the face of the posts" default:"50 mm" min:"0" max:"200" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "rail", Stage: parts.Fitting, Group: "Rails",
		Doc: "Posts in equal bays with a handrail and an infill, along a stair, the edge of a deck, or a line. It follows what it stands on.",
		New: func() parts.Part { return &Rail{} },
	})
}

// Check reports a rail along nothing, or one that its own thickness fills.
func (r *Rail) Check(s *parts.Site) []parts.Fault {
	fault := func(key, allowed, format string, args ...any) []parts.Fault {
		return []parts.Fault{{Part: r.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed}}
	}
	switch {
	case r.Along == "" && len(r.Line) == 0:
		return fault("along", "along = the name of a stair or deck, or line with level", "has neither along nor line")
	case r.Along != "" && len(r.Line) > 0:
		return fault("line", "along or line, not both", "cannot be used with along = %q", r.Along)
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
func (r *Rail) Pieces(s *parts.Site) int {
	if len(r.Check(s)) > 0 {
		return 0
	}
	z := r.settled(s)
	total := 0
	for _, run := range z.stretches {
		for _, b := range run.bays {
			total += 3 + r.Rails
			if z.infill == "balusters" {
				n, _ := balusters(b.to-b.from-z.post, z.baluster, z.gap)
				total += n
			}
		}
		total += len(run.line.Pts) * (1 + r.Rails)
	}
	return total
}

// Extents are its line, if it has one of its own.
func (r *Rail) Extents(*parts.Site) []parts.Extent {
	if len(r.Line) == 0 {
		return nil
	}
	return []parts.Extent{{Key: "line", Points: r.Line}}
}
