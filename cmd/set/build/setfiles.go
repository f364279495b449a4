package build

import (
	"context"
	"image"
	"io"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/report"
	"socle/out/picture"
	"socle/out/plan"
	"socle/parts/assembly"
)

// deliverLook writes the pictures of a base and keeps what the sheets and the page
// need of them. A base that is held back is drawn too: that is where one looks why.
func (b *Build) deliverLook(p *assembly.Piece, l *look.Drawn) error {
	if l == nil {
		return nil
	}
	for i := range l.Shots {
		s := &l.Shots[i]
		if s.Png == nil {
			continue
		}
		file, err := b.files.Add(pictureFile(p, s), func(w io.Writer) error {
			_, err := w.Write(s.Png)
			return err
		})
		if err != nil {
			return err
		}
		b.Report.Pictures = append(b.Report.Pictures, report.Picture{Base: p.Name, View: s.Name, File: file})
		s.Png = nil
	}
	b.looks[p.Name] = l
	return nil
}

// pictureFile is the name of a picture's file, from the folder.
func pictureFile(p *assembly.Piece, s *look.Shot) string {
	return "pictures/" + p.Name + "/" + s.Name + ".png"
}

// DrawsVariants says whether there is a sheet of the variants to draw.
func (b *Build) DrawsVariants() bool {
	return b.Formats.Has(set.FormatPNG, set.FormatHTML) && len(b.Bases) == 0 && b.DrawsSheet(look.ViewVariants) && len(b.Set.Read.Variants) > 0
}

// setFiles writes what is about the set as a whole: the sheets, the plan and the
// report. The report must be complete.
func (b *Build) setFiles(ctx context.Context, progress set.Progress) error {
	r := b.Report
	write := func(name string, do func(io.Writer) error) (*output.File, error) {
		file, err := b.files.Add(name, do)
		if err != nil {
			return nil, &set.Failure{Kind: set.NotWritten, Err: err}
		}
		return &file, nil
	}
	var err error
	if b.DrawsVariants() {
		if b.variantSheet, err = b.drawVariants(ctx, progress); err != nil {
			return err
		}
	}
	if b.Formats.Has(set.FormatPNG) {
		var set image.Image
		if len(b.Bases) == 0 && b.DrawsSheet(look.ViewSet) {
			set = b.sheet(b.sheetTitle(), 0)
		}
		for _, s := range []struct {
			end   string
			img   image.Image
			write func(io.Writer, image.Image) error
		}{
			{"-set.png", set, picture.WritePNG},
			{"-life-size.png", b.lifeSheet(b.sheetTitle()), picture.WriteLifePNG},
			{"-variants.png", b.variantSheet, picture.WritePNG},
		} {
			if s.img == nil {
				continue
			}
			file, err := write(r.Scene+s.end, func(w io.Writer) error { return s.write(w, s.img) })
			if err != nil {
				return err
			}
			r.Sheets = append(r.Sheets, *file)
		}
	}
	if b.Formats.Has(set.FormatSVG) {
		if r.Plan, err = write(r.Scene+look.PlanEnd, func(w io.Writer) error { return plan.Write(w, look.PlanOf(b.Set)) }); err != nil {
			return err
		}
	}
	if b.Formats.Has(set.FormatHTML) {
		if r.Page, err = write(r.Scene+".html", b.writePage); err != nil {
			return err
		}
	}
	if b.Formats.Has(set.FormatJSON) {
		if r.Document, err = write(r.Scene+".json", func(w io.Writer) error { return output.WriteJSON(w, r.Filed(b.To)) }); err != nil {
			return err
		}
	}
	return nil
}
