package main

import (
	"context"
	"fmt"
	"image"
	"io"
	"path/filepath"

	"socle/out"
	"socle/parts"
	"socle/sdf/mesh"
)

// BuildOptions is what is asked of a build.
type BuildOptions struct {
	Options
	Pictures
	To      string // folder to write to; "": one below build, after the scene
	Formats formats
	Advise  bool // try which changes clear what the inspection finds
}

// in gives the options as they come out for a scene.
func (o BuildOptions) in(s *scene) BuildOptions {
	if o.To == "" {
		o.To = filepath.Join("build", s.name)
		if s.resolution.coarse(s.site.Printer) {
			o.To = filepath.Join(o.To, settingDraft) // not among what is to be printed
		}
	}
	o.Pictures = o.Pictures.at(s.resolution, s.site.Printer)
	return o
}

// Build is one build of a set.
type Build struct {
	BuildOptions
	Set    *Set
	report *report
	same   int // of the files written, how many were there already, byte for byte

	do    maker
	files *outputs
	spots laidOut // of the pieces on their plates

	looks        map[string]*look // of each piece that could be made, where it is drawn
	variantSheet image.Image      // nil where there is none
}

// newBuild begins a build.
func newBuild(s *Set, o BuildOptions) *Build {
	o = o.in(s.scene)
	return &Build{
		BuildOptions: o, Set: s,
		do:     s.Maker(o.artist(s)),
		report: newReport(s.scene),
		looks:  map[string]*look{},
	}
}

// artist gives who draws what is asked for, nil where that is nothing.
func (o BuildOptions) artist(s *Set) *artist {
	return o.Pictures.artist(s, o.Formats.has(formatPNG), o.Formats.has(formatHTML))
}

// run makes all pieces and puts the files in place; tell is told of what is found in
// the folder.
func (b *Build) run(ctx context.Context, progress Progress, tell func(string)) error {
	b.files = &outputs{dir: b.To, tell: tell}
	defer b.files.discard()
	if err := b.files.possible(); err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	pieces := b.Set.pieces
	b.spots = b.Set.layOut(pieces)
	bar := progress.Start(Task{What: "building " + plural(len(pieces), "base", "bases"), Names: namesOf(pieces)})
	defer bar.Finish()
	err := produce(ctx, pieces, b.do, bar.At, func(i int, m meshed) error {
		p := &pieces[i]
		bar.Made(i, m.kept, m.err)
		if m.err != nil {
			b.fail(p, m.err)
			return nil
		}
		b.report.Concerns = append(b.report.Concerns, m.inspection.concerns...)
		if err := b.deliverLook(p, m.look); err != nil {
			return &Failure{Kind: NotWritten, Err: err}
		}
		if stops := tallyOf(m.inspection.concerns).Stops; stops > 0 && b.holds() {
			b.fail(p, fmt.Errorf("the inspection has %s, told above", plural(stops, "stop", "stops")))
			return nil
		}
		return b.deliver(p, m)
	})
	if err != nil {
		return err
	}
	sets, err := b.files.closeSets()
	if err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	b.report.setFiles(sets, b.spots)
	bar.Finish()
	b.report.complete(b.Set)
	if b.Advise {
		if err := b.advise(ctx, progress); err != nil {
			return err
		}
	}
	if err := b.round(ctx, progress); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if b.same, err = b.files.commit(); err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	b.remember()
	return nil
}

// advise tries what clears the findings of the report.
func (b *Build) advise(ctx context.Context, progress Progress) error {
	together, err := advise(ctx, b.Set, &b.Options, b.report.Concerns, progress)
	b.report.Advised = together
	return err
}

// holds says whether a stop holds a base back.
func (b *Build) holds() bool { return b.Formats.hold(b.Set.scene) }

// fail records why a piece is not written; the set cannot be either.
func (b *Build) fail(p *parts.Piece, err error) {
	b.report.Failed = append(b.report.Failed, failureOf(p, err))
	b.files.dropSets()
}

// deliver writes a proven piece.
func (b *Build) deliver(p *parts.Piece, m meshed) error {
	r := baseReportOf(p, m)
	if b.Formats.has(formatSTL) {
		file, err := b.files.add(p.Name+".stl", func(w io.Writer) error {
			return out.WriteSTL(w, p.Name+" of "+b.report.Title, m.solid.Vertices, m.solid.Triangles)
		})
		if err != nil {
			return &Failure{Kind: NotWritten, Err: err}
		}
		r.fileReport = file
	}
	if err := b.deliverToSet(p, m.solid); err != nil {
		return &Failure{Kind: NotWritten, Err: err}
	}
	b.report.Bases = append(b.report.Bases, r)
	return nil
}

// deliverToSet adds a solid to the 3MF file, as long as all before it could be
// proven.
func (b *Build) deliverToSet(p *parts.Piece, s *mesh.Solid) error {
	if !b.Formats.has(format3MF) || len(b.report.Failed) > 0 {
		return nil
	}
	at, known := b.spots.of(p.Name)
	many := plural(len(b.Set.pieces), "base", "bases")
	if b.spots.plates > 1 {
		many += fmt.Sprintf(" (plate %d of %d)", at.Plate+1, b.spots.plates)
	}
	set, err := b.files.setOf(at.Plate, b.spots.file(b.Set.name, at.Plate), out.Meta{
		Title:       b.report.Title,
		Description: fmt.Sprintf("%s for miniatures at 1:%g, cut from one scene", many, b.Set.site.Scale.Ratio),
		Application: "socle",
	})
	if err != nil {
		return err
	}
	if known {
		err = set.AddAt(p.Name, s.Vertices, s.Triangles, at)
	} else {
		err = set.Add(p.Name, s.Vertices, s.Triangles)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", set.file.Path(), err)
	}
	return nil
}
