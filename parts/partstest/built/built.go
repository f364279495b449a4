package built

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/partstest"
	"socle/sdf"
)

// Assembled puts a sound site together.
func Assembled(t *testing.T, s *parts.Site) *assembly.Scene {
	t.Helper()
	sc, err := assembly.Assemble(s)
	require.NoError(t, err)
	return sc
}

// Struck is the whole scene after damage, without spills and trims.
func Struck(s *parts.Site) sdf.Field {
	sc, err := assembly.Assemble(partstest.WorkAndDamage(s))
	if err != nil {
		panic(err)
	}
	return sc.Field
}
