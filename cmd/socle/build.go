package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"socle/out"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf/mesh"
)

// buildFlags is what the command line asks of a build.
type buildFlags struct {
	asked
	drawing
	to      string
	piece   string // file for the one base, in place of all others
	formats formats
	advises bool // tries what may clear the findings
}

func buildCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "build SCENE",
		Short: "Build the bases of a scene, prove them and write STL and 3MF",
		Long: `Build joins the parts of a scene, cuts every base out of it, meshes and proves
each one, and writes to build/SCENE, or to DIR:

  NAME.stl               each base
  SCENE.3mf              the set; where it takes several of the printer's plates,
                         SCENE-plate-1.3mf and so on, laid out on the plate
  pictures/NAME/*.png    each base from all sides, its stands, stairs, craters
                         and breaches near by, and what the inspection found, ringed and numbered
  SCENE-set.png          all bases on one sheet
  SCENE-variants.png     and those of every variant, if the scene has any
  SCENE-plan.svg         the scene from above, to print at its size
  SCENE.html, .json      the report, as a page to open in a browser and for scripts

SCENE is a scene file, - for standard input, or the name of a shipped scene.

A base that cannot be proven closed, turned outward, free of crossings and in
one piece is not written, and the set only when all of it is proven; earlier
files stay as they were. All files of a build appear together at its end.

Each base is also inspected, as "socle check" does. One that has a stop is not
written, unless the cell is coarser than fine has it: then it is for looking. A base
that is too large for the printer is told before the work begins, and a fine build
ends there.

The setting chooses how finely a base is meshed. These are rules of common
practice, without a source:

  fine    for printing. Resin: the cell is twice the printer's pixel or layer,
          whichever is larger; where an edge or something thin needs it, cells are
          halved, up to three times. Filament: the cell is half the nozzle. It is
          held to 0.05 to 0.4 mm. The tolerance is a tenth of the pixel, nozzle or
          layer, whichever is smallest, held to 0.005 to 0.05 mm.
  draft   for looking. The cell is 0.3 mm and the tolerance a fortieth of it,
          and never finer than fine. Of a draft, and of whatever is coarser than
          fine, only the three-quarter view, the findings and the sheet of the set
          are drawn; --view asks for others, and "socle picture" draws all.

The printer is the scene's [printer], as "socle parts printer" has it; what it
leaves out is as on a usual resin printer, with a pixel and a layer of 0.05 mm,
or a usual filament printer, with a nozzle of 0.4 mm and a layer of half of it.
--cell and --tolerance go before the setting; with --cell alone, the tolerance
is a fortieth of that cell.

With --base only those bases are built and drawn; what is about the whole set is
then left as it is, unless --format asks for it. --variant all builds the scene as
it is and then every variant of it, each in a folder of its own.

A base that nothing has reached since it was last built is not made again, but
taken from the cache ("socle cache --help"): a crater that is moved costs the bases
that it touched and touches. A file that is there already, byte for byte, keeps its
time, and where nothing has changed, nothing is written.`,
		Example: `  socle build harbour.toml
  socle build harbour.toml --setting draft
  socle build saltmere-quay --cell 0.2 --to quay
  socle build saltmere-quay --base walker --base scout-1 --format stl
  socle build saltmere-quay --set crater.hit.depth=5 --json > quay.json`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.valid(cmd.Flags().Changed("format")); err != nil {
				return err
			}
			return f.told(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.asked.flags(cmd, settingFine)
	flags := cmd.Flags()
	f.toFlag(flags)
	f.viewFlag(flags)
	f.sizeFlag(flags)
	f.adviseFlag(flags)
	flags.StringVar(&f.piece, "piece", "", "write the one --base to `FILE`, for \"socle gather\", and nothing else")
	flags.StringSliceVar((*[]string)(&f.formats), "format", allFormats, "what to write, a `LIST` of "+strings.Join(allFormats, ", "))
	return cmd
}

func (f *buildFlags) toFlag(flags *pflag.FlagSet) {
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE, and build/SCENE/draft for what is coarser than fine)")
}

func (f *buildFlags) adviseFlag(flags *pflag.FlagSet) {
	flags.BoolVar(&f.advises, "advise", false, "try which changes of the scene clear the stops and the warnings: takes up to several times as long")
}

