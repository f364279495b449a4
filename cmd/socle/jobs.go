package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/jobs"
)

type jobsFlags struct {
	buildFlags
	command string
}

func jobsCmd() *cobra.Command {
	var f jobsFlags
	cmd := &cobra.Command{
		Use:   "jobs SCENE",
		Short: "Print one command for each base, to build a set on many machines",
		Long: `Jobs prints one command for each base, and builds nothing. Each command makes one base
and writes one file to DIR. You can run them in any order, at the same time, on any
machine that has the same socle, the scene and DIR. "socle gather DIR" then writes what
"socle build" would have written, byte for byte.

Gather needs DIR/jobs.json. The commands are for a POSIX shell. Run them in the current
folder. If a base has a stop or cannot be proven, its command ends with 1, but still
writes its file, which says so.

With --variant all there are commands for the scene as it is and for every variant.`,
		Example: `  socle jobs harbour.toml --variant all > jobs.txt
  parallel -j8 < jobs.txt                  # GNU parallel, on one machine
  sed -n "${INDEX}p" jobs.txt | sh         # one of an indexed batch job, from 1
  awk '{ gsub(/\$/, "$$"); print "p" NR ":\n\t" $0; t = t " p" NR } END { print "all:" t }' jobs.txt |
    make -k -j8 -f - all                   # make
  socle gather build/harbour-jobs --to harbour`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.valid(cmd.Flags().Changed("format")); err != nil {
				return err
			}
			return f.list(cmd, args[0])
		},
		ValidArgsFunction: completeScene,
	}
	shared := &cobra.Command{}
	f.add(shared, set.SettingFine)
	flags := cmd.Flags()
	for _, name := range []string{"set", "variant", "printer", "setting", "cell", "tolerance"} {
		flags.AddFlag(shared.Flags().Lookup(name))
	}
	flags.StringVar(&f.To, "to", "", "folder `DIR` for the files of the jobs (default build/SCENE-jobs)")
	sizeFlag(flags, &f.Request)
	flags.StringSliceVar((*[]string)(&f.Formats), "format", set.AllFormats, "what will be written, a `LIST` of "+strings.Join(set.AllFormats, ", "))
	flags.StringVar(&f.command, "command", "socle", "`PATH` of socle where the commands are run")
	return cmd
}

// list writes the list of jobs and prints the commands.
func (f *jobsFlags) list(cmd *cobra.Command, arg string) error {
	for _, path := range []string{arg, f.Printer} {
		if path == "-" || set.IsPipe(path) {
			return fmt.Errorf("jobs reads the scene and its printer several times: give it a file instead of %s", path)
		}
	}
	f.take(cmd)
	o := f.options()
	s, err := open(cmd, arg, o.AsItIs())
	if err != nil {
		return err
	}
	c := jobs.Command{Program: f.command, Scene: arg, AllVariants: f.Variant == allVariants}
	lines, err := jobs.Write(cmd.Context(), s, &o, c, teller(cmd.ErrOrStderr()))
	if err != nil {
		return err
	}
	for _, line := range lines {
		fmt.Fprintln(cmd.OutOrStdout(), line)
	}
	return nil
}

func gatherCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "gather DIR",
		Short: "Assemble a set from the bases that the commands of socle jobs made",
		Long: `Gather reads DIR/jobs.json, which "socle jobs" wrote, and the file of each base. It
proves and inspects every solid again, and writes what "socle build" would have
written, byte for byte.

It needs every base. If one is missing or damaged, or was made from another scene,
variant or setting or by another socle, gather prints the command that makes it, and
writes nothing.`,
		Example: `  socle gather build/harbour-jobs
  socle gather build/harbour-jobs --to harbour --format 3mf`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("gather needs one folder: the one that \"socle jobs\" wrote to")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return f.gather(cmd, args[0]) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.To, "to", "", "folder `DIR` to write to; several variants get a folder each inside it (default build/SCENE)")
	flags.StringSliceVar((*[]string)(&f.Formats), "format", nil, "what to write: a `LIST` of the formats that the jobs were made for (default all)")
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
