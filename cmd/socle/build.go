package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/inspection"
	"socle/cmd/set/jobs"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/report"
	"socle/scenes"
)

// buildFlags is what the command line asks of a build.
type buildFlags struct {
	setFlags
	look.Request
	To      string
	Formats set.Formats
	Advise  bool
	piece   string // file for the one base, in place of all others
}

// options are those of the build.
func (f *buildFlags) options() build.Options {
	return build.Options{Options: f.Options, Request: f.Request, To: f.To, Formats: f.Formats, Advise: f.Advise}
}

func buildCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "build SCENE",
		Short: "Build the bases of a scene, prove them and write STL and 3MF",
		Long: `Build joins the parts of a scene, cuts every base out of it, meshes and proves each
one, and writes to build/SCENE, or to DIR:

  NAME.stl               each base
  SCENE.3mf              the set; if it needs several of the printer's plates,
                         SCENE-plate-1.3mf and so on, laid out on the plate
  pictures/NAME/*.png    each base from all sides and at the size of life; close-ups of
                         its stands, stairs, craters and breaches; the findings,
                         ringed and numbered
  SCENE-set.png          all bases on one sheet
  SCENE-life-size.png    the same, as large as they print, on a screen of 96 pixels
                         an inch
  SCENE-variants.png     the bases of every variant, if the scene has any
  SCENE-plan.svg         the scene from above, to print at its size
  SCENE.html, .json      the report, as a page to open in a browser and for scripts

SCENE is a scene file, - for standard input, or the name of a shipped scene.

A base is written only if it is proven to be closed, facing outward, free of
crossings and in one piece. The set is written only if all its bases are proven.
Earlier files stay as they were. All files of a build appear together at its end;
only the first picture of a draft is there at once, drawn from a quick look.

Each base is also inspected, as by "socle check". A base with a stop is not written,
unless the cell is coarser than fine: then the build is only for looking. If a base
is too large for the printer, socle says so before the work starts, and a fine build
ends there.

The setting chooses how finely a base is meshed. These rules are common practice,
without a source:

  fine    for printing. Resin: the cell is twice the printer's pixel or layer,
          whichever is larger. Cells are halved, up to three times, where an edge
          or something thin needs it. Filament: the cell is half the nozzle. It is
          held to 0.05 to 0.4 mm. The tolerance is a tenth of the pixel, nozzle or
          layer, whichever is smallest, held to 0.005 to 0.05 mm.
  draft   for looking. The cell is 0.3 mm and the tolerance a fortieth of it, and
          never finer than fine. A draft, or any build coarser than fine, draws
          only the three-quarter view, the findings, the size of life and the sheet
          of the set.
          --view chooses others, and "socle picture" draws all.

The printer is the scene's [printer]: see "socle parts printer". What it leaves out
is taken from a typical resin printer, with a pixel and a layer of 0.05 mm, or a
typical filament printer, with a nozzle of 0.4 mm and a layer of half of it. --cell
and --tolerance override the setting. With --cell alone, the tolerance is a fortieth
of that cell.

With --base only those bases are built and drawn. Files about the whole set then stay
as they are, unless --format asks for them. --variant all builds the scene as it is
and then every variant, each in its own folder.

A base is built again only if something on it or near it has changed; otherwise it
comes from the cache ("socle cache --help"). If you move a crater, only the bases that
it touched or touches are built again. Unchanged files are not rewritten.`,
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
			return f.failed(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingFine)
	flags := cmd.Flags()
	f.toFlag(flags)
	viewFlag(flags, &f.Request)
	sizeFlag(flags, &f.Request)
	f.adviseFlag(flags)
	flags.StringVar(&f.piece, "piece", "", "write only the one --base, to `FILE`, for \"socle gather\"")
	f.formatFlag(flags)
	return cmd
}

func (f *buildFlags) toFlag(flags *pflag.FlagSet) {
	flags.StringVar(&f.To, "to", "", "folder `DIR` to write to (default build/SCENE; build/SCENE/draft for a build coarser than fine)")
}

func (f *buildFlags) adviseFlag(flags *pflag.FlagSet) {
	flags.BoolVar(&f.Advise, "advise", false, "look for changes to the scene that clear the stops and warnings; can take several times as long")
}

func (f *buildFlags) formatFlag(flags *pflag.FlagSet) {
	flags.StringSliceVar((*[]string)(&f.Formats), "format", set.AllFormats, "what to write, a `LIST` of "+strings.Join(set.AllFormats, ", "))
}

func viewFlag(flags *pflag.FlagSet, d *look.Request) {
	flags.StringSliceVar(&d.Views, "view", nil, "only these pictures, a `LIST` of "+strings.Join(look.Views(), ", "))
}

func sizeFlag(flags *pflag.FlagSet, d *look.Request) {
	flags.StringVar(&d.Size, "size", "", "size of the pictures, `WIDTHxHEIGHT` in pixels (default "+look.UsualSize+")")
}

func oneScene(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s needs one scene: a file, - or one of %s", cmd.Name(), strings.Join(scenes.Shipped(), ", "))
	}
	return nil
}

