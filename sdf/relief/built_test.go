package relief

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
	"socle/sdf/sdftest"
)

// disc is a round region of radius 3 mm about the origin.
type disc struct{}

func (disc) At(p r2.Vec) float64 { return r2.Norm(p) - 3 }

func (disc) Slope(p r2.Vec) (float64, r2.Vec) {
	if r2.Norm(p) == 0 {
		return -3, r2.Vec{X: 1}
	}
	return r2.Norm(p) - 3, r2.Unit(p)
}

// built draws the reliefs of built work.
func built(t *rapid.T) []Relief {
	seed := rapid.Uint64().Draw(t, "seed")
	pitch := rapid.Float64Range(0.5, 3).Draw(t, "pitch")
	depth := rapid.Float64Range(0.05, 0.5).Draw(t, "depth")
	share := rapid.Float64Range(0, 0.9).Draw(t, "share")
	facets := NewFacets(seed, pitch, depth, share)
	grooves := NewGrooves(seed, pitch, pitch*0.6, depth, share, pitch)
	panels := NewPanels(seed, 4*pitch, pitch, pitch*0.2, depth, share*depth, (1-share)*depth)
	return []Relief{
		panels.Split(share),
		NewHeads(panels, false, 0.2*pitch, 0.6*pitch, 0.1*pitch, 0.1*pitch, depth),
		NewHeads(panels, true, 0.3*pitch, 0.5*pitch, 0.1*pitch, 0.1*pitch, depth),
		NewHeads(panels, true, 0, 0.3*pitch, 0.1*pitch, 0.2*pitch, depth),
		NewPanels(seed, 3*pitch, pitch, pitch*0.3, depth, share*depth, (1-share)*depth),
		NewStuds(pitch, pitch, pitch*0.7, pitch*0.2, pitch*0.15, depth, true),
		NewStuds(pitch, 2*pitch, pitch*0.3, pitch*0.3, pitch*0.2, depth, false),
		Within(grooves, disc{}, 0.5, 1),
		Shallowest(facets, grooves),
		Band(facets, -2, 2, 0.8),
		Sum(Even(0.1), facets),
		Round(facets, 3),
	}
}

// The reliefs of built work keep their word as the others do.
func TestBuiltReliefsKeepTheirWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) r3.Vec {
			c := rapid.Float64Range(-6, 6)
			return sdf.V(c.Draw(t, name+"x"), c.Draw(t, name+"y"), c.Draw(t, name+"z"))
		}
		p, step := point("p"), r3.Scale(0.05, point("step"))
		for i, h := range built(t) {
			v, g := h.Gradient(p)
			require.Equal(t, h.Value(p), v, i)
			require.GreaterOrEqual(t, v, 0.0, i)
			require.LessOrEqual(t, v, h.Depth()+1e-9, i)
			require.LessOrEqual(t, r3.Norm(g), h.Steepest()+1e-9, i)
			require.LessOrEqual(t, abs(h.Value(r3.Add(p, step))-v), h.Steepest()*r3.Norm(step)+1e-9, i)
			const d = 1e-6
			for _, e := range []r3.Vec{sdf.V(d, 0, 0), sdf.V(0, d, 0)} {
				ahead, behind := h.Value(r3.Add(p, e))-v, v-h.Value(r3.Sub(p, e))
				if abs(ahead-behind) < 1e-12 { // no crease here
					require.InDelta(t, ahead/d, r3.Dot(g, e)/d, 1e-4, i)
				}
			}
		}
	})
}

// A solid that is cut by them keeps what package sdf promises.
func TestBuiltReliefsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := built(t)
		f := Carve(sdf.BoxEased(sdf.V(-4, -3, -2), sdf.V(4, 3, 0), 0.3), all[rapid.IntRange(0, len(all)-1).Draw(t, "relief")])
		sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-6, -5, -4), Max: sdf.V(6, 5, 2)}, rapid.Uint64().Draw(t, "probes"))
	})
}

// A drafted margin stays at the surface, and what lies within it is cut.
func TestMarginStaysWhole(t *testing.T) {
	h := Within(NewGrooves(1, 0.8, 0.4, 0.2, 1, 0), disc{}, 0.5, 1)
	for x := -3.0; x <= 3; x += 0.1 {
		for y := -3.0; y <= 3; y += 0.1 {
			if r2.Norm(r2.Vec{X: x, Y: y}) > 2.5 {
				require.Zero(t, h.Value(sdf.V(x, y, 0)))
			}
		}
	}
	require.InDelta(t, 0.2, h.Value(sdf.V(0, 0, 0)), 1e-12)
}
