package scenes_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/sdf/mesh"
)

// probe casts upright rays against a mesh: triangles are sorted into square
// bins of the plan.
type probe struct {
	m      *mesh.Mesh
	lo     [2]float64
	n      [2]int
	bins   [][]int32
	across float64 // side of a bin, mm
}

func newProbe(m *mesh.Mesh) *probe {
	p := &probe{m: m, across: 0.5}
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, v := range m.Vertices {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], float64(v[k])), max(hi[k], float64(v[k]))
		}
	}
	p.lo = lo
	for k := range 2 {
		p.n[k] = int((hi[k]-lo[k])/p.across) + 1
	}
	p.bins = make([][]int32, p.n[0]*p.n[1])
	for i := range m.Triangles {
		a, b := [2]int{p.n[0], p.n[1]}, [2]int{}
		for _, c := range p.corners(i) {
			for k := range 2 {
				at := p.bin(k, c[k])
				a[k], b[k] = min(a[k], at), max(b[k], at)
			}
		}
		for x := a[0]; x <= b[0]; x++ {
			for y := a[1]; y <= b[1]; y++ {
				p.bins[x*p.n[1]+y] = append(p.bins[x*p.n[1]+y], int32(i))
			}
		}
	}
	return p
}

func (p *probe) bin(k int, at float64) int {
	return max(0, min(p.n[k]-1, int((at-p.lo[k])/p.across)))
}

func (p *probe) corners(i int) (c [3][3]float64) {
	for k, v := range p.m.Triangles[i] {
		for j, x := range p.m.Vertices[v] {
			c[k][j] = float64(x)
		}
	}
	return c
}

// hits lists the heights at which the upright through (x, y) meets the mesh,
// from the top down; the mesh being closed, their number is even unless the
// upright grazes an edge. Vertices lie on multiples of 2^-12 mm and so should the
// ray not: then the areas that tell inside from outside are never close to 0.
func (p *probe) hits(x, y float64) []float64 {
	var out []float64
	for _, i := range p.bins[p.bin(0, x)*p.n[1]+p.bin(1, y)] {
		c := p.corners(int(i))
		var w [3]float64 // twice the areas opposite each corner, in the plan
		for k := range 3 {
			a, b := c[(k+1)%3], c[(k+2)%3]
			w[k] = (a[0]-x)*(b[1]-y) - (a[1]-y)*(b[0]-x)
		}
		if w[0] > 0 && w[1] > 0 && w[2] > 0 || w[0] < 0 && w[1] < 0 && w[2] < 0 {
			out = append(out, (w[0]*c[0][2]+w[1]*c[1][2]+w[2]*c[2][2])/(w[0]+w[1]+w[2]))
		}
	}
	slices.Sort(out)
	slices.Reverse(out)
	return out
}

// top is the height of the uppermost surface at (x, y).
func (p *probe) top(t require.TestingT, x, y float64) float64 {
	const off = 3.1e-5 // mm, off the lattice of 2^-12 mm
	h := p.hits(x+off, y+off*math.Sqrt2)
	require.NotEmpty(t, h, "nothing at (%g, %g)", x, y)
	require.Zero(t, len(h)%2, "an upright at (%g, %g) enters and does not leave: %v", x, y, h)
	return h[0]
}

