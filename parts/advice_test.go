package parts

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// keyExists says whether a kind has a key, "magnet.skin" within a table.
func keyExists(keys []Key, path string) bool {
	word, rest, within := strings.Cut(path, ".")
	for _, k := range keys {
		if k.Word == word {
			return !within || keyExists(k.Sub, rest)
		}
	}
	return false
}

func TestAdviceNamesKeysThatExist(t *testing.T) {
	checks := map[string]bool{}
	for check, change := range generally {
		require.NotEmpty(t, change, check)
		checks[check] = true
	}
	for word, table := range remedies {
		kind := KindOf(word)
		require.NotNil(t, kind, word)
		for check, r := range table {
			require.True(t, checks[check], "%s: no check is called %q", word, check)
			require.NotEmpty(t, r.change, "%s %s", word, check)
			if r.key != "" {
				require.True(t, keyExists(kind.Keys(), r.key), "%s has no key %q, named for %s", word, r.key, check)
			}
			part := kind.New()
			if b, ok := part.(*Base); ok {
				b.Underside = "hollow"
			}
			key, change := Advice(part, check)
			require.Equal(t, r.key, key)
			require.Equal(t, r.change, change)
		}
	}
	for check, r := range ofSolidBases {
		require.True(t, checks[check], check)
		require.True(t, keyExists(KindOf("base").Keys(), r.key), r.key)
		key, change := Advice(&Base{Underside: "solid"}, check)
		require.Equal(t, r, remedy{key, change})
	}
	require.False(t, keyExists(KindOf("base").Keys(), "magnet.colour"), "the test can fail")
	require.False(t, keyExists(KindOf("base").Keys(), "clearance"))
}

func TestAdviceOnEveryKindAndCheck(t *testing.T) {
	for _, kind := range Kinds() {
		if !strings.HasPrefix(kind.Word, "test-") {
			require.NotEmpty(t, remedies[kind.Word], "%s has advice of its own", kind.Word)
		}
		for _, c := range InspectionChecks() {
			_, known := generally[c.Word]
			require.True(t, known, "%s has a general answer", c.Word)
			_, change := Advice(kind.New(), c.Word)
			require.NotEmpty(t, change)
		}
	}
	key, change := Advice(nil, "thin-pin")
	require.Empty(t, key)
	require.Equal(t, generally["thin-pin"], change)
	_, change = Advice(KindOf("rail").New(), "no such check")
	require.NotEmpty(t, change)
}

// What the advice names of the printer and the inspection is there too.
func TestAdviceNamesTablesOfTheScene(t *testing.T) {
	printer, inspection := KeysOf(reflect.TypeFor[Printer]()), KeysOf(reflect.TypeFor[Inspection]())
	for _, word := range []string{"pin", "wall", "gap", "emboss", "engrave"} {
		require.True(t, keyExists(printer, word), word)
	}
	for _, word := range []string{"laid", "crumbs", "neck"} {
		require.True(t, keyExists(inspection, word), word)
	}
}
