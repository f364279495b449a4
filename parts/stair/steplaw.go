package stair

import (
	"fmt"
	"math"

	"socle/parts/planar"
)

// stride is the length of a step that the step-length rule aims at, twice the
// riser and the going together, in full-size mm. Source: DIN 18065, 6.1.2, and
// Blondel's rule in its modern form.
const stride = 630.0

// stepLaw is a set of limits on a flight of stairs, all in full-size mm and
// degrees; an upper limit of +Inf is none.
type stepLaw struct {
	word                 string
	riserMin, riserMax   float64
	goingMin, goingMax   float64
	pitchMax             float64
	strideMin, strideMax float64 // limits on 2R + G
	aim                  float64 // the riser to come closest to; 0: as few risers as the limits allow
	source               string
}

// stepLaws are the profiles of a stair. The codes are quoted as geometry for
// plausible scenery; they are not building advice.
var stepLaws = []stepLaw{
	{"comfort", 140, 200, 230, 370, 45, 590, 650, 170,
		"stride 590 to 650: DIN 18065; 170 is the riser that meets the stride, comfort and safety rules at once; other limits from memory"},
	{"dwelling", 102, 196.85, 254, none, 45, 0, none, 0,
		"IRC 2018 R311.7.5: riser at most 7 3/4 in, tread at least 10 in"},
	{"public", 101.6, 177.8, 279.4, none, 45, 0, none, 0,
		"IBC 1011.5.2: riser 4 to 7 in, tread at least 11 in"},
	{"private", 150, 220, 220, 300, 42, 550, 700, 0,
		"Approved Document K (2013), Table 1.1, private stair"},
	{"utility", 150, 190, 250, 400, 45, 550, 700, 0,
		"Approved Document K (2013), Table 1.1, utility stair"},
	{"general", 150, 170, 250, 400, 45, 550, 700, 0,
		"Approved Document K (2013), Table 1.1, general access stair"},
	{"industrial", 120, 225, 210, 420, 45, 600, 660, 190,
		"stride 600 to 660: EN ISO 14122-3, from memory; other limits common practice, no source"},
	{"free", 0, none, 0, none, 90, 0, none, 170,
		"no limits"},
}

// stepLawOf gives the profile called word; the first where there is none.
func stepLawOf(word string) stepLaw {
	for _, l := range stepLaws {
		if l.word == word {
			return l
		}
	}
	return stepLaws[0]
}

// flight is a straight flight in full-size mm. The upper floor is its last
// tread, so it has one going fewer than risers (carpentry practice).
type flight struct {
	risers       int
	riser, going float64
}

func (f flight) run() float64 { return float64(f.risers-1) * f.going }

// pitch is the slope of the line through the nosings, in degrees.
func (f flight) pitch() float64 { return math.Atan2(f.riser, f.going) * 180 / math.Pi }

// countFor gives the number of equal risers for a rise in full-size mm: the
// fewest that the law allows, or the count whose riser is closest to its aim.
// A rise below the least riser is one step all the same.
func (l stepLaw) countFor(rise float64) int {
	fewest := max(1, math.Ceil(rise/l.riserMax-planar.Rounding))
	n := fewest
	if l.aim > 0 {
		n = max(fewest, math.Round(rise/l.aim))
		if l.riserMin > 0 {
			n = max(fewest, min(n, math.Floor(rise/l.riserMin+planar.Rounding)))
		}
	}
	return int(n)
}

// goingRange is what the law leaves for the going beside a given riser: its own
// limits, the pitch and the stride together. lo > hi where they contradict.
func (l stepLaw) goingRange(riser float64) (lo, hi float64) {
	lo = max(l.goingMin, l.strideMin-2*riser)
	if l.pitchMax < 90 {
		lo = max(lo, riser/math.Tan(l.pitchMax*math.Pi/180))
	}
	return lo, min(l.goingMax, l.strideMax-2*riser)
}

