package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"socle/out"
	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// buildFlags is what the command line asks of a build.
type buildFlags struct {
	asked
	to      string
	formats []string
}

const (
	formatSTL = "stl"
	format3MF = "3mf"
)

func buildCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "build SCENE",
		Short: "Build the bases of a scene, prove them and write STL and 3MF",
		Long: `Build joins the parts of a scene, cuts every base out of it, meshes and proves
each one, and writes DIR/NAME.stl for each base and DIR/SCENE.3mf for the set.

SCENE is a scene file, - for standard input, or the name of a shipped scene.

A base that cannot be proven closed, turned outward, free of crossings and in
one piece is not written, and the set only when all of it is proven; earlier
files stay as they were. All files of a build appear together at its end.

Each base is also inspected, as "socle check" does. One that has a stop is not
written, unless the cell is coarser than fine has it: then it is for looking.

The setting chooses how finely a base is meshed. These are rules of common
practice, without a source:

  fine    for printing. Resin: the cell is twice the printer's pixel or layer,
          whichever is larger; where an edge or something thin needs it, cells are
          halved, up to three times. Filament: the cell is half the nozzle. It is
          held to 0.05 to 0.4 mm. The tolerance is a tenth of the pixel, nozzle or
          layer, whichever is smallest, held to 0.005 to 0.05 mm.
  draft   for looking. The cell is 0.3 mm and the tolerance a fortieth of it,
          and never finer than fine.

The printer is the scene's [printer], as "socle parts printer" has it; what it
leaves out is as on a usual resin printer, with a pixel and a layer of 0.05 mm,
or a usual filament printer, with a nozzle of 0.4 mm and a layer of half of it.
--cell and --tolerance go before the setting; with --cell alone, the tolerance
is a fortieth of that cell.

With --base only those bases are built; the file of the set is then left as it
is unless --format asks for 3mf.`,
		Example: `  socle build harbour.toml
  socle build harbour.toml --setting draft
  socle build saltmere-quay --cell 0.2 --to quay
  socle build saltmere-quay --base walker --base scout-1 --format stl
  socle build saltmere-quay --set crater.hit.depth=5 --json > quay.json`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.check(cmd.Flags().Changed("format")); err != nil {
				return err
			}
			return f.told(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.flags(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE)")
	flags.StringSliceVar(&f.formats, "format", []string{formatSTL, format3MF}, "what to write, a `LIST` of stl and 3mf")
	return cmd
}

func oneScene(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s wants one scene: a file, - or one of %s", cmd.Name(), strings.Join(scenes.Shipped(), ", "))
	}
	return nil
}

// check refuses flags that make no sense; formatGiven says whether --format was.
func (f *buildFlags) check(formatGiven bool) error {
	for _, format := range f.formats {
		if format != formatSTL && format != format3MF {
			return fmt.Errorf("--format %q: allowed: %s, %s", format, formatSTL, format3MF)
		}
	}
	if len(f.formats) == 0 {
		return fmt.Errorf("--format is empty: allowed: %s, %s", formatSTL, format3MF)
	}
	if len(f.bases) > 0 && !formatGiven {
		f.formats = []string{formatSTL}
	}
	return nil
}

func (f *buildFlags) build(cmd *cobra.Command, scene string) error {
	s, fineness, pieces, err := f.read(cmd, scene)
	if err != nil {
		return err
	}
	dir := f.to
	if dir == "" {
		dir = filepath.Join("build", s.name)
	}
	b := newBuild(f, s, fineness, pieces, dir)
	defer b.files.discard()
	if !f.quiet {
		fmt.Fprintln(cmd.ErrOrStderr(), fineness)
		if fineness.setting != settingGiven && !cmd.Flags().Changed("setting") {
			fmt.Fprintln(cmd.ErrOrStderr(), "for a quicker look: --setting draft")
		}
	}
	if err := b.run(cmd.Context(), cmd.ErrOrStderr()); err != nil {
		return err
	}
	return b.tell(cmd.OutOrStdout(), cmd.ErrOrStderr())
}

// build is one build under way.
type build struct {
	*buildFlags
	resolution resolution
	scene      *scene
	pieces     []parts.Piece
	do         maker
	files      *outputs
	report     *report
}

func newBuild(f *buildFlags, s *scene, fineness resolution, pieces []parts.Piece, dir string) *build {
	return &build{
		buildFlags: f, scene: s, pieces: pieces, resolution: fineness,
		do:     s.maker(fineness.options()),
		files:  &outputs{dir: dir},
		report: newReport(s, fineness),
	}
}

