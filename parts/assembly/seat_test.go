package assembly

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/ground"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// flagsAt is worn paving at the level of the ground of fixtures.
func flagsAt(seed uint64, wear float64, rect ...float64) *paving.Paving {
	return &paving.Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10}, Area: parts.Area{Rect: rect},
		Bond: "random", Wear: wear, Seed: seed}
}

// standOf is a base with one laid stand of 12 mm in its middle.
func standOf(face string) *base.Base {
	return fixtures.BaseAt("b", func(b *base.Base) {
		b.Round, b.Stands = new(40.0), []base.Stand{{Round: 12, Clear: 20, Face: face}}
	})
}

// topOver is the highest of a piece over a place, from a height down.
func topOver(p Piece, at r2.Vec, from float64) float64 {
	z := from
	for range 4000 {
		d := p.Field.Value(sdf.V(at.X, at.Y, z))
		if d < 1e-5 {
			return z
		}
		z -= d
	}
	return math.Inf(-1)
}

// Under a foot the stones of a worn paving lie at the level and no joint is deeper than
// told; those that reach out beyond the pad lie true as far as they go, unless they are
// struck.
func TestStonesGoOnUnderAFoot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		flags := flagsAt(rapid.Uint64Range(1, 1e6).Draw(t, "seed"), rapid.Float64Range(0.3, 1).Draw(t, "wear"), 0, 0, 100, 80)
		flags.Surface = new(rapid.SampledFrom([]string{"rubbed", "tooled", "rock-faced", "domed", "brick", "concrete", "boards", "plate", "plain"}).Draw(t, "surface"))
		s := fixtures.GroundWith(flags, standOf("laid"))
		sc, err := Assemble(s)
		require.NoError(t, err)
		p := sc.pieces[0]
		pad := p.Intent(s).Pads[0]
		require.InDelta(t, s.SeatJoint(), pad.Joint, 0)
		at, n := 0, 0
		for i := range 120 { // evenly over the pad, along a spiral
			r, a := 5.8*math.Sqrt(float64(i)/120), 2.4*float64(i)
			top := topOver(p, r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}, pad.Top+2)
			require.LessOrEqual(t, top, pad.Top+1e-4)
			require.GreaterOrEqual(t, top, pad.Top-pad.Joint-1e-4)
			if n++; top > pad.Top-1e-3 {
				at++
			}
		}
		require.Greater(t, float64(at), 0.1*float64(n), "a good part of it bears")
	})
}

// The fields of stands are honest, on stones and on open ground, and of what is asked for
// smooth nothing has changed: it is a drum.
func TestStandsAreHonest(t *testing.T) {
	rough := func() *parts.Site {
		s := fixtures.GroundWith(standOf("laid"))
		g := s.Parts[0].(*ground.Ground)
		g.Surface = "uneven"
		return s
	}
	for _, s := range []*parts.Site{
		fixtures.GroundWith(flagsAt(3, 0.6, 0, 0, 100, 80), standOf("laid")),
		fixtures.GroundWith(flagsAt(3, 0.6, 0, 0, 52, 80), standOf("laid")),
		rough()} {
		p := onePiece(t, s)
		sdftest.RequireHonest(t, p.Field, r3.Box{Min: sdf.V(-9, -9, 3), Max: sdf.V(9, 9, 5)}, 1)
	}
	s := fixtures.GroundWith(flagsAt(3, 0.6, 0, 0, 100, 80), standOf("smooth"))
	p := onePiece(t, s)
	require.Zero(t, p.Intent(s).Pads[0].Joint)
	for _, q := range parts.Ring(r2.Vec{}, 5.9, 40) {
		require.InDelta(t, 4, topOver(p, q, 6), 1e-4)
	}
}

// Open ground that dips beside a stand comes up to it: nowhere does the pad end in a step,
// and where no floor lies at its height it is smooth.
func TestNoStandStandsProud(t *testing.T) {
	s := fixtures.GroundWith(standOf("laid"))
	g := s.Parts[0].(*ground.Ground)
	g.Surface, g.Amplitude = "uneven", new(0.8)
	p := onePiece(t, s)
	for _, q := range parts.Ring(r2.Vec{}, 1, 60) {
		before := topOver(p, r2.Scale(5.9, q), 6)
		for r := 6.0; r < 8; r += 0.1 {
			top := topOver(p, r2.Scale(r, q), 6)
			require.Less(t, math.Abs(top-before), 0.15, "within a tenth of a mm, on ground with dips of 0.8")
			before = top
		}
	}
	up := standOf("laid")
	up.Stands[0].Height = new(1.0)
	s = fixtures.GroundWith(up)
	require.Zero(t, onePiece(t, s).Intent(s).Pads[0].Joint)
}
