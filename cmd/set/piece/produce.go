// Package piece makes one piece of a set: meshed, proven, inspected, drawn, or taken from
// the cache. Produce makes several in order, few at once.
package piece

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"time"

	"socle/cmd/set/inspection"
	"socle/cmd/set/look"
	"socle/parts/assembly"
	"socle/sdf/mesh"
)

// Result is one piece after meshing: a proven solid, or why there is none.
type Result struct {
	Solid      *mesh.Solid
	Inspection *inspection.Inspection // nil where it was not inspected
	Drawn      *look.Drawn            // nil where it was not drawn
	Err        error
	Kept       bool    // taken from the cache
	Seconds    float64 // of meshing; 0 where it was kept
}

// Maker makes one piece and tells of the share that is done.
type Maker func(ctx context.Context, p *assembly.Piece, progress func(done float64)) Result

// atOnce is how many pieces are meshed at the same time. Meshing one uses every
// processor for most of its time; a second fills the rest. More would only take
// memory.
const atOnce = 2

// Produce makes the pieces and hands each to deliver in their order. No more
// than atOnce solids are in memory, those that wait for their turn included.
// progress is told of the share of each piece that is done, from several
// goroutines. It ends early, with all meshing over, when ctx ends or deliver
// gives an error.
func Produce(ctx context.Context, pieces []assembly.Piece, maker Maker, progress func(i int, done float64), deliver func(i int, m Result) error) error {
	ctx, cancel := context.WithCancel(ctx)
	room := make(chan struct{}, min(atOnce, runtime.GOMAXPROCS(0)))
	results := make([]chan Result, len(pieces))
	for i := range results {
		results[i] = make(chan Result, 1)
	}
	var work sync.WaitGroup
	defer work.Wait()
	defer cancel()
	work.Go(func() {
		for i := range pieces {
			select {
			case room <- struct{}{}:
			case <-ctx.Done():
				return
			}
			work.Go(func() {
				results[i] <- maker(ctx, &pieces[i], func(done float64) { progress(i, done) })
			})
		}
	})
	for i := range pieces {
		select {
		case m := <-results[i]:
			if m.Err != nil && ctx.Err() != nil && errors.Is(m.Err, ctx.Err()) {
				return ctx.Err()
			}
			if err := deliver(i, m); err != nil {
				return err
			}
			<-room
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return ctx.Err()
}

// meshPiece meshes one piece and does no more.
func meshPiece(ctx context.Context, p *assembly.Piece, o mesh.Options, progress func(float64)) Result {
	start := time.Now()
	o.Progress = progress
	solid, err := mesh.Build(ctx, p.Field, o)
	return Result{Solid: solid, Err: err, Seconds: time.Since(start).Seconds()}
}

// Guarded gives a maker that tells of a breakdown as a piece which could not be
// proven, so that the files that were begun are removed.
func Guarded(maker Maker) Maker {
	return func(ctx context.Context, p *assembly.Piece, progress func(float64)) (m Result) {
		defer func() {
			if fault := recover(); fault != nil {
				m = Result{Err: fmt.Errorf("socle failed while it made this; the fault is in socle, not in the scene: %v", fault)}
			}
		}()
		return maker(ctx, p, progress)
	}
}
