package assembly

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/crater"
	"socle/parts/deck"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/spill"
	"socle/parts/stair"
	"socle/parts/trim"
	"socle/sdf"
)

// keyExists says whether a kind has a key, "magnet.skin" within a table.
func keyExists(keys []parts.Key, path string) bool {
	word, rest, within := strings.Cut(path, ".")
	return slices.ContainsFunc(keys, func(k parts.Key) bool { return k.Word == word && (!within || keyExists(k.Sub, rest)) })
}

// keysTried lists what remedies change, in their order: "hit.cracks".
func keysTried(all []parts.Remedy) (keys []string) {
	for _, r := range all {
		for _, try := range r.Tries {
			for _, m := range try {
				if key := m.Part + "." + m.Key; !slices.Contains(keys, key) {
					keys = append(keys, key)
				}
			}
		}
	}
	return keys
}

// advisedSite is a worn paving with a crater in it, a stair and a deck on paved
// ground, under one base of 60 mm.
func advisedSite() (*parts.Site, *paving.Paving, *crater.Crater, *stair.Stair, *deck.Deck) {
	flags := &paving.Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10},
		Area: parts.Area{Rect: []float64{0, 0, 100, 80}}, Bond: "running", Wear: 0.4, Seed: 1}
	hit := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 55, Y: 40}, Diameter: 18, Blanket: 2.5, Slope: 37, Roughness: 0.5, Seed: 1}
	stair := &stair.Stair{Named: parts.Named{Name: "steps"}, From: parts.Level{Height: 10}, To: parts.Level{Height: 20}, Foot: &r2.Vec{X: 30, Y: 52}, Facing: 90,
		Width: 10, Profile: "free", Side: "solid", Flanks: "none", Waist: 2, Cheek: 2, Seed: 1}
	deck := &deck.Deck{Named: parts.Named{Name: "terrace"}, Level: parts.Level{Height: 20},
		Area: parts.Area{Rect: []float64{5, 70, 90, 8}}, Thickness: 3, On: "solid", Pier: 4, Spacing: 20, Edge: "plain"}
	s := fixtures.GroundWith(flags, hit, stair, deck, fixtures.BaseAt("walker", func(b *base.Base) { b.Round = new(60.0) }))
	s.Printer = parts.Printer{Pin: 0.8, Wall: 1, Gap: 0.3}
	s.Inspect.Neck = "cut"
	return s, flags, hit, stair, deck
}

// What a crater left in a paving is the crater's to clear first, by what it breaks off
// least of all; then by less wear of the paving, which is no advice for a new one.
func TestRemediesGoByTheCause(t *testing.T) {
	s, flags, hit, _, _ := advisedSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	lip := onBase(p, 55+9, 40, 10)
	for _, check := range []string{"thin-wall", "neck"} {
		all := sc.Remedies(check, flags, &p, &lip)
		keys := keysTried(all)
		require.Equal(t, []string{"hit.cracks", "hit.spall"}, keys[:2], check)
		require.Less(t, slices.Index(keys, "hit.depth"), slices.Index(keys, "flags.wear"), "%s: %v", check, keys)
		require.Greater(t, slices.Index(keys, "flags.wear"), 0)
	}

	hit.Cracks, hit.Spall, flags.Wear = new(0), new(0), 0
	sc = assembled(t, s)
	p = sc.Pieces()[0]
	keys := keysTried(sc.Remedies("thin-wall", flags, &p, &lip))
	for _, gone := range []string{"hit.cracks", "hit.spall", "flags.wear"} {
		require.NotContains(t, keys, gone, "it has that value already")
	}
	far := onBase(p, 40, 20, 10)
	require.NotContains(t, keysTried(sc.Remedies("thin-wall", flags, &p, &far)), "hit.depth", "20 mm from the crater")
}

// A base is moved only where its edge is near.
func TestRemediesMoveABaseOnlyAtItsEdge(t *testing.T) {
	s, flags, _, _, _ := advisedSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	for _, c := range []struct {
		in    float64 // of the foot's outline, mm; the top lies 1 mm within it
		moved bool
	}{{0.4, true}, {2, true}, {3, false}, {10, false}, {30, false}} {
		at := sdf.V(0, -30+c.in, 4)
		for _, part := range []parts.Part{flags, p.Base} {
			keys := keysTried(sc.Remedies("thin-wall", part, &p, &at))
			require.Equal(t, c.moved, slices.Contains(keys, "walker.at"), "%v mm in: %v", c.in, keys)
		}
		require.Equal(t, c.moved, slices.ContainsFunc(sc.Remedies("hair", flags, &p, &at), func(r parts.Remedy) bool { return r.Part == "walker" }))
	}
	// First away from the edge and toward it, and where the piece lies, not from the origin.
	at := sdf.V(0, -29, 4)
	for _, r := range sc.Remedies("thin-wall", p.Base, &p, &at) {
		if r.Key == "at" {
			require.Equal(t, [2]float64{50, 39}, r.Tries[0][0].Value)
			require.Equal(t, [2]float64{50, 41}, r.Tries[1][0].Value)
		}
	}
}

