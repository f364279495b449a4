package fieldwork

import (
	"testing"

	"socle/parts"
	"socle/parts/partstest/printed"
	"socle/parts/setout"
	"socle/sdf"
)

// Bags, whole and in ruins, begin nowhere in the air: not beside the joints of those below.
func TestBagsRestOnBags(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		ratio, ruin float64
		bond        string
		seed        uint64
	}{
		"headers": {56, 0, "headers", 1}, "stretchers": {72, 0, "stretchers", 2}, "ruin": {56, 0.5, "headers", 4},
	} {
		t.Run(name, func(t *testing.T) {
			w := &Sandbags{Bond: c.bond, Ruin: c.ruin}
			s := site(c.ratio, w)
			w.Line = lineTo(s, c.seed, 900, 600)
			w.Level = &parts.Level{Height: 0}
			w.Height, w.Length, w.Width, w.Thickness = s.OnPrint(600), s.OnPrint(500), s.OnPrint(250), s.OnPrint(120)
			printed.RequireNothingHangs(t, w.Solid(s), 0.15, 1.5)
		})
	}
}

// The braces of a trestle rise from leg to leg: they begin nowhere in the air, at any scale.
func TestTrestlesAreBraced(t *testing.T) {
	t.Parallel()
	for _, ratio := range []float64{56, 285} {
		p := &Trestle{Places: setout.Places{Named: parts.Named{Name: "work"}, Seed: 3}}
		s := site(ratio, p)
		p.Length, p.Height, p.Spread, p.Pole, p.Leg = s.OnPrint(2000), s.OnPrint(1100), s.OnPrint(750), s.OnPrint(120), s.OnPrint(100)
		f := p.Body(s, setout.Spot{Foot: -1, Seed: 3})
		box := f.Bounds()
		box.Max.Z = 0.85 * (p.settled(s).high - p.settled(s).pole) // the pole itself spans from frame to frame
		printed.RequireNothingHangs(t, sdf.Intersection(f, sdf.BoxBetween(box.Min, box.Max)), 0.15, 1.5)
	}
}

// The rods of wattle begin at its core, however it leans.
func TestWattleBeginsAtItsCore(t *testing.T) {
	t.Parallel()
	for _, lean := range []float64{0, 10} {
		v := &Revetment{Of: ofWattle, Lean: lean, Wear: 0.3}
		s := site(56, v)
		v.Line = lineTo(s, 5, 500)
		v.Level = &parts.Level{Height: 0}
		v.Height, v.Stake, v.Spacing = s.OnPrint(420), s.OnPrint(80), s.OnPrint(500)
		printed.RequireNothingHangs(t, v.Solid(s), 0.15, 2)
	}
}
