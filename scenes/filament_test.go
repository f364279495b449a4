package scenes

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/assembly"
)

// everyKind are the names of shipped scenes that have every kind of part between them, as
// few as do.
func everyKind(t *testing.T) (names []string) {
	kinds := map[string]map[string]bool{}
	for _, name := range Shipped() {
		text, err := Open(name)
		require.NoError(t, err)
		s, err := Read(name, text, nil)
		require.NoError(t, err)
		kinds[name] = map[string]bool{}
		for _, p := range s.Site.Parts {
			kinds[name][parts.WordOf(p)] = true
		}
	}
	for len(kinds) > 0 {
		most := ""
		for _, name := range Shipped() {
			if len(kinds[name]) > len(kinds[most]) {
				most = name
			}
		}
		if most == "" {
			break
		}
		names = append(names, most)
		for word := range kinds[most] {
			for _, left := range kinds {
				delete(left, word)
			}
		}
	}
	return names
}

// TestShippedScenesOnFilament: every scene that ships, and the starter, is read for a
// filament printer as well, in all its variants. Those that have every kind of part
// between them are put together: what is thinner than such a printer's least sizes is
// thickened with a note, and is no fault.
func TestShippedScenesOnFilament(t *testing.T) {
	t.Parallel()
	const file = "[printer]\nprocess = \"filament\"\nnozzle = 0.4\n"
	whole := append(everyKind(t), "starter")
	texts := map[string][]byte{"starter": Starter()}
	for _, name := range Shipped() {
		text, err := Open(name)
		require.NoError(t, err)
		texts[name] = text
	}
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		text := texts[name]
		sets := []string{"printer.process=filament"}
		if name == "starter" {
			sets = nil // it says how large a pixel is, which no filament printer has
		} else {
			s, err := Read(name+".toml", text, sets)
			require.NoError(t, err, name)
			require.Equal(t, parts.Print{Pin: 3, Wall: 1.2, Gap: 0.6, Relief: 0.6}, s.Site.Print, name)
		}
		s, err := Read(name+".toml", text, nil, On(NewPrinter("mine.toml", []byte(file))))
		require.NoError(t, err, name)
		for _, v := range s.Variants {
			of, err := s.Variant(v.Name)
			require.NoError(t, err, "%s: %s", name, v.Name)
			require.Equal(t, 3.0, of.Site.Print.Pin)
		}
		if !slices.Contains(whole, name) {
			continue
		}
		made, err := assembly.Assemble(s.Site)
		require.NoError(t, err, name)
		require.NotEmpty(t, made.Pieces())
		require.NotEmpty(t, made.Notes(), "%s: rails and posts are thickened", name)
	}
}
