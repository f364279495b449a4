package rail

import (
	"fmt"
	"math"

	"socle/parts"
)

// guardLaw is the least height of a guard, full-size mm, where a fall is to be
// kept off: on a flight over the line of the nosings, elsewhere over the floor.
type guardLaw struct {
	law           string
	floor, flight float64 // least
	most          float64 // on flights
	source        string

	opening       float64 // the sphere that must not pass, over a floor
	flightOpening float64 // and on a flight
	openingSource string

	spacing       float64 // of the posts, at most
	spacingSource string
}

const (
	documentK    = "Approved Document K (2013), Diagram 3.1"
	sphereK      = "Approved Document K, 3.3: 100 mm sphere where under-fives may be"
	sphereIRC    = "IRC R312.1.3: 4 in, 4 3/8 in on a stair"
	sphereIBC    = "IBC 1015.4: 4 in"
	machineGuard = "EN ISO 14122-3, 1100 and post spacing from memory"
	siteRailing  = "29 CFR 1926 Subpart M App. B: 8 ft for pipe railing"
)

// noLimit is no limit.
var noLimit = math.Inf(1)

// guardLaws are the guards that go with the profiles of stairs (references.md
// section 2); a profile that is not listed goes with the last, "free" with none.
var guardLaws = []struct {
	profile string
	guardLaw
}{
	{"dwelling", guardLaw{"dwelling guard", 914, 864, noLimit, "IRC R312.1.2", 102, 111, sphereIRC, 2440, siteRailing}},
	{"public", guardLaw{"public guard", 1067, 1067, noLimit, "IBC 1015.3", 102, 102, sphereIBC, 2440, siteRailing}},
	{"private", guardLaw{"house guard", 900, 900, noLimit, documentK, 100, 100, sphereK, 2440, siteRailing}},
	{"industrial", guardLaw{"machinery guard", 1100, 900, 1100, machineGuard, 100, 100, sphereK, 1500, machineGuard}},
	{"general", guardLaw{"general guard", 1100, 900, noLimit, documentK, 100, 100, sphereK, 2440, siteRailing}},
}

// kneeRailGap is the most that stays open between the rails of a machinery guard,
// full-size mm: EN ISO 14122-3.
const kneeRailGap = 500

func guardLawOf(profile string) guardLaw {
	for _, g := range guardLaws {
		if g.profile == profile {
			return g.guardLaw
		}
	}
	return guardLaws[len(guardLaws)-1].guardLaw
}

// profile is the profile of the stair that the rail runs along or, by its level,
// meets; "general" where there is none. onFlight says that it runs along a stair.
func (r *Rail) profile(s *parts.Site) (word string, onFlight bool) {
	level, has := 0.0, false
	switch on := s.Find(r.Along).(type) {
	case parts.Climber:
		return on.Flight(s).Profile, true
	case parts.Floored:
		for _, f := range on.Floors(s) {
			level, has = f.Level.Height, true
		}
	case nil:
		if r.Level != nil {
			level, has = r.Level.Height, true
		}
	}
	for _, st := range parts.AllOf[parts.Climber](s) {
		if l := st.Flight(s); has && (math.Abs(l.To-level) < parts.SameHeight || math.Abs(l.From-level) < parts.SameHeight) {
			return l.Profile, false
		}
	}
	return "general", false
}

// guardVerdict ends a sentence: how a size stands to its limits.
func guardVerdict(m parts.Measure, over, under string) string {
	switch {
	case m.Law == "":
		return "."
	case m.Met():
		return fmt.Sprintf(": right for a %s (%s).", m.Law, m.Span())
	case m.Full > m.Most:
		return fmt.Sprintf(": %s %s (%s).", over, m.Law, m.Span())
	}
	return fmt.Sprintf(": %s %s (%s).", under, m.Law, m.Span())
}
