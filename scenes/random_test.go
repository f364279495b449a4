package scenes_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/scenes"
	"socle/scenes/scenestest"
	"socle/sdf/mesh"
)

// TestRandomScenes builds random scenes and holds every mesh to the promise.
// SOCLE_SCENES says how many, seeds 1 and up, or from which seed to which: 1000, or
// 801..1000; 12 without it.
func TestRandomScenes(t *testing.T) {
	t.Parallel()
	first, last := seeds(t, os.Getenv("SOCLE_SCENES"))
	var all tally
	kinds := map[string]int{}
	var failed []uint64
	for seed := first; seed <= last; seed++ {
		d := scenestest.Draw(seed)
		s, err := scenes.Read("random.toml", []byte(d.Text()), nil)
		require.NoError(t, err)
		for _, p := range s.Site.Parts {
			kinds[parts.WordOf(p)]++
		}
		one, err := build(d)
		all.add(one)
		if err != nil {
			failed = append(failed, seed)
			small, why := shrink(d, err)
			t.Errorf("seed %d, cell %g mm: %v\nthe least scene that fails: %v\n%s", seed, d.Cell, err, why, small.Text())
		}
	}
	t.Logf("%d random scenes, seeds %d..%d: %d failed %v; %d bases, %d triangles, %d slivers, %d crumbs dropped, %d mends; parts %v",
		last-first+1, first, last, len(failed), failed, all.bases, all.triangles, all.slivers, all.crumbs, all.mended, kinds)
	for _, k := range parts.Kinds() {
		if last-first < 9 {
			break // too few to have some of each
		}
		require.NotZero(t, kinds[k.Word], "no scene has a %s: the generator does not reach every kind", k.Word)
	}
}

func seeds(t *testing.T, text string) (first, last uint64) {
	if text == "" {
		return 1, 12
	}
	from, to, isRange := strings.Cut(text, "..")
	if !isRange {
		from, to = "1", text
	}
	first, err := strconv.ParseUint(from, 10, 32)
	require.NoError(t, err, "SOCLE_SCENES")
	last, err = strconv.ParseUint(to, 10, 32)
	require.NoError(t, err, "SOCLE_SCENES")
	require.LessOrEqual(t, first, last, "SOCLE_SCENES")
	return first, last
}

// tally counts what was built.
type tally struct{ bases, triangles, slivers, crumbs, mended int }

func (a *tally) add(b tally) {
	a.bases += b.bases
	a.triangles += b.triangles
	a.slivers += b.slivers
	a.crumbs += b.crumbs
	a.mended += b.mended
}

// build builds every base of the scene and holds it to the promise.
func build(d *scenestest.Drawn) (done tally, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	s, err := scenes.Read("random.toml", []byte(d.Text()), nil)
	if err != nil {
		return done, err
	}
	scene, err := assembly.Assemble(s.Site)
	if err != nil {
		return done, fmt.Errorf("a scene that reads without fault: %w", err)
	}
	var faults []error
	for _, p := range scene.Pieces() {
		done.bases++
		solid, err := mesh.Build(context.Background(), p.Field, mesh.Options{Cell: d.Cell, Box: p.Box, Heights: p.Heights})
		if err != nil {
			faults = append(faults, fmt.Errorf("base %s: %w", p.Name, err))
			continue
		}
		done.triangles += len(solid.Triangles)
		done.crumbs += len(solid.Crumbs)
		done.mended += solid.Stats.Mended
		slivers, err := keepsPromise(&p, &solid.Mesh, d.Cell)
		done.slivers += slivers
		if err != nil {
			faults = append(faults, fmt.Errorf("base %s: %w", p.Name, err))
		}
	}
	return done, errors.Join(faults...)
}

// shrink leaves out parts for as long as the scene fails without them.
func shrink(d *scenestest.Drawn, err error) (*scenestest.Drawn, error) {
	small := *d
	for again := true; again; {
		again = false
		for i := range small.Blocks {
			less := small
			less.Blocks = slices.Delete(slices.Clone(small.Blocks), i, i+1)
			var faults *scenes.Faults
			if _, why := build(&less); why != nil && !errors.As(why, &faults) {
				small, err, again = less, why, true
				break
			}
		}
	}
	return &small, err
}

// play is how far a vertex may lie over its footprint, mm, and over its box.
// Where the outline is curved, the chords of a coarse cell come to it.
const play = 0.005

// bulge is how far chords as long as a cell stand off the sharpest curve of an
// outline, mm: the sagitta, c^2/8r.
func bulge(b *base.Base, cell float64) float64 {
	r := math.Inf(1)
	switch {
	case b.Round != nil:
		r = *b.Round / 2
	case b.Oval != nil:
		r = b.Oval[1] * b.Oval[1] / b.Oval[0] / 2 // at the ends of the long axis
	case b.Stadium != nil:
		r = b.Stadium[1] / 2
	case b.Corner > 0:
		r = b.Corner
	}
	return cell * cell / (8 * r)
}

