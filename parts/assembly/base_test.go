package assembly

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// Simple parts that stand in for real ones.

// testBlow is a damage.
type testBlow struct {
	parts.Named
	cut, throw   sdf.Field
	only, spares []string
}

func (b *testBlow) Throw(*parts.Site) sdf.Field     { return b.throw }
func (b *testBlow) Cut(*parts.Site) sdf.Field       { return b.cut }
func (b *testBlow) Narrow() (only, spares []string) { return b.only, b.spares }

// testSpill is a layer 0.5 mm thick on everything in a box.
type testSpill struct {
	parts.Named
	box sdf.Field
}

func (t *testSpill) Spill(_ *parts.Site, under sdf.Field) sdf.Field {
	return sdf.Intersection(sdf.Offset(under, 0.5), t.box)
}

// testTrim keeps one side of a plane.
type testTrim struct {
	parts.Named
	keep sdf.Field
}

func (t *testTrim) Keep(*parts.Site) sdf.Field { return t.keep }

func init() {
	parts.Register(parts.Kind{Word: "test-blow", Stage: parts.Damaging, Doc: "for tests", New: func() parts.Part { return &testBlow{} }})
	parts.Register(parts.Kind{Word: "test-spill", Stage: parts.Spilling, Doc: "for tests", New: func() parts.Part { return &testSpill{} }})
	parts.Register(parts.Kind{Word: "test-trim", Stage: parts.Trimming, Doc: "for tests", New: func() parts.Part { return &testTrim{} }})
}

func pieceVolume(p Piece, leaf float64) float64 {
	// Cells off the planes and axes that the solids are built on.
	box := r3.Box{Min: r3.Sub(p.Box.Min, sdf.V(0.031, 0.047, 0.053)), Max: r3.Add(p.Box.Max, sdf.V(0.067, 0.041, 0.037))}
	return sdftest.Volume(p.Field, box, leaf)
}

func TestBaseVolumesClosedForms(t *testing.T) {
	// references.md section 9, and section 5 for the pocket. A parallel inset of
	// an ellipse by t has the area A - P t + pi t^2 (Steiner), so the rim of an
	// oval has the volume A h - P T h/2 + pi T^2 h/3 for a taper T.
	const ovalArea, ovalPerimeter = 1649.336143, 151.820579
	plain := func(b *base.Base) { b.Taper, b.Chamfer = 0, 0 }
	for _, c := range []struct {
		name string
		set  func(b *base.Base)
		want float64
	}{
		{"round 32 less a pocket 5.2 x 2.2", func(b *base.Base) {
			plain(b)
			b.Round = new(32.0)
			b.Magnets = []base.Magnet{{Disc: [2]float64{5.05, 2.05}, Count: 1, Clearance: 0.15, Depth: 0.15, Skin: 0.8}}
		}, 3170.269},
		{"round frustum 32 to 30", func(b *base.Base) { b.Round, b.Chamfer = new(32.0), 0 }, 3020.117738},
		{"elliptic cylinder 60 x 35", func(b *base.Base) { plain(b); b.Oval = &[2]float64{60, 35} }, 6597.344573},
		{"oval rim, parallel inset of 1", func(b *base.Base) { b.Oval, b.Chamfer = &[2]float64{60, 35}, 0 },
			ovalArea*4 - ovalPerimeter*2 + math.Pi*4/3},
		{"stadium 60 x 35", func(b *base.Base) { plain(b); b.Stadium = &[2]float64{60, 35} }, 1837.112750 * 4},
		{"rounded rectangle 50 x 25, r 3", func(b *base.Base) { plain(b); b.Rectangle, b.Corner = &[2]float64{50, 25}, 3 }, 1242.274334 * 4},
		{"hexagon 30", func(b *base.Base) { plain(b); b.Hexagon = new(30.0) }, 779.422863 * 4},
		{"square 25", func(b *base.Base) { plain(b); b.Square = new(25.0) }, 2500},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := onePiece(t, fixtures.GroundWith(fixtures.BaseAt("b", c.set)))
			require.InEpsilon(t, c.want, pieceVolume(p, 0.2), 5e-4)
		})
	}
}

