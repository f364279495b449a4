package assembly

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/planar"
	"socle/sdf"
)

// senseFaults reports what each part may be by its own rules and what makes no sense
// in the scene: parts that lie wholly off the ground, flights that come up inside what
// they lead to, damage larger than the ground. Without a ground nothing lies off it.
func senseFaults(s *parts.Site, faulty map[string]bool) []parts.Fault {
	land := s.Land()
	if land != nil && faulty[land.Plot.Part.Label()] {
		return nil
	}
	var faults []parts.Fault
	for _, p := range s.Parts {
		if faulty[p.Label()] {
			continue
		}
		var found []parts.Fault
		if land != nil {
			found = offLand(s, p)
		}
		if c, ok := p.(parts.PlaceChecker); ok && len(found) == 0 {
			found = c.CheckPlace(s)
		}
		faults = append(faults, found...)
	}
	return faults
}

// offLand reports what of a part lies on no land, nor on a slab that reaches out over
// its edge.
func offLand(s *parts.Site, p parts.Part) (faults []parts.Fault) {
	placed, ok := p.(parts.Placed)
	if !ok {
		return nil
	}
	land := s.Land()
	for _, at := range placed.Extents(s) {
		on := at.Meets(land.Plot.Area.Outline())
		for _, f := range s.Slabs() {
			on = on || !at.OnLand && f.Sound() && at.Meets(f.Area.Outline())
		}
		if on {
			continue
		}
		size := land.Box().Max
		allowed := fmt.Sprintf("a place on the ground, within x 0 to %g and y 0 to %g mm", size.X, size.Y)
		if slabs := parts.KindsOffering("slab"); !at.OnLand && len(slabs) > 0 {
			allowed += ", or on a " + parts.OneOf(slabs)
		}
		faults = append(faults, parts.Fault{Part: p.Label(), Key: at.Key, Text: "lies completely off the ground", Allowed: allowed})
	}
	return faults
}

// levelFaults reports bases whose level is higher than every floor under them: their
// body would bury all that they were to show.
func levelFaults(s *parts.Site, berths []*berth) []parts.Fault {
	var faults []parts.Fault
	told := map[*base.Base]bool{}
	for _, at := range berths {
		b := at.base
		if b.Level == nil || told[b] || s.Land() == nil {
			continue
		}
		plan := at.OnScene()
		floor := highestFloor(s, at, plan)
		body := parts.StructureUnder(s, b.Level.Height, plan) - s.Roughness(b.Level.Height) - bedded
		if floor >= body {
			continue
		}
		told[b] = true
		faults = append(faults, parts.Fault{Part: b.Name, Key: "level",
			Text:    fmt.Sprintf("%.3f mm is above everything under the base, which is at most %.3f mm high there: the base would bury it", b.Level.Height, floor),
			Allowed: "the level of a floor that the base lies on, or a place on that floor; left out, it is found"})
	}
	return faults
}

// highestFloor is the highest floor, tread or top of a wall that a footprint has some of.
func highestFloor(s *parts.Site, at *berth, plan []r2.Vec) float64 {
	high := math.Inf(-1)
	has := func(outline []r2.Vec, h float64) {
		if h > high && planar.OutlinesMeet(plan, outline) {
			high = h
		}
	}
	land := s.Land()
	sunk := false
	for _, f := range land.Sunk {
		sunk = sunk || f.Within(plan)
	}
	for _, f := range s.Floors() {
		if f.Role != parts.Plot || !sunk {
			has(f.Area.Outline(), f.Level.Height)
		}
	}
	for _, p := range parts.AllOf[parts.Topped](s) {
		if top, ok := p.TopOver(s, plan, at.At); ok {
			high = math.Max(high, top)
		}
	}
	return high
}

// noteIdle notes flights that lead to no floor, and damage and walls of which no base
// has anything.
func (sc *Scene) noteIdle(berths []*berth) {
	for _, st := range parts.AllOf[parts.Climber](sc.site) {
		if l := st.Flight(sc.site); !arrives(sc.site, l) {
			sc.note(parts.Note{Part: st.Label(), Key: "to", Text: fmt.Sprintf("no floor lies at %.2f mm behind its last riser: it leads to nothing", l.To)})
		}
	}
	note := func(p parts.Part, fields ...sdf.Field) {
		for _, f := range fields {
			if f == nil {
				continue
			}
			for _, b := range berths {
				if boxReaches(f.Bounds(), b.Spot) {
					return
				}
			}
		}
		sc.note(parts.Note{Part: p.Label(), Text: "reaches no base, so nothing of it is built"})
	}
	for _, w := range sc.shares {
		if parts.KindOfPart(w.part).NoteUnused {
			note(w.part, w.field)
		}
	}
	for i := range sc.damage.blows {
		note(sc.damage.blows[i].Damager, sc.damage.cuts[i], sc.damage.thrown[i])
	}
}

// arrives says whether a floor at the upper level lies behind the last riser.
func arrives(s *parts.Site, l parts.Flight) bool {
	for _, share := range [3]float64{-0.4, 0, 0.4} {
		level, ok := s.LevelAt(l.OnPlan(share*l.Width, l.Run()+l.Landing+parts.Embed))
		if ok && math.Abs(level-l.To) <= parts.SameHeight {
			return true
		}
	}
	return false
}

// boxReaches says whether a box comes over the circle about a footprint.
func boxReaches(b r3.Box, at *base.Spot) bool {
	x := math.Max(0, math.Max(b.Min.X-at.At.X, at.At.X-b.Max.X))
	y := math.Max(0, math.Max(b.Min.Y-at.At.Y, at.At.Y-b.Max.Y))
	return math.Hypot(x, y) < at.Reach()
}
