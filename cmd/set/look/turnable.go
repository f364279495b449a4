package look

import (
	"context"

	"socle/out/decimate"
	"socle/out/page"
	"socle/out/picture"
)

// turnable is a base for the report, to be turned: with few triangles at once, since
// the solids of a whole set are kept until the report is written.
func turnable(ctx context.Context, m picture.Mesh) (*page.Solid, error) {
	tones := make([]uint8, len(m.Tones))
	for i, t := range m.Tones {
		tones[i] = uint8(t)
	}
	few, err := decimate.To(ctx, m.Vertices, m.Triangles, tones, page.MostTurned)
	return &page.Solid{Vertices: few.Vertices, Triangles: few.Triangles, Tones: few.Tones}, err
}
