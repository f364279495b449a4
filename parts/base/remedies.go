package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
)

// Remedies of a base: those of its own underside, rim, stands and pockets, and where
// its edge is near to move it a little.
func (b *Base) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	hollow := b.Underside == "hollow"
	solid := func() {
		if hollow {
			r.Set("underside", "", "solid")
		}
	}
	higher := func() { r.Scaled("height", "a higher rim", b.Height, 1.25, 1.5) }
	whole := func() { r.Set("rim", "", "whole") }
	switch {
	case t.Thin() || t.Of("narrow-gap") || t.Hanging():
		if t.NearEdge() {
			b.moved(r, t)
			whole()
		}
		if hollow && t.Thin() {
			r.Scaled("wall", "a thicker wall round the hollow", b.Wall, 1.25, 1.5)
		}
		if t.Hanging() && hollow {
			r.To("ribs", "more ribs under the roof", b.Ribs+1, b.Ribs+2)
		}
		if t.Hanging() && t.NearEdge() {
			r.Scaled("taper", "a smaller taper", b.Taper, 0.5, 0)
		}
		solid()
	case t.Trapped() || t.Of("vent", "suction"):
		if hollow {
			r.Scaled("vent", "wider vents", b.Vent, 1.3, 1.6)
			higher()
		}
		solid()
	case t.Of("foot"):
		r.Set("chamfer", "", 0.4, 0.6)
	case t.Of("uneven-foot"):
		r.Scaled("floor", "a larger floor", b.Floor, 1.25, 1.6, 2)
	case t.Of("bow"):
		higher()
	case t.Of("skin", "pocket"):
		for i := range b.Magnets {
			m, at := &b.Magnets[i], func(key string) string { return fmt.Sprintf("magnet[%d].%s", i, key) }
			if t.Of("skin") {
				for _, v := range []float64{0.8, 1} { // mm
					if v > m.Skin {
						r.Together(at("skin"), "a thicker skin", []parts.Move{r.Move(at("skin"), v)})
					}
				}
				continue
			}
			for _, by := range []float64{0.05, 0.1} { // mm
				r.Together(at("clearance"), "a larger clearance", []parts.Move{r.Move(at("clearance"), parts.Handy(m.Clearance+by)), r.Move(at("depth"), parts.Handy(m.Depth+by))})
			}
		}
	case t.Of("stand", "rough-stand", "stand-level"):
		b.moveStands(r, t)
	case t.Of("plate"):
		r.Words("", "a smaller footprint or a lower top, or a printer with a larger plate")
	case t.Of("uneven-risers") && t.NearEdge():
		b.moved(r, t)
	}
	return r.All
}

// moved moves the base in the scene, first across its edge at the place. One that has
// no place of its own stays as it is turned; one of several alike is laid elsewhere.
func (b *Base) moved(r *parts.Remedies, t parts.Trouble) {
	const words = "move the base a little, so that its edge does not cut it"
	if b.Count > 1 {
		r.To("seed", "other places for its pieces", b.Seed+1, b.Seed+2)
		return
	}
	middle := t.Piece.Pose.Apply(sdf.V(0, 0, 0))
	place := t.Piece.Pose.Apply(*t.At)
	toEdge := r2.Vec{X: place.X - middle.X, Y: place.Y - middle.Y}
	var tries [][]parts.Move
	for _, to := range parts.Shifted(r2.Vec{X: middle.X, Y: middle.Y}, toEdge) {
		moves := []parts.Move{r.Move("at", [2]float64{to.X, to.Y})}
		if b.At == nil && b.Turn == nil {
			moves = append(moves, r.Move("turn", t.Piece.Turn))
		}
		tries = append(tries, moves)
	}
	r.Together("at", words, tries...)
}

// moveStands moves the stand that is nearest to the place; where there is none it gives one
// there, and in the middle.
func (b *Base) moveStands(r *parts.Remedies, t parts.Trouble) {
	if len(b.Stands) == 0 {
		const words = "a [[base.stand]] for a flat pad"
		if t.Piece == nil || t.At == nil {
			r.Words("stand", words)
			return
		}
		const tenth = 10
		near := func(v float64) float64 { return math.Round(v*tenth) / tenth }
		round := near(FootOn(b.short()))
		// Off the edge, toward the middle: the outline is convex.
		const clear = 0.5 // mm
		place := r2.Vec{X: t.At.X, Y: t.At.Y}
		if short, away := round/2+clear-t.Edge, r2.Norm(place); short > 0 && away > 0 {
			place = r2.Scale(math.Max(0, 1-short/away), place)
		}
		up := near(t.At.Z - b.Height - b.Lift)
		at := parts.ReadablePlace(place)
		here, wide := parts.Setting{Key: "at", Value: [2]float64{at.X, at.Y}}, parts.Setting{Key: "round", Value: round}
		middle := parts.Setting{Key: "at", Value: [2]float64{}}
		for _, stand := range [][]parts.Setting{{here, wide}, {here, wide, {Key: "height", Value: up}}, {middle, wide}} {
			r.Together("stand", words, []parts.Move{r.Move("stand", stand)})
		}
		return
	}
	best, least := 0, math.Inf(1)
	for i := range b.Stands {
		if t.At == nil {
			break
		}
		if d := math.Hypot(b.Stands[i].At.X-t.At.X, b.Stands[i].At.Y-t.At.Y); d < least {
			best, least = i, d
		}
	}
	if t.Of("stand") && b.Stands[best].Face == "laid" {
		r.Set(fmt.Sprintf("stand[%d].face", best), "a smooth pad", "smooth")
	}
	r.Shifts(fmt.Sprintf("stand[%d].at", best), "move the stand a little", b.Stands[best].At, r2.Scale(-1, b.Stands[best].At))
}
