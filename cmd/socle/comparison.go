package main

import (
	"context"
	"fmt"
	"slices"

	"socle/out/page"
	"socle/parts"
)

// comparison is one comparison under way, and all that came of it.
type comparison struct {
	sides    [2]*compared
	pairs    []pair
	concerns [2][]concern            // of the bases that were made, and of the scenes
	files    *outputs                // nil where none are written
	images   map[string]page.Picture // of the bases that differ, for the page
	report   *comparisonReport
}

// comparisonReport is the JSON document of a comparison. Lengths are in mm.
type comparisonReport struct {
	A     sideReport     `json:"a"`
	B     sideReport     `json:"b"`
	Same  bool           `json:"same"` // every base is the same solid
	Keys  []changedKey   `json:"keys"`
	Bases []comparedBase `json:"bases"`

	Gained []changedFinding `json:"gained"` // of the scene as a whole
	Lost   []changedFinding `json:"lost"`
	Unmade int              `json:"unmade"` // bases that were not made, since nothing of theirs has changed: the tallies leave them out

	Made     string      `json:"made_by"`
	Page     *fileReport `json:"page,omitempty"`
	Document *fileReport `json:"document,omitempty"`
}

// sideReport is one of the two scenes.
type sideReport struct {
	Asked     string  `json:"asked"` // as the command line has it
	Title     string  `json:"title"`
	Variant   string  `json:"variant,omitempty"`
	Revision  string  `json:"revision,omitempty"`
	Commit    string  `json:"commit,omitempty"`
	Setting   string  `json:"setting"`
	Cell      float64 `json:"cell"`
	Tolerance float64 `json:"tolerance"`
	Tally     tally   `json:"tally"` // of what is found on the bases that were made, and in the scene
}

// newComparison begins a comparison of two sides whose bases are cut; of these only the
// named ones, all where none is named.
func newComparison(sides [2]*compared, only []string) (*comparison, error) {
	c := &comparison{sides: sides, report: &comparisonReport{Bases: []comparedBase{}, Made: versionLine(buildInfo())}}
	c.pairs = pairs(sides[0].pieces, sides[1].pieces)
	if err := c.only(only); err != nil {
		return nil, err
	}
	c.report.Keys = keysBetween(sides[0].read, sides[1].read)
	return c, nil
}

// only keeps the bases that are named, by the name of a piece or of a base that makes
// several, in either scene.
func (c *comparison) only(names []string) error {
	if len(names) == 0 {
		return nil
	}
	all := c.pairs
	found := map[string]bool{}
	c.pairs = slices.DeleteFunc(slices.Clone(all), func(p pair) bool {
		keep := false
		for _, piece := range p.pieces {
			for _, name := range names {
				if piece != nil && (piece.Name == name || piece.Base.Name == name) {
					keep, found[name] = true, true
				}
			}
		}
		return !keep
	})
	for _, name := range names {
		if !found[name] {
			return faulty(fmt.Errorf("neither scene has a base %q; they have: %s", name, pairNames(all)))
		}
	}
	return nil
}

func pairNames(all []pair) string {
	pieces := make([]parts.Piece, len(all))
	for i, p := range all {
		pieces[i].Name = p.name
	}
	return pieceNames(pieces)
}

// run makes what has to be made to see, compares it, and writes a page, a document and
// pictures to a folder; "" for none. tell is told of what is found there.
func (c *comparison) run(ctx context.Context, to string, progress Progress, tell func(string)) error {
	if to == "" {
		return c.compare(ctx, progress)
	}
	c.files = &outputs{dir: to, tell: tell}
	defer c.files.discard()
	err := c.files.open() // rather than find out when all is built
	if err != nil {
		return &Failure{NotWritten, err}
	}
	if err := c.compare(ctx, progress); err != nil {
		return err
	}
	if err = c.writeFiles(); err == nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		_, err = c.files.commit()
	}
	if err != nil {
		return &Failure{NotWritten, err}
	}
	return nil
}

// compare makes what has to be made to see, and compares it.
func (c *comparison) compare(ctx context.Context, progress Progress) error {
	var pieces []parts.Piece
	type turn struct{ pair, side int }
	var turns []turn
	var names []string
	for n := range c.pairs {
		p := &c.pairs[n]
		if p.same = c.surelySame(ctx, p); p.same {
			continue
		}
		for side, piece := range p.pieces {
			if piece != nil {
				pieces, turns = append(pieces, *piece), append(turns, turn{n, side})
				names = append(names, piece.Name+" of "+[2]string{"A", "B"}[side])
			}
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	makers := [2]maker{c.sides[0].Maker(nil), c.sides[1].Maker(nil)}
	makes := map[*parts.Piece]maker{}
	for i := range pieces {
		makes[&pieces[i]] = makers[turns[i].side]
	}
	settled := make([]*comparedBase, len(c.pairs))
	bar := progress.Start(Task{What: "building " + plural(len(names), "base", "bases"), Names: names})
	defer bar.Finish()
	var made [2]*meshed
	err := produce(ctx, pieces, func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		return makes[p](ctx, p, progress)
	}, bar.At, func(i int, m meshed) error {
		bar.Made(i, m.kept, m.err)
		n := turns[i].pair
		made[turns[i].side] = &m
		if i+1 < len(turns) && turns[i+1].pair == n {
			return nil // the other side is next
		}
		b, err := c.settle(ctx, &c.pairs[n], made)
		if err == nil && c.files != nil {
			err = c.draw(ctx, &c.pairs[n], b, made)
		}
		settled[n], made = b, [2]*meshed{}
		return err
	})
	if err != nil {
		return err
	}
	for n := range c.pairs {
		if settled[n] == nil {
			if settled[n], err = c.settle(ctx, &c.pairs[n], [2]*meshed{}); err != nil {
				return err
			}
		}
		c.report.Bases = append(c.report.Bases, *settled[n])
	}
	c.complete()
	return ctx.Err()
}

// complete adds what is told of the scenes as a whole.
func (c *comparison) complete() {
	r := c.report
	var measured [2][]concern
	for i, side := range c.sides {
		measured[i] = gather(side.measured())
		*[2]*sideReport{&r.A, &r.B}[i] = sideReport{
			Asked: side.asked, Title: side.site.Title, Variant: side.variant, Revision: side.revision, Commit: side.commit,
			Setting: side.resolution.setting, Cell: side.resolution.cell, Tolerance: side.resolution.tolerance,
			Tally: tallyOf(slices.Concat(c.concerns[i], measured[i])),
		}
	}
	r.Gained, r.Lost = findingsBetween(measured[0], measured[1])
	r.Same = true
	for i := range r.Bases {
		r.Same = r.Same && r.Bases[i].Result == baseSame
		if r.Bases[i].Unmade {
			r.Unmade++
		}
	}
}
