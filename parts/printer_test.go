package parts

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestPrinterSizesThatFollow goes to both sides of what follows from another size:
// references.md section 7.
func TestPrinterSizesThatFollow(t *testing.T) {
	resin, filament := Printer{Process: "resin", Pin: 0.8, Wall: 1}, Printer{Process: "filament", Pin: 3, Wall: 1.2}
	require.Equal(t, 0.5, resin.JoinedWall())
	require.Equal(t, 0.8, filament.JoinedWall())
	require.Equal(t, 0.5, resin.LeastPin())
	require.Equal(t, 0.4, filament.LeastPin(), "the usual nozzle")
	require.InDelta(t, 0.44, filament.LineWidth(), 1e-12)

	filament.Nozzle = new(0.6)
	require.Equal(t, 0.6, filament.LeastPin())
	require.InDelta(t, 0.66, filament.LineWidth(), 1e-12)
	filament.Line = new(0.5)
	require.Equal(t, 0.5, filament.LineWidth())

	resin.Wall, resin.Pin = 0.4, 0.3
	require.Equal(t, 0.4, resin.JoinedWall(), "no more than a free-standing wall")
	require.Equal(t, 0.3, resin.LeastPin(), "no more than a pin")
	resin.Joined, resin.Hair = new(0.35), new(0.2)
	require.Equal(t, 0.35, resin.JoinedWall())
	require.Equal(t, 0.2, resin.LeastPin())
}

// TestDrawn: relief is drawn at the larger of the two, so that it shows whichever
// way it goes.
func TestDrawn(t *testing.T) {
	p := Printer{Pin: 0.7, Wall: 1.1, Gap: 0.2, Emboss: 0.4, Engrave: 0.25}
	require.Equal(t, Print{Pin: 0.7, Wall: 1.1, Gap: 0.2, Relief: 0.4}, p.Drawn())
	p.Engrave = 0.5
	require.Equal(t, 0.5, p.Drawn().Relief)
}

// TestPrinterKeysThatDoNotGoTogether: each fault is of a key that was given, and a
// printer of the other process takes the same key.
func TestPrinterKeysThatDoNotGoTogether(t *testing.T) {
	for key, set := range map[string]func(*Printer){
		"pixel": func(p *Printer) { p.Pixel = new(0.05) }, "exposure": func(p *Printer) { p.Exposure = new(2.0) },
		"first-exposure": func(p *Printer) { p.FirstExposure = new(30.0) }, "lift": func(p *Printer) { p.Lift = new(6.0) },
		"nozzle": func(p *Printer) { p.Nozzle = new(0.4) }, "speed": func(p *Printer) { p.Speed = new(60.0) },
		"line": func(p *Printer) { p.Line = new(0.45) },
	} {
		faults := 0
		for _, process := range []string{"resin", "vat photopolymerisation", "filament", "material extrusion"} {
			p := Printer{Process: process, Pin: 1, Wall: 1}
			require.Empty(t, p.Check())
			set(&p)
			for _, f := range p.Check() {
				require.Equal(t, key, f.Key)
				require.NotEmpty(t, f.Allowed)
				faults++
			}
		}
		require.Equal(t, 2, faults, "%s: of one process, by both of its words", key)
	}
}

// TestPrinterLimitsOfOneSizeByAnother goes to both sides of each.
func TestPrinterLimitsOfOneSizeByAnother(t *testing.T) {
	for _, c := range []struct {
		key        string
		good, poor Printer
	}{
		{"layer", Printer{Layer: new(0.2), Pin: 1, Wall: 1}, Printer{Layer: new(0.201), Pin: 1, Wall: 1}},
		{"layer", Printer{Process: "filament", Nozzle: new(0.3), Layer: new(0.3)}, Printer{Process: "filament", Nozzle: new(0.3), Layer: new(0.301)}},
		{"joined", Printer{Wall: 1, Joined: new(1.0)}, Printer{Wall: 1, Joined: new(1.01)}},
		{"hair", Printer{Pin: 0.8, Hair: new(0.8)}, Printer{Pin: 0.8, Hair: new(0.81)}},
	} {
		require.Empty(t, c.good.Check(), c.key)
		found := c.poor.Check()
		require.Len(t, found, 1, c.key)
		require.Equal(t, c.key, found[0].Key)
	}
}

func TestMaterialPriceNeedsACurrency(t *testing.T) {
	require.Empty(t, Material{}.Check())
	require.Empty(t, Material{Currency: "EUR"}.Check())
	require.Empty(t, Material{Currency: "EUR", Price: new(0.0)}.Check())
	found := Material{Price: new(30.0)}.Check()
	require.Len(t, found, 1)
	require.Equal(t, "price", found[0].Key)
}
