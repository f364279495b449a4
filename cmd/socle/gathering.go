package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"socle/out/plainfile"
	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// mostJobList is the most that a list of jobs may take, bytes.
const mostJobList = 64 << 20

// gathering is one set of a list whose pieces have been seen to be sound.
type gathering struct {
	*Set
	files   map[string]string // of each piece
	want    map[string]pieceTold
	variant string
}

// Gather puts together what the pieces of a folder are of.
type Gather struct {
	list    *jobList
	dir     string
	formats formats // to be written
}

// readJobs reads the list of a folder, to write some formats of those that it is for; none: all.
func readJobs(dir string, wanted formats) (*Gather, error) {
	l, err := readList(dir)
	if err != nil {
		return nil, err
	}
	if tool, err := thisTool(); err != nil || tool != l.Tool {
		return nil, &Failure{NotProven, fmt.Errorf("another socle listed these jobs: %s, not %s: run \"socle jobs\" again", oneLine(l.Tool), tool)}
	}
	if len(wanted) == 0 {
		wanted = l.Formats
	}
	return &Gather{l, dir, wanted}, nil
}

// readList reads the list of a folder.
func readList(dir string) (*jobList, error) {
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
	plain, err := l.open("")
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

// check reads and proves every piece of every set. It fails where any is refused.
func (g *Gather) check(ctx context.Context) ([]*gathering, error) {
	for _, format := range g.formats {
		if !g.list.Formats.has(format) {
			return nil, fmt.Errorf("--format %q: the jobs were for %s", format, strings.Join(g.list.Formats, ", "))
		}
	}
	var sets []*gathering
	var refused []string
	for _, set := range g.list.Sets {
		s, faults, err := g.list.check(ctx, g.dir, set)
		if err != nil {
			return nil, err
		}
		sets, refused = append(sets, s), append(refused, faults...)
	}
	if len(refused) > 0 {
		return nil, &Failure{NotProven, fmt.Errorf("nothing was written: %s\n\n%s", plural(len(refused), "piece is refused", "pieces are refused"), strings.Join(refused, "\n"))}
	}
	return sets, nil
}

// check reads and proves every piece of a set, and tells of those that are refused.
func (l *jobList) check(ctx context.Context, dir string, listed jobSet) (*gathering, []string, error) {
	s, err := l.cut(listed.Variant)
	if err != nil {
		return nil, nil, err
	}
	g := &gathering{Set: s, variant: listed.Variant, files: map[string]string{}, want: map[string]pieceTold{}}
	isListed := map[string]bool{}
	for _, j := range listed.Pieces {
		isListed[j.Piece] = true
	}
	var refused []string
	for i := range g.pieces {
		p := &g.pieces[i]
		if !isListed[p.Name] {
			return nil, nil, faulty(fmt.Errorf("%s leaves out the base %q: run \"socle jobs\" again", jobListFile, p.Name))
		}
		key, err := s.pieceKey(ctx, p, l.options(listed.Variant).in(s.scene).artist(s))
		if err != nil {
			return nil, nil, err
		}
		want, err := s.told(listed.Variant, p.Name, key)
		if err != nil {
			return nil, nil, err
		}
		path := filepath.Join(dir, filepath.FromSlash(pieceFile(listed.Variant, p.Name)))
		m, told, err := readPiece(path, want)
		if err == nil && m.err == nil {
			err = g.provenAgain(ctx, p, m)
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if err != nil {
			line, lineErr := l.line(listed.Variant, p.Name)
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
func (g *gathering) provenAgain(ctx context.Context, p *parts.Piece, m meshed) error {
	proof, err := mesh.Prove(ctx, &m.solid.Mesh, 0)
	switch {
	case err != nil:
		return err
	case proof != m.solid.Proof:
		return errors.New("what is proven of its solid is not what was")
	}
	if err := fits(p, m.solid); err != nil {
		return err
	}
	if by := g.strays(p, m); by > strayCells*g.resolution.cell+g.resolution.tolerance {
		return fmt.Errorf("its solid is not that of the scene: it lies up to %.2f mm off it", by)
	}
	return nil
}

// strayCells is how many cells a surface may lie off the scene's: more than what is lost
// between their corners, which is within one. Common practice, no source.
const strayCells = 2

// strays is how far a solid strays from the scene, mm; what a solid whose necks were
// mended says, since what they were made into is not known.
func (g *gathering) strays(p *parts.Piece, m meshed) float64 {
	if len(m.inspection.mended) > 0 {
		return m.solid.Stats.Deviation
	}
	return mesh.Deviation(p.Field, &m.solid.Mesh)
}

// inspectedAgain gives what the inspection finds of a solid that came back, whatever its
// record says: by that a base is held back, and the report told.
func (g *gathering) inspectedAgain(ctx context.Context, p *parts.Piece, m meshed) (*inspection, error) {
	i, err := g.inspect(ctx, p, m.solid, g.meshOptions(p))
	if err == nil {
		i.settle(m.inspection.mended)
	}
	return i, err
}

// options are those of the build of a set, into a folder, with one in it for each set
// where there may be several; "" is the usual one.
func (g *Gather) options(set *gathering, to string) BuildOptions {
	o := g.list.options(set.variant)
	o.Formats = g.formats
	if o.To = to; g.list.All && to != "" {
		o.To = filepath.Join(to, set.name)
	}
	return o
}

// build begins the build of a set of pieces that are read in place of made.
func (g *gathering) build(o BuildOptions) *Build {
	b := newBuild(g.Set, o)
	b.do = g.suggesting(guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
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
		case !o.Formats.has(formatPNG, formatHTML):
			m.look = nil
		case !o.Formats.has(formatPNG):
			for i := range m.look.shots {
				m.look.shots[i].png = nil
			}
		}
		return m
	}))
	return b
}
