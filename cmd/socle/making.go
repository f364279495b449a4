package main

import (
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
)

// neckRounds is how often a piece is made again to mend its necks, at most: a
// bar or a cut may leave others, and what is left after that is told.
const neckRounds = 3

// Maker gives what makes a piece of the set and, unless draws is nil, draws it.
func (s *Set) Maker(draws *artist) maker {
	do := s.inspecting()
	if s.cache != nil {
		return s.suggesting(s.keeping(do, draws))
	}
	return s.suggesting(drawing(do, draws))
}

// inspecting gives what makes a piece of the set: meshed, proven, seen to fit and
// inspected; where the scene asks for it, with its necks mended, and all of it
// done again.
func (s *Set) inspecting() maker {
	return guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		once := func(p *parts.Piece) meshed {
			o := s.meshOptions(p)
			m := meshPiece(ctx, p, o, progress)
			if m.err == nil {
				m.err = fits(p, m.solid)
			}
			if m.err == nil {
				m.inspection, m.err = s.inspect(ctx, p, m.solid, o)
			}
			return m
		}
		m := once(p)
		piece := *p
		var done []concern
		for round := 0; m.err == nil && round < neckRounds && len(m.inspection.necks) > 0; round++ {
			mended, told, ok := s.mendNecks(piece, m.inspection)
			if !ok {
				break
			}
			done = appendNew(done, told, s.site.Printer.Pin)
			seconds := m.seconds
			m = once(&mended)
			m.seconds += seconds
			piece = mended
		}
		if m.err == nil {
			m.inspection.settle(done)
		}
		return m
	})
}

// drawing gives a maker that draws what another has made, as draws draws it; nil draws
// nothing. Of a piece that could not be made nothing is drawn.
func drawing(do maker, draws *artist) maker {
	if draws == nil {
		return do
	}
	return guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		const meshing = 0.7 // of the time, roughly
		m := do(ctx, p, func(done float64) { progress(meshing * done) })
		if m.err == nil {
			m.look, m.err = m.drawn(ctx, p, draws)
		}
		return m
	})
}

// drawn draws a piece that was made.
func (m *meshed) drawn(ctx context.Context, p *parts.Piece, draws *artist) (*look, error) {
	var found []concern
	if m.inspection != nil {
		found = m.inspection.concerns
	}
	return draws.draw(ctx, p, m.solid, found)
}

// suggesting gives a maker that says of what is found which keys may clear it. That
// depends on more of the scene than the solid does, and is never kept.
func (s *Set) suggesting(do maker) maker {
	return func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		m := do(ctx, p, progress)
		if m.err == nil && m.inspection != nil {
			s.suggest(p, m.inspection.concerns)
		}
		return m
	}
}

// appendNew appends those concerns that are not about a place told already: within
// so many mm of one, what was left of a neck is cut again.
func appendNew(told, more []concern, near float64) []concern {
	for _, c := range more {
		if !slices.ContainsFunc(told, func(o concern) bool {
			return r3.Norm(r3.Sub(vec(*o.At), vec(*c.At))) < near
		}) {
			told = append(told, c)
		}
	}
	return told
}

// mendNecks gives a piece with its necks cut or made stout, as the scene asks, and
// what is told of that; false where it is left as it is. A bit that is held in
// several ways is not cut off: it does not come loose by one cut, and what the
// inspection says of it stands.
func (s *Set) mendNecks(p parts.Piece, i *inspection) (parts.Piece, []concern, bool) {
	least := s.site.Printer.LeastPin()
	cut := s.site.Inspect.Neck == "cut"
	if !cut && s.site.Inspect.Neck != "thicken" {
		return p, nil, false
	}
	word := "made stout"
	if cut {
		word = "cut off"
	}
	var necks []parts.Neck
	var told []concern
	for _, n := range i.necks {
		if cut && n.Ways > 1 {
			continue
		}
		necks = append(necks, n.Neck)
		c := n.concern
		c.Severity = parts.SeverityNote
		c.Meaning = "it was " + word + ", as the scene asks"
		c.What = word + ": " + c.What
		c.Settled = true
		told = append(told, c)
	}
	switch {
	case len(necks) == 0:
		return p, nil, false
	case cut:
		return p.Severed(necks, least), told, true
	}
	const play = 1.2 // the raster sees a bar to a pixel
	return p.Braced(s.site, necks, play*least), told, true
}
