package piece

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/sdf"
	"socle/sdf/mesh"
)

// blocks are n pieces, each a plain block of its own height.
func blocks(n int) (pieces []assembly.Piece) {
	for i := range n {
		top := sdf.V(6, 5, 2+float64(i))
		box := sdf.BoxBetween(sdf.V(-6, -5, 0), top)
		pieces = append(pieces, assembly.Piece{Name: "block", Base: &base.Base{}, Field: box, Box: r3.Box{Min: sdf.V(-6, -5, 0), Max: top}})
	}
	return pieces
}

// plainly gives a maker that does no more than mesh.
func plainly(o mesh.Options) Maker {
	return Guarded(func(ctx context.Context, p *assembly.Piece, progress func(float64)) Result {
		return meshPiece(ctx, p, set.OptionsFor(p, o), progress)
	})
}

func TestProduceKeepsTheOrder(t *testing.T) {
	pieces := blocks(6)
	var mu sync.Mutex
	reached := make([]float64, len(pieces))
	progress := func(i int, done float64) {
		mu.Lock()
		defer mu.Unlock()
		reached[i] = max(reached[i], done)
	}
	var order []int
	err := Produce(t.Context(), pieces, plainly(mesh.Options{Cell: 1}), progress, func(i int, m Result) error {
		require.NoError(t, m.Err)
		require.InEpsilon(t, 12*10*(2+float64(i)), m.Solid.Proof.Volume, 1e-6)
		order = append(order, i)
		return nil
	})
	require.NoError(t, err)
	require.Equal(t, []int{0, 1, 2, 3, 4, 5}, order)
	for _, done := range reached {
		require.Equal(t, 1.0, done)
	}
}

func TestProduceHoldsFewSolids(t *testing.T) {
	pieces := blocks(8)
	var delivered, furthest atomic.Int64
	progress := func(i int, _ float64) {
		if ahead := int64(i) - delivered.Load(); ahead > furthest.Load() {
			furthest.Store(ahead)
		}
	}
	err := Produce(t.Context(), pieces, plainly(mesh.Options{Cell: 1}), progress, func(int, Result) error {
		delivered.Add(1)
		return nil
	})
	require.NoError(t, err)
	require.Less(t, furthest.Load(), int64(atOnce+1))
}

// brokenField breaks down when it is asked for its bounds.
type brokenField struct{ sdf.Field }

func (brokenField) Bounds() r3.Box { panic("broken") }

func TestProduceOutlivesABreakdown(t *testing.T) {
	pieces := blocks(3)
	pieces[1] = assembly.Piece{Name: "broken", Base: &base.Base{}, Field: brokenField{pieces[1].Field}}
	var faults []error
	err := Produce(t.Context(), pieces, plainly(mesh.Options{Cell: 1}), func(int, float64) {}, func(_ int, m Result) error {
		faults = append(faults, m.Err)
		return nil
	})
	require.NoError(t, err)
	require.Len(t, faults, 3)
	require.NoError(t, faults[0])
	require.ErrorContains(t, faults[1], "the fault is in socle, not in the scene: broken")
	require.NoError(t, faults[2])
}

func TestProduceStops(t *testing.T) {
	quiet := func(int, float64) {}
	t.Run("at a fault of delivery", func(t *testing.T) {
		fault := errors.New("no room left")
		calls := 0
		err := Produce(t.Context(), blocks(5), plainly(mesh.Options{Cell: 1}), quiet, func(int, Result) error {
			calls++
			return fault
		})
		require.ErrorIs(t, err, fault)
		require.Equal(t, 1, calls)
	})
	t.Run("when broken off", func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		calls := 0
		err := Produce(ctx, blocks(5), plainly(mesh.Options{Cell: 1}), quiet, func(int, Result) error {
			calls++
			cancel()
			return nil
		})
		require.ErrorIs(t, err, context.Canceled)
		require.Less(t, calls, 5)
	})
}
