package spill

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/crater"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/built"
	"socle/parts/paving"
)

// BenchmarkSpill lays about 3,000 fragments in and round a crater in paving.
func BenchmarkSpill(b *testing.B) {
	g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{100, 100}, Level: parts.Level{Height: 3}, Thickness: 30, Surface: "flat", Wavelength: 8}
	p := &paving.Paving{Named: parts.Named{Name: "apron"}, Level: parts.Level{Height: 3}, Area: parts.Area{Rect: []float64{0, 0, 100, 100}}, Bond: "running", Wear: 0.4}
	c := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 50, Y: 50}, Diameter: 46, Blanket: 2.5, Slope: 37, Roughness: 0.5}
	d := &Spill{Named: parts.Named{Name: "debris"}, From: "hit", Exponent: 2.5, Sherds: 0.3, Repose: 35, Count: new(3000)}
	s := partstest.Site(g, p, c, d)
	s.Scale.Ratio = 285
	under := built.Struck(s)
	b.Logf("cost under the spill: %d", under.Cost())
	b.ResetTimer()
	for b.Loop() {
		laid := coarse(d.lay(s, under))
		b.ReportMetric(float64(len(laid)), "fragments")
	}
}
