package scenes

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/assembly"
)

// TestShippedScenesOnFilament: every scene that ships, and the starter is drawn
// for a filament printer as well, and read in all its variants: what is thinner
// than such a printer's least sizes is thickened with a note, and is no fault.
func TestShippedScenesOnFilament(t *testing.T) {
	const file = "[printer]\nprocess = \"filament\"\nnozzle = 0.4\n"
	texts := map[string][]byte{"starter": Starter()}
	for _, name := range Shipped() {
		text, err := Open(name)
		require.NoError(t, err)
		texts[name] = text
	}
	for name, text := range texts {
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
		made, err := assembly.Assemble(s.Site)
		require.NoError(t, err, name)
		require.NotEmpty(t, made.Pieces())
		require.NotEmpty(t, s.Site.Notes(), "%s: rails and posts are thickened", name)
	}
}
