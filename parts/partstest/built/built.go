package built

import (
	"socle/parts"
	"socle/parts/assembly"
	"socle/sdf"
	"testing"

	"github.com/stretchr/testify/require"
)

func Assembled(t *testing.T, s *parts.Site) *assembly.Scene {
	t.Helper()
	sc, err := assembly.Assemble(s)
	require.NoError(t, err)
	return sc
}

// OnePiece builds the only base of a scene.
func OnePiece(t *testing.T, s *parts.Site) assembly.Piece {
	t.Helper()
	pieces := Assembled(t, s).Pieces()
	require.Len(t, pieces, 1)
	return pieces[0]
}

// StrokesOf gives a part's strokes of one kind of line.
func StrokesOf(p *assembly.Plan, part string, line parts.Line) []parts.Stroke {
	var out []parts.Stroke
	for _, s := range p.Strokes {
		if s.Part == part && s.Line == line {
			out = append(out, s)
		}
	}
	return out
}

func SightsOf(t *testing.T, s *parts.Site) (*assembly.Scene, assembly.Piece, map[string]parts.Sight) {
	t.Helper()
	sc := Assembled(t, s)
	p := sc.Pieces()[0]
	byName := map[string]parts.Sight{}
	for _, g := range sc.Sights(p) {
		require.NotContains(t, byName, g.Name)
		byName[g.Name] = g
	}
	return sc, p, byName
}

// Damaged is the whole scene after damage.
func Struck(s *parts.Site) sdf.Field {
	var work []parts.Part
	for _, p := range s.Parts {
		switch p.(type) {
		case parts.Solider, parts.Damager:
			work = append(work, p)
		}
	}
	sc, err := assembly.Assemble(s.With(work))
	if err != nil {
		panic(err)
	}
	return sc.Field
}
