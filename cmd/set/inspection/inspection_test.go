package inspection

import (
	"context"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/out/inspect"
	"socle/parts"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// sceneOf reads a scene of testdata and cuts one of its bases.
func sceneOf(t *testing.T, name, base string, values ...string) (*set.Set, *assembly.Piece) {
	t.Helper()
	s, err := set.Open(t.Context(), strings.NewReader(""), filepath.Join("..", "..", "socle", "testdata", name), set.Selection{Sets: values})
	require.NoError(t, err)
	set, err := s.Cut([]string{base})
	require.NoError(t, err)
	require.Len(t, set.Pieces, 1)
	return set, &set.Pieces[0]
}

// meshedTo is how finely the solids by hand are meshed.
var meshedTo = mesh.Options{Cell: 0.4, Tolerance: 0.005}

// meshOf meshes a field in place of a piece's own, as far up as high.
func meshOf(t *testing.T, p *assembly.Piece, f sdf.Field, high float64, heights ...float64) *mesh.Solid {
	t.Helper()
	box := p.Box
	box.Max.Z = math.Max(box.Max.Z, high)
	o := meshedTo
	o.Box, o.Heights = box, append(heights, p.Heights...)
	solid, err := mesh.Build(t.Context(), f, o)
	require.NoError(t, err)
	return solid
}

// block is a box by hand, turned outward, or inward for a void; with a vertex more
// in the middle of its underside, so much higher than that.
func block(m *mesh.Mesh, lo, hi [3]float32, inward bool, dent float32) {
	n := uint32(len(m.Vertices))
	for i := range 8 {
		v := lo
		for c := range 3 {
			if i>>c&1 == 1 {
				v[c] = hi[c]
			}
		}
		m.Vertices = append(m.Vertices, v)
	}
	m.Vertices = append(m.Vertices, [3]float32{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2, lo[2] + dent})
	for _, t := range [][3]uint32{
		{0, 2, 8}, {2, 3, 8}, {3, 1, 8}, {1, 0, 8}, // underside
		{4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5},
	} {
		if inward {
			t[1], t[2] = t[2], t[1]
		}
		m.Triangles = append(m.Triangles, [3]uint32{t[0] + n, t[1] + n, t[2] + n})
	}
}

// TestInspectionOnBothSides feeds the inspection of a scene's base with solids that
// no scene makes: the parts keep stands flat and skins whole, and the mesher fills
// what is sealed. Each is a little over its limit, and then a little under it.
func TestInspectionOnBothSides(t *testing.T) {
	const yard = "check-yard.toml"
	void := func(side float32) *mesh.Solid {
		s := &mesh.Solid{}
		block(&s.Mesh, [3]float32{-8, -8, 0}, [3]float32{8, 8, 4}, false, 0)
		block(&s.Mesh, [3]float32{0, 0, 2}, [3]float32{side, side, 2 + side}, true, 0)
		return s
	}
	dented := func(by float32) *mesh.Solid {
		s := &mesh.Solid{}
		block(&s.Mesh, [3]float32{-8, -8, 0}, [3]float32{8, 8, 4}, false, by)
		return s
	}
	plain := func(t *testing.T) (*set.Set, *assembly.Piece) { return sceneOf(t, yard, "plain") }
	for _, c := range []struct {
		check       string
		scene       func(t *testing.T) (*set.Set, *assembly.Piece)
		over, under func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid
	}{
		{"sealed-void", plain, // of 0.125 and of 0.091 mm3; 0.1 is told
			func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid { return void(0.5) },
			func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid { return void(0.45) }},
		{"lidded-void", func(t *testing.T) (*set.Set, *assembly.Piece) { return sceneOf(t, yard, "plain", "inspect.void=4") },
			pocketed(2.2), pocketed(1.8)}, // squares, 1 mm deep: 4.84 and 3.24 mm3
		{"drain", plain, celled(1.95), celled(2.05)}, // 2 mm is the least vent
		{"filled-void", plain, celled(0), celled(2.05)},
		{"uneven-foot", plain, // the mesh's own play is 0.02 mm
			func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid { return dented(0.03) },
			func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid { return dented(0.015) }},
		{"skin", func(t *testing.T) (*set.Set, *assembly.Piece) { return sceneOf(t, yard, "seat") },
			pitted(0.7), pitted(0.85)}, // 0.8 is asked for
		{"stand", podium, bumped(0.1), bumped(0.03)}, // 0.05 is a layer
		{"stand", podium, roofed(5.8), roofed(6.2)},  // 6 mm are to be clear
		// 3/8 in full size are 0.17 mm at 1:56; a tread that is higher by some makes
		// risers that differ by twice as much.
		{"uneven-risers", stairFlight, trodden(0.1), trodden(0.07)},
		{"uneven-risers", stairFlight, overhung(2.7), overhung(0.8)}, // of a going of 5.4 mm
	} {
		t.Run(c.check, func(t *testing.T) {
			t.Parallel()
			s, p := c.scene(t)
			i, err := Inspect(t.Context(), s, p, c.over(t, s, p), meshedTo)
			require.NoError(t, err)
			found := ofCheck(i.Findings, c.check)
			require.Len(t, found, 1, "%v", i.Findings)
			requireGraded(t, found[0])
			require.Equal(t, p.Name, found[0].Base)
			require.NotEmpty(t, found[0].Part)
			Suggest(s, p, found)
			require.NotEmpty(t, found[0].Change)
			i, err = Inspect(t.Context(), s, p, c.under(t, s, p), meshedTo)
			require.NoError(t, err)
			require.Empty(t, ofCheck(i.Findings, c.check))
		})
	}
}

func podium(t *testing.T) (*set.Set, *assembly.Piece) {
	return sceneOf(t, "check-yard.toml", "podium", "base.podium.stand[0].face=smooth")
}

func stairFlight(t *testing.T) (*set.Set, *assembly.Piece) {
	return sceneOf(t, "check-yard.toml", "flight", "rail.guard.infill=none", "levels.ledge=10.5", "printer.pixel=0.1")
}

// pocketed is a base with a square hole of a side in its underside, 1 mm deep.
func pocketed(side float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, _ *set.Set, p *assembly.Piece) *mesh.Solid {
		hole := sdf.BoxBetween(sdf.V(-side/2, -side/2, -1), sdf.V(side/2, side/2, 1))
		return meshOf(t, p, sdf.Difference(p.Field, hole), 0, 1)
	}
}

