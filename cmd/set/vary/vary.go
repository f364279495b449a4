// Package vary tries a scene with many values, or with its damage laid many ways, and writes
// a sheet of the outcomes. It also writes the one that is picked into the scene file.
package vary

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/picture"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf"
	"socle/sdf/mesh"
)

// What counts as touched, of a base's top seen from above, and what trouble weighs in
// the score of a layout, as the help of vary states it (common practice, no source).
const (
	leastTouched = 0.005

	stopWeighs, warnWeighs, thinWeighs, crumbWeighs = 100.0, 10.0, 5.0, 1.0
	unfairWeighs, unevenWeighs                      = 50.0, 20.0
)

// volumeCells is the edge of the cells that the volume taken away is measured with, in
// those of the mesh: enough to choose by.
const volumeCells = 2

// Outcome is what came of one trial.
type Outcome struct {
	Number int      `json:"number"` // 0: the scene as it is
	Label  string   `json:"label"`
	Sets   []string `json:"sets"`
	Score  float64  `json:"score"`
	Fault  string   `json:"fault,omitempty"` // why it is not made
	Bases  []Base   `json:"bases"`
	Total  Figures  `json:"total"`

	thumbs []image.Image
}

// Base is one base of a trial.
type Base struct {
	Name  string `json:"name"`
	Fault string `json:"fault,omitempty"` // why it could not be proven
	Figures
}

// Figures are what is told of a base, or of a set.
type Figures struct {
	Removed  float64  `json:"removed_mm3"`
	Touched  float64  `json:"touched"` // share of the top, 0 to 1
	Crumbs   int      `json:"crumbs"`
	Thinnest *float64 `json:"thinnest_mm,omitempty"` // of what is too thin
	Stops    int      `json:"stops"`
	Warns    int      `json:"warnings"`
	Resin    float64  `json:"resin_ml"` // supports and waste included

	top float64 // mm2
}

// Variation is a run of trials.
type Variation struct {
	set     *set.Set
	bases   []string // that are asked for; none: all
	trials  []Trial
	layouts assembly.LayoutOptions // what is aimed at and spared
	laid    bool                   // the trials are layouts
	Files   *output.Folder
	tried   []*Outcome
}

