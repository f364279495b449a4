package parts

import (
	"math"
	"reflect"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// What to change in a scene when a check finds something. The words of checks are
// those of Severities: thin-wall, neck, island, stair and so on.

// Remedy is one way that may clear a finding: in plain words, and as values to try.
type Remedy struct {
	Part  string     // whose keys it changes; "" for a table of the scene
	Key   string     // the first of its keys; "" where no one key does it
	Words string     // "no cracks"; what else is said of Value, where there is one
	Value *Move      // what is said first: its key with its value; nil: the words alone
	Tries [][]Move   // the least change first; the moves of one go together. None: words only
	Cause remedyRank // how near to the cause it is
}

// remedyRank is the order in which parts are asked for remedies.
type remedyRank int

const (
	OfDamage remedyRank = iota // that comes within reach of what was built
	OfBlamed                   // what the place is of
	OfNear                     // what lies beside it
)

// Trouble is a finding as far as parts need to know it to tell what may clear it.
type Trouble struct {
	Check string
	Part  Part    // that it was put down to
	Land  bool    // that part is the land
	Piece *Laying // the piece that it is on; nil for the scene as a whole
	At    *r3.Vec // its place on the piece; nil where it has none
	Edge  float64 // from the place to the outline of the piece's top, mm; less than 0 outside of that, +Inf without a place
}

// Laying is how a piece lies on the scene.
type Laying struct {
	Pose sdf.Pose // from the piece's coordinates to the scene's
	Turn float64  // of the piece, degrees
}

// Remedier is a part that knows which of its keys may clear a finding.
type Remedier interface {
	Part
	// Remedies gives those that may clear it, the least change first. A value that
	// the part has already is none.
	Remedies(s *Site, t Trouble) []Remedy
}

const (
	// CauseWithin is how far from a place a surface may lie and still be a cause of
	// what is found there, mm: common practice, no source.
	CauseWithin = 1.5
	// edgeWithin is how far from the edge of a base that edge may be one, mm.
	edgeWithin = 1.5
)

// NearEdge says whether the edge of the base may be a cause.
func (t *Trouble) NearEdge() bool { return math.Abs(t.Edge) <= edgeWithin }

// Of says whether the check is one of these.
func (t *Trouble) Of(checks ...string) bool { return slices.Contains(checks, t.Check) }

// Thin says whether something is too thin to hold, or hangs by what is.
func (t *Trouble) Thin() bool {
	return t.Of("thin-wall", "thin-pin", "hair", "slender-pin", "neck", "crumb")
}

// Hanging says whether something has nothing under it.
func (t *Trouble) Hanging() bool { return t.Of("island", "overhang", "bridge") }

// Trapped says whether resin would stay in it.
func (t *Trouble) Trapped() bool { return t.Of("sealed-void", "filled-void", "lidded-void", "drain") }

// Remedies collects those of one part.
type Remedies struct {
	part Part
	kind *Kind
	All  []Remedy
}

func RemediesOf(p Part) *Remedies { return &Remedies{part: p, kind: KindOfPart(p)} }

// Move is one key of the part with a value.
func (r *Remedies) Move(key string, value any) Move {
	return Move{Part: r.part.Label(), Kind: r.kind.Word, Key: key, Value: value}
}

// Words adds a remedy that has no values to try.
func (r *Remedies) Words(key, words string) {
	r.All = append(r.All, Remedy{Part: r.part.Label(), Key: key, Words: words})
}

// To adds values of a key, without the one that it has.
func (r *Remedies) To(key, words string, values ...any) {
	now := r.now(key)
	var tries [][]Move
	for _, v := range values {
		if v != now {
			tries = append(tries, []Move{r.Move(key, v)})
		}
	}
	r.Together(key, words, tries...)
}

// Set is To for what is best said by the first of the values, "surface flat"; more is
// what else is said of it.
func (r *Remedies) Set(key, more string, values ...any) {
	n := len(r.All)
	r.To(key, more, values...)
	if len(r.All) > n {
		first := r.Move(key, values[0])
		r.All[n].Value = &first
	}
}

// Together adds moves that go together; nothing where there are none.
func (r *Remedies) Together(key, words string, tries ...[]Move) {
	if len(tries) > 0 {
		r.All = append(r.All, Remedy{Part: r.part.Label(), Key: key, Words: words, Tries: tries})
	}
}

// Scaled adds values of a key that is a length, an angle or a number: factors of
// what it is now, within its range.
func (r *Remedies) Scaled(key, words string, now float64, factors ...float64) {
	var values []any
	for _, f := range factors {
		v := r.Within(key, Handy(now*f))
		if math.Abs(v-now) > 1e-9 && !slices.Contains(values, any(v)) {
			values = append(values, v)
		}
	}
	r.To(key, words, values...)
}

// Seeds adds the next few.
func (r *Remedies) Seeds(now uint64) {
	const some = 4
	var values []any
	for i := range uint64(some) {
		values = append(values, now+1+i)
	}
	r.To("seed", "another seed", values...)
}

// Spare adds that damage leaves the part of the trouble whole.
func (r *Remedies) Spare(t Trouble, only, spares []string) {
	built, ok := t.Part.(Solider)
	if !ok || len(only) > 0 || StageOf(built) >= Damaging {
		return
	}
	if t.Land || slices.Contains(spares, built.Label()) {
		return
	}
	r.Together("spares", "", []Move{r.Move("spares", append(slices.Clone(spares), built.Label()))})
	said := r.Move("spares", []string{built.Label()})
	r.All[len(r.All)-1].Value = &said
}

// Shifts adds places about a point of the plan, a little off and then further, the
// first of them along a direction.
func (r *Remedies) Shifts(key, words string, at, first r2.Vec) {
	var tries [][]Move
	for _, to := range Shifted(at, first) {
		tries = append(tries, []Move{r.Move(key, [2]float64{to.X, to.Y})})
	}
	r.Together(key, words, tries...)
}

// Shifted gives places about a point, to half a millimetre.
func Shifted(at, first r2.Vec) (out []r2.Vec) {
	if r2.Norm(first) == 0 {
		first = r2.Vec{X: 1}
	}
	first = r2.Unit(first)
	across := r2.Vec{X: -first.Y, Y: first.X}
	for _, by := range []float64{1, 2, 3.5} {
		for _, way := range []r2.Vec{first, r2.Scale(-1, first), across, r2.Scale(-1, across)} {
			to := ReadablePlace(r2.Add(at, r2.Scale(by, way)))
			if to != at && !slices.Contains(out, to) {
				out = append(out, to)
			}
		}
	}
	return out
}

// now is the value that a key has, pointers followed; nil where it is unset or within
// a table.
func (r *Remedies) now(key string) any {
	for _, k := range r.kind.Keys() {
		if k.Word != key {
			continue
		}
		v := reflect.ValueOf(r.part).Elem().FieldByIndex(k.Index)
		if v.Kind() == reflect.Pointer {
			if v.IsNil() {
				return nil
			}
			v = v.Elem()
		}
		if v.Comparable() {
			return v.Interface()
		}
	}
	return nil
}

// Within holds a value to the range of a key.
func (r *Remedies) Within(key string, v float64) float64 {
	for _, k := range r.kind.Keys() {
		if k.Word != key {
			continue
		}
		if k.Min != nil {
			v = math.Max(v, *k.Min)
		}
		if k.Max != nil {
			v = math.Min(v, *k.Max)
		}
	}
	return v
}

// Handy rounds to two figures, or to a tenth from ten up.
func Handy(v float64) float64 {
	if v == 0 {
		return 0
	}
	step := math.Pow(10, math.Max(math.Floor(math.Log10(math.Abs(v)))-1, -3))
	places := math.Round(1 / math.Min(step, 0.1))
	return math.Round(v*places) / places
}
