package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Ground is the land that the scene stands on: a rectangle from the origin,
// flat or gently uneven, with terraces sunk into it or raised on it.
type Ground struct {
	Named
	Size       [2]float64 `key:"size" type:"size" doc:"width and depth, from the origin to the east and north" required:"yes" min:"1" max:"5000"`
	Level      Level      `key:"level" type:"level" doc:"its finished level; uneven ground dips below it, never above" required:"yes"`
	Thickness  float64    `key:"thickness" type:"length" doc:"solid depth below the lowest level of the ground" default:"30" min:"1" max:"500"`
	Surface    string     `key:"surface" type:"word" doc:"flat, or gently uneven" default:"flat" words:"flat,uneven"`
	Amplitude  *float64   `key:"amplitude" type:"length" doc:"depth of the dips of uneven ground; left out, twice the print's least relief" min:"0.01" max:"20"`
	Wavelength float64    `key:"wavelength" type:"length" doc:"typical distance from dip to dip of uneven ground" default:"12" min:"1" max:"500"`
	Seed       uint64     `key:"seed" type:"seed" doc:"picks the unevenness" default:"1"`
	Sunk       []Terrace  `key:"sunk" type:"tables" doc:"regions below the ground's level: trenches, pits, docks; paving at the ground's level ends at their edge"`
	Raised     []Terrace  `key:"raised" type:"tables" doc:"regions above the ground's level"`
}

// Terrace is a region of the ground at another level, with a bank between.
type Terrace struct {
	Area  Area    `key:"area" type:"table" doc:"its outline at the top of the bank" required:"yes"`
	Level Level   `key:"level" type:"level" doc:"finished level of its floor or top" required:"yes"`
	Bank  float64 `key:"bank" type:"angle" doc:"slope of its bank against the horizontal; 90 is a sheer face" default:"90" min:"15" max:"90" source:"loose earth and stone stand at 30 to 45: civil engineering notes"`
}

func init() {
	register(Kind{
		Word: "ground", Stage: Structure, Once: true,
		Doc: "The land under the scene, from the origin to its size. Finishes laid at its levels lower it, so that their tops are at the level.",
		New: func() Part { return &Ground{} },
	})
}

func (g *Ground) outline() []r2.Vec {
	return boxCorners(r2.Box{Max: r2.Vec{X: g.Size[0], Y: g.Size[1]}})
}

// dip is the depth of the dips, 0 on flat ground.
func (g *Ground) dip(s *Site) float64 {
	switch {
	case g.Surface != "uneven":
		return 0
	case g.Amplitude != nil:
		return *g.Amplitude
	}
	return 2 * s.Print.Relief
}

// Floors are its plot and its terraces.
func (g *Ground) Floors(s *Site) []Floor {
	plot := &Area{Rect: []float64{0, 0, g.Size[0], g.Size[1]}}
	floors := []Floor{{Part: g, Role: Plot, Words: "the ground", Area: plot, Level: g.Level, Dip: g.dip(s)}}
	for i := range g.Sunk {
		t := &g.Sunk[i]
		floors = append(floors, Floor{Part: g, Role: Sunk, Words: "the sunk terrace", Key: fmt.Sprintf("sunk[%d].area", i), Area: &t.Area, Level: t.Level,
			Hollow: newHollow(&t.Area, g.Level.Height, t.Level.Height, t.Bank)})
	}
	for i := range g.Raised {
		t := &g.Raised[i]
		floors = append(floors, Floor{Part: g, Role: Raised, Words: "the raised terrace", Key: fmt.Sprintf("raised[%d].area", i), Area: &t.Area, Level: t.Level})
	}
	return floors
}

// Extents are those of its terraces.
func (g *Ground) Extents(s *Site) (all []Extent) {
	for _, f := range g.Floors(s)[1:] {
		all = append(all, Extent{Key: f.Key, Points: f.Area.outline(), Closed: true, OnLand: true})
	}
	return all
}

// Check reports terraces that are on the wrong side of the ground's level or
// not shapes at all.
func (g *Ground) Check(s *Site) []Fault {
	var faults []Fault
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
				faults = append(faults, Fault{Part: g.Name, Key: key + ".level",
					Text:    fmt.Sprintf("%.3f mm is not %s the ground's level, %.3f mm", t.Level.Height, set.side, level),
					Allowed: fmt.Sprintf("a level %s %.3f mm", set.side, level)})
			}
		}
	}
	return faults
}

// Solid is the ground with its terraces, lowered under the finishes laid on it.
func (g *Ground) Solid(s *Site) sdf.Field {
	level := g.Level.Height
	low := level
	for _, t := range g.Sunk {
		low = math.Min(low, t.Level.Height)
	}
	low -= g.Thickness
	plot := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], level))
	if dip := g.dip(s); dip > 0 {
		rng := s.Rand(g.Name, g.Seed, "surface")
		plot = sdf.Intersection(plot, newDips(level, dip, sdf.NewNoise(rng.Uint64(), g.Wavelength, 2)))
	}
	land := LowerUnderFinishes(s, plot, level)
	for i := range g.Raised {
		t := &g.Raised[i]
		within := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], t.Level.Height+1))
		mound := sdf.Intersection(newMound(&t.Area, t.Level.Height, low, t.Bank), within)
		land = sdf.Union(land, LowerUnderFinishes(s, mound, t.Level.Height))
	}
	if hollows := g.hollows(); len(hollows) > 0 {
		land = sdf.Difference(land, hollows...)
		for i := range g.Sunk {
			land = LowerUnderFinishes(s, land, g.Sunk[i].Level.Height)
		}
	}
	return land
}

// hollows are the regions that sunk terraces take out of the ground and out of
// the finish on it.
func (g *Ground) hollows() []sdf.Field {
	var out []sdf.Field
	for i := range g.Sunk {
		t := &g.Sunk[i]
		out = append(out, newHollow(&t.Area, g.Level.Height, t.Level.Height, t.Bank))
	}
	return out
}

// Remedies of the ground.
func (g *Ground) Remedies(s *Site, t Trouble) []Remedy {
	r := remediesOf(g)
	uneven := g.Surface == "uneven"
	switch {
	case t.of("shallow-relief", "rough-stand", "stand", "uneven-risers") && uneven:
		if t.of("shallow-relief") {
			now := 2 * s.Print.Relief
			if g.Amplitude != nil {
				now = *g.Amplitude
			}
			r.scaled("amplitude", "a larger amplitude", now, 1.5)
		}
		r.to("surface", `surface = "flat"`, "flat")
	case t.hanging():
		for i := range g.Sunk {
			banked(r, fmt.Sprintf("sunk[%d].bank", i), g.Sunk[i].Bank)
		}
	case t.thin() && len(g.Sunk) > 0:
		r.words("sunk", "leave more ground between sunk terraces, and between them and the edge")
	case t.of("narrow-gap") && len(g.Sunk) > 0:
		r.words("sunk", "make the sunk terrace wider")
	}
	return r.all
}

// banked adds flatter banks.
func banked(r *remedies, key string, now float64) {
	const steep, flat = 70.0, 45.0
	for _, v := range []float64{steep, flat} {
		if v < now {
			r.together(key, "a flatter bank", []Move{r.move(key, v)})
		}
	}
}
