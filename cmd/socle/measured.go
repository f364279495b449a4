package main

import (
	"socle/out/inspect"
	"socle/parts"
)

// measuredReport is what the inspection measured on a base, mm.
type measuredReport struct {
	Raster  gridReport          `json:"raster"` // as fine as it was looked at
	Foot    inspect.FootFit     `json:"foot"`
	Slab    inspect.Slab        `json:"slab"`
	Jump    inspect.Jump        `json:"jump"` // of the area between layers, the largest
	Pockets []inspect.PocketFit `json:"pockets,omitempty"`
	Stands  []inspect.PadFit    `json:"stands,omitempty"`
	Vents   []inspect.VentFit   `json:"vents,omitempty"`
	Flights []flightReport      `json:"flights,omitempty"`
}

// flightReport is a flight as it was measured.
type flightReport struct {
	Stair    string    `json:"stair"`
	Rises    []float64 `json:"rises"`    // between neighbouring treads that could be measured
	Largest  float64   `json:"largest"`  // of the rises
	Smallest float64   `json:"smallest"` // of the rises
}

func measuredReportOf(r *inspect.Result, flights []parts.Flight) measuredReport {
	m := measuredReport{
		Raster: gridReport{r.Grid.Pixel, r.Grid.Layer},
		Foot:   r.Foot, Slab: r.Slab, Jump: r.Jump, Pockets: r.Pockets, Stands: r.Pads, Vents: r.Vents,
	}
	for n, f := range r.Risers {
		m.Flights = append(m.Flights, flightReport{flights[n].Stair.Label(), f.Rises, f.Largest, f.Smallest})
	}
	return m
}

// gridReport is the pixel and the layer of an inspection, mm.
type gridReport struct {
	Pixel float64 `json:"pixel"`
	Layer float64 `json:"layer"`
}
