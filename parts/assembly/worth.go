package assembly

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/planar"
)

// What makes a spot worth a base, in points: common practice, no source. A part counts by
// what it gives to look at, once for its kind and a little for each other of it.
const (
	worthFlight  = 3.0
	worthDamage  = 3.0
	worthFitting = 2.5 // a wall, a column, a rail
	worthEdge    = 2.0 // of a floor over or under another
	worthDebris  = 1.0
	worthFinish  = 0.7
	worthAlike   = 0.25 // of another part of a kind that is there already, over the first
	mostAlike    = 3    // of these

	worthLevel  = 1.5 // each level beside the first, mostLevels of them
	mostLevels  = 2
	worthFocus  = 1.5 // one thing to look at, off the middle
	worthFoot   = 9.0 // room for the figure's foot
	worthApart  = 1.5 // far from what is laid
	worthUnlike = 4.5 // against its like of the same name

	costSliced = 5.0 // something runs along the rim, over slicedShare of it
	costHair   = 5.0 // the rim leaves no more than a sliver or a hair of something
	costGone   = 4.0 // nearly all of it is struck away
	costPlain  = 5.0 // nothing to see
	costStand  = 30  // a stand of its own has no room: its pad would cut what is there
	costLow    = 1e4 // one would lie lower than the base can: that is a fault

	slicedShare = 0.12 // of the rim
	slicedBy    = 1.2  // mm: what lies so near to the rim leaves a sliver
	sliverShare = 0.16 // of the short side: what reaches in no further is a sliver
	slicedAngle = 25.0 // degrees: what meets the rim at less runs along it
	goneShare   = 0.7  // of the top
	levelsApart = 0.3  // mm: less is no level of its own
)

const (
	rimSides   = 36 // of the outline, as a rim is looked at
	spotRings  = 3  // of places over a footprint, with the middle
	spotAround = 12 // places on the outermost ring
)

// feature is what of a part lies on the plan.
type feature struct {
	part   parts.Part
	kind   string
	worth  float64
	lies   parts.Extent
	box    r2.Box       // about it
	shape  planar.Shape // of what is closed; nil else
	strike bool         // it takes away what was there
	stands bool         // no foot stands there
	edge   bool         // of a floor: what shows is its outline
	finish bool
	under  float64        // of a raised deck: the height of what carries it, mm
	stood  []parts.Extent // and where that stands
}

// features are those of the site, in the order of work, with damage and debris or without.
func features(s *parts.Site, damaged bool) (all []feature) {
	slabs := map[parts.Part]bool{}
	for _, f := range s.Floors() {
		slabs[f.Part] = true
	}
	for _, p := range inOrder(s) {
		switch p.(type) {
		case parts.Damager, parts.Debris:
			if !damaged {
				continue
			}
		}
		f := feature{part: p, kind: parts.WordOf(p), worth: worthFitting, stands: true}
		switch p.(type) {
		case *base.Base, parts.Trimmer:
			continue
		case parts.Climber:
			f.worth = worthFlight
		case parts.Damager:
			f.worth, f.strike = worthDamage, true
		case parts.Finisher:
			f.worth, f.stands, f.finish = worthFinish, false, true
		case parts.Debris:
			f.worth, f.stands = worthDebris, false
		default:
			if slabs[p] {
				f.worth, f.stands, f.edge = worthEdge, false, true
			}
		}
		if deck, ok := p.(parts.Carried); ok {
			f.under, f.stood = deck.Carriers(s)
		}
		placed, ok := p.(parts.Placed)
		if !ok {
			continue
		}
		for _, f.lies = range placed.Extents(s) {
			if len(f.lies.Points) == 0 {
				continue
			}
			wide := r2.Vec{X: f.lies.Wide, Y: f.lies.Wide}
			if f.shape = nil; f.lies.Closed {
				f.shape = planar.Polygon(f.lies.Points)
			}
			f.box = planar.Bounds(f.lies.Points)
			f.box = r2.Box{Min: r2.Sub(f.box.Min, wide), Max: r2.Add(f.box.Max, wide)}
			all = append(all, f)
		}
	}
	return all
}

