package compare

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/cmd/set/finding"
	"socle/out/picture"
	"socle/sdf"
	"socle/sdf/mesh"
)

func pin(severity string, at ...[3]float64) finding.Finding {
	f := finding.Finding{Severity: severity, Check: "thin-pin", Base: "b", Part: "rail", What: "0.5 mm", Count: len(at)}
	if len(at) > 0 {
		f.At, f.Others = &at[0], at[1:]
	}
	return f
}

func TestFindingsBetween(t *testing.T) {
	here, near, far := [3]float64{1, 2, 3}, [3]float64{1, 3, 3}, [3]float64{9, 2, 3}
	only := func(all []ChangedFinding) ChangedFinding {
		require.Len(t, all, 1)
		return all[0]
	}
	gained, lost := findingsBetween([]finding.Finding{pin("warn", here)}, []finding.Finding{pin("warn", near)})
	require.Empty(t, gained)
	require.Empty(t, lost)

	gained, lost = findingsBetween([]finding.Finding{pin("warn", here)}, []finding.Finding{pin("warn", far)})
	require.Equal(t, far, *only(gained).At)
	require.Equal(t, here, *only(lost).At)

	// One more place of a finding that is on both sides.
	gained, lost = findingsBetween([]finding.Finding{pin("warn", here)}, []finding.Finding{pin("warn", near, far)})
	require.Equal(t, far, *only(gained).At)
	require.Equal(t, 1, only(gained).Count)
	require.Contains(t, only(gained).What, "no worse than")
	require.Empty(t, lost)

	// Graver than it was, at the same place.
	gained, lost = findingsBetween([]finding.Finding{pin("warn", here)}, []finding.Finding{pin("stop", near)})
	require.Equal(t, "warn", only(gained).Was)
	graver := only(gained)
	require.Contains(t, graver.Line(), "(a warning in A)")
	require.Empty(t, lost)

	// Without a place: the same where the cause is.
	stair := finding.Finding{Severity: "note", Check: "stair", Part: "steps", What: "riser", Count: 1}
	gained, lost = findingsBetween([]finding.Finding{stair}, []finding.Finding{stair, pin("stop", here)})
	require.Equal(t, "thin-pin", only(gained).Check)
	require.Empty(t, lost)

	// What is only counted makes sure of no more than the difference of the counts.
	many, more := pin("warn", here), pin("warn", far)
	many.Count, more.Count = 60, 62
	gained, lost = findingsBetween([]finding.Finding{many}, []finding.Finding{more})
	require.Equal(t, 2, only(gained).Count)
	require.Empty(t, lost)
}

// What one side gains the other loses, nothing is between a base and itself, and the
// counts add up.
func TestFindingsBetweenAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) (all []finding.Finding) {
			var single []finding.Finding
			for range rapid.IntRange(0, 12).Draw(t, label) {
				c := finding.Finding{
					Severity: rapid.SampledFrom(finding.Severities).Draw(t, "severity"), Count: 1, What: "x",
					Check: rapid.SampledFrom([]string{"neck", "hair"}).Draw(t, "check"), Part: rapid.SampledFrom([]string{"", "rail"}).Draw(t, "part"),
				}
				if rapid.Bool().Draw(t, "placed") {
					c.At = &[3]float64{rapid.Float64Range(0, 8).Draw(t, "x"), 0, 0}
				}
				single = append(single, c)
			}
			return finding.Join(single)
		}
		a, b := draw("a"), draw("b")
		count := func(all []ChangedFinding) (n int) {
			for _, f := range all {
				require.Contains(t, finding.Severities, f.Severity)
				if f.Was == "" {
					n += f.Count
				}
			}
			return n
		}
		places := func(all []finding.Finding) (n int) {
			for _, c := range all {
				n += c.Count
			}
			return n
		}
		gained, lost := findingsBetween(a, b)
		require.Equal(t, places(b)-places(a), count(gained)-count(lost))
		gained, lost = findingsBetween(a, a)
		require.Empty(t, gained)
		require.Empty(t, lost)
	})
}

func TestSplitAsked(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	for _, name := range []string{"yard.toml", "yard@home.toml"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), nil, 0o644))
	}
	for arg, want := range map[string][2]string{
		"yard.toml":                {"yard.toml", ""},
		"yard.toml@v1":             {"yard.toml", "v1"},
		"yard.toml@HEAD@{1}":       {"yard.toml", "HEAD@{1}"},
		"yard@home.toml":           {"yard@home.toml", ""},
		"yard@home.toml@v1@big":    {"yard@home.toml", "v1@big"},
		"saltmere-quay@high-water": {"saltmere-quay", "high-water"},
		"gone.toml@v1":             {"gone.toml", "v1"},
		"gone.toml":                {"gone.toml", ""},
		"@v1":                      {"@v1", ""},
		"yard.toml@":               {"yard.toml", ""},
	} {
		path, rest := splitAsked(arg)
		require.Equal(t, want, [2]string{path, rest}, arg)
	}
}