// The trap of references.md section 5: the true 1 mm inset of a 60 x 35 ellipse has 1500.66
// mm2, the ellipse with both axes reduced 1503.25.
func TestOvalTopIsAParallelInset(t *testing.T) {
	p := onePiece(t, fixtures.GroundWith(fixtures.BaseAt("b", func(b *base.Base) { b.Oval = &[2]float64{60, 35} })))
	area := 0.0
	const step = 0.05
	for x := -30 + step/2; x < 30; x += step {
		for y := -17.5 + step/2; y < 17.5; y += step {
			if p.Field.Value(sdf.V(x, y, 3.999)) < 0 {
				area += step * step
			}
		}
	}
	require.InDelta(t, 1500.66, area, 0.6)
}

func TestBaseChamferAndFoot(t *testing.T) {
	p := onePiece(t, fixtures.GroundWith(fixtures.BaseAt("b", func(b *base.Base) { b.Round = new(32.0) })))
	require.Less(t, p.Field.Value(sdf.V(15.55, 0, 0.001)), 0.0, "inside the chamfer at the foot")
	require.GreaterOrEqual(t, p.Field.Value(sdf.V(15.65, 0, 0.001)), 0.0, "the chamfer takes 0.4 off the foot")
	require.Less(t, p.Field.Value(sdf.V(15.99, 0, 0.4)), 0.0, "a base of 32 is 32 wide")
	require.GreaterOrEqual(t, p.Field.Value(sdf.V(16.01, 0, 0.4)), 0.0)
	for r := 0.0; r < 15.5; r += 0.7 { // flat at z = 0
		require.InDelta(t, 0, p.Field.Value(sdf.V(r, 0, 0)), 1e-12)
	}
}

func TestDamageLeavesTheFloorAndTheSkin(t *testing.T) {
	pit := &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.BoxBetween(sdf.V(-10, -10, -50), sdf.V(110, 90, 20))}
	s := fixtures.GroundWith(pit, fixtures.BaseAt("b", func(b *base.Base) {
		b.Round = new(40.0)
		b.Magnets = []base.Magnet{fixtures.MagnetOf(5, 2)}
	}))
	p := onePiece(t, s)
	top := func(x, y float64) float64 {
		z := 30.0
		for ; z > 0 && p.Field.Value(sdf.V(x, y, z)) >= 0; z -= 0.01 {
		}
		return z
	}
	const rough = 1.6 * 0.3 // of the least relief of a resin print
	low, high := math.Inf(1), math.Inf(-1)
	for i := range 60 { // beyond the wall about the pocket
		q := parts.Ring(r2.Vec{}, 5+0.2*float64(i), 60)[7*i%60]
		z := top(q.X, q.Y)
		low, high = math.Min(low, z), math.Max(high, z)
	}
	require.GreaterOrEqual(t, low, 1.2-1e-9, "the floor stays though the pit goes through everything")
	require.LessOrEqual(t, high, 1.2+rough+0.011)
	require.Greater(t, high-low, rough/3, "it is rough")
	require.InDelta(t, 2.15+0.8, top(0, 0), 0.011, "the skin stays over the pocket")
	require.InDelta(t, 2.15+0.8, top(2.5, 0), 0.011)
	require.GreaterOrEqual(t, p.Field.Value(sdf.V(0, 0, 2.1)), 0.0, "the pocket is open")
}

func TestRimWhole(t *testing.T) {
	pit := &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.BoxBetween(sdf.V(50, -10, -50), sdf.V(110, 90, 20))}
	for _, rim := range []string{"bitten", "whole"} {
		p := onePiece(t, fixtures.GroundWith(pit, fixtures.BaseAt("b", func(b *base.Base) { b.Round, b.Rim = new(40.0), rim })))
		solid := p.Field.Value(sdf.V(18.6, 0, 3.8)) < 0
		require.Equal(t, rim == "whole", solid, "%s rim at its top edge", rim)
		require.GreaterOrEqual(t, p.Field.Value(sdf.V(15, 0, 3)), 0.0, "the pit is there inside the rim")
	}
}

