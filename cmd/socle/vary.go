package main

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes"
)

// varyFlags is what the command line asks of a sweep or of layouts.
type varyFlags struct {
	asked
	layouts int
	seed    uint64
	focus   []string
	spare   []string
	keep    string
	pick    int
	to      string
}

func varyCmd() *cobra.Command {
	var f varyFlags
	cmd := &cobra.Command{
		Use:   "vary SCENE [PATH=SPEC...]",
		Short: "Try a scene with many values, or its damage laid many ways, and pick one",
		Long: `Vary makes the bases of a scene as it is and as each of many values would have it,
and puts them on one sheet to pick from, with a table of what each does.

What is tried is one of

  PATH=VALUE;VALUE;...       these values, written as in --set
  PATH=FROM:TO:COUNT         so many values, evenly spread, with both ends
  --layouts N                the craters, gouges and breaches of the scene laid in N other ways

Several paths make every combination of their values, 64 at most. Sweeps and layouts
do not go together: a layout is told by its number, which a value would change.

A layout moves, turns and sizes the damage, 0.7 to 1.4 times what the scene has.
Whose turn it is goes by the square root of a base's area. Stands stay clear. With
--focus only those bases are aimed at, with --spare those get nothing; what finds no
place so stays where it is. Layout 5 of a seed is the same however many there are.

Layouts are sorted by their score, the best first; 0 would be perfect. It adds up
  100 for each stop, 10 for each warning, 5 for each base with a place thinner than
      the printer's pin, 1 for each crumb;
   50 for each base that is to be touched and is not, by half a per cent of what is seen from above;
   50 for each base that is to be spared and is touched;
    0 to 20 for how unevenly the touched share is spread over those to be touched:
      20 (1 - (sum of shares)^2 / (count x sum of squares)).
Common practice, no source.

Of each base it tells the volume that damage takes away (against the same base with
nothing struck, all that is cleared above a crater included), the share of what is
seen of it from above that is broken or strewn over, loose crumbs, the thinnest place
of those found too thin, stops and warnings, and resin with supports and waste.

The sheet, the document and their folder appear once all is made. What is at fault or
does not fit is told in its place; where that is so of all that was to be tried, the end is 2.

With --keep NAME the one that is picked is written into the scene file at once, as a
variant; nothing is built. The rest of the file stays as it is, byte for byte. A file
that was saved meanwhile, may not be written or has another name is left alone, and
what was to be added is shown.`,
		Example: `  socle vary harbour.toml crater.hit.depth=3:7:5
  socle vary harbour.toml 'crater.hit.diameter=24;34' crater.hit.seed=1:3:3
  socle vary harbour.toml --layouts 12 --seed 4 --spare signals
  socle vary harbour.toml --layouts 12 --seed 4 --spare signals --keep second-salvo --pick 7`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("vary wants a scene, and values to try or --layouts N")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.told(cmd, f.vary(cmd, args))
		},
		ValidArgsFunction: completeScene,
	}
	f.asked.flags(cmd, settingDraft)
	flags := cmd.Flags()
	flags.IntVar(&f.layouts, "layouts", 0, fmt.Sprintf("lay the damage in `N` other ways, 1 to %d", assembly.MostLayouts))
	flags.Uint64Var(&f.seed, "seed", 1, "the `SEED` that layouts are drawn by")
	flags.StringArrayVar(&f.focus, "focus", nil, "aim at the base `NAME` only; may be repeated")
	flags.StringArrayVar(&f.spare, "spare", nil, "leave the base `NAME` untouched; may be repeated")
	flags.StringVar(&f.keep, "keep", "", "write what is picked into the scene file as the variant `NAME`")
	flags.IntVar(&f.pick, "pick", 0, "the `NUMBER` to keep, as the sheet has it")
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE-vary)")
	return cmd
}

// trial is one combination of values, or one layout.
type trial struct {
	number int // 0: the scene as it is
	label  string
	sets   []string
	moves  []parts.Move // that go over the sets
}

// texts are its values as --set takes them.
func (t trial) texts() []string {
	all := append([]string{}, t.sets...)
	for _, m := range t.moves {
		all = append(all, scenes.MoveText(m))
	}
	return all
}

// name is what the sheet and the table call it.
func (t trial) name() string {
	if t.number == 0 {
		return "as it is"
	}
	return fmt.Sprint(t.number)
}

