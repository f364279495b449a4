package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/compare"
	"socle/cmd/set/finding"
	"socle/cmd/set/output"
	"socle/cmd/set/words"
)

// compareFlags is what the command line asks of a comparison.
type compareFlags struct {
	setFlags
	to string
}

func compareCmd() *cobra.Command {
	var f compareFlags
	cmd := &cobra.Command{
		Use:   "compare A B",
		Short: "Tell what differs between two scenes, two variants or two revisions of one",
		Long: `Compare builds the bases of two scenes and tells what is not the same in both:
the values that changed, the bases that are in one only, and of each base that
differs how much was added and taken away, its size, and what the inspection
finds now that it did not find before, or no longer.

Each of A and B is one of

  SCENE                      a scene file, - for standard input, or a shipped scene
  SCENE@VARIANT              a variant of it
  SCENE@REVISION             the file as it was in a git revision: HEAD~1, v2, 3f9c01a
  SCENE@REVISION@VARIANT     a variant of that

The name of a variant goes before that of a revision. A revision is a branch, a tag,
HEAD, or a commit by its hash, with ~N and ^N behind it. It is read from the
repository's objects alone: nothing that the repository or its configuration names is
started or fetched, and nothing is checked out. --set, --printer and --variant are for
both.

It ends with 0 where every base is the same solid, byte for byte, and none is
missing, and with 1 where anything differs, so that it can stand guard: a change
that was to change no print must end with 0. Comments and the order of named parts
change nothing. A base may keep its shape and get other triangles, as where the
scene grows taller elsewhere: that is told, and ends with 1. The setting is fine,
for it is what is printed that counts; draft is quicker, for a look.

Volumes are taken from what the scenes describe, to a few thousandths, before necks
are mended. A base whose every cause is the same is not built at all.

With --to DIR it writes compare.html, compare.json, and NAME.png of every base
whose shape differs: as it is in A, with what will go, and as it is in B, with what
came.`,
		Example: `  socle compare harbour.toml@HEAD~1 harbour.toml
  socle compare harbour.toml harbour.toml@near-miss --to what-if
  socle compare saltmere-quay mine.toml --setting draft --base walker
  socle compare harbour.toml@v2 harbour.toml --quiet && echo "prints as v2 did"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("compare wants two scenes, A and B: a file, a shipped scene, SCENE@VARIANT or SCENE@REVISION")
			}
			if args[0] == "-" && args[1] == "-" {
				return fmt.Errorf("standard input can be one of the two only")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.failed(cmd, f.compare(cmd, args))
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 1 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return completeScene(cmd, nil, start)
		},
	}
	f.add(cmd, set.SettingFine)
	cmd.Flags().StringVar(&f.to, "to", "", "write a page, a document and pictures to the folder `DIR`")
	return cmd
}

func (f *compareFlags) compare(cmd *cobra.Command, args []string) error {
	var sides [2]*compare.Side
	for i, arg := range args {
		side, err := compare.Open(cmd.Context(), cmd.InOrStdin(), arg, &f.Selection)
		if err != nil {
			return err
		}
		if err := f.settle(cmd, side.Opened); err != nil {
			return err
		}
		if err := side.Cut(); err != nil {
			return err
		}
		sides[i] = side
	}
	c, err := compare.New(sides, f.Bases)
	if err != nil {
		return err
	}
	results, messages := cmd.OutOrStdout(), cmd.ErrOrStderr()
	if !f.quiet {
		printSettings(messages, c)
	}
	if err := c.Run(cmd.Context(), f.to, &progress{w: messages, quiet: f.quiet}, teller(messages)); err != nil {
		return err
	}
	switch {
	case f.json:
		if err := output.WriteJSON(results, c.Report); err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
	case !f.quiet:
		printComparison(results, c.Report)
		if f.to != "" {
			fmt.Fprintf(results, "written: %s\n", filepath.ToSlash(filepath.Join(f.to, compare.PageFile)))
		}
	}
	if !c.Report.Same {
		return &set.Failure{Kind: set.NotProven}
	}
	return nil
}

// printSettings says what is compared, and how finely it is made.
func printSettings(w io.Writer, c *compare.Comparison) {
	for i, side := range c.Sides {
		fmt.Fprintf(w, "%s  %s\n", [2]string{"A", "B"}[i], side.InWords())
	}
	if a, b := c.Sides[0].Resolution, c.Sides[1].Resolution; a == b {
		fmt.Fprintln(w, a)
	} else {
		fmt.Fprintf(w, "A  %s\nB  %s\n", strings.ReplaceAll(a.String(), "\n", "\n   "), strings.ReplaceAll(b.String(), "\n", "\n   "))
	}
}

// mostKeys is how many changed values are listed; the document has them all.
const mostKeys = 40

// printComparison tells a comparison as text.
func printComparison(w io.Writer, r *compare.Report) {
	if len(r.Keys) > 0 {
		fmt.Fprintf(w, "%s of the scene, A -> B\n", words.Count(len(r.Keys), "change", "changes"))
		wide := 0
		for _, k := range r.Keys[:min(len(r.Keys), mostKeys)] {
			wide = max(wide, utf8.RuneCountInString(k.Path))
		}
		for _, k := range r.Keys[:min(len(r.Keys), mostKeys)] {
			fmt.Fprintf(w, "  %s%s  %s\n", k.Path, strings.Repeat(" ", wide-utf8.RuneCountInString(k.Path)), k.Words())
		}
		if more := len(r.Keys) - mostKeys; more > 0 {
			fmt.Fprintf(w, "  and %d more: --json has them all\n", more)
		}
		fmt.Fprintln(w)
	}
	wide := 0
	for i := range r.Bases {
		wide = max(wide, utf8.RuneCountInString(r.Bases[i].Name))
	}
	for i := range r.Bases {
		b := &r.Bases[i]
		indent := strings.Repeat(" ", wide+2)
		fmt.Fprintf(w, "%s%s  %s\n", b.Name, strings.Repeat(" ", wide-utf8.RuneCountInString(b.Name)), b.Words())
		for _, line := range b.Lines() {
			fmt.Fprintf(w, "%s%s\n", indent, line)
		}
	}
	gained, lost := r.Changed()
	printChanged(w, "B has what A has not", gained)
	printChanged(w, "A has what B has not", lost)
	fmt.Fprintln(w)
	left := ""
	if r.Unmade > 0 {
		left = fmt.Sprintf(" (of the bases that had to be built; the other %d are as they were)", r.Unmade)
		if r.Unmade == 1 {
			left = " (of the bases that had to be built; the other one is as it was)"
		}
	}
	if r.Unmade < len(r.Bases) {
		fmt.Fprintf(w, "inspection of A: %s; of B: %s%s\n", r.A.Tally, r.B.Tally, left)
	}
	fmt.Fprintln(w, r.Verdict())
}

// printChanged tells what stops and what warns, a line each, and counts the notes.
func printChanged(w io.Writer, head string, all []compare.ChangedFinding) {
	t := compare.Tallied(all)
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s: %s\n", head, t)
	for _, severity := range finding.Severities[:2] {
		for i := range all {
			if f := &all[i]; f.Severity == severity {
				fmt.Fprintf(w, "  %s  %s\n", severity, f.Line())
			}
		}
	}
	if t.Notes > 0 && t.Stops+t.Warns == 0 {
		fmt.Fprintln(w, "  (--json has the notes)")
	}
}
