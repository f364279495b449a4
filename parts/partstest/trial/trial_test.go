package trial_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/cmd/set/report"
	"socle/cmd/set/vary"
	"socle/parts"
	"socle/parts/assembly"
	_ "socle/parts/partstest/trial"
	"socle/scenes"
	"socle/scenes/scenestest"
	"socle/sdf"
	"socle/sdf/mesh"
)

// ferry is a raft on the land with dolphins and a scorch pit on it, a stair up to it, a
// crater that hits it, and two bases.
const ferry = `
title = "Ferry"
[scale]
ratio = 100
[levels]
quay = 3
float = 6
[ground]
size = [70, 50]
level = "quay"
[[raft]]
name = "pontoon"
level = "float"
area = { rect = [30, 10, 32, 30] }
[[stair]]
name = "gangway"
from = "quay"
to = "float"
head = [30, 25]
facing = "east"
width = 10
profile = "free"
risers = 2
going = 3
[[dolphin]]
name = "mooring"
at = [[42, 20], [41, 30]]
on = "pontoon"
diameter = "60 mm"
[[scorch]]
name = "burn"
at = [51, 26]
diameter = 8
depth = 1
[[crater]]
name = "hit"
at = [51, 34]
diameter = 4
cracks = 0
spall = 0
[[spill]]
name = "ash"
from = "burn"
count = 4
[[rail]]
name = "guard"
along = "pontoon"
edge = "north"
[[base]]
name = "deck"
round = 26
at = [47, 25]
stand = [{ at = [0, -8], round = 5 }]
[[base]]
name = "steps"
round = 22
at = [22, 25]
`

// trials are the kinds of this folder.
var trials = []string{"raft", "dolphin", "scorch"}

func site(t *testing.T, text string) *parts.Site {
	t.Helper()
	s, err := scenes.Read("ferry.toml", []byte(text), nil)
	require.NoError(t, err)
	return s.Site
}

func assembled(t *testing.T) (*assembly.Scene, *parts.Site) {
	t.Helper()
	s := site(t, ferry)
	sc, err := assembly.Assemble(s)
	require.NoError(t, err)
	return sc, s
}

