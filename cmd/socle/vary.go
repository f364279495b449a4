package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/output"
	"socle/cmd/set/vary"
	"socle/cmd/set/words"
	"socle/parts/assembly"
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
		Short: "Try a scene with many values, or its damage in many places, and pick one",
		Long: `Vary builds the bases of a scene as it is and with each of many changes. It puts them
on one sheet to pick from, with a table of their effects.

The changes are one of

  PATH=VALUE;VALUE;...       these values, written as in --set
  PATH=FROM:TO:COUNT         COUNT values, evenly spaced, with both ends
  --layouts N                the craters, gouges and breaches of the scene in N other layouts

Several paths give every combination of their values, 64 at most. Sweeps and layouts
cannot be combined, because a changed value would change the layout of each number.

A layout moves, turns and scales the damage, to 0.7 to 1.4 times its size in the scene.
Bases take turns, in proportion to the square root of their area. Stands stay clear.
With --focus only those bases are damaged; with --spare those are not. Damage that
finds no such place stays where it is. Layout 5 of a seed is the same for any N.

Layouts are sorted by their score, the best first; 0 is perfect. The score adds up
  100 for each stop, 10 for each warning, 5 for each base with a place thinner than
      the printer's pin, 1 for each crumb;
   50 for each base that should be touched and is not, by half a per cent of what is seen from above;
   50 for each base that should be spared and is touched;
    0 to 20 for how unevenly the touched share is spread over the bases to be touched:
      20 (1 - (sum of shares)^2 / (count x sum of squares)).
Common practice, no source.

For each base it shows the volume that the damage removes (compared with the same base
undamaged, and including everything cleared above a crater), the share of its surface,
seen from above, that is broken or covered with debris, loose crumbs, the thinnest of
the places that are too thin, stops and warnings, and resin with supports and waste.

The sheet, the document and their folder appear when everything is done. If a change
breaks a rule or does not fit, the table says so; if that is true of all, the exit code
is 2.

--keep NAME saves the picked change in the scene file at once, as a variant, and builds
nothing. The rest of the file stays as it is, byte for byte. If the file was saved in
the meantime, is not writable or has another name, it is left unchanged, and vary
prints the text to add.`,
		Example: `  socle vary harbour.toml crater.hit.depth=3:7:5
  socle vary harbour.toml 'crater.hit.diameter=24;34' crater.hit.seed=1:3:3
  socle vary harbour.toml --layouts 12 --seed 4 --spare signals
  socle vary harbour.toml --layouts 12 --seed 4 --spare signals --keep second-salvo --pick 7`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("vary needs a scene, and values to try or --layouts N")
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
	flags.IntVar(&f.layouts.Count, "layouts", 0, fmt.Sprintf("try `N` other layouts of the damage, 1 to %d", assembly.MostLayouts))
	flags.Uint64Var(&f.layouts.Seed, "seed", 1, "the `SEED` of the layouts")
	flags.StringArrayVar(&f.layouts.Focus, "focus", nil, "damage only the base `NAME`; may be repeated")
	flags.StringArrayVar(&f.layouts.Spared, "spare", nil, "leave the base `NAME` untouched; may be repeated")
	flags.StringVar(&f.keep, "keep", "", "save the picked change in the scene file as the variant `NAME`")
	flags.IntVar(&f.pick, "pick", 0, "the `NUMBER` on the sheet to keep")
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE-vary)")
	return cmd
}

// trials lists what is to be tried.
func (f *varyFlags) trials(cmd *cobra.Command, s *set.Scene, sweeps []string) ([]vary.Trial, error) {
	laid := cmd.Flags().Changed("layouts")
	switch {
	case laid && len(sweeps) > 0:
		return nil, errors.New("sweeps and --layouts cannot be combined: keep a layout as a variant, then sweep it with --variant")
	case !laid && len(sweeps) == 0:
		return nil, errors.New("nothing to vary: allowed: PATH=VALUE;VALUE, PATH=FROM:TO:COUNT, or --layouts N")
	case !laid && (len(f.layouts.Focus) > 0 || len(f.layouts.Spared) > 0 || cmd.Flags().Changed("seed")):
		return nil, errors.New("--focus, --spare and --seed need --layouts N")
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
		return set.AsFaulty(errors.New("--pick needs --keep NAME"))
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
		return set.AsFaulty(errors.New("none of these can be built: the table says why"))
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
