package main

import (
	"context"

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

// guess counts the work of a build, s of one processor.
func (b *Build) guess(ctx context.Context) (float64, error) {
	pixels := 0.0
	if a := b.artist(b.Set); a != nil {
		large := thumbWidth * thumbHeight
		for _, v := range views() {
			switch {
			case !a.wants(v) || v == viewSet || v == viewVariants:
			case v == viewDetails:
				large += picturesNearBy * a.size.X * a.size.Y
			case v == viewFindings: // printed over those that there are
			default:
				large += a.size.X * a.size.Y
			}
		}
		pixels = float64(large)
	}
	all := 0.0
	for i := range b.Set.pieces {
		p := &b.Set.pieces[i]
		work, err := mesh.Work(ctx, p.Field, b.Set.meshOptions(p))
		if err != nil {
			return 0, err
		}
		one := work*secondsOfWork + (p.Box.Max.X-p.Box.Min.X)*(p.Box.Max.Y-p.Box.Min.Y)*secondsOfGround + pixels*secondsOfPicture
		if b.drawsVariants() {
			coarser := variantCell(p) / b.Set.resolution.cell
			one += float64(len(b.Set.read.Variants)) * (work*secondsOfWork/(coarser*coarser) + thumbWidth*thumbHeight*secondsOfPicture)
		}
		all += one
	}
	return all, nil
}
