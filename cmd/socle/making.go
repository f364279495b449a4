package main

import (
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/assembly"
	"socle/sdf/mesh"
)

// neckRounds is how often a piece is made again to mend its necks, at most: a
// bar or a cut may leave others, and what is left after that is told.
const neckRounds = 3

// makerOf gives what makes a piece of the scene and, unless draws is nil, draws it.
func (s *scene) makerOf(fineness resolution, draws *artist) maker {
	do := s.maker(fineness.options())
	if s.cache != nil {
		return s.suggesting(s.cache.keeping(s, do, fineness, draws))
	}
	return s.suggesting(draws.after(do))
}

// keepsLoose says whether loose pieces stay, as the scene asks.
func (s *scene) keepsLoose() bool { return s.site.Inspect.Crumbs == "keep" }

// maker gives what makes a piece of the scene: meshed, proven, seen to fit and
// inspected; where the scene asks for it, with its necks mended, and all of it
// done again.
func (s *scene) maker(o mesh.Options) maker {
	o.KeepLoose = s.keepsLoose()
	meshing := mesher(o)
	return guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		once := func(p *assembly.Piece) meshed {
			m := meshing(ctx, p, progress)
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
func (s *scene) mendNecks(p assembly.Piece, i *inspection) (assembly.Piece, []concern, bool) {
	least := s.site.Printer.LeastPin()
	cut := s.site.Inspect.Neck == "cut"
	if !cut && s.site.Inspect.Neck != "thicken" {
		return p, nil, false
	}
	word := "made stout"
	if cut {
		word = "cut off"
	}
	var necks []assembly.Neck
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