func TestStandsAreFlatAndClear(t *testing.T) {
	boulder := &partstest.Work{Named: parts.Named{Name: "boulder"}, Made: sdf.Place(sdf.Box(sdf.V(12, 12, 12), 1), sdf.At(sdf.V(54, 40, 12)))}
	pit := &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.BoxBetween(sdf.V(30, 30, 7), sdf.V(50, 60, 40)), spares: []string{"boulder"}}
	spill := &testSpill{parts.Named{Name: "spill"}, sdf.BoxBetween(sdf.V(40, 30, 0), sdf.V(60, 50, 60))}
	s := fixtures.GroundWith(boulder, pit, spill, fixtures.BaseAt("b", func(b *base.Base) {
		b.Round = new(40.0)
		b.Turn = new(30.0)
		b.Stands = []base.Stand{{At: r2.Vec{X: 2, Y: 1}, Round: 12, Height: new(0.5), Clear: 30}}
	}))
	p := onePiece(t, s)
	const pad = 4.5
	for i := range 400 {
		r, a := 5.99*math.Sqrt(float64(i)/400), 2.4*float64(i)
		x, y := 2+r*math.Cos(a), 1+r*math.Sin(a)
		require.InDelta(t, 0, p.Field.Value(sdf.V(x, y, pad)), 1e-9, "the pad is at its height")
		require.Less(t, p.Field.Value(sdf.V(x, y, pad-1e-6)), 0.0, "flat to 1e-6 mm from below")
		for z := pad + 1e-6; z < pad+29.9; z += 0.37 {
			require.GreaterOrEqual(t, p.Field.Value(sdf.V(x, y, z)), 0.0, "clear above")
		}
		for z := 0.05; z < pad; z += 0.2 {
			require.Less(t, p.Field.Value(sdf.V(x, y, z)), 0.0, "filled below")
		}
	}
}

// Every point of a hollow is joined to the outside through air above the plate:
// found by flooding a grid, with the plate closing the foot.
func TestHollowIsNoCup(t *testing.T) {
	for _, c := range []struct {
		name string
		set  func(b *base.Base)
	}{
		{"plain", func(b *base.Base) { b.Round, b.Ribs = new(40.0), 0 }},
		{"ribs", func(b *base.Base) { b.Oval = &[2]float64{60, 35} }},
		{"ribs and magnets", func(b *base.Base) {
			b.Hexagon, b.Ribs, b.Height = new(50.0), 3, 5
			m := fixtures.MagnetOf(5, 2)
			m.Count = 6
			b.Magnets = []base.Magnet{fixtures.MagnetOf(6, 2), m}
		}},
		{"magnet at the wall", func(b *base.Base) {
			b.Stadium, b.Ribs, b.Height = &[2]float64{60, 30}, 1, 4
			m := fixtures.MagnetOf(5, 2)
			m.At = []r2.Vec{{X: 24.5}, {X: -24.5}, {Y: 9}}
			b.Magnets = []base.Magnet{m}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := onePiece(t, fixtures.GroundWith(fixtures.BaseAt("b", func(b *base.Base) { c.set(b); b.Underside = "hollow" })))
			cups, hollow := trappedAir(p, 0.35)
			require.Positive(t, hollow, "there is a hollow")
			require.Zero(t, cups, "cells of air with no way out")
			b := p.Base
			require.Less(t, p.Field.Value(sdf.V(3.3, 1.7, b.Height-0.1)), 0.0, "the roof is there")
		})
	}
}

