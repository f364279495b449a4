package inspect

import "math"

// Stock is the material that solids are made of.
type Stock struct {
	Density  float64  // of the finished part, g/cm3
	Supports float64  // share of the part's volume that its supports take
	Waste    float64  // share of all that is printed which is lost: drips, washing, failures
	Price    *float64 // for a kg, in whatever money; nil where none is given
}

// Pace is what the time of a print follows from.
type Pace struct {
	Layer float64 // mm

	// Resin: all layers take the lift, the first ones their own exposure.
	Exposure, FirstExposure float64 // s
	FirstLayers             int
	Lift                    float64 // s, for all between two exposures

	// Filament: a line of a width is laid at a speed; 0 for resin.
	Speed float64 // mm/s
	Line  float64 // mm

	Assumed []string // which of these are usual ones, and nobody's own
}

// Estimate is what a print takes.
type Estimate struct {
	Volume   float64  `json:"volume_mm3"`         // of the solid
	Mass     float64  `json:"mass_g"`             // of the part
	Material float64  `json:"material_g"`         // used, supports and waste included
	Layers   int      `json:"layers"`             // of the printer
	Seconds  float64  `json:"seconds"`            // printing alone: no warming, washing or curing
	Assumed  []string `json:"assumed,omitempty"`  // what the time rests on that nobody gave: "lift 6 s"
	Cost     *float64 `json:"cost,omitempty"`     // of the material
	Currency string   `json:"currency,omitempty"` // as the scene has it
}

// EstimateOf gives what a solid of a volume, in mm3, and a height, in mm, takes.
//
// Mass is volume / 1000 x density; the supports are a share of the part and the
// waste one of both (shares: common practice, no source). With resin, time is
// that of the exposures and lifts of all layers, whatever is on the plate. With
// filament it is that of laying the whole volume, supports too, as one solid
// line, without travel.
func EstimateOf(volume, height float64, s Stock, p Pace) Estimate {
	const mm3PerCm3, gPerKg = 1000, 1000
	const rounding = 1e-6 // of a layer: a height of whole layers is not one more
	e := Estimate{
		Volume: volume,
		Mass:   volume / mm3PerCm3 * s.Density,
		Layers: int(math.Ceil(height/p.Layer - rounding)),
	}
	e.Material = e.Mass * (1 + s.Supports) * (1 + s.Waste)
	if s.Price != nil {
		cost := e.Material / gPerKg * *s.Price
		e.Cost = &cost
	}
	e.Assumed = p.Assumed
	if p.Speed > 0 {
		e.Seconds = volume * (1 + s.Supports) / (p.Line * p.Layer * p.Speed)
		return e
	}
	first := min(p.FirstLayers, e.Layers)
	e.Seconds = float64(first)*p.FirstExposure + float64(e.Layers-first)*p.Exposure + float64(e.Layers)*p.Lift
	return e
}
