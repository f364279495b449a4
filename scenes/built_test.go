package scenes_test

import (
	"context"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts/assembly"
	"socle/scenes"
	"socle/scenes/scenestest"
	"socle/sdf/mesh"
)

// cut reads a scene and cuts its bases; it must be without fault.
func cut(t require.TestingT, text string) []assembly.Piece {
	s, err := scenes.Read("test.toml", []byte(text), nil)
	require.NoError(t, err, text)
	scene, err := assembly.Assemble(s.Site)
	require.NoError(t, err, text)
	pieces := scene.Pieces()
	require.NotEmpty(t, pieces)
	return pieces
}

// built meshes a piece as the command does; the mesh must be proven.
func built(t require.TestingT, p *assembly.Piece, cell float64) *mesh.Solid {
	return builtTo(t, p, cell, 0)
}

// builtTo is built with a tolerance of its own; a negative one keeps every
// triangle.
func builtTo(t require.TestingT, p *assembly.Piece, cell, tolerance float64) *mesh.Solid {
	solid, err := mesh.Build(context.Background(), p.Field, mesh.Options{Cell: cell, Tolerance: tolerance, Box: p.Box, Heights: p.Heights})
	require.NoError(t, err)
	return solid
}

// inset is a convex outline drawn in by t: its area is A - P t + k t^2, where k
// is pi for a smooth outline and the sum of tan(turn/2) over sharp corners: 4
// for four right angles, 2 sqrt 3 for a regular hexagon. (Steiner's formula for
// parallel bodies, inwards; references.md section 5 has it for the ellipse.)
type inset struct{ area, perimeter, k float64 }

// prismoid is the volume between the outline drawn in by a and by b, a height h
// apart: the integral of the area over an inset that grows evenly.
func (o inset) prismoid(a, b, h float64) float64 {
	return h * (o.area - o.perimeter*(a+b)/2 + o.k*(a*a+a*b+b*b)/3)
}

// base is a rim with a chamfer at 45 degrees and a taper from there to the top.
func (o inset) base(height, taper, chamfer float64) float64 {
	return o.prismoid(chamfer, 0, chamfer) + o.prismoid(0, taper, height-chamfer)
}

// Outlines by their formulas: references.md section 9; the perimeter of the
// ellipse is Ramanujan's second.
func circle(d float64) inset { return inset{math.Pi * d * d / 4, math.Pi * d, math.Pi} }

func ellipse(long, short float64) inset {
	a, b := long/2, short/2
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	return inset{math.Pi * a * b, math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h))), math.Pi}
}

func rectangle(w, d float64) inset { return inset{w * d, 2 * (w + d), 4} }

func rounded(w, d, r float64) inset {
	return inset{w*d - (4-math.Pi)*r*r, 2*(w+d) - (8-2*math.Pi)*r, math.Pi}
}

func hexagon(f float64) inset {
	return inset{math.Sqrt(3) / 2 * f * f, 2 * math.Sqrt(3) * f, 2 * math.Sqrt(3)}
}

func stadium(long, short float64) inset {
	r := short / 2
	s := long - short
	return inset{math.Pi*r*r + 2*r*s, 2*math.Pi*r + 2*s, math.Pi}
}

// TestOutlines: the formulas of this file against the figures that
// references.md sections 5 and 9 give for them.
func TestOutlines(t *testing.T) {
	for _, c := range []struct {
		name       string
		want, have float64
	}{
		{"cone frustum 16, 15, h 4", 3020.117738, circle(32).prismoid(0, 1, 4)},
		{"elliptic cylinder 60 x 35 x 4", 6597.344573, ellipse(60, 35).prismoid(0, 0, 4)},
		{"ellipse 60 x 35, perimeter", 151.820579, ellipse(60, 35).perimeter},
		{"true 1 mm inset of the ellipse 60 x 35", 1500.66, ellipse(60, 35).prismoid(1, 1, 1)},
		{"stadium 60 x 35", 1837.112750, stadium(60, 35).area},
		{"stadium 60 x 35, perimeter", 159.955743, stadium(60, 35).perimeter},
		{"rounded rectangle 50 x 25, r 3", 1242.274334, rounded(50, 25, 3).area},
		{"hexagon of 30 across flats", 779.422863, hexagon(30).area},
		{"disc r 16 h 4 less a 5.2 x 2.2 pocket", 3170.269, circle(32).prismoid(0, 0, 4) - circle(5.2).prismoid(0, 0, 2.2)},
	} {
		decimals := 0.5e-6
		switch c.want {
		case 1500.66:
			decimals = 0.005
		case 3170.269:
			decimals = 0.0005
		}
		require.InDelta(t, c.want, c.have, decimals+1e-9, c.name)
	}
}

