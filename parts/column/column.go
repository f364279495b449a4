package column

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Column is one column or a row of them: a shaft with flutes, base and capital,
// whole or broken off.
type Column struct {
	parts.Named
	At       []r2.Vec    `key:"at" type:"points" doc:"where columns stand" required:"yes"`
	Level    parts.Level `key:"level" type:"level" doc:"finished level that they stand on" required:"yes"`
	Height   float64     `key:"height" type:"height" doc:"total height, with base and capital" required:"yes" min:"0.5" max:"500"`
	Diameter float64     `key:"diameter" type:"length" doc:"diameter of the shaft at its foot" required:"yes" min:"0.3" max:"200"`
	Taper    float64     `key:"taper" type:"number" doc:"diameter at the head of the shaft, as a share of the diameter at its foot" default:"0.84" min:"0.3" max:"1" source:"Vitruvius III.3: 5/6 for shafts up to 15 ft, from memory"`
	Base     string      `key:"base" type:"word" doc:"what the shaft stands on" default:"moulded" words:"none,plinth,moulded"`
	Capital  string      `key:"capital" type:"word" doc:"what the shaft carries" default:"moulded" words:"none,plain,moulded"`
	Flutes   int         `key:"flutes" type:"count" doc:"number of flutes; fewer are drawn where they would not print" default:"0" min:"0" max:"64" source:"20 Doric, 24 Ionic: trade handbooks, from memory"`
	Surface  string      `key:"surface" type:"word" doc:"what the shaft is like: drums of stone with joints between them, or one smooth shaft" default:"rubbed" words:"rubbed,tooled,plain" source:"common practice, no source"`
	Broken   float64     `key:"broken" type:"number" doc:"0 whole .. 1 a stump: how much of the height is lost, differently for each" default:"0" min:"0" max:"1"`
	Seed     uint64      `key:"seed" type:"seed" doc:"picks where and how each breaks" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "column", Stage: parts.Structure, Group: "Stairs, walls and columns",
		Doc: "Round columns with base, capital and flutes, whole or broken off at differing heights.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[column]]
at = [[20, 26], [34, 35], [44, 20]]
level = "floor"
height = "2.6 m"
diameter = "420 mm"
flutes = 16
broken = 0.9
seed = 7
`,
		New: func() parts.Part { return &Column{} },
	})
}

// mostEnds is the share of the height that base and capital may take together.
const mostEnds = 0.8

// Check reports columns whose base and capital leave no shaft at the sizes that the
// scene gives: what the printer alone makes too thick is drawn otherwise.
func (c *Column) Check(*parts.Site) []parts.Fault {
	if b, top := c.givenEnds(); b+top > mostEnds*c.Height {
		return []parts.Fault{{Part: c.Name, Key: "height",
			Text:    fmt.Sprintf("%.2f mm leaves no shaft between a base of %.2f mm and a capital of %.2f mm", c.Height, b, top),
			Allowed: fmt.Sprintf("at least %.2f mm, or no base and capital", (b+top)/mostEnds)}}
	}
	return nil
}

// Pieces counts shafts, mouldings and flutes.
func (c *Column) Pieces(*parts.Site) int { return len(c.At) * (8 + c.Flutes) }

// givenEnds gives the heights of the base and the capital for the diameter that the
// scene gives, mm: each half a diameter (Vitruvius III.5 for the base, from memory).
func (c *Column) givenEnds() (base, capital float64) {
	if c.Base != "none" {
		base = c.Diameter / 2
	}
	if c.Capital != "none" {
		capital = c.Diameter / 2
	}
	return base, capital
}

// Extents are its shafts, with their plinths.
func (c *Column) Extents(*parts.Site) (all []parts.Extent) {
	wide := c.Diameter / 2
	if c.Base != "none" {
		const plinth = 1.6 // of the radius, between its sides and its corners
		wide *= plinth
	}
	for i, at := range c.At {
		all = append(all, parts.Extent{Key: fmt.Sprintf("at[%d]", i), Points: []r2.Vec{at}, Wide: wide})
	}
	return all
}