// TestProbe: the ray caster itself, on a tetrahedron.
func TestProbe(t *testing.T) {
	p := newProbe(&mesh.Mesh{
		Vertices:  [][3]float32{{0, 0, 0}, {4, 0, 0}, {0, 4, 0}, {0, 0, 4}},
		Triangles: [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
	})
	require.InDelta(t, 2, p.top(t, 1, 1), 1e-3)
	require.InDelta(t, 0.5, p.top(t, 0.5, 3), 1e-3)
	require.Empty(t, p.hits(3, 3))
}

// flight is a stair of references.md section 1, in full size, on a base of its own.
type flight struct {
	name    string
	rise    string  // text of its upper level; the lower is 0
	profile string  // which limits
	more    string  // further keys
	n       int     // risers
	riser   float64 // full size, mm
	going   float64 // full size, mm; 0: not in the table
}

// flightScene is a flight that faces north with its head on a deck. Finishes of
// the given thicknesses are laid at the foot and on the landing; 0 lays none. Nothing has
// a texture, so that heights are the same everywhere.
func flightScene(f flight, ratio, foot, landing float64, bond string, wear float64) string {
	text := fmt.Sprintf(`
[scale]
ratio = %g
[levels]
low = 0
high = %q
[ground]
of = "plain"
size = [80, 100]
level = "low"
[[deck]]
name = "landing"
level = "high"
area = { rect = [0, 60, 80, 40] }
surface = "plain"
[[stair]]
name = "flight"
surface = "plain"
from = "low"
to = "high"
head = [40, 60]
facing = "north"
width = 6
profile = %q
%s
`, ratio, f.rise, f.profile, f.more)
	for _, p := range []struct {
		level, area string
		thick       float64
	}{{"low", "[0, 0, 80, 60]", foot}, {"high", "[0, 60, 80, 40]", landing}} {
		if p.thick > 0 {
			text += fmt.Sprintf(`
[[paving]]
name = "paving-%s"
level = %q
area = { rect = %s }
bond = %q
surface = "plain"
stone = [6, 4]
thickness = %g
wear = %g
`, p.level, p.level, p.area, bond, p.thick, wear)
		}
	}
	run := float64(f.n-1) * f.going / ratio
	return text + fmt.Sprintf("[[base]]\nname = \"stairs\"\nrectangle = [14, %g]\nat = [40, %g]\ntaper = 0\n", run+12, 60-run/2)
}

// even is how far apart two heights may be that are to be one, mm.
const even = 0.001

// lie is what upright rays find over a patch of the plan, mm.
type lie struct{ level, least float64 }

// lieOf casts rays over a patch. Its level is the height of its highest points,
// on which a good part of the rays must agree: joints and worn edges lie lower.
func lieOf(t require.TestingT, p *probe, x0, x1, y0, y1, slack float64) lie {
	const rays = 16
	var all []float64
	for i := range rays {
		for j := range rays {
			all = append(all, p.top(t, x0+(x1-x0)*(float64(i)+0.5)/rays, y0+(y1-y0)*(float64(j)+0.5)/rays))
		}
	}
	l := lie{slices.Max(all), slices.Min(all)}
	level := 0
	for _, z := range all {
		if l.level-z < slack {
			level++
		}
	}
	require.Greater(t, level, len(all)/5, "nothing level between y %g and %g: %v", y0, y1, all)
	return l
}

// climb measures a flight on its finished mesh: the risers, and how far any tread
// is from level farther than a cell from its edges, both in mm. The flight has n
// risers; the middle of its run is the middle of the base.
func climb(t require.TestingT, p *probe, n int, going, cell, slack float64) (risers []float64, uneven float64) {
	run := float64(n-1) * going
	foot := -run / 2
	const near, strip = 0.6, 2.2 // mm: clear of the joint round a finish, within one stone
	last := lieOf(t, p, -2, 2, foot-near-strip, foot-near, slack).level
	for i := range n - 1 {
		y := foot + float64(i)*going
		tread := lieOf(t, p, -2, 2, y+cell, y+going-cell, slack)
		risers = append(risers, tread.level-last)
		uneven = max(uneven, tread.level-tread.least)
		last = tread.level
	}
	return append(risers, lieOf(t, p, -2, 2, foot+run+near, foot+run+near+strip, slack).level-last), uneven
}

// TestStairs: the worked examples of references.md section 1, at 1:100, measured
// with upright rays on the finished mesh: risers to 0.001 mm at their highest
// points; treads level as closely, or as a build's tolerance of a fortieth of a cell.
func TestStairs(t *testing.T) {
	t.Parallel()
	const inch, cell = 25.4, 0.5
	for _, c := range []struct {
		flight
		foot, landing float64 // thickness of finishes, mm on the print
	}{
		{flight: flight{"H 2700, R <= 190, 2R+G = 630", "2700 mm", "utility", "", 15, 180, 270}},
		{flight: flight{"H 2600, IRC limit", "2600 mm", "dwelling", "", 14, 2600.0 / 14, 630 - 2*2600.0/14}},
		{flight: flight{"H 3000, general access", "3000 mm", "general", "", 18, 3000.0 / 18, 630 - 2*3000.0/18}},
		{flight: flight{"H 1000, private stair", "1000 mm", "private", "", 5, 200, 230}},
		// Rough rise 108 in, finishes of 3/4 in below and 1/2 in above: finish to
		// finish 107.75 in. The least going of that code is 10 in.
		{flight{"rough 108 in, finishes 3/4 and 1/2 in", "107.75 in", "dwelling", "", 14, 107.75 * inch / 14, 10 * inch}, 0.75 * inch / 100, 0.5 * inch / 100},
		// R 180 with finishes of 20 at both ends: with structure stepped evenly the
		// last riser would be 170 or 160.
		{flight{"R 180, finishes of 20", "1080 mm", "private", "riser = \"180 mm\"", 6, 180, 270}, 0.2, 0.2},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := cut(t, flightScene(c.flight, 100, c.foot, c.landing, "running", 0))
			for _, made := range []struct {
				how              string
				tolerance, level float64
			}{{"every triangle kept", -1, even}, {"as built", 0, even}} {
				s := builtTo(t, &p[0], cell, made.tolerance)
				risers, uneven := climb(t, newProbe(&s.Mesh), c.n, c.going/100, cell, made.level)
				t.Logf("%s: %d risers of %.4f to %.4f mm, by the table %.4f; the last %.4f; treads level to %.5f",
					made.how, len(risers), slices.Min(risers), slices.Max(risers), c.riser/100, risers[c.n-1], uneven)
				climbed := 0.0
				for k, r := range risers {
					climbed += r
					require.InDelta(t, c.riser/100, r, even, "riser %d of %v", k+1, risers)
					require.InDelta(t, float64(k+1)*c.riser/100, climbed, even, "over %d of %v", k+1, risers)
				}
				require.Less(t, uneven, made.level)
			}
		})
	}
}