// celled is a base with a room of 8 x 8 x 6 mm on it, and a slit in one of its walls.
func celled(slit float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, _ *set.Set, p *assembly.Piece) *mesh.Solid {
		house := sdf.Union(p.Field, sdf.BoxBetween(sdf.V(-5, -5, 1), sdf.V(5, 5, 11)))
		house = sdf.Difference(house, sdf.BoxBetween(sdf.V(-4, -4, 4), sdf.V(4, 4, 10)))
		if slit > 0 {
			house = sdf.Difference(house, sdf.BoxBetween(sdf.V(3, -slit/2, 4), sdf.V(6, slit/2, 10)))
		}
		return meshOf(t, p, house, 11, 4, 10, 11)
	}
}

// pitted is a base with a pit in its top, so much over the pocket for its magnet.
func pitted(skin float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid {
		z := p.Intent(s.Site).Pockets[0].Depth + skin
		pit := sdf.BoxBetween(sdf.V(-1, -1, z), sdf.V(1, 1, 20))
		return meshOf(t, p, sdf.Difference(p.Field, pit), 0, z)
	}
}

// bumped is a base with half of its stand so much higher.
func bumped(by float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid {
		top := p.Intent(s.Site).Pads[0].Top
		bump := sdf.BoxBetween(sdf.V(-2, -2, 1), sdf.V(1, 1, top+by))
		return meshOf(t, p, sdf.Union(p.Field, bump), 0, top+by)
	}
}

// roofed is a base with a bracket over its stand, so high.
func roofed(high float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid {
		top := p.Intent(s.Site).Pads[0].Top
		post := sdf.BoxBetween(sdf.V(4.5, -1, 1), sdf.V(6, 1, top+high+1))
		arm := sdf.BoxBetween(sdf.V(-1, -1, top+high), sdf.V(6, 1, top+high+1))
		return meshOf(t, p, sdf.Union(p.Field, post, arm), top+high+2, top+high, top+high+1)
	}
}

