package scenes

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/scenes/syntax"
)

func TestCatalogueListsEveryPart(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Catalogue(&b, ""))
	for _, k := range parts.Kinds() {
		require.Regexp(t, `(?m)^  `+k.Word+` +\S`, b.String())
	}
	for line := range strings.Lines(b.String()) {
		require.LessOrEqual(t, len([]rune(line)), pageWidth+1, line)
		require.Equal(t, strings.TrimRight(line, " \n")+"\n", line)
	}
}

func TestCatalogueTellsOfEveryKey(t *testing.T) {
	for _, k := range parts.Kinds() {
		var b bytes.Buffer
		require.NoError(t, Catalogue(&b, k.Word))
		flat := strings.Join(strings.Fields(b.String()), " ")
		for _, key := range k.Keys() {
			require.Regexp(t, `(?m)^ +`+key.Word+` `, b.String(), k.Word)
			require.Contains(t, flat, key.Doc)
			require.Contains(t, flat, key.Source)
			require.Contains(t, flat, key.Default)
		}
	}
}

func TestCatalogueJSON(t *testing.T) {
	text, err := CatalogueJSON("")
	require.NoError(t, err)
	var all []entry
	require.NoError(t, json.Unmarshal(text, &all))
	byWord := map[string]entry{}
	for _, e := range all {
		byWord[e.Word] = e
	}
	for _, k := range parts.Kinds() {
		require.Equal(t, k.Doc, byWord[k.Word].Doc)
		require.Len(t, byWord[k.Word].Keys, len(k.Keys()))
	}
}

func TestCatalogueOfNothing(t *testing.T) {
	require.ErrorContains(t, Catalogue(&bytes.Buffer{}, "stiar"), `Did you mean "stair"?`)
	_, err := CatalogueJSON("stiar")
	require.ErrorContains(t, err, `Did you mean "stair"?`)
}

// TestDefaults checks that every default of every key can be read and lies in
// the key's range at some common scale. A default in full size may leave the
// range at another; it is then brought into it and noted.
func TestDefaults(t *testing.T) {
	for _, k := range parts.Kinds() {
		requireDefaults(t, k.Word, k.Keys())
	}
	for _, own := range ownTables {
		requireDefaults(t, own.word, own.keys)
	}
}

func requireDefaults(t *testing.T, kind string, keys []parts.Key) {
	t.Helper()
	src := syntax.NewSource("defaults", "", 0)
	for _, k := range keys {
		requireDefaults(t, kind+"."+k.Word, k.Sub)
		if k.Default == "" {
			require.Empty(t, k.Filament, "%s.%s", kind, k.Word)
			continue
		}
		require.False(t, k.Optional || k.Required, "%s.%s: a default that never comes in", kind, k.Word)
		within := false
		for _, ratio := range []float64{28, 56, 72, 100, 285} {
			site := &parts.Site{Scale: parts.Scale{Ratio: ratio, Exaggerate: 1}, Levels: map[string]float64{}}
			faults := &Faults{}
			d := &decoder{faults: faults, site: site, scene: &Scene{}, scaled: true}
			s := slot{owner: &owner{what: kind}, key: k, path: k.Word, assumed: true}
			dst := reflect.New(k.GoType).Elem()
			require.True(t, d.value(s, defaultNode(k, src.Span(0, 0)), dst), "%s.%s: default %q: %v", kind, k.Word, k.Default, faults.List)
			within = within || len(site.Notes()) == 0
		}
		require.True(t, within, "%s.%s: default %q is out of range at every scale", kind, k.Word, k.Default)
	}
}