func oneScene(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s wants one scene: a file, - or one of %s", cmd.Name(), strings.Join(scenes.Shipped(), ", "))
	}
	return nil
}

// valid refuses flags that make no sense; formatGiven says whether --format was.
func (f *buildFlags) valid(formatGiven bool) error {
	if len(f.bases) > 0 && !formatGiven {
		f.formats = baseFormats
	}
	if f.piece != "" && f.variant == allVariants {
		return fmt.Errorf("--piece is of one base: take one --variant, or none")
	}
	if err := f.drawing.check(); err != nil {
		return err
	}
	for _, v := range f.views {
		if len(f.bases) > 0 && (v == viewSet || v == viewVariants) {
			return fmt.Errorf("--view %s is of the whole set: leave out --base", v)
		}
	}
	return f.formats.check()
}

// build builds what is asked for.
func (f *buildFlags) build(cmd *cobra.Command, scene string) error {
	return f.each(cmd, scene, func(f *buildFlags) error { return f.buildOne(cmd, scene) })
}

// buildOne builds the scene or one variant of it.
func (f *buildFlags) buildOne(cmd *cobra.Command, scene string) error {
	s, fineness, err := f.settle(cmd, scene)
	if err != nil {
		return err
	}
	b := newBuild(f, s, fineness)
	defer b.files.discard()
	if f.piece == "" {
		b.files.messages = cmd.ErrOrStderr()
		if err := b.files.recover(); err != nil {
			return err
		}
		if b.stampedReport() {
			return b.tell(cmd.OutOrStdout(), cmd.ErrOrStderr())
		}
	}
	if b.pieces, err = s.cut(f.bases); err != nil {
		return err
	}
	if f.piece != "" {
		return b.makePiece(cmd.Context(), cmd.ErrOrStderr(), f.piece)
	}
	if b.holds() {
		if err := s.refuseTooLarge(b.pieces); err != nil {
			return err
		}
	}
	if !f.quiet {
		fmt.Fprintln(cmd.ErrOrStderr(), fineness)
		if fineness.setting == settingFine && !cmd.Flags().Changed("setting") {
			fmt.Fprintln(cmd.ErrOrStderr(), "for a quicker look: --setting draft")
		}
		s.tellTooLarge(cmd.ErrOrStderr(), b.pieces)
	}
	if err := b.announce(cmd.Context(), cmd.ErrOrStderr()); err != nil {
		return err
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
	pieces     []assembly.Piece
	spots      laidOut // of the pieces on their plates
	do         maker
	files      *outputs
	report     *report

	looks        map[string]*look // of each piece that could be made, where it is drawn
	variantSheet image.Image      // nil where there is none
}

// newBuild gives a build without its pieces.
func newBuild(f *buildFlags, s *scene, fineness resolution) *build {
	dir := f.to
	if dir == "" {
		dir = filepath.Join("build", s.name)
		if fineness.coarse(s.site.Printer) {
			dir = filepath.Join(dir, settingDraft) // not among what is to be printed
		}
	}
	own := *f
	own.drawing = *f.drawing.at(fineness, s.site.Printer)
	f = &own
	return &build{
		buildFlags: f, scene: s, resolution: fineness,
		do:     s.makerOf(fineness, f.artist(s, f.formats)),
		files:  &outputs{dir: dir},
		report: newReport(s, fineness),
		looks:  map[string]*look{},
	}
}

// run meshes all pieces and puts the files in place.
func (b *build) run(ctx context.Context, messages io.Writer) error {
	b.files.messages = messages
	if err := b.files.possible(); err != nil {
		return &exitError{exitNotWritten, err}
	}
	b.spots = b.scene.layOut(b.pieces)
	bar := newProgress(messages, "building "+plural(len(b.pieces), "base", "bases"), namesOf(b.pieces), b.quiet)
	defer bar.finish()
	err := produce(ctx, b.pieces, b.do, bar.at, func(i int, m meshed) error {
		p := &b.pieces[i]
		bar.base(i, m)
		if m.err != nil {
			b.fail(p, m.err)
			return nil
		}
		b.report.Concerns = append(b.report.Concerns, m.inspection.concerns...)
		if err := b.deliverLook(p, m.look); err != nil {
			return &exitError{exitNotWritten, err}
		}
		if stops := tallyOf(m.inspection.concerns).Stops; stops > 0 && b.holds() {
			b.fail(p, fmt.Errorf("the inspection has %s, told above", plural(stops, "stop", "stops")))
			return nil
		}
		return b.deliver(p, m)
	})
	if err != nil {
		return err
	}
	sets, err := b.files.closeSets()
	if err != nil {
		return &exitError{exitNotWritten, err}
	}
	b.report.setFiles(sets, b.spots)
	bar.finish()
	b.report.complete(b.scene, b.pieces)
	if b.advises {
		if err := b.advise(ctx, messages); err != nil {
			return err
		}
	}
	if err := b.round(ctx, messages); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := b.files.commit(); err != nil {
		return &exitError{exitNotWritten, err}
	}
	b.stampFiles()
	return nil
}

// looksOnly says that there is nothing but pictures to it.
func (b *build) looksOnly() bool { return !b.formats.solids() && !b.formats.report() }

// holds says whether a stop holds a base back: not from one who is looking at a
// draft, or writes nothing to be printed.
func (b *build) holds() bool {
	return b.formats.solids() && !b.resolution.coarse(b.scene.site.Printer)
}

// fail records why a piece is not written; the set cannot be either.
func (b *build) fail(p *assembly.Piece, err error) {
	f := failure{Name: p.Name, Why: err.Error()}
	var proof *mesh.ProofError
	if errors.As(err, &proof) {
		at := xyz(proof.At)
		f.At = &at
	}
	b.report.Failed = append(b.report.Failed, f)
	b.files.dropSets()
}

// deliver writes a proven piece.
func (b *build) deliver(p *assembly.Piece, m meshed) error {
	r := baseReportOf(p, m)
	if b.formats.has(formatSTL) {
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
func (b *build) deliverToSet(p *assembly.Piece, s *mesh.Solid) error {
	if !b.formats.has(format3MF) || len(b.report.Failed) > 0 {
		return nil
	}
	at, known := b.spots.of(p.Name)
	many := plural(len(b.pieces), "base", "bases")
	if b.spots.plates > 1 {
		many += fmt.Sprintf(" (plate %d of %d)", at.Plate+1, b.spots.plates)
	}
	set, err := b.files.setOf(at.Plate, b.spots.file(b.scene.name, at.Plate), out.Meta{
		Title:       b.report.Title,
		Description: fmt.Sprintf("%s for miniatures at 1:%g, cut from one scene", many, b.scene.site.Scale.Ratio),
		Application: "socle",
	})
	if err != nil {
		return err
	}
	if known {
		err = set.AddAt(p.Name, s.Vertices, s.Triangles, at)
	} else {
		err = set.Add(p.Name, s.Vertices, s.Triangles)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", set.file.Path(), err)
	}
	return nil
}

// tell prints what was built and gives the error of what was not.
func (b *build) tell(results, messages io.Writer) error {
	r := b.report
	switch {
	case b.json:
		if err := writeJSON(results, r); err != nil {
			return &exitError{exitNotWritten, err}
		}
	case !b.quiet && len(r.Bases) > 0:
		if !b.looksOnly() {
			r.printTable(results)
			fmt.Fprintln(results)
		}
		r.printFiles(results, b.files.dir, b.files.same)
		if !b.looksOnly() {
			fmt.Fprintln(results, r.Printing.line(len(r.Bases)))
		}
	}
	if !b.quiet && !b.looksOnly() {
		printConcerns(messages, r.Concerns, false)
		r.printNotes(messages)
		fmt.Fprintf(messages, "\ninspection: %s; %s\n", r.Tally, r.whereAll())
		b.printAdvised(messages)
		if b.resolution.coarse(b.scene.site.Printer) {
			fmt.Fprintln(messages, b.resolution.caution(b.scene.site.Printer))
		}
		if len(r.Bases) > 0 {
			printCautions(messages, r.Cautions)
		}
	}
	r.printFailures(messages)
	if len(r.Failed) > 0 || b.formats.report() && !b.formats.solids() && r.Tally.Stops > 0 {
		return &exitError{code: exitNotProven}
	}
	return nil
}

// risks says whether any of the pieces is hollow or takes magnets.
func risks(pieces []assembly.Piece) (hollow, magnets bool) {
	for _, p := range pieces {
		hollow = hollow || p.Base.Underside == "hollow"
		magnets = magnets || len(p.Base.Magnets) > 0
	}
	return hollow, magnets
}
