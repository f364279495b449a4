package assembly

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/workers"
)

// Scene is a site put together in the trade's order of work: structure,
// finishes, fittings, damage, spill, trims. Bases are cut from it.
type Scene struct {
	Field sdf.Field // the whole scene, in its own coordinates

	site   *parts.Site
	before sdf.Field // the scene without damage
	damage *damage
	land   cutWork     // what is cut together with the land,
	rest   []sdf.Field // all the rest
	pieces []Piece

	shares  []share             // what each part adds, in the order of work
	keep    []share             // what each trim leaves
	scenery map[string]*scenery // by piece, made when asked for
	asking  sync.Mutex          // guards it
	notes   []parts.Note
	noted   map[parts.Note]bool
}

// share is what one part adds to the scene before damage or, of a trim, leaves.
type share struct {
	part   parts.Part
	field  sdf.Field
	broken *broken // what is left of it where it broke in its own way
	fallen bool    // floor that has slumped: no damage cuts it
}

// inOrder lists the parts in the order of work, then by kind and name: the order
// that everything is done in, whatever the order of the file.
func inOrder(s *parts.Site) []parts.Part {
	return slices.SortedStableFunc(slices.Values(s.Parts), func(a, b parts.Part) int {
		return cmp.Or(cmp.Compare(parts.StageOf(a), parts.StageOf(b)), cmp.Compare(parts.WordOf(a), parts.WordOf(b)), cmp.Compare(a.Label(), b.Label()))
	})
}

// Check runs every rule that is left once a scene is read: those of each part,
// the count of pieces, and those between damage, bases and ground. None of it
// makes a solid.
func Check(s *parts.Site) []parts.Fault {
	_, faults := survey(s)
	return faults
}

// survey checks the site and lays its bases.
func survey(s *parts.Site) ([]*berth, []parts.Fault) {
	var faults []parts.Fault
	faulty := map[string]bool{}
	pieces := 0
	for _, p := range s.Parts {
		if c, ok := p.(parts.Checker); ok {
			found := c.Check(s)
			faults = append(faults, found...)
			faulty[p.Label()] = len(found) > 0
		}
		if c, ok := p.(parts.Counter); ok && !faulty[p.Label()] && pieces <= parts.MaxPieces {
			pieces += max(0, min(c.Pieces(s), parts.MaxPieces+1))
			if pieces > parts.MaxPieces {
				faults = append(faults, parts.Fault{Part: p.Label(), Text: "gives this scene too many pieces",
					Allowed: fmt.Sprintf("%d in all: fewer or larger ones", parts.MaxPieces)})
			}
		}
	}
	faults = append(faults, narrowFaults(s)...)
	faults = append(faults, senseFaults(s, faulty)...)

	var bases []*base.Base
	count := 0
	for _, b := range parts.AllOf[*base.Base](s) {
		if !faulty[b.Name] {
			bases = append(bases, b)
			count += max(1, b.Count)
		}
	}
	if count > mostBases {
		last := bases[len(bases)-1]
		return nil, append(faults, parts.Fault{Part: last.Name, Text: fmt.Sprintf("makes %d bases in all", count), Allowed: fmt.Sprintf("at most %d", mostBases)})
	}
	for _, p := range s.Parts {
		_, trims := p.(parts.Trimmer)
		if faulty[p.Label()] && (trims || s.IsLand(p)) {
			return nil, faults // where bases may lie is in doubt
		}
	}
	faults = append(faults, nameFaults(bases)...)
	found := fixedFaults(s, bases)
	faults = append(faults, found...)
	if len(found) > 0 {
		return nil, faults
	}
	berths, found := layBases(s, bases, len(faults) == 0)
	faults = append(faults, found...)
	for _, at := range berths {
		for _, f := range at.base.PadFaults(s, at.Spot) {
			if !slices.Contains(faults, f) { // several are alike
				faults = append(faults, f)
			}
		}
	}
	if len(faults) == 0 {
		faults = levelFaults(s, berths)
	}
	return berths, faults
}

