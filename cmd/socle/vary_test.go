package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"socle/cmd/set/vary"
	"socle/parts/assembly"
	"socle/parts/crater"
	"socle/scenes"
)

// varied runs vary in a folder and reads its document.
func varied(t *testing.T, dir string, args ...string) (doc struct {
	Tried []vary.Outcome `json:"tried"`
}) {
	r := runIn(t, dir, append([]string{"vary", "vary-yard.toml", "--json", "--quiet", "--cell", "1"}, args...)...)
	require.Zero(t, r.code, r.err)
	require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
	return doc
}

// A pit without rim, lumps, cracks and plates is a paraboloid: pi/8 d^2 h. Nothing
// stands over it that it would clear.
func TestVaryMeasuresAPlainPit(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	doc := varied(t, dir, "--base", "walker", "crater.hit.depth=0.5;1.5;9")
	require.Len(t, doc.Tried, 4)
	for i, depth := range []float64{1, 0.5, 1.5} {
		one := doc.Tried[i]
		assert.Equal(t, i, one.Number)
		require.Len(t, one.Bases, 1)
		want := math.Pi / 8 * 10 * 10 * depth
		assert.InEpsilon(t, want, one.Bases[0].Removed, 0.01, "depth %v", depth)
		// Seen from above it is as wide as over the chamfer: 24 less a tenth of the taper on both sides.
		assert.InDelta(t, math.Pi*25/(23.8*23.8), one.Bases[0].Touched, 0.003)
	}
	assert.Greater(t, doc.Tried[2].Total.Removed, doc.Tried[1].Total.Removed)
	assert.Contains(t, doc.Tried[3].Fault, "too deep")
	assert.Contains(t, doc.Tried[3].Fault, "at most 3.58 mm")
	assert.ElementsMatch(t, []string{"vary-yard-vary.png", "vary-yard-vary.json"}, filesIn(t, filepath.Join(dir, "build", "vary-yard-vary")))
}

// What a trial does not reach comes from the cache, and tells the same of it.
func TestVaryTakesWhatIsKept(t *testing.T) {
	keepIn(t)
	dir := testScene(t, "vary-yard.toml")
	args := []string{"vary", "vary-yard.toml", "--cell", "1", "crater.hit.depth=0.5;1.5", "--json"}
	first := runIn(t, dir, args...)
	require.Zero(t, first.code, first.err)
	again := runIn(t, dir, args...)
	require.Zero(t, again.code, again.err)
	assert.NotContains(t, again.err, ": proven (", "all of it was made before")
	assert.Contains(t, again.err, "proven before, and kept")
	assert.Equal(t, first.out, again.out)
}

func TestVaryThatCanMakeNothingIsAtFault(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	r := runIn(t, dir, "vary", "vary-yard.toml", "--base", "walker", "--cell", "1", "crater.hit.depth=9;9.5")
	assert.Equal(t, exitFaulty, r.code)
	assert.Contains(t, r.err, "none of these can be built")
	assert.Contains(t, r.out, "too deep")
}

func TestVaryLayoutsComeOutAlike(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	doc := varied(t, dir, "--layouts", "2", "--seed", "7", "--to", "a", "--spare", "scout")
	varied(t, dir, "--layouts", "2", "--seed", "7", "--to", "b", "--spare", "scout")
	for _, name := range []string{"vary-yard-vary.png", "vary-yard-vary.json"} {
		a, err := os.ReadFile(filepath.Join(dir, "a", name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(dir, "b", name))
		require.NoError(t, err)
		assert.True(t, bytes.Equal(a, b), name)
	}
	for _, one := range doc.Tried[1:] {
		for _, b := range one.Bases {
			assert.Equal(t, b.Name == "scout", b.Touched == 0, "%d: %s", one.Number, b.Name)
			assert.Equal(t, b.Name == "scout", b.Removed < 1e-6, "%d: %s", one.Number, b.Name)
		}
	}
	assert.LessOrEqual(t, doc.Tried[1].Score, doc.Tried[2].Score)
}

func TestVaryKeepsOne(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	path := filepath.Join(dir, "vary-yard.toml")
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for want, args := range map[string][]string{
		"--pick 1 to 3":       {"vary-yard.toml", "crater.hit.depth=1:2:3", "--keep", "deep"},
		"--pick 4: allowed":   {"vary-yard.toml", "crater.hit.depth=1:2:3", "--keep", "deep", "--pick", "4"},
		"shipped":             {"saltmere-quay", "crater.hit.depth=3;4", "--keep", "deep", "--pick", "1"},
		"standard input":      {"-", "crater.hit.depth=3;4", "--keep", "deep", "--pick", "1"},
		"cannot be combined":  {"vary-yard.toml", "crater.hit.depth=3;4", "--layouts", "2"},
		"nothing to vary":     {"vary-yard.toml"},
		"too deep":            {"vary-yard.toml", "crater.hit.depth=9", "--keep", "deep"},
		`no base "skout"`:     {"vary-yard.toml", "--layouts", "2", "--spare", "skout"},
		"need --layouts N":    {"vary-yard.toml", "crater.hit.depth=1;2", "--spare", "scout"},
		"more than 64 combin": {"vary-yard.toml", "crater.hit.depth=1:2:9", "crater.hit.seed=1:8:8"},
	} {
		r := runIn(t, dir, append([]string{"vary"}, args...)...)
		assert.Equal(t, exitFaulty, r.code, want)
		assert.Contains(t, r.err, want)
	}
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after)

	r := runIn(t, dir, "vary", "vary-yard.toml", "--layouts", "3", "--keep", "salvo", "--pick", "2")
	require.Zero(t, r.code, r.err)
	r = runIn(t, dir, "vary", "vary-yard.toml", "crater.hit.depth=1.2", "--variant", "salvo", "--keep", "deeper")
	require.Zero(t, r.code, r.err)
	after, err = os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(after, before), "the rest stays, byte for byte")
	assert.Contains(t, string(after), `extends = "salvo"`)
	assert.Equal(t, []string{"vary-yard.toml"}, filesIn(t, dir), "nothing is built")
	read, err := scenes.ReadFile(path, nil)
	require.NoError(t, err)
	deeper, err := read.Variant("deeper")
	require.NoError(t, err)
	hit := deeper.Site.Find("hit").(*crater.Crater)
	assert.Equal(t, 1.2, *hit.Depth)
	layouts, err := assembly.Layouts(read.Site, assembly.LayoutOptions{Count: 2, Seed: 1})
	require.NoError(t, err)
	assert.Equal(t, [2]float64{hit.At.X, hit.At.Y}, layouts[1].Moves[0].Value)
}
