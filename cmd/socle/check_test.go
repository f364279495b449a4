package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/report"
	"socle/cmd/set/words"
	"socle/out/inspect"
	"socle/parts"
	"socle/scenes"
)

// checkCell is the cell of the scenes of the checks, mm: fine enough that a post
// comes out as thick as it was drawn, and quick.
const checkCell = "0.3"

// checked runs check on a scene of testdata, within this process, and reads its
// JSON document strictly.
func checked(t *testing.T, scene string, args ...string) (doc report.Report, code int) {
	t.Helper()
	var out, messages strings.Builder
	args = append([]string{"check", filepath.Join("testdata", scene), "--json", "--cell", checkCell}, args...)
	code = run(t.Context(), args, streams{in: strings.NewReader(""), out: &out, err: &messages})
	strictly(t, out.String(), messages.String(), &doc)
	return doc, code
}

// strictly reads one JSON document of which every key is known.
func strictly(t *testing.T, text, messages string, doc any) {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(doc), messages)
	_, err := d.Token()
	require.ErrorIs(t, err, io.EOF, "one document")
}

// of gives the findings of a check.
func of(all []finding.Finding, check string) (found []finding.Finding) {
	for _, f := range all {
		if f.Check == check {
			found = append(found, f)
		}
	}
	return found
}

// withSets makes the flags of values that are set.
func withSets(values ...string) (args []string) {
	for _, v := range values {
		args = append(args, "--set", v)
	}
	return args
}

// coarsely is withSets, at a cell that is coarse: for what does not hang on the mesh.
func coarsely(values ...string) []string { return append(withSets(values...), "--cell", coarse) }

