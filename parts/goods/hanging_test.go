package goods

import (
	"testing"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/printed"
	"socle/parts/setout"
)

// What lies or stands on its round side begins nowhere in the air, and boards span nothing.
func TestGoodsBeginOnSomething(t *testing.T) {
	t.Parallel()
	p := placed(4)
	for name, k := range map[string]setout.Thing{
		"cable-drum":    &Reel{Places: p, Diameter: 22.3, Width: 15.9, Wound: 0.6},
		"full drum":     &Reel{Places: p, Diameter: 9, Width: 6.2, Wound: 1},
		"standing drum": &Reel{Places: p, Diameter: 16, Width: 10.7, Wound: 0.6, Upright: true},
		"empty drum":    &Reel{Places: p, Diameter: 16, Width: 10.7, Upright: true},
		"small drum":    &Reel{Places: p, Diameter: 4.4, Width: 3.1, Wound: 0.6, Upright: true},
		"pallets":       &Pallet{Places: p, Length: 21.4, Width: 14.3, Height: 2.6, Stacked: 2},
		"large pallet":  &Pallet{Places: p, Length: 30, Width: 24, Height: 4, Stacked: 1},
	} {
		t.Run(name, func(t *testing.T) {
			s := partstest.Quarry(56, 1)
			s.Parts = []parts.Part{k}
			printed.RequireNothingHangs(t, k.Body(s, setout.Spot{Foot: -1, Seed: 3}), 0.15, 1.5)
		})
	}
}