// TestLastRiser: with finishes of 0 to 2 mm at either end of a flight, of any
// bond, worn or new, every riser is the same to 0.001 mm, the first and the last
// too.
func TestLastRiser(t *testing.T) {
	t.Parallel()
	const cell = 0.5
	f := flight{rise: "500 mm", profile: "free", more: "risers = 4\ngoing = 2.5", n: 4, riser: 125, going: 250}
	thick := []float64{0, 0.3, 0.7, 1.2, 2}
	bonds := []string{"running", "stack", "herringbone", "basketweave", "hexagonal", "random"}
	for i, foot := range thick {
		for j, landing := range thick {
			if (i+j)%2 == 1 { // every thickness at both ends, half of the pairs
				continue
			}
			bond, wear := bonds[(i*len(thick)+j)/2%len(bonds)], float64((i+2*j)%3)/2
			t.Run(fmt.Sprintf("%g below, %g above, %s, wear %g", foot, landing, bond, wear), func(t *testing.T) {
				p := cut(t, flightScene(f, 100, foot, landing, bond, wear))
				s := built(t, &p[0], cell)
				risers, uneven := climb(t, newProbe(&s.Mesh), f.n, f.going/100, cell, even)
				for k, r := range risers {
					require.InDelta(t, f.riser/100, r, even, "riser %d of %v", k+1, risers)
				}
				require.Less(t, uneven, even)
			})
		}
	}
}

// bowl is a crater measured with upright rays, mm: the profile is the mean over
// all azimuths, so that what is random cancels.
type bowl struct {
	crest, rim float64 // radius and height of the highest ring
	floor      float64
	steepest   float64 // degrees, over half a millimetre, inside the crest
	volume     float64 // under the plane of the rim, mm3
}

func measureBowl(t require.TestingT, p *probe, most float64) bowl {
	const azimuths, dr = 24, 0.02
	var z []float64
	for r := dr / 2; r < most; r += dr {
		sum := 0.0
		for k := range azimuths {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.37) / azimuths)
			sum += p.top(t, r*cos, r*sin)
		}
		z = append(z, sum/azimuths)
	}
	b := bowl{rim: slices.Max(z), floor: slices.Min(z)}
	at := slices.Index(z, b.rim)
	b.crest = (float64(at) + 0.5) * dr
	const over = 25 // rings
	for i := range at {
		b.volume += 2 * math.Pi * (float64(i) + 0.5) * dr * dr * (b.rim - z[i])
		if i >= over {
			b.steepest = max(b.steepest, math.Atan((z[i]-z[i-over])/(over*dr))*180/math.Pi)
		}
	}
	return b
}

