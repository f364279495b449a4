package scenes_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/rail"
	"socle/parts/stair"
	"socle/scenes"
)

// TestRailHeight: the top of a handrail over the line through the nosings of its stair,
// by upright rays on the finished mesh, all the way up and over the landing: 1100 full
// size as asked, whatever the scale, the section and the inset.
func TestRailHeight(t *testing.T) {
	const cell, asked = 0.25, 1100.0
	for _, c := range []struct {
		ratio       float64
		rail, stair string
	}{
		{48, `infill = "none"`, ""},
		{56, `infill = "none"`, ""},
		{100, `infill = "none"`, ""},
		{285, `infill = "none"`, ""},
		{56, `infill = "panel"`, `nosing = "30 mm"`},
		{100, "infill = \"rails\"\nsection = \"square\"", ""},
		{285, `section = "square"`, `nosing = "30 mm"`},
		{56, `inset = "200 mm"`, ""},
		{285, `inset = "200 mm"`, `nosing = "30 mm"`},
		{100, `infill = "none"`, "flanks = \"wall\"\ncheek = \"80 mm\""},
	} {
		t.Run(fmt.Sprintf("1:%g %s %s", c.ratio, c.rail, c.stair), func(t *testing.T) {
			f := flight{rise: "1350 mm", profile: "free", more: "risers = 8\ngoing = \"280 mm\"\n" + c.stair, n: 8, riser: 168.75, going: 280}
			text := flightScene(f, c.ratio, 0, 0, "", 0) + fmt.Sprintf("[[rail]]\nalong = \"flight\"\nflank = \"left\"\nspacing = \"4 m\"\n%s\n", c.rail)
			least, most := railOver(t, f, c.ratio, cell, text)
			t.Logf("%.1f to %.1f mm full size", least, most)
			require.Greater(t, least, 0.99*asked)
			require.Less(t, most, 1.01*asked)
		})
	}
}

// railOver measures the rail on the left flank of a flightScene, full-size mm: the
// least and the most that the top of its handrail stands over the line of the nosings,
// between its posts and clear of the knee at the head.
func railOver(t *testing.T, f flight, ratio, cell float64, text string) (least, most float64) {
	s, err := scenes.Read("test.toml", []byte(text), nil)
	require.NoError(t, err)
	scene, err := assembly.Assemble(s.Site)
	require.NoError(t, err)
	p := scene.Pieces()[0]
	solid := built(t, &p, cell)
	rays := newProbe(&solid.Mesh)
	st := parts.AllOf[*stair.Stair](s.Site)[0]
	rail := parts.AllOf[*rail.Rail](s.Site)[0]
	zero := p.Pose.Apply(r3.Vec{}).Z
	riser, going, run := f.riser/ratio, f.going/ratio, f.going/ratio*float64(f.n-1)
	nosing := 0.0
	if st.Nosing > 0 {
		nosing = max(st.Nosing, s.Site.Print.Relief)
	}
	post := max(rail.Post, s.Site.Print.Pin)
	inset := max(rail.Inset, 0.1) + post/2
	across := -3 + min(inset, 3) // of the middle of the handrail
	if st.Flanks == "wall" {
		across = -3 + max(max(st.Cheek, s.Site.Print.Wall)/2, post/2)
	}
	least, most = math.Inf(1), math.Inf(-1)
	length, n := run, 1
	for length/float64(n) > max(rail.Spacing, 1.5*post)+1e-9 {
		n++
	}
	for i := range 400 {
		y := inset + run*(float64(i)+0.5)/400 // from the first riser
		bay := length / float64(n)
		off := math.Mod(y-inset, bay)
		if off < post || bay-off < post || math.Abs(y-run+nosing) < post {
			continue
		}
		line := min((y+nosing)/going*riser+riser, riser*float64(f.n)) + s.Site.Levels["low"] - zero
		top := rays.top(t, across, y-run/2)
		over := s.Site.FullHeight(top - line)
		least, most = min(least, over), max(most, over)
	}
	return least, most
}