// run meshes all pieces and puts the files in place.
func (b *build) run(ctx context.Context, messages io.Writer) error {
	var names []string
	for _, p := range b.pieces {
		names = append(names, p.Name)
	}
	bar := newProgress(messages, names, b.quiet)
	defer bar.finish()
	err := produce(ctx, b.pieces, b.do, bar.at, func(i int, m meshed) error {
		p := &b.pieces[i]
		bar.base(i, m.err == nil)
		if m.err != nil {
			b.fail(p, m.err)
			return nil
		}
		b.report.Concerns = append(b.report.Concerns, m.inspection.concerns...)
		if stops := tallyOf(m.inspection.concerns).Stops; stops > 0 && b.holds() {
			b.fail(p, fmt.Errorf("the inspection has %s, told above", plural(stops, "stop", "stops")))
			return nil
		}
		return b.deliver(p, m)
	})
	if err != nil {
		return err
	}
	if b.files.set != nil {
		file, err := b.files.closeSet()
		if err != nil {
			return &exitError{exitNotWritten, err}
		}
		b.report.Set = &file
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := b.files.commit(); err != nil {
		return &exitError{exitNotWritten, err}
	}
	return nil
}

// holds says whether a stop holds a base back: not from one who is looking at a
// draft, or checks without writing.
func (b *build) holds() bool {
	return len(b.formats) > 0 && !b.resolution.coarse(b.scene.site.Printer)
}

// fail records why a piece is not written; the set cannot be either.
func (b *build) fail(p *parts.Piece, err error) {
	f := failure{Name: p.Name, Why: err.Error()}
	var proof *mesh.ProofError
	if errors.As(err, &proof) {
		at := xyz(proof.At)
		f.At = &at
	}
	b.report.Failed = append(b.report.Failed, f)
	b.files.dropSet()
}

// deliver writes a proven piece.
func (b *build) deliver(p *parts.Piece, m meshed) error {
	r := baseReportOf(p, m)
	if slices.Contains(b.formats, formatSTL) {
		file, err := b.files.add(p.Name+".stl", func(w io.Writer) error {
			return out.WriteSTL(w, p.Name+" of "+b.report.Title, m.solid.Vertices, m.solid.Triangles)
		})
		if err != nil {
			return &exitError{exitNotWritten, err}
		}
		r.fileReport = file
	}
	if err := b.deliverToSet(p, m.solid); err != nil {
		return &exitError{exitNotWritten, err}
	}
	b.report.Bases = append(b.report.Bases, r)
	return nil
}

// deliverToSet adds a solid to the 3MF file, as long as all before it could be
// proven.
func (b *build) deliverToSet(p *parts.Piece, s *mesh.Solid) error {
	if !slices.Contains(b.formats, format3MF) || len(b.report.Failed) > 0 {
		return nil
	}
	if b.files.set == nil {
		meta := out.Meta{
			Title:       b.report.Title,
			Description: fmt.Sprintf("%s for miniatures at 1:%g, cut from one scene", plural(len(b.pieces), "base", "bases"), b.scene.site.Scale.Ratio),
			Application: "socle",
		}
		if err := b.files.openSet(b.scene.name+".3mf", meta); err != nil {
			return err
		}
	}
	if err := b.files.set.Add(p.Name, s.Vertices, s.Triangles); err != nil {
		return fmt.Errorf("%s: %w", b.files.set.file.Path(), err)
	}
	return nil
}

// tell prints what was built and gives the error of what was not.
func (b *build) tell(results, messages io.Writer) error {
	r := b.report
	r.complete(b.scene, b.pieces)
	switch {
	case b.json:
		if err := writeJSON(results, r); err != nil {
			return &exitError{exitNotWritten, err}
		}
	case !b.quiet && len(r.Bases) > 0:
		r.printTable(results)
		r.printFiles(results, b.files.dir)
		fmt.Fprintln(results, r.Printing.line(len(r.Bases)))
	}
	if !b.quiet {
		r.printNotes(messages)
		printConcerns(messages, r.Concerns, false)
		fmt.Fprintf(messages, "\ninspection: %s; all of them: socle check\n", r.Tally)
		if len(r.Bases) > 0 {
			printCautions(messages, r.Cautions)
		}
	}
	r.printFailures(messages)
	if len(r.Failed) > 0 {
		return &exitError{code: exitNotProven}
	}
	return nil
}

// risks says whether any of the pieces is hollow or takes magnets.
func risks(pieces []parts.Piece) (hollow, magnets bool) {
	for _, p := range pieces {
		hollow = hollow || p.Base.Underside == "hollow"
		magnets = magnets || len(p.Base.Magnets) > 0
	}
	return hollow, magnets
}
