package main

import (
	"context"
	"fmt"

	"socle/parts"
	"socle/sdf/mesh"
)

// neckRounds is how often a piece is made again to mend its necks, at most: a
// bar or a cut may leave others, and what is left after that is told.
const neckRounds = 3

// maker gives what makes a piece of the scene: meshed, proven, seen to fit and
// inspected; where the scene asks for it, with its necks mended, and all of it
// done again.
func (s *scene) maker(o mesh.Options) maker {
	o.KeepLoose = s.site.Inspect.Crumbs == "keep"
	meshing := mesher(o)
	return guarded(func(ctx context.Context, p *parts.Piece, progress func(float64)) meshed {
		once := func(p *parts.Piece) meshed {
			m := meshing(ctx, p, progress)
			if m.err == nil {
				m.err = fits(p, m.solid)
			}
			if m.err == nil {
				m.inspection, m.err = s.inspect(ctx, p, m.solid)
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
			done = append(done, told...)
			seconds := m.seconds
			m = once(&mended)
			m.seconds += seconds
			piece = mended
		}
		if m.err == nil {
			m.inspection.concerns = gather(append(done, m.inspection.concerns...))
		}
		return m
	})
}

// mendNecks gives a piece with its necks cut or made stout, as the scene asks, and
// what is told of that; false where the scene leaves them as they are.
func (s *scene) mendNecks(p parts.Piece, i *inspection) (parts.Piece, []concern, bool) {
	least := s.site.Printer.LeastPin()
	var word string
	switch s.site.Inspect.Neck {
	case "cut":
		p, word = p.Severed(i.necks, least), "cut off"
	case "thicken":
		const play = 1.2 // the raster sees a bar to a pixel
		p, word = p.Braced(s.site, i.necks, play*least), "made stout"
	default:
		return p, nil, false
	}
	var told []concern
	for _, c := range i.concerns {
		if c.Check == "neck" {
			c.Severity = parts.SeverityNote
			c.Meaning = fmt.Sprintf("it was %s, as the scene asks", word)
			c.What = fmt.Sprintf("%s: %s", word, c.What)
			c.Key, c.Change = "", ""
			told = append(told, c)
		}
	}
	return p, told, true
}
