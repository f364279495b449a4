package piece

import (
	"context"
	"image"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/look"
	"socle/out/picture"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// SolidKey tells what the solid of a piece and its inspection depend on, meshed with these
// options, as Set.MeshOptions or OptionsFor gives them. Pieces of one key are the same, bit by
// bit. It fails where a part has no digest.
func SolidKey(ctx context.Context, s *set.Set, p *assembly.Piece, o mesh.Options) (sdf.Digest, error) {
	tool, err := cache.Tool()
	if err != nil {
		return sdf.Digest{}, err
	}
	reach, err := mesh.Reach(ctx, p.Field, o)
	if err != nil {
		return sdf.Digest{}, err
	}
	around, err := s.Place.Digest(*p)
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		Tool          string
		Reach, Around sdf.Digest
	}{tool, reach, around})
}

// lookKey tells what a drawing of a piece depends on, which has the solid of a key.
func lookKey(a *look.Renderer, solid sdf.Digest) (sdf.Digest, error) {
	return sdf.DigestOf(struct {
		Solid     sdf.Digest
		Size      image.Point
		Views     []string
		Own       *picture.View
		PNG, Page bool
	}{solid, a.Size, a.Views, a.Own, a.Png, a.Page})
}

// sketchKey tells what a drawing from a look in cells of so many mm depends on: a look sees no
// more of the field than a mesh does.
func sketchKey(ctx context.Context, s *set.Set, p *assembly.Piece, cell float64, renderer *look.Renderer) (sdf.Digest, error) {
	solid, err := SolidKey(ctx, s, p, set.OptionsFor(p, mesh.Options{Cell: cell}))
	if err != nil {
		return sdf.Digest{}, err
	}
	drawn, err := lookKey(renderer, solid)
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct{ Sketch sdf.Digest }{drawn})
}

// Key tells what all of a piece depends on: its solid and, unless renderer is nil,
// what is drawn of it.
func Key(ctx context.Context, s *set.Set, p *assembly.Piece, renderer *look.Renderer) (sdf.Digest, error) {
	key, err := SolidKey(ctx, s, p, s.MeshOptions(p))
	if err == nil && renderer != nil {
		key, err = lookKey(renderer, key)
	}
	return key, err
}
