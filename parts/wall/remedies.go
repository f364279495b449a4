package wall

import (
	"math"

	"socle/parts"
)

// Remedies of a wall.
func (w *Wall) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(w)
	thicker := func() { r.Scaled("thickness", "a thicker wall", math.Max(w.Thickness, s.Print.Wall), 1.15, 1.3, 1.6) }
	lessRuin := func() {
		r.Scaled("ruin", "less ruin", w.Ruin, 0.75, 0.5, 0)
		r.Seeds(w.Seed)
	}
	plain := func() { r.Set("coursing", "", "none") }
	openings := func(words string) {
		if len(w.Openings) > 0 {
			r.Words("opening", words)
		}
	}
	switch {
	case t.Thin():
		r.Scaled("wear", "less wear", w.Wear, 0.5, 0)
		if w.Ruin > 0 {
			lessRuin()
		}
		thicker()
		openings("fewer or narrower openings, further apart")
		plain()
	case t.Of("narrow-gap"):
		openings("wider openings, or none")
		plain()
	case t.Of("shallow-relief", "unit"):
		plain()
	case t.Hanging():
		r.Set("coping", "", "none")
		if w.Ruin > 0 {
			lessRuin()
		}
		openings("a lower or narrower opening")
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the wall, or the stand")
	}
	return r.All
}

// Remedies of a breach.
func (b *Breach) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	along := func(words string) {
		var values []any
		for _, by := range []float64{1, -1, 2.5, -2.5, 5, -5} {
			values = append(values, r.Within("at", parts.Handy(b.At+by)))
		}
		r.To("at", words, values...)
	}
	switch {
	case t.Thin() || t.Hanging() || t.Trapped() || t.Of("narrow-gap"):
		r.Scaled("roughness", "less roughness", b.Roughness, 0.5, 0)
		r.Scaled("width", "a little wider or narrower", b.Width, 1.1, 0.9, 1.25)
		r.Scaled("height", "a little more or less height", b.Height, 1.15, 0.85)
		if t.Hanging() {
			r.Scaled("slope", "another slope", b.Slope, 1.2, 0.8)
		}
		r.Seeds(b.Seed)
	case t.Of("shallow-relief"):
		r.Set("roughness", "", 0.0)
	case t.Of("uneven-foot"):
		r.To("sill", "a sill", s.Printer.Wall, 2*s.Printer.Wall)
	case t.Of("uneven-risers", "stand", "rough-stand"):
		if len(b.Only) == 0 {
			r.Set("only", "", []string{b.Wall})
		}
	default:
		return nil
	}
	along("move it along the wall")
	return r.All
}