// goingFor is the going that comes closest to the stride beside a riser.
func (l stepLaw) goingFor(riser float64) float64 {
	lo, hi := l.goingRange(riser)
	return max(lo, min(stride-2*riser, hi))
}

// choose gives the flight for a rise where nothing else is given.
func (l stepLaw) choose(rise float64) flight {
	n := l.countFor(rise)
	riser := rise / float64(n)
	return flight{n, riser, l.goingFor(riser)}
}

// fit gives the lawful flight that climbs rise within exactly run, closest to
// the stride and then to the law's own count; ok is false where there is none.
// least is the least riser that may be used. All in full-size mm.
func (l stepLaw) fit(rise, run, least float64) (best flight, ok bool) {
	own := l.countFor(rise)
	lowest := max(l.riserMin, least, rise/maxRisers)
	first := max(2, int(math.Ceil(rise/l.riserMax-planar.Rounding)))
	last := int(min(maxRisers, rise/lowest+planar.Rounding))
	miss := math.Inf(1)
	for n := first; n <= last; n++ {
		f := flight{n, rise / float64(n), run / float64(n-1)}
		if lo, hi := l.goingRange(f.riser); f.going < lo-planar.Rounding || f.going > hi+planar.Rounding || f.going <= 0 {
			continue
		}
		// A hundredth of a mm for each riser off the own count settles ties only.
		m := math.Abs(2*f.riser+f.going-stride) + 0.01*math.Abs(float64(n-own))
		if m < miss {
			best, miss, ok = f, m, true
		}
	}
	return best, ok
}

// runs gives the least and the greatest run that fit would accept, in
// full-size mm, over the counts near the law's own.
func (l stepLaw) runs(rise float64) (lo, hi float64) {
	lo = math.Inf(1)
	first := max(2, int(math.Ceil(rise/l.riserMax-planar.Rounding)))
	last := max(first, int(min(maxRisers, rise/max(l.riserMin, rise/maxRisers)+planar.Rounding)))
	for n := first; n <= last; n++ {
		a, b := l.goingRange(rise / float64(n))
		if a <= b {
			lo, hi = min(lo, float64(n-1)*a), max(hi, float64(n-1)*b)
		}
	}
	return lo, hi
}

// wrong says which limit a flight breaks first and what is allowed; "" for none.
func (l stepLaw) wrong(f flight) (key, text, allowed string) {
	if f.riser > l.riserMax+planar.Rounding || f.riser < l.riserMin-planar.Rounding {
		return "riser", fmt.Sprintf("a riser of %.1f mm full size is outside the %s profile", f.riser, l.word),
			span(l.riserMin, l.riserMax, "riser") + `, or profile = "free"`
	}
	if f.risers < 2 {
		return "", "", ""
	}
	if lo, hi := l.goingRange(f.riser); f.going < lo-planar.Rounding || f.going > hi+planar.Rounding {
		return "going", fmt.Sprintf("a going of %.1f mm beside a riser of %.1f mm full size is outside the %s profile (pitch %.1f degrees, 2R + G = %.0f mm)",
				f.going, f.riser, l.word, f.pitch(), 2*f.riser+f.going),
			span(lo, hi, "going") + `, or profile = "free"`
	}
	return "", "", ""
}

func span(lo, hi float64, what string) string {
	switch {
	case math.IsInf(hi, 1):
		return fmt.Sprintf("a %s of %.1f mm or more full size", what, lo)
	case lo > hi:
		return fmt.Sprintf("another riser: no %s suits this one", what)
	}
	return fmt.Sprintf("a %s of %.1f to %.1f mm full size", what, lo, hi)
}

// coarser gives the flight again with as many risers as keep each at least
// least tall (full-size mm), at the same pitch; it says whether it changed.
func (f flight) coarser(rise, least float64) (flight, bool) {
	most := max(1, int(rise/least+planar.Rounding))
	if f.risers <= most {
		return f, false
	}
	g := flight{most, rise / float64(most), 0}
	g.going = g.riser * f.going / f.riser
	return g, true
}

// none is no limit.
var none = math.Inf(1)
