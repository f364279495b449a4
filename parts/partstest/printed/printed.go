package printed

import (
	"context"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/out/inspect"
	"socle/out/inspect/raster"
	"socle/sdf"
	"socle/sdf/mesh"
)

// The grid that a part is sliced at, as a typical resin printer has it, and the smallest
// island that an inspection tells, mm and mm2: the defaults of [printer] and [inspect].
const (
	pixel, layer = 0.05, 0.05
	leastIsland  = 0.05
)

// deep is how far a floor goes down, mm: below all that is let into it.
const deep = 2

// Flat is a floor at z = 0 under a box.
func Flat(box r3.Box) sdf.Field {
	return sdf.BoxBetween(sdf.V(box.Min.X, box.Min.Y, -deep), sdf.V(box.Max.X, box.Max.Y, 0))
}

// Uneven is a floor under a box that rises and falls by up to some 0.4 mm about z = -0.2:
// a thing that stands on z = 0 rests on its humps, or is let into them.
func Uneven(box r3.Box) sdf.Field {
	rough := sdf.Displace(sdf.HalfSpace(sdf.V(0, 0, 1), -0.2), sdf.NewNoise(7, 3, 1), 0.4)
	return sdf.Intersection(rough, sdf.BoxBetween(sdf.V(box.Min.X, box.Min.Y, -deep), sdf.V(box.Max.X, box.Max.Y, 1)))
}

// Hanging are the places where a part on a floor begins in the air, or stands out over it
// by more than ledge, mm: islands that an inspection tells, ledges and spans. cell is that
// of the mesh, mm.
func Hanging(t require.TestingT, part, floor sdf.Field, cell, ledge float64) []inspect.Finding {
	ctx := context.Background()
	solid, err := mesh.Build(ctx, sdf.Union(part, floor), mesh.Options{Cell: cell, Tolerance: cell / 20, KeepLoose: true})
	require.NoError(t, err)
	r, err := raster.Slice(ctx, solid.Vertices, solid.Triangles, raster.Grid{Pixel: pixel, Layer: layer})
	require.NoError(t, err)
	found, err := inspect.Unsupported(ctx, r, ledge)
	require.NoError(t, err)
	var hanging []inspect.Finding
	for _, f := range found {
		if f.Kind != inspect.Island || f.Value >= leastIsland {
			hanging = append(hanging, f)
		}
	}
	return hanging
}

// RequireNothingHangs says that a part begins nowhere in the air, on an even floor and on
// an uneven one, and stands out over nothing by more than ledge, mm.
func RequireNothingHangs(t require.TestingT, part sdf.Field, cell, ledge float64) {
	box := part.Bounds()
	box.Min, box.Max = r3.Add(box.Min, sdf.V(-0.5, -0.5, 0)), r3.Add(box.Max, sdf.V(0.5, 0.5, 0))
	require.Empty(t, Hanging(t, part, Flat(box), cell, ledge), "on an even floor")
	require.Empty(t, Hanging(t, part, Uneven(box), cell, ledge), "on an uneven floor")
}
