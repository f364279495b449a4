package piece

import (
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/parts"
	"socle/parts/assembly"
)

// neckRounds is how often a piece is made again to mend its necks, at most: a
// bar or a cut may leave others, and what is left after that is told.
const neckRounds = 3

// MakerFor gives what makes a piece of the set and, unless renderer is nil, draws it.
func MakerFor(s *set.Set, renderer *look.Renderer) Maker {
	maker := inspecting(s, renderer)
	if s.Cache != nil {
		return Suggesting(s, cached(s, maker, renderer))
	}
	return Suggesting(s, drawing(maker, renderer))
}

// inspecting gives what makes a piece of the set: meshed, proven, seen to fit and
// inspected; where the scene asks for it, with its necks mended, and all of it
// done again. Where somebody waits for its first picture, that is drawn before all else.
func inspecting(s *set.Set, renderer *look.Renderer) Maker {
	return Guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) Result {
		if err := renderer.FirstSight(ctx, p, s.MeshOptions(p).Cell); err != nil {
			return Result{Err: err}
		}
		once := func(p *assembly.Piece) Result {
			o := s.MeshOptions(p)
			m := meshPiece(ctx, p, o, progress)
			if m.Err == nil {
				m.Err = inspection.Fits(p, m.Solid)
			}
			if m.Err == nil {
				m.Inspection, m.Err = inspection.Inspect(ctx, s, p, m.Solid, o)
			}
			return m
		}
		m := once(p)
		piece := *p
		var done []finding.Finding
		for round := 0; m.Err == nil && round < neckRounds && len(m.Inspection.Necks) > 0; round++ {
			mended, notes, ok := mendNecks(s, piece, m.Inspection)
			if !ok {
				break
			}
			done = appendNew(done, notes, s.Site.Printer.Pin)
			seconds := m.Seconds
			m = once(&mended)
			m.Seconds += seconds
			piece = mended
		}
		if m.Err == nil {
			m.Inspection.Finish(done)
		}
		return m
	})
}

// drawing gives a maker that draws what another has made, as renderer draws it; nil draws
// nothing. Of a piece that could not be made nothing is drawn.
func drawing(maker Maker, renderer *look.Renderer) Maker {
	if renderer == nil {
		return maker
	}
	return Guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) Result {
		const meshing = 0.7 // of the time, roughly
		m := maker(ctx, p, func(done float64) { progress(meshing * done) })
		if m.Err == nil {
			m.Drawn, m.Err = m.draw(ctx, p, renderer)
		}
		return m
	})
}

// draw draws a piece that was made.
func (m *Result) draw(ctx context.Context, p *assembly.Piece, renderer *look.Renderer) (*look.Drawn, error) {
	var found []finding.Finding
	if m.Inspection != nil {
		found = m.Inspection.Findings
	}
	return renderer.Draw(ctx, p, m.Solid, found)
}

// Suggesting gives a maker that says of what is found which keys may clear it. That
// depends on more of the scene than the solid does, and is never kept.
func Suggesting(s *set.Set, maker Maker) Maker {
	return func(ctx context.Context, p *assembly.Piece, progress func(float64)) Result {
		m := maker(ctx, p, progress)
		if m.Err == nil && m.Inspection != nil {
			inspection.Suggest(s, p, m.Inspection.Findings)
		}
		return m
	}
}

// appendNew appends those findings that are not about a place already known: within
// so many mm of one, what was left of a neck is cut again.
func appendNew(known, more []finding.Finding, near float64) []finding.Finding {
	for _, f := range more {
		if !slices.ContainsFunc(known, func(o finding.Finding) bool {
			return r3.Norm(r3.Sub(finding.Vec(*o.At), finding.Vec(*f.At))) < near
		}) {
			known = append(known, f)
		}
	}
	return known
}

// mendNecks gives a piece with its necks cut or made stout, as the scene asks, and
// notes of that; false where it is left as it is. A bit that is held in
// several ways is not cut off: it does not come loose by one cut, and what the
// inspection says of it stands.
func mendNecks(s *set.Set, p assembly.Piece, i *inspection.Inspection) (assembly.Piece, []finding.Finding, bool) {
	least := s.Site.Printer.LeastPin()
	cut := s.Site.Inspect.Neck == "cut"
	if !cut && s.Site.Inspect.Neck != "thicken" {
		return p, nil, false
	}
	word := "made stout"
	if cut {
		word = "cut off"
	}
	var necks []assembly.Neck
	var notes []finding.Finding
	for _, n := range i.Necks {
		if cut && n.Ways > 1 {
			continue
		}
		necks = append(necks, n.Neck)
		f := n.Finding
		f.Severity = parts.SeverityNote
		f.Meaning = "it was " + word + ", as the scene asks"
		f.What = word + ": " + f.What
		f.Settled = true
		notes = append(notes, f)
	}
	switch {
	case len(necks) == 0:
		return p, nil, false
	case cut:
		return p.Severed(necks, least), notes, true
	}
	const play = 1.2 // the raster sees a bar to a pixel
	return p.Braced(s.Site, necks, play*least), notes, true
}
