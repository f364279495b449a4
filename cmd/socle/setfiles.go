package main

import (
	"context"
	"image"
	"io"

	"socle/out/picture"
	"socle/out/plan"
	"socle/parts"
)

// deliverLook writes the pictures of a base and keeps what the sheets and the page
// need of them. A base that is held back is drawn too: that is where one looks why.
func (b *Build) deliverLook(p *parts.Piece, l *look) error {
	if l == nil {
		return nil
	}
	for i := range l.shots {
		s := &l.shots[i]
		if s.png == nil {
			continue
		}
		file, err := b.files.add("pictures/"+p.Name+"/"+s.name+".png", func(w io.Writer) error {
			_, err := w.Write(s.png)
			return err
		})
		if err != nil {
			return err
		}
		b.report.Pictures = append(b.report.Pictures, pictureReport{p.Name, s.name, file})
		s.png = nil
	}
	b.looks[p.Name] = l
	return nil
}

// drawsVariants says whether there is a sheet of the variants to draw.
func (b *Build) drawsVariants() bool {
	return b.Formats.has(formatPNG, formatHTML) && len(b.Bases) == 0 && b.wantsSheet(viewVariants) && len(b.Set.read.Variants) > 0
}

// round writes what is about the set as a whole: the sheets, the plan and the
// report. The report must be complete.
func (b *Build) round(ctx context.Context, progress Progress) error {
	r := b.report
	write := func(name string, do func(io.Writer) error) (*fileReport, error) {
		file, err := b.files.add(name, do)
		if err != nil {
			return nil, &Failure{Kind: NotWritten, Err: err}
		}
		return &file, nil
	}
	var err error
	if b.drawsVariants() {
		if b.variantSheet, err = b.drawVariants(ctx, progress); err != nil {
			return err
		}
	}
	if b.Formats.has(formatPNG) {
		var set image.Image
		if len(b.Bases) == 0 && b.wantsSheet(viewSet) {
			set = b.sheet(b.sheetTitle(), 0)
		}
		for _, s := range []struct {
			end string
			img image.Image
		}{{"-set.png", set}, {"-variants.png", b.variantSheet}} {
			if s.img == nil {
				continue
			}
			file, err := write(r.Scene+s.end, func(w io.Writer) error { return picture.WritePNG(w, s.img) })
			if err != nil {
				return err
			}
			r.Sheets = append(r.Sheets, *file)
		}
	}
	if b.Formats.has(formatSVG) {
		if r.Plan, err = write(r.Scene+planEnd, func(w io.Writer) error { return plan.Write(w, b.Set.planOf()) }); err != nil {
			return err
		}
	}
	if b.Formats.has(formatHTML) {
		if r.Page, err = write(r.Scene+".html", b.writePage); err != nil {
			return err
		}
	}
	if b.Formats.has(formatJSON) {
		if r.Document, err = write(r.Scene+".json", func(w io.Writer) error { return writeJSON(w, r.filed(b.To)) }); err != nil {
			return err
		}
	}
	return nil
}
