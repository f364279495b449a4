package scenes_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/scenes"
	"socle/scenes/scenestest"
)

// requireKept checks what Keep promises of a text that reads and of sets that are
// sound, and gives what it kept.
func requireKept(t require.TestingT, text []byte, extends string, sets []string) []byte {
	before := bytes.Clone(text)
	kept, err := scenes.Keep(text, "kept", extends, sets)
	require.NoError(t, err, "%q", text)
	require.Equal(t, before, text, "the text that was given is left as it is")
	require.True(t, bytes.HasPrefix(kept, text), "all that stood there stays:\n%q\n%q", text, kept)
	added := kept[len(text):]
	crlf := bytes.Count(text, []byte("\r\n"))
	switch {
	case crlf == 0:
		require.NotContains(t, string(added), "\r", "%q", added)
	case crlf == bytes.Count(text, []byte("\n")):
		require.Equal(t, bytes.Count(added, []byte("\n")), bytes.Count(added, []byte("\r\n")), "%q", added)
	}

	s, err := scenes.Read("scene", text, nil)
	require.NoError(t, err)
	if extends != "" {
		s, err = s.Variant(extends)
		require.NoError(t, err)
	}
	want, err := s.With(sets)
	require.NoError(t, err)
	read, err := scenes.Read("scene", kept, nil)
	require.NoError(t, err)
	got, err := read.Variant("kept")
	require.NoError(t, err)
	require.Equal(t, want.Site, got.Site, "%s", added)

	again, err := scenes.Keep(kept, "KEPT", "", sets)
	require.ErrorContains(t, err, `has a variant "kept" already`)
	require.Nil(t, again)
	return kept
}

// endings are ways in which an author's file may end.
var endings = []string{
	"", "\n", "\n\n\n", "# the end", "\n# the end", "\n\t  ", "   ", "\n   # a\n#b\n \n", "\r\n", "\r\n\r\n", "\r\n# c\r\n",
	"\n[material]", "\n[material]\n", "\n[material] # of the set\r\n", "\n[[ground.sunk]]", "\n[inspect]\n\t", "\n[inspect.severity]\n# none",
}

// TestKeep: random scenes, in whatever shape their text is, with random changes. They are of few
// kinds: whatever a scene has, what is kept of it is text.
func TestKeep(t *testing.T) {
	t.Parallel()
	kinds := slices.DeleteFunc(slices.Clone(parts.Kinds()), func(k *parts.Kind) bool {
		return !slices.Contains([]string{"ground", "deck", "stair", "column", "paving", "rail", "crater", "base"}, k.Word)
	})
	var drawn []string
	for seed := uint64(1); seed <= 12; seed++ {
		drawn = append(drawn, scenestest.DrawOf(seed, kinds).Text())
	}
	extended, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(drawn).Draw(t, "scene")
		names := []string{""}
		s, err := scenes.Read("random.toml", []byte(text), nil)
		require.NoError(t, err)
		for _, v := range s.Variants {
			names = append(names, v.Name)
		}
		text += rapid.SampledFrom(endings).Draw(t, "ending")
		switch rapid.IntRange(0, 3).Draw(t, "line ends") {
		case 0:
			text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\n", "\r\n")
		case 1:
			text = strings.TrimRight(text, "\r\n")
		}
		if rapid.Bool().Draw(t, "mark") {
			text = "\uFEFF" + text
		}
		sets := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
			return rapid.SampledFrom(changesOf(text)).Draw(t, "change")
		}), 1, 5).Draw(t, "sets")
		extends := rapid.SampledFrom(names).Draw(t, "extends")
		if s, err = scenes.Read("scene", []byte(text), nil); err != nil {
			_, keepErr := scenes.Keep([]byte(text), "kept", extends, sets)
			require.Equal(t, err, keepErr)
			return
		}
		if extends != "" {
			extended++
			s, err = s.Variant(extends)
			require.NoError(t, err)
		}
		if _, err = s.With(sets); err != nil {
			_, keepErr := scenes.Keep([]byte(text), "kept", extends, sets)
			require.Equal(t, err, keepErr, "what With refuses, Keep does")
			return
		}
		requireKept(t, []byte(text), extends, sets)
		all++
	})
	require.Greater(t, all, 10)
	require.NotZero(t, extended)
}

// changesOf lists changes for a random scene, as --set texts of every form.
func changesOf(text string) []string {
	all := []string{
		"seed=7", "title=3", "title=A later  day", `title = "a \"quoted\"  # day"`, "title=true", "title='it''s'", "levels.low=1.25", "levels.high = 6 ",
		"scale.ratio=91", "scale.person=1.6 m", `scale.person="5 ft 9 in"`, "material.waste=0.2", "inspect.severity.overhang=note",
		"printer.layer=0.03 # finer", "ground.surface=even", "ground.size=[90, 80]", "nothing=1", "levels.low=x", "printer={ layer = 0.04 }",
	}
	for line := range strings.Lines(text) {
		name, ok := strings.CutPrefix(strings.TrimSpace(line), `name = "base-`)
		if number, _, _ := strings.Cut(name, `"`); ok {
			base := "base.base-" + number
			all = append(all, base+".turn=15", base+".level=high", base+".level=4", base+".rim=whole", base+".lift=0.4",
				base+".magnet=[{ disc = [4, 1], count = 2 }]", base+".magnet[0].disc=[3, 1]", base+".stand=[]")
		}
	}
	return all
}

