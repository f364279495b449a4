// Command socle builds sets of sculpted bases for tabletop miniatures from a
// scene file, each proven printable before it is written.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/words"
)

func main() {
	// A build that is broken off removes what it had begun to write, so the
	// signals stay caught until it has. Under nohup it outlives its terminal.
	signals := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		signals = append(signals, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), signals...)
	code := run(ctx, os.Args[1:], streams{in: os.Stdin, out: os.Stdout, err: os.Stderr})
	stop()
	os.Exit(code)
}

// The exit codes, as the help of the root command states them.
const (
	exitDone        = 0
	exitNotProven   = 1
	exitFaulty      = 2
	exitNotWritten  = 3
	exitInterrupted = 130 // as shells count a process that SIGINT ended
)

// exitCode is the exit code of each kind of failure. Any other error, cobra's own
// among them, is a faulty command.
var exitCode = map[set.Kind]int{set.Faulty: exitFaulty, set.NotProven: exitNotProven, set.NotWritten: exitNotWritten}

// streams is where a command reads and writes: results go to out, messages to err.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// checkedWriter remembers a fault, so that a result which did not reach its
// reader is no success.
type checkedWriter struct {
	w   io.Writer
	err error
}

func (c *checkedWriter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	if c.err == nil {
		c.err = err
	}
	return n, err
}

// run carries out one command line and gives the exit code.
func run(ctx context.Context, args []string, s streams) int {
	out := &checkedWriter{w: s.out}
	s.out = out
	root := newRoot(s)
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
		but := ""
		if stopped := (*build.Stopped)(nil); errors.As(err, &stopped) {
			but = " but the first picture, " + stopped.Picture
		}
		fmt.Fprintln(s.err, "socle: stopped; nothing was changed"+but)
		return exitInterrupted
	}
	code := exitDone
	if err != nil {
		code = exitFaulty
	}
	var failure *set.Failure
	if errors.As(err, &failure) {
		code, err = exitCode[failure.Kind], failure.Err
	}
	if out.err != nil { // whatever else there is to say: it did not reach its reader
		code = exitNotWritten
		if err == nil || errors.Is(err, out.err) {
			err = fmt.Errorf("the result could not be printed: %w", out.err)
		}
	}
	if err != nil {
		fmt.Fprintf(s.err, "socle: %s\n", words.Plain(strings.TrimSpace(err.Error())))
	}
	return code
}

// usage is cobra's way of showing a command, with the examples last.
const usage = `Usage:
{{- if .Runnable}}
  {{.UseLine}}{{end}}
{{- if .HasAvailableSubCommands}}
  {{.CommandPath}} VERB

Verbs:
{{- range .Commands}}{{if (or .IsAvailableCommand (eq .Name "help"))}}
  {{rpad .Name .NamePadding }} {{.Short}}{{end}}{{end}}{{end}}
{{- if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}{{end}}
{{- if .HasExample}}

Examples:
{{.Example}}{{end}}
`

func newRoot(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "socle",
		Short: "Sets of sculpted bases for tabletop miniatures, cut from one scene",
		Long: `socle builds a set of sculpted bases for tabletop miniatures from a scene file:
it joins the parts of the scene, cuts every base of the set out of it, proves
each one printable and writes STL and 3MF.

Exit codes:
  0    done
  1    a solid could not be proven, does not fit or will not print, or the two
       sides of a comparison differ
  2    an error in the scene or the command
  3    a file could not be written
  130  stopped with Ctrl-C`,
		Example: `  socle new harbour --from saltmere-quay
  socle build harbour.toml
  socle check harbour.toml
  socle build saltmere-quay --cell 0.2 --to quay
  socle parts stair`,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetUsageTemplate(usage)
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	root.AddCommand(newCmd(), buildCmd(), checkCmd(), watchCmd(), pictureCmd(), planCmd(), reportCmd(), varyCmd(), compareCmd(),
		jobsCmd(), gatherCmd(), cacheCmd(), partsCmd(), schemaCmd(), versionCmd())
	shellCompletion(root)
	return root
}
