package scenes

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

const quay = `title = "Quay"
[scale]
ratio = 285
[levels]
quay = 3
mole = "3.1 m"
[ground]
size = [220, 160]
level = "quay"
[[deck]]
name = "mole"
level = "mole"
area = { rect = [0, 95, 220, 65] }
[[stair]]
name = "water-stair"
from = "quay"
to = "mole"
head = [110, 95]
facing = "north"
[[base]]
oval = [60, 35]
at = [60, 40]
magnet = [{ disc = [5, 1] }, { disc = [3, 1], at = [[20, 0]] }]
`

func TestSets(t *testing.T) {
	for _, c := range []struct{ set, want string }{
		{"stair.water-stair.width=30", "Width:30 "},
		{"stair.water-stair.width = 2.85 m", "Width:10 "},
		{`stair.water-stair.width="2.85 m"`, "Width:10 "},
		{"stair.water-stair.facing=north-west", "Facing:135 "},
		{"stair.water-stair.facing=12.5", "Facing:12.5 "},
		{"stair.water-stair.to=20", "To:{Name: Height:20}"},
		{"stair.water-stair.name=steps", "Name:steps"},
		{"levels.mole=14", "To:{Name:mole Height:14}"},
		{"scale.ratio=100", "To:{Name:mole Height:31}"},
		{"scale.exaggerate=2", "Height:21.75"},
		{"deck.mole.area={ round = [110, 120, 40], turn = 5 }", "Rect:[] Round:[110 120 40] Oval:[] Polygon:[] Turn:5"},
		{"deck.mole.area.turn=5", "Rect:[0 95 220 65] Round:[] Oval:[] Polygon:[] Turn:5"},
		{"base.base-1.magnet[1].disc=[4, 2]", "Disc:[4 2]"},
		{"base.base-1.magnet=[]", "Magnets:[]"},
		{"ground.surface=uneven", "Surface:uneven"},
	} {
		s, err := Read("quay.toml", []byte(quay), []string{c.set})
		require.NoError(t, err, c.set)
		text := ""
		for _, p := range s.Site.Parts {
			text += fmt.Sprintf("%+v\n", p)
		}
		require.Contains(t, text, c.want, c.set)
	}
	s, err := Read("quay.toml", []byte(quay), []string{"title=Quay the Second", "seed=7", "printer.pin=0.5", "title=3 quays"})
	require.NoError(t, err)
	require.Equal(t, "3 quays", s.Site.Title, "the last one holds")
	require.Equal(t, uint64(7), s.Site.Seed)
	require.Equal(t, 0.5, s.Site.Print.Pin)
}