// TestCheckOnBothSides brings about by a scene every finding that a scene can
// bring about, and takes it away again by a little on the other side of its limit.
// What no scene makes is in TestInspectionOnBothSides.
func TestCheckOnBothSides(t *testing.T) {
	const yard, blast = "check-yard.toml", "check-blast.toml"
	for _, c := range []struct {
		check       string
		scene, base string
		part        string   // of the finding, "" where that is another's business
		over, under []string // what is set: with a finding, and without one
	}{
		// The general profile of stairs: risers of 150 to 170 mm (BS 5395, general use);
		// 5 mm at 1:56 are two of 140, 5.4 mm two of 151.
		{"stair", yard, "plain", "steps", coarsely("levels.ledge=8.0"), coarsely("levels.ledge=8.4")},
		// A guard of a flight of the general profile: 900 mm, which are 16.07 mm.
		{"rail", yard, "plain", "guard", coarsely("rail.guard.height=16"), coarsely("rail.guard.height=16.1")},
		// A sphere of 100 mm, which are 1.79 mm: a gap of 1.83, and one of 1.34 in
		// shorter bays.
		{"opening", yard, "plain", "guard", coarsely(), coarsely("rail.guard.spacing=4")},
		// A joint of 10 mm drawn twice as large, the least that is usual: 0.357 mm.
		{"unit", yard, "plain", "flags", coarsely("paving.flags.joint=0.37"), coarsely("paving.flags.joint=0.35")},
		// A strip of 0.8 and of 1.2 mm, of a wall that is 1 mm at least.
		{"thin-wall", yard, "fin", "strip", withSets("base.fin.at=[60, 18.8]"), withSets("base.fin.at=[60, 19.2]")},
		// A post of 0.7 and of 0.9 mm, of a pin that is 0.8 mm at least.
		{"thin-pin", yard, "peg", "post", nil, withSets("wall.post.line=[[100, 20], [100.9, 20]]")},
		// A post of 0.7 mm, which some printers do not form.
		{"hair", yard, "peg", "post", withSets("printer.hair=0.75"), withSets("printer.hair=0.65")},
		// A mast of 8 times its thickness.
		{"slender-pin", yard, "mast-step", "mast", withSets("inspect.slender=7"), withSets("inspect.slender=9")},
		// An alley of 0.5 mm.
		{"narrow-gap", yard, "alley", "", withSets("printer.gap=0.55"), withSets("printer.gap=0.45")},
		// A groove that flattens out, and one that is cut as deep as shows.
		{"shallow-relief", yard, "floor", "scratch", withSets("gouge.scratch.width=2"), nil},
		// The lower end of a handrail whose post the base has cut off: 2.47 mm2.
		{"island", yard, "flight", "guard", withSets("inspect.island=2.3"), withSets("inspect.island=2.6")},
		// A handrail that stands out by 8.6 mm from what is left of its post.
		{"overhang", blast, "walkway", "handrail", withSets("crater.hit.at=[58, 20]", "inspect.overhang=8.4", "inspect.bridge=20"),
			withSets("crater.hit.at=[58, 20]", "inspect.overhang=8.8", "inspect.bridge=20")},
		// A gate 4 mm wide.
		{"bridge", yard, "gateway", "gate", withSets("inspect.bridge=3.9"), withSets("inspect.bridge=4.1")},
		{"vent", yard, "tray", "tray", coarsely("printer.vent=4"), coarsely("printer.vent=2")},
		// The roof of a hollow.
		{"suction", yard, "tray", "tray", coarsely(), coarsely("base.tray.underside=solid")},
		// Six layers of 0.05 mm swell.
		{"foot", yard, "plain", "plain", withSets("base.plain.chamfer=0.25"), withSets("base.plain.chamfer=0.3")},
		{"foot", yard, "plain", "plain", withSets("base.plain.chamfer=0"), withSets("base.plain.chamfer=0", "inspect.laid=tilted")},
		// 2 mm, less the scar of half a millimetre along it, over 65 mm; and 2.6 less that.
		{"bow", yard, "plank", "plank", coarsely(), coarsely("base.plank.height=2.6")},
		{"bow", yard, "plank", "plank", coarsely(), coarsely("base.plank.rectangle=[59, 10]")},
		// The plan, turned as it may be, and the height, 4 and 6 mm.
		{"plate", "check-flat.toml", "rectangle", "rectangle", coarsely("printer.plate=[20, 23.9]"), coarsely("printer.plate=[20, 24]")},
		{"plate", yard, "gateway", "gateway", coarsely("printer.tallest=10", "wall.gate.height=6.1"), coarsely("printer.tallest=10")},
		// 0.1 mm more than the magnet's diameter and height at least.
		{"pocket", yard, "seat", "seat", withSets("base.seat.magnet[0].clearance=0.05"), withSets("base.seat.magnet[0].clearance=0.1")},
		{"pocket", yard, "seat", "seat", withSets("base.seat.magnet[0].depth=0.05"), withSets("base.seat.magnet[0].depth=0.1")},
		// A figure sits on half a millimetre of relief.
		{"rough-stand", yard, "maze", "maze", withSets("wall.kerbs.height=0.6"), withSets("wall.kerbs.height=0.45")},
		// A rail without ground under its post.
		{"crumb", blast, "walkway", "handrail", nil, withSets("crater.hit.at=[60, 10]")},
		// A post of which 0.33 mm stand on ground, or the whole.
		{"neck", blast, "walkway", "", withSets("crater.hit.at=[58, 20]"), withSets("crater.hit.at=[55.5, 20]")},
	} {
		t.Run(c.check+" "+strings.Join(c.over, " "), func(t *testing.T) {
			t.Parallel()
			base := []string{"--base", c.base}
			doc, code := checked(t, c.scene, append(base, c.over...)...)
			found := of(doc.Findings, c.check)
			require.NotEmpty(t, found, "%v", doc.Findings)
			for _, f := range found {
				requireSeverity(t, f)
				require.NotEmpty(t, f.What)
				require.NotEmpty(t, f.Meaning)
				require.NotEmpty(t, f.Change)
				require.NotEmpty(t, f.Part)
				require.Positive(t, f.Count)
			}
			if c.part != "" {
				require.Equal(t, c.part, found[0].Part)
			}
			require.Equal(t, doc.Tally.Stops > 0, code == exitNotProven)
			doc, _ = checked(t, c.scene, append(base, c.under...)...)
			require.Empty(t, of(doc.Findings, c.check))
		})
	}
}

// TestCheckToTheLattice: what is a hundredth of a millimetre, or a thousandth, short
// of its least is told, and what is just so is not.
func TestCheckToTheLattice(t *testing.T) {
	for _, c := range []struct {
		check, base string
		value       float64
		sets        []string
	}{
		{"narrow-gap", "alley", 0.3, withSets("wall.right.line=[[155, 20.8], [165, 20.8]]", "printer.gap=%g")},
		{"thin-wall", "fin", 1, withSets("base.fin.at=[60, 19]", "printer.wall=%g")},
		{"thin-pin", "peg", 0.7, withSets("printer.pin=%g")},
	} {
		for _, short := range []float64{0.02, 0.01, 0.001, 0, -0.01} {
			t.Run(fmt.Sprintf("%s by %g", c.base, short), func(t *testing.T) {
				t.Parallel()
				args := []string{"--base", c.base, "--cell", "0.2"}
				for _, a := range c.sets {
					if strings.Contains(a, "%g") {
						a = fmt.Sprintf(a, c.value+short)
					}
					args = append(args, a)
				}
				doc, _ := checked(t, "check-yard.toml", args...)
				found := of(doc.Findings, c.check)
				if short <= 0 {
					require.Empty(t, found)
					return
				}
				require.Len(t, found, 1, "%v", doc.Findings)
				require.InDelta(t, c.value, found[0].Value, 0.011)
			})
		}
	}
	// What is round and drawn at the least is no finding for its facets.
	doc, _ := checked(t, "check-yard.toml", append(withSets("printer.pin=1.02"), "--base", "mast-step")...)
	require.Empty(t, of(doc.Findings, "thin-pin"))
}