// keepsPromise holds a mesh to the promise of the design, point by point, and counts
// triangles that are less than 0.002 mm high.
func keepsPromise(p *assembly.Piece, m *mesh.Mesh, cell float64) (slivers int, err error) {
	proof, err := mesh.Prove(context.Background(), m)
	switch {
	case err != nil:
		return 0, fmt.Errorf("proved again: %w", err)
	case !proof.Closed || !proof.Outward || proof.Crossings != 0 || proof.Shells != 1:
		return 0, fmt.Errorf("proved again: %+v", proof)
	case proof.Box.Max.Z > p.Box.Max.Z+play:
		return 0, fmt.Errorf("%g mm tall in a box of %g", proof.Box.Max.Z, p.Box.Max.Z)
	}
	lowest := float32(math.Inf(1))
	for _, v := range m.Vertices {
		lowest = min(lowest, v[2])
		if over := overFootprint(p.Base, float64(v[0]), float64(v[1])); over > play+bulge(p.Base, cell) {
			return 0, fmt.Errorf("the vertex %v lies %.4f mm over the footprint", v, over)
		}
	}
	if lowest != 0 {
		return 0, fmt.Errorf("the lowest vertex is at z = %g", lowest)
	}
	sole := 0.0
	for _, t := range m.Triangles {
		var c [3][3]float64
		for k, v := range t {
			for j, x := range m.Vertices[v] {
				c[k][j] = float64(x)
			}
		}
		var a, b, n [3]float64
		longest := 0.0
		for j := range 3 {
			a[j], b[j] = c[1][j]-c[0][j], c[2][j]-c[0][j]
		}
		for k := range 3 {
			o := c[(k+1)%3]
			longest = max(longest, math.Hypot(math.Hypot(c[k][0]-o[0], c[k][1]-o[1]), c[k][2]-o[2]))
			n[k] = a[(k+1)%3]*b[(k+2)%3] - a[(k+2)%3]*b[(k+1)%3] // exact: multiples of 2^-24 below 2^13
		}
		area := math.Hypot(math.Hypot(n[0], n[1]), n[2])
		if area == 0 {
			return 0, fmt.Errorf("a triangle without area at %v", c[0])
		}
		if area/longest < 0.002 {
			slivers++
		}
		if c[0][2] == 0 && c[1][2] == 0 && c[2][2] == 0 {
			sole -= n[2] / 2 // faces down
		}
	}
	if least := leastSole(p.Base, cell); sole < least {
		return slivers, fmt.Errorf("%.1f mm2 lie flat at z = 0, of %.1f at least", sole, least)
	}
	return slivers, nil
}

// leastSole is the least area that a base stands on: its footprint inside the
// chamfer, and a cell more, in which a coarse mesh may round the edge, less its
// pockets; of a hollow one a tenth of that.
func leastSole(b *base.Base, cell float64) float64 {
	var o inset
	switch {
	case b.Round != nil:
		o = circle(*b.Round)
	case b.Oval != nil:
		o = ellipse(b.Oval[0], b.Oval[1])
	case b.Hexagon != nil:
		o = hexagon(*b.Hexagon)
	case b.Stadium != nil:
		o = stadium(b.Stadium[0], b.Stadium[1])
	default:
		o = rounded(sides(b))
	}
	in := b.Chamfer + cell
	area := o.prismoid(in, in, 1)
	for _, m := range b.Magnets {
		area -= float64(max(m.Count, len(m.At))) * circle(m.Disc[0]+m.Clearance+2*cell).area
	}
	if b.Underside == "hollow" {
		area /= 10
	}
	return area
}

// sides are the width and depth of a rectangle or square and the radius of its corners.
func sides(b *base.Base) (w, d, corner float64) {
	if b.Square != nil {
		return *b.Square, *b.Square, b.Corner
	}
	return b.Rectangle[0], b.Rectangle[1], b.Corner
}

// overFootprint is how far a point of the plan lies outside a base's outline,
// mm, by each outline's own formula; for an oval to first order, which is ample
// this near to it.
func overFootprint(b *base.Base, x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	switch {
	case b.Round != nil:
		return math.Hypot(x, y) - *b.Round/2
	case b.Oval != nil:
		a, c := b.Oval[0]/2, b.Oval[1]/2
		slope := 2 * math.Hypot(x/(a*a), y/(c*c))
		return (x*x/(a*a) + y*y/(c*c) - 1) / max(slope, 1e-9)
	case b.Hexagon != nil:
		h := *b.Hexagon / 2
		return max(y-h, x*math.Sqrt(3)/2+y/2-h)
	case b.Stadium != nil:
		r := b.Stadium[1] / 2
		return math.Hypot(max(0, x-(b.Stadium[0]/2-r)), y) - r
	}
	w, d, r := sides(b)
	u, v := x-(w/2-r), y-(d/2-r)
	return math.Hypot(max(0, u), max(0, v)) + min(0, max(u, v)) - r
}