func TestFaultySets(t *testing.T) {
	for _, c := range []struct {
		set     string
		column  int
		length  int
		text    string
		nearest string
	}{
		{"stair.water-stair.width=wide", 25, 4, `"wide" is not a length`, ""},
		{"stair.water-stair.width=30 fathoms", 25, 10, `unknown unit "fathoms"`, ""},
		{"stair.water-stair.facing=nroth", 26, 5, "no direction", "north"},
		{"stair.water-stair.widht=30", 19, 5, `no "widht" in the keys of stair`, "stair.water-stair.width"},
		{"stair.water-stairs.width=30", 7, 12, `no "water-stairs"`, "stair.water-stair.width"},
		{"stiar.water-stair.width=30", 1, 5, `nothing in a scene is called "stiar"`, "stair.water-stair.width"},
		{"levels.moll=4", 8, 4, `no "moll" in [levels]`, "levels.mole"},
		{"levels.mole.x=4", 1, 13, "a level has no keys below it", ""},
		{"levels=4", 1, 6, "not a whole path", ""},
		{"stair=4", 1, 5, "not a whole path", ""},
		{"stair.water-stair=4", 1, 17, "not a whole path", ""},
		{"seed.x=4", 1, 6, "seed has no keys below it", "seed"},
		{"scale.ratoi=4", 7, 5, `no "ratoi"`, "scale.ratio"},
		{"scale.ratio=0", 13, 1, "too small", ""},
		{"base.base-1.magnet[2].skin=1", 1, 26, "no table [2]", ""},
		{"base.base-1.magnet.skin=1", 1, 23, "magnet has no keys below it", ""},
		{"base.base-1.round[0]=1", 1, 20, "round is not a list of tables", "round"},
		{"rail.rail-1.height=1", 1, 18, "the scene has no rail to change", ""},
		{"stair.water-stair.width", 1, 23, "no = between", ""},
		{"stair.water-stair.width=", 25, 1, "no value after the =", ""},
		{"  stair.water-stair.width =  [1,", 30, 3, "not a value", ""},
		{"variant.x.name=y", 1, 7, "nothing in a scene", ""},
		{"=3", 1, 2, "no key before the =", ""},
		{"  =3", 1, 4, "no key before the =", ""},
		{"a.b.c.d.e.f.g.h.i.j.k.l.m.n=3", 1, 27, "a path of more than", ""},
	} {
		_, err := Read("quay.toml", []byte(quay), []string{"seed=1", c.set})
		var faults *Faults
		require.True(t, errors.As(err, &faults), c.set)
		require.NotEmpty(t, faults.List)
		f := faults.List[len(faults.List)-1]
		require.Len(t, faults.List, 1, "%s: %v", c.set, err)
		require.Equal(t, "--set", f.File)
		require.Equal(t, 2, f.Line, "the second --set")
		require.Equal(t, []int{c.column, c.length}, []int{f.Column, f.Length}, "%s: %v", c.set, err)
		require.Contains(t, f.Text, c.text)
		require.Equal(t, c.nearest, f.Nearest, c.set)
		require.Equal(t, c.set, f.Source)
	}
}

// TestSetBreaksARule: a rule that is broken by a --set points at it.
func TestSetBreaksARule(t *testing.T) {
	_, err := Read("quay.toml", []byte(quay), []string{"stair.water-stair.to=1"})
	var faults *Faults
	require.True(t, errors.As(err, &faults))
	require.Len(t, faults.List, 1)
	f := faults.List[0]
	require.Equal(t, []any{"--set", 1, 22}, []any{f.File, f.Line, f.Column}, err)
}

// TestSetFaultsComeAfterThoseOfTheFile checks that both are found in one run.
func TestSetFaultsComeAfterThoseOfTheFile(t *testing.T) {
	_, err := Read("quay.toml", []byte(quay+"taperr = 1\n"), []string{"base.base-1.turn=x", "nothing=1"})
	var faults *Faults
	require.True(t, errors.As(err, &faults))
	require.Len(t, faults.List, 3)
	require.Equal(t, "quay.toml", faults.List[0].File)
	require.Equal(t, []int{1, 2}, []int{faults.List[1].Line, faults.List[2].Line})
	require.Equal(t, "3 faults in quay.toml and --set", faults.Summary())
}

func TestVariants(t *testing.T) {
	text := quay + `
[[variant]]
name = "low"
set = { "levels.mole" = 6, stair.water-stair.width = 20 }
[[variant]]
name = "wide"
[variant.set]
"stair.water-stair.width" = 40
`
	s, err := Read("quay.toml", []byte(text), nil)
	require.NoError(t, err)
	require.Len(t, s.Variants, 2)
	low, err := s.Variant("low")
	require.NoError(t, err)
	require.Equal(t, 6.0, low.Site.Levels["mole"])
	require.Contains(t, fmt.Sprintf("%+v", low.Site.Find("water-stair")), "Width:20 ")
	wide, err := s.Variant("wide")
	require.NoError(t, err)
	require.Contains(t, fmt.Sprintf("%+v", wide.Site.Find("water-stair")), "Width:40 ")
	require.NotEqual(t, 6.0, wide.Site.Levels["mole"], "one variant's changes stay out of another")
	require.NotContains(t, fmt.Sprintf("%+v", s.Site.Find("water-stair")), "Width:40 ", "and out of the scene")
	_, err = s.Variant("lwo")
	require.ErrorContains(t, err, `did you mean "low"?`)
}