// trodden is a base with a flight of which one tread is so much higher.
func trodden(by float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid {
		flights := s.Place.Treads(*p)
		require.Len(t, flights, 1)
		tread := flights[0].Treads[1]
		require.NotEmpty(t, tread.At)
		lo, hi := tread.At[0], tread.At[0] // of the places where it is measured
		for _, at := range tread.At {
			lo.X, lo.Y, hi.X, hi.Y = min(lo.X, at.X), min(lo.Y, at.Y), max(hi.X, at.X), max(hi.Y, at.Y)
		}
		step := sdf.BoxBetween(sdf.V(lo.X-0.3, lo.Y-0.3, 1), sdf.V(hi.X+0.3, hi.Y+0.3, tread.Height+by))
		return meshOf(t, p, sdf.Union(p.Field, step), 0, tread.Height+by)
	}
}

// overhung is a base with a flight, over the last tread of which the rounded nosing of
// the landing hangs by so much.
func overhung(by float64) func(*testing.T, *set.Set, *assembly.Piece) *mesh.Solid {
	return func(t *testing.T, s *set.Set, p *assembly.Piece) *mesh.Solid {
		st := s.Place.Treads(*p)[0].Stair
		flight := st.Flight(s.Site)
		head := flight.HeadLine()
		a, b := p.Pose.Invert(head[0]), p.Pose.Invert(head[1])
		mid := r3.Scale(0.5, r3.Add(a, b))
		edge := sdf.BoxBetween(sdf.V(mid.X, -10, mid.Z-2*by-0.02), sdf.V(mid.X+5, 10, mid.Z-by))
		return meshOf(t, p, sdf.Union(p.Field, sdf.Offset(edge, by)), mid.Z+1, mid.Z)
	}
}

// TestRisersOfAScene are even to what the mesher may be off, and measured.
func TestRisersOfAScene(t *testing.T) {
	s, p := stairFlight(t)
	t.Parallel()
	i, err := Inspect(t.Context(), s, p, meshOf(t, p, p.Field, 0), meshedTo)
	require.NoError(t, err)
	flights := i.Measured.Flights
	require.Len(t, flights, 1)
	require.Equal(t, "steps", flights[0].Stair)
	require.Len(t, flights[0].Rises, 2)
	for _, rise := range flights[0].Rises {
		require.InDelta(t, 2.5, rise, 0.02)
	}
	require.Empty(t, ofCheck(i.Findings, "uneven-risers"))
}

// TestEveryKindHasWords puts a finding of each kind into words, for both ways to
// print: of filament nothing is told that only resin does.
func TestEveryKindHasWords(t *testing.T) {
	t.Parallel()
	for _, process := range []string{"resin", "filament"} {
		s, p := sceneOf(t, "check-yard.toml", "flight", "printer.process="+process)
		flights := s.Place.Treads(*p)
		require.NotEmpty(t, flights)
		for k := inspect.Island; k <= inspect.BareTop; k++ {
			found := &inspect.Finding{Kind: k, At: [3]float64{0, 0, 4}, Size: [3]float64{3, 3, 3}, Value: 1.5, Limit: 2, Measure: inspect.OfHeight}
			f := findingOf(s, p, found, flights)
			require.Equal(t, k.Check(), f.Check)
			requireGraded(t, f)
			one := []finding.Finding{f}
			Suggest(s, p, one)
			f = one[0]
			for _, words := range []string{f.What, f.Meaning, f.Change, f.Part} {
				require.NotEmpty(t, words, f.Check)
				require.NotContains(t, words, "%!", f.Check)
			}
			require.False(t, strings.HasSuffix(f.Meaning, "."), "the report ends the sentence: %s", f.Meaning)
			if process == "filament" {
				for _, word := range []string{"resin", "vat", "cures", "film"} {
					require.NotContains(t, strings.Fields(strings.NewReplacer(",", " ", ":", " ").Replace(f.Meaning)), word, "%s: %s", f.Check, f.Meaning)
				}
			}
			if k == inspect.UnevenRisers {
				require.Equal(t, "steps", f.Part)
			}
		}
	}
}