// requireSeverity holds a finding to the severity of its check, where the scene does
// not say.
func requireSeverity(t *testing.T, f finding.Finding) {
	t.Helper()
	if want := defaultOf(t, f.Check); want != "harm" {
		require.Equal(t, want, f.Severity)
		return
	}
	require.Contains(t, []string{parts.SeverityWarn, parts.SeverityNote}, f.Severity)
	require.Equal(t, f.Severity == parts.SeverityWarn, f.Harm >= inspection.Ruins(f.Check), "%v", f)
}

func defaultOf(t *testing.T, check string) string {
	for _, k := range parts.InspectionChecks() {
		if k.Word == check {
			return k.Default
		}
	}
	t.Fatalf("no check is called %q", check)
	return ""
}

// TestCheckWritesOneDocument by the command itself, with all that a script may
// count on.
func TestCheckWritesOneDocument(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "check-yard.toml")
	r := runIn(t, dir, "check", "check-yard.toml", "--cell", checkCell, "--base", "fin", "--base", "peg", "--base", "plain", "--json")
	require.Equal(t, exitDone, r.code, r.err)
	var doc report.Report
	strictly(t, r.out, r.err, &doc)
	require.Len(t, doc.Bases, 3)
	require.Empty(t, doc.Failed)
	require.NotEmpty(t, doc.Scale)
	for _, m := range doc.Scale {
		require.NotEmpty(t, m.Part)
		require.Positive(t, m.Printed)
		require.Positive(t, m.Full)
	}
	require.Equal(t, finding.TallyOf(doc.Findings), doc.Tally)
	require.NotEmpty(t, doc.Cautions)
	require.Equal(t, []string{"check-yard.toml"}, filesIn(t, dir), "nothing is written")

	var raw struct {
		Concerns []map[string]any
		Bases    []struct {
			Estimate map[string]any
			Measured map[string]any
		}
	}
	require.NoError(t, json.Unmarshal([]byte(r.out), &raw))
	pins := 0
	for _, c := range raw.Concerns {
		for _, key := range []string{"severity", "check", "part", "what", "meaning", "change", "value", "count"} {
			require.Contains(t, c, key)
		}
		if c["base"] != nil {
			require.Contains(t, c, "at")
			require.Contains(t, c, "size")
		}
		if c["check"] == "thin-pin" {
			pins++
			require.Equal(t, "peg", c["base"])
			require.InDelta(t, 0.7, c["value"], 0.05)
			require.InDelta(t, 0.8, c["limit"], 1e-9)
		}
	}
	require.Equal(t, 1, pins)
	for _, key := range []string{"volume_mm3", "mass_g", "material_g", "layers"} {
		require.Contains(t, raw.Bases[0].Estimate, key)
	}
	require.Equal(t, map[string]any{"pixel": 0.05, "layer": 0.05}, raw.Bases[0].Measured["raster"])
}

// TestCheckTellsWhatItFound in words: each kind of line once, the cautions once.
func TestCheckTellsWhatItFound(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "check-yard.toml")
	args := []string{"check", "check-yard.toml", "--cell", checkCell, "--base", "fin", "--base", "peg", "--base", "seat"}
	r := runIn(t, dir, args...)
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "scale 1:56; the yardstick of 1.756 m is 31.4 mm tall")
	require.Contains(t, r.out, "\nwarn  thin-pin")
	require.Contains(t, r.out, "      It prints, but snaps in the wash or in handling.")
	require.Contains(t, r.out, "      May help (not tested): ")
	require.Contains(t, r.out, "did not look for changes that clear them")
	require.Contains(t, r.out, "  0.70 mm thick, 4.0 mm long, least 0.80, at (")
	require.Contains(t, r.out, "\nnote  unit: flags, joint 0.37 mm")
	require.Less(t, strings.LastIndex(r.out, "\nnote  "), strings.Index(r.out, "\nnotes:\n"), "what was found comes first")
	require.Regexp(t, `\ninspection: 0 stops, \d+ warnings? and \d+ notes?\n`, r.out)
	require.NotContains(t, r.out, "-0.0")
	_, told, _ := strings.Cut(r.out, "\nwarn") // after the table of sizes
	told, _, _ = strings.Cut(told, "\nnotes:")
	for _, line := range strings.Split(told, "\n") {
		require.LessOrEqual(t, len([]rune(line)), 100, line)
	}
	for _, caution := range []string{report.CautionResin, report.CautionDust, report.CautionMagnets, report.CautionDefer} {
		require.Equal(t, 1, strings.Count(r.out, caution), caution)
	}
	require.NotContains(t, r.out, report.CautionHollow)
	require.NotContains(t, r.err, report.CautionDefer)

	quiet := runIn(t, dir, append(args, "--quiet")...)
	require.Equal(t, exitDone, quiet.code)
	require.Empty(t, quiet.out+quiet.err)
}

