package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf/mesh"
)

// chosen is what the command line says of the scene itself.
type chosen struct {
	sets    []string
	variant string
	printer string
}

func (c *chosen) flags(flags *pflag.FlagSet) {
	flags.StringArrayVar(&c.sets, "set", nil, "change a value by its path, `KEY=VALUE`: stair.water-stair.width=30; may be repeated")
	flags.StringVar(&c.variant, "variant", "", "take the variant `NAME` of the scene; all: the scene as it is, and every variant of it")
	flags.StringVar(&c.printer, "printer", "", "take the printer from the [printer] of a `FILE` of its own, in place of the scene's")
}

// open reads the scene.
func (c *chosen) open(cmd *cobra.Command, arg string) (*scene, error) {
	return readScene(cmd.Context(), cmd.InOrStdin(), arg, c.sets, c.variant, c.printer)
}

// asked is what the command line says of the scene, which of its bases are made, and
// how finely they are meshed. The verbs that build bases share it.
type asked struct {
	chosen
	bases     []string
	setting   string
	cell      float64
	tolerance float64
	json      bool
	quiet     bool
	anew      bool
}

// flags adds the flags to a verb that builds at the usual setting if no other is
// asked for.
func (a *asked) flags(cmd *cobra.Command, usual string) {
	flags := cmd.Flags()
	flags.StringArrayVar(&a.bases, "base", nil, "only the base `NAME`; scout stands for scout-1, scout-2, ...; may be repeated")
	a.chosen.flags(flags)
	flags.StringVar(&a.setting, "setting", usual, "the setting, `NAME`, that chooses the cell and the tolerance: draft for looking, fine for printing")
	flags.Float64Var(&a.cell, "cell", 0, fmt.Sprintf("edge of the cells that the solid is meshed from, in `MM`, %v to %v; halved where the shape needs it (default the setting's)", mesh.LeastCell, mesh.MostCell))
	flags.Float64Var(&a.tolerance, "tolerance", 0, "most that the surface may move to spare triangles, in `MM`; 0 keeps every triangle (default the setting's)")
	flags.BoolVar(&a.json, "json", false, "print one JSON document in place of the text")
	flags.BoolVar(&a.anew, "no-cache", false, "make everything anew, and keep nothing for the next time")
	flags.BoolVar(&a.quiet, "quiet", false, "print errors only")
}

// told gives the error of a verb, and where a document is asked for the faults of
// the scene as one.
func (a *asked) told(cmd *cobra.Command, err error) error {
	var faults *scenes.Faults
	if a.json && errors.As(err, &faults) {
		return errors.Join(err, writeJSON(cmd.OutOrStdout(), faults))
	}
	return err
}

// read reads the scene, settles how finely it is meshed, and cuts the bases that
// are asked for.
func (a *asked) read(cmd *cobra.Command, arg string) (*scene, resolution, []assembly.Piece, error) {
	s, fineness, err := a.settle(cmd, arg)
	if err != nil {
		return nil, fineness, nil, err
	}
	pieces, err := s.cut(a.bases)
	return s, fineness, pieces, err
}

// settle reads the scene and settles how finely it is meshed, without putting it
// together.
func (a *asked) settle(cmd *cobra.Command, arg string) (*scene, resolution, error) {
	s, err := a.open(cmd, arg)
	if err != nil {
		return nil, resolution{}, err
	}
	fineness, err := a.prepare(cmd, s)
	return s, fineness, err
}

// prepare opens the cache for a scene that has been read, unless all is to be made
// anew, and settles how finely it is meshed.
func (a *asked) prepare(cmd *cobra.Command, s *scene) (resolution, error) {
	if !a.anew {
		var err error
		if s.cache, err = openPieces(); err != nil {
			fmt.Fprintf(cmd.ErrOrStderr(), "socle: nothing is kept for the next time: %v\n", err)
		}
	}
	given := func(flag string, value *float64) *float64 {
		if cmd.Flags().Changed(flag) {
			return value
		}
		return nil // the setting's
	}
	return resolve(a.setting, s.site.Printer, given("cell", &a.cell), given("tolerance", &a.tolerance))
}
