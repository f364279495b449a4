package scenes

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// yardTold is a scene at 1:100, heights drawn half as tall again, with levels told
// from each other in any order.
const yardTold = `[scale]
ratio = 100
exaggerate = 1.5
[levels]
gantry = "track + 1 m"
roof = "gantry+2.5 m"
pit = "track - 2"
bay-2 = "track"
lip = "bay-2 - 6 in"
track = 4
[ground]
size = [80, 60]
level = -60
[[deck]]
name = "top"
level = "gantry - 0.5"
area = { rect = [0, 30, 80, 60] }
`

// A height told from a level is that level's, and what is added or taken: a plain
// number in mm on the print, a full size by the scale and as heights are exaggerated.
func TestLevelsToldFromAnother(t *testing.T) {
	for _, c := range []struct {
		sets []string
		want map[string]float64
		deck float64
	}{
		{nil, map[string]float64{"track": 4, "gantry": 19, "roof": 56.5, "pit": 2, "bay-2": 4, "lip": 4 - 1.524*1.5}, 18.5},
		{[]string{"levels.track=6"}, map[string]float64{"track": 6, "gantry": 21, "roof": 58.5, "pit": 4, "bay-2": 6, "lip": 6 - 1.524*1.5}, 20.5},
		{[]string{"levels.gantry=track + 2", "levels.track=0.5 m"}, map[string]float64{"track": 7.5, "gantry": 9.5, "roof": 47, "pit": 5.5, "bay-2": 7.5, "lip": 7.5 - 1.524*1.5}, 9},
		{[]string{`levels.pit="track-2"`, "levels.pit=lip"}, map[string]float64{"track": 4, "gantry": 19, "roof": 56.5, "pit": 4 - 1.524*1.5, "bay-2": 4, "lip": 4 - 1.524*1.5}, 18.5},
	} {
		s, err := Read("yard.toml", []byte(yardTold), c.sets)
		require.NoError(t, err)
		require.Len(t, s.Site.Levels, len(c.want))
		for word, h := range c.want {
			require.InDelta(t, h, s.Site.Levels[word], 1e-12, "%s with %v", word, c.sets)
		}
		require.Contains(t, fmt.Sprintf("%+v", s.Site.Find("top")), fmt.Sprintf("Level:{Name: Height:%g}", c.deck))
	}
}

// What is told from a level follows in a variant and in what a sweep tries, and a
// comparison names the level that was changed alone.
func TestToldLevelsFollow(t *testing.T) {
	text := yardTold + "[[variant]]\nname = \"flood\"\nset = { \"levels.track\" = 5, \"levels.lip\" = \"track + 1\" }\n"
	s, err := Read("yard.toml", []byte(text), nil)
	require.NoError(t, err)
	flood, err := s.Variant("flood")
	require.NoError(t, err)
	require.InDelta(t, 20, flood.Site.Levels["gantry"], 1e-12)
	require.InDelta(t, 6, flood.Site.Levels["lip"], 1e-12)
	require.InDelta(t, 4, s.Site.Levels["track"], 0)
	var paths []string
	for _, d := range Differences(s, flood) {
		paths = append(paths, d.Path)
	}
	require.Equal(t, []string{"levels.lip", "levels.track"}, paths)

	sweep, err := ReadSweep([]string{"levels.gantry=track + 1 m;track + 2 m;9"})
	require.NoError(t, err)
	require.NoError(t, sweep.Check(s))
	var heights []float64
	for _, c := range sweep.Combinations() {
		tried, err := s.With(c.Sets)
		require.NoError(t, err)
		heights = append(heights, tried.Site.Levels["roof"])
	}
	require.InDeltaSlice(t, []float64{56.5, 71.5, 46.5}, heights, 1e-12)
}

// A chain of as many levels as there may be is read, from either end; rings of every
// length are told once, whoever leads into them.
func TestChainsAndRingsOfLevels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(t, "levels")
		ring := rapid.IntRange(0, n-1).Draw(t, "ring") // of the first so many; 0 for none
		lines := make([]string, n)
		for i := range lines {
			from := i - 1
			if i == 0 {
				from = ring - 1
			}
			lines[i] = fmt.Sprintf("l%d = \"l%d + 1\"", i, from)
			if from < 0 {
				lines[i] = "l0 = 2"
			}
		}
		order := rapid.Permutation(lines).Draw(t, "order")
		s, err := Read("chain.toml", []byte("[scale]\nratio = 100\n[levels]\n"+strings.Join(order, "\n")+"\n"), nil)
		if ring == 0 {
			require.NoError(t, err)
			require.InDelta(t, float64(n+1), s.Site.Levels[fmt.Sprintf("l%d", n-1)], 1e-12)
			return
		}
		faults, ok := err.(*Faults)
		require.True(t, ok)
		require.Len(t, faults.List, 1, "%v", err)
		require.Contains(t, faults.List[0].Text, "depends on itself")
		require.Equal(t, ring-1, strings.Count(faults.List[0].Text, `"l`)-1, "all the others of the ring")
	})
	lines := make([]string, maxLevels)
	for i := range lines {
		lines[i] = fmt.Sprintf("l%d = \"l%d + 0.5\"", i, i+1)
	}
	lines[maxLevels-1] = fmt.Sprintf("l%d = 0", maxLevels-1)
	s, err := Read("long.toml", []byte("[scale]\nratio = 100\n[levels]\n"+strings.Join(lines, "\n")+"\n"), nil)
	require.NoError(t, err)
	require.InDelta(t, (maxLevels-1)*0.5, s.Site.Levels["l0"], 1e-9)
}

// The schema takes what the reader takes as a height, and no other text.
func TestSchemaAgreesOnToldLevels(t *testing.T) {
	s := compiled(t)
	for text, ok := range map[string]bool{
		"track": true, "track + 1 m": true, "track+1": true, "track - .5": true, "track -7 3/4 in": true,
		"bay-2 + 6 ft 8 in": true, " track + 2. ": true, "3 m": true, "-3 m": true,
		"track -": false, "track + -1 m": false, "track + 1 fathom": false, "+ 1 m": false, "track + 1 m + 2": false,
		"1 m + track": false, "track + nan": false, "track * 2": false, "": false,
	} {
		scene := strings.Replace(yardTold, `"gantry - 0.5"`, fmt.Sprintf("%q", text), 1)
		_, err := Read("x.toml", []byte(scene), nil)
		require.Equal(t, ok, err == nil, "%q as a level: %v", text, err)
		require.Equal(t, ok, s.Validate(asJSON(t, scene)) == nil, "%q as a level, by the schema", text)
		scene = strings.Replace(yardTold, `"track - 2"`, fmt.Sprintf("%q", text), 1)
		_, err = Read("x.toml", []byte(scene), nil)
		require.Equal(t, ok, err == nil, "%q in [levels]: %v", text, err)
		require.Equal(t, ok, s.Validate(asJSON(t, scene)) == nil, "%q in [levels], by the schema", text)
	}
}
