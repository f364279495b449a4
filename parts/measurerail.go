package parts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
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
func (r *Rail) profile(s *Site) (word string, onFlight bool) {
	level, has := 0.0, false
	switch on := s.Find(r.Along).(type) {
	case Climber:
		return on.Flight(s).Profile, true
	case Floored:
		for _, f := range on.Floors(s) {
			level, has = f.Level.Height, true
		}
	case nil:
		if r.Level != nil {
			level, has = r.Level.Height, true
		}
	}
	for _, st := range AllOf[Climber](s) {
		if l := st.Flight(s); has && (math.Abs(l.To-level) < sameHeight || math.Abs(l.From-level) < sameHeight) {
			return l.Profile, false
		}
	}
	return "general", false
}

// Measures of a rail are held against the guard that goes with its stair.
func (r *Rail) Measures(s *Site) []Measure {
	profile, onFlight := r.profile(s)
	law := guardLawOf(profile)
	free := profile == "free"
	z := r.sizes(s, false)

	made := r.heightMade(s, z)
	height := unlimited("height", "height", made, s.FullHeight(made))
	height.Check, height.Yardstick = "rail", s.beside(height.Full)
	over := "the floor"
	if onFlight {
		over = "the line of the nosings"
	}
	height.Why = "The top of the handrail over " + over + ", measured on the solid"
	if !free {
		height.Law, height.Source, height.Least = law.law, law.source, law.floor
		if onFlight {
			height.Least, height.Most = law.flight, law.most
		}
	}
	height.Why += guardVerdict(height, "too high for a", "too low for a")
	out := []Measure{height}

	widest, longest := r.widths(s, z)
	if m, ok := r.opening(s, z, law, onFlight, free, widest); ok {
		out = append(out, m)
	}
	if longest > 0 {
		m := unlimited("post spacing", "spacing", longest, s.FullSize(longest))
		m.Check, m.Yardstick = "rail", s.share(m.Full)
		if !free {
			m.Law, m.Most, m.Source = law.law, law.spacing, law.spacingSource
		}
		m.Why = "The longest bay, from post to post" + guardVerdict(m, "too long for a", "")
		out = append(out, m)
	}
	return out
}

// heightMade is the least height of the top of the handrail over the line that the rail
// follows, mm on the print, measured on its solid: by uprights between the posts, clear
// of the knees where the line bends. It is the height asked for where no bay has room
// for one.
func (r *Rail) heightMade(s *Site, z railSizes) float64 {
	const most = 32 // uprights along a stretch
	runs := r.runs(s)
	if len(runs) == 0 {
		return r.Height
	}
	solid := r.along(runs, z)
	least := math.Inf(1)
	for _, run := range runs {
		sides := run.line.sides()
		bays := r.bays(run.line, z)
		for i := 0; i < len(bays); i += 1 + len(bays)/most {
			for _, side := range sides {
				from := math.Max(bays[i].from+z.post, side.from+z.handrail)
				to := math.Min(bays[i].to-z.post, side.to-z.handrail)
				if from > to {
					continue
				}
				p := side.at((from + to) / 2)
				if top, ok := topOf(solid, p, 2*r.Height); ok {
					least = math.Min(least, top-p.Z)
				}
			}
		}
	}
	if math.IsInf(least, 1) {
		return r.Height
	}
	return least
}

// topOf is the height of the top of a solid on the upright through p, looked for from so
// far above p down to p; ok is false where it has none there.
func topOf(f sdf.Field, p r3.Vec, over float64) (z float64, ok bool) {
	f = f.Prune(sdf.Ball{C: above(p, over/2), R: over/2 + 1})
	for h := over; h > 0; {
		d := f.Value(above(p, h))
		if d < 1e-9 {
			return p.Z + h, true
		}
		h -= d
	}
	return 0, false
}

// guardVerdict ends a sentence: how a size stands to its limits.
func guardVerdict(m Measure, over, under string) string {
	switch {
	case m.Law == "":
		return "."
	case m.met():
		return fmt.Sprintf(": right for a %s (%s).", m.Law, m.span())
	case m.Full > m.Most:
		return fmt.Sprintf(": %s %s (%s).", over, m.Law, m.span())
	}
	return fmt.Sprintf(": %s %s (%s).", under, m.Law, m.span())
}

// widths are the widest gap between balusters and the longest bay as drawn, mm on
// the print; 0 for none.
func (r *Rail) widths(s *Site, z railSizes) (gap, bay float64) {
	for _, run := range r.runs(s) {
		for _, b := range r.bays(run.line, z) {
			bay = math.Max(bay, b.to-b.from)
			if z.infill == "balusters" {
				_, g := balusters(b.to-b.from-z.post, z.baluster, z.gap)
				gap = math.Max(gap, g)
			}
		}
	}
	return gap, bay
}

// opening is what stays open in the infill; ok is false where nothing does.
func (r *Rail) opening(s *Site, z railSizes, law guardLaw, onFlight, free bool, gap float64) (m Measure, ok bool) {
	switch z.infill {
	case "balusters":
		if gap <= 0 {
			return m, false
		}
		m = unlimited("opening between balusters", "gap", gap, s.FullSize(gap))
		if !free {
			m.Most, m.Source = law.opening, law.openingSource
			if onFlight {
				m.Most = law.flightOpening
			}
			m.Law = fmt.Sprintf("%s mm sphere", short(m.Most))
		}
		m.Why = r.gapWhy(s, z, m)
	case "rails":
		// From the line to the lowest rail, the widest of the openings.
		open := (r.Height-z.handrail/2)/float64(r.Rails+1) - z.baluster/2
		if open <= 0 {
			return m, false
		}
		m = unlimited("opening between rails", "rails", open, s.FullHeight(open))
		if !free {
			m.Law, m.Most, m.Source = "machinery guard", kneeRailGap, "EN ISO 14122-3: at most 500 between handrail and knee rail"
		}
		m.Why = "What stays open under the lowest rail" + guardVerdict(m, "too wide for a", "")
	default:
		return m, false
	}
	m.Check, m.Yardstick = "opening", s.share(m.Full)
	return m, true
}

// gapWhy tells a gap that the print's least sizes have widened from one that the
// scene asked for.
func (r *Rail) gapWhy(s *Site, z railSizes, m Measure) string {
	asked := s.FullSize(r.Gap)
	least := fmt.Sprintf("pin of %.2f mm", s.Print.Pin)
	if r.Baluster >= s.Print.Pin {
		least = fmt.Sprintf("gap of %.2f mm", s.Print.Gap)
	}
	switch {
	case m.Law == "":
		return "The widest gap between balusters as drawn."
	case m.met():
		return fmt.Sprintf("No sphere of %s mm passes between the balusters.", short(m.Most))
	case z.gap > r.Gap && asked <= m.Most*(1+rounding):
		return fmt.Sprintf("A gap of %s mm was asked for: it is the print's least %s that widened it.", short(asked), least)
	case z.gap > r.Gap:
		return fmt.Sprintf("A gap of %s mm was asked for, which lets a sphere of %s mm through, and the print's least %s widened it.", short(asked), short(m.Most), least)
	}
	return fmt.Sprintf("A sphere of %s mm passes: a gap of %s mm was asked for.", short(m.Most), short(asked))
}