// trials lists what is to be tried, numbered from 1.
func (f *varyFlags) trials(cmd *cobra.Command, s *scene, sweeps []string) ([]trial, error) {
	laid := cmd.Flags().Changed("layouts")
	switch {
	case laid && len(sweeps) > 0:
		return nil, errors.New("sweeps and --layouts do not go together: keep a layout as a variant, and sweep that with --variant")
	case !laid && len(sweeps) == 0:
		return nil, errors.New("nothing to vary: allowed: PATH=VALUE;VALUE, PATH=FROM:TO:COUNT, or --layouts N")
	case !laid && (len(f.focus) > 0 || len(f.spare) > 0 || cmd.Flags().Changed("seed")):
		return nil, errors.New("--focus, --spare and --seed are for layouts: add --layouts N")
	}
	var all []trial
	if !laid {
		sweep, err := scenes.ReadSweep(sweeps)
		if err != nil {
			return nil, err
		}
		if err := sweep.Check(s.read); err != nil {
			return nil, err
		}
		for i, c := range sweep.Combinations() {
			all = append(all, trial{number: i + 1, label: c.Label, sets: c.Sets})
		}
		return all, nil
	}
	layouts, err := assembly.Layouts(s.site, assembly.LayoutOptions{Count: f.layouts, Seed: f.seed, Focus: f.focus, Spared: f.spare})
	if err != nil {
		return nil, err
	}
	for _, l := range layouts {
		all = append(all, trial{number: l.Number, label: aimsOf(l), moves: l.Moves})
	}
	return all, nil
}

// aimsOf tells what a layout aims where.
func aimsOf(l assembly.Layout) string {
	var aims []string
	for _, a := range l.Aimed {
		if a.Piece == "" {
			aims = append(aims, a.Part+" stays")
		} else {
			aims = append(aims, a.Part+" at "+a.Piece)
		}
	}
	return strings.Join(aims, ", ")
}

func (f *varyFlags) vary(cmd *cobra.Command, args []string) error {
	if cmd.Flags().Changed("keep") {
		return f.keepIn(cmd, args[0], args[1:])
	}
	s, err := f.open(cmd, args[0])
	if err != nil {
		return err
	}
	trials, err := f.trials(cmd, s, args[1:])
	if err != nil {
		return faulty(err)
	}
	if f.pick != 0 {
		return faulty(errors.New("--pick is for --keep: add --keep NAME"))
	}
	fineness, err := f.prepare(cmd, s)
	if err != nil {
		return err
	}
	pieces, err := s.cut(f.bases)
	if err != nil {
		return err
	}
	dir := cmp.Or(f.to, filepath.Join("build", s.name+"-vary"))
	files := &outputs{dir: dir, messages: cmd.ErrOrStderr()}
	defer files.discard()
	if err := files.open(); err != nil { // rather than find out when all is built
		return &exitError{exitNotWritten, err}
	}
	v := &variation{varyFlags: f, scene: s, fineness: fineness, thumbs: len(pieces) * (len(trials) + 1)}
	messages := cmd.ErrOrStderr()
	if !f.quiet {
		fmt.Fprintf(messages, "%s of %s each, and the scene as it is\n%s\n", plural(len(trials), "combination", "combinations"), plural(len(pieces), "base", "bases"), fineness)
	}
	for _, t := range append([]trial{{label: s.read.Described()}}, trials...) {
		if err := v.try(cmd.Context(), messages, t); err != nil {
			return err
		}
	}
	if len(args) == 1 {
		slices.SortStableFunc(v.tried[1:], func(a, b *tried) int {
			if (a.Fault != "") != (b.Fault != "") {
				return cmp.Compare(len(a.Fault), len(b.Fault))
			}
			return cmp.Compare(a.Score, b.Score)
		})
	}
	doc := &variedReport{Title: s.site.Title, Setting: fineness.setting, Cell: fineness.cell, Seed: f.seed, Tried: v.tried, laid: len(args) == 1}
	if err := v.write(files, doc); err != nil {
		return &exitError{exitNotWritten, err}
	}
	if err := cmd.Context().Err(); err != nil {
		return err
	}
	if err := files.commit(); err != nil {
		return &exitError{exitNotWritten, err}
	}
	switch results := cmd.OutOrStdout(); {
	case f.json:
		if err := writeJSON(results, doc); err != nil {
			return &exitError{exitNotWritten, err}
		}
	case !f.quiet:
		doc.print(results)
		fmt.Fprintf(results, "\nwrote the sheet to %s\n", filepath.ToSlash(filepath.Join(dir, s.name+"-vary.png")))
	}
	if !slices.ContainsFunc(v.tried, func(t *tried) bool { return t.Number > 0 && t.Fault == "" }) {
		return faulty(errors.New("none of what was to be tried can be made: the table tells why"))
	}
	return nil
}
