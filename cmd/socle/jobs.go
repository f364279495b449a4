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
		Short: "List the bases of a scene as commands for many machines",
		Long: `Jobs prints one command for each base, and builds nothing. Each command makes one
base and writes one file to DIR; they can be run in any order, at once, on any
machine which has the same socle, the scene, and DIR. "socle gather DIR" then puts
together what "socle build" would have written, byte for byte.

DIR/jobs.json is what the gather goes by. The commands are for a POSIX shell, to be
run in the folder that this one is. A command whose base has a stop or cannot be
proven ends with 1 and writes its file all the same, which says so.

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
			return fmt.Errorf("jobs reads the scene and its printer again and again: give it a file in place of %s", path)
		}
	}
	f.take(cmd)
	o := f.options()
	s, err := open(cmd, arg, o.AsItIs())
	if err != nil {
		return err
	}
	lines, err := jobs.Write(cmd.Context(), s, &o, jobs.Command{Program: f.command, Scene: arg, AllVariants: f.Variant == allVariants}, teller(cmd.ErrOrStderr()))
	if err != nil {
		return err
	}
	for _, line := range lines {
		fmt.Fprintln(cmd.OutOrStdout(), line)
	}
	return nil
}
