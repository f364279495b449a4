package assembly

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
)

// Layout is one way for the damage of a scene to lie.
type Layout struct {
	Number int   // from 1
	Aimed  []Aim // one a damage, in the order of the scene
	Moves  []parts.Move
}

// Aim is where a layout lays one damage.
type Aim struct {
	Part  string // its name
	Piece string // that it is aimed at; "" where it stays
}

// LayoutOptions is what layouts are drawn by.
type LayoutOptions struct {
	Count       int    // how many, 1 to MostLayouts
	Seed        uint64 // layout i of a seed is the same whatever the count
	Focus       []string
	Spared      []string // pieces or bases; Focus gets all that is aimed, Spared nothing
	Least, Most float64  // factors on the sizes of the scene; 0: 0.7 and 1.4
}

// MostLayouts is the most layouts that are drawn at a time.
const MostLayouts = 64

// Tries are bounded: how many places on one piece, and how many pieces.
const (
	triesOnPiece  = 400 // a piece may have no more than a corner above a pit
	triesOfLayout = 4
)

// Layouts draws layouts of a scene's damage. A piece has its turn by the square root
// of its area: what strikes a small base takes the larger share of it. Whose turn is
// overdue most comes next, so that over the layouts each gets its due. A layout
// depends on those before it and on none after. The error says that there is nothing
// to move, a name that is wrong, or that there is no place.
func Layouts(s *parts.Site, o LayoutOptions) ([]Layout, error) {
	if o.Count < 1 || o.Count > MostLayouts {
		return nil, fmt.Errorf("%d layouts: allowed: 1 to %d", o.Count, MostLayouts)
	}
	o.Least, o.Most = cmp.Or(o.Least, 0.7), cmp.Or(o.Most, 1.4)
	if !(o.Least > 0 && o.Least <= o.Most && o.Most <= 10) {
		return nil, fmt.Errorf("sizes of %v to %v times the scene's: allowed: above 0, up to 10, the least first", o.Least, o.Most)
	}
	berths, faults := survey(s)
	if len(faults) > 0 {
		return nil, &parts.FaultError{Faults: faults}
	}
	l := &layoutDesk{site: s, options: o, berths: berths}
	l.damages = append(l.damages, parts.AllOf[parts.Movable](s)...)
	if len(l.damages) == 0 {
		return nil, fmt.Errorf("the scene has no damage to lay out: give it %s", oneOf(parts.KindsOffering("layout")))
	}
	if err := l.weigh(); err != nil {
		return nil, err
	}
	var all []Layout
	for n := 1; n <= o.Count; n++ {
		one, err := l.layout(n)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

// oneOf lists kinds to choose from: "a [[crater]], a [[gouge]] or a [[breach]]".
func oneOf(kinds []string) string {
	tables := make([]string, len(kinds))
	for i, word := range kinds {
		tables[i] = "a [[" + word + "]]"
	}
	return parts.OneOf(tables)
}

// layoutDesk is what layouts are drawn on.
type layoutDesk struct {
	site    *parts.Site
	options LayoutOptions
	berths  []*berth
	damages []parts.Movable
	spared  []bool
	share   []float64 // of all that is aimed
	due     []float64 // what each piece is owed, in hits
}

// named finds the pieces that names mean.
func (l *layoutDesk) named(names []string) ([]bool, error) {
	is := make([]bool, len(l.berths))
	for _, name := range names {
		found := false
		for i, b := range l.berths {
			if b.name == name || b.base.Name == name {
				is[i], found = true, true
			}
		}
		if !found {
			var have []string
			for _, b := range l.berths {
				have = append(have, b.name)
			}
			return nil, fmt.Errorf("the scene has no base %q; it has: %s", name, strings.Join(have, ", "))
		}
	}
	return is, nil
}

// weigh shares out what is aimed among the pieces.
func (l *layoutDesk) weigh() error {
	focus, err := l.named(l.options.Focus)
	if err != nil {
		return err
	}
	if l.spared, err = l.named(l.options.Spared); err != nil {
		return err
	}
	l.share, l.due = make([]float64, len(l.berths)), make([]float64, len(l.berths))
	sum := 0.0
	for i, b := range l.berths {
		if l.spared[i] && focus[i] {
			return fmt.Errorf("%q is to get the damage and to be spared: allowed: one of both", b.name)
		}
		if !l.spared[i] && (len(l.options.Focus) == 0 || focus[i]) {
			l.share[i] = math.Sqrt(b.Footprint.Area())
			sum += l.share[i]
		}
	}
	if sum == 0 {
		return fmt.Errorf("no base is left for the damage: allowed: one base or more that is not spared")
	}
	first := l.site.Rand("", l.options.Seed, "layouts")
	for i := range l.share {
		l.share[i] /= sum
		l.due[i] = l.share[i] * first.Float64() // so that seeds begin at different pieces
	}
	return nil
}

// layout draws the next layout.
func (l *layoutDesk) layout(n int) (Layout, error) {
	due := slices.Clone(l.due)
	for try := range triesOfLayout {
		copy(l.due, due)
		one, site, err := l.draw(n, try)
		if err != nil {
			return one, err
		}
		if len(Check(site)) == 0 {
			return one, nil
		}
	}
	return Layout{}, fmt.Errorf("layout %d: none of %d that were drawn keeps the rules of the parts", n, triesOfLayout)
}

// draw lays all damages, one after the other. One that finds no place on what is aimed
// at stays where it is, if it is clear of stands and spared bases there.
func (l *layoutDesk) draw(n, try int) (Layout, *parts.Site, error) {
	site := l.site
	one := Layout{Number: n}
	taken := make([]bool, len(l.berths))
	for _, d := range l.damages {
		for i := range l.due {
			l.due[i] += l.share[i]
		}
		rng := l.site.Rand(d.Label(), l.options.Seed, fmt.Sprintf("layout %d, try %d", n, try))
		piece, laid, moves := l.aim(site, d, rng, taken)
		if laid == nil && (piece < 0 || l.clear(d, d.Struck(l.site))) {
			one.Aimed = append(one.Aimed, Aim{Part: d.Label()}) // say, the only wall stands elsewhere
			continue
		}
		if laid == nil {
			return one, nil, fmt.Errorf("layout %d: no place for %q is found that shows on a base and leaves stands and spared bases clear: allowed: smaller sizes, or fewer spared", n, d.Label())
		}
		l.due[piece]--
		taken[piece] = true
		others := slices.Clone(site.Parts)
		others[slices.Index(others, parts.Part(d))] = laid
		site = site.With(others)
		one.Aimed = append(one.Aimed, Aim{d.Label(), l.berths[piece].name})
		one.Moves = append(one.Moves, moves...)
	}
	return one, site, nil
}

// aim finds a damage a place, on the piece that is owed most; one that this layout has
// struck already comes after the others. Without a place laid is nil, and the piece is below
// 0 where the damage can lie nowhere else.
func (l *layoutDesk) aim(site *parts.Site, d parts.Movable, rng *rand.Rand, taken []bool) (int, parts.Movable, []parts.Move) {
	order := make([]int, 0, len(l.berths))
	for i := range l.berths {
		if l.share[i] > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if taken[a] != taken[b] {
			if taken[a] {
				return 1
			}
			return -1
		}
		return cmp.Compare(l.due[b], l.due[a])
	})
	kind := parts.KindOfPart(d)
	keys := kind.Keys()
	for _, i := range order {
		b := l.berths[i]
		shape, box := b.Footprint.Shape(), b.Footprint.Box()
		// What tries settle goes with these: it is kept for as long as one piece is tried.
		now, before := site.With(site.Parts), l.site.With(l.site.Parts)
		for range triesOnPiece {
			p := r2.Vec{X: box.Min.X + (box.Max.X-box.Min.X)*rng.Float64(), Y: box.Min.Y + (box.Max.Y-box.Min.Y)*rng.Float64()}
			if shape.At(p) > -b.base.Taper-1 {
				continue // so that rounding leaves it on the top
			}
			draw := &parts.LayoutDraw{Rand: rng, Least: l.options.Least, Most: l.options.Most, Part: d.Label(), Kind: kind.Word, Keys: keys}
			laid, moves := d.Laid(now, b.Place(p), draw)
			if len(moves) == 0 {
				return -1, nil, nil
			}
			if len(laid.Check(now)) > 0 {
				continue
			}
			if strike := laid.Struck(before); l.shows(laid, strike, b) && l.clear(laid, strike) {
				return i, laid, moves
			}
		}
	}
	return 0, nil, nil
}

// shows says whether the damage strikes a piece where that has something to take: within
// the ground and the trims, what lies uppermost there, and high enough, not at the
// bottom of a pit that is deeper than the piece is.
func (l *layoutDesk) shows(d parts.Movable, strike parts.Strike, on *berth) bool {
	least := on.base.Datum(l.site, on.OnScene()) - on.base.Height - on.base.Lift + on.base.Floor + l.site.Print.Relief
	if strike.Built {
		if strike.Level.Height < least {
			return false
		}
	} else if !l.uppermost(d, strike, least) {
		return false
	}
	shape, strikes := on.Footprint.Shape(), false
	yard := yardOf(l.site)
	for _, p := range strike.Middle {
		strikes = strikes || shape.At(on.Local(p)) < -on.base.Taper
		if yard == nil {
			continue
		}
		for _, t := range yard.trims {
			if t.Value(sdf.V(p.X, p.Y, -parts.TrimReach/2)) > 0 {
				return false
			}
		}
	}
	return strikes
}

// uppermost says whether all that the damage strikes of a floor lies uppermost there, at
// one level, no lower than the least.
func (l *layoutDesk) uppermost(d parts.Movable, strike parts.Strike, least float64) bool {
	only, spares := d.Narrow()
	part := l.site.With(slices.DeleteFunc(slices.Clone(l.site.Parts), func(p parts.Part) bool {
		return slices.Contains(spares, p.Label()) || len(only) > 0 && !slices.Contains(only, p.Label())
	}))
	first := math.NaN()
	for i, p := range strike.Middle {
		at, ok := l.site.LevelAt(p)
		own, have := part.LevelAt(p)
		switch {
		case !ok || !have || at < least || math.Abs(at-own) > parts.SameHeight:
			return false
		case strike.Level != nil && math.Abs(at-strike.Level.Height) > parts.SameHeight:
			return false
		case i > 0 && math.Abs(at-first) > parts.SameHeight:
			return false // a groove at one level would run under a deck, or over a pit
		}
		first = at
	}
	return true
}

// clear says whether the damage stays off every stand and every spared base.
func (l *layoutDesk) clear(d parts.Movable, strike parts.Strike) bool {
	reach := strike.Reach
	for _, p := range parts.AllOf[parts.Debris](l.site) {
		if p.Source() == d.Label() {
			reach = math.Max(reach, p.Farthest(l.site, strike.Cut))
		}
	}
	for i, b := range l.berths {
		shape := b.Footprint.Shape()
		for _, p := range strike.Middle {
			if l.spared[i] && shape.At(b.Local(p)) < reach {
				return false
			}
			for k := range b.base.Stands {
				st := &b.base.Stands[k]
				if r2.Norm(r2.Sub(b.Local(p), st.At)) < strike.Cut+st.Round/2 {
					return false
				}
			}
		}
	}
	return true
}
