package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/output"
)

func checkCmd() *cobra.Command {
	var f buildFlags // without a format, so that nothing is written
	cmd := &cobra.Command{
		Use:   "check SCENE",
		Short: "Build the bases of a scene and report whether they will print; write no files",
		Long: `Check builds and proves the bases of a scene as build does, and inspects each for the
printer. It lists what stops the print, what may go wrong, and what is good to know:
the place, what it means at the printer, and what to change in the scene. It writes
no files. Build does the same for every base before it writes it.

The inspection looks at the sizes of stairs, rails and stones compared with real ones;
crumbs and necks; thin walls, pins and gaps; islands, overhangs and bridges; trapped
resin and suction; the foot; pockets, skins and stands; material and time.

Check also looks for changes that clear a stop or a warning. It tries values of the
keys that may help, smallest change first, at the place of the finding and then on
every base that the change affects. It suggests a change only if that clears the
finding and causes nothing equally severe; otherwise it says that it found none. At the
end it shows the result of all suggested changes together. It tries at most 32 changes
for the findings on one part and 96 in all, so it can take several times as long. The
bases stay in the cache for the build that uses the change. For a draft, check tries
no changes unless you add --advise. --advise=false turns this off.

The scene's [inspect] sets how severe each finding is and what happens to crumbs and
necks. Its [printer] describes the printer. See socle parts inspect and socle parts
printer. Places are in mm from the middle of the base's foot.

The exit code is 1 if anything stops the print. Passing is no guarantee: print one base
before you print the set.`,
		Example: `  socle check harbour.toml
  socle check saltmere-quay --base walker
  socle check harbour.toml --printer mine.toml --json > findings.json`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.failed(cmd, f.eachVariant(cmd, args[0], func(f *buildFlags) error { return f.checkOnly(cmd, args[0]) }))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingFine)
	f.adviseFlag(cmd.Flags())
	cmd.Flags().Lookup("advise").Usage = "look for changes to the scene that clear the stops and warnings (default: if the setting is fine)"
	return cmd
}

// checkOnly builds and inspects without writing.
func (f *buildFlags) checkOnly(cmd *cobra.Command, arg string) error {
	opened, err := f.open(cmd, arg)
	if err != nil {
		return err
	}
	s, err := opened.Cut(f.Bases)
	if err != nil {
		return err
	}
	coarse := s.Resolution.Coarse(s.Site.Printer)
	if !cmd.Flags().Changed("advise") {
		f.Advise = !coarse
	}
	results, messages := cmd.OutOrStdout(), cmd.ErrOrStderr()
	if !f.quiet {
		fmt.Fprintln(messages, s.Resolution)
		printTooLarge(messages, s)
	}
	b := build.New(s, f.options())
	if err := f.announce(cmd.Context(), messages, b); err != nil {
		return err
	}
	if err := b.Run(cmd.Context(), &progress{w: messages, quiet: f.quiet}, teller(messages)); err != nil {
		return err
	}
	r := b.Report
	switch {
	case f.json:
		if err := output.WriteJSON(results, r); err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
	case !f.quiet:
		printScale(results, s.Site, r.Scale)
		printConcerns(results, r.Findings, true)
		printNotes(results, r)
		fmt.Fprintln(results)
		printEstimates(results, r)
		printPrinting(results, &r.Printing, len(r.Bases))
		fmt.Fprintf(results, "\ninspection: %s\n", r.Tally)
		printAdvised(results, r, f.Advise)
		if coarse {
			fmt.Fprintln(results, s.Resolution.Caution(s.Site.Printer))
		}
		printCautions(results, r.Cautions)
	}
	for _, fault := range r.Failed {
		fmt.Fprintf(messages, "socle: %s: %s\n", fault.Name, fault.Why)
	}
	if len(r.Failed) > 0 || r.Tally.Stops > 0 {
		return &set.Failure{Kind: set.NotProven}
	}
	return nil
}
