package parts

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// BenchmarkSpill lays about 3,000 fragments in and round a crater in paving.
func BenchmarkSpill(b *testing.B) {
	g := &Ground{Named: Named{"ground"}, Size: [2]float64{100, 100}, Level: Level{Height: 3}, Thickness: 30, Surface: "flat", Wavelength: 8}
	p := &Paving{Named: Named{"apron"}, Level: Level{Height: 3}, Area: Area{Rect: []float64{0, 0, 100, 100}}, Bond: "running", Wear: 0.4}
	c := &Crater{Named: Named{"hit"}, At: r2.Vec{X: 50, Y: 50}, Diameter: 46, Blanket: 2.5, Slope: 37, Roughness: 0.5}
	d := &Spill{Named: Named{"debris"}, From: "hit", Exponent: 2.5, Sherds: 0.3, Repose: 35, Count: new(3000)}
	s := plainSite(g, p, c, d)
	s.Scale.Ratio = 285
	under := damaged(s)
	b.Logf("cost under the spill: %d", under.Cost())
	b.ResetTimer()
	for b.Loop() {
		_, laid := d.lay(s, under)
		b.ReportMetric(float64(len(laid)), "fragments")
	}
}