// solidOf meshes a field.
func solidOf(t *testing.T, f sdf.Field) *mesh.Solid {
	s, err := mesh.Build(t.Context(), f, mesh.Options{Cell: 0.8})
	require.NoError(t, err)
	return s
}

// TestFinely: the surface stays closed and where it was, and no edge stays long.
func TestFinely(t *testing.T) {
	t.Parallel()
	s := solidOf(t, sdf.Difference(sdf.Box(r3.Vec{X: 12, Y: 9, Z: 4}, 0), sdf.Place(sdf.Sphere(2.5), sdf.At(r3.Vec{Z: 2}))))
	m := finely(s, 0.7)
	edges := map[[2]uint32]int{}
	var volume float64
	for _, c := range m.Triangles {
		var p [3]r3.Vec
		for i := range c {
			v := m.Vertices[c[i]]
			p[i] = r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
			edges[[2]uint32{c[i], c[(i+1)%3]}]++
		}
		for i := range p {
			require.LessOrEqual(t, r3.Norm(r3.Sub(p[i], p[(i+1)%3])), 0.7+1e-6)
		}
		volume += r3.Dot(p[0], r3.Cross(p[1], p[2])) / 6
	}
	for e, n := range edges {
		require.Equal(t, 1, n)
		require.Equal(t, 1, edges[[2]uint32{e[1], e[0]}], "an open edge")
	}
	require.InDelta(t, s.Proof.Volume, volume, 1e-2)
	require.Greater(t, len(m.Triangles), 3*len(s.Triangles))
}

// TestChangedTones: a pit and a block on a slab, from both sides.
func TestChangedTones(t *testing.T) {
	t.Parallel()
	slab := sdf.Box(r3.Vec{X: 20, Y: 10, Z: 4}, 0)
	pit := sdf.Place(sdf.Box(r3.Vec{X: 4, Y: 4, Z: 2}, 0), sdf.At(r3.Vec{X: -5, Z: 2}))
	block := sdf.Place(sdf.Box(r3.Vec{X: 4, Y: 4, Z: 2}, 0), sdf.At(r3.Vec{X: 5, Z: 2.5}))
	other := sdf.Union(sdf.Difference(slab, pit), block)
	sides := [2]sdf.Field{slab, other}
	for side := range sides {
		m := finely(solidOf(t, sides[side]), 0.5)
		tones, err := changedTones(context.Background(), m, sides[side], sides[1-side], 0.05, side)
		require.NoError(t, err)
		area := map[picture.Tone]float64{}
		for i, c := range m.Triangles {
			var p [3]r3.Vec
			for k := range c {
				v := m.Vertices[c[k]]
				p[k] = r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
			}
			area[tones[i]] += r3.Norm(r3.Cross(r3.Sub(p[1], p[0]), r3.Sub(p[2], p[0]))) / 2
		}
		if side == 0 { // the lid of the pit will go
			require.InEpsilon(t, 4*4, area[picture.Removed], 0.15)
			require.Zero(t, area[picture.Added])
			continue
		}
		// The floor of the pit and its sides, 1 deep; the block stands 1.5 over the slab.
		require.InEpsilon(t, 4*4+4*4*1, area[picture.Removed], 0.15)
		require.InEpsilon(t, 4*4+4*4*1.5, area[picture.Added], 0.15)
	}
}

// TestEveryPlace: each place is looked at once, with the value of the whole field.
func TestEveryPlace(t *testing.T) {
	var balls []sdf.Field
	for i := range 30 {
		balls = append(balls, sdf.Place(sdf.Sphere(1), sdf.At(r3.Vec{X: float64(3 * (i % 6)), Y: float64(3 * (i / 6))})))
	}
	f := sdf.Union(balls...)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 400).Draw(t, "places")
		seed := rapid.Float64Range(0, 1).Draw(t, "seed")
		at := make([]r3.Vec, n)
		for i := range at {
			x := math.Mod(seed+float64(i)*0.618, 1)
			at[i] = r3.Vec{X: 16 * x, Y: math.Mod(100*x, 13), Z: math.Mod(10*x, 2) - 1}
		}
		got := make([]float64, n)
		times := make([]int, n)
		require.NoError(t, everyPlace(context.Background(), f, at, func(f sdf.Field, i int) {
			got[i] = f.Value(at[i])
			times[i]++
		}))
		for i := range at {
			require.Equal(t, 1, times[i])
			require.Equal(t, f.Value(at[i]), got[i])
		}
	})
	ctx, stop := context.WithCancel(context.Background())
	stop()
	require.ErrorIs(t, everyPlace(ctx, f, []r3.Vec{{}}, func(sdf.Field, int) {}), context.Canceled)
}

func TestComparedWords(t *testing.T) {
	for v, want := range map[float64]string{0: "nothing", 0.004: "under 0.01 mm3", 0.25: "0.25 mm3", 123.46: "123.5 mm3", 12345: "12.35 ml"} {
		require.Equal(t, want, cubic(v))
	}
	r := Report{Bases: []Base{{Result: NotMade}, {Result: Differs}, {Result: Differs}}}
	require.Equal(t, "differs: 2 bases differ, 1 base could not be compared", r.Verdict())
}