// away is how far a place lies from a feature, mm: 0 within it.
func (f *feature) away(q r2.Vec) float64 {
	points := f.lies.Points
	if f.shape != nil && f.shape.At(q) <= 0 {
		return 0
	}
	least := r2.Norm(r2.Sub(q, points[0]))
	for a, b := range f.sides() {
		least = math.Min(least, planar.SegmentDistance(q, a, b))
	}
	return math.Max(0, least-f.lies.Wide)
}

// sides goes through those of its line or outline.
func (f *feature) sides() func(func(a, b r2.Vec) bool) {
	points := f.lies.Points
	return func(yield func(a, b r2.Vec) bool) {
		for i, a := range points {
			if i == len(points)-1 && !f.lies.Closed || len(points) < 2 {
				return
			}
			if !yield(a, points[(i+1)%len(points)]) {
				return
			}
		}
	}
}

// spotJudge is the site as spots are judged on it.
type spotJudge struct {
	site *parts.Site
	all  []feature
	few  bool // there is so much that spots are taken as they come
}

// mostJudged bounds the points of all features times the bases to be laid.
const mostJudged = 300_000

// newSpotJudge judges by what was built, or by damage and debris too. Bases are laid by
// the former: where damage moves, they stay.
func newSpotJudge(s *parts.Site, bases int, damaged bool) *spotJudge {
	j := &spotJudge{site: s, all: features(s, damaged)}
	points := 0
	for i := range j.all {
		points += len(j.all[i].lies.Points)
	}
	j.few = points*bases > mostJudged
	return j
}

// worth is what a spot has to show.
type worth struct {
	points float64
	shown  []string // the parts, in the order of work
	plain  string   // the only surface there, where there is nothing else
	foot   *r2.Vec  // where a foot has room, in the base's own axes
	round  float64  // how wide it is, mm
}

// judge looks at a spot in the plan.
func (j *spotJudge) judge(b *base.Base, at *base.Spot) (w worth) {
	bounds := at.Bounds()
	var near []*feature
	for i := range j.all {
		if b := j.all[i].box; b.Min.X <= bounds.Max.X && b.Max.X >= bounds.Min.X && b.Min.Y <= bounds.Max.Y && b.Max.Y >= bounds.Min.Y {
			near = append(near, &j.all[i])
		}
	}
	places := []r2.Vec{at.At}
	for ring := 1; ring <= spotRings; ring++ {
		for _, q := range parts.Ring(r2.Vec{}, 1, spotAround*ring/spotRings) {
			share := (float64(ring) - 0.3) / spotRings // short of the rim
			places = append(places, at.Place(r2.Vec{X: q.X * share * at.Size.X / 2, Y: q.Y * share * at.Size.Y / 2}))
		}
	}

	// What is there, and where.
	rim := rimOf(at)
	kinds := map[string]int{}
	var focus r2.Vec // of what is worth most
	best, struck := 0.0, 0
	for _, f := range near {
		var sum, nearest r2.Vec
		n, least := 0, math.Inf(1)
		for _, q := range places {
			d := f.away(q)
			if d == 0 {
				sum, n = r2.Add(sum, q), n+1
			}
			if d < least {
				least, nearest = d, q
			}
		}
		if f.strike {
			struck = max(struck, n)
		}
		if n == 0 && !f.lies.Meets(rim) || f.edge && n == len(places) {
			continue // not there, or all there is: no edge shows
		}
		if name := f.part.Label(); !slices.Contains(w.shown, name) {
			w.shown = append(w.shown, name)
		}
		switch k := kinds[f.kind]; {
		case k == 0:
			w.points += f.worth
		case k <= mostAlike:
			w.points += worthAlike * f.worth
		}
		kinds[f.kind]++
		if !f.finish && f.worth > best {
			best, focus = f.worth, nearest // what is slim lies between the places
			if n > 0 {
				focus = r2.Scale(1/float64(n), sum)
			}
		}
	}
	if best == 0 && len(w.shown) <= 1 {
		w.plain = "bare ground"
		if len(w.shown) == 1 {
			w.plain = w.shown[0]
		} else if i := slices.IndexFunc(near, func(f *feature) bool { return f.edge }); i >= 0 {
			w.plain = near[i].part.Label()
		}
		w.points -= costPlain
	}
	w.points += worthLevel * float64(min(mostLevels, j.levels(places)-1))
	if float64(struck) > goneShare*float64(len(places)) {
		w.points -= costGone
	}
	w.points -= rimCost(rim, near)
	if j.hangs(b, at, rim, near) {
		w.points -= costAfloat
	}
	if len(b.Stands) > 0 {
		if w.foot, w.round = j.stand(b, at, near); w.foot == nil {
			w.points -= costStand
		}
		if len(b.PadFaults(j.site, at)) > 0 {
			w.points -= costLow
		}
	} else {
		w.foot, w.round = j.foot(at, near)
	}
	if w.foot != nil {
		w.points += worthFoot
		reach := math.Sqrt(at.Size.X * at.Size.Y)
		if d := r2.Norm(r2.Sub(focus, at.Place(*w.foot))) / reach; best > 0 && d > 0.25 && d < 0.75 {
			w.points += worthFocus
		}
	}
	return w
}

