package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"socle/parts/assembly"
)

// compareFlags is what the command line asks of a comparison.
type compareFlags struct {
	asked
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
			return f.told(cmd, f.compare(cmd, args))
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 1 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return completeScene(cmd, nil, start)
		},
	}
	f.asked.flags(cmd, settingFine)
	cmd.Flags().StringVar(&f.to, "to", "", "write a page, a document and pictures to the folder `DIR`")
	return cmd
}

// comparison is one comparison under way, and all that came of it.
type comparison struct {
	sides    [2]*compared
	pairs    []pair
	concerns [2][]concern // of the bases that were made, and of the scenes
	easel    *comparedEasel
	report   *comparisonReport
}

// comparisonReport is the JSON document of a comparison. Lengths are in mm.
type comparisonReport struct {
	A     sideReport     `json:"a"`
	B     sideReport     `json:"b"`
	Same  bool           `json:"same"` // every base is the same solid
	Keys  []changedKey   `json:"keys"`
	Bases []comparedBase `json:"bases"`

	Gained []changedFinding `json:"gained"` // of the scene as a whole
	Lost   []changedFinding `json:"lost"`
	Unmade int              `json:"unmade"` // bases that were not made, since nothing of theirs has changed: the tallies leave them out

	Made     string      `json:"made_by"`
	Page     *fileReport `json:"page,omitempty"`
	Document *fileReport `json:"document,omitempty"`
}

// sideReport is one of the two scenes.
type sideReport struct {
	Asked     string  `json:"asked"` // as the command line has it
	Title     string  `json:"title"`
	Variant   string  `json:"variant,omitempty"`
	Revision  string  `json:"revision,omitempty"`
	Commit    string  `json:"commit,omitempty"`
	Setting   string  `json:"setting"`
	Cell      float64 `json:"cell"`
	Tolerance float64 `json:"tolerance"`
	Tally     tally   `json:"tally"` // of what is found on the bases that were made, and in the scene
}

func (f *compareFlags) compare(cmd *cobra.Command, args []string) error {
	c, err := f.begin(cmd, args)
	if err != nil {
		return err
	}
	results, messages := cmd.OutOrStdout(), cmd.ErrOrStderr()
	if !f.quiet {
		c.printSettings(messages)
	}
	files := &outputs{dir: f.to, messages: messages}
	defer files.discard()
	if f.to != "" {
		if err := files.open(); err != nil { // rather than find out when all is built
			return &exitError{exitNotWritten, err}
		}
		c.easel = &comparedEasel{files: files}
	}
	if err := c.run(cmd.Context(), messages, f.quiet); err != nil {
		return err
	}
	if f.to != "" {
		if err := c.writeFiles(files); err != nil {
			return &exitError{exitNotWritten, err}
		}
	}
	if err := cmd.Context().Err(); err != nil {
		return err
	}
	if err := files.commit(); err != nil {
		return &exitError{exitNotWritten, err}
	}
	switch {
	case f.json:
		if err := writeJSON(results, c.report); err != nil {
			return &exitError{exitNotWritten, err}
		}
	case !f.quiet:
		c.report.print(results)
		if f.to != "" {
			fmt.Fprintf(results, "written: %s\n", filepath.ToSlash(filepath.Join(f.to, comparePage)))
		}
	}
	if !c.report.Same {
		return &exitError{code: exitNotProven}
	}
	return nil
}

// begin reads both sides and cuts their bases.
func (f *compareFlags) begin(cmd *cobra.Command, args []string) (*comparison, error) {
	c := &comparison{report: &comparisonReport{Bases: []comparedBase{}, Made: versionLine(buildInfo())}}
	for i, arg := range args {
		side, err := readCompared(cmd, arg, &f.chosen)
		if err != nil {
			return nil, err
		}
		if side.fineness, err = f.prepare(cmd, side.scene); err != nil {
			return nil, err
		}
		if side.pieces, err = side.cut(nil); err != nil {
			return nil, err
		}
		c.sides[i] = side
	}
	c.pairs = pairs(c.sides[0].pieces, c.sides[1].pieces)
	if err := c.only(f.bases); err != nil {
		return nil, err
	}
	c.report.Keys = keysBetween(c.sides[0].read, c.sides[1].read)
	return c, nil
}