// nameFaults reports pieces of different bases that would be one file.
func nameFaults(bases []*base.Base) []parts.Fault {
	var faults []parts.Fault
	owner := map[string]*base.Base{}
	for _, b := range bases {
		for n := range max(1, b.Count) {
			name := strings.ToLower(b.PieceName(n)) // file systems may not tell cases apart
			if o := owner[name]; o != nil {
				faults = append(faults, parts.Fault{Part: b.Name, Key: "name",
					Text:    fmt.Sprintf("its piece %q would have the file name of a piece of base %q", b.PieceName(n), o.Name),
					Allowed: "names that make a file name each"})
				break
			}
			owner[name] = b
		}
	}
	return faults
}

// fixedFaults reports bases laid by the scene that overlap or leave the ground.
func fixedFaults(s *parts.Site, bases []*base.Base) []parts.Fault {
	var faults []parts.Fault
	y := yardOf(s)
	var fixed []*berth
	for _, b := range bases {
		if b.At == nil {
			continue
		}
		f := &berth{base: b, name: b.Name, Spot: base.NewSpot(b.Footprints()[0], *b.At, b.Turned())}
		box := f.Bounds()
		if y != nil && !y.holds(f.Spot, 0) {
			fault := parts.Fault{Part: b.Name, Key: "at",
				Text:    fmt.Sprintf("the base reaches from x %.2f to %.2f and y %.2f to %.2f mm, beyond a trim of the scene", box.Min.X, box.Max.X, box.Min.Y, box.Max.Y),
				Allowed: "a place that lies within the trims"}
			if bare := (&yard{ground: y.ground}); !bare.holds(f.Spot, 0) {
				fault.Text = strings.Replace(fault.Text, "a trim of the scene", "the ground", 1)
				fault.Allowed = fmt.Sprintf("within x 0 to %g and y 0 to %g mm", y.ground.Max.X, y.ground.Max.Y)
			}
			faults = append(faults, fault)
		}
		for _, o := range fixed {
			if f.Overlaps(o.Spot) {
				faults = append(faults, parts.Fault{Part: b.Name, Key: "at",
					Text:    fmt.Sprintf("the base overlaps base %q", o.name),
					Allowed: "bases that do not share ground"})
			}
		}
		fixed = append(fixed, f)
	}
	return faults
}

// Assemble puts a site together and cuts its bases. It fails with a *FaultError
// where Check would find faults, before any solid is made, and where a base comes
// out taller than its top allows.
func Assemble(s *parts.Site) (*Scene, error) {
	berths, faults := survey(s)
	if len(faults) > 0 {
		return nil, &parts.FaultError{Faults: faults}
	}
	s.LayRims(rimsOf(berths))
	order := inOrder(s)
	sc := &Scene{site: s}
	sc.note(s.Notes()...)
	noteOf := func(p parts.Part) {
		if n, ok := p.(parts.Noter); ok {
			sc.note(n.Notes(s)...)
		}
	}
	var work []made
	var spillers []parts.Spiller
	var keep []sdf.Field
	solids := []sdf.Field{}
	for _, p := range order {
		switch p := p.(type) {
		case parts.Solider:
			f := p.Solid(s)
			work = append(work, made{p, f})
			solids = append(solids, f)
			sc.shares = append(sc.shares, share{part: p, field: f})
			noteOf(p)
		case parts.Spiller:
			spillers = append(spillers, p)
		case parts.Trimmer:
			keep = append(keep, p.Keep(s))
			sc.keep = append(sc.keep, share{part: p, field: keep[len(keep)-1]})
		}
	}
	sc.before = sdf.Union(solids...)
	sc.damage = newDamage(s, order)
	for _, b := range sc.damage.blows {
		noteOf(b.Damager)
	}
	under, land, remains := sc.damage.strike(s, work)
	sc.land, sc.rest = land, []sdf.Field{under}
	under = sdf.Union(under, land.left())
	for i, b := range remains { // of the first shares
		sc.shares[i].broken = b
	}
	for i, f := range sc.damage.thrown {
		if f != nil {
			sc.shares = append(sc.shares, share{part: sc.damage.blows[i].Damager, field: f})
		}
	}
	for i, f := range sc.damage.fallen {
		if f != nil {
			sc.shares = append(sc.shares, share{part: sc.damage.blows[i].Damager, field: f, fallen: true})
		}
	}
	spilt := make([]sdf.Field, len(spillers))
	workers.AtOnce(len(spillers), func(i int) { spilt[i] = spillers[i].Spill(s, under) }) // each rests on the damaged scene
	for i, p := range spillers {
		if f := spilt[i]; f != nil {
			sc.rest = append(sc.rest, f)
			sc.shares = append(sc.shares, share{part: p, field: f})
		}
		noteOf(p)
	}
	sc.Field = sdf.Intersection(append([]sdf.Field{sdf.Union(append(sc.rest, land.left())...)}, keep...)...)

	slices.SortStableFunc(berths, func(a, b *berth) int {
		return cmp.Or(cmp.Compare(a.base.Name, b.base.Name), cmp.Compare(a.n, b.n))
	})
	sc.noteIdle(berths)
	sc.noteSpots(berths)
	sc.pieces = make([]Piece, len(berths))
	tooTall := make([][]parts.Fault, len(berths))
	workers.AtOnce(len(berths), func(i int) {
		sc.pieces[i] = sc.Cut(berths[i])
		tooTall[i] = topFaults(sc.pieces[i])
	})
	faults = append(faults, slices.Concat(tooTall...)...)
	if len(faults) > 0 {
		return nil, &parts.FaultError{Faults: faults}
	}
	return sc, nil
}