// piece gives a piece by its name.
func piece(t *testing.T, all []assembly.Piece, name string) *assembly.Piece {
	t.Helper()
	i := slices.IndexFunc(all, func(p assembly.Piece) bool { return p.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return &all[i]
}

// The catalogue and the schema have their keys, with units, ranges, words and what a
// reference leads to.
func TestKeysAndSchema(t *testing.T) {
	t.Parallel()
	var all, one bytes.Buffer
	require.NoError(t, scenes.Catalogue(&all, ""))
	for _, word := range trials {
		require.Contains(t, all.String(), word)
		require.Contains(t, scenes.CatalogueWords(), word)
	}
	require.NoError(t, scenes.Catalogue(&one, "dolphin"))
	for _, words := range []string{"fitting", "one of flat, domed", "900 mm", "names a deck, storey or raft", "common practice"} {
		require.Contains(t, one.String(), words)
	}
	require.ErrorContains(t, scenes.Catalogue(&one, "scorh"), `Did you mean "scorch"?`)

	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(scenes.Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("urn:socle:scene", doc))
	schema, err := c.Compile("urn:socle:scene")
	require.NoError(t, err)
	for text, valid := range map[string]bool{
		`{"scale": {"ratio": 100}, "dolphin": [{"at": [[1, 2]], "level": 3, "cap": "domed"}]}`: true,
		`{"scale": {"ratio": 100}, "dolphin": [{"at": [[1, 2]], "level": 3, "cap": "onion"}]}`: false,
		`{"scale": {"ratio": 100}, "raft": [{"level": 3}]}`:                                    false,
		`{"scale": {"ratio": 100}, "scorch": [{"at": [1, 2], "diameter": 4, "depth": 99}]}`:    false,
		`{"scale": {"ratio": 100}, "scorch": [{"at": [1, 2], "diameter": 4, "depht": 1}]}`:     false,
	} {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		require.NoError(t, err)
		require.Equal(t, valid, schema.Validate(v) == nil, text)
	}
}

// A fault has its line, what is allowed and the nearest word.
func TestMessages(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, new, line, text, allowed, nearest string }{
		{"[[dolphin]]", "[[dolpin]]", "[[dolpin]]", `unknown part "dolpin"`, "", "dolphin"},
		{"diameter = \"60 mm\"", "diametre = 1", "diametre = 1", `unknown key "diametre" in dolphin "mooring"`, "", "diameter"},
		{"on = \"pontoon\"", "on = \"pontoom\"", "on = \"pontoom\"", `no part is called "pontoom"`, "the name of a deck, storey or raft", "pontoon"},
		{"on = \"pontoon\"", "on = \"gangway\"", "on = \"gangway\"", `which is a stair`, "the name of a deck, storey or raft: pontoon", ""},
		{"on = \"pontoon\"", "", "[[dolphin]]", "stands on nothing", "one of on and level", ""},
		{"depth = 1", "depth = 3", "depth = 3", "3.00 mm is too deep for fire", "at most 2.67 mm", ""},
		{"at = [51, 26]", "at = [151, 26]", "at = [151, 26]", "nothing lies there to burn", "a place on a floor", ""},
		{"area = { rect = [30,", "area = { rect = [130,", "area = { rect = [130, 10, 32, 30] }", "lies completely off the ground", "within x 0 to 70", ""},
		{"[[42, 20], ", "[[142, 20], ", "at = [[142, 20], [41, 30]]", "lies completely off the ground", "or on a deck, storey or raft", ""},
	} {
		text := strings.Replace(ferry, c.old, c.new, 1)
		require.NotEqual(t, ferry, text)
		_, err := scenes.Read("ferry.toml", []byte(text), nil)
		var faults *scenes.Faults
		require.ErrorAs(t, err, &faults, c.new)
		i := slices.IndexFunc(faults.List, func(f scenes.Fault) bool { return strings.Contains(f.Text, c.text) })
		require.GreaterOrEqual(t, i, 0, "%s: %v", c.text, err)
		f := faults.List[i]
		require.Equal(t, "ferry.toml", f.File)
		require.Equal(t, c.line, strings.Split(text, "\n")[f.Line-1], f.Text)
		require.Contains(t, f.Allowed, c.allowed)
		require.Equal(t, c.nearest, f.Nearest)
	}
}

// A floor of a new kind is one to all that asks which floor lies here.
func TestFloor(t *testing.T) {
	t.Parallel()
	sc, s := assembled(t)
	level, ok := s.LevelAt(r2.Vec{X: 45, Y: 25})
	require.True(t, ok)
	require.InDelta(t, 6, level, 1e-9)

	deck, steps := piece(t, sc.Pieces(), "deck"), piece(t, sc.Pieces(), "steps")
	require.InDelta(t, 6, deck.Pose.Apply(sdf.V(0, 0, deck.Base.Height)).Z, 1e-9, "the top of a base that lies all on it")
	require.InDelta(t, 3, steps.Pose.Apply(sdf.V(0, 0, steps.Base.Height)).Z, 1e-9)
	require.Contains(t, deck.Heights, deck.Base.Height)

	require.Negative(t, sc.Field.Value(sdf.V(35, 15, 5.4)), "it is built")
	require.Positive(t, sc.Field.Value(sdf.V(51, 34, 5.8)), "the crater hits it")
	require.Positive(t, sc.Field.Value(sdf.V(51, 26, 5.3)), "and so does the fire")
	for _, n := range sc.Notes() {
		require.NotEqual(t, "gangway", n.Part, "the stair leads to it")
	}
	flights := sc.Treads(*steps)
	require.Len(t, flights, 1)
	head := flights[0].Treads[len(flights[0].Treads)-1]
	require.NotEmpty(t, head.At, "its floor is the landing")

	// A base cannot lie higher than it.
	high := strings.Replace(ferry, "round = 22\n", "round = 22\nlevel = 9\n", 1)
	_, err := scenes.Read("ferry.toml", []byte(high), nil)
	require.ErrorContains(t, err, "above everything under the base, which is at most 6.000 mm high there")
}

// The plan has their strokes, its groups and its legend say so, and the level is marked.
func TestPlan(t *testing.T) {
	t.Parallel()
	sc, _ := assembled(t)
	p := sc.Plan()
	for part, want := range map[string]struct {
		kind, group string
		line        parts.Line
		layer       parts.Layer
	}{
		"pontoon": {"raft", "Rafts", parts.LineEdge, parts.OnFloor},
		"mooring": {"dolphin", "Dolphins", parts.LineMass, parts.Fitted},
		"burn":    {"scorch", "Damage", parts.LineDamage, parts.Damaged},
	} {
		i := slices.IndexFunc(p.Strokes, func(k parts.Stroke) bool { return k.Part == part })
		require.GreaterOrEqual(t, i, 0, part)
		k := p.Strokes[i]
		require.Equal(t, want.kind, k.Kind)
		require.Equal(t, want.group, k.Group)
		require.Equal(t, want.line, k.Line)
		require.Equal(t, want.layer, k.Layer)
	}
	require.True(t, slices.ContainsFunc(p.Levels, func(m assembly.LevelMark) bool { return m.Part == "pontoon" && m.Name == "float" && len(m.Places) > 0 }))
	require.True(t, slices.ContainsFunc(p.Labels, func(l parts.Label) bool { return l.Text == "moorings" }))
}

// Places near by, tones, notes, measures and whose surface a place is.
func TestOnThePiece(t *testing.T) {
	t.Parallel()
	sc, s := assembled(t)
	deck := piece(t, sc.Pieces(), "deck")
	seen := map[string]parts.Sight{}
	for _, at := range sc.Sights(*deck) {
		seen[at.Name] = at
	}
	require.Contains(t, seen, "dolphin-mooring")
	require.Contains(t, seen, "scorch-burn")

	floor := func(x, y float64) r3.Vec { // the top of the piece at a place of the scene
		at := deck.Pose.Invert(sdf.V(x, y, 0))
		for at.Z = deck.Box.Max.Z; deck.Field.Value(at) > 1e-3; {
			at.Z -= deck.Field.Value(at)
		}
		return at
	}
	at := []r3.Vec{floor(51, 26), floor(44, 23), floor(42, 20)}
	tones, err := sc.Tones(t.Context(), *deck, at)
	require.NoError(t, err)
	require.Equal(t, []assembly.Tone{assembly.Broken, assembly.Built, assembly.Built}, tones)
	for i, want := range []string{"burn", "pontoon", "mooring"} {
		require.Equal(t, want, sc.Nearest(*deck, at[i]).Label())
	}

	i := slices.IndexFunc(assembly.Measures(s), func(m parts.Measure) bool { return m.Kind == "dolphin" })
	require.GreaterOrEqual(t, i, 0)
	m := assembly.Measures(s)[i]
	require.Equal(t, "mooring", m.Part)
	require.InDelta(t, 900, m.Full, 1e-6)
	require.True(t, m.Within)

	// What may clear a finding on the raft at the pit: first that the fire spares it.
	remedies := sc.Remedies("thin-wall", s.Find("pontoon"), deck, &at[0])
	require.NotEmpty(t, remedies)
	require.Equal(t, "burn", remedies[0].Part)
	require.Equal(t, []parts.Move{{Part: "burn", Kind: "scorch", Key: "spares", Value: []string{"pontoon"}}}, remedies[0].Tries[0])
}

// Layouts lay damage of a new kind elsewhere, and vary makes them.
func TestLayouts(t *testing.T) {
	t.Parallel()
	cut := opened(t, 1.2)
	trials, err := vary.Layouts(cut.Scene, assembly.LayoutOptions{Count: 3, Seed: 1})
	require.NoError(t, err)
	places := map[string]bool{}
	for _, one := range trials {
		for _, m := range one.Moves {
			if m.Part == "burn" && m.Key == "at" {
				places[scenes.MoveText(m)] = true
			}
		}
	}
	require.Len(t, places, 3)
	v, err := vary.New(cut, t.TempDir(), nil, trials[:1], assembly.LayoutOptions{Count: 1, Seed: 1}, true, quiet)
	require.NoError(t, err)
	made, err := v.Run(t.Context(), silent{})
	require.NoError(t, err)
	require.Len(t, made.Tried, 2)
	require.Empty(t, made.Tried[1].Fault)
	require.Contains(t, made.Tried[1].Label, "burn at ")

	whole, _, _ := strings.Cut(ferry, "[[scorch]]")
	_, err = assembly.Layouts(site(t, whole+ferry[strings.Index(ferry, "[[base]]"):]), assembly.LayoutOptions{Count: 1})
	require.ErrorContains(t, err, "a [[collapse]], a [[crater]], a [[gouge]], a [[scorch]], a [[pockmarks]] or a [[breach]]")
}

// opened is the ferry, cut and to be meshed at a cell, mm.
func opened(t *testing.T, cell float64) *set.Set {
	t.Helper()
	s, err := set.Open(t.Context(), strings.NewReader(ferry), "-", set.Selection{})
	require.NoError(t, err)
	require.NoError(t, s.Settle(&set.Options{Setting: set.SettingDraft, Cell: &cell}))
	cut, err := s.Cut(nil)
	require.NoError(t, err)
	return cut
}

// A whole build has pictures, plan, sizes, notes, findings and advice of them.
func TestBuild(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	cut := opened(t, 0.4)
	b := build.New(cut, build.Options{
		Options: set.Options{Setting: set.SettingDraft, Cell: &cut.Resolution.Cell}, To: dir, Advise: true,
		Request: look.Request{Size: "240x180", Every: true, Views: []string{look.ViewDetails, look.ViewFindings}},
		Formats: set.AllFormats,
	})
	require.NoError(t, b.Run(t.Context(), silent{}, quiet))
	r := b.Report
	require.Empty(t, r.Failed)
	require.Len(t, r.Bases, 2)

	require.True(t, slices.ContainsFunc(r.Notes, func(n parts.Note) bool { return n.Part == "mooring" && n.Key == "diameter" }))
	require.True(t, slices.ContainsFunc(r.Scale, func(m inspection.ScaleMeasure) bool { return m.Part == "mooring" && m.Kind == "dolphin" }))
	require.True(t, slices.ContainsFunc(r.Seeds, func(s report.Seed) bool { return s.Part == "burn" }))
	for _, view := range []string{"dolphin-mooring", "scorch-burn"} {
		require.True(t, slices.ContainsFunc(r.Pictures, func(p report.Picture) bool { return p.Base == "deck" && p.View == view }), view)
		require.FileExists(t, filepath.Join(dir, "pictures", "deck", view+".png"))
	}

	i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Check == "slender-pin" })
	require.GreaterOrEqual(t, i, 0)
	f := r.Findings[i]
	require.Equal(t, "mooring", f.Part)
	require.Equal(t, "diameter", f.Key)
	require.Equal(t, "thicker dolphins", f.Change)
	require.NotNil(t, f.Advice)
	require.NotEmpty(t, f.Advice.Clears)
	require.Contains(t, f.Advice.Clears[0].String(), "dolphin.mooring.diameter=")
	for _, f := range r.Findings {
		require.NotEqual(t, "stand-level", f.Check, "the stand lies on the raft")
		require.NotEqual(t, "uneven-risers", f.Check)
	}

	drawing, err := os.ReadFile(filepath.Join(dir, "scene-plan.svg"))
	require.NoError(t, err)
	for _, words := range []string{
		`aria-label="Ground, decks and paving, rafts"`, `aria-label="Dolphins, rails"`, `aria-label="Damage"`,
		"<title>mooring, dolphin</title>", "<title>pontoon, raft</title>", "<title>burn, scorch</title>",
		"wall or shaft", "lip of damage", "float +6.00", "moorings",
	} {
		require.Contains(t, string(drawing), words)
	}
	page, err := os.ReadFile(filepath.Join(dir, "scene.html"))
	require.NoError(t, err)
	for _, words := range []string{"mooring", "dolphin.mooring.diameter=", "dolphin mooring", "scorch burn"} {
		require.True(t, bytes.Contains(page, []byte(words)), words)
	}
}

