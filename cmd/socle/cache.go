package main

import (
	"context"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/mesh"
)

// keeping gives a maker that takes what was made before from the cache of the set, and
// else has it made, drawn unless draws is nil, and keeps it. What has no key is always made.
func (s *Set) keeping(do maker, draws *artist) maker {
	return guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		key, err := s.solidKey(ctx, p, s.meshOptions(p))
		if err != nil {
			return drawing(do, draws)(ctx, p, progress)
		}
		m, kept := s.keptSolid(key)
		if !kept {
			if m = do(ctx, p, progress); m.err == nil {
				s.cache.Keep(key, func() ([]byte, error) { return encodeSolid(m) })
			}
		}
		if m.err == nil && draws != nil {
			var drawn bool
			m.look, drawn, m.err = s.keptOrDrawn(ctx, key, p, m, draws)
			kept = kept && drawn
		}
		m.kept = kept
		return m
	})
}

// keptSolid gives the solid of a key with its inspection, if it is in the cache.
func (s *Set) keptSolid(key sdf.Digest) (meshed, bool) {
	data, ok := s.cache.Find(key)
	if !ok {
		return meshed{}, false
	}
	m, err := decodeSolid(data)
	return m, err == nil
}

// keptOrDrawn gives what is drawn of a piece, and whether it was in the cache.
func (s *Set) keptOrDrawn(ctx context.Context, solid sdf.Digest, p *parts.Piece, m meshed, draws *artist) (*look, bool, error) {
	key, err := lookKey(draws, solid)
	if err != nil {
		l, err := m.drawn(ctx, p, draws)
		return l, false, err
	}
	if l, ok := s.keptLook(key); ok {
		return l, true, nil
	}
	l, err := m.drawn(ctx, p, draws)
	if err == nil {
		s.cache.Keep(key, func() ([]byte, error) { return encodeLook(l) })
	}
	return l, false, err
}

// keptLook gives what was drawn, by its key, if it is in the cache.
func (s *Set) keptLook(key sdf.Digest) (*look, bool) {
	data, ok := s.cache.Find(key)
	if !ok {
		return nil, false
	}
	l, err := decodeLook(data)
	return l, err == nil
}

// LookMaker gives a maker of pieces that are only to be seen, as draws draws them: meshed
// in cells of so many mm, and not inspected.
func (s *Set) LookMaker(cell func(*parts.Piece) float64, draws *artist) maker {
	options := func(p *parts.Piece) mesh.Options { return optionsFor(p, mesh.Options{Cell: cell(p)}) }
	do := drawing(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		return meshPiece(ctx, p, options(p), progress)
	}, draws)
	return guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		if s.cache == nil {
			return do(ctx, p, progress)
		}
		key, err := s.solidKey(ctx, p, options(p))
		if err == nil {
			key, err = lookKey(draws, key)
		}
		if err != nil {
			return do(ctx, p, progress)
		}
		if l, ok := s.keptLook(key); ok {
			return meshed{look: l, kept: true}
		}
		m := do(ctx, p, progress)
		if m.err == nil {
			s.cache.Keep(key, func() ([]byte, error) { return encodeLook(m.look) })
		}
		return m
	})
}
