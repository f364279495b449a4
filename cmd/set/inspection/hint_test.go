package inspection

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/parts"
)

// Every check has words where no part has a remedy.
func TestHintsOfEveryCheck(t *testing.T) {
	for _, c := range parts.InspectionChecks() {
		require.NotEmpty(t, generally[c.Word], c.Word)
		require.Equal(t, generally[c.Word], hint(c.Word, "", nil))
	}
}

// Values are written as a scene has them, those of another part with its name.
func TestHintsWriteValues(t *testing.T) {
	said := func(kind, part, key string, value any, more string) parts.Remedy {
		return parts.Remedy{Part: part, Value: &parts.Move{Kind: kind, Part: part, Key: key, Value: value}, Words: more}
	}
	for want, all := range map[string][]parts.Remedy{
		`surface = "flat"`: {said("ground", "ground", "surface", "flat", "")},
		`cracks = 0, hit: spall = 0, or chamfer = 0.4`: {
			said("crater", "g", "cracks", 0, ""), said("crater", "hit", "spall", 0, ""), {Words: ""}, said("base", "g", "chamfer", 0.4, ""),
		},
		`on = "piers", which leave a way out, or spares = ["a", "b"]`: {
			said("deck", "g", "on", "piers", "which leave a way out"), said("crater", "g", "spares", []string{"a", "b"}, ""),
		},
		`[inspect] neck = "thicken", which makes necks thicker`: {said("inspect", "", "neck", "thicken", "which makes necks thicker")},
		`less wear, or ground: a flatter bank`:                  {{Part: "g", Words: "less wear"}, {Part: "ground", Words: "a flatter bank"}},
	} {
		part := "g"
		if all[0].Part == "ground" {
			part = "ground"
		}
		require.Equal(t, want, hint("neck", part, all))
	}
}

// What the remedies of a scene say is never empty, and of a crater what it breaks off
// comes first.
func TestHintsOfAScene(t *testing.T) {
	opened, err := set.Open(t.Context(), nil, "../../socle/testdata/advise-pit.toml", set.Selection{})
	require.NoError(t, err)
	s, err := opened.Cut(nil)
	require.NoError(t, err)
	p, at := &s.Pieces[0], &r3.Vec{X: 3, Y: 1.5, Z: 4.6}
	for _, c := range parts.InspectionChecks() {
		for _, part := range append(s.Site.Parts, nil) {
			require.NotEmpty(t, hint(c.Word, p.Base.Name, s.Place.Remedies(c.Word, part, p, at)))
		}
	}
}
