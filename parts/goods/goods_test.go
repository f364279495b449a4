package goods

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// placed are places for one, turned and by a seed.
func placed(seed uint64) setout.Places {
	return setout.Places{Named: parts.Named{Name: "goods"}, At: []r2.Vec{{X: 3, Y: -2}}, Level: &parts.Level{Height: 3}, Turn: 20, Seed: seed}
}

// goods are one of each kind: as large as in life at 1:56, and as small as prints.
func goods(seed uint64) map[string]setout.Thing {
	p := placed(seed)
	return map[string]setout.Thing{
		"crate":          &Crate{Places: p, Length: 16, Width: 10.7, Height: 10.7, Braced: true},
		"plain crate":    &Crate{Places: p, Length: 9, Width: 9, Height: 7},
		"least crate":    &Crate{Places: p, Length: 1, Width: 1, Height: 1, Braced: true},
		"barrel":         &Barrel{Places: p, Height: 15.5, Diameter: 11.6},
		"lying barrel":   &Barrel{Places: p, Height: 15.5, Diameter: 11.6, Lying: true},
		"least barrel":   &Barrel{Places: p, Height: 1, Diameter: 1},
		"pallet":         &Pallet{Places: p, Length: 21.4, Width: 14.3, Height: 2.6, Stacked: 1},
		"stack":          &Pallet{Places: p, Length: 21.4, Width: 14.3, Height: 2.6, Stacked: 3},
		"least pallet":   &Pallet{Places: p, Length: 1, Width: 1, Height: 0.2, Stacked: 2},
		"sacks":          &Sacks{Places: p, Length: 14.3, Width: 8.6, Height: 4.1, Layers: 3},
		"least sacks":    &Sacks{Places: p, Length: 1, Width: 1, Height: 0.3, Layers: 2},
		"cable-drum":     &Reel{Places: p, Diameter: 22.3, Width: 15.9, Wound: 0.6},
		"standing drum":  &Reel{Places: p, Diameter: 22.3, Width: 15.9, Wound: 0.6, Upright: true},
		"least drum":     &Reel{Places: p, Diameter: 1, Width: 1},
		"empty big drum": &Reel{Places: p, Diameter: 40, Width: 20},
	}
}

// Each is one piece that is let into its floor, within its bulk, and its field keeps what
// package sdf promises.
func TestGoodsAreWhole(t *testing.T) {
	for _, seed := range []uint64{1, 7} {
		for name, thing := range goods(seed) {
			t.Run(name, func(t *testing.T) {
				s := partstest.Quarry(56, 1)
				s.Parts = []parts.Part{thing}
				require.Empty(t, thing.(parts.Checker).Check(s))
				f, bulk := thing.(parts.Solider).Solid(s), thing.Bulk(s)
				sdftest.RequireOnePiece(t, f, r3.Box{}, max(0.25, min(0.5, bulk.X/30)))
				sdftest.RequireHonest(t, f, r3.Box{Min: r3.Vec{X: -20, Y: -20, Z: 0}, Max: r3.Vec{X: 25, Y: 20, Z: 20}}, seed)
				box := f.Bounds()
				require.Less(t, box.Min.Z, 3.0, "let into its floor")
				require.LessOrEqual(t, box.Max.Z, 3+bulk.Z+1.2*s.Print.Relief)
				high, onFloor := 0.0, sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), 0))
				for x := -1.0; x <= 1; x += 0.25 {
					for _, y := range []float64{-0.94, -0.7, -0.3, 0, 0.3, 0.94} {
						high = max(high, sdftest.DropOnto(t, onFloor, 3+x*bulk.X/2, -2+y*bulk.Y/2, 60))
					}
				}
				require.InDelta(t, 3+bulk.Z, high, s.Print.Relief+0.2, "its height, dropped onto")
			})
		}
	}
}

// The deck of a pallet has five boards, as the standard gives them, with gaps between.
func TestPalletBoards(t *testing.T) {
	s := partstest.Quarry(20, 1)
	p := &Pallet{Places: placed(1), Length: 60, Width: 40, Height: 7.2, Stacked: 1}
	p.Turn = 0
	s.Parts = []parts.Part{p}
	f := p.Solid(s)
	f = sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), 0))
	boards, inside := 0, false
	for y := -22.0; y <= 18; y += 0.1 {
		on := sdftest.DropOnto(t, f, 3+7, y, 60) > 3+7.2-0.5
		if on && !inside {
			boards++
		}
		inside = on
	}
	require.Equal(t, 5, boards)
}

// Faults name what is wrong with the places.
func TestPlacesFaults(t *testing.T) {
	for _, c := range []struct {
		change func(p *setout.Places)
		key    string
	}{
		{func(p *setout.Places) { p.At = nil }, ""},
		{func(p *setout.Places) { p.Along = []r2.Vec{{}, {X: 9}} }, ""},
		{func(p *setout.Places) { p.Spacing = new(3.0) }, "spacing"},
		{func(p *setout.Places) { p.At, p.Along = nil, []r2.Vec{{}} }, "along"},
		{func(p *setout.Places) { p.At, p.Along = nil, []r2.Vec{{}, {}} }, "along"},
		{func(p *setout.Places) { p.At, p.Along, p.Spacing = nil, []r2.Vec{{}, {X: 900}}, new(0.3) }, "spacing"},
	} {
		s := partstest.Quarry(56, 1)
		k := &Crate{Places: placed(1), Length: 9, Width: 9, Height: 7}
		c.change(&k.Places)
		s.Parts = []parts.Part{k}
		faults := k.Check(s)
		require.Len(t, faults, 1)
		require.Equal(t, c.key, faults[0].Key)
	}
}

// Along a line the first stands at its start and the others a spacing apart, turned with it.
func TestAlongALine(t *testing.T) {
	s := partstest.Quarry(56, 1)
	k := &Crate{Places: placed(1), Length: 6, Width: 5, Height: 5}
	k.At, k.Along, k.Spacing, k.Turn = nil, []r2.Vec{{}, {X: 20}, {X: 20, Y: 30}}, new(10.0), 0
	s.Parts = []parts.Part{k}
	all := k.Extents(s)
	require.Len(t, all, 6)
	for i, at := range []r2.Vec{{}, {X: 10}, {X: 20}, {X: 20, Y: 10}, {X: 20, Y: 20}, {X: 20, Y: 30}} {
		mid := r2.Scale(0.5, r2.Add(all[i].Points[0], all[i].Points[2]))
		require.InDelta(t, 0, r2.Norm(r2.Sub(mid, at)), 1e-9, i)
	}
	require.InDelta(t, 6, all[5].Points[1].Y-all[5].Points[0].Y, 1e-9, "turned with the line")
}
