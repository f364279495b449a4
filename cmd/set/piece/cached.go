package piece

import (
	"context"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/parts"
	"socle/sdf"
	"socle/sdf/mesh"
)

// cached gives a maker that takes what was made before from the cache of the set, and
// else has it made, drawn unless draws is nil, and keeps it. What has no key is always made.
func cached(s *set.Set, do Maker, draws *look.Renderer) Maker {
	return Guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) Result {
		key, err := SolidKey(ctx, s, p, s.MeshOptions(p))
		if err != nil {
			return drawing(do, draws)(ctx, p, progress)
		}
		m, kept := keptSolid(s, key)
		if !kept {
			if m = do(ctx, p, progress); m.Err == nil {
				s.Cache.Keep(key, func() ([]byte, error) { return encodeSolid(m) })
			}
		}
		if m.Err == nil && draws != nil {
			var drawn bool
			m.Drawn, drawn, m.Err = keptOrDrawn(ctx, s, key, p, m, draws)
			kept = kept && drawn
		}
		m.Kept = kept
		return m
	})
}

// keptSolid gives the solid of a key with its inspection, if it is in the cache.
func keptSolid(s *set.Set, key sdf.Digest) (Result, bool) {
	data, ok := s.Cache.Find(key)
	if !ok {
		return Result{}, false
	}
	m, err := decodeSolid(data)
	return m, err == nil
}

// keptOrDrawn gives what is drawn of a piece, and whether it was in the cache.
func keptOrDrawn(ctx context.Context, s *set.Set, solid sdf.Digest, p *parts.Piece, m Result, draws *look.Renderer) (*look.Drawn, bool, error) {
	key, err := lookKey(draws, solid)
	if err != nil {
		l, err := m.drawnBy(ctx, p, draws)
		return l, false, err
	}
	if l, ok := keptLook(s, key); ok {
		return l, true, nil
	}
	l, err := m.drawnBy(ctx, p, draws)
	if err == nil {
		s.Cache.Keep(key, func() ([]byte, error) { return encodeLook(l) })
	}
	return l, false, err
}

// keptLook gives what was drawn, by its key, if it is in the cache.
func keptLook(s *set.Set, key sdf.Digest) (*look.Drawn, bool) {
	data, ok := s.Cache.Find(key)
	if !ok {
		return nil, false
	}
	l, err := decodeLook(data)
	return l, err == nil
}

// SketchMaker gives a maker of pieces that are only to be seen, as draws draws them: meshed
// in cells of so many mm, and not inspected.
func SketchMaker(s *set.Set, cell func(*parts.Piece) float64, draws *look.Renderer) Maker {
	options := func(p *parts.Piece) mesh.Options { return set.OptionsFor(p, mesh.Options{Cell: cell(p)}) }
	do := drawing(func(ctx context.Context, p *parts.Piece, progress func(float64)) Result {
		return meshPiece(ctx, p, options(p), progress)
	}, draws)
	return Guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) Result {
		if s.Cache == nil {
			return do(ctx, p, progress)
		}
		key, err := SolidKey(ctx, s, p, options(p))
		if err == nil {
			key, err = lookKey(draws, key)
		}
		if err != nil {
			return do(ctx, p, progress)
		}
		if l, ok := keptLook(s, key); ok {
			return Result{Drawn: l, Kept: true}
		}
		m := do(ctx, p, progress)
		if m.Err == nil {
			s.Cache.Keep(key, func() ([]byte, error) { return encodeLook(m.Drawn) })
		}
		return m
	})
}
