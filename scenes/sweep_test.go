package scenes

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/scenes/syntax"
)

func TestSpread(t *testing.T) {
	for _, c := range []struct{ spec, want string }{
		{"0.1:0.5:5", "0.1;0.2;0.3;0.4;0.5"},
		{"3:9:4", "3;5;7;9"},
		{"9:3:3", "9;6;3"},
		{"0:1:4", "0;0.3333;0.6667;1"},
		{"-1:1:3", "-1;0;1"},
		{"-1:2:3", "-1;0.5;2"},
		{"1:2:9", "1;1.125;1.25;1.375;1.5;1.625;1.75;1.875;2"},
		{"1e-3:3e-3:3", "0.001;0.002;0.003"},
		{"0.10:.3:3", "0.1;0.2;0.3"},
		{"100000:300000:3", "100000;200000;300000"},
		{"0:0.001:8", "0;0.0001429;0.0002857;0.0004286;0.0005714;0.0007143;0.0008571;0.001"},
		{"2 m:4 m:3", "2 m;3 m;4 m"},
		{`"2 m":"4 m":3`, "2 m;3 m;4 m"},
		{"'2m' : 4m : 5", "2 m;2.5 m;3 m;3.5 m;4 m"},
		{"6 ft:7 ft:2", "6 ft;7 ft"},
		{"[150, 60];[170, 60]", "[150, 60];[170, 60]"},
		{`"a;b";'c:d';e`, `"a;b";'c:d';e`},
		{"4", "4"},
		{"{ rect = [0, 0, 4, 3] } ; { round = [1, 2, 3] }", "{ rect = [0, 0, 4, 3] };{ round = [1, 2, 3] }"},
	} {
		s, err := ReadSweep([]string{" a.b = " + c.spec})
		require.NoError(t, err, c.spec)
		require.Equal(t, c.want, strings.Join(s.axes[0].values, ";"), c.spec)
		require.Equal(t, "a.b", s.axes[0].path)
	}
}

// TestSpreadIsEven: whatever the ends, each value is at its share between them, to a
// thousandth of the step, and reads as a number.
func TestSpreadIsEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.IntRange(0, 6).Draw(t, "places")
		ends := rapid.SliceOfNDistinct(rapid.IntRange(-1e7, 1e7), 2, 2, rapid.ID[int]).Draw(t, "ends")
		count := rapid.IntRange(2, MostCombinations).Draw(t, "count")
		scale := math.Pow10(places)
		from, to := float64(ends[0])/scale, float64(ends[1])/scale
		text := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
		values, err := evenValues(text(from), text(to), strconv.Itoa(count))
		require.NoError(t, err)
		require.Len(t, values, count)
		require.Equal(t, []string{text(from), text(to)}, []string{values[0], values[count-1]}, "the ends as they are")
		step := (to - from) / float64(count-1)
		for i, value := range values {
			v, err := strconv.ParseFloat(value, 64)
			require.NoError(t, err)
			require.InDelta(t, from+float64(i)*step, v, math.Abs(step)*1e-3, value)
			require.LessOrEqual(t, len(value), 24, "no noise of binary fractions")
		}
	})
}

func TestCombinations(t *testing.T) {
	s, err := ReadSweep([]string{"crater.hit.depth=4:6:2", "crater.hit.at=[150, 60];[170, 60]", `paving.apron.bond="running"`})
	require.NoError(t, err)
	require.Equal(t, []Combination{
		{[]string{"crater.hit.depth=4", "crater.hit.at=[150, 60]", `paving.apron.bond="running"`}, "depth 4, at [150, 60], bond running"},
		{[]string{"crater.hit.depth=4", "crater.hit.at=[170, 60]", `paving.apron.bond="running"`}, "depth 4, at [170, 60], bond running"},
		{[]string{"crater.hit.depth=6", "crater.hit.at=[150, 60]", `paving.apron.bond="running"`}, "depth 6, at [150, 60], bond running"},
		{[]string{"crater.hit.depth=6", "crater.hit.at=[170, 60]", `paving.apron.bond="running"`}, "depth 6, at [170, 60], bond running"},
	}, s.Combinations())
	s, err = ReadSweep([]string{"crater.hit.depth=4;6", "crater.miss.depth=2", "levels.quay=1 m;2 m"})
	require.NoError(t, err)
	require.Equal(t, "crater.hit.depth 4, crater.miss.depth 2, quay 1 m", s.Combinations()[0].Label)
	s, err = ReadSweep([]string{"a.b=1:8:8", "a.c=1:8:8"})
	require.NoError(t, err)
	require.Len(t, s.Combinations(), MostCombinations)
}

