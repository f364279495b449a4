package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"socle/out/plainfile"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf/mesh"
)

// mostJobList is the most that a list of jobs may take, bytes.
const mostJobList = 64 << 20

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
	flags.StringVar(&f.to, "to", "", "folder `DIR` to write to, with one in it for each variant where there are several (default build/SCENE)")
	flags.StringSliceVar((*[]string)(&f.formats), "format", nil, "what to write, a `LIST` of those that the jobs were for (default all of them)")
	flags.BoolVar(&f.quiet, "quiet", false, "print errors only")
	return cmd
}

// gathering is one set of a list whose pieces have been seen to be sound.
type gathering struct {
	scene    *scene
	fineness resolution
	pieces   []assembly.Piece
	files    map[string]string // of each piece
	want     map[string]pieceTold
	variant  string
}

// readJobs reads the list of a folder.
func readJobs(dir string) (*jobList, error) {
	path := filepath.Join(dir, jobListFile)
	text, err := plainfile.Read(path, mostJobList)
	if err != nil {
		return nil, faulty(fmt.Errorf("there is no list of jobs: %w", err))
	}
	var l jobList
	err = json.Unmarshal(text, &l)
	if err == nil {
		err = l.sound()
	}
	if err != nil {
		return nil, faulty(fmt.Errorf("%s: %w", path, err))
	}
	return &l, nil
}

// sound says what is wrong with a list as a whole. Its check value tells of damage and
// of edits; who renews it can still lead nowhere.
func (l *jobList) sound() error {
	sum, err := l.sum()
	switch {
	case err != nil:
		return err
	case l.Mark != jobsMark:
		return errors.New("it is not a list of this socle's jobs")
	case l.Check != sum:
		return errors.New("it is damaged, or was edited: run \"socle jobs\" again")
	case len(l.Sets) == 0 || !l.All && len(l.Sets) > 1:
		return fmt.Errorf("it lists %s: run \"socle jobs\" again", plural(len(l.Sets), "set", "sets"))
	}
	if err := scenes.CheckSceneName(l.Scene); err != nil {
		return err
	}
	if name := filepath.Base(l.Program); !strings.HasPrefix(name, "socle") {
		l.Program = "socle" // whatever else it is: what is told to be run is socle
	}
	if !l.All {
		return nil
	}
	plain, _, err := l.open("")
	if err != nil {
		return err
	}
	var listed []string
	for _, set := range l.Sets {
		listed = append(listed, set.Variant)
	}
	if want := plain.everyVariant(); !slices.Equal(listed, want) {
		return fmt.Errorf("it is to be of the scene and all of its variants, and lists %s of %d: run \"socle jobs\" again", plural(len(listed), "set", "sets"), len(want))
	}
	return nil
}

func (f *buildFlags) gather(cmd *cobra.Command, dir string) error {
	l, err := readJobs(dir)
	if err != nil {
		return err
	}
	if tool, err := thisTool(); err != nil || tool != l.Tool {
		return &exitError{exitNotProven, fmt.Errorf("another socle listed these jobs: %s, not %s: run \"socle jobs\" again", oneLine(l.Tool), tool)}
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
	listed := map[string]bool{}
	for _, j := range set.Pieces {
		listed[j.Piece] = true
	}
	var refused []string
	for i := range g.pieces {
		p := &g.pieces[i]
		if !listed[p.Name] {
			return nil, nil, faulty(fmt.Errorf("%s leaves out the base %q: run \"socle jobs\" again", jobListFile, p.Name))
		}
		key, err := s.pieceKey(ctx, p, fineness, l.artist(s, fineness))
		if err != nil {
			return nil, nil, err
		}
		want, err := s.told(set.Variant, p.Name, key)
		if err != nil {
			return nil, nil, err
		}
		path := filepath.Join(dir, filepath.FromSlash(pieceFile(set.Variant, p.Name)))
		m, told, err := readPiece(path, want)
		if err == nil && m.err == nil {
			err = g.provenAgain(ctx, p, m)
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if err != nil {
			line, lineErr := l.line(set.Variant, p.Name)
			if lineErr != nil {
				return nil, nil, faulty(fmt.Errorf("%s: %w", jobListFile, lineErr))
			}
			refused = append(refused, fmt.Sprintf("%s: %s\n  to make it: %s", path, oneLine(err.Error()), line))
		}
		g.files[p.Name], g.want[p.Name] = path, told
	}
	return g, refused, nil
}

// provenAgain proves a solid on the coordinates that came back, that it is the one which
// was proven where it was made, and that it is the scene's: it fits, and lies on it.
func (g *gathering) provenAgain(ctx context.Context, p *assembly.Piece, m meshed) error {
	proof, err := mesh.Prove(ctx, &m.solid.Mesh)
	switch {
	case err != nil:
		return err
	case proof != m.solid.Proof:
		return errors.New("what is proven of its solid is not what was")
	}
	if err := fits(p, m.solid); err != nil {
		return err
	}
	if by := g.strays(p, m); by > strayCells*g.fineness.cell+g.fineness.tolerance {
		return fmt.Errorf("its solid is not that of the scene: it lies up to %.2f mm off it", by)
	}
	return nil
}

// strayCells is how many cells a surface may lie off the scene's: more than what is lost
// between their corners, which is within one. Common practice, no source.
const strayCells = 2

// strays is how far a solid strays from the scene, mm; what a solid whose necks were
// mended says, since what they were made into is not known.
func (g *gathering) strays(p *assembly.Piece, m meshed) float64 {
	if len(m.inspection.mended) > 0 {
		return m.solid.Stats.Deviation
	}
	return mesh.Deviation(p.Field, &m.solid.Mesh)
}

// inspectedAgain gives what the inspection finds of a solid that came back, whatever its
// record says: by that a base is held back, and the report told.
func (g *gathering) inspectedAgain(ctx context.Context, p *assembly.Piece, m meshed) (*inspection, error) {
	i, err := g.scene.inspect(ctx, p, m.solid, g.fineness.options())
	if err == nil {
		i.settle(m.inspection.mended)
	}
	return i, err
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
	b.do = g.scene.suggesting(guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		m, _, err := readPiece(g.files[p.Name], g.want[p.Name])
		if err == nil && m.err == nil {
			m.solid.Stats.Deviation = g.strays(p, m)
			m.inspection, err = g.inspectedAgain(ctx, p, m)
		}
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
