package rail

import (
	"socle/parts"
	"socle/parts/planar"
)

// showsOpen is how wide an opening must be against the members that the print
// thickens round it, for the eye to tell one from the other (no source).
const showsOpen = 2.0 / 3

// settle raises what is too thin to print, and widens the gap between balusters
// in proportion so that they do not choke it. A rail whose openings would be
// lost between thickened members is drawn as a solid panel.
func (r *Rail) settle(s *parts.Site) *layout {
	pin := s.Print.Pin
	z := &layout{
		post: max(r.Post, pin), handrail: max(r.Handrail, pin),
		baluster: r.Baluster, gap: r.Gap, panel: s.Print.Wall, infill: r.Infill,
		notes: parts.Notes{Part: r.Name},
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
	z.bay = r.longestBay(s, z)
	r.noteSizes(s, z)
	z.stretches = r.stretches(s, z)
	if len(z.stretches) == 0 {
		z.notes.Add("", "nothing is left of the rail: no edge of %q is free for it", r.Along)
	}
	return z
}

// closes says whether the print thickens the members so far that the openings
// between them are lost, to the printer or to the eye.
func (r *Rail) closes(s *parts.Site, z *layout) bool {
	if z.infill == "panel" || z.post <= r.Post && z.handrail <= r.Handrail && z.baluster <= r.Baluster {
		return false
	}
	shows := func(open, thick float64) bool { return open >= max(s.Print.Gap, showsOpen*thick)-planar.Rounding }
	high, bars := r.Height-z.handrail, z.handrail
	if z.infill == "rails" {
		bars = max(z.handrail, z.baluster)
		high = (r.Height-z.handrail/2)/float64(r.Rails+1) - (bars+z.baluster)/2
	}
	return !shows(high, bars) || !shows(r.longestBay(s, z)-z.post, z.post)
}

// leastShare is how much closer than the scene allows posts may stand so that bars between
// them print without sagging: further off they would be another rail (no source).
const leastShare = 0.6

// longestBay is the longest that a bay may be between posts, mm: at least so long that one
// post does not run into the next, and no longer than bars print, where that is near.
func (r *Rail) longestBay(s *parts.Site, z *layout) float64 {
	bay := max(r.Spacing, 1.5*z.post)
	if spans := 0.97*s.Inspect.Bridge + z.post; (z.infill == "none" || z.infill == "rails") && spans < bay && spans >= leastShare*bay {
		return spans
	}
	return bay
}

// noteSizes notes what is drawn thicker or wider than the scene gives it.
func (r *Rail) noteSizes(s *parts.Site, z *layout) {
	if z.infill != r.Infill {
		z.notes.Add("infill", "posts and rails of %.2f mm, the least pin, would leave no opening that shows: drawn as a solid panel of %.2f mm between posts of %.2f mm",
			s.Print.Pin, z.panel, z.post)
		return
	}
	raised := func(key string, given, drawn float64) {
		if drawn > given {
			z.notes.Add(key, "%.2f mm on the print is drawn at %.2f mm, the least pin", given, drawn)
		}
	}
	raised("post", r.Post, z.post)
	raised("handrail", r.Handrail, z.handrail)
	raised("baluster", r.Baluster, z.baluster)
	if asked := max(r.Spacing, 1.5*z.post); z.bay < asked {
		z.notes.Add("spacing", "posts stand at most %.2f mm apart, in place of %.2f mm: bars that span more sag in the print", z.bay, asked)
	}
	if r.Infill == "balusters" && r.Baluster > 0 && z.baluster > r.Baluster {
		z.notes.Add("gap", "gaps of %.2f mm are widened to at most %.2f mm, as the balusters are thickened", r.Gap, z.gap)
	}
}