// TestSeverities of a scene change the exit code of check and what a build writes.
func TestSeverities(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "check-yard.toml")
	stop := []string{"check-yard.toml", "--base", "peg", "--base", "plain", "--set", "inspect.severity.thin-pin=stop"}
	checkOf := func(args ...string) ran {
		return runIn(t, dir, append([]string{"check", "--cell", checkCell}, args...)...)
	}

	r := checkOf("check-yard.toml", "--base", "peg", "--base", "plain")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "\nwarn  thin-pin")
	r = checkOf(stop...)
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Contains(t, r.out, "\nstop  thin-pin")
	require.Contains(t, r.out, "inspection: 1 stop,")
	r = checkOf(append(stop, "--set", "wall.post.line=[[100, 20], [100.9, 20]]")...)
	require.Equal(t, exitDone, r.code, "nothing stops where nothing is found: %s", r.out)
	r = checkOf("check-yard.toml", "--base", "peg", "--set", "inspect.severity.thin-pin=note")
	require.Equal(t, exitDone, r.code)
	require.Contains(t, r.out, "\nnote  thin-pin")

	// A fine build holds back what stops, and no more than that. On this printer a
	// fine cell is 0.2 mm.
	fine := append([]string{"build", "--set", "printer.pixel=0.1", "--to", "made", "--format", "stl,3mf"}, stop...)
	to := filepath.Join(dir, "made")
	require.NoError(t, os.Mkdir(to, 0o755))
	for _, name := range []string{"peg.stl", "check-yard.3mf"} {
		require.NoError(t, os.WriteFile(filepath.Join(to, name), []byte("earlier"), 0o644))
	}
	r = runIn(t, dir, fine...)
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Contains(t, r.err, "\nstop  thin-pin")
	require.Contains(t, r.err, "peg is not written: the inspection found 1 stop")
	require.Equal(t, []string{"check-yard.3mf", "peg.stl", "plain.stl"}, filesIn(t, to))
	for _, name := range []string{"peg.stl", "check-yard.3mf"} {
		text, err := os.ReadFile(filepath.Join(to, name))
		require.NoError(t, err)
		require.Equal(t, "earlier", string(text), name)
	}

	// A build that is only to be looked at tells of it and writes.
	r = runIn(t, dir, append(fine, "--cell", "0.6")...)
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.err, "\nstop  thin-pin")
	text, err := os.ReadFile(filepath.Join(to, "peg.stl"))
	require.NoError(t, err)
	require.NotEqual(t, "earlier", string(text))
}

