package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/scenes"
)

// fixedLists are lists that are always as long, or hold no more than a few words, and
// those of the command line that can be given no more than bases or values there are.
var fixedLists = []string{
	"trim.line",                                                               // two points
	"storey.area.polygon", "storey.opening.area.polygon", "roof.area.polygon", // rectangles alone
	"inspect.severity",             // a key for each check
	"--base", "--focus", "--spare", // names that there are in the scene
	"--view", "--format",
}

// TestEveryCountIsSwept sees to it that whatever a scene may have many of is in the sweep:
// each kind of part, each count and each list among its keys, the scene's own lists, and
// the flags that may be repeated.
func TestEveryCountIsSwept(t *testing.T) {
	swept := map[string]bool{}
	for _, g := range growths() {
		assert.False(t, swept[g.of], "%s is swept twice", g.of)
		swept[g.of] = true
	}
	want := map[string]bool{"--set": true}
	type keyed struct {
		Key  string
		Type parts.Type
		Keys []json.RawMessage
	}
	var walk func(path string, keys []json.RawMessage)
	walk = func(path string, keys []json.RawMessage) {
		for _, text := range keys {
			var k keyed
			require.NoError(t, json.Unmarshal(text, &k))
			at := path + "." + k.Key
			switch k.Type {
			case parts.Count, parts.Points, parts.Refs, parts.Numbers, parts.Tables:
				want[at] = true
			case parts.Lengths: // of an area: three or four
				assert.Contains(t, []string{"rect", "round", "oval"}, k.Key, "%s is a list of lengths of any length: sweep it", at)
			case parts.Table:
				if len(k.Keys) == 0 || k.Key == "severity" {
					want[at] = true
				}
			}
			walk(at, k.Keys)
		}
	}
	text, err := scenes.CatalogueJSON("")
	require.NoError(t, err)
	var all []struct {
		Kind string
		Once bool
		Keys []json.RawMessage
	}
	require.NoError(t, json.Unmarshal(text, &all))
	for _, e := range all {
		if !e.Once || len(e.Keys) == 0 { // levels are keys of any name
			want[e.Kind] = true
		}
		walk(e.Kind, e.Keys)
	}
	var flags func(*cobra.Command)
	flags = func(c *cobra.Command) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if strings.HasSuffix(f.Value.Type(), "Array") || strings.HasSuffix(f.Value.Type(), "Slice") {
				want["--"+f.Name] = true
			}
		})
		for _, sub := range c.Commands() {
			flags(sub)
		}
	}
	flags(newRoot(streams{}))
	for of := range want {
		assert.True(t, swept[of] || slices.Contains(fixedLists, of), "%s is in no sweep: add it to growths", of)
	}
	for of := range swept {
		assert.True(t, want[of], "%s is swept, but there is no such list", of)
	}
}

// TestOneMoreIsRefused holds every list to its limit: what is longer is refused while the
// scene is read, at its place.
func TestOneMoreIsRefused(t *testing.T) {
	for _, g := range growths() {
		if g.args != nil {
			continue
		}
		t.Run(g.of, func(t *testing.T) {
			_, err := scenes.Read("s.toml", []byte(g.text(g.most+1)), nil)
			var faults *scenes.Faults
			require.True(t, errors.As(err, &faults), "%d of %s are read: %v", g.most+1, g.of, err)
			place := faults.List[0]
			assert.Equal(t, "s.toml", place.File)
			assert.Greater(t, place.Line, 1, "%v", place)
		})
	}
}

// TestNarrowedDamageIsLimited refuses damage that each spares another part: every part
// would carry a list of all damage of its own.
func TestNarrowedDamageIsLimited(t *testing.T) {
	scene := func(n int) string {
		return each(func(i int, x, y, wide float64) string {
			return fmt.Sprintf("[[deck]]\nname = \"d%d\"\nlevel = 6\narea = { rect = [%.4f, %.4f, 0.4, 0.4] }\n[[crater]]\nat = [%.4f, %.4f]\ndiameter = 2\nspares = [\"d%d\"]\n", i, x, y, x, y, i)
		})(n)
	}
	_, err := scenes.Read("s.toml", []byte(growth{scene: scene}.text(1100)), nil)
	var faults *scenes.Faults
	require.ErrorAs(t, err, &faults)
	require.Contains(t, faults.List[0].Text, "make more than 909 different groups of parts")
	require.Greater(t, faults.List[0].Line, 1)
	_, err = scenes.Read("s.toml", []byte(growth{scene: scene}.text(100)), nil)
	require.NoError(t, err)
}

// TestManyFaultsAreOnlyCounted reads what has far more faults than are listed, all in one
// line: beyond a limit they are not worked out.
func TestManyFaultsAreOnlyCounted(t *testing.T) {
	var set strings.Builder
	for i := range 16_000 {
		fmt.Fprintf(&set, "%q = 3, ", fmt.Sprintf("crater.c%d.depth", i))
	}
	text := growth{scene: func(int) string {
		return "[[crater]]\nname = \"hit\"\nat = [60, 60]\ndiameter = 20\n[[variant]]\nname = \"v\"\nset = { " + strings.TrimSuffix(set.String(), ", ") + " }\n"
	}}.text(1)
	_, err := scenes.Read("s.toml", []byte(text), nil)
	var faults *scenes.Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults.List, 201, "two hundred changes that lead nowhere, and that there are more")
	require.Zero(t, faults.More)
}
