package wild

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/printed"
	"socle/parts/setout"
)

// The bark of a log begins nowhere in the air.
func TestBarkBeginsOnTheLog(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ratio, long, thick float64
		ends               string
	}{{56, 1600, 520, sawn}, {56, 900, 300, broken}} {
		s := partstest.Quarry(c.ratio, 1)
		l := &Log{Places: setout.Places{Named: parts.Named{Name: "it"}, At: []r2.Vec{{}}, Seed: 2}, Length: s.OnPrint(c.long), Diameter: s.OnPrint(c.thick),
			Taper: 0.8, Ends: c.ends}
		s.Parts = []parts.Part{l}
		printed.RequireNothingHangs(t, l.Body(s, setout.Spot{Foot: -1, Seed: 4}), 0.15, 2.5)
	}
}