// TestCrumbs are dropped, kept or stop, as the scene asks. The blast takes the
// ground under the one post of a handrail.
func TestCrumbs(t *testing.T) {
	t.Parallel()
	blast := func(crumbs string) (report.Report, int) {
		return checked(t, "check-blast.toml", withSets("inspect.crumbs="+crumbs)...)
	}
	dropped, code := blast("drop")
	require.Equal(t, exitDone, code)
	c := of(dropped.Findings, "crumb")
	require.Len(t, c, 1, "what is alike is one concern")
	require.Equal(t, "handrail", c[0].Part)
	require.Equal(t, 1, c[0].Count)
	require.Equal(t, parts.SeverityWarn, c[0].Severity, "18 mm are a part of the scene")
	require.Contains(t, c[0].Meaning, "dropped")
	require.Positive(t, c[0].Number, "it is ringed where it was")
	require.Len(t, dropped.Bases[0].Crumbs, 1)
	require.Equal(t, 1, dropped.Bases[0].Shells)
	// From edge to edge of the top, 9 mm out, and 18 mm high over the ground, in which
	// the post stands by half a millimetre.
	require.InDelta(t, 18, c[0].Size[0], 0.1)
	require.InDelta(t, 18.5, c[0].Size[2], 0.1)
	loose := 0.0
	for _, k := range dropped.Bases[0].Crumbs {
		require.False(t, k.Kept)
		loose += k.Volume
	}
	require.InDelta(t, (18+17.7)*math.Pi*0.4*0.4, loose, 0.4, "a round handrail of 0.8 mm and its post, less what their facets lack")

	// As long as is said, it is a crumb; and as long as is said, it stops.
	for _, limit := range []struct {
		key, value, severity string
	}{
		{"piece", "18.7", parts.SeverityNote}, {"piece", "18.3", parts.SeverityWarn},
		{"lost", "18.7", parts.SeverityWarn}, {"lost", "18.3", parts.SeverityStop},
	} {
		doc, code := checked(t, "check-blast.toml", withSets("inspect."+limit.key+"="+limit.value)...)
		require.Equal(t, limit.severity, of(doc.Findings, "crumb")[0].Severity, limit)
		require.Equal(t, limit.severity == parts.SeverityStop, code == exitNotProven)
	}

	kept, code := blast("keep")
	require.Equal(t, exitDone, code)
	require.Contains(t, of(kept.Findings, "crumb")[0].Meaning, "the scene keeps it")
	require.Equal(t, 2, kept.Bases[0].Shells)
	require.InDelta(t, dropped.Bases[0].Volume+loose, kept.Bases[0].Volume, 0.05)
	require.True(t, kept.Bases[0].Crumbs[0].Kept)
	require.NotEmpty(t, of(kept.Findings, "island"), "what was kept begins on nothing")

	stopped, code := blast("stop")
	require.Equal(t, exitNotProven, code)
	require.Equal(t, parts.SeverityStop, of(stopped.Findings, "crumb")[0].Severity)
}

// TestNecks are told, cut through, made stout or stop, as the scene asks; after
// that the solid is another, proven and looked at again. The edge of the base leaves
// about 0.35 mm of the post that the handrail hangs on.
func TestNecks(t *testing.T) {
	t.Parallel()
	blast := func(neck string) (report.Report, int) {
		return checked(t, "check-blast.toml", withSets("crater.hit.at=[30, 20]", "base.walkway.at=[69.05, 20]", "inspect.neck="+neck)...)
	}
	sound := func(doc report.Report) report.Base {
		require.Len(t, doc.Bases, 1)
		b := doc.Bases[0]
		require.True(t, b.Closed && b.Outward)
		require.Zero(t, b.Crossings)
		require.Equal(t, 1, b.Shells)
		return b
	}
	told, code := blast("keep")
	require.Equal(t, exitDone, code)
	c := of(told.Findings, "neck")
	require.Len(t, c, 1)
	require.Equal(t, parts.SeverityWarn, c[0].Severity)
	require.InDelta(t, 0.35, c[0].Value, 0.1)
	require.InDelta(t, 0.5, c[0].Limit, 1e-9)
	before := sound(told)

	stopped, code := blast("stop")
	require.Equal(t, exitNotProven, code)
	require.Equal(t, parts.SeverityStop, of(stopped.Findings, "neck")[0].Severity)

	for _, m := range []struct{ neck, says string }{{"cut", "cut off"}, {"thicken", "made stout"}} {
		doc, code := blast(m.neck)
		require.Equal(t, exitDone, code)
		after := sound(doc)
		for _, f := range of(doc.Findings, "neck") {
			require.Equal(t, parts.SeverityNote, f.Severity, "%s leaves no neck: %s", m.neck, f.What)
			require.True(t, strings.HasPrefix(f.What, m.says), f.What)
			require.Contains(t, f.Meaning, m.says)
		}
		require.NotEmpty(t, of(doc.Findings, "neck"), "what was done is listed")
		if m.neck == "cut" {
			require.Less(t, after.Volume, before.Volume-4, "the handrail is gone")
			require.Less(t, len(before.Crumbs), len(after.Crumbs), "and listed as dropped")
		} else {
			require.Greater(t, after.Volume, before.Volume)
			require.Less(t, after.Volume, before.Volume+15*math.Pi*0.3*0.3, "by no more than a bar of 0.6 mm")
		}
	}
}

