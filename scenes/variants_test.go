package scenes

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestVariantsExtend: what is inherited applies first, through a chain and wherever
// the variants stand; what is changed again is told once, where it is written last.
func TestVariantsExtend(t *testing.T) {
	text := quay + `
[[variant]]
name = "gale"
extends = "storm"
set = { "stair.water-stair.width" = 12, "seed" = 7 }
[[variant]]
name = "storm"
extends = "low"
set = { "deck.mole.area" = { rect = [0, 95, 200, 60] }, "base.base-1.magnet" = [{ disc = [4, 1] }, { disc = [3, 1], at = [[20, 0]] }, { disc = [3, 1], at = [[-20, 0]] }] }
[[variant]]
name = "low"
set = { "levels.mole" = 6, "stair.water-stair.width" = 20, "deck.mole.area.turn" = 2 }
[[variant]]
name = "hail"
extends = "storm"
set = { "base.base-1.magnet[2].disc" = [2, 1] }
`
	s, err := Read("quay.toml", []byte(text), nil)
	require.NoError(t, err)
	line := func(of string) int { return strings.Count(text[:strings.Index(text, of)], "\n") + 1 }
	var told []string
	for _, c := range s.Changes(s.Variants[0]) {
		told = append(told, fmt.Sprintf("%s = %s (%s, line %d), was %s", c.Path, c.Value, c.From, c.Line, c.Was))
	}
	require.Equal(t, []string{
		fmt.Sprintf(`levels.mole = 6 (low, line %d), was "3.1 m"`, line(`set = { "levels.mole"`)),
		fmt.Sprintf(`deck.mole.area = { rect = [0, 95, 200, 60] } (storm, line %d), was { rect = [0, 95, 220, 65] }`, line(`set = { "deck.mole.area"`)),
		fmt.Sprintf(`base.base-1.magnet = [{ disc = [4, 1] }, { disc = [3, 1], at = [[20, 0]] }, { disc = [3, 1], at = [[-20, 0]] }] (storm, line %d), was [{ disc = [5, 1] }, { disc = [3, 1], at = [[20, 0]] }]`, line(`set = { "deck.mole.area"`)),
		fmt.Sprintf(`stair.water-stair.width = 12 (gale, line %d), was `, line(`set = { "stair`)),
		fmt.Sprintf(`seed = 7 (gale, line %d), was `, line(`set = { "stair`)),
	}, told)
	gale, err := s.Variant("gale")
	require.NoError(t, err)
	require.Equal(t, 6.0, gale.Site.Levels["mole"])
	require.Equal(t, uint64(7), gale.Site.Seed)
	require.Contains(t, fmt.Sprintf("%+v", gale.Site.Find("water-stair")), "Width:12 ")
	require.Contains(t, fmt.Sprintf("%+v", gale.Site.Find("mole")), "Rect:[0 95 200 60] Round:[] Oval:[] Polygon:[] Turn:0")
	hail, err := s.Variant("hail")
	require.NoError(t, err, "a path into what the variant before it has made")
	require.Contains(t, fmt.Sprintf("%+v", hail.Site.Find("base-1")), "Disc:[2 1]")
	storm, err := s.Variant("storm")
	require.NoError(t, err)
	require.NotContains(t, fmt.Sprintf("%+v", storm.Site.Find("base-1")), "Disc:[2 1]", "which stays out of that")
	require.Equal(t, "storm", s.Variants[0].Extends)
}

// TestVariantReachesIntoWhatItHasMade, in the order of its text, as --set does.
func TestVariantReachesIntoWhatItHasMade(t *testing.T) {
	text := quay + `
[[variant]]
name = "low"
set = { "base.base-1.magnet" = [{ disc = [4, 1] }], "base.base-1.magnet[0].disc" = [3, 1], "stair.water-stair.name" = "steps", "stair.steps.width" = 12 }
`
	s, err := Read("quay.toml", []byte(text), nil)
	require.NoError(t, err)
	low, err := s.Variant("low")
	require.NoError(t, err)
	require.Contains(t, fmt.Sprintf("%+v", low.Site.Find("base-1")), "Disc:[3 1]")
	require.Contains(t, fmt.Sprintf("%+v", low.Site.Find("steps")), "Width:12 ")
	require.Equal(t, "[{ disc = [4, 1] }]", s.Changes(s.Variants[0])[0].Value)
}

// TestInheritedFaultsAreToldOnce, at the variant that they are written in.
func TestInheritedFaultsAreToldOnce(t *testing.T) {
	text := quay + `
[[variant]]
name = "far"
extends = "near"
set = { "seed" = 3 }
[[variant]]
name = "near"
set = { "base.base-1.turn" = "9 deg" }
`
	_, err := Read("quay.toml", []byte(text), nil)
	var faults *Faults
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults.List, 1, "%v", err)
	require.Contains(t, faults.List[0].Text, `in variant "near"`)
	text = strings.Replace(text, `"seed" = 3`, `"base.base-1.turn" = 9`, 1)
	_, err = Read("quay.toml", []byte(text), nil)
	require.ErrorAs(t, err, &faults)
	require.Len(t, faults.List, 1, "what is put right in one is wrong in the other: %v", err)
}
