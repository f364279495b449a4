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
		Short: "Show what differs between two scenes, variants or revisions",
		Long: `Compare builds the bases of two scenes and shows what differs: the values that
changed, the bases that are in only one of them, and for each base that differs, how
much was added and removed, its size, and which findings are new or gone.

Each of A and B is one of

  SCENE                      a scene file, - for standard input, or a shipped scene
  SCENE@VARIANT              a variant of it
  SCENE@REVISION             the file as it was in a git revision: HEAD~1, v2, 3f9c01a
  SCENE@REVISION@VARIANT     a variant of that

If a variant and a revision have the same name, the variant is used. A revision is a
branch, a tag, HEAD, or the hash of a commit, followed by ~N or ^N if you like. Compare
only reads the repository's objects. It starts and fetches nothing that the repository
or its configuration names, and checks nothing out. --set, --printer and --variant
apply to both scenes.

It ends with 0 where every base is the same solid, byte for byte, and none is missing,
and with 1 if anything differs. So you can use it as a check that a change leaves every
print as it was. Comments and the order of named parts do not matter. A base may keep
its shape and get other triangles, for example if the scene grows taller elsewhere:
compare reports that, and ends with 1. The setting is fine, because that is what you
print; draft is quicker.

Volumes come from the fields of the scenes, to a few thousandths, before necks are
mended. A base is not built if nothing that it depends on has changed.

With --to DIR it writes compare.html, compare.json and, for every base whose shape
differs, NAME.png: the base in A with the parts that will go, and in B with the new
parts.`,
		Example: `  socle compare harbour.toml@HEAD~1 harbour.toml
  socle compare harbour.toml harbour.toml@near-miss --to what-if
  socle compare saltmere-quay mine.toml --setting draft --base walker
  socle compare harbour.toml@v2 harbour.toml --quiet && echo "prints as v2 did"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("compare needs two scenes, A and B: a file, a shipped scene, SCENE@VARIANT or SCENE@REVISION")
			}
			if args[0] == "-" && args[1] == "-" {
				return fmt.Errorf("only one of the two can be standard input")
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
	printChanged(w, "new in B", gained)
	printChanged(w, "gone in B", lost)
	fmt.Fprintln(w)
	left := ""
	if r.Unmade > 0 {
		left = fmt.Sprintf(" (only of the bases that had to be built; the other %d are unchanged)", r.Unmade)
		if r.Unmade == 1 {
			left = " (only of the bases that had to be built; the other one is unchanged)"
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
