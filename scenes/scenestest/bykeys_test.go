package scenestest

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// without leaves the row of a kind out.
func without(word string) []row {
	return slices.DeleteFunc(slices.Clone(rows), func(r row) bool { return r.word == word })
}

// TestKindsAreDrawnApart: what is drawn of a kind does not change where another kind is
// left out, unless it names a part of that.
func TestKindsAreDrawnApart(t *testing.T) {
	t.Parallel()
	compared, named := 0, 0
	for seed := uint64(1); seed <= 8; seed++ {
		whole := Draw(seed)
		p := newPlot(seed)
		draw := func(r row, before *Drawn) []Block {
			s := &sketch{Rand: stream(seed, r.word, 0), plot: p, kind: r.word, before: before}
			s.many(2, 1, r.draw)
			return s.blocks
		}
		for _, left := range rows {
			less := *whole
			less.Blocks = slices.DeleteFunc(slices.Clone(whole.Blocks), func(b Block) bool { return b.kind == left.word })
			for _, r := range rows {
				all, some := draw(r, whole), draw(r, &less)
				switch {
				case r.word == left.word:
				case slices.ContainsFunc(all, func(b Block) bool { return strings.Contains(b.text, `"`+left.word+"-") }):
					named++
				default:
					require.Equal(t, all, some, "seed %d: %s without any %s", seed, r.word, left.word)
					compared++
				}
			}
		}
	}
	require.Greater(t, compared, 10*named)
	require.NotZero(t, named)
}

// TestNewKindsReplayOldSeeds: a kind that has no row is drawn all the same, by its keys,
// and leaves all else of a scene as it was without it.
func TestNewKindsReplayOldSeeds(t *testing.T) {
	t.Parallel()
	rowed := slices.DeleteFunc(slices.Clone(parts.Kinds()), func(o *parts.Kind) bool {
		return !slices.ContainsFunc(rows, func(r row) bool { return r.word == o.Word })
	})
	plain := map[uint64]*Drawn{} // the scenes of the kinds that have rows
	for _, k := range parts.Kinds() {
		if k.Word == "ground" || k.Word == "base" {
			continue // without which there is no scene
		}
		// The kinds that have rows, so that the work does not go by the square of the kinds.
		known := slices.DeleteFunc(slices.Clone(rowed), func(o *parts.Kind) bool { return o == k })
		drawnOf := 0
		for seed := uint64(1); seed <= 3 || drawnOf == 0 && seed <= 60; seed++ {
			with, old := drawKinds(seed, without(k.Word), append(slices.Clone(known), k)), plain[seed]
			if old == nil || len(known) < len(rowed) {
				old = drawKinds(seed, without(k.Word), known)
			}
			if len(known) == len(rowed) {
				plain[seed] = old
			}
			drawnOf += len(with.Of(k.Word))
			require.Equal(t, old.Text(), with.Without(k.Word))
		}
		require.NotZero(t, drawnOf, "no %s is drawn by its keys", k.Word)
	}
}