// rimsOf are the outlines of bases at the top of their rims.
func rimsOf(berths []*berth) (all [][]r2.Vec) {
	for _, b := range berths {
		if o := planar.InsetConvex(b.OnScene(), b.base.Taper); o != nil {
			all = append(all, o)
		}
	}
	return all
}

// note adds notes that are not there yet.
func (sc *Scene) note(notes ...parts.Note) {
	for _, n := range notes {
		if !sc.noted[n] {
			if sc.noted == nil {
				sc.noted = map[parts.Note]bool{}
			}
			sc.noted[n] = true
			sc.notes = append(sc.notes, n)
		}
	}
}

// Notes are what was decided for the maker: by the reader, then by the parts in the order
// of work, and what no base has anything of.
func (sc *Scene) Notes() []parts.Note { return slices.Clone(sc.notes) }

// Pieces lists the bases cut from the scene, by name; several alike in the order
// of their numbers. Each carries only what of the scene is near it.
func (sc *Scene) Pieces() []Piece { return slices.Clone(sc.pieces) }

// tallest bounds a piece where the scene has no top of its own, mm.
const tallest = 1000

// Cut makes the piece of one berth.
func (sc *Scene) Cut(at *berth) Piece {
	b, s := at.base, sc.site
	zero := b.Datum(s, at.OnScene()) - b.Height - b.Lift // of the piece, in the scene
	pose := sdf.Turn(sdf.V(0, 0, 1), at.Turn).Then(sdf.At(sdf.V(at.At.X, at.At.Y, zero)))
	half := r2.Scale(0.5, at.Size)

	top := math.Max(b.Height, sc.topOver(b, at, pose, zero))
	pads := b.PadsOn(s, at.Spot)
	for _, p := range pads {
		top = math.Max(top, p.Top)
	}
	const over = 0.5 // so that no top of the column shows
	box := r3.Box{Min: sdf.V(-half.X, -half.Y, 0), Max: sdf.V(half.X, half.Y, top+over)}
	near := newNearby(pose, box)

	c := b.Column(at.Footprint, top+over)
	body := sc.onBed(b, at, zero, near)
	seating := b.Seating(s, at.Spot)
	for _, a := range seating.Around {
		body = append(body, sc.goingOn(a, near))
	}
	body = append(body, b.Kept(s)...)
	body = append(body, deepFloor(s, b, at.OnScene(), zero, near)...)
	if b.Rim == "whole" {
		ring := sdf.Difference(sdf.Union(near.bring(sc.before), sc.rawBed(b, at, zero, near)), b.Within(at.Footprint, s.Print.Wall, top+over))
		body = append(body, sdf.Intersection(ring, sdf.HalfSpace(sdf.V(0, 0, 1), b.Height)))
	}
	f := sdf.Intersection(c, sdf.Union(body...))
	f = b.Finished(s, f, c, seating)
	heights := []float64{b.Height, b.Floor}
	for _, z := range s.Heights() {
		if z -= zero; z > 0 && z < top {
			heights = append(heights, z)
		}
	}
	return Piece{Name: at.name, Base: b, Footprint: at.String(), Field: f, Box: box, Pose: pose, Heights: heights, berth: at}
}

