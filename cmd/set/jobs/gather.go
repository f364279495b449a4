package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/cache"
	"socle/cmd/set/inspection"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/plainfile"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf/mesh"
)

// mostJobList is the most that a list of jobs may take, bytes.
const mostJobList = 64 << 20

// Checked is one set of a list whose pieces have been seen to be sound.
type Checked struct {
	*set.Set
	files   map[string]string // of each piece
	want    map[string]Header
	variant string
}

// Gather puts together what the pieces of a folder are of.
type Gather struct {
	List    *List
	dir     string
	Formats set.Formats // to be written
}

// Read reads the list of a folder, to write some formats of those that it is for; none: all.
func Read(dir string, wanted set.Formats) (*Gather, error) {
	l, err := readList(dir)
	if err != nil {
		return nil, err
	}
	if tool, err := cache.Tool(); err != nil || tool != l.Tool {
		return nil, &set.Failure{Kind: set.NotProven, Err: fmt.Errorf("another socle listed these jobs: %s, not %s: run \"socle jobs\" again", words.PlainLine(l.Tool), tool)}
	}
	if len(wanted) == 0 {
		wanted = l.Formats
	}
	return &Gather{l, dir, wanted}, nil
}

// readList reads the list of a folder.
func readList(dir string) (*List, error) {
	path := filepath.Join(dir, JobListFile)
	text, err := plainfile.Read(path, mostJobList)
	if err != nil {
		return nil, set.AsFaulty(fmt.Errorf("there is no list of jobs: %w", err))
	}
	var l List
	err = json.Unmarshal(text, &l)
	if err == nil {
		err = l.check()
	}
	if err != nil {
		return nil, set.AsFaulty(fmt.Errorf("%s: %w", path, err))
	}
	return &l, nil
}

