// Package build makes a set and writes its files: solids, pictures, sheets, the plan and
// the report. All files of a build appear together at its end, or none; but where somebody
// waits for the first picture, that is put in place as soon as it is drawn.
package build

import (
	"context"
	"fmt"
	"image"
	"io"
	"path/filepath"

	"socle/cmd/set"
	"socle/cmd/set/advice"
	"socle/cmd/set/finding"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/cmd/set/words"
	"socle/out"
	"socle/parts/assembly"
	"socle/sdf/mesh"
	"socle/sdf/sight"
)

// Options is what is asked of a build.
type Options struct {
	set.Options
	look.Request
	To      string // folder to write to; "": one below build, after the scene
	Formats set.Formats
	Advise  bool // try which changes clear what the inspection finds
	Sight   bool // put the first picture in place before anything else is made

	Sights *sight.Keeper // of looks, for builds of one scene after another; nil: one of the build's own
}

// keptSights is how many bytes of looks are kept: some ten times a set's.
const keptSights = 64 << 20

// NewSights gives a keeper for the looks of a build, or of several.
func NewSights() *sight.Keeper { return sight.NewKeeper(keptSights) }

// For gives the options as they come out for a scene.
func (o Options) For(s *set.Scene) Options {
	if o.To == "" {
		o.To = filepath.Join("build", s.Name)
		if s.Resolution.Coarse(s.Site.Printer) {
			o.To = filepath.Join(o.To, set.SettingDraft) // not among what is to be printed
		}
	}
	o.Sight = o.Sight || o.Every || s.Resolution.Coarse(s.Site.Printer)
	o.Request = o.Request.At(s.Resolution, s.Site.Printer)
	return o
}

// Build is one build of a set.
type Build struct {
	Options
	Set    *set.Set
	Report *report.Report
	Same   int // of the files written, how many were there already, byte for byte

	Maker piece.Maker
	first *firstSight // nil where none is asked for
	files *output.Folder
	spots report.PlateLayout // of the pieces on their plates

	looks        map[string]*look.Drawn // of each piece that could be made, where it is drawn
	variantSheet image.Image            // nil where there is none
}

// New begins a build.
func New(s *set.Set, o Options) *Build {
	o = o.For(s.Scene)
	b := &Build{Options: o, Set: s, Report: report.New(s.Scene), looks: map[string]*look.Drawn{}}
	if b.Sights == nil {
		b.Sights = NewSights()
	}
	renderer := o.Renderer(s)
	if renderer != nil {
		renderer.Sights = b.Sights
	}
	if o.Sight && renderer != nil && renderer.Png {
		b.first = &firstSight{to: o.To}
		renderer.Seen = b.first.put
	}
	b.Maker = piece.MakerFor(s, renderer)
	return b
}

// Renderer gives who draws what is asked for, nil where that is nothing.
func (o Options) Renderer(s *set.Set) *look.Renderer {
	return o.Request.Renderer(s, o.Formats.Has(set.FormatPNG), o.Formats.Has(set.FormatHTML))
}

// Run makes all pieces and puts the files in place; tell is told of what is found in
// the folder. Where ctx ends first, nothing is changed, or it fails with a *Stopped.
func (b *Build) Run(ctx context.Context, progress set.Progress, tell func(string)) (err error) {
	defer func() { err = b.first.left(ctx, err) }()
	b.files = &output.Folder{Path: b.To, Tell: tell}
	defer b.files.Discard()
	if err := b.files.Possible(); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	pieces := b.Set.Pieces
	b.spots = report.LayOut(b.Set, pieces)
	bar := progress.Start(set.Task{What: "building " + words.Count(len(pieces), "base", "bases"), Names: set.PieceNames(pieces)})
	defer bar.Finish()
	err = piece.Produce(ctx, pieces, b.first.before(b.Maker, pieces, bar, tell), bar.At, func(i int, m piece.Result) error {
		p := &pieces[i]
		bar.Made(i, m.Kept, m.Err)
		if m.Err != nil {
			b.fail(p, m.Err)
			return nil
		}
		b.Report.Findings = append(b.Report.Findings, m.Inspection.Findings...)
		if err := b.deliverLook(p, m.Drawn); err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
		if stops := finding.TallyOf(m.Inspection.Findings).Stops; stops > 0 && b.HoldStops() {
			b.fail(p, fmt.Errorf("the inspection found %s: see above", words.Count(stops, "stop", "stops")))
			return nil
		}
		return b.deliver(p, m)
	})
	if err != nil {
		return err
	}
	sets, err := b.files.ClosePlates()
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	b.Report.SetFiles(sets, b.spots)
	bar.Finish()
	b.Report.Complete(b.Set)
	if b.Advise {
		if err := b.advise(ctx, progress); err != nil {
			return err
		}
	}
	if err := b.setFiles(ctx, progress); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if b.Same, err = b.files.Commit(); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	b.Same -= b.first.counted(b.Report)
	b.remember()
	return nil
}

// advise tries what clears the findings of the report.
func (b *Build) advise(ctx context.Context, progress set.Progress) error {
	together, err := advice.Find(ctx, b.Set, &b.Options.Options, b.Report.Findings, progress)
	b.Report.Advised = together
	return err
}

// HoldStops says whether a stop holds a base back.
func (b *Build) HoldStops() bool { return b.Formats.HoldStops(b.Set.Scene) }

// fail records why a piece is not written; the set cannot be either.
func (b *Build) fail(p *assembly.Piece, err error) {
	b.Report.Failed = append(b.Report.Failed, report.FailedOf(p, err))
	b.files.DropPlates()
}

// deliver writes a proven piece.
func (b *Build) deliver(p *assembly.Piece, m piece.Result) error {
	r := report.BaseOf(p, m)
	if b.Formats.Has(set.FormatSTL) {
		file, err := b.files.Add(p.Name+".stl", func(w io.Writer) error {
			return out.WriteSTL(w, p.Name+" of "+b.Report.Title, m.Solid.Vertices, m.Solid.Triangles)
		})
		if err != nil {
			return &set.Failure{Kind: set.NotWritten, Err: err}
		}
		r.File = file
	}
	if err := b.deliverToSet(p, m.Solid); err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	b.Report.Bases = append(b.Report.Bases, r)
	return nil
}

// deliverToSet adds a solid to the 3MF file, as long as all before it could be
// proven.
func (b *Build) deliverToSet(p *assembly.Piece, s *mesh.Solid) error {
	if !b.Formats.Has(set.Format3MF) || len(b.Report.Failed) > 0 {
		return nil
	}
	at, known := b.spots.Of(p.Name)
	many := words.Count(len(b.Set.Pieces), "base", "bases")
	if b.spots.Plates > 1 {
		many += fmt.Sprintf(" (plate %d of %d)", at.Plate+1, b.spots.Plates)
	}
	set, err := b.files.PlateFile(at.Plate, b.spots.File(b.Set.Name, at.Plate), out.Meta{
		Title:       b.Report.Title,
		Description: fmt.Sprintf("%s for miniatures at 1:%g, cut from one scene", many, b.Set.Site.Scale.Ratio),
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
		return fmt.Errorf("%s: %w", set.File.Path(), err)
	}
	return nil
}
