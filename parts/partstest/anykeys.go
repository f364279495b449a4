package partstest

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// RequireAnyKeysBuild holds kinds to what all of them promise: whatever their keys are within
// their ranges, what Check accepts builds, and its field is that of a solid: small, and nowhere
// without a value. Of 80 parts of each kind at least so many are accepted.
func RequireAnyKeysBuild(t *testing.T, accepted int, words ...string) {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 7))
	for _, word := range words {
		built := 0
		for range 80 {
			p := anyKeys(rng, word)
			s := Quarry([]float64{28, 56, 285}[rng.IntN(3)], 1, p)
			if rng.IntN(2) == 0 { // a filament printer
				s.Print = parts.Print{Pin: 2, Wall: 1.2, Gap: 0.6, Relief: 0.6}
			}
			if len(p.(parts.Checker).Check(s)) > 0 {
				continue
			}
			built++
			f := p.(parts.Solider).Solid(s)
			box := f.Bounds()
			require.Less(t, r3.Norm(r3.Sub(box.Max, box.Min)), 1000.0, "%s %+v", word, p)
			require.Positive(t, box.Max.Z-box.Min.Z, "%s %+v", word, p)
			p.(parts.Planner).Plan(s)
			for range 50 {
				d := f.Value(sdf.V(60*rng.Float64()-15, 50*rng.Float64()-10, 40*rng.Float64()))
				require.False(t, math.IsNaN(d) || math.IsInf(d, 0), "%s %+v", word, p)
			}
		}
		require.GreaterOrEqual(t, built, accepted, word)
	}
}

// anyKeys is a part of a kind with any values within the ranges of its keys, a few cm large:
// small ones more often than large ones.
func anyKeys(rng *rand.Rand, word string) parts.Part {
	p := parts.KindOf(word).New()
	v := reflect.ValueOf(p).Elem()
	for _, k := range parts.KeysOf(v.Type()) {
		f := v.FieldByIndex(k.Index)
		switch {
		case k.Type == parts.Points && k.Required:
			f.Set(reflect.ValueOf([]r2.Vec{{}, {X: 1 + 30*rng.Float64()}, {X: 12, Y: 20 * rng.Float64()}}))
		case k.Type == parts.Points && k.Word == "at":
			f.Set(reflect.ValueOf([]r2.Vec{{X: 3, Y: 4}}))
		case k.Type == parts.LevelRef && k.Word == "level" && k.Optional:
			f.Set(reflect.ValueOf(&parts.Level{Height: 2}))
		case k.Optional:
		case k.GoType == reflect.TypeFor[parts.Area]():
			f.Set(reflect.ValueOf(parts.Area{Rect: []float64{5, 5, 6 + 40*rng.Float64(), 6 + 30*rng.Float64()}, Turn: 360 * rng.Float64()}))
		case k.Type == parts.LevelRef:
			f.Set(reflect.ValueOf(parts.Level{Height: 40 * rng.Float64()}))
		case k.Type == parts.Word:
			f.SetString(k.Words[rng.IntN(len(k.Words))])
		case k.Type == parts.Facing:
			f.SetFloat(360 * rng.Float64())
		case k.Type == parts.Size:
			f.Set(reflect.ValueOf([2]float64{4 * rng.Float64(), 4 * rng.Float64()}))
		case f.Kind() == reflect.Float64 && k.Min != nil && k.Max != nil:
			top := math.Min(*k.Max, *k.Min+20*rng.Float64())
			f.SetFloat(*k.Min + (top-*k.Min)*rng.Float64()*rng.Float64())
		}
	}
	p.SetLabel("any")
	return p
}
