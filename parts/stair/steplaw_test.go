package stair

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The worked examples of references.md section 1: arithmetic on the published
// limits named in stepLaws.
func TestStepLawWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		law                      string
		rise                     float64
		risers                   int
		riser, going, run, pitch float64
	}{
		{"utility", 2700, 15, 180.000, 270, 3780, 33.69},
		{"dwelling", 2600, 14, 185.714, 258.6, 3361.4, 35.69},
		{"general", 3000, 18, 166.667, 296.7, 5043.3, 29.33},
		{"private", 1000, 5, 200, 230, 920, 41.01},
	} {
		f := stepLawOf(c.law).choose(c.rise)
		require.Equal(t, c.risers, f.risers, c.law)
		require.InDelta(t, c.riser, f.riser, 0.0005, c.law)
		require.InDelta(t, c.going, f.going, 0.05, c.law)
		require.InDelta(t, c.run, f.run(), 0.05, c.law)
		require.InDelta(t, c.pitch, f.pitch(), 0.005, c.law)
		key, _, _ := stepLawOf(c.law).wrong(f)
		require.Empty(t, key, "%s: its own choice must be lawful", c.law)
	}
}

func TestStepLawPrivateStairPitch(t *testing.T) {
	l := stepLawOf("private")
	lo, _ := l.goingRange(220)
	require.InDelta(t, 244.3, lo, 0.05)
	key, text, _ := l.wrong(flight{10, 220, 220})
	require.Equal(t, "going", key)
	require.Contains(t, text, "45.0 degrees")
	key, _, _ = l.wrong(flight{10, 198.0, 220})
	require.Empty(t, key)
	key, _, _ = l.wrong(flight{10, 198.2, 220})
	require.Equal(t, "going", key)
}

func TestStepLawLimits(t *testing.T) {
	for _, c := range []struct {
		law                         string
		riser, going, stride, pitch float64
	}{
		{"dwelling", 196.85, 254, 647.7, 37.78},
		{"public", 177.8, 279.4, 635.0, 32.47},
		{"general", 170, 250, 590, 34.22},
		{"utility", 190, 250, 630, 37.23},
	} {
		l := stepLawOf(c.law)
		require.Equal(t, c.riser, l.riserMax)
		require.Equal(t, c.going, l.goingMin)
		f := flight{2, l.riserMax, l.goingMin}
		require.InDelta(t, c.stride, 2*f.riser+f.going, 0.05)
		require.InDelta(t, c.pitch, f.pitch(), 0.005)
		key, _, _ := l.wrong(f)
		require.Empty(t, key, "the limit itself is allowed: %s", c.law)
	}
	f := stepLawOf("comfort").choose(17 * 170)
	require.Equal(t, flight{17, 170, 290}, f, "the pair that meets all three rules")
	require.InDelta(t, 30.38, f.pitch(), 0.005)
}

// Rough rise 108 in, lower finish 3/4 in, upper finish 1/2 in.
func TestStepLawOverFinishes(t *testing.T) {
	rise := (108 - 0.75 + 0.5) * 25.4
	f := stepLawOf("dwelling").choose(rise)
	require.Equal(t, 14, f.risers)
	require.InDelta(t, 7.696, f.riser/25.4, 0.0005)
	require.InDelta(t, 195.5, f.riser, 0.05)
}

func TestStepLawAnyRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := stepLaws[rapid.IntRange(0, len(stepLaws)-1).Draw(t, "law")]
		rise := rapid.Float64Range(1, 60000).Draw(t, "rise")
		f := l.choose(rise)
		require.GreaterOrEqual(t, f.risers, 1)
		require.InDelta(t, rise, float64(f.risers)*f.riser, 1e-6)
		require.LessOrEqual(t, f.riser, l.riserMax+1e-6)
		require.False(t, math.IsNaN(f.going) || math.IsInf(f.going, 0))
		if rise >= 3000 { // tall enough that some equal division is lawful
			key, text, _ := l.wrong(f)
			require.Empty(t, key, text)
			if lo, hi := l.runs(rise); rise < 30000 && l.word != "free" {
				require.LessOrEqual(t, lo, f.run()+1e-6)
				require.GreaterOrEqual(t, hi, f.run()-1e-6)
				g, ok := l.fit(rise, f.run(), 0)
				require.True(t, ok, "its own run fits")
				require.LessOrEqual(t, math.Abs(2*g.riser+g.going-stride), math.Abs(2*f.riser+f.going-stride)+0.01*1000)
				require.InDelta(t, f.run(), g.run(), 1e-6)
			}
		}
	})
}

func TestStepLawFitsARun(t *testing.T) {
	// 2387 mm up within 3705 mm: 14 risers of 170.5 and goings of 285.
	f, ok := stepLawOf("comfort").fit(2387, 3705, 0)
	require.True(t, ok)
	require.Equal(t, 14, f.risers)
	require.InDelta(t, 285, f.going, 0.05)
	_, ok = stepLawOf("comfort").fit(2387, 1200, 0)
	require.False(t, ok, "far too steep")
}

func TestStepLawCoarser(t *testing.T) {
	f, changed := flight{14, 170, 290}.coarser(14*170, 400)
	require.True(t, changed)
	require.Equal(t, 5, f.risers)
	require.InDelta(t, 476, f.riser, 1e-9)
	require.InDelta(t, flight{14, 170, 290}.pitch(), f.pitch(), 1e-9)
	_, changed = flight{14, 170, 290}.coarser(14*170, 170)
	require.False(t, changed)
}