// TestCraters: references.md section 6 on finished meshes. The bowl is a
// parabola (crater glossaries); its wall at the rim slopes at atan(4 d/D)
// and its volume is pi D^2 d/8 (geometry). Depth about a fifth of the diameter:
// Pike, Geophys. Res. Lett. 1 (1974), 291; the rim 0.04 of it: Melosh, Impact
// Cratering (1989), from memory. Broken stone rests at 35 to 40 degrees.
func TestCraters(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, keys           string
		diameter, depth, rim float64
		steepest             float64 // degrees
		volume               float64 // mm3; 0: no closed form asked for
		shape, slope         float64 // how close: sizes in mm, angles in degrees
	}{
		{name: "left to the defaults, smooth", keys: "diameter = 16\nroughness = 0\ncracks = 0\nspall = 0\nslump = 0",
			diameter: 16, depth: 0.18 * 16, rim: 0.04 * 16, steepest: math.Atan(4*0.18) * 180 / math.Pi,
			volume: math.Pi * 16 * 16 * 0.18 * 16 / 8, shape: 0.03, slope: 1.5},
		{name: "a fifth deep", keys: "diameter = 20\ndepth = 4\nslope = 40\nroughness = 0\ncracks = 0\nspall = 0\nslump = 0",
			diameter: 20, depth: 4, rim: 0.8, steepest: 38.66, volume: 628.319, shape: 0.03, slope: 1.5},
		{name: "too steep for loose stone", keys: "diameter = 18\ndepth = 5\nroughness = 0\ncracks = 0\nspall = 0\nslump = 0",
			diameter: 18, depth: 5, rim: 0.72, steepest: 37, shape: 0.03, slope: 0.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := crater(t, c.keys, c.diameter, 0.3)
			require.InDelta(t, c.diameter/2, b.crest, c.shape, "radius of the crest")
			require.InDelta(t, c.rim, b.rim-level, c.shape, "rim")
			require.InDelta(t, c.depth, b.rim-b.floor, c.shape, "depth")
			require.InDelta(t, c.steepest, b.steepest, c.slope, "steepest wall")
			if c.volume > 0 {
				require.InEpsilon(t, c.volume, b.volume, 0.01) // the crest is sharp, and the rings find it to 0.005 mm
			}
		})
	}
}

// level is the height of the ground that TestCraters hits, above the foot of the base.
const level = 8.0

// crater builds a crater on a base of its own and measures it.
func crater(t *testing.T, keys string, diameter, cell float64) bowl {
	p := cut(t, flat+"[[crater]]\nat = [40, 30]\n"+keys+
		fmt.Sprintf("\n[[base]]\nname = \"hit\"\nround = %g\nheight = 8\ntaper = 0\nat = [40, 30]\n", 1.5*diameter))
	s := built(t, &p[0], cell)
	b := measureBowl(t, newProbe(&s.Mesh), 1.25*diameter/2)
	t.Logf("crest at radius %.3f, %.3f mm over the level; %.3f deep, d/D %.3f; steepest %.2f degrees; %.2f mm3",
		b.crest, b.rim-level, b.rim-b.floor, (b.rim-b.floor)/diameter, b.steepest, b.volume)
	return b
}

// TestRoughCraters: with lumps, a broken lip, cracks and lifted plates, as by
// default, a crater stays within the range of explosion craters, d/D 0.1
// weathered to 0.25 fresh (references.md section 6, partly from memory), and
// keeps a raised rim.
func TestRoughCraters(t *testing.T) {
	t.Parallel()
	for seed := range 2 {
		const diameter = 12.0
		b := crater(t, fmt.Sprintf("diameter = %g\nseed = %d", diameter, seed+1), diameter, 0.4)
		share := (b.rim - b.floor) / diameter
		require.Greater(t, share, 0.1)
		require.Less(t, share, 0.25)
		require.Greater(t, b.rim, level+0.01*diameter)
		require.Greater(t, b.crest, 0.8*diameter/2)
	}
}
