package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"socle/parts/assembly"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/output"
	"socle/cmd/set/vary"
	"socle/cmd/set/words"
)

// varyFlags is what the command line asks of a sweep or of layouts.
type varyFlags struct {
	setFlags
	layouts assembly.LayoutOptions
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
			return f.failed(cmd, f.vary(cmd, args))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingDraft)
	flags := cmd.Flags()
	flags.IntVar(&f.layouts.Count, "layouts", 0, fmt.Sprintf("lay the damage in `N` other ways, 1 to %d", assembly.MostLayouts))
	flags.Uint64Var(&f.layouts.Seed, "seed", 1, "the `SEED` that layouts are drawn by")
	flags.StringArrayVar(&f.layouts.Focus, "focus", nil, "aim at the base `NAME` only; may be repeated")
	flags.StringArrayVar(&f.layouts.Spared, "spare", nil, "leave the base `NAME` untouched; may be repeated")
	flags.StringVar(&f.keep, "keep", "", "write what is picked into the scene file as the variant `NAME`")
	flags.IntVar(&f.pick, "pick", 0, "the `NUMBER` to keep, as the sheet has it")
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE-vary)")
	return cmd
}

// trials lists what is to be tried.
func (f *varyFlags) trials(cmd *cobra.Command, s *set.Scene, sweeps []string) ([]vary.Trial, error) {
	laid := cmd.Flags().Changed("layouts")
	switch {
	case laid && len(sweeps) > 0:
		return nil, errors.New("sweeps and --layouts do not go together: keep a layout as a variant, and sweep that with --variant")
	case !laid && len(sweeps) == 0:
		return nil, errors.New("nothing to vary: allowed: PATH=VALUE;VALUE, PATH=FROM:TO:COUNT, or --layouts N")
	case !laid && (len(f.layouts.Focus) > 0 || len(f.layouts.Spared) > 0 || cmd.Flags().Changed("seed")):
		return nil, errors.New("--focus, --spare and --seed are for layouts: add --layouts N")
	}
	if laid {
		return vary.Layouts(s, f.layouts)
	}
	return vary.Sweep(s, sweeps)
}

func (f *varyFlags) vary(cmd *cobra.Command, args []string) error {
	if cmd.Flags().Changed("keep") {
		return f.keepIn(cmd, args[0], args[1:])
	}
	s, err := open(cmd, args[0], f.Selection)
	if err != nil {
		return err
	}
	trials, err := f.trials(cmd, s, args[1:])
	if err != nil {
		return set.AsFaulty(err)
	}
	if f.pick != 0 {
		return set.AsFaulty(errors.New("--pick is for --keep: add --keep NAME"))
	}
	if err := f.settle(cmd, s); err != nil {
		return err
	}
	cut, err := s.Cut(f.Bases)
	if err != nil {
		return err
	}
	messages := cmd.ErrOrStderr()
	v, err := vary.New(cut, f.to, f.Bases, trials, f.layouts, len(args) == 1, teller(messages))
	if err != nil {
		return err
	}
	if !f.quiet {
		fmt.Fprintf(messages, "%s of %s each, and the scene as it is\n%s\n", words.Count(len(trials), "combination", "combinations"), words.Count(len(cut.Pieces), "base", "bases"), s.Resolution)
	}
	doc, err := v.Run(cmd.Context(), &progress{w: messages, quiet: f.quiet})
	if err != nil {
		return err
	}
	switch results := cmd.OutOrStdout(); {
	case f.json:
		if err := output.WriteJSON(results, doc); err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
	case !f.quiet:
		printVaried(results, doc)
		fmt.Fprintf(results, "\nwrote the sheet to %s\n", filepath.ToSlash(filepath.Join(v.Files.Path, s.Name+"-vary.png")))
	}
	if !slices.ContainsFunc(doc.Tried, func(t *vary.Outcome) bool { return t.Number > 0 && t.Fault == "" }) {
		return set.AsFaulty(errors.New("none of what was to be tried can be made: the table tells why"))
	}
	return nil
}

// printVaried tells a block for each trial.
func printVaried(w io.Writer, r *vary.Report) {
	right := map[int]bool{1: true, 2: true, 3: true, 4: true, 5: true, 6: true, 7: true}
	for i, t := range r.Tried {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, t.Heading())
		if t.Fault != "" {
			fmt.Fprintf(w, "  not made: %s\n", t.Fault)
			continue
		}
		if r.Laid {
			fmt.Fprintf(w, "  score %s\n", vary.Tenth(t.Score))
		}
		rows := [][]string{{"base", "removed mm3", "touched %", "crumbs", "thinnest mm", "stops", "warnings", "resin ml"}}
		for _, b := range t.Bases {
			if b.Fault == "" {
				rows = append(rows, b.Row(b.Name))
			}
		}
		rows = append(rows, t.Total.Row("the set"))
		printColumns(w, "  ", rows, right)
		for _, b := range t.Bases {
			if b.Fault != "" {
				fmt.Fprintf(w, "  %s is not made: %s\n", b.Name, b.Fault)
			}
		}
	}
}
