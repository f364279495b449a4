package inspection

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf/mesh"
)

// topsUnder gives the height of the solid on the upright line through (x, y): the
// highest of its triangles there, or 0 where there is none.
func topsUnder(s *mesh.Solid, x, y float64) float64 {
	top := 0.0
	at := func(i uint32) r3.Vec {
		v := s.Vertices[i]
		return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
	}
	for _, t := range s.Triangles {
		a, b, c := at(t[0]), at(t[1]), at(t[2])
		area := (b.X-a.X)*(c.Y-a.Y) - (c.X-a.X)*(b.Y-a.Y)
		if area == 0 {
			continue
		}
		u := ((x-a.X)*(c.Y-a.Y) - (c.X-a.X)*(y-a.Y)) / area
		v := ((b.X-a.X)*(y-a.Y) - (x-a.X)*(b.Y-a.Y)) / area
		if u >= 0 && v >= 0 && u+v <= 1 {
			top = math.Max(top, a.Z+u*(b.Z-a.Z)+v*(c.Z-a.Z))
		}
	}
	return top
}

// A stand lies on the floor that it is on, wherever levels move to: a line down in its
// middle meets the solid as high as one beside it does, and nothing is told of it.
func TestStandsFollowTheirFloor(t *testing.T) {
	for _, c := range []struct {
		sets []string
		rise float64 // of the terrace
	}{
		{nil, 3},
		{[]string{"levels.terrace=yard + 4.5"}, 4.5},
		{[]string{"levels.terrace=yard + 0.15 m"}, 1.5},
		{[]string{"levels.yard=2"}, 3},
		{[]string{"levels.terrace=yard + 4.5", "base.watch.stand[0].level=terrace", "base.brink.stand[0].level=terrace", "base.brink.stand[1].level=yard"}, 4.5},
		{[]string{"base.watch.stand[0].level=yard + 3"}, 3},
	} {
		for _, stands := range []struct {
			base         string
			x, y, beside float64 // the place of the stand, and how far along x to its outside
			up           bool
		}{{"watch", 0, 0, 7, true}, {"brink", -5, 6, 5.5, true}, {"brink", 4, -6, 5.5, false}} {
			s, p := sceneOf(t, "stand-yard.toml", stands.base, c.sets...)
			solid := meshOf(t, p, p.Field, 0)
			want := 4.0 // the rim
			if stands.up {
				want += c.rise
			}
			top := topsUnder(solid, stands.x, stands.y) // in a joint, it may be, or in the dressing
			require.LessOrEqual(t, top, want+1e-3, "%s with %v", stands.base, c.sets)
			require.GreaterOrEqual(t, top, want-s.Site.SeatJoint()-1e-3, "%s with %v", stands.base, c.sets)
			require.InDelta(t, want, topsUnder(solid, stands.x+stands.beside, stands.y+0.3), 0.02, "beside it, %s with %v", stands.base, c.sets)
			i, err := Inspect(t.Context(), s, p, solid, meshedTo)
			require.NoError(t, err)
			require.Empty(t, ofCheck(i.Findings, "stand-level"), "%s with %v", stands.base, c.sets)
			require.Empty(t, ofCheck(i.Findings, "stand"))
		}
	}
}

// A stand at a level that is not that of what is round it is a stop, with its place: by
// how much, and how far round, is measured on the solid.
func TestStandsAtAnotherLevel(t *testing.T) {
	for _, c := range []struct {
		name, base string
		sets       []string
		value      float64 // the pit or the drop, mm; 0 where nothing is told
		around     float64 // how much of the rim, mm; 0 where that is another's business
		severity   string
		part       string
	}{
		{"a terrace that rose round it", "watch", []string{"base.watch.stand[0].height=3", "levels.terrace=yard + 4.5"}, 1.5, 10.2 * math.Pi, parts.SeverityStop, "flags"},
		{"a little", "watch", []string{"base.watch.stand[0].height=3", "levels.terrace=yard + 3.45"}, 0, 0, "", ""},
		{"a little more", "watch", []string{"base.watch.stand[0].height=3", "levels.terrace=yard + 3.55"}, 0.5, 0, parts.SeverityStop, "flags"},
		{"a terrace that sank", "watch", []string{"base.watch.stand[0].height=3", "levels.terrace=yard + 1"}, 2, 10.2 * math.Pi, parts.SeverityNote, "watch"},
		{"one that sank far", "watch", []string{"base.watch.stand[0].height=9", "levels.terrace=yard + 3"}, 6, 10.2 * math.Pi, parts.SeverityStop, "watch"},
		// A chord 3.05 mm from the middle of a circle of 4.1: 2 x 4.1 x acos(3.05/4.1).
		{"over the brink", "brink", []string{"base.brink.stand[0].at=[-5, 3.05]"}, 3, 2 * 4.1 * math.Acos(3.05/4.1), parts.SeverityStop, "brink"},
		{"against the terrace", "brink", []string{"base.brink.stand[1].at=[-5, -3.05]", "base.brink.stand[0].at=[-5, 8]", "base.brink.stand[0].round=6"}, 3, 2 * 4.1 * math.Acos(3.05/4.1), parts.SeverityStop, "terrace"},
		{"on the steps", "foot", []string{"base.foot.at=[60, 24]", "base.foot.stand[0].at=[0, 0.5]", "base.foot.stand[0].round=8", "base.foot.stand[0].level=yard"}, 1, 0, parts.SeverityStop, "steps"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, p := sceneOf(t, "stand-yard.toml", c.base, c.sets...)
			i, err := Inspect(t.Context(), s, p, meshOf(t, p, p.Field, 0), meshedTo)
			require.NoError(t, err)
			Suggest(s, p, i.Findings)
			found := ofCheck(i.Findings, "stand-level")
			if c.value == 0 {
				require.Empty(t, found)
				return
			}
			require.Len(t, found, 1)
			f := found[0]
			require.Equal(t, c.severity, f.Severity, f.Meaning)
			require.Equal(t, c.part, f.Part)
			if c.around == 0 {
				require.Greater(t, f.Value, c.value)
			} else {
				require.InDelta(t, c.value, f.Value, 0.07, "the arris of a flag is eased by 0.06")
				require.Contains(t, f.What, fmt.Sprintf("along %.0f", c.around))
			}
			require.NotEmpty(t, f.Change)
			pad := p.Intent(s.Site).Pads
			near := math.Inf(1)
			for _, k := range pad {
				near = math.Min(near, math.Abs(math.Hypot(f.At[0]-k.At.X, f.At[1]-k.At.Y)-k.Round/2-0.1))
			}
			require.Less(t, near, 1e-9, "on a rim")
		})
	}
}
