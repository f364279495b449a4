package parts

import "gonum.org/v1/gonum/spatial/r2"

// BaseAt is a base with every default, at (50, 40) unless set changes that.
func BaseAt(name string, set func(b *Base)) *Base {
	b := &Base{Named: Named{name}, At: &r2.Vec{X: 50, Y: 40}, Count: 1, Gap: 1, Seed: 1,
		Height: 4, Taper: 1, Chamfer: 0.4, Floor: 1.2, Rim: "bitten", Underside: "solid",
		Wall: 2, Roof: 1.5, Ribs: 2, Vent: 3}
	set(b)
	return b
}

func MagnetOf(d, h float64) Magnet {
	return Magnet{Disc: [2]float64{d, h}, Count: 1, Clearance: 0.15, Depth: 0.15, Skin: 0.8}
}

// GroundWith is flat ground of 100 x 80 mm at level 10 with the parts on it.
func GroundWith(work ...Part) *Site {
	ground := &Ground{Named: Named{"ground"}, Size: [2]float64{100, 80}, Level: Level{Height: 10}, Thickness: 30, Surface: "flat", Wavelength: 12, Seed: 1}
	return &Site{Scale: Scale{Ratio: 56, Person: 1.75, Exaggerate: 1}, Print: Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3},
		Seed: 7, Parts: append([]Part{ground}, work...)}
}

// DeckAt is a solid deck at a level over a rectangle.
func DeckAt(level float64, rect ...float64) *Deck {
	return &Deck{Named: Named{"deck"}, Level: Level{Height: level}, Area: Area{Rect: rect},
		Thickness: 2, On: "solid", Pier: 2, Spacing: 14, Inset: 1, Soffit: "flat", Edge: "plain", Kerb: 1, Upstand: 0.5}
}

// FlightOf is a plain stair with the catalogue's defaults where they matter.
func FlightOf(from, to float64) *Stair {
	return &Stair{
		Named: Named{"stair"}, From: Level{Height: from}, To: Level{Height: to},
		Foot: &r2.Vec{}, Facing: 90, Width: 30, Profile: "comfort", Side: "solid", Flanks: "none",
		Waist: 1, Cheek: 1, Upstand: 0.5, Seed: 1,
	}
}

// FlatGround is a plot of 60 x 40 mm at level 3.
func FlatGround() *Ground {
	return &Ground{Named: Named{"ground"}, Size: [2]float64{60, 40}, Level: Level{Height: 3}, Thickness: 30, Surface: "flat", Wavelength: 8}
}

// CraterSite is a plain crater in the middle of flat ground of 200 x 200 mm.
func CraterSite() (*Site, *Crater) {
	g := &Ground{Named: Named{"ground"}, Size: [2]float64{200, 200}, Level: Level{Height: 3}, Thickness: 40, Surface: "flat", Wavelength: 8}
	c := &Crater{Named: Named{"hit"}, At: r2.Vec{X: 100, Y: 100}, Diameter: 40, Blanket: 2.5, Slope: 37,
		Cracks: new(0), Spall: new(0), Seed: 1}
	return plainSite(g, c), c
}

// GougeSite is a plain gouge in the middle of such ground.
func GougeSite() (*Site, *Gouge) {
	s, _ := CraterSite()
	g := &Gouge{Named: Named{"scar"}, From: &r2.Vec{X: 60, Y: 100}, To: &r2.Vec{X: 140, Y: 100}, Width: 8, Depth: 3, Profile: "u", Seed: 1}
	s.Parts = []Part{s.Parts[0], g}
	return s, g
}

// FlagsOf is a paving of a known size for the tests below.
func FlagsOf(name string, wear float64, seed uint64) *Paving {
	return &Paving{
		Named: Named{name}, Level: Level{Height: 3}, Area: Area{Rect: []float64{0, 0, 40, 30}},
		Bond: "running", Stone: &[2]float64{5, 3}, Wear: wear, Seed: seed,
	}
}
