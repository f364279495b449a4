package piece

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/out/store"
	"socle/scenes"
)

// TestCacheGivesWhatIsMade: over edits by chance, what comes out of the cache is what is
// made anew, bit by bit: the solids, what the inspection found, and the pictures.
func TestCacheGivesWhatIsMade(t *testing.T) {
	t.Setenv("SOCLE_CACHE", t.TempDir())
	c, err := cache.Open()
	require.NoError(t, err)
	require.NotNil(t, c)
	yard, err := os.ReadFile("../../socle/testdata/cache-yard.toml")
	require.NoError(t, err)
	kept, made := 0, 0
	edits := rapid.Custom(func(t *rapid.T) (sets []string) {
		for range rapid.IntRange(0, 2).Draw(t, "edits") {
			sets = append(sets, cacheEdit(t))
		}
		return sets
	})
	const draws = 7 // each is built twice
	for draw := range draws {
		sets := edits.Example(draw)
		read, err := scenes.Read("yard.toml", yard, sets)
		if err != nil {
			t.Log(sets, err) // an edit on top of another that it does not go with
			continue
		}
		var results [2][]Result
		for i, from := range []*cache.Cache{nil, c} {
			s := set.New("yard", read)
			s.Cache = from
			cell, tolerance := 0.7, 0.05
			require.NoError(t, s.Settle(&set.Options{Setting: set.SettingDraft, Cell: &cell, Tolerance: &tolerance}))
			set, err := s.Cut(nil)
			require.NoError(t, err)
			var renderer *look.Renderer
			if draw%8 == 0 {
				renderer = &look.Renderer{Set: set, Views: []string{look.ViewLifeSize}}
			}
			maker := MakerFor(set, renderer)
			err = Produce(context.Background(), set.Pieces, maker, func(int, float64) {}, func(_ int, m Result) error {
				results[i] = append(results[i], m)
				return nil
			})
			require.NoError(t, err)
		}
		require.Len(t, results[1], len(results[0]))
		for i := range results[0] {
			anew, warm := results[0][i], results[1][i]
			require.NoError(t, anew.Err)
			require.NoError(t, warm.Err)
			require.Equal(t, anew.Solid.Mesh, warm.Solid.Mesh)
			require.Equal(t, anew.Solid.Proof, warm.Solid.Proof)
			require.Equal(t, anew.Solid.Crumbs, warm.Solid.Crumbs)
			require.JSONEq(t, inJSON(t, anew.Inspection), inJSON(t, warm.Inspection))
			if anew.Drawn != nil {
				require.Equal(t, anew.Drawn.Thumb, warm.Drawn.Thumb)
				require.Equal(t, anew.Drawn.Life, warm.Drawn.Life)
			}
			if warm.Kept {
				kept++
			} else {
				made++
			}
		}
	}
	t.Logf("%d taken from the cache, %d made", kept, made)
	require.Positive(t, kept)
	require.Positive(t, made)
}

func inJSON(t require.TestingT, i *inspection.Inspection) string {
	text, err := json.Marshal(record(i))
	require.NoError(t, err)
	return string(text)
}

// TestShippedPiecesHaveKeys: nothing that is shipped is of what has no digest, and each
// piece has a key of its own.
func TestShippedPiecesHaveKeys(t *testing.T) {
	known := map[store.Key]string{}
	for _, name := range scenes.Shipped() {
		s, err := set.Open(t.Context(), strings.NewReader(""), name, set.Selection{})
		require.NoError(t, err)
		require.NoError(t, s.Settle(&set.Options{Setting: set.SettingDraft}))
		set, err := s.Cut(nil)
		require.NoError(t, err)
		for i := range set.Pieces {
			key, err := Key(t.Context(), set, &set.Pieces[i], nil)
			require.NoError(t, err)
			require.Empty(t, known[store.Key(key)])
			known[store.Key(key)] = name + " " + set.Pieces[i].Name
		}
	}
}

// cacheEdit draws one change of the yard.
func cacheEdit(t *rapid.T) string {
	spot := func() string {
		return fmt.Sprintf("[%v, %v]", rapid.SampledFrom([]float64{8, 20, 34, 50, 78, 95, 110}).Draw(t, "x"), rapid.SampledFrom([]float64{8, 20, 42}).Draw(t, "y"))
	}
	pick := func(values ...string) string { return rapid.SampledFrom(values).Draw(t, "value") }
	switch rapid.IntRange(0, 9).Draw(t, "edit") {
	case 0:
		return "crater.hit.at=" + spot()
	case 1:
		return "crater.other.at=" + spot()
	case 2:
		return "crater.other.diameter=" + pick("4", "8", "12")
	case 3:
		return "crater.hit.seed=" + pick("1", "2")
	case 4:
		return "column.post.at=[" + spot() + "]"
	case 5:
		return "paving.flags.seed=" + pick("1", "2")
	case 6:
		return "spill.rubble.amount=" + pick("0.1", "0.3")
	case 7:
		return "levels.step=" + pick("5", "6")
	case 8:
		return "base.east.height=" + pick("4", "5")
	}
	return "printer.pin=" + pick("0.8", "1")
}
