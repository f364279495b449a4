package inspection

import (
	"socle/out/inspect"
	"socle/parts/assembly"
)

// Measured is what the inspection measured on a base, mm.
type Measured struct {
	Raster  grid                `json:"raster"` // as fine as it was looked at
	Bare    inspect.Bareness    `json:"bare"`
	Foot    inspect.FootFit     `json:"foot"`
	Slab    inspect.Slab        `json:"slab"`
	Jump    inspect.Jump        `json:"jump"` // of the area between layers, the largest
	Pockets []inspect.PocketFit `json:"pockets,omitempty"`
	Stands  []inspect.PadFit    `json:"stands,omitempty"`
	Vents   []inspect.VentFit   `json:"vents,omitempty"`
	Flights []flight            `json:"flights,omitempty"`
}

// flight is a flight as it was measured.
type flight struct {
	Stair    string    `json:"stair"`
	Rises    []float64 `json:"rises"`    // between neighbouring treads that could be measured
	Largest  float64   `json:"largest"`  // of the rises
	Smallest float64   `json:"smallest"` // of the rises
}

func measuredOf(r *inspect.Result, flights []assembly.ShownFlight) Measured {
	m := Measured{
		Raster: grid{r.Grid.Pixel, r.Grid.Layer},
		Bare:   r.Bare, Foot: r.Foot, Slab: r.Slab, Jump: r.Jump, Pockets: r.Pockets, Stands: r.Pads, Vents: r.Vents,
	}
	for n, f := range r.Risers {
		m.Flights = append(m.Flights, flight{flights[n].Stair.Label(), f.Rises, f.Largest, f.Smallest})
	}
	return m
}

// grid is the pixel and the layer of an inspection, mm.
type grid struct {
	Pixel float64 `json:"pixel"`
	Layer float64 `json:"layer"`
}
