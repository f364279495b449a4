package build

import (
	"context"

	"socle/cmd/set/look"
	"socle/sdf/mesh"
)

// What a build costs, s of one processor. Counted on a plain desktop of 2024 over bases
// of the shipped scenes and of a themed set; common practice, no source. Half or twice as
// much is well within what they are good for.
const (
	secondsOfWork    = 1e-5   // for each count of mesh.Work: meshing
	secondsOfGround  = 0.4e-3 // for each mm2 of a base's box: inspection
	secondsOfPicture = 1e-6   // for each pixel that is drawn
	picturesNearBy   = 3      // of stands, stairs and damage, as a base has them
)

// ProcessorSeconds counts the work of a build, s of one processor.
func (b *Build) ProcessorSeconds(ctx context.Context) (float64, error) {
	pixels := 0.0
	if a := b.Renderer(b.Set); a != nil {
		large := look.ThumbWidth * look.ThumbHeight
		for _, v := range look.Views() {
			switch {
			case !a.Draws(v) || v == look.ViewSet || v == look.ViewVariants:
			case v == look.ViewDetails:
				large += picturesNearBy * a.Size.X * a.Size.Y
			case v == look.ViewFindings: // printed over those that there are
			case v == look.ViewLifeSize: // small
			default:
				large += a.Size.X * a.Size.Y
			}
		}
		pixels = float64(large)
	}
	all := 0.0
	for i := range b.Set.Pieces {
		p := &b.Set.Pieces[i]
		work, err := mesh.Work(ctx, p.Field, b.Set.MeshOptions(p))
		if err != nil {
			return 0, err
		}
		one := work*secondsOfWork + (p.Box.Max.X-p.Box.Min.X)*(p.Box.Max.Y-p.Box.Min.Y)*secondsOfGround + pixels*secondsOfPicture
		if b.DrawsVariants() {
			coarser := variantCell(p) / b.Set.Resolution.Cell
			one += float64(len(b.Set.Read.Variants)) * (work*secondsOfWork/(coarser*coarser) + look.ThumbWidth*look.ThumbHeight*secondsOfPicture)
		}
		all += one
	}
	return all, nil
}
