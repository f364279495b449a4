package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"socle/parts"
	"socle/sdf/mesh"
)

// mostJobList is the most that a list of jobs may take, bytes.
const mostJobList = 256 << 20

func gatherCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "gather DIR",
		Short: "Put together a set whose bases were made by the commands of socle jobs",
		Long: `Gather reads DIR/jobs.json, which "socle jobs" wrote, and the file of every base
that its commands made, proves every solid again, and writes what "socle build"
would have written, byte for byte.

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
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to, with one in it for each variant where there are several (default build/SCENE)")
	flags.StringSliceVar((*[]string)(&f.formats), "format", nil, "what to write, a `LIST` of those that the jobs were for (default all of them)")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
	return cmd
}

// gathering is one set of a list whose pieces have been seen to be sound.
type gathering struct {
	scene    *scene
	fineness resolution
	pieces   []parts.Piece
	files    map[string]string // of each piece
	want     map[string]pieceTold
	variant  string
}

// readJobs reads the list of a folder.
func readJobs(dir string) (*jobList, error) {
	path := filepath.Join(dir, jobListFile)
	f, err := os.Open(path)
	if err != nil {
		return nil, faulty(fmt.Errorf("there is no list of jobs: %w", err))
	}
	defer f.Close()
	var l jobList
	text, err := io.ReadAll(io.LimitReader(f, mostJobList))
	if err == nil {
		err = json.Unmarshal(text, &l)
	}
	if err == nil && l.Mark != jobsMark {
		err = fmt.Errorf("it is not a list of this socle's jobs")
	}
	if err != nil {
		return nil, faulty(fmt.Errorf("%s: %w", path, err))
	}
	return &l, nil
}

func (f *buildFlags) gather(cmd *cobra.Command, dir string) error {
	l, err := readJobs(dir)
	if err != nil {
		return err
	}
	if tool, err := thisTool(); err != nil || tool != l.Tool {
		return &exitError{exitNotProven, fmt.Errorf("another socle listed these jobs: %s, not %s: run \"socle jobs\" again", l.Tool, tool)}
	}
	if len(f.formats) == 0 {
		f.formats = l.Formats
	}
	f.size, f.sets = l.Size, l.Set
	if err := f.valid(true); err != nil {
		return err
	}
	for _, format := range f.formats {
		if !l.Formats.has(format) {
			return fmt.Errorf("--format %q: the jobs were for %s", format, strings.Join(l.Formats, ", "))
		}
	}
	var sets []*gathering
	var refused []string
	for _, set := range l.Sets {
		g, faults, err := l.check(cmd.Context(), dir, set)
		if err != nil {
			return err
		}
		sets, refused = append(sets, g), append(refused, faults...)
	}
	if len(refused) > 0 {
		return &exitError{exitNotProven, fmt.Errorf("nothing was written: %s\n\n%s", plural(len(refused), "piece is refused", "pieces are refused"), strings.Join(refused, "\n"))}
	}
	var failed error
	for _, g := range sets {
		if err := f.assemble(cmd, l, g); err != nil {
			if exit, ok := err.(*exitError); !ok || exit.code != exitNotProven {
				return err
			}
			failed = err
		}
	}
	return failed
}

// check reads and proves every piece of a set, and tells of those that are refused.
func (l *jobList) check(ctx context.Context, dir string, set jobSet) (*gathering, []string, error) {
	s, fineness, err := l.open(set.Variant)
	if err != nil {
		return nil, nil, err
	}
	g := &gathering{scene: s, fineness: fineness, variant: set.Variant, files: map[string]string{}, want: map[string]pieceTold{}}
	if g.pieces, err = s.cut(nil); err != nil {
		return nil, nil, err
	}
	jobs := map[string]job{}
	for _, j := range set.Pieces {
		jobs[j.Piece] = j
	}
	var refused []string
	for i := range g.pieces {
		p := &g.pieces[i]
		j, listed := jobs[p.Name]
		if !listed {
			return nil, nil, faulty(fmt.Errorf("%s leaves out the base %q: run \"socle jobs\" again", jobListFile, p.Name))
		}
		key, err := s.pieceKey(ctx, p, fineness, l.artist(s))
		if err != nil {
			return nil, nil, err
		}
		want, err := s.told(set.Variant, p.Name, key)
		if err != nil {
			return nil, nil, err
		}
		g.want[p.Name] = want
		g.files[p.Name] = filepath.Join(dir, filepath.FromSlash(j.File))
		m, err := readPiece(g.files[p.Name], want)
		if err == nil && m.err == nil {
			err = provenAgain(ctx, m.solid)
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if err != nil {
			refused = append(refused, fmt.Sprintf("%s: %v\n  to make it: %s", g.files[p.Name], err, j.Command))
		}
	}
	return g, refused, nil
}

// provenAgain proves a solid on the coordinates that came back, and that it is the
// one which was proven where it was made.
func provenAgain(ctx context.Context, s *mesh.Solid) error {
	proof, err := mesh.Prove(ctx, &s.Mesh, 0)
	if err == nil && proof != s.Proof {
		err = fmt.Errorf("what is proven of its solid is not what was")
	}
	return err
}

// assemble builds a set of pieces that are read in place of made.
func (f *buildFlags) assemble(cmd *cobra.Command, l *jobList, g *gathering) error {
	one := *f
	one.variant = g.variant
	if l.All && f.to != "" {
		one.to = filepath.Join(f.to, g.scene.name)
	}
	b := newBuild(&one, g.scene, g.fineness)
	b.pieces = g.pieces
	defer b.files.discard()
	b.do = g.scene.suggesting(guarded(func(_ context.Context, p *parts.Piece, progress func(float64)) meshed {
		m, err := readPiece(g.files[p.Name], g.want[p.Name])
		if err != nil {
			return meshed{err: err}
		}
		progress(1)
		switch {
		case m.look == nil:
		case !one.formats.has(formatPNG, formatHTML):
			m.look = nil
		case !one.formats.has(formatPNG):
			for i := range m.look.shots {
				m.look.shots[i].png = nil
			}
		}
		return m
	}))
	if err := b.run(cmd.Context(), cmd.ErrOrStderr()); err != nil {
		return err
	}
	return b.tell(cmd.OutOrStdout(), cmd.ErrOrStderr())
}
