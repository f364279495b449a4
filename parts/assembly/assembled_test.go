package assembly

import (
	"socle/parts"
	"socle/sdf"
	"testing"

	"github.com/stretchr/testify/require"
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

// strokesOf gives a part's strokes of one kind of line.
func strokesOf(p *Plan, part string, line parts.Line) []parts.Stroke {
	var out []parts.Stroke
	for _, s := range p.Strokes {
		if s.Part == part && s.Line == line {
			out = append(out, s)
		}
	}
	return out
}

func sightsOf(t *testing.T, s *parts.Site) (*Scene, Piece, map[string]parts.Sight) {
	t.Helper()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	byName := map[string]parts.Sight{}
	for _, g := range sc.Sights(p) {
		require.NotContains(t, byName, g.Name)
		byName[g.Name] = g
	}
	return sc, p, byName
}

// damaged is the whole scene after damage.
func damaged(s *parts.Site) sdf.Field {
	var work []parts.Part
	for _, p := range s.Parts {
		switch p.(type) {
		case parts.Solider, parts.Damager:
			work = append(work, p)
		}
	}
	sc, err := Assemble(s.With(work))
	if err != nil {
		panic(err)
	}
	return sc.Field
}