// valid refuses flags that make no sense; formatGiven says whether --format was.
func (f *buildFlags) valid(formatGiven bool) error {
	if len(f.Bases) > 0 && !formatGiven {
		f.Formats = set.BaseFormats
	}
	if f.piece != "" && f.Variant == allVariants {
		return fmt.Errorf("--piece builds one base: give one --variant, or none")
	}
	if err := f.Request.Check(); err != nil {
		return err
	}
	for _, v := range f.Views {
		if len(f.Bases) > 0 && (v == look.ViewSet || v == look.ViewVariants) {
			return fmt.Errorf("--view %s shows the whole set: leave out --base", v)
		}
	}
	return f.Formats.Check()
}

// build builds what is asked for.
func (f *buildFlags) build(cmd *cobra.Command, arg string) error {
	return f.eachVariant(cmd, arg, func(f *buildFlags) error { return f.buildOne(cmd, arg) })
}

// buildOne builds the scene or one variant of it.
func (f *buildFlags) buildOne(cmd *cobra.Command, arg string) error {
	s, err := f.open(cmd, arg)
	if err != nil {
		return err
	}
	o := f.options().For(s)
	messages := cmd.ErrOrStderr()
	if f.piece == "" {
		if err := output.Recover(o.To, teller(messages)); err != nil {
			return err
		}
		if r, same := build.Unchanged(s, &o); r != nil {
			return f.print(cmd, s, &o, r, same)
		}
	}
	cut, err := s.Cut(f.Bases)
	if err != nil {
		return err
	}
	if f.piece != "" {
		return f.makePiece(cmd, cut, &o)
	}
	b := build.New(cut, o)
	if b.HoldStops() {
		if err := inspection.RefuseTooLarge(cut); err != nil {
			return err
		}
	}
	if !f.quiet {
		fmt.Fprintln(messages, s.Resolution)
		if s.Resolution.Setting == set.SettingFine && !cmd.Flags().Changed("setting") {
			fmt.Fprintln(messages, "for a quicker look: --setting draft")
		}
		printTooLarge(messages, cut)
	}
	return f.run(cmd.Context(), cmd, b)
}

// run announces a build, makes it, and prints what came of it.
func (f *buildFlags) run(ctx context.Context, cmd *cobra.Command, b *build.Build) error {
	if err := f.announce(ctx, cmd.ErrOrStderr(), b); err != nil {
		return err
	}
	return f.make(ctx, cmd, b)
}

// make makes a build, and prints what came of it.
func (f *buildFlags) make(ctx context.Context, cmd *cobra.Command, b *build.Build) error {
	messages := cmd.ErrOrStderr()
	if err := b.Run(ctx, &progress{w: messages, quiet: f.quiet}, teller(messages)); err != nil {
		return err
	}
	return f.print(cmd, b.Set.Scene, &b.Options, b.Report, b.Same)
}

// makePiece makes the one base of a build and writes its file.
func (f *buildFlags) makePiece(cmd *cobra.Command, s *set.Set, o *build.Options) error {
	messages := cmd.ErrOrStderr()
	held, err := jobs.Make(cmd.Context(), s, o, f.piece, teller(messages))
	if len(held) > 0 && !f.quiet {
		printConcerns(messages, held, false)
	}
	return err
}

// print prints what was built and gives the error of what was not; so many of the files
// were there already.
func (f *buildFlags) print(cmd *cobra.Command, s *set.Scene, o *build.Options, r *report.Report, same int) error {
	results, messages := cmd.OutOrStdout(), cmd.ErrOrStderr()
	looksOnly := !o.Formats.Solids() && !o.Formats.Report() // nothing but pictures
	switch {
	case f.json:
		if err := output.WriteJSON(results, r); err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
	case !f.quiet && len(r.Bases) > 0:
		if !looksOnly {
			printTable(results, r)
			fmt.Fprintln(results)
		}
		printFiles(results, r, o.To, same)
		if !looksOnly {
			fmt.Fprintln(results, r.Printing.Line(len(r.Bases)))
		}
	}
	if !f.quiet && !looksOnly {
		printConcerns(messages, r.Findings, false)
		printNotes(messages, r)
		fmt.Fprintf(messages, "\ninspection: %s; %s\n", r.Tally, whereAll(r))
		printAdvised(messages, r, o.Advise)
		if s.Resolution.Coarse(s.Site.Printer) {
			fmt.Fprintln(messages, s.Resolution.Caution(s.Site.Printer))
		}
		if len(r.Bases) > 0 {
			printCautions(messages, r.Cautions)
		}
	}
	printFailures(messages, r)
	if len(r.Failed) > 0 || o.Formats.Report() && !o.Formats.Solids() && r.Tally.Stops > 0 {
		return &set.Failure{Kind: set.NotProven}
	}
	return nil
}

// teller tells of what is found in a folder that is written to.
func teller(messages io.Writer) func(string) {
	return func(text string) { fmt.Fprintln(messages, "socle:", text) }
}
