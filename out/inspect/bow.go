package inspect

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf/workers"
)

// Slab is a solid taken as a plate that may bow.
type Slab struct {
	Thickness float64 `json:"thickness"` // of the solid along an upright line, the median of many, mm
	Span      float64 `json:"span"`      // the furthest that its plan reaches across, mm
	Area      float64 `json:"area_mm2"`  // of its plan, mm2: that of all lines which meet it, each for its cell
}

// slabLines is how many upright lines a solid's box is looked at by, about: one a
// millimetre for the largest bases.
const slabLines = 20000

// Bow measures how thin and how wide the solid is, by upright lines on a square
// grid of about 20,000 cells over its box; what is empty under a roof does not
// count as thickness. It gives a Bow where it is thinner than so much over a span
// of more than so much: resin shrinks on the side last cured, and a thin wide
// slab bows (references.md section 10: under 2 mm at more than 60 across; common
// practice, no source).
func (x *Index) Bow(ctx context.Context, thinnest, widest float64) (Slab, []Finding, error) {
	lo, hi := x.extent()
	w, d := hi[0]-lo[0], hi[1]-lo[1]
	pitch := max(math.Sqrt(w*d/slabLines), max(w, d)/slabLines)
	if !(pitch > 0) {
		return Slab{}, nil, ctx.Err() // no plan at all
	}
	nx, ny := int(math.Ceil(w/pitch)), int(math.Ceil(d/pitch))
	rows := make([][]float64, ny)
	err := workers.ForEach(ctx, ny, func(_, j int) error {
		for i := range nx {
			l := x.levels(r2.Vec{X: lo[0] + w*(float64(i)+0.5)/float64(nx), Y: lo[1] + d*(float64(j)+0.5)/float64(ny)})
			thick := 0.0
			for n := 0; n+1 < len(l); n += 2 {
				thick += l[n+1].z - l[n].z
			}
			if len(l) > 0 {
				rows[j] = append(rows[j], thick)
			}
		}
		return nil
	})
	if err != nil {
		return Slab{}, nil, err
	}
	var all []float64
	for _, row := range rows {
		all = append(all, row...)
	}
	if len(all) == 0 {
		return Slab{}, nil, nil
	}
	slab := Slab{Thickness: median(all), Area: float64(len(all)) * w * d / float64(nx*ny)}
	plan := planHull(x.vertices, x.triangles, math.Inf(1))
	for i, p := range plan {
		for _, q := range plan[:i] {
			slab.Span = max(slab.Span, r2.Norm(r2.Sub(p, q)))
		}
	}
	var found []Finding
	if slab.Thickness < thinnest && slab.Span > widest {
		found = append(found, Finding{
			Kind: Bow, At: [3]float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2, lo[2]}, Size: [3]float64{w, d, hi[2] - lo[2]},
			Value: slab.Thickness, Limit: thinnest, Length: slab.Span,
		})
	}
	return slab, found, nil
}