// trappedAir counts the cells of air inside the footprint below the roof, and
// those of them that no path over the plate joins to the outside.
func trappedAir(p Piece, step float64) (trapped, all int) {
	nx, ny := int((p.Box.Max.X-p.Box.Min.X)/step)+5, int((p.Box.Max.Y-p.Box.Min.Y)/step)+5
	meant := p.Intent(&parts.Site{})
	nz := int(meant.Hollow.Roof / step)
	air := make([]bool, nx*ny*nz)
	for i := range air {
		q := sdf.V(p.Box.Min.X+step*(float64(i%nx)-2), p.Box.Min.Y+step*(float64(i/nx%ny)-2), step*(float64(i/nx/ny)+0.5))
		air[i] = p.Field.Value(q) >= 0
	}
	seen := make([]bool, len(air))
	queue := []int{0} // a corner outside
	seen[0] = true
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		x, y, z := i%nx, i/nx%ny, i/nx/ny
		for _, d := range [6][3]int{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
			u, v, w := x+d[0], y+d[1], z+d[2]
			if u < 0 || v < 0 || w < 0 || u >= nx || v >= ny || w >= nz {
				continue
			}
			if j := u + nx*(v+ny*w); air[j] && !seen[j] {
				seen[j] = true
				queue = append(queue, j)
			}
		}
	}
	shape := p.Base.Footprints()[0].Shape()
	for i := range air {
		x, y := p.Box.Min.X+step*(float64(i%nx)-2), p.Box.Min.Y+step*(float64(i/nx%ny)-2)
		if air[i] && shape.At(r2.Vec{X: x, Y: y}) < -2.5 {
			inPocket := false
			for _, k := range meant.Pockets {
				inPocket = inPocket || r2.Norm(r2.Sub(k.At, r2.Vec{X: x, Y: y})) <= k.Diameter/2+1e-9
			}
			if inPocket {
				continue // closed by its magnet
			}
			all++
			if !seen[i] {
				trapped++
			}
		}
	}
	return trapped, all
}

func TestTrenchShowsAndBedFillsUnderADeck(t *testing.T) {
	ground := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{100, 80}, Level: parts.Level{Height: 10}, Thickness: 1, Surface: "flat", Wavelength: 12,
		Sunk: []ground.Terrace{{Area: parts.Area{Rect: []float64{45, 0, 10, 80}}, Level: parts.Level{Height: 8}, Bank: 90}}}
	s := fixtures.GroundWith(fixtures.BaseAt("b", func(b *base.Base) { b.Round = new(40.0) }))
	s.Parts[0] = ground
	p := onePiece(t, s)
	require.GreaterOrEqual(t, p.Field.Value(sdf.V(0, 0, 2.05)), 0.0, "the trench is open")
	require.Less(t, p.Field.Value(sdf.V(0, 0, 1.95)), 0.0, "down to its floor")
	require.Less(t, p.Field.Value(sdf.V(10, 0, 0.5)), 0.0)

	slab := fixtures.DeckAt(30, 20, 10, 60, 60)
	slab.On, slab.Thickness = "piers", 1.4
	s = fixtures.GroundWith(slab, fixtures.BaseAt("b", func(b *base.Base) { b.Round, b.Level = new(40.0), &parts.Level{Height: 30} }))
	p = onePiece(t, s)
	for z := 0.1; z < 4; z += 0.2 {
		require.Less(t, p.Field.Value(sdf.V(5, 5, z)), 0.0, "solid under a thin slab at %v", z)
	}
}

