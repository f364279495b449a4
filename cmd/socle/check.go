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
		Short: "Build the bases of a scene and tell whether they will print, writing nothing",
		Long: `Check builds and proves the bases of a scene as build does, holds each against
the printer, and tells what it found: what stops a print, what may go wrong,
and what is worth knowing, with the place, what it means at the printer and
what to change in the scene. It writes no file. Build does the same for every
base before it writes it.

Looked at are the sizes of stairs, rails and stones beside life; crumbs and
necks; thin walls, pins and gaps; islands, overhangs and bridges; trapped resin
and suction; the foot; pockets, skins and stands; and what it all takes to print.

What to change is tried: values of the keys that may clear a stop or a warning, the
least change first, about its place and then on every base that the change reaches.
A change is told that clears the finding and brings nothing as grave, and else that
none was found; at the end, what all of them come to together. At most 32 changes are
tried for the findings on one part and 96 in all, so that it may take several times as
long; the pieces are kept for the build that takes the change. A draft is not tried,
unless --advise asks for it; --advise=false leaves it out.

How grave each finding is, and what is done with crumbs and necks, is set in the
scene's [inspect]; the printer is its [printer]: see socle parts inspect, socle
parts printer. Places are in mm from the middle of the base's foot.

It ends with 1 where anything stops. What it finds is no warrant: try one base
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
	cmd.Flags().Lookup("advise").Usage = "try which changes of the scene clear the stops and the warnings; left out, where the setting is fine"
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
