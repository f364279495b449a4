package inspect

// Kind is what was found.
type Kind int

const (
	// Island is a region of a layer with nothing beneath it in the layer below.
	// Value: its area, mm2.
	Island Kind = iota
	// Overhang is a part of a layer that stands out over the layer below. Value:
	// how far, mm.
	Overhang
	// Bridge is a part of a layer that spans from one side to another over the
	// layer below. Value: the span, mm.
	Bridge
	// SealedVoid is empty space with no way out. Value: its volume, mm3.
	SealedVoid
	// LiddedVoid is empty space with no way out once the plate covers the
	// underside. Value: its volume, mm3.
	LiddedVoid
)

// Finding is one thing that the printer may stumble over.
type Finding struct {
	Kind  Kind
	At    [3]float64 // the middle of a pixel of it, mm; on the underside of its layer where it is one layer's
	Size  [3]float64 // the sides of its box, mm
	Layer int        // the layer of At
	Value float64    // as its kind says
}