func TestBaseFaults(t *testing.T) {
	for _, c := range []struct {
		key, text string
		set       func(b *base.Base)
	}{
		{"", "has no footprint", func(b *base.Base) {}},
		{"square", "has a footprint already: round 32", func(b *base.Base) { b.Round, b.Square = new(32.0), new(20.0) }},
		{"oval", "30 mm long", func(b *base.Base) { b.Oval = &[2]float64{30, 40} }},
		{"corner", "no corners", func(b *base.Base) { b.Round, b.Corner = new(32.0), 2 }},
		{"corner", "11 mm", func(b *base.Base) { b.Square, b.Corner = new(20.0), 11 }},
		{"count", "at gives one place", func(b *base.Base) { b.Round, b.Count = new(32.0), 2 }},
		{"floor", "more than the rim is high", func(b *base.Base) { b.Round, b.Floor = new(32.0), 5 }},
		{"top", "lower than the base's own level", func(b *base.Base) { b.Round, b.Top = new(32.0), new(3.0) }},
		{"underside", "too low for a vent", func(b *base.Base) { b.Round, b.Underside, b.Height = new(32.0), "hollow", 3 }},
		{"underside", "mm wide", func(b *base.Base) { b.Round, b.Underside = new(10.0), "hollow"; b.Wall = 2.5 }},
		{"floor", "over a hollow", func(b *base.Base) { b.Round, b.Underside, b.Floor = new(32.0), "hollow", 2 }},
		{"magnet[0].disc", "more than the rim is high", func(b *base.Base) { b.Round = new(32.0); b.Magnets = []base.Magnet{fixtures.MagnetOf(5, 3.5)} }},
		{"magnet[0].at", "to the side of the rim", func(b *base.Base) {
			b.Round = new(32.0)
			m := fixtures.MagnetOf(5, 2)
			m.At = []r2.Vec{{X: 13.5}}
			b.Magnets = []base.Magnet{m}
		}},
		{"magnet[1].at", "between them", func(b *base.Base) {
			b.Round = new(32.0)
			m := fixtures.MagnetOf(5, 2)
			m.At = []r2.Vec{{X: 5}}
			b.Magnets = []base.Magnet{fixtures.MagnetOf(5, 2), m}
		}},
		{"stand[0].round", "beyond the top of the rim", func(b *base.Base) { b.Round = new(32.0); b.Stands = []base.Stand{{Round: 31, Clear: 40}} }},
		{"stand[0].height", "lower than what must be left", func(b *base.Base) {
			b.Round = new(32.0)
			b.Stands = []base.Stand{{Round: 10, Height: new(-3.5), Clear: 40}}
		}},
		{"stand[0].level", "lower than what must be left", func(b *base.Base) {
			b.Round, b.Stands = new(32.0), []base.Stand{{Round: 10, Level: &parts.Level{Height: 6.5}, Clear: 40}}
		}},
		{"stand[0].height", "has a level already", func(b *base.Base) {
			b.Round, b.Stands = new(32.0), []base.Stand{{Round: 10, Level: &parts.Level{Height: 10}, Height: new(0.0), Clear: 40}}
		}},
		{"stand[1].at", "another height", func(b *base.Base) {
			b.Round = new(32.0)
			b.Stands = []base.Stand{{Round: 10, Clear: 40}, {Round: 10, Height: new(1.0), At: r2.Vec{X: 3}, Clear: 40}}
		}},
	} {
		t.Run(fmt.Sprintf("%s %s", c.key, c.text), func(t *testing.T) {
			faults := Check(fixtures.GroundWith(fixtures.BaseAt("b", c.set)))
			require.Len(t, faults, 1)
			require.Equal(t, "b", faults[0].Part)
			require.Equal(t, c.key, faults[0].Key)
			require.Contains(t, faults[0].Text, c.text)
			require.NotEmpty(t, faults[0].Allowed)
		})
	}
}

func TestTallPieceIsAFault(t *testing.T) {
	tower := &partstest.Work{Named: parts.Named{Name: "tower"}, Made: sdf.BoxBetween(sdf.V(55, 40, 5), sdf.V(57, 42, 25))}
	build := func(top float64) error {
		_, err := Assemble(fixtures.GroundWith(tower, fixtures.BaseAt("b", func(b *base.Base) { b.Round, b.Top = new(32.0), &top })))
		return err
	}
	require.NoError(t, build(19)) // the tower stands 15 above the level, at 4
	err := build(18.5)
	require.ErrorContains(t, err, "top")
	require.ErrorContains(t, err, "mm tall")
	var faults *parts.FaultError
	require.ErrorAs(t, err, &faults)
	require.Equal(t, "b", faults.Faults[0].Part)
}