// only keeps the bases that are named, by the name of a piece or of a base that makes
// several, in either scene.
func (c *comparison) only(names []string) error {
	if len(names) == 0 {
		return nil
	}
	all := c.pairs
	found := map[string]bool{}
	c.pairs = slices.DeleteFunc(slices.Clone(all), func(p pair) bool {
		keep := false
		for _, piece := range p.pieces {
			for _, name := range names {
				if piece != nil && (piece.Name == name || piece.Base.Name == name) {
					keep, found[name] = true, true
				}
			}
		}
		return !keep
	})
	for _, name := range names {
		if !found[name] {
			return faulty(fmt.Errorf("neither scene has a base %q; they have: %s", name, pairNames(all)))
		}
	}
	return nil
}

func pairNames(all []pair) string {
	pieces := make([]assembly.Piece, len(all))
	for i, p := range all {
		pieces[i].Name = p.name
	}
	return pieceNames(pieces)
}

// run makes what has to be made to see, and compares it.
func (c *comparison) run(ctx context.Context, messages io.Writer, quiet bool) error {
	var pieces []assembly.Piece
	type turn struct{ pair, side int }
	var turns []turn
	var names []string
	for n := range c.pairs {
		p := &c.pairs[n]
		if p.same = c.surelySame(ctx, p); p.same {
			continue
		}
		for side, piece := range p.pieces {
			if piece != nil {
				pieces, turns = append(pieces, *piece), append(turns, turn{n, side})
				names = append(names, piece.Name+" of "+[2]string{"A", "B"}[side])
			}
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	makers := [2]maker{c.sides[0].makerOf(c.sides[0].fineness, nil), c.sides[1].makerOf(c.sides[1].fineness, nil)}
	makes := map[*assembly.Piece]maker{}
	for i := range pieces {
		makes[&pieces[i]] = makers[turns[i].side]
	}
	settled := make([]*comparedBase, len(c.pairs))
	bar := newProgress(messages, "building "+plural(len(names), "base", "bases"), names, quiet)
	defer bar.finish()
	var made [2]*meshed
	err := produce(ctx, pieces, func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		return makes[p](ctx, p, progress)
	}, bar.at, func(i int, m meshed) error {
		bar.base(i, m)
		n := turns[i].pair
		made[turns[i].side] = &m
		if i+1 < len(turns) && turns[i+1].pair == n {
			return nil // the other side is next
		}
		b, err := c.settle(ctx, &c.pairs[n], made)
		if err == nil && c.easel != nil {
			err = c.draw(ctx, &c.pairs[n], b, made)
		}
		settled[n], made = b, [2]*meshed{}
		return err
	})
	if err != nil {
		return err
	}
	for n := range c.pairs {
		if settled[n] == nil {
			if settled[n], err = c.settle(ctx, &c.pairs[n], [2]*meshed{}); err != nil {
				return err
			}
		}
		c.report.Bases = append(c.report.Bases, *settled[n])
	}
	c.complete()
	return nil
}

// complete adds what is told of the scenes as a whole.
func (c *comparison) complete() {
	r := c.report
	var measured [2][]concern
	for i, side := range c.sides {
		for _, m := range assembly.Measures(side.site) {
			if !m.Within {
				measured[i] = append(measured[i], side.concernOfMeasure(m))
			}
		}
		measured[i] = gather(measured[i])
		*[2]*sideReport{&r.A, &r.B}[i] = sideReport{
			Asked: side.asked, Title: side.site.Title, Variant: side.variant, Revision: side.revision, Commit: side.commit,
			Setting: side.fineness.setting, Cell: side.fineness.cell, Tolerance: side.fineness.tolerance,
			Tally: tallyOf(slices.Concat(c.concerns[i], measured[i])),
		}
	}
	r.Gained, r.Lost = findingsBetween(measured[0], measured[1])
	r.Same = true
	for i := range r.Bases {
		r.Same = r.Same && r.Bases[i].Result == baseSame
		if r.Bases[i].Unmade {
			r.Unmade++
		}
	}
}