// TestHarm ranks by what ruins a print: what is lost on both sides of a part's size,
// and what hangs out on both sides of far; a stop stays one.
func TestHarm(t *testing.T) {
	s, p := sceneOf(t, "check-yard.toml", "plain")
	told := func(f inspect.Finding) finding.Finding { return findingOf(s, p, &f, nil) }
	for _, c := range []struct {
		what     string
		f        inspect.Finding
		severity string
	}{
		{"an overhang of 14.5 mm", inspect.Finding{Kind: inspect.Overhang, Value: 14.5, Limit: 1.5}, parts.SeverityWarn},
		{"an overhang, twice what it may be", inspect.Finding{Kind: inspect.Overhang, Value: 3, Limit: 1.5}, parts.SeverityWarn},
		{"an overhang, a little less", inspect.Finding{Kind: inspect.Overhang, Value: 2.99, Limit: 1.5}, parts.SeverityNote},
		{"a bridge of 6 mm", inspect.Finding{Kind: inspect.Bridge, Value: 6, Limit: 3}, parts.SeverityWarn},
		{"a bridge of 5.9 mm", inspect.Finding{Kind: inspect.Bridge, Value: 5.9, Limit: 3}, parts.SeverityNote},
		{"a sliver of 0.13 mm", inspect.Finding{Kind: inspect.ThinWall, Value: 0.13, Limit: 1, Size: [3]float64{9, 0.13, 0.6}}, parts.SeverityNote},
		{"a wall", inspect.Finding{Kind: inspect.ThinWall, Value: 0.8, Limit: 1, Size: [3]float64{9, 0.8, 2}}, parts.SeverityWarn},
		{"a stub", inspect.Finding{Kind: inspect.ThinPin, Value: 0.7, Limit: 0.8, Length: 1.9, Size: [3]float64{0.7, 0.7, 1.9}}, parts.SeverityNote},
		{"a baluster", inspect.Finding{Kind: inspect.ThinPin, Value: 0.7, Limit: 0.8, Length: 2, Size: [3]float64{0.7, 0.7, 2}}, parts.SeverityWarn},
		{"a grain on a neck", inspect.Finding{Kind: inspect.Neck, Value: 0.3, Limit: 0.5, Volume: 0.1, Size: [3]float64{0.5, 0.6, 0.7}}, parts.SeverityNote},
		{"a block on a neck", inspect.Finding{Kind: inspect.Neck, Value: 0.3, Limit: 0.5, Volume: 8, Size: [3]float64{2, 2, 2}}, parts.SeverityWarn},
		{"a gap that closes", inspect.Finding{Kind: inspect.NarrowGap, Value: 0.1, Limit: 0.3, Size: [3]float64{30, 0.1, 4}}, parts.SeverityNote},
	} {
		require.Equal(t, c.severity, told(c.f).Severity, c.what)
	}
	worst := finding.Join([]finding.Finding{
		told(inspect.Finding{Kind: inspect.ThinWall, Value: 0.8, Limit: 1, Size: [3]float64{9, 0.8, 2}}),
		told(inspect.Finding{Kind: inspect.Island, Value: 0.06, Limit: 0.05, Size: [3]float64{0.3, 0.2, 0.05}}),
	})
	require.Equal(t, "island", worst[0].Check)
	worst = finding.Join(append(worst, told(inspect.Finding{Kind: inspect.Overhang, Value: 14.5, Limit: 1.5})))
	require.Equal(t, []string{"overhang", "island", "thin-wall"}, []string{worst[0].Check, worst[1].Check, worst[2].Check}, "the most harm first")

	s.Site.Inspect.Severities.ThinWall = parts.SeverityStop
	require.Equal(t, parts.SeverityStop, told(inspect.Finding{Kind: inspect.ThinWall, Value: 0.13, Limit: 1, Size: [3]float64{1, 0.13, 1}}).Severity)
}

