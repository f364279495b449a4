package piece

import (
	"context"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/parts/assembly"
	"socle/sdf"
)

// cached gives a maker that takes what was made before from the cache of the set, and
// else has it made, drawn unless renderer is nil, and keeps it. What has no key is always made.
func cached(s *set.Set, maker Maker, renderer *look.Renderer) Maker {
	return Guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) Result {
		key, err := SolidKey(ctx, s, p, s.MeshOptions(p))
		if err != nil {
			return drawing(maker, renderer)(ctx, p, progress)
		}
		m, kept := keptSolid(s, key)
		if !kept {
			if m = maker(ctx, p, progress); m.Err == nil {
				s.Cache.Keep(key, func() ([]byte, error) { return encodeSolid(m) })
			}
		}
		if m.Err == nil && renderer != nil {
			var drawn bool
			m.Drawn, drawn, m.Err = keptOrDrawn(ctx, s, key, p, &m, renderer)
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
func keptOrDrawn(ctx context.Context, s *set.Set, solid sdf.Digest, p *assembly.Piece, m *Result, renderer *look.Renderer) (*look.Drawn, bool, error) {
	key, err := lookKey(renderer, solid)
	if err != nil {
		l, err := m.draw(ctx, p, renderer)
		return l, false, err
	}
	if l, ok := keptLook(s, key); ok {
		renderer.Tell(p, l)
		return l, true, nil
	}
	l, err := m.draw(ctx, p, renderer)
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

// SketchMaker gives a maker of pieces that are only to be seen, as renderer draws them from a
// look in cells of so many mm: nothing is meshed, proven or inspected.
func SketchMaker(s *set.Set, cell func(*assembly.Piece) float64, renderer *look.Renderer) Maker {
	sketch := func(ctx context.Context, p *assembly.Piece) Result {
		d, err := renderer.Sketch(ctx, p, cell(p))
		return Result{Drawn: d, Err: err}
	}
	return Guarded(func(ctx context.Context, p *assembly.Piece, _ func(float64)) Result {
		if s.Cache == nil {
			return sketch(ctx, p)
		}
		key, err := sketchKey(ctx, s, p, cell(p), renderer)
		if err != nil {
			return sketch(ctx, p)
		}
		if l, ok := keptLook(s, key); ok {
			return Result{Drawn: l, Kept: true}
		}
		m := sketch(ctx, p)
		if m.Err == nil {
			s.Cache.Keep(key, func() ([]byte, error) { return encodeLook(m.Drawn) })
		}
		return m
	})
}