// A stand that is no good where it lies is moved; a base without one is given one.
func TestRemediesMoveAStand(t *testing.T) {
	s, _, _, _, _ := advisedSite()
	for _, key := range []string{"walker.stand", "walker.stand[0].at"} {
		sc := assembled(t, s)
		p := sc.Pieces()[0]
		at := sdf.V(5, 3, 10)
		require.Contains(t, keysTried(sc.Remedies("rough-stand", p.Base, &p, &at)), key)
		if len(p.Base.Stands) > 0 {
			require.Contains(t, keysTried(sc.Remedies("stand-level", p.Base, &p, &at)), key)
		}
		p.Base.Stands = []base.Stand{{At: r2.Vec{X: 4, Y: 3}, Round: 8, Clear: 40}}
	}
}

// What a part is already is no advice: a solid stair or deck is not made solid, and a
// solid deck no thicker.
func TestRemediesLeaveOutWhatIsSo(t *testing.T) {
	s, _, _, stair, deck := advisedSite()
	sc := &Scene{site: s}
	keys := func(check string, p parts.Part) []string { return keysTried(sc.Remedies(check, p, nil, nil)) }
	for _, c := range parts.InspectionChecks() {
		require.NotContains(t, keys(c.Word, stair), "steps.side", c.Word)
		require.NotContains(t, keys(c.Word, stair), "steps.waist", c.Word)
		require.NotContains(t, keys(c.Word, deck), "terrace.on", c.Word)
		require.NotContains(t, keys(c.Word, deck), "terrace.thickness", c.Word)
		for _, r := range sc.Remedies(c.Word, stair, nil, nil) {
			require.NotContains(t, r.Words, "solid", c.Word)
		}
	}
	stair.Side, deck.On = "open", "piers"
	sc = &Scene{site: s.With(s.Parts)}
	require.Contains(t, keys("thin-wall", stair), "steps.side")
	require.Contains(t, keys("thin-pin", stair), "steps.waist")
	require.Contains(t, keys("bridge", deck), "terrace.on")
	require.Contains(t, keys("thin-wall", deck), "terrace.thickness")
}

// Of what is tried for any check no value is the one that is there, nor out of the key's
// range.
func TestRemediesOfEveryKind(t *testing.T) {
	s, _, _, _, _ := advisedSite()
	s.Parts = append(s.Parts, &spill.Spill{Named: parts.Named{Name: "debris"}, From: "hit", Exponent: 2.5, Sherds: 0.3, Seed: 1},
		&crater.Gouge{Named: parts.Named{Name: "scar"}, From: &r2.Vec{X: 30, Y: 30}, To: &r2.Vec{X: 40, Y: 34}, Width: 3, Depth: 1, Roughness: 0.5, Seed: 1},
		&trim.Trim{Named: parts.Named{Name: "cut"}, Through: &r2.Vec{X: 90, Y: 40}, Facing: new(180.0)})
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	tried := 0
	for _, c := range parts.InspectionChecks() {
		for _, part := range append(slices.Clone(s.Parts), nil) {
			for _, at := range []*r3.Vec{nil, {X: 9, Z: 4}, {Y: -29, Z: 4}} {
				all := sc.Remedies(c.Word, part, &p, at)
				for _, r := range all {
					for _, try := range r.Tries {
						tried++
						for _, m := range try {
							if m.Part == "" {
								continue
							}
							requireTryable(t, s.Find(m.Part), m)
						}
					}
				}
			}
		}
	}
	require.Greater(t, tried, 500)
}

func TestHandyNumbers(t *testing.T) {
	for v, want := range map[float64]float64{3.24: 3.2, 2.916: 2.9, 0.4444: 0.44, 0.04567: 0.046, 18.06: 18.1, 123.44: 123.4, 0: 0, 0.00123: 0.001} {
		require.InDelta(t, want, parts.Handy(v), 1e-12, "%v", v)
	}
}

// requireTryable holds the value of a move to be another than the part has, and within
// the range of its key.
func requireTryable(t *testing.T, p parts.Part, m parts.Move) {
	t.Helper()
	for _, k := range parts.KindOfPart(p).Keys() {
		if k.Word != m.Key {
			continue
		}
		if v := reflect.Indirect(reflect.ValueOf(p).Elem().FieldByIndex(k.Index)); v.IsValid() && v.Comparable() {
			require.NotEqual(t, v.Interface(), m.Value, "%+v", m)
		}
		if v, ok := m.Value.(float64); ok {
			require.True(t, k.Min == nil || v >= *k.Min, "%+v", m)
			require.True(t, k.Max == nil || v <= *k.Max, "%+v", m)
		}
	}
}