// TestCheckOnAnotherPrinter takes the printer of a file of its own.
func TestCheckOnAnotherPrinter(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "check-yard.toml")
	file := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	file("small.toml", "[printer]\nplate = [25, 22]\ntallest = 10\n")
	file("large.toml", "[printer]\nplate = [25, 22]\ntallest = 12\n")
	file("filament.toml", "[printer]\nprocess = \"filament\"\n")
	file("wrong.toml", "[printer]\nplat = [25, 22]\n")
	args := []string{"check", "check-yard.toml", "--cell", "0.6", "--base", "mast-step"}

	r := runIn(t, dir, append(args, "--printer", "small.toml")...)
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Contains(t, r.out, "\nstop  plate: mast-step")
	r = runIn(t, dir, append(args, "--printer", "large.toml")...)
	require.Equal(t, exitDone, r.code, r.out)
	require.Contains(t, r.out, ", on 1 plate")
	r = runIn(t, dir, append(args, "--printer", "wrong.toml")...)
	require.Equal(t, exitFaulty, r.code)
	require.Contains(t, r.err, "wrong.toml:2")
	r = runIn(t, dir, append(args, "--printer", "none.toml")...)
	require.Equal(t, exitFaulty, r.code)

	// Filament has its own words, and its own dangers.
	args = []string{"check", "check-yard.toml", "--cell", "0.6", "--base", "tray"}
	resin := runIn(t, dir, args...)
	require.Equal(t, exitDone, resin.code, resin.out)
	filament := runIn(t, dir, append(args, "--printer", "filament.toml")...)
	require.Equal(t, exitDone, filament.code, filament.out+filament.err)
	require.Contains(t, resin.out, report.CautionResin)
	require.Contains(t, resin.out, report.CautionHollow)
	require.NotContains(t, resin.out, report.CautionFumes)
	require.Contains(t, filament.out, report.CautionFumes)
	require.NotContains(t, strings.ToLower(filament.out), "resin")
	require.NotContains(t, filament.out, "vat")
}

// TestConcernsAreTheSameBytes whatever the number of processors.
func TestConcernsAreTheSameBytes(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "check-blast.toml")
	var first []byte
	for _, workers := range []string{"1", "4"} {
		cmd := command(t, socle, "check", "check-blast.toml", "--cell", checkCell, "--json", "--set", "crater.hit.at=[58, 20]")
		cmd.Env = append(os.Environ(), "GOMAXPROCS="+workers)
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc map[string]json.RawMessage
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		told := slices.Concat(doc["concerns"], doc["scale"], doc["printing"], doc["tally"])
		require.NotEmpty(t, doc["concerns"])
		if first == nil {
			first = told
		}
		require.True(t, bytes.Equal(first, told), "GOMAXPROCS=%s", workers)
	}
}

// TestCheckBrokenOff sends Ctrl-C once the first base is done.
func TestCheckBrokenOff(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt")
	}
	dir := testScene(t, "check-yard.toml")
	cmd := command(t, socle, "check", "check-yard.toml", "--cell", "0.2")
	cmd.Dir = dir
	var results bytes.Buffer
	cmd.Stdout = &results
	messages, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(messages)
	for lines.Scan() && !strings.Contains(lines.Text(), ": proven") {
	}
	require.Equal(t, "alley: proven (1 of 13)", lines.Text())
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	last := ""
	for lines.Scan() {
		last = lines.Text()
	}
	var exit *exec.ExitError
	require.ErrorAs(t, cmd.Wait(), &exit)
	require.Equal(t, exitInterrupted, exit.ExitCode())
	require.Equal(t, "socle: stopped; nothing was changed", last)
	require.Empty(t, results.String(), "no half of a report")
	require.Equal(t, []string{"check-yard.toml"}, filesIn(t, dir))
}

// TestCheckOfAFaultyScene tells the faults, as build does, and exits with 2; what
// does not fit is told before anything is meshed.
func TestCheckOfAFaultyScene(t *testing.T) {
	dir := testScene(t, "faulty.toml")
	r := runIn(t, dir, "check", "faulty.toml")
	require.Equal(t, exitFaulty, r.code)
	require.Empty(t, r.out)
	require.Contains(t, r.err, "faulty.toml:11:9")
	r = runIn(t, dir, "check", "faulty.toml", "--json")
	require.Equal(t, exitFaulty, r.code)
	var faults scenes.Faults
	require.NoError(t, json.Unmarshal([]byte(r.out), &faults))
	require.GreaterOrEqual(t, len(faults.List), 2)

	dir = testScene(t, "check-yard.toml")
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{nil, exitFaulty, "check needs one scene"},
		{[]string{"check-yard.toml", "--to", "made"}, exitFaulty, "unknown flag"},
		{[]string{"check-yard.toml", "--base", "nobody"}, exitFaulty, `no base "nobody"`},
		{withSets("inspect.severity.hare=stop"), exitFaulty, "allowed: stair, uneven-risers"},
		{withSets("inspect.severity.hair=bad"), exitFaulty, "stop, warn, note"},
		{withSets("inspect.neck=glue"), exitFaulty, "keep, cut, thicken, stop"},
		{withSets("base.gateway.top=8"), exitNotProven, "does not fit"},
	} {
		args := []string{"check"}
		if len(c.args) > 0 && strings.HasPrefix(c.args[0], "--") {
			args = append(args, "check-yard.toml", "--base", "gateway")
		}
		r := runIn(t, dir, append(args, c.args...)...)
		require.Equal(t, c.code, r.code, "%v: %s", c.args, r.err)
		require.Contains(t, r.err, c.says)
		require.Empty(t, r.out)
	}

	r = runIn(t, dir, "check", "--help")
	require.Equal(t, exitDone, r.code)
	_, examples, ok := strings.Cut(r.out, "\nExamples:\n")
	require.True(t, ok)
	require.Contains(t, examples, "socle check harbour.toml")
	require.Equal(t, []string{"check-yard.toml"}, filesIn(t, dir))
}

