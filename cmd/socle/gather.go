package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/jobs"
)

func gatherCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "gather DIR",
		Short: "Put together a set whose bases were made by the commands of socle jobs",
		Long: `Gather reads DIR/jobs.json, which "socle jobs" wrote, and the file of every base
that its commands made, proves and inspects every solid again, and writes what
"socle build" would have written, byte for byte.

It wants every base. One that is missing, damaged, or was made of another scene,
variant, setting or by another socle is refused, with the command that makes it;
then nothing is written.`,
		Example: `  socle gather build/harbour-jobs
  socle gather build/harbour-jobs --to harbour --format 3mf`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("gather wants one folder: that of the files which \"socle jobs\" was given")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.gather(cmd, args[0]) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.To, "to", "", "folder `DIR` to write to, with one in it for each variant where there are several (default build/SCENE)")
	flags.StringSliceVar((*[]string)(&f.Formats), "format", nil, "what to write, a `LIST` of those that the jobs were for (default all of them)")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
	return cmd
}

func (f *buildFlags) gather(cmd *cobra.Command, dir string) error {
	g, err := jobs.Read(dir, f.Formats)
	if err != nil {
		return err
	}
	f.Formats, f.Size, f.Sets = g.Formats, g.List.Size, g.List.Set
	if err := f.valid(true); err != nil {
		return err
	}
	sets, err := g.Check(cmd.Context())
	if err != nil {
		return err
	}
	var failed error
	for _, one := range sets {
		if err := f.make(cmd.Context(), cmd, one.Build(g.Options(one, f.To))); err != nil {
			if !set.IsNotProven(err) {
				return err
			}
			failed = err
		}
	}
	return failed
}