// TestCrumbsInWords: what the mesher dropped, kept or filled, and no dust.
func TestCrumbsInWords(t *testing.T) {
	s, p := sceneOf(t, "check-yard.toml", "plain")
	crumb := func(side, volume float64, kept bool) mesh.Crumb {
		return mesh.Crumb{At: r3.Vec{X: 1, Z: 4}, Size: r3.Vec{X: side, Y: side / 2, Z: side / 3}, Volume: volume, Kept: kept}
	}
	found := crumbFindings(s, p, &mesh.Solid{Crumbs: []mesh.Crumb{
		crumb(2, 1, false), crumb(1, 0.5, true), crumb(0.7, -0.1, false), crumb(8, -300, false), crumb(1.9, 1, false),
		crumb(0.051, 1e-5, false), crumb(0.049, 1e-5, false),
	}})
	Suggest(s, p, found)
	require.Len(t, found, 6, "dust is under a pixel of 0.05 mm every way")
	for i, want := range []struct{ check, severity, what, meaning string }{
		{"crumb", "warn", "a loose piece of 2.00 x 1.00 x 0.67 mm, dropped", "a part of the scene is missing"},
		{"crumb", "note", "a loose piece of 1.00 x 0.50 x 0.33 mm, kept", "the scene keeps it"},
		{"filled-void", "note", "a sealed bubble of 0.70 x 0.35 x 0.23 mm, filled", "was filled"},
		{"filled-void", "warn", "a sealed room of 8.00 x 4.00 x 2.67 mm, filled", "differs from the scene"},
		{"crumb", "note", "a loose bit of 1.90 x 0.95 x 0.63 mm, dropped", "dropped"},
	} {
		require.Equal(t, [3]string{want.check, want.severity, want.what}, [3]string{found[i].Check, found[i].Severity, found[i].What})
		require.Contains(t, found[i].Meaning, want.meaning)
		require.NotNil(t, found[i].At, "it is ringed where it was")
		require.Positive(t, found[i].Value, "a volume is never under 0")
	}
	require.Empty(t, found[2].Change, "there is nothing to change about a bubble")
	require.NotEmpty(t, found[3].Change)

	s, p = sceneOf(t, "check-yard.toml", "plain")
	made := celled(0)(t, s, p)
	i, err := Inspect(t.Context(), s, p, made, meshedTo)
	require.NoError(t, err)
	room := ofCheck(i.Findings, "filled-void")
	require.Len(t, room, 1)
	require.Equal(t, parts.SeverityWarn, room[0].Severity)
	require.Equal(t, "a sealed room of 8.00 x 8.00 x 6.00 mm, filled", room[0].What)

	s.Site.Inspect.Crumbs = "stop"
	lost := 8.0
	s.Site.Inspect.Lost = &lost
	found = crumbFindings(s, p, &mesh.Solid{Crumbs: []mesh.Crumb{crumb(2, 1, false), crumb(0.7, -0.1, false), crumb(8, -300, false)}})
	require.Equal(t, parts.SeverityStop, found[0].Severity)
	require.Equal(t, parts.SeverityNote, found[1].Severity)
	require.Equal(t, parts.SeverityStop, found[2].Severity, "a room as long as may be lost")
}

// TestJobOf: what a base is held against is the scene's own.
func TestJobOf(t *testing.T) {
	s, p := sceneOf(t, "check-yard.toml", "seat", "printer.pixel=0.04", "printer.layer=0.03", "printer.first-layers=5",
		"printer.plate=[100, 80]", "printer.tallest=150", "inspect.laid=tilted", "inspect.slender=8")
	job := jobOf(s, p, meshedTo)
	require.Equal(t, 0.04, job.Grid.Pixel)
	require.Equal(t, 0.03, job.Grid.Layer)
	require.InDelta(t, 0.15, job.Chamfer, 1e-12, "five layers")
	require.Equal(t, inspect.PlateLimits{Plate: [2]float64{100, 80}, Tallest: 150, Lean: 30}, job.Printer)
	require.True(t, job.Tilted)
	require.Equal(t, 8.0, job.Least.Slender)
	require.Len(t, job.Pockets, 1)
	require.Equal(t, [2]float64{5, 1}, job.Pockets[0].Magnet)
	require.InDelta(t, 8, job.Foot, 1e-9, "two fifths of a base of 20 mm")
	require.InDelta(t, 9.525/56, job.Riser, 1e-9, "3/8 in at 1:56")

	s, p = sceneOf(t, "check-yard.toml", "seat", "printer.process=filament")
	job = jobOf(s, p, meshedTo)
	require.InDelta(t, 0.1, job.Grid.Pixel, 1e-12, "a quarter of a nozzle of 0.4")
	require.Zero(t, job.Vent, "filament drains from nothing")
	require.Equal(t, 3.0, job.Least.Pin)
	require.Less(t, jobOf(s, p, meshedTo).Pockets[0].Clearance[1], job.Pockets[0].Clearance[0])
}

// TestInspectionEnds with its context.
func TestInspectionEnds(t *testing.T) {
	s, p := sceneOf(t, "check-yard.toml", "plain")
	solid := meshOf(t, p, p.Field, 0)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Inspect(ctx, s, p, solid, meshedTo)
	require.ErrorIs(t, err, ctx.Err())
}
