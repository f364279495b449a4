package look

import (
	"context"

	"socle/out/picture"
	"socle/parts/assembly"
	"socle/sdf/sight"
)

// Seen is shown the first picture of a base, nil where there is none without the inspection;
// from any goroutine.
type Seen func(p *assembly.Piece, first *Shot)

// Tell shows the first picture to whoever is to see it.
func (r *Renderer) Tell(p *assembly.Piece, d *Drawn) {
	switch {
	case r.Seen == nil:
	case len(d.Shots) == 0:
		r.Seen(p, nil)
	default:
		r.shown.Store(true)
		r.Seen(p, &d.Shots[0])
	}
}

// FirstSight draws the first picture of a base before it is meshed, from a look at it in cells
// of so many mm, and shows it to whoever is to see it. It does nothing where nobody is, or one
// was shown already.
func (r *Renderer) FirstSight(ctx context.Context, p *assembly.Piece, cell float64) error {
	if r == nil || r.Seen == nil || r.shown.Load() {
		return nil
	}
	b, err := r.atASight(ctx, p, cell)
	if err != nil {
		return err
	}
	for _, draw := range b.ofBase() {
		if len(b.drawn.Shots) > 0 {
			break
		}
		if err := b.do(draw); err != nil {
			return err
		}
	}
	r.Tell(p, b.drawn)
	return nil
}

// Sketch draws a base that is never meshed, from a look at it in cells of so many mm.
func (r *Renderer) Sketch(ctx context.Context, p *assembly.Piece, cell float64) (*Drawn, error) {
	b, err := r.atASight(ctx, p, cell)
	if err != nil {
		return nil, err
	}
	return b.drawn, b.all()
}

// atASight sets a base up to be drawn from a look at it.
func (r *Renderer) atASight(ctx context.Context, p *assembly.Piece, cell float64) (*baseRenderer, error) {
	cubes, _, err := r.Sights.Of(ctx, p.Field, sight.Options{Cell: cell, Box: p.Box})
	if err != nil {
		return nil, err
	}
	vertices, triangles := sight.Join(cubes)
	return r.newBase(ctx, p, picture.Mesh{Vertices: vertices, Triangles: triangles, Solid: true})
}
