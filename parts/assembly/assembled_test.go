package assembly

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/partstest"
)

func assembled(t *testing.T, s *parts.Site) *Scene {
	t.Helper()
	sc, err := Assemble(s)
	require.NoError(t, err)
	return sc
}

// onePiece builds the only base of a scene.
func onePiece(t *testing.T, s *parts.Site) Piece {
	t.Helper()
	pieces := assembled(t, s).Pieces()
	require.Len(t, pieces, 1)
	return pieces[0]
}

// sightsOf gives the first piece of a site with its sights.
func sightsOf(t *testing.T, s *parts.Site) (*Scene, Piece, map[string]parts.Sight) {
	t.Helper()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	return sc, p, partstest.SightsByName(t, sc.Sights(p))
}
