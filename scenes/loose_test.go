package scenes_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/assembly"
	"socle/scenes"
	"socle/scenes/scenestest"
	"socle/sdf"
	"socle/sdf/mesh"
)

// TestLoosePiecesFaceOutward builds random scenes with every loose piece kept, at every
// cell from 0.1 to 2 mm, and measures each connected piece of surface by itself: all
// hold a volume above zero. SOCLE_LOOSE says how many, or from which to which; 6
// without it. They are not the scenes of TestRandomScenes.
func TestLoosePiecesFaceOutward(t *testing.T) {
	t.Parallel()
	few := os.Getenv("SOCLE_LOOSE")
	if few == "" {
		few = "6"
	}
	first, last := seeds(t, few)
	bands := map[string]*looseTally{}
	for n := first; n <= last; n++ {
		all, err := buildLoose(n)
		if err != nil {
			t.Errorf("scene %d, cell %.4f mm: %v", n, looseCell(n), err)
		}
		band := looseBand(looseCell(n))
		if bands[band] == nil {
			bands[band] = &looseTally{}
		}
		bands[band].add(all)
	}
	for _, b := range looseBands {
		if of := bands[looseBand(b)]; of != nil {
			t.Logf("cells %s mm: %d scenes, %d pieces, %d triangles, %d loose bits kept, %d dropped, %d voids filled, %d mends",
				looseBand(b), of.scenes, of.pieces, of.triangles, of.kept, of.dropped, of.voids, of.mended)
		}
	}
}

// looseBands are where the bands begin in which the cells are told, mm.
var looseBands = []float64{0.1, 0.2, 0.4, 0.8, 1.6}

func looseBand(cell float64) string {
	for i := len(looseBands) - 1; i >= 0; i-- {
		if cell >= looseBands[i] {
			return fmt.Sprintf("%g to %g", looseBands[i], min(2, 2*looseBands[i]))
		}
	}
	return "finer"
}

// looseCell is the cell of the n-th scene, mm: from 0.1 to 2, as many from each octave,
// in an order in which any run of scenes is spread evenly (by the golden section).
func looseCell(n uint64) float64 {
	_, share := math.Modf(float64(n) * (math.Sqrt(5) - 1) / 2)
	return 0.1 * math.Pow(20, share)
}

// looseSide is how many cells wide the region of a base is that is built: 7 mm at a cell
// of 0.1, and all of a base from 0.45 on.
const looseSide = 70

type looseTally struct{ scenes, pieces, triangles, kept, dropped, voids, mended int }

func (a *looseTally) add(b looseTally) {
	a.scenes += b.scenes
	a.pieces += b.pieces
	a.triangles += b.triangles
	a.kept += b.kept
	a.dropped += b.dropped
	a.voids += b.voids
	a.mended += b.mended
}

func buildLoose(n uint64) (done looseTally, err error) {
	const fresh = 1 << 24 // beyond the seeds of the other tests
	s, err := scenes.Read("random.toml", []byte(scenestest.Draw(fresh+n).Text()), nil)
	if err != nil {
		return done, err
	}
	scene, err := assembly.Assemble(s.Site)
	if err != nil {
		return done, err
	}
	done.scenes = 1
	cell := looseCell(n)
	r := rand.New(rand.NewPCG(n, 0))
	for _, p := range scene.Pieces() {
		f, box := p.Field, p.Box
		if side := looseSide * cell; box.Max.X-box.Min.X > side {
			x := box.Min.X + r.Float64()*(box.Max.X-box.Min.X-side)
			y := box.Min.Y + r.Float64()*math.Max(0, box.Max.Y-box.Min.Y-side)
			box = r3.Box{Min: sdf.V(x, y, 0), Max: sdf.V(x+side, math.Min(y+side, box.Max.Y), box.Max.Z)}
			f = sdf.Intersection(f, sdf.BoxBetween(box.Min, box.Max))
		}
		solid, err := mesh.Build(context.Background(), f, mesh.Options{Cell: cell, Box: box, Heights: p.Heights, KeepLoose: true})
		if err != nil {
			return done, fmt.Errorf("base %s: %w", p.Name, err)
		}
		done.pieces++
		done.triangles += len(solid.Triangles)
		done.mended += solid.Stats.Mended
		volumes := pieceVolumes(&solid.Mesh)
		kept := 0
		for _, c := range solid.Crumbs {
			switch {
			case c.Kept:
				kept++
			case c.Volume < 0:
				done.voids++
			default:
				done.dropped++
			}
		}
		done.kept += kept
		if len(volumes) != kept+1 {
			return done, fmt.Errorf("base %s: %d pieces of surface, and %d loose ones are said to be kept", p.Name, len(volumes), kept)
		}
		for i, v := range volumes {
			if !(v > 0) {
				return done, fmt.Errorf("base %s: piece %d holds %g mm3", p.Name, i, v)
			}
		}
	}
	return done, nil
}

// pieceVolumes are the signed volumes of the connected pieces of a mesh, mm3, each from
// a corner of its own.
func pieceVolumes(m *mesh.Mesh) (out []float64) {
	root := make([]uint32, len(m.Vertices))
	for i := range root {
		root[i] = uint32(i)
	}
	find := func(v uint32) uint32 {
		for root[v] != v {
			root[v] = root[root[v]]
			v = root[v]
		}
		return v
	}
	for _, t := range m.Triangles {
		a, b, c := find(t[0]), find(t[1]), find(t[2])
		least := min(a, b, c)
		root[a], root[b], root[c] = least, least, least
	}
	sums := map[uint32]float64{}
	var order []uint32
	for _, t := range m.Triangles {
		o := find(t[0])
		if _, known := sums[o]; !known {
			order = append(order, o)
		}
		var p [3]r3.Vec
		for k, v := range t {
			q, from := m.Vertices[v], m.Vertices[o]
			p[k] = r3.Vec{X: float64(q[0]) - float64(from[0]), Y: float64(q[1]) - float64(from[1]), Z: float64(q[2]) - float64(from[2])}
		}
		sums[o] += r3.Dot(p[0], r3.Cross(p[1], p[2])) / 6
	}
	for _, o := range order {
		out = append(out, sums[o])
	}
	return out
}

// TestPieceVolumes: the measure of this file against two boxes, one of them inside out.
func TestPieceVolumes(t *testing.T) {
	solid, err := mesh.Build(t.Context(), sdf.Union(sdf.BoxBetween(sdf.V(0, 0, 0), sdf.V(4, 3, 2)), sdf.BoxBetween(sdf.V(6, 0, 0), sdf.V(7, 1, 1))),
		mesh.Options{Cell: 0.5, KeepLoose: true})
	require.NoError(t, err)
	require.ElementsMatch(t, []float64{24, 1}, rounded3(pieceVolumes(&solid.Mesh)))
	for i, q := range solid.Triangles {
		if solid.Vertices[q[0]][0] > 5 {
			solid.Triangles[i] = [3]uint32{q[0], q[2], q[1]}
		}
	}
	require.ElementsMatch(t, []float64{24, -1}, rounded3(pieceVolumes(&solid.Mesh)))
}

func rounded3(all []float64) (out []float64) {
	for _, v := range all {
		out = append(out, math.Round(v*1e3)/1e3)
	}
	return out
}