// levels counts those of the floors at places.
func (j *spotJudge) levels(places []r2.Vec) int {
	var heights []float64
	for _, q := range places {
		if z, ok := j.site.FloorAt(q); ok {
			heights = append(heights, z)
		}
	}
	slices.Sort(heights)
	n := 1
	for i := 1; i < len(heights); i++ {
		if heights[i]-heights[i-1] > levelsApart {
			n++
		}
	}
	return n
}

// stand gives the first of the base's own stands, nil where one of them has no room.
func (j *spotJudge) stand(b *base.Base, at *base.Spot, near []*feature) (*r2.Vec, float64) {
	for i := range b.Stands {
		if st := &b.Stands[i]; !j.free(at.Place(st.At), st.Round/2, near) {
			return nil, st.Round
		}
	}
	return &b.Stands[0].At, b.Stands[0].Round
}

// foot finds room for a figure's foot, the nearer to the middle the better: level, whole
// and with nothing on it.
func (j *spotJudge) foot(at *base.Spot, near []*feature) (*r2.Vec, float64) {
	short := math.Min(at.Size.X, at.Size.Y)
	round := short / 3
	for _, off := range [...]float64{0, 0.15, 0.28} {
		for _, q := range parts.Ring(r2.Vec{}, off*short, 8) {
			if j.free(at.Place(q), round/2, near) {
				q = r2.Vec{X: math.Round(10*q.X) / 10, Y: math.Round(10*q.Y) / 10}
				return &q, round
			}
			if off == 0 {
				break
			}
		}
	}
	return nil, round
}

// free says whether a disc of the plan is level and empty.
func (j *spotJudge) free(q r2.Vec, radius float64, near []*feature) bool {
	beside := max(0.7, radius/2) // mm: what is so near, a nosing or a plinth, is in the way
	for _, f := range near {
		if f.stands && f.away(q) < radius+beside {
			return false
		}
	}
	z, ok := j.site.FloorAt(q)
	if !ok {
		return false
	}
	for _, p := range parts.Ring(q, radius+beside, 16) {
		if h, ok := j.site.FloorAt(p); !ok || math.Abs(h-z) > parts.SameHeight {
			return false
		}
	}
	return true
}

// rimOf is the outline of a spot in few corners.
func rimOf(at *base.Spot) []r2.Vec {
	all := at.OnScene()
	if len(all) <= rimSides {
		return all
	}
	few := make([]r2.Vec, rimSides)
	for i := range few {
		few[i] = all[i*len(all)/rimSides]
	}
	return few
}

