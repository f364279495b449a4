package main

import (
	"context"
	"image"

	"socle/out/picture"
	"socle/parts"
	"socle/sdf"
	"socle/sdf/mesh"
)

// solidKey tells what the solid of a piece and its inspection depend on, meshed with these
// options, as meshOptions or optionsFor gives them. Pieces of one key are the same, bit by
// bit. It fails where a part has no digest.
func (s *Set) solidKey(ctx context.Context, p *parts.Piece, o mesh.Options) (sdf.Digest, error) {
	tool, err := thisTool()
	if err != nil {
		return sdf.Digest{}, err
	}
	reach, err := mesh.Reach(ctx, p.Field, o)
	if err != nil {
		return sdf.Digest{}, err
	}
	told, err := s.whole.Digest(*p)
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		Tool        string
		Reach, Told sdf.Digest
	}{tool, reach, told})
}

// lookKey tells what a drawing of a piece depends on, which has the solid of a key.
func lookKey(a *artist, solid sdf.Digest) (sdf.Digest, error) {
	return sdf.DigestOf(struct {
		Solid     sdf.Digest
		Size      image.Point
		Views     []string
		Own       *picture.View
		PNG, Page bool
	}{solid, a.size, a.views, a.own, a.png, a.page})
}

// pieceKey tells what all of a piece depends on: its solid and, unless draws is nil,
// what is drawn of it.
func (s *Set) pieceKey(ctx context.Context, p *parts.Piece, draws *artist) (sdf.Digest, error) {
	key, err := s.solidKey(ctx, p, s.meshOptions(p))
	if err == nil && draws != nil {
		key, err = lookKey(draws, key)
	}
	return key, err
}