// check says what is wrong with a list as a whole. Its check value tells of damage and
// of edits; who renews it can still lead nowhere.
func (l *List) check() error {
	sum, err := l.Sum()
	switch {
	case err != nil:
		return err
	case l.Mark != jobsMark:
		return errors.New("it is not a list of this socle's jobs")
	case l.Check != sum:
		return errors.New("it is damaged, or was edited: run \"socle jobs\" again")
	case len(l.Sets) == 0 || !l.All && len(l.Sets) > 1:
		return fmt.Errorf("it lists %s: run \"socle jobs\" again", words.Count(len(l.Sets), "set", "sets"))
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
	if want := plain.VariantNames(); !slices.Equal(listed, want) {
		return fmt.Errorf("it should list the scene and all its variants, but lists %s of %d: run \"socle jobs\" again", words.Count(len(listed), "set", "sets"), len(want))
	}
	return nil
}

// Check reads and proves every piece of every set. It fails where any is refused.
func (g *Gather) Check(ctx context.Context) ([]*Checked, error) {
	for _, format := range g.Formats {
		if !g.List.Formats.Has(format) {
			return nil, fmt.Errorf("--format %q: the jobs were for %s", format, strings.Join(g.List.Formats, ", "))
		}
	}
	var sets []*Checked
	var refused []string
	for _, set := range g.List.Sets {
		s, faults, err := g.List.checkPieces(ctx, g.dir, set)
		if err != nil {
			return nil, err
		}
		sets, refused = append(sets, s), append(refused, faults...)
	}
	if len(refused) > 0 {
		return nil, &set.Failure{Kind: set.NotProven, Err: fmt.Errorf("nothing was written: %s\n\n%s", words.Count(len(refused), "piece is refused", "pieces are refused"), strings.Join(refused, "\n"))}
	}
	return sets, nil
}

// checkPieces reads and proves every piece of a set, and tells of those that are refused.
func (l *List) checkPieces(ctx context.Context, dir string, listed jobSet) (*Checked, []string, error) {
	s, err := l.cut(listed.Variant)
	if err != nil {
		return nil, nil, err
	}
	g := &Checked{Set: s, variant: listed.Variant, files: map[string]string{}, want: map[string]Header{}}
	isListed := map[string]bool{}
	for _, j := range listed.Pieces {
		isListed[j.Piece] = true
	}
	var refused []string
	for i := range g.Pieces {
		p := &g.Pieces[i]
		if !isListed[p.Name] {
			return nil, nil, set.AsFaulty(fmt.Errorf("%s leaves out the base %q: run \"socle jobs\" again", JobListFile, p.Name))
		}
		key, err := piece.Key(ctx, s, p, l.options(listed.Variant).For(s.Scene).Renderer(s))
		if err != nil {
			return nil, nil, err
		}
		want, err := headerFor(s, listed.Variant, p.Name, key)
		if err != nil {
			return nil, nil, err
		}
		path := filepath.Join(dir, filepath.FromSlash(pieceFile(listed.Variant, p.Name)))
		m, header, err := readPiece(path, want)
		if err == nil && m.Err == nil {
			err = g.provenAgain(ctx, p, m)
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if err != nil {
			line, lineErr := l.line(listed.Variant, p.Name)
			if lineErr != nil {
				return nil, nil, set.AsFaulty(fmt.Errorf("%s: %w", JobListFile, lineErr))
			}
			refused = append(refused, fmt.Sprintf("%s: %s\n  to make it: %s", path, words.PlainLine(err.Error()), line))
		}
		g.files[p.Name], g.want[p.Name] = path, header
	}
	return g, refused, nil
}

// provenAgain proves a solid on the coordinates that came back, that it is the one which
// was proven where it was made, and that it is the scene's: it fits, and lies on it.
func (c *Checked) provenAgain(ctx context.Context, p *assembly.Piece, m piece.Result) error {
	proof, err := mesh.Prove(ctx, &m.Solid.Mesh)
	switch {
	case err != nil:
		return err
	case proof != m.Solid.Proof:
		return errors.New("the new proof of its solid differs from the recorded one")
	}
	if err := inspection.Fits(p, m.Solid); err != nil {
		return err
	}
	by, err := c.strays(ctx, p, m)
	if err != nil {
		return err
	}
	if by > strayCells*c.Resolution.Cell+c.Resolution.Tolerance {
		return fmt.Errorf("its solid does not match the scene: it is up to %.2f mm off", by)
	}
	return nil
}

// strayCells is how many cells a surface may lie off the scene's: more than what is lost
// between their corners, which is within one. Common practice, no source.
const strayCells = 2

// strays is how far a solid strays from the scene, mm; what a solid whose necks were
// mended says, since what they were made into is not known.
func (c *Checked) strays(ctx context.Context, p *assembly.Piece, m piece.Result) (float64, error) {
	if len(m.Inspection.Mended) > 0 {
		return m.Solid.Stats.Deviation, nil
	}
	return mesh.Deviation(ctx, p.Field, &m.Solid.Mesh)
}

// inspectedAgain gives what the inspection finds of a solid that came back, whatever its
// record says: by that a base is held back, and the report told.
func (c *Checked) inspectedAgain(ctx context.Context, p *assembly.Piece, m piece.Result) (*inspection.Inspection, error) {
	i, err := inspection.Inspect(ctx, c.Set, p, m.Solid, c.MeshOptions(p))
	if err == nil {
		i.Finish(m.Inspection.Mended)
	}
	return i, err
}

// Options are those of the build of a set, into a folder, with one in it for each set
// where there may be several; "" is the usual one.
func (g *Gather) Options(set *Checked, to string) build.Options {
	o := g.List.options(set.variant)
	o.Formats = g.Formats
	if o.To = to; g.List.All && to != "" {
		o.To = filepath.Join(to, set.Name)
	}
	return o
}

// Build begins the build of a set of pieces that are read in place of made.
func (c *Checked) Build(o build.Options) *build.Build {
	b := build.New(c.Set, o)
	b.Maker = piece.Suggesting(c.Set, piece.Guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) piece.Result {
		m, _, err := readPiece(c.files[p.Name], c.want[p.Name])
		if err == nil && m.Err == nil {
			m.Solid.Stats.Deviation, err = c.strays(ctx, p, m)
		}
		if err == nil && m.Err == nil {
			m.Inspection, err = c.inspectedAgain(ctx, p, m)
		}
		if err != nil {
			return piece.Result{Err: err}
		}
		progress(1)
		switch {
		case m.Drawn == nil:
		case !o.Formats.Has(set.FormatPNG, set.FormatHTML):
			m.Drawn = nil
		case !o.Formats.Has(set.FormatPNG):
			for i := range m.Drawn.Shots {
				m.Drawn.Shots[i].Png = nil
			}
		}
		return m
	}))
	return b
}