// nearby brings what of the scene is near a piece into the piece's coordinates.
type nearby struct {
	to   sdf.Pose // from the scene to the piece
	ball sdf.Ball // about the piece, in the scene
}

func newNearby(pose sdf.Pose, box r3.Box) nearby {
	ball := sdf.BoxBall(box)
	const clear = 1.0
	return nearby{to: pose.Inverse(), ball: sdf.Ball{C: pose.Apply(ball.C), R: ball.R + clear}}
}

func (n nearby) bring(f sdf.Field) sdf.Field { return sdf.Place(f.Prune(n.ball), n.to) }

// goingOn is what goes on beyond the pads of a piece, after damage and within the trims.
func (sc *Scene) goingOn(a base.Around, near nearby) sdf.Field {
	var taken, kept []sdf.Field
	for _, c := range sc.damage.takes(sc.namesOf(a.Part)...) {
		taken = append(taken, near.bring(c))
	}
	for _, k := range sc.keep {
		kept = append(kept, near.bring(k.field))
	}
	return sdf.Intersection(append(kept, sdf.Difference(a.Field, taken...))...)
}

// namesOf are the names that a part goes by to damage.
func (sc *Scene) namesOf(p parts.Part) []string {
	if sc.site.IsLand(p) {
		return sc.damage.ground
	}
	return []string{p.Label()}
}

// bedded is how far the body of a base reaches up into the structure at its
// level, short of the top, mm: it must not show.
const bedded = 0.5

// rawBed is the body of a base under the structure at its level: where the
// ground is thin, or a deck hollow underneath, the base is solid all the same.
// Sunk ground stays open.
func (sc *Scene) rawBed(b *base.Base, at *berth, zero float64, near nearby) sdf.Field {
	s := sc.site
	plan := at.OnScene()
	level := b.Datum(s, plan)
	top := parts.StructureUnder(s, level, plan) - s.Roughness(level) - bedded
	bed := sdf.HalfSpace(sdf.V(0, 0, 1), top-zero)
	switch land := s.Land(); {
	case land == nil:
	case level > land.Plot.Level.Height+parts.SameHeight: // it shows beside the floors at its level
		if loose := land.Plot.Loose; loose != nil {
			bed = near.bring(sdf.Place(loose, sdf.At(sdf.V(0, 0, top-loose.Bounds().Max.Z))))
		}
	default:
		var open []sdf.Field
		for _, sunk := range land.Sunk {
			floor := sunk.Level.Height
			open = append(open, sdf.Offset(near.bring(sunk.Hollow), floor-parts.StructureUnder(s, floor, plan)+sunk.Dip+bedded))
		}
		bed = sdf.Difference(bed, open...)
	}
	return bed
}

// onBed is the scene over a base and the body of the base under it, after damage. Where the
// same blows cut the body and the land, they cut both at once.
func (sc *Scene) onBed(b *base.Base, at *berth, zero float64, near nearby) []sdf.Field {
	bed := sc.rawBed(b, at, zero, near)
	cuts := sc.damage.takes(append([]string{b.Name}, sc.damage.ground...)...)
	body := []sdf.Field{near.bring(sc.Field)}
	if len(sc.keep) == 0 && sc.land.whole != nil && slices.Equal(cuts, sc.land.cuts) {
		bed = sdf.Union(near.bring(sc.land.whole), bed)
		body[0] = near.bring(sdf.Union(sc.rest...))
	}
	var taken []sdf.Field
	for _, c := range cuts {
		taken = append(taken, near.bring(c))
	}
	return append(body, sdf.Difference(bed, taken...))
}