// TestPrintingByHand holds times and costs against sums done by hand.
func TestPrintingByHand(t *testing.T) {
	t.Parallel()
	resin := withSets("printer.exposure=2.5", "printer.first-exposure=30", "printer.first-layers=6", "printer.lift=6",
		"material.density=1.2", "material.price=40", "material.supports=0.1", "material.waste=0.2",
		"printer.plate=[60, 40]")
	doc, code := checked(t, "check-yard.toml", append(resin, "--base", "plain", "--base", "mast-step")...)
	require.Equal(t, exitDone, code)
	mast, plain := doc.Bases[0], doc.Bases[1]
	require.Equal(t, "mast-step", mast.Name)

	// 4 mm in layers of 0.05 are 80: 6 x 30 + 74 x 2.5 + 80 x 6; 12 mm are 240.
	require.Equal(t, 80, plain.Estimate.Layers)
	require.InDelta(t, 180+185+480, plain.Estimate.Seconds, 1e-9)
	require.Equal(t, 240, mast.Estimate.Layers)
	require.InDelta(t, 180+585+1440, mast.Estimate.Seconds, 1e-9)
	// A cone from 7 to 8 mm and the chamfer under it: that is 0.4 high, and as much in.
	cone := func(r, s, h float64) float64 { return math.Pi * h / 3 * (r*r + r*s + s*s) }
	require.InEpsilon(t, cone(7.6, 8, 0.4)+cone(8, 7, 3.6), plain.Volume, 0.01)
	mass := plain.Volume / 1000 * 1.2
	require.InDelta(t, mass, plain.Estimate.Mass, 1e-9)
	require.InDelta(t, mass*1.1*1.2, plain.Estimate.Material, 1e-9)
	require.InDelta(t, mass*1.1*1.2/1000*40, *plain.Estimate.Cost, 1e-9)
	require.Equal(t, "shells", plain.Estimate.Currency)
	// The mast on it is a cylinder, 8 mm tall.
	require.InDelta(t, 8*math.Pi*0.5*0.5, mast.Volume-plain.Volume, 0.5)

	// Both are on one plate, and take as long as the taller one.
	p := doc.Printing
	require.Equal(t, [][]string{{"mast-step", "plain"}}, p.Plates)
	require.InDelta(t, mast.Estimate.Seconds, p.Seconds, 1e-9)
	require.InDelta(t, *mast.Estimate.Cost+*plain.Estimate.Cost, *p.Cost, 1e-9)
	require.InDelta(t, mast.Estimate.Mass+plain.Estimate.Mass, p.Mass, 1e-9)

	// On a plate for one at a time the times add up.
	one, _ := checked(t, "check-yard.toml", append(resin, "--base", "plain", "--base", "mast-step", "--set", "printer.plate=[22, 22]")...)
	require.Len(t, one.Printing.Plates, 2)
	require.InDelta(t, mast.Estimate.Seconds+plain.Estimate.Seconds, one.Printing.Seconds, 1e-9)

	// Filament: the volume by the line's section and its speed; one after the other.
	lines, _ := checked(t, "check-yard.toml", append(withSets("printer.process=filament", "printer.nozzle=0.4", "printer.layer=0.2", "printer.line=0.5",
		"printer.speed=50"), "--base", "plain", "--base", "mast-step")...)
	mast, plain = lines.Bases[0], lines.Bases[1]
	require.Equal(t, 20, plain.Estimate.Layers)
	require.InEpsilon(t, plain.Volume/(0.5*0.2*50), plain.Estimate.Seconds, 1e-9)
	require.InEpsilon(t, mast.Estimate.Seconds+plain.Estimate.Seconds, lines.Printing.Seconds, 1e-9)
	require.Nil(t, plain.Estimate.Cost, "no price of our own")
	require.Empty(t, lines.Printing.Currency)
	require.InEpsilon(t, plain.Volume/1000*1.24, plain.Estimate.Mass, 1e-9)
}