// rimCost is what a rim spoils: what runs along it, and what slim things it splits.
func rimCost(rim []r2.Vec, near []*feature) (cost float64) {
	turned := math.Cos(slicedAngle * math.Pi / 180)
	whole, along := 0.0, 0.0
	for i, a := range rim {
		b := rim[(i+1)%len(rim)]
		side := r2.Sub(b, a)
		long := r2.Norm(side)
		if long == 0 {
			continue
		}
		whole += long
		middle := r2.Scale(0.5, r2.Add(a, b))
		sliced := 0.0
		for _, f := range near {
			if f.finish || f.strike {
				continue
			}
			share := 1.0
			if f.edge {
				share = 0.5
			}
			for c, d := range f.sides() {
				run := r2.Sub(d, c)
				l := r2.Norm(run)
				if l > 0 && math.Abs(r2.Dot(run, side)) > turned*l*long && planar.SegmentDistance(middle, c, d) < f.lies.Wide+slicedBy {
					sliced = math.Max(sliced, share*long)
				}
			}
		}
		along += sliced
	}
	if whole > 0 {
		cost = costSliced * math.Min(1, along/(slicedShare*whole))
	}
	shape := planar.Polygon(rim)
	box := planar.Bounds(rim)
	short := math.Min(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
	for _, f := range near {
		if f.finish || f.strike || !f.stands && !f.edge {
			continue
		}
		least := f.lies.Wide + slicedBy/2
		if len(f.lies.Points) > 1 {
			least = f.lies.Wide + sliverShare*short
		}
		switch deep := f.deepest(shape); {
		case deep < -f.lies.Wide || deep >= least:
		case f.edge:
			cost += costHair / 2
		default:
			cost += costHair
		}
	}
	return cost
}

// deepest is how far within a shape it reaches, by places along it, mm.
func (f *feature) deepest(shape planar.Shape) float64 {
	const steps = 48 // along each side
	deep := -shape.At(f.lies.Points[0])
	for a, b := range f.sides() {
		for i := range steps + 1 {
			deep = math.Max(deep, -shape.At(r2.Add(a, r2.Scale(float64(i)/steps, r2.Sub(b, a)))))
		}
	}
	return deep
}

// alike is how far two spots show the same, 0 to 1.
func (w *worth) alike(o *worth) float64 {
	if len(w.shown)+len(o.shown) == 0 {
		return 1
	}
	both := 0
	for _, name := range w.shown {
		if slices.Contains(o.shown, name) {
			both++
		}
	}
	return float64(both) / float64(len(w.shown)+len(o.shown)-both)
}

// noteSpots says how the places of bases without one were chosen.
func (sc *Scene) noteSpots(berths []*berth) {
	const most = 6 // parts that are named
	judge := newSpotJudge(sc.site, len(berths), true)
	for _, b := range berths {
		if b.worth == nil || judge.few {
			continue
		}
		w := judge.judge(b.base, b.Spot)
		where := fmt.Sprintf("%s is placed at (%.1f, %.1f), turned %.0f", b.name, b.At.X, b.At.Y, b.Turn)
		if w.plain != "" {
			sc.note(parts.Note{Part: b.base.Name, Key: "at",
				Text: where + fmt.Sprintf(": a bare spot, with nothing but %s; at moves it to something worth seeing, another seed elsewhere, and more parts or debris there help too", w.plain)})
			continue
		}
		shown := w.shown
		if len(shown) > most {
			shown = append(slices.Clone(shown[:most]), fmt.Sprintf("%d more", len(shown)-most))
		}
		text := where + " to show " + strings.Join(shown, ", ")
		if w.foot != nil {
			text += fmt.Sprintf("; a foot of %.0f mm has room at (%g, %g) from its middle", w.round, w.foot.X, w.foot.Y)
		} else {
			text += fmt.Sprintf("; no level place of %.0f mm is free for a foot", w.round)
		}
		sc.note(parts.Note{Part: b.base.Name, Key: "at", Text: text})
	}
}
