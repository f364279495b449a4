package assembly

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/crater"
	"socle/parts/deck"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/spill"
	"socle/parts/trim"
	"socle/sdf"
)

// changedBy is what damage added to the only piece of a site and took from it, mm3.
func changedBy(t *testing.T, s *parts.Site, cell float64) (added, taken float64) {
	t.Helper()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	added, taken, err := sdf.VolumeBetween(context.Background(), sc.Undamaged(p), p.Field, p.Box, cell)
	require.NoError(t, err)
	return added, taken
}

// A crater without a rim takes pi D^2 d/8, a paraboloid (Harris and Stocker, Handbook of
// Mathematics and Computational Science (1998), from memory), and adds nothing; one with
// a rim adds what its law says, which is summed up ring by ring.
func TestUndamagedTellsACraterByItsVolume(t *testing.T) {
	s, c := fixtures.CraterSite()
	c.Diameter, c.Depth, c.Rim, c.Slope = 20, new(4.0), new(0.0), 40
	s.Parts = append(s.Parts, fixtures.BaseAt("b", func(b *base.Base) {
		b.At, b.Round, b.Height = &r2.Vec{X: 103, Y: 98}, new(60.0), 8
	}))
	added, taken := changedBy(t, s, 0.5)
	require.Zero(t, added)
	require.InEpsilon(t, math.Pi*20*20*4/8, taken, 3e-3)

	c.Depth, c.Rim = new(4.5), new(1.0)
	c.Slope = 45
	s = s.With(s.Parts)
	// The ejecta at the rim, 0.14 R^0.74 in metres, would be 1.4 mm thick: as thick as the
	// rim is high, at most.
	const steps, radius, rim, featherEdge = 20000, 10.0, 1.0, 0.15
	reach := c.Blanket * radius
	// Inside the crest what is thrown up stands on the bowl, from the level up.
	inner := 3.5 / 4.5 // of the radius, squared
	want := math.Pi * radius * radius * (4.5/2*(1-inner*inner) - 3.5*(1-inner))
	for i := range steps {
		r := radius + (reach-radius)*(float64(i)+0.5)/steps
		high := rim * math.Pow(radius/r, 3)
		if high >= featherEdge {
			want += 2 * math.Pi * r * high * (reach - radius) / steps
		}
	}
	added, taken = changedBy(t, s, 0.5)
	require.InEpsilon(t, want, added, 0.03, "it dives at its feather edge, which is left out of the sum")
	// The bowl below the level: the paraboloid cut off where its depth is 3.5 of 4.5.
	require.InEpsilon(t, math.Pi*20*20*4.5/8*inner*inner, taken, 3e-3)
}

// What stays as it was does so to the bit: a scene without damage is its own, whatever
// its base; debris alone adds, and damage spares what it is told to.
func TestUndamagedOfWholeGround(t *testing.T) {
	round := func(set func(b *base.Base)) *base.Base {
		return fixtures.BaseAt("b", func(b *base.Base) {
			b.Round = new(40.0)
			set(b)
		})
	}
	for name, b := range map[string]*base.Base{
		"solid":  round(func(*base.Base) {}),
		"whole":  round(func(b *base.Base) { b.Rim = "whole" }),
		"hollow": round(func(b *base.Base) { b.Underside, b.Magnets = "hollow", []base.Magnet{fixtures.MagnetOf(5, 1)} }),
		"stand": round(func(b *base.Base) {
			b.Stands = []base.Stand{{At: r2.Vec{X: 3}, Round: 10, Height: new(1.0), Clear: 20}}
		}),
	} {
		paved := &paving.Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10}, Area: parts.Area{Rect: []float64{20, 20, 60, 50}}, Bond: "running",
			Stone: &[2]float64{6, 4}, Thickness: new(1.2), Wear: 0.7, Seed: 3}
		low := &trim.Trim{Named: parts.Named{Name: "low"}, Top: &parts.Level{Height: 9.9}}
		added, taken := changedBy(t, fixtures.GroundWith(b, paved, low), 1.5)
		require.Zero(t, added, name)
		require.Zero(t, taken, name)

		debris := &spill.Spill{Named: parts.Named{Name: "debris"}, Area: &parts.Area{Rect: []float64{45, 35, 10, 10}},
			Amount: new(0.3), Size: &[2]float64{1, 3}, Exponent: 2.5, Repose: 35, Seed: 2}
		added, taken = changedBy(t, fixtures.GroundWith(b, paved, debris), 1.5)
		require.Greater(t, added, 1.0, name)
		require.Zero(t, taken, name)

		hit := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 50, Y: 40}, Diameter: 14, Slope: 37, Blanket: 2.5, Roughness: 0.6, Seed: 4,
			Narrowing: parts.Narrowing{Spares: []string{"flags", "ground", "b"}}, Rim: new(0.0)}
		// It may touch this, which is too far away.
		yonder := &deck.Deck{Named: parts.Named{Name: "yonder"}, Level: parts.Level{Height: 12}, Area: parts.Area{Rect: []float64{0, 0, 8, 8}}, On: "solid"}
		added, taken = changedBy(t, fixtures.GroundWith(b, paved, hit, yonder), 1.5)
		require.Zero(t, added, name)
		require.Zero(t, taken, name)
	}
}

// Of a shelled court, with its rim left whole or not, damage takes and debris adds; and
// the piece as it would be is the one that the scene without either gives.
func TestUndamagedOfAShelledCourt(t *testing.T) {
	for _, rim := range []string{"bitten", "whole"} {
		sc := shelledScene(t, rim)
		s, p := sc.site, sc.Pieces()[0]
		whole := sc.Undamaged(p)
		added, taken, err := sdf.VolumeBetween(context.Background(), whole, p.Field, p.Box, 1.5)
		require.NoError(t, err)
		require.Greater(t, added, 5.0)
		require.Greater(t, taken, 50.0)

		var sound []parts.Part
		for _, part := range s.Parts {
			if st := parts.StageOf(part); st != parts.Damaging && st != parts.Spilling {
				sound = append(sound, part)
			}
		}
		again := assembled(t, s.With(sound))
		bare := again.Pieces()[0].Field
		added, taken, err = sdf.VolumeBetween(context.Background(), whole, bare, p.Box, 1.5)
		require.NoError(t, err)
		require.Zero(t, added)
		require.Zero(t, taken)
	}

	alone := sdf.Sphere(2) // which no scene has cut
	require.Equal(t, alone, (&Scene{}).Undamaged(Piece{Field: alone}))
}