// TestPrintingSaysWhatItAssumes of the time, and what it wants for a cost.
func TestPrintingSaysWhatItAssumes(t *testing.T) {
	var text strings.Builder
	printPrinting(&text, &report.Printing{Volume: 2000, Mass: 2.4, Material: 3, Seconds: 900, Assumed: parts.Printer{}.Pace().Assumed}, 2)
	require.Equal(t, "2 bases: 2.0 ml, 2.4 g; with supports and waste 3.0 g, printing for about 15 min one by one, as assumed\n"+
		"time: assumed exposure 2.5 s, first-exposure 30 s, lift 6 s (typical values; set your own in [printer])\n"+
		"cost: 3.0 g at your price: set price (per kg) and currency in [material]\n", text.String())
	text.Reset()
	seconds, cost := 2*3600.0+5*60, 1.25
	printPrinting(&text, &report.Printing{Volume: 2000, Mass: 2.4, Material: 3, Seconds: seconds, Cost: &cost, Currency: "shells", Plates: [][]string{{"a"}, {"b"}}}, 2)
	require.Equal(t, "2 bases: 2.0 ml, 2.4 g; with supports and waste 3.0 g, 1.25 shells, on 2 plates, printing for about 2 h 05 min\n", text.String())
	text.Reset()
	printPrinting(&text, &report.Printing{}, 0)
	require.Empty(t, text.String())
	for _, c := range []struct {
		seconds float64
		says    string
	}{{29, "0 min"}, {31, "1 min"}, {3569, "59 min"}, {3571, "1 h 00 min"}, {100 * 3600, "100 h 00 min"}} {
		require.Equal(t, c.says, words.Hours(c.seconds))
	}
}

// TestTimeIsAssumedFromWhatIsUsual, key by key, where the scene does not say. The
// harbour says nothing of it, and its time was left out.
func TestTimeIsAssumedFromWhatIsUsual(t *testing.T) {
	t.Parallel()
	only := []string{"--base", "plain"}
	plain, _ := checked(t, "check-yard.toml", only...)
	e := plain.Bases[0].Estimate
	require.Equal(t, []string{"exposure 2.5 s", "first-exposure 30 s", "lift 6 s"}, e.Assumed)
	require.InDelta(t, 6*30+74*2.5+80*6, e.Seconds, 1e-9, "80 layers, of which 6 first ones")
	require.Equal(t, e.Assumed, plain.Printing.Assumed)
	require.Nil(t, e.Cost, "no price is assumed")

	some, _ := checked(t, "check-yard.toml", append(withSets("printer.exposure=4"), only...)...)
	e = some.Bases[0].Estimate
	require.Equal(t, []string{"lift 6 s"}, e.Assumed, "first layers are as the others where those are given")
	require.InDelta(t, 80*4+80*6, e.Seconds, 1e-9)

	all, _ := checked(t, "check-yard.toml", append(withSets("printer.exposure=4", "printer.lift=3"), only...)...)
	require.Empty(t, all.Bases[0].Estimate.Assumed)

	lines, _ := checked(t, "check-yard.toml", append(withSets("printer.process=filament"), only...)...)
	e = lines.Bases[0].Estimate
	require.Equal(t, []string{"speed 50 mm/s"}, e.Assumed)
	require.InEpsilon(t, e.Volume/(0.44*0.2*50), e.Seconds, 1e-9)
}

// TestEveryCheckHasAKind: every word of [inspect.severity] is found by a kind of
// finding, by a measure of the scene, or is that of crumbs; and every kind has its
// word there.
func TestEveryCheckHasAKind(t *testing.T) {
	known := []string{"stair", "rail", "opening", "unit", "crumb", "filled-void"} // of assembly.Measures and of the mesher
	for k := inspect.Island; k <= inspect.BareTop; k++ {
		require.NotEmpty(t, defaultOf(t, k.Check()), fmt.Sprint(k))
		known = append(known, k.Check())
	}
	for _, c := range parts.InspectionChecks() {
		require.Contains(t, known, c.Word)
	}
}

// TestPlainBasesHaveNoConcerns, of any footprint and however coarsely meshed.
func TestPlainBasesHaveNoConcerns(t *testing.T) {
	t.Parallel()
	for _, cell := range []string{checkCell, "0.6", "1"} {
		doc, code := checked(t, "check-flat.toml", "--cell", cell)
		require.Equal(t, exitDone, code)
		require.Len(t, doc.Bases, 4)
		for _, f := range doc.Findings {
			require.Equal(t, "bare", f.Check, "cell %s: %s", cell, f.What) // as a plain disc is
		}
	}
}
