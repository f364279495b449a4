package scenes

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/assembly"
)

// everyKind are the names of shipped scenes that have every kind of part between them, as
// few as do.
func everyKind() (names []string) {
	kinds := map[string]map[string]bool{}
	for _, name := range Shipped() {
		text, _ := Open(name)
		s, err := Read(name, text, nil)
		if err != nil {
			panic(err)
		}
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

// filamentPrinter is a printer file.
const filamentPrinter = "[printer]\nprocess = \"filament\"\nnozzle = 0.4\n"

// made is a scene that is read, and put together.
type made struct {
	read *Scene
	*assembly.Scene
}

// madeOnFilament are the scenes that have every kind of part between them, and the starter, put
// together for a filament printer: once, for all tests that look at them.
var madeOnFilament = sync.OnceValues(func() (all []made, err error) {
	for _, name := range append(everyKind(), "starter") {
		s, err := onFilament(name)
		if err != nil {
			return nil, err
		}
		whole, err := assembly.Assemble(s.Site)
		if err != nil {
			return nil, err
		}
		all = append(all, made{s, whole})
	}
	return all, nil
})

// onFilament reads a shipped scene or the starter for a filament printer.
func onFilament(name string) (*Scene, error) {
	text := Starter()
	if name != "starter" {
		var err error
		if text, err = Open(name); err != nil {
			return nil, err
		}
	}
	return Read(name+".toml", text, nil, On(NewPrinter("mine.toml", []byte(filamentPrinter))))
}

// TestShippedScenesOnFilament: every scene that ships, and the starter, is read for a
// filament printer as well, in all its variants. Those that have every kind of part
// between them are put together: what is thinner than such a printer's least sizes is
// thickened with a note, and is no fault.
func TestShippedScenesOnFilament(t *testing.T) {
	t.Parallel()
	for _, name := range append(Shipped(), "starter") {
		if name != "starter" { // it says how large a pixel is, which no filament printer has
			text, err := Open(name)
			require.NoError(t, err)
			s, err := Read(name+".toml", text, []string{"printer.process=filament"})
			require.NoError(t, err, name)
			require.Equal(t, parts.Print{Pin: 3, Wall: 1.2, Gap: 0.6, Relief: 0.6}, s.Site.Print, name)
		}
		s, err := onFilament(name)
		require.NoError(t, err, name)
		for _, v := range s.Variants {
			of, err := s.Variant(v.Name)
			require.NoError(t, err, "%s: %s", name, v.Name)
			require.Equal(t, 3.0, of.Site.Print.Pin)
		}
	}
	all, err := madeOnFilament()
	require.NoError(t, err)
	for _, m := range all {
		require.NotEmpty(t, m.Pieces())
		require.NotEmpty(t, m.Notes(), "%s: rails and posts are thickened", m.read.Site.Title)
	}
}