// Random scenes have them by their keys, and all else as without them; what is drawn can
// be built.
func TestRandomScenes(t *testing.T) {
	t.Parallel()
	known := slices.DeleteFunc(slices.Clone(parts.Kinds()), func(k *parts.Kind) bool { return slices.Contains(trials, k.Word) })
	drawn := map[string]int{}
	for seed := uint64(1); seed <= 6; seed++ {
		d := scenestest.Draw(seed)
		require.Equal(t, scenestest.DrawOf(seed, known).Text(), d.Without(trials...))
		for _, word := range trials {
			drawn[word] += len(d.Of(word))
		}
		if seed > 2 {
			continue
		}
		sc, err := assembly.Assemble(site(t, d.Text()))
		require.NoError(t, err)
		for _, p := range sc.Pieces() {
			_, err := mesh.Build(t.Context(), p.Field, mesh.Options{Cell: d.Cell, Box: p.Box, Heights: p.Heights})
			require.NoError(t, err, "seed %d, base %s\n%s", seed, p.Name, d.Text())
		}
	}
	for _, word := range trials {
		require.NotZero(t, drawn[word], "no %s is drawn", word)
	}
}

func quiet(string) {}

// silent shows nothing.
type silent struct{}

func (silent) Heading(string)         {}
func (silent) Start(set.Task) set.Bar { return silent{} }
func (silent) At(int, float64)        {}
func (silent) Tell(string)            {}
func (silent) Made(int, bool, error)  {}
func (silent) Done(int, string)       {}
func (silent) Finish()                {}
