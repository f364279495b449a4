package fieldwork

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
)

// Whatever the keys are within their ranges, what Check accepts builds, and its field is that
// of a solid: inside its bounds, and nowhere without a value.
func TestAnyKeysBuild(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, word := range []string{"sandbags", "duckboards", "revetment", "stakes", "obstacle", "barricade", "trestle"} {
		built := 0
		for range 60 {
			p := parts.KindOf(word).New()
			v := reflect.ValueOf(p).Elem()
			for _, k := range parts.KeysOf(v.Type()) {
				f := v.FieldByIndex(k.Index)
				switch {
				case k.Word == "along" && f.Type() == reflect.TypeOf([]r2.Vec{}) && word != "stakes" && word != "obstacle" && word != "trestle":
					f.Set(reflect.ValueOf([]r2.Vec{{}, {X: 1 + 30*rng.Float64()}, {X: 12, Y: 20 * rng.Float64()}}))
				case k.Word == "at":
					f.Set(reflect.ValueOf([]r2.Vec{{X: 3, Y: 4}}))
				case k.Word == "level":
					f.Set(reflect.ValueOf(&parts.Level{Height: 2}))
				case k.Type == parts.Word:
					f.SetString(k.Words[rng.IntN(len(k.Words))])
				case f.Kind() == reflect.Float64 && k.Min != nil && k.Max != nil:
					top := math.Min(*k.Max, *k.Min+30*rng.Float64())
					f.SetFloat(*k.Min + (top-*k.Min)*rng.Float64()*rng.Float64())
				}
			}
			p.SetLabel("any")
			s := partstest.Quarry([]float64{28, 56, 285}[rng.IntN(3)], 1, p)
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
			require.Positive(t, box.Max.Z-2, "%s %+v", word, p)
			for range 50 {
				d := f.Value(sdf.V(60*rng.Float64()-15, 40*rng.Float64()-10, 20*rng.Float64()))
				require.False(t, math.IsNaN(d) || math.IsInf(d, 0), "%s %+v", word, p)
			}
		}
		require.Positive(t, built, word)
	}
}
