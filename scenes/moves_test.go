package scenes

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/parts"
)

// requireSameOverrides holds that two trees have the same values at the same places of the same
// texts.
func requireSameOverrides(t require.TestingT, a, b []override) {
	require.Equal(t, len(a), len(b))
	var level func(n *node) *node
	level = func(n *node) *node {
		n = n.clone()
		n.key.src, n.at.src = nil, nil
		for i := range n.items {
			n.items[i] = level(n.items[i])
		}
		for word := range n.fields {
			n.fields[word] = level(n.fields[word])
		}
		return n
	}
	for i := range a {
		require.Equal(t, a[i].at.src.text, b[i].at.src.text)
		require.Equal(t, [2]int{a[i].at.start, a[i].at.end}, [2]int{b[i].at.start, b[i].at.end})
		require.Equal(t, level(a[i].value), level(b[i].value), a[i].at.src.text)
	}
}

// TestMovesAreTheirTexts: a move of any sort of value gives the tree that its text is
// read to, place by place.
func TestMovesAreTheirTexts(t *testing.T) {
	size := rapid.OneOf(rapid.Float64Range(-500, 500), rapid.Map(rapid.IntRange(-40, 400), func(i int) float64 { return float64(i) / 2 }))
	pair := rapid.Custom(func(t *rapid.T) [2]float64 { return [2]float64{size.Draw(t, "x"), size.Draw(t, "y")} })
	name := rapid.StringMatching(nameForm.String())
	values := []*rapid.Generator[any]{
		size.AsAny(), rapid.IntRange(-5, 999).AsAny(), rapid.Uint64Range(0, 1<<63-1).AsAny(), name.AsAny(),
		rapid.SliceOfN(name, 0, 3).AsAny(), pair.AsAny(), rapid.SliceOfN(pair, 0, 3).AsAny(),
		rapid.Custom(func(t *rapid.T) []parts.Setting {
			s := []parts.Setting{{Key: "at", Value: pair.Draw(t, "at")}, {Key: "round", Value: size.Draw(t, "round")}}
			if rapid.Bool().Draw(t, "high") {
				s = append(s, parts.Setting{Key: "height", Value: size.Draw(t, "height")})
			}
			return s
		}).AsAny(),
	}
	seen := map[reflect.Type]bool{}
	rapid.Check(t, func(t *rapid.T) {
		var moves []parts.Move
		var texts []string
		for range rapid.IntRange(1, 3).Draw(t, "moves") {
			m := parts.Move{
				Part: name.Draw(t, "part"), Kind: rapid.SampledFrom([]string{"crater", "base", "ground", "inspect"}).Draw(t, "kind"),
				Key: name.Draw(t, "key"), Value: rapid.OneOf(values...).Draw(t, "value"),
			}
			moves, texts = append(moves, m), append(texts, MoveText(m))
			seen[reflect.TypeOf(m.Value)] = true
		}
		faults := &Faults{}
		read, given := readSets(texts, nil, faults), readSets(nil, moves, faults)
		require.Empty(t, faults.List)
		requireSameOverrides(t, read, given)
	})
	require.Len(t, seen, len(values))
}

// TestWithMoves: moves give the scene that their texts give, and the same faults.
func TestWithMoves(t *testing.T) {
	s, err := Read("quay.toml", []byte(quayVariants), nil)
	require.NoError(t, err)
	height := 2.5
	stair := func(key string, v any) parts.Move {
		return parts.Move{Part: "water-stair", Kind: "stair", Key: key, Value: v}
	}
	for _, moves := range [][]parts.Move{
		{stair("width", 30.0), stair("head", [2]float64{100, 95})},
		{stair("width", 12.5), stair("risers", 3), {Kind: "ground", Key: "seed", Value: uint64(12)}},
		{{Kind: "ground", Key: "surface", Value: "uneven"}},
		{{Part: "mole", Kind: "deck", Key: "area.polygon", Value: [][2]float64{{0, 95}, {220, 95}, {220, 160}}}},
		{{Part: "base-1", Kind: "base", Key: "stand", Value: []parts.Setting{{Key: "at", Value: [2]float64{}}, {Key: "round", Value: 20.0}, {Key: "height", Value: height}}}},
		{{Kind: "inspect", Key: "neck", Value: "thicken"}},
		{stair("widht", 30.0)}, {stair("width", "wide")}, {stair("head", [2]float64{1e6, 95})}, {stair("to", 1.0)}, {stair("side", []string{"solid"})},
		{{Part: "base-1", Kind: "base", Key: "stand", Value: []parts.Setting{{Key: "at", Value: [2]float64{}}, {Key: "round", Value: -2.0}}}},
	} {
		texts := []string{"seed=4"}
		for _, m := range moves {
			texts = append(texts, MoveText(m))
		}
		want, fault := s.With(texts)
		got, err := s.With(texts[:1], moves...)
		if fault != nil {
			require.EqualError(t, err, fault.Error())
			continue
		}
		require.NoError(t, err, texts)
		require.Equal(t, want.Site, got.Site)
		require.Equal(t, want.Described(), got.Described())
		require.Equal(t, Differences(s, want), Differences(s, got))
	}
}
