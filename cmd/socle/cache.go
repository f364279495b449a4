package main

import (
	"context"

	"socle/out/store"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// cache keeps pieces that were made, each by what can reach it.
type cache struct{ store *store.Store }

// openPieces opens the cache; nil where it is off.
func openPieces() (*cache, error) {
	s, err := openCache()
	if s == nil || err != nil {
		return nil, err
	}
	return &cache{s}, nil
}

// keeping gives a maker that takes what it has made before from the cache, and else
// has it made, drawn unless draws is nil, and keeps it. What has no key is always made.
func (c *cache) keeping(s *scene, do maker, fineness resolution, draws *artist) maker {
	return guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		key, err := s.solidKey(ctx, p, fineness.options())
		if err != nil {
			return draws.after(do)(ctx, p, progress)
		}
		m, kept := c.solid(key)
		if !kept {
			if m = do(ctx, p, progress); m.err == nil {
				c.keep(key, func() ([]byte, error) { return encodeSolid(m) })
			}
		}
		if m.err == nil && draws != nil {
			var drawn bool
			m.look, drawn, m.err = c.look(ctx, key, p, m, draws)
			kept = kept && drawn
		}
		m.kept = kept
		return m
	})
}

// solid gives the solid of a key with its inspection, if it is there.
func (c *cache) solid(key sdf.Digest) (meshed, bool) {
	data, ok := c.store.Get(store.Key(key))
	if !ok {
		return meshed{}, false
	}
	m, err := decodeSolid(data)
	return m, err == nil
}

// look gives what is drawn of a piece, and whether it was there.
func (c *cache) look(ctx context.Context, solid sdf.Digest, p *assembly.Piece, m meshed, draws *artist) (*look, bool, error) {
	key, err := draws.lookKey(solid)
	if err != nil {
		l, err := draws.draw(ctx, p, m)
		return l, false, err
	}
	if l, ok := c.drawn(key); ok {
		return l, true, nil
	}
	l, err := draws.draw(ctx, p, m)
	if err == nil {
		c.keep(key, func() ([]byte, error) { return encodeLook(l) })
	}
	return l, false, err
}

// drawn gives what was drawn, by its key, if it is there.
func (c *cache) drawn(key sdf.Digest) (*look, bool) {
	data, ok := c.store.Get(store.Key(key))
	if !ok {
		return nil, false
	}
	l, err := decodeLook(data)
	return l, err == nil
}

// keep puts a record into the cache. What cannot be kept is made again next time, and
// that is all.
func (c *cache) keep(key sdf.Digest, encode func() ([]byte, error)) {
	if data, err := encode(); err == nil {
		_ = c.store.Put(store.Key(key), data)
	}
}

// keepingThumbs gives a maker of pieces that are only to be seen, as draws draws them,
// meshed with options and not inspected.
func (c *cache) keepingThumbs(s *scene, options func(*assembly.Piece) mesh.Options, draws *artist) maker {
	do := draws.after(func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		return meshPiece(ctx, p, options(p), progress)
	})
	if c == nil {
		return do
	}
	return guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		key, err := s.solidKey(ctx, p, options(p))
		if err == nil {
			key, err = draws.lookKey(key)
		}
		if err != nil {
			return do(ctx, p, progress)
		}
		if l, ok := c.drawn(key); ok {
			return meshed{look: l, kept: true}
		}
		m := do(ctx, p, progress)
		if m.err == nil {
			c.keep(key, func() ([]byte, error) { return encodeLook(m.look) })
		}
		return m
	})
}
