package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/output"
	"socle/scenes"
	"socle/sdf/mesh"
)

// selectionFlags adds the flags that say of what scene it is.
func selectionFlags(flags *pflag.FlagSet, c *set.Selection) {
	flags.StringArrayVar(&c.Sets, "set", nil, "change a value by its path, `KEY=VALUE`: stair.water-stair.width=30; may be repeated")
	flags.StringVar(&c.Variant, "variant", "", "build the variant `NAME` of the scene; all: the scene as it is, and every variant")
	flags.StringVar(&c.Printer, "printer", "", "use the [printer] in `FILE` instead of the scene's")
}

// open reads the scene.
func open(cmd *cobra.Command, arg string, c set.Selection) (*set.Scene, error) {
	return set.Open(cmd.Context(), cmd.InOrStdin(), arg, c)
}

// setFlags are the flags of the verbs that build bases: which of them, how finely, and
// how it is told.
type setFlags struct {
	set.Options
	cell, tolerance float64
	json            bool
	quiet           bool
	noCache         bool
}

// add adds the flags to a verb that builds at the usual setting if no other is
// asked for.
func (f *setFlags) add(cmd *cobra.Command, usual string) {
	flags := cmd.Flags()
	flags.StringArrayVar(&f.Bases, "base", nil, "only the base `NAME`; scout stands for scout-1, scout-2, ...; may be repeated")
	selectionFlags(flags, &f.Selection)
	flags.StringVar(&f.Setting, "setting", usual, "the setting `NAME`, for the cell and the tolerance: draft for looking, fine for printing")
	flags.Float64Var(&f.cell, "cell", 0, fmt.Sprintf("size of the cells of the mesh, in `MM`, %v to %v; halved where the shape needs it (default: from the setting)", mesh.LeastCell, mesh.MostCell))
	flags.Float64Var(&f.tolerance, "tolerance", 0, "how far the surface may move to save triangles, in `MM`; 0 keeps every triangle (default: from the setting)")
	flags.BoolVar(&f.json, "json", false, "print one JSON document instead of text")
	flags.BoolVar(&f.noCache, "no-cache", false, "build everything again, and do not use the cache")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
}

// take takes what is left out on the command line as left out.
func (f *setFlags) take(cmd *cobra.Command) {
	f.Cell, f.Tolerance = nil, nil
	if cmd.Flags().Changed("cell") {
		f.Cell = &f.cell
	}
	if cmd.Flags().Changed("tolerance") {
		f.Tolerance = &f.tolerance
	}
}

// failed gives the error of a verb, and where a document is asked for the faults of
// the scene as one.
func (f *setFlags) failed(cmd *cobra.Command, err error) error {
	var faults *scenes.Faults
	if f.json && errors.As(err, &faults) {
		return errors.Join(err, output.WriteJSON(cmd.OutOrStdout(), faults))
	}
	return err
}

// open reads the scene and settles how finely it is meshed, without putting it together.
func (f *setFlags) open(cmd *cobra.Command, arg string) (*set.Scene, error) {
	s, err := open(cmd, arg, f.Selection)
	if err != nil {
		return nil, err
	}
	return s, f.settle(cmd, s)
}

// settle opens the cache for a scene that has been read, unless all is to be made
// anew, and settles how finely it is meshed.
func (f *setFlags) settle(cmd *cobra.Command, s *set.Scene) error {
	if !f.noCache {
		var err error
		if s.Cache, err = cache.Open(); err != nil {
			fmt.Fprintf(cmd.ErrOrStderr(), "socle: building without the cache: %v\n", err)
		}
	}
	f.take(cmd)
	return s.Settle(&f.Options)
}

// allVariants stands for the scene as it is and every variant of it. No variant may be
// called so.
const allVariants = "all"

// eachVariant does what is asked for with the variant that is asked for or, where that is all
// of them, with one after the other, each with a folder of its own. What cannot be
// proven or will not print in one does not keep the others from being done.
func (f *buildFlags) eachVariant(cmd *cobra.Command, arg string, do func(*buildFlags) error) error {
	if f.Variant != allVariants {
		return do(f)
	}
	switch {
	case arg == "-":
		return errors.New("--variant all reads the scene several times: give it a file instead of -")
	case f.json:
		return errors.New("--json prints one document: give one --variant")
	}
	s, err := open(cmd, arg, f.AsItIs())
	if err != nil {
		return err
	}
	var failed error
	for i, name := range s.VariantNames() {
		one, called := *f, s.Name
		one.Variant = name
		if name != "" {
			called += "-" + name
		}
		if f.To != "" {
			one.To = filepath.Join(f.To, called)
		}
		if !f.quiet {
			fmt.Fprintf(cmd.ErrOrStderr(), "%s== %s\n", map[bool]string{true: "\n"}[i > 0], called)
		}
		if err := do(&one); err != nil {
			if !set.IsNotProven(err) {
				return err
			}
			var failure *set.Failure
			if errors.As(err, &failure) && failure.Err != nil {
				fmt.Fprintf(cmd.ErrOrStderr(), "socle: %v\n", failure.Err)
			}
			failed = &set.Failure{Kind: set.NotProven}
		}
	}
	return failed
}

// completeScene completes the name of a scene: the shipped ones and scene files.
func completeScene(_ *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	files, _ := filepath.Glob(start + "*" + set.Ext) // a bad pattern completes nothing
	return slices.Concat(scenes.Shipped(), files), cobra.ShellCompDirectiveDefault
}