// New begins to try a scene, which was cut as it is, and opens the folder that it
// writes to, build/SCENE-vary where to is "".
func New(s *set.Set, to string, bases []string, trials []Trial, layouts assembly.LayoutOptions, laid bool, tell func(string)) (*Variation, error) {
	v := &Variation{set: s, bases: bases, trials: trials, layouts: layouts, laid: laid}
	v.Files = &output.Folder{Path: cmp.Or(to, filepath.Join("build", s.Name+"-vary")), Tell: tell}
	if err := v.Files.Open(); err != nil { // rather than find out when all is built
		v.Files.Discard()
		return nil, &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return v, nil
}

// Run makes the scene as it is and every trial, and writes the sheet and the document.
func (v *Variation) Run(ctx context.Context, progress set.Progress) (*Report, error) {
	defer v.Files.Discard()
	for _, t := range append([]Trial{{Label: v.set.Read.Described()}}, v.trials...) {
		if err := v.try(ctx, progress, t); err != nil {
			return nil, err
		}
	}
	if v.laid {
		slices.SortStableFunc(v.tried[1:], func(a, b *Outcome) int {
			if (a.Fault != "") != (b.Fault != "") {
				return cmp.Compare(len(a.Fault), len(b.Fault))
			}
			return cmp.Compare(a.Score, b.Score)
		})
	}
	doc := &Report{Title: v.set.Site.Title, Setting: v.set.Resolution.Setting, Cell: v.set.Resolution.Cell, Seed: v.layouts.Seed, Tried: v.tried, Laid: v.laid}
	err := v.write(doc)
	if err == nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		_, err = v.Files.Commit()
	}
	if err != nil {
		return nil, &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return doc, nil
}

// try makes one trial. What is at fault, or does not fit, is told of it and ends
// nothing; only the end of the context does.
func (v *Variation) try(ctx context.Context, progress set.Progress, t Trial) error {
	one := &Outcome{Number: t.Number, Label: t.Label, Sets: t.Texts(), Bases: []Base{}}
	v.tried = append(v.tried, one)
	progress.Heading(one.Heading())
	var s *set.Set
	other, err := v.set.With(t.Sets, t.Moves...)
	if err == nil {
		s, err = other.Cut(v.bases)
	}
	if err != nil {
		one.Fault = firstFault(err)
		return ctx.Err()
	}
	names := set.PieceNames(s.Pieces)
	bar := progress.Start(set.Task{What: "building " + words.Count(len(names), "base", "bases"), Names: names})
	defer bar.Finish()
	maker := piece.MakerFor(s, &look.Renderer{Set: s, Views: []string{look.ViewNone}})
	err = piece.Produce(ctx, s.Pieces, maker, bar.At, func(i int, m piece.Result) error {
		bar.Made(i, m.Kept, m.Err)
		b := Base{Name: names[i]}
		var thumb image.Image
		if m.Err != nil {
			b.Fault = firstFault(m.Err)
		} else {
			var err error
			if b.Figures, err = figuresOf(ctx, s, &s.Pieces[i], m); err != nil {
				return err
			}
			thumb = v.thumbnail(m.Drawn.Thumb)
		}
		one.Bases, one.thumbs = append(one.Bases, b), append(one.thumbs, thumb)
		return nil
	})
	one.sum()
	one.Score = v.score(one, s)
	return err
}

// thumbnail is a thumb as large as all of them leave room for on one sheet.
func (v *Variation) thumbnail(thumb image.Image) image.Image {
	const many = 200 // at their own size
	thumbs := len(v.set.Pieces) * (len(v.trials) + 1)
	k := min(1, math.Sqrt(many/float64(thumbs)))
	return picture.Shrink(thumb, int(k*look.ThumbWidth), int(k*look.ThumbHeight))
}

// firstFault is the first thing that is wrong, on one line.
func firstFault(err error) string {
	var faults *scenes.Faults
	if errors.As(err, &faults) && len(faults.List) > 0 {
		f := faults.List[0]
		text := f.Text
		if f.Allowed != "" {
			text += "; allowed: " + f.Allowed
		}
		if n := len(faults.List) - 1; n > 0 {
			text += fmt.Sprintf("; and %d more", n)
		}
		return text
	}
	return err.Error()
}

// figuresOf measures one base.
func figuresOf(ctx context.Context, s *set.Set, p *assembly.Piece, m piece.Result) (f Figures, err error) {
	if _, f.Removed, err = sdf.VolumeBetween(ctx, s.Place.Undamaged(*p), p.Field, p.Box, max(volumeCells*s.Resolution.Cell, set.FinestVolume)); err != nil {
		return f, err
	}
	tones, err := s.Place.Tones(ctx, *p, look.Middles(look.Shown(&m.Solid.Mesh)))
	if err != nil {
		return f, err
	}
	f.Touched, f.top = touchedShare(m.Solid, tones)
	for _, c := range m.Inspection.Findings {
		switch c.Check {
		case "crumb", "filled-void":
			f.Crumbs += c.Count
		case "thin-wall", "thin-pin", "hair":
			if f.Thinnest == nil || c.Value < *f.Thinnest {
				value := c.Value
				f.Thinnest = &value
			}
		}
	}
	t := finding.TallyOf(m.Inspection.Findings)
	f.Stops, f.Warns = t.Stops, t.Warns
	if e := m.Inspection.Estimate; e.Mass > 0 {
		f.Resin = e.Volume / 1000 * e.Material / e.Mass
	}
	return f, nil
}

// touchedShare is how much of what is seen of a solid from above is broken or strewn
// over, and all of it in mm2.
func touchedShare(s *mesh.Solid, tones []assembly.Tone) (share, top float64) {
	touched := 0.0
	for i, t := range s.Triangles {
		a, b, c := s.Vertices[t[0]], s.Vertices[t[1]], s.Vertices[t[2]]
		up := (float64(b[0]-a[0])*float64(c[1]-a[1]) - float64(b[1]-a[1])*float64(c[0]-a[0])) / 2
		if up <= 0 {
			continue
		}
		top += up
		if tones[i] != assembly.Built {
			touched += up
		}
	}
	if top == 0 {
		return 0, 0
	}
	return touched / top, top
}

// sum adds up the bases.
func (o *Outcome) sum() {
	touched := 0.0
	for _, b := range o.Bases {
		o.Total.Removed += b.Removed
		touched += b.Touched * b.top
		o.Total.top += b.top
		o.Total.Crumbs += b.Crumbs
		o.Total.Stops += b.Stops
		o.Total.Warns += b.Warns
		o.Total.Resin += b.Resin
		if b.Thinnest != nil && (o.Total.Thinnest == nil || *b.Thinnest < *o.Total.Thinnest) {
			o.Total.Thinnest = b.Thinnest
		}
	}
	if o.Total.top > 0 {
		o.Total.Touched = touched / o.Total.top
	}
}

// score is what the help of vary says; the least is the best.
func (v *Variation) score(t *Outcome, s *set.Set) float64 {
	score, sum, squares, wanted := 0.0, 0.0, 0.0, 0.0
	least := s.Site.Printer.LeastPin()
	for i, b := range t.Bases {
		is := func(names []string) bool {
			return slices.Contains(names, b.Name) || slices.Contains(names, s.Pieces[i].Base.Name)
		}
		if b.Fault != "" {
			score += stopWeighs
			continue
		}
		score += stopWeighs*float64(b.Stops) + warnWeighs*float64(b.Warns) + crumbWeighs*float64(b.Crumbs)
		if b.Thinnest != nil && *b.Thinnest < least {
			score += thinWeighs
		}
		touched := b.Touched >= leastTouched
		switch {
		case is(v.layouts.Spared):
			if touched {
				score += unfairWeighs
			}
		case len(v.layouts.Focus) == 0 || is(v.layouts.Focus):
			if !touched {
				score += unfairWeighs
			}
			wanted++
			sum += b.Touched
			squares += b.Touched * b.Touched
		}
	}
	if squares > 0 {
		score += unevenWeighs * (1 - sum*sum/(wanted*squares))
	} else if wanted > 0 {
		score += unevenWeighs
	}
	return math.Round(10*score) / 10
}
