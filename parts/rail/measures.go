package rail

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Measures of a rail are held against the guard that goes with its stair.
func (r *Rail) Measures(s *parts.Site) []parts.Measure {
	profile, onFlight := r.profile(s)
	law := guardLawOf(profile)
	free := profile == "free"
	z := r.settled(s)

	made := r.heightMade(s)
	height := parts.Unlimited("height", "height", made, s.FullHeight(made))
	height.Check, height.Yardstick = "rail", s.Beside(height.Full)
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
	out := []parts.Measure{height}

	widest, longest := r.widths(z)
	if m, ok := r.opening(s, z, law, onFlight, free, widest); ok {
		out = append(out, m)
	}
	if longest > 0 {
		m := parts.Unlimited("post spacing", "spacing", longest, s.FullSize(longest))
		m.Check, m.Yardstick = "rail", s.Share(m.Full)
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
// of the knees where the line bends. It is the height given where no bay has room
// for one.
func (r *Rail) heightMade(s *parts.Site) float64 {
	const most = 32 // uprights along a stretch
	z := r.settled(s)
	if len(z.stretches) == 0 {
		return r.Height
	}
	solid := r.Solid(s)
	least := math.Inf(1)
	for _, run := range z.stretches {
		bays := run.bays
		for i := 0; i < len(bays); i += 1 + len(bays)/most {
			for _, side := range run.sides {
				from := math.Max(bays[i].from+z.post, side.From+z.handrail)
				to := math.Min(bays[i].to-z.post, side.To-z.handrail)
				if from > to {
					continue
				}
				p := side.At((from + to) / 2)
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
	f = f.Prune(sdf.Ball{C: planar.Above(p, over/2), R: over/2 + 1})
	for h := over; h > 0; {
		d := f.Value(planar.Above(p, h))
		if d < 1e-9 {
			return p.Z + h, true
		}
		h -= d
	}
	return 0, false
}

// widths are the widest gap between balusters and the longest bay as drawn, mm on
// the print; 0 for none.
func (r *Rail) widths(z *layout) (gap, bay float64) {
	for _, run := range z.stretches {
		for _, b := range run.bays {
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
func (r *Rail) opening(s *parts.Site, z *layout, law guardLaw, onFlight, free bool, gap float64) (m parts.Measure, ok bool) {
	switch z.infill {
	case "balusters":
		if gap <= 0 {
			return m, false
		}
		m = parts.Unlimited("opening between balusters", "gap", gap, s.FullSize(gap))
		if !free {
			m.Most, m.Source = law.opening, law.openingSource
			if onFlight {
				m.Most = law.flightOpening
			}
			m.Law = fmt.Sprintf("%s mm sphere", parts.Short(m.Most))
		}
		m.Why = r.gapWhy(s, z, m)
	case "rails":
		// From the line to the lowest rail, the widest of the openings.
		open := (r.Height-z.handrail/2)/float64(r.Rails+1) - z.baluster/2
		if open <= 0 {
			return m, false
		}
		m = parts.Unlimited("opening between rails", "rails", open, s.FullHeight(open))
		if !free {
			m.Law, m.Most, m.Source = "machinery guard", kneeRailGap, "EN ISO 14122-3: at most 500 between handrail and knee rail"
		}
		m.Why = "What stays open under the lowest rail" + guardVerdict(m, "too wide for a", "")
	default:
		return m, false
	}
	m.Check, m.Yardstick = "opening", s.Share(m.Full)
	return m, true
}

// gapWhy says whether the print's least sizes or the scene made the gap so wide.
func (r *Rail) gapWhy(s *parts.Site, z *layout, m parts.Measure) string {
	given := s.FullSize(r.Gap)
	least := fmt.Sprintf("pin of %.2f mm", s.Print.Pin)
	if r.Baluster >= s.Print.Pin {
		least = fmt.Sprintf("gap of %.2f mm", s.Print.Gap)
	}
	switch {
	case m.Law == "":
		return "The widest gap between balusters as drawn."
	case m.Met():
		return fmt.Sprintf("No sphere of %s mm passes between the balusters.", parts.Short(m.Most))
	case z.gap > r.Gap && given <= m.Most*(1+planar.Rounding):
		return fmt.Sprintf("The scene sets a gap of %s mm, but the print's least %s widens it.", parts.Short(given), least)
	case z.gap > r.Gap:
		return fmt.Sprintf("The scene sets a gap of %s mm, which lets a sphere of %s mm through, and the print's least %s widens it.", parts.Short(given), parts.Short(m.Most), least)
	}
	return fmt.Sprintf("A sphere of %s mm passes: the scene sets a gap of %s mm.", parts.Short(m.Most), parts.Short(given))
}
