// Package compare compares the bases of two scenes: the values that changed, the solids
// byte by byte, the volumes that were added and taken away, and the findings.
package compare

import (
	"context"
	"fmt"
	"slices"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/page"
	"socle/parts/assembly"
)

// Comparison is one comparison under way, and all that came of it.
type Comparison struct {
	Sides    [2]*Side
	pairs    []pair
	findings [2][]finding.Finding    // of the bases that were made, and of the scenes
	files    *output.Folder          // nil where none are written
	images   map[string]page.Picture // of the bases that differ, for the page
	Report   *Report
}

// Report is the JSON document of a comparison. Lengths are in mm.
type Report struct {
	A     sideReport   `json:"a"`
	B     sideReport   `json:"b"`
	Same  bool         `json:"same"` // every base is the same solid
	Keys  []ChangedKey `json:"keys"`
	Bases []Base       `json:"bases"`

	Gained []ChangedFinding `json:"gained"` // of the scene as a whole
	Lost   []ChangedFinding `json:"lost"`
	Unmade int              `json:"unmade"` // bases that were not made, since nothing of theirs has changed: the tallies leave them out

	Made     string       `json:"made_by"`
	Page     *output.File `json:"page,omitempty"`
	Document *output.File `json:"document,omitempty"`
}

// sideReport is one of the two scenes.
type sideReport struct {
	Asked     string        `json:"asked"` // as the command line has it
	Title     string        `json:"title"`
	Variant   string        `json:"variant,omitempty"`
	Revision  string        `json:"revision,omitempty"`
	Commit    string        `json:"commit,omitempty"`
	Setting   string        `json:"setting"`
	Cell      float64       `json:"cell"`
	Tolerance float64       `json:"tolerance"`
	Tally     finding.Tally `json:"tally"` // of what is found on the bases that were made, and in the scene
}

// New begins a comparison of two sides whose bases are cut; of these only the
// named ones, all where none is named.
func New(sides [2]*Side, only []string) (*Comparison, error) {
	c := &Comparison{Sides: sides, Report: &Report{Bases: []Base{}, Made: cache.VersionLine(cache.BuildInfo())}}
	c.pairs = pairs(sides[0].Pieces, sides[1].Pieces)
	if err := c.keepOnly(only); err != nil {
		return nil, err
	}
	c.Report.Keys = keysBetween(sides[0].Read, sides[1].Read)
	return c, nil
}

// keepOnly keeps the bases that are named, by the name of a piece or of a base that makes
// several, in either scene.
func (c *Comparison) keepOnly(names []string) error {
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
			return set.AsFaulty(fmt.Errorf("neither scene has a base %q; they have: %s", name, pairNames(all)))
		}
	}
	return nil
}

func pairNames(all []pair) string {
	pieces := make([]assembly.Piece, len(all))
	for i, p := range all {
		pieces[i].Name = p.name
	}
	return set.ListNames(pieces)
}

// Run makes what has to be made to see, compares it, and writes a page, a document and
// pictures to a folder; "" for none. tell is told of what is found there.
func (c *Comparison) Run(ctx context.Context, to string, progress set.Progress, tell func(string)) error {
	if to == "" {
		return c.compare(ctx, progress)
	}
	c.files = &output.Folder{Path: to, Tell: tell}
	defer c.files.Discard()
	err := c.files.Open() // rather than find out when all is built
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	if err := c.compare(ctx, progress); err != nil {
		return err
	}
	if err = c.writeFiles(); err == nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		_, err = c.files.Commit()
	}
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	return nil
}

// compare makes what has to be made to see, and compares it.
func (c *Comparison) compare(ctx context.Context, progress set.Progress) error {
	var pieces []assembly.Piece
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
	makers := [2]piece.Maker{piece.MakerFor(c.Sides[0].Set, nil), piece.MakerFor(c.Sides[1].Set, nil)}
	makes := map[*assembly.Piece]piece.Maker{}
	for i := range pieces {
		makes[&pieces[i]] = makers[turns[i].side]
	}
	settled := make([]*Base, len(c.pairs))
	bar := progress.Start(set.Task{What: "building " + words.Count(len(names), "base", "bases"), Names: names})
	defer bar.Finish()
	var made [2]*piece.Result
	err := piece.Produce(ctx, pieces, func(ctx context.Context, p *assembly.Piece, progress func(float64)) piece.Result {
		return makes[p](ctx, p, progress)
	}, bar.At, func(i int, m piece.Result) error {
		bar.Made(i, m.Kept, m.Err)
		n := turns[i].pair
		made[turns[i].side] = &m
		if i+1 < len(turns) && turns[i+1].pair == n {
			return nil // the other side is next
		}
		b, err := c.compareBase(ctx, &c.pairs[n], made)
		if err == nil && c.files != nil {
			err = c.draw(ctx, &c.pairs[n], b, made)
		}
		settled[n], made = b, [2]*piece.Result{}
		return err
	})
	if err != nil {
		return err
	}
	for n := range c.pairs {
		if settled[n] == nil {
			if settled[n], err = c.compareBase(ctx, &c.pairs[n], [2]*piece.Result{}); err != nil {
				return err
			}
		}
		c.Report.Bases = append(c.Report.Bases, *settled[n])
	}
	c.complete()
	return ctx.Err()
}

// complete adds what is told of the scenes as a whole.
func (c *Comparison) complete() {
	r := c.Report
	var measured [2][]finding.Finding
	for i, side := range c.Sides {
		measured[i] = finding.Join(inspection.OutOfScale(side.Set))
		*[2]*sideReport{&r.A, &r.B}[i] = sideReport{
			Asked: side.asked, Title: side.Site.Title, Variant: side.variant, Revision: side.revision, Commit: side.commit,
			Setting: side.Resolution.Setting, Cell: side.Resolution.Cell, Tolerance: side.Resolution.Tolerance,
			Tally: finding.TallyOf(slices.Concat(c.findings[i], measured[i])),
		}
	}
	r.Gained, r.Lost = findingsBetween(measured[0], measured[1])
	r.Same = true
	for i := range r.Bases {
		r.Same = r.Same && r.Bases[i].Result == Same
		if r.Bases[i].Unmade {
			r.Unmade++
		}
	}
}
