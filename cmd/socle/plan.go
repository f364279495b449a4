package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/out/plan"
)

// planFlags is what the command line asks of a plan.
type planFlags struct {
	set.Selection
	to    string
	quiet bool
}

func planCmd() *cobra.Command {
	var f planFlags
	cmd := &cobra.Command{
		Use:   "plan SCENE",
		Short: "Draw the plan of a scene as SVG that prints at 1:1",
		Long: `Plan draws the scene from above, north up, and writes DIR/SCENE-plan.svg: the outlines
of all parts, every stone of the paving, levels, damage, and the footprint of every
base with its name and turn. 1 mm on paper is 1 mm on the print, so you can try
miniatures on it. If a base is too large for the printer, plan says so. It meshes
nothing and takes only a moment.

SCENE is a scene file, - for standard input, or the name of a shipped scene.`,
		Example: `  socle plan harbour.toml
  socle plan saltmere-quay --variant high-water --to quay
  socle plan saltmere-quay --set crater.hit.diameter=40`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.draw(cmd, args[0])
		},
		ValidArgsFunction: completeScene,
	}
	flags := cmd.Flags()
	selectionFlags(flags, &f.Selection)
	flags.Lookup("variant").Usage = "draw the variant `NAME` of the scene"
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to (default build/SCENE)")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
	return cmd
}

func (f *planFlags) draw(cmd *cobra.Command, arg string) error {
	opened, err := open(cmd, arg, f.Selection)
	if err != nil {
		return err
	}
	s, err := opened.Cut(nil)
	if err != nil {
		return err
	}
	if !f.quiet {
		printTooLarge(cmd.ErrOrStderr(), s)
	}
	dir := f.to
	if dir == "" {
		dir = filepath.Join("build", s.Name)
	}
	files := &output.Folder{Path: dir, Tell: teller(cmd.ErrOrStderr())}
	defer files.Discard()
	d := look.PlanOf(s)
	file, err := files.Add(s.Name+look.PlanEnd, func(w io.Writer) error { return plan.Write(w, d) })
	if err == nil {
		_, err = files.Commit()
	}
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	if !f.quiet {
		fmt.Fprintln(cmd.OutOrStdout(), file.Path)
	}
	return nil
}