// TestKeepAtOddEnds: each ending, with both line ends.
func TestKeepAtOddEnds(t *testing.T) {
	const text = "title = \"Weir\"\n[scale]\nratio = 56\n[levels]\nyard = 3\n[ground]\nsize = [80, 60]\nlevel = \"yard\"\n[[base]]\nname = \"scout\"\nround = 25"
	for _, ending := range append(endings, "\n[[base]]", "\n[[variant]]", "\r", "\n[[variant]]\nname = \"x\"\nset = { seed = 2 }", "\n[[variant]]\nname = \"x\"\nset.seed = 2\n[variant.set.levels]\n# none\n") {
		for _, old := range []string{"\n", "\r\n"} {
			whole := []byte(strings.ReplaceAll(text, "\n", old) + ending)
			if _, err := scenes.Read("scene", whole, nil); err != nil {
				kept, keepErr := scenes.Keep(whole, "kept", "", []string{"seed=2"})
				require.Equal(t, err, keepErr, "%q", ending)
				require.Nil(t, kept)
				continue
			}
			requireKept(t, whole, "", []string{"seed=2", "base.scout.rim=whole"})
		}
	}
}

// TestKeepWritesAsGiven: the very text, so that it looks like the author's own.
func TestKeepWritesAsGiven(t *testing.T) {
	const text = "[scale]\r\nratio = 56\r\n[ground]\r\nsize = [80, 60]\r\nlevel = 3 # mm\r\n[[base]]\r\nname = \"scout\"\r\nround = 25\r\n\r\n[[variant]]\r\nname = \"flood\"\r\nset.ground.level = 4"
	kept, err := scenes.Keep([]byte(text), "high-flood", "flood", []string{
		"base.scout.turn = 5", "ground.level=2 m", "title=2", "base.scout.turn=+7.50", "base.scout.at=[ 40,30 ]", "seed=1_000"})
	require.NoError(t, err)
	require.Equal(t, text+"\r\n\r\n[[variant]]\r\nname = \"high-flood\"\r\nextends = \"flood\"\r\n"+
		`set = { "ground.level" = "2 m", "title" = "2", "base.scout.turn" = +7.50, "base.scout.at" = [ 40,30 ], "seed" = 1_000 }`+"\r\n", string(kept))
}

func TestKeepRefuses(t *testing.T) {
	const text = "[scale]\nratio = 56\n[ground]\nsize = [80, 60]\nlevel = 3\n[[base]]\nname = \"scout\"\nround = 25\n"
	const list = "variant = [{ name = \"x\", set = { seed = 2 } }]\n"
	many := text
	for i := range 64 {
		many += fmt.Sprintf("[[variant]]\nname = \"v%d\"\nset = { seed = 2 }\n", i)
	}
	for _, c := range []struct {
		text, name, extends string
		sets                []string
		want                string
	}{
		{text, "a b", "", []string{"seed=2"}, `"a b" cannot be a name; did you mean "a-b"?`},
		{text, "", "", []string{"seed=2"}, `"" cannot be a name`},
		{text, "All", "", []string{"seed=2"}, `no variant can be called "All"`},
		{text, "con", "", []string{"seed=2"}, `"con" cannot be a name: some systems`},
		{text, "x\"\n[y]", "", []string{"seed=2"}, `cannot be a name`},
		{text, "as-it-is", "", []string{"seed=2"}, `no variant can be called "as-it-is"`},
		{text, "x", "", nil, "needs a change"},
		{text, "x", "y", []string{"seed=2"}, `no variant "y"`},
		{text, "x", "", []string{"sede=2"}, `did you mean "seed"?`},
		{text, "x", "", []string{"seed=two"}, `seed of the scene cannot be the text "two"`},
		{list + text, "y", "", []string{"seed=2"}, "the variants in line 1 are in a list"},
		{list + text, "X", "", []string{"seed=2"}, `has a variant "x" already`},
		{many, "x", "", []string{"seed=2"}, "more than 64 variants"},
		{"x\n", "x", "", []string{"seed=2"}, "no = between"},
	} {
		kept, err := scenes.Keep([]byte(c.text), c.name, c.extends, c.sets)
		require.ErrorContains(t, err, c.want, c.name)
		require.Nil(t, kept)
	}
}

// TestRandomVariants: a variant is the scene with its changes, the inherited ones
// first, as --set texts.
func TestRandomVariants(t *testing.T) {
	inherited := 0
	for seed := uint64(1); seed <= 24; seed++ {
		text := scenestest.Draw(seed).Text()
		s, err := scenes.Read("random.toml", []byte(text), nil)
		require.NoError(t, err)
		for _, v := range s.Variants {
			var sets []string
			for _, c := range s.Changes(v) {
				sets = append(sets, c.Path+"="+c.Value)
				if c.From != v.Name {
					inherited++
				}
			}
			got, err := s.Variant(v.Name)
			require.NoError(t, err)
			want, err := scenes.Read("random.toml", []byte(text), sets)
			require.NoError(t, err)
			require.Equal(t, want.Site, got.Site, "%s of\n%s", v.Name, text)
		}
	}
	require.Greater(t, inherited, 5)
}
