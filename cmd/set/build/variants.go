package build

import (
	"context"
	"fmt"
	"image"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/picture"
	"socle/parts/assembly"
)

// The cell that a base of a variant is meshed at: as fine as the small picture of
// it shows, held to a range, mm.
const (
	thumbCells       = 120.0 // across a base
	leastVariantCell = 0.4
	mostVariantCell  = 1.0
)

// variantCell is the cell for a piece of a variant, mm.
func variantCell(p *assembly.Piece) float64 {
	across := max(p.Box.Max.X-p.Box.Min.X, p.Box.Max.Y-p.Box.Min.Y)
	return max(leastVariantCell, min(mostVariantCell, across/thumbCells))
}

// cells are the bases for a sheet, each with one of its pictures; those without it are
// left out.
func (b *Build) cells(of func(*look.Drawn) image.Image) (cells []picture.Cell) {
	for i := range b.Set.Pieces {
		p := &b.Set.Pieces[i]
		if l := b.looks[p.Name]; l != nil && of(l) != nil {
			cells = append(cells, picture.Cell{Image: of(l), Name: p.Name, Detail: p.Footprint + b.tallOf(p)})
		}
	}
	return cells
}

// sheet puts all bases that were drawn on one sheet, under a title and in so many
// columns; 0 chooses. It is nil where there are none.
func (b *Build) sheet(title string, columns int) image.Image {
	cells := b.cells(func(l *look.Drawn) image.Image { return l.Thumb })
	if len(cells) == 0 {
		return nil
	}
	return picture.ContactSheet(title, cells, columns)
}

// lifeSheet puts the bases side by side at the size of life. It is nil where they are not
// drawn so, or not all of the set is asked for.
func (b *Build) lifeSheet(title string) image.Image {
	cells := b.cells(func(l *look.Drawn) image.Image { return l.Life })
	if len(cells) == 0 || len(b.Bases) > 0 {
		return nil
	}
	return picture.LifeSheet(title, cells)
}

// sheetTitle is what stands over the sheet of the set.
func (b *Build) sheetTitle() string {
	return fmt.Sprintf("%s: %s, 1:%g", b.Report.Title, words.Count(len(b.Set.Pieces), "base", "bases"), b.Set.Site.Scale.Ratio)
}

// tallOf says how tall a base came out, where it was written.
func (b *Build) tallOf(p *assembly.Piece) string {
	for i := range b.Report.Bases {
		if r := &b.Report.Bases[i]; r.Name == p.Name {
			return fmt.Sprintf(", %.1f mm tall", r.Box.Max[2])
		}
	}
	return ""
}

// drawVariants draws the bases of every variant of the scene beside those of the
// scene itself. A base that a variant does not have, or cannot have, is left out.
func (b *Build) drawVariants(ctx context.Context, progress set.Progress) (image.Image, error) {
	own := picture.Column{Name: "as it is", Images: map[string]image.Image{}}
	var rows []string
	for i := range b.Set.Pieces {
		name := b.Set.Pieces[i].Name
		rows = append(rows, name)
		if l := b.looks[name]; l != nil {
			own.Images[name] = l.Thumb
		}
	}
	columns := []picture.Column{own}
	for _, v := range b.Report.Variants {
		column := picture.Column{Name: v.Name, Lines: []string{"meshed coarsely, for looking"}}
		for _, c := range v.Changes {
			column.Lines = append(column.Lines, c.Path+" = "+c.Value)
		}
		var err error
		if column.Images, err = b.drawVariant(ctx, progress, v.Name); err != nil {
			return nil, err
		}
		columns = append(columns, column)
	}
	return picture.Grid(b.Report.Title+": variants", rows, columns), nil
}

// drawVariant draws the bases of one variant, small, by their names. One that does
// not fit has none: it is told of when it is built itself.
func (b *Build) drawVariant(ctx context.Context, progress set.Progress, name string) (map[string]image.Image, error) {
	drawn := map[string]image.Image{}
	variant, err := b.Set.Variant(name)
	if err != nil {
		return nil, err
	}
	s, err := variant.Cut(nil)
	if set.IsNotProven(err) {
		return drawn, nil
	}
	if err != nil {
		return nil, err
	}
	maker := piece.SketchMaker(s, variantCell, &look.Renderer{Set: s, Views: []string{look.ViewNone}, Sights: b.Sights})
	names := set.PieceNames(s.Pieces)
	bar := progress.Start(set.Task{What: "drawing variant " + name, Word: "drawn for variant " + name, Names: names})
	defer bar.Finish()
	err = piece.Produce(ctx, s.Pieces, maker, bar.At, func(i int, m piece.Result) error {
		bar.Made(i, m.Kept, m.Err)
		if m.Err == nil {
			drawn[names[i]] = m.Drawn.Thumb
		}
		return nil
	})
	return drawn, err
}
