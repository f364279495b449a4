package ground

import (
	"fmt"

	"socle/parts"
)

// Ground is the land that the scene stands on: a rectangle from the origin,
// flat or gently uneven, with terraces sunk into it or raised on it.
type Ground struct {
	parts.Named
	Size       [2]float64  `key:"size" type:"size" doc:"width and depth, from the origin to the east and north" required:"yes" min:"1" max:"5000"`
	Level      parts.Level `key:"level" type:"level" doc:"its finished level; uneven ground dips below it, never above" required:"yes"`
	Thickness  float64     `key:"thickness" type:"length" doc:"solid depth below the lowest level of the ground" default:"30" min:"1" max:"500"`
	Of         string      `key:"of" type:"word" doc:"what it is made of: earth with clods and stones, gravel or ballast, mud with ruts, prints and puddles, rippled sand, cinders, bedded rock; or plain, without relief" default:"earth" words:"earth,gravel,ballast,mud,sand,cinders,rock,plain"`
	Surface    string      `key:"surface" type:"word" doc:"flat, or gently uneven over metres" default:"flat" words:"flat,uneven"`
	Amplitude  *float64    `key:"amplitude" type:"length" doc:"depth of the dips of uneven ground; left out, twice the print's least relief" min:"0.01" max:"20"`
	Wavelength float64     `key:"wavelength" type:"length" doc:"typical distance from dip to dip of uneven ground" default:"12" min:"1" max:"500"`
	Seed       uint64      `key:"seed" type:"seed" doc:"picks the unevenness and the relief" default:"1"`
	Sunk       []Terrace   `key:"sunk" type:"tables" doc:"regions below the ground's level: trenches, pits, docks; paving at the ground's level ends at their edge"`
	Raised     []Terrace   `key:"raised" type:"tables" doc:"regions above the ground's level"`
}

// Terrace is a region of the ground at another level, with a bank between.
type Terrace struct {
	Area  parts.Area  `key:"area" type:"table" doc:"its outline at the top of the bank" required:"yes"`
	Level parts.Level `key:"level" type:"level" doc:"finished level of its floor or top" required:"yes"`
	Of    *string     `key:"of" type:"word" doc:"what its floor or top and its bank are made of; left out, what the ground is" words:"earth,gravel,ballast,mud,sand,cinders,rock,plain"`
	Bank  float64     `key:"bank" type:"angle" doc:"slope of its bank against the horizontal; 90 is a sheer face" default:"90" min:"15" max:"90" source:"loose earth and stone stand at 30 to 45: civil engineering notes"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "ground", Stage: parts.Structure, Group: "Ground, decks and paving", Once: true,
		Doc: "The land under the scene, from the origin to its size. Finishes laid at its levels lower it, so that their tops are at the level.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "earth"
surface = "uneven"
raised = [{ area = { polygon = [[30, 48], [36, 36], [48, 32], [64, 32], [64, 48]] }, level = "floor + 100 mm", of = "rock", bank = 50 }]
sunk = [{ area = { polygon = [[0, 12], [26, 17], [42, 8], [64, 10], [64, 21], [44, 20], [27, 29], [0, 24]] }, level = "floor - 80 mm", of = "gravel", bank = 35 }]
`,
		New: func() parts.Part { return &Ground{} },
	})
}

// Check reports terraces that are on the wrong side of the ground's level or
// not shapes at all.
func (g *Ground) Check(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	level := g.Level.Height
	for _, set := range []struct {
		word     string
		terraces []Terrace
		up       float64
		side     string
	}{{"sunk", g.Sunk, -1, "below"}, {"raised", g.Raised, 1, "above"}} {
		for i := range set.terraces {
			t := &set.terraces[i]
			key := fmt.Sprintf("%s[%d]", set.word, i)
			faults = append(faults, t.Area.Check(g.Name, key+".area")...)
			if (t.Level.Height-level)*set.up <= 0 {
				faults = append(faults, parts.Fault{Part: g.Name, Key: key + ".level",
					Text:    fmt.Sprintf("%.3f mm is not %s the ground's level, %.3f mm", t.Level.Height, set.side, level),
					Allowed: fmt.Sprintf("a level %s %.3f mm", set.side, level)})
			}
		}
	}
	return faults
}