// TestBaseVolumes: plain bases cut from flat ground against closed forms, to
// within 0.05 % at cells of 0.1 mm.
func TestBaseVolumes(t *testing.T) {
	t.Parallel()
	pocket := func(disc, high float64) float64 { return circle(disc).prismoid(0, 0, high) }
	for _, c := range []struct {
		name, keys string
		volume     float64
	}{
		{"round, upright, with a pocket", // the check value of references.md section 5
			"round = 32\ntaper = 0\nchamfer = 0\nmagnet = [{ disc = [5, 2], clearance = 0.2, depth = 0.2 }]", 3170.269},
		{"round, tapered", // a cone frustum, references.md section 9
			"round = 16\ntaper = 1\nchamfer = 0", math.Pi * 4 * (8*8 + 8*7 + 7*7) / 3},
		{"oval, upright", // an elliptic cylinder, same section
			"oval = [18, 12]\ntaper = 0\nchamfer = 0", math.Pi * 9 * 6 * 4},
		{"oval, tapered by a true inset, chamfered",
			"oval = [18, 12]", ellipse(18, 12).base(4, 1, 0.4)},
		{"rectangle, sharp corners",
			"rectangle = [14, 10]\ntaper = 1.5\nchamfer = 0.6\nheight = 3", rectangle(14, 10).base(3, 1.5, 0.6)},
		{"rectangle, round corners",
			"rectangle = [14, 10]\ncorner = 3\ntaper = 1\nchamfer = 0.4", rounded(14, 10, 3).base(4, 1, 0.4)},
		{"square, two pockets",
			"square = 13\nmagnet = [{ disc = [3, 2], clearance = 0.15, depth = 0.15, at = [[-3, 0], [3, 0]] }]",
			rectangle(13, 13).base(4, 1, 0.4) - 2*pocket(3.15, 2.15)},
		{"hexagon, a pocket",
			"hexagon = 13\ntaper = 0.5\nchamfer = 0.3\nmagnet = [{ disc = [6, 2], clearance = 0.1, depth = 0.1 }]",
			hexagon(13).base(4, 0.5, 0.3) - pocket(6.1, 2.1)},
		{"stadium, tapered and chamfered",
			"stadium = [16, 10]\ntaper = 2\nheight = 3", stadium(16, 10).base(3, 2, 0.4)},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := cut(t, flat+"[[base]]\nname = \"plain\"\nat = [40, 30]\n"+c.keys)
			s := built(t, &p[0], 0.1)
			t.Logf("%.4f mm3 of %.4f: %+.4f %%, %d triangles", s.Proof.Volume, c.volume, 100*(s.Proof.Volume/c.volume-1), len(s.Triangles))
			require.InEpsilon(t, c.volume, s.Proof.Volume, 0.0005)
			require.Equal(t, 0, s.Proof.Genus)
			_, err := keepsPromise(&p[0], &s.Mesh, 0.1)
			require.NoError(t, err)
		})
	}
}

// flat is a plain piece of flat ground.
const flat = `
seed = 1
[scale]
ratio = 100
[levels]
yard = 3.0
[ground]
of = "plain"
size = [80, 60]
level = "yard"
`

// TestRailGenus: each opening of a rail on a base is one handle of the solid
// (Euler and Poincare: V - E + F = 2 - 2g; references.md section 9).
func TestRailGenus(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, keys string
		genus      int
	}{
		// 24 mm of line between the middles of the end posts.
		{"3 open bays", "spacing = 8\ninfill = \"none\"", 3},
		// Bars span 0.97 of a bridge of 3 mm at most, where that is near: bays of 3.91, ceil(24 / 3.91) = 7.
		{"7 bays and a mid rail", "spacing = 6\ninfill = \"rails\"\nrails = 1", 14},
		// Clear span 12 - 1 = 11, balusters of 1: ceil((11 - 3)/(1 + 3)) = 2 of them, 3 gaps.
		{"2 bays of 2 balusters", "spacing = 12\ninfill = \"balusters\"\nbaluster = 1\ngap = 3", 6},
		{"2 bays closed by panels", "spacing = 12\ninfill = \"panel\"", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := cut(t, flat+`
[[rail]]
line = [[28, 30], [52, 30]]
level = "yard"
height = 7
post = 1
handrail = 1
`+c.keys+`
[[base]]
name = "railed"
rectangle = [30, 12]
at = [40, 30]
`)
			s := built(t, &p[0], 0.25)
			require.Equal(t, c.genus, s.Proof.Genus)
			require.Empty(t, s.Crumbs)
		})
	}
}

// digest is a fingerprint of all that is written of a mesh.
func digest(m *mesh.Mesh) string {
	h := fnv.New64a()
	for _, part := range []any{m.Vertices, m.Triangles} {
		if err := binary.Write(h, binary.LittleEndian, part); err != nil {
			panic(err)
		}
	}
	return fmt.Sprintf("%d vertices, %d triangles, %x", len(m.Vertices), len(m.Triangles), h.Sum64())
}

// TestSameBytes: from the text to the mesh, the number of processors changes
// nothing.
func TestSameBytes(t *testing.T) {
	text := scenestest.Draw(3).Text()
	was := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(was)
	var first []string
	for _, procs := range []int{1, 8} {
		runtime.GOMAXPROCS(procs)
		var got []string
		for _, p := range cut(t, text) {
			got = append(got, p.Name+": "+digest(&built(t, &p, 0.8).Mesh))
		}
		if first == nil {
			first = got
		}
		require.Equal(t, first, got, "GOMAXPROCS %d", procs)
	}
}

// TestFootUnderATallFlight: whatever stands above, a base stands on z = 0. So many
// treads have some level near a plane of the mesher's grid, wherever that lies.
func TestFootUnderATallFlight(t *testing.T) {
	t.Parallel()
	for _, risers := range []int{85, 100} {
		p := cut(t, strings.Replace(flat, "yard = 3.0", fmt.Sprintf("yard = 3.0\nhead = %g", 3+0.6*float64(risers)), 1)+fmt.Sprintf(`
[[stair]]
from = "yard"
to = "head"
foot = [5, 30]
facing = "east"
width = 4
profile = "free"
risers = %d
going = 0.6
[[base]]
name = "flight"
rectangle = [72, 10]
at = [40, 30]
`, risers))
		s := built(t, &p[0], 0.4)
		_, err := keepsPromise(&p[0], &s.Mesh, 0.4)
		require.NoError(t, err, "%d risers", risers)
	}
}