func TestFaultySweeps(t *testing.T) {
	for _, c := range []struct {
		args string // with | between them
		want string
	}{
		{"a.b", "no = between"},
		{"=3", "no path before"},
		{"a.b=", "no value after"},
		{"a.b=;", "an empty value"},
		{"a.b=3;;4", "an empty value"},
		{"a.b=3;4;3", `the value "3" twice`},
		{"a.b=[1, 2", "not closed"},
		{`a.b="x`, "not closed"},
		{"a.b=1]", "closes what is not open"},
		{"a.b=[1 2]", "allowed: "},
		{"a.b=3:9", "FROM:TO:COUNT"},
		{"a.b=3:9:4:2", "FROM:TO:COUNT"},
		{"a.b=3:9:4;5", "among other values"},
		{"a.b=3:9:1", "2 to 64"},
		{"a.b=3:9:65", "2 to 64"},
		{"a.b=3:9:4.5", "2 to 64"},
		{"a.b=3:x:4", `TO is "x"`},
		{"a.b=3:1e999999999:4", "TO is"},
		{"a.b=1e-999999999:3:4", "FROM is"},
		{"a.b=nan:inf:4", `FROM is "nan"`},
		{"a.b=::", "COUNT"},
		{"a.b=3:3.0:4", "both"},
		{"a.b=3 m:400 cm:4", "FROM is in m and TO in cm"},
		{"a.b=3 m:4:4", "FROM is in m and TO in no unit"},
		{"a.b=3 metres:4 metres:2", `did you mean "m"?`},
		{"a.b=1;2|a.b=3;4", "a.b is swept already"},
		{"a.b=1;2|a.b.c=3;4", "a.b is swept already"},
		{"a.b[0].c=1;2|a.b=3;4", "a.b[0].c is swept already"},
		{"a.b=1:8:8|a.c=1:9:9", "more than 64 combinations"},
		{"a.b=" + strings.Repeat("1;", 64) + "2", "65 values"},
	} {
		args := strings.Split(c.args, "|")
		_, err := ReadSweep(args)
		require.ErrorContains(t, err, c.want, c.args)
		require.ErrorContains(t, err, "sweep "+syntax.Quote(args[len(args)-1])+": ")
		require.ErrorContains(t, err, "allowed: ")
	}
	_, err := ReadSweep(nil)
	require.ErrorContains(t, err, "nothing to sweep")
	_, err = ReadSweep(make([]string, maxSets+1))
	require.ErrorContains(t, err, "200 at most")
}

func TestSweepIsCheckedAgainstAScene(t *testing.T) {
	s, err := Read("quay.toml", []byte(quayVariants), nil)
	require.NoError(t, err)
	check := func(args ...string) error {
		sweep, err := ReadSweep(args)
		require.NoError(t, err)
		return sweep.Check(s)
	}
	require.NoError(t, check("stair.water-stair.width=3;4", "levels.quay=1:2:2"))
	err = check("levels.quay=1:2:2", "  stair.water-stairs.width = 3;4")
	var faults *Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults.List, 1)
	f := faults.List[0]
	require.Equal(t, []any{"sweep", 2, 9, 12, "stair.water-stair.width"}, []any{f.File, f.Line, f.Column, f.Length, f.Nearest}, "%v", err)
	sweep, err := ReadSweep([]string{"stair.water-stair.width=3 m:4 m:3", "stair.water-stair.facing=north"})
	require.NoError(t, err)
	for _, c := range sweep.Combinations() {
		with, err := s.With(c.Sets)
		require.NoError(t, err)
		require.Equal(t, strings.Join(c.Sets, ", "), with.Described())
	}
}
