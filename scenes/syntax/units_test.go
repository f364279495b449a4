package syntax

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestQuantity(t *testing.T) {
	for _, c := range []struct {
		text string
		mm   float64
	}{
		{"180 mm", 180},
		{"180mm", 180},
		{"18 cm", 180},
		{"3.1 m", 3100},
		{" 3.1  m ", 3100},
		{"+2 m", 2000},
		{"-0.5 m", -500},
		{"-0 m", 0},
		{".5 m", 500},
		{"2. m", 2000},
		{"1e2 mm", 100},
		{"1 in", 25.4},       // exact: international inch, 1959
		{"12 ft", 3657.6},    // exact: international foot, 1959
		{"7 3/4 in", 196.85}, // references.md section 1: the dwelling's riser
		{"3/8 in", 9.525},    // the uniformity of the same code
		{"6 ft 8 in", 2032},  // its headroom, 2032
		{"5 ft 9 1/2 in", 1765.3},
	} {
		mm, _, err := ParseLength(c.text)
		require.NoError(t, err, c.text)
		require.InDelta(t, c.mm, mm, 1e-9, c.text)
		require.False(t, math.Signbit(mm) && mm == 0, "-0 from %q", c.text)
	}
	for text, near := range map[string]string{
		"": "", "m": "", "3": "", "3.1": "", "three m": "", "3 m 2": "", "3 m 20 cm": "", "2 in 3 ft": "",
		"1 ft 2 in 3 in": "", "3 kg": "", "3 m/s": "", "1/0 in": "", "1 1/0 in": "", "3 m -2 in": "", "1e999 m": "",
		"1_000 mm": "", "0x10 mm": "", "--3 m": "", "3 µm": "", "3 mm2": "", "∞ m": "", "NaN m": "", "inf m": "",
		"3 M": "3 m", "3 metres": "3 m", "12 feet": "12 ft", "12'": "12 ft", "7 inches": "7 in", "20 MM": "20 mm",
		"6 ft 8 inches": "",
	} {
		_, got, err := ParseLength(text)
		require.Error(t, err, text)
		require.Equal(t, near, got, text)
	}
}

// TestQuantityProperty: what is written with any unit is read back, and the
// schema's pattern takes the same texts.
func TestQuantityProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		u := rapid.SampledFrom(units).Draw(t, "unit")
		text := fmt.Sprintf("%g%s%s", v, rapid.SampledFrom([]string{"", " ", "  "}).Draw(t, "blank"), u.word)
		mm, _, err := ParseLength(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if math.Abs(mm-v*u.mm) > 1e-9*math.Abs(mm) {
			t.Fatalf("%q: %g mm", text, mm)
		}
	})
}
