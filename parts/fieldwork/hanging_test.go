package fieldwork

import (
	"testing"

	"socle/parts"
	"socle/parts/partstest/printed"
)

// Bags, whole and in ruins, begin nowhere in the air: not beside the joints of those below.
func TestBagsRestOnBags(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		ratio, ruin float64
		bond        string
		seed        uint64
	}{
		"headers": {56, 0, "headers", 1}, "stretchers": {72, 0, "stretchers", 2}, "ruin": {56, 0.5, "headers", 4}, "another": {56, 0.3, "headers", 7},
	} {
		t.Run(name, func(t *testing.T) {
			w := &Sandbags{Bond: c.bond, Ruin: c.ruin}
			s := site(c.ratio, w)
			w.Line = lineTo(s, c.seed, 1100, 800)
			w.Level = &parts.Level{Height: 0}
			w.Height, w.Length, w.Width, w.Thickness = s.OnPrint(600), s.OnPrint(500), s.OnPrint(250), s.OnPrint(120)
			printed.RequireNothingHangs(t, w.Solid(s), 0.15, 1.5)
		})
	}
}
