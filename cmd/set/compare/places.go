package compare

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/workers"
)

const (
	// fewPlaces is how many places of a cube are not worth a simpler field.
	fewPlaces = 12
	// leastCube is the edge of the cubes that are not halved further, mm.
	leastCube = 1.0
	// sharedCubes is how many cubes are shared out among the processors, about.
	sharedCubes = 64
)

// cubeOfPlaces is a cube with the places in it, and a field that is the whole one there.
type cubeOfPlaces struct {
	box    r3.Box
	places []int32
	field  sdf.Field
}

// everyPlace calls do for every place, with a field that has the same values there as f
// has, and is cheaper: what is far is left out, cube by cube. The calls come from
// several goroutines. It ends early with the error of ctx.
func everyPlace(ctx context.Context, f sdf.Field, at []r3.Vec, do func(f sdf.Field, i int)) error {
	if len(at) == 0 {
		return ctx.Err()
	}
	root := cubeOfPlaces{box: r3.Box{Min: at[0], Max: at[0]}, field: f, places: make([]int32, len(at))}
	for i, p := range at {
		root.places[i] = int32(i)
		root.box.Min = r3.Vec{X: min(root.box.Min.X, p.X), Y: min(root.box.Min.Y, p.Y), Z: min(root.box.Min.Z, p.Z)}
		root.box.Max = r3.Vec{X: max(root.box.Max.X, p.X), Y: max(root.box.Max.Y, p.Y), Z: max(root.box.Max.Z, p.Z)}
	}
	level := []cubeOfPlaces{root}
	for round := 0; round < 4 && len(level) < sharedCubes; round++ {
		var next []cubeOfPlaces
		for _, c := range level {
			next = append(next, c.open(at)...)
		}
		level = next
	}
	return workers.ForEach(ctx, len(level), func(_, i int) error {
		level[i].descend(ctx, at, do)
		return nil
	})
}

// open parts a cube in eight, of which those with places are kept.
func (c *cubeOfPlaces) open(at []r3.Vec) []cubeOfPlaces {
	middle := r3.Scale(0.5, r3.Add(c.box.Min, c.box.Max))
	var sorted [8][]int32
	for _, i := range c.places {
		k, p := 0, at[i]
		if p.X >= middle.X {
			k |= 1
		}
		if p.Y >= middle.Y {
			k |= 2
		}
		if p.Z >= middle.Z {
			k |= 4
		}
		sorted[k] = append(sorted[k], i)
	}
	var out []cubeOfPlaces
	for k, places := range sorted {
		if len(places) == 0 {
			continue
		}
		box := r3.Box{Min: c.box.Min, Max: middle}
		if k&1 != 0 {
			box.Min.X, box.Max.X = middle.X, c.box.Max.X
		}
		if k&2 != 0 {
			box.Min.Y, box.Max.Y = middle.Y, c.box.Max.Y
		}
		if k&4 != 0 {
			box.Min.Z, box.Max.Z = middle.Z, c.box.Max.Z
		}
		part := cubeOfPlaces{box: box, places: places, field: c.field}
		if len(places) > fewPlaces {
			ball := sdf.BoxBall(box)
			ball.R += 1e-6 // what lies on its surface is within, rounded as it may be
			part.field = c.field.Prune(ball)
		}
		out = append(out, part)
	}
	return out
}

func (c *cubeOfPlaces) descend(ctx context.Context, at []r3.Vec, do func(f sdf.Field, i int)) {
	size := r3.Sub(c.box.Max, c.box.Min)
	if len(c.places) <= fewPlaces || math.Max(size.X, math.Max(size.Y, size.Z)) <= leastCube {
		for _, i := range c.places {
			do(c.field, int(i))
		}
		return
	}
	for _, part := range c.open(at) {
		if ctx.Err() != nil {
			return
		}
		part.descend(ctx, at, do)
	}
}
