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
	// SlowDrain is a room whose widest way out is too narrow for resin. Value: its
	// width, mm; Volume: of the room, mm3; Ways: how many there are.
	SlowDrain
	// Neck is a bit that hangs on the rest by less than the least thickness.
	// Value: the thickness of the neck, mm; Volume: that of the bit, mm3.
	Neck
	// ThinWall is a wall, slab or shell under the least thickness. Value: its
	// thickness, mm; Free tells which least it was held against.
	ThinWall
	// ThinPin is a pin, post or bar under the least thickness. Value: its
	// thickness, mm; Length: how far it runs, mm.
	ThinPin
	// Hair is a ThinPin so thin that it may not form at all.
	Hair
	// SlenderPin is a pin that is long for its thickness. Value: its length over
	// its thickness; Length: how far it runs, mm.
	SlenderPin
	// NarrowGap is a gap under the least width that stays open. Value: its width, mm.
	NarrowGap
	// ShallowRelief is a groove or a raised mark under the least depth that shows.
	// Value: its depth, mm.
	ShallowRelief
	// NarrowVent is a way out of a hollow that is too small to drain. Value: its
	// width, mm.
	NarrowVent
	// NoVent is a hollow, open to the plate alone, that ought to have more vents.
	// Value: how many it has.
	NoVent
	// Suction is a jump of the area from one layer to the next. Value: by how
	// much, mm2.
	Suction
	// FootEdge is a foot without the chamfer that the swelling of the first
	// layers asks for. Value: its height, mm.
	FootEdge
	// UnevenFoot is an underside that is not flat. Value: the most that it lies
	// off the plate, mm.
	UnevenFoot
	// Bow is a slab so thin and wide that it may bow as it cures. Value: its
	// thickness, mm; Length: its span, mm.
	Bow
	// OverPlate is a solid too large for the plate, or too tall. Value: by how
	// much, mm.
	OverPlate
	// TightPocket is a magnet pocket too narrow or too shallow for its magnet, or
	// loose round it; Measure tells its diameter from its depth. Value: by how much
	// it is too small, mm; less than 0 where it is too large.
	TightPocket
	// ThinSkin is too little left over a magnet pocket. Value: the skin, mm.
	ThinSkin
	// UnevenStand is a stand that is not flat, not level or not at its height;
	// Measure tells which. Value: by how much, mm.
	UnevenStand
	// BlockedStand is a stand with something over it. Value: how high it is clear, mm.
	BlockedStand
	// SunkStand is a stand that is cut into what is beside it. Value: how much of
	// that stands over it, at the worst place, mm; Length: along how much of its rim.
	SunkStand
	// RaisedStand is a stand that stands up over what is beside it. Value: by how
	// much, at the worst place, mm; Length: along how much of its rim.
	RaisedStand
	// RoughStand is relief, where a figure would stand, that is too high for it
	// to sit. Value: the height of it, mm.
	RoughStand
	// UnevenRisers is a flight whose risers, measured, differ. Value: the largest
	// less the smallest, mm.
	UnevenRisers
	// BareTop is a top that is dead flat. Value: the share of it; At and Size: of the
	// largest flat patch.
	BareTop
)

// Finding is one thing that the printer may stumble over.
type Finding struct {
	Kind  Kind
	At    [3]float64 // the middle of a pixel of it, or the place measured, mm; on the underside of its layer where it is one layer's
	Size  [3]float64 // the sides of its box, mm
	Layer int        // the layer of At, where it is one layer's
	Value float64    // as its kind says
	Limit float64    // what the value was held against; 0 where the caller judges

	Length float64 // of a pin, a span or a stretch of a rim, mm
	Volume float64 // of a bit or a room, mm3
	Free   bool    // of a wall: joined on one side at most
	Which  int     // of pockets, stands, vents or flights: its number in what was asked; of relief: how many marks
	Meant  bool    // of a stand's rim: the floor that was meant there is at its height, or it is a plinth
	Raised bool    // of relief: it stands up, else it is a groove

	Area    float64 // of a LiddedVoid: what the plate covers of it, mm2
	Measure Measure // of a pocket, a stand, its rim or an OverPlate: which of its measures Value is

	Ways int // of a neck: in how many ways the bit is held, this one too; 0 where it is loose

	// Of a neck: where it leaves the bit, and where it enters what that hangs on,
	// mm. A ball as wide as the least thickness fits into the solid around either.
	From, To [3]float64
}

// Measure tells which measure of a thing a finding is about, where it has several.
type Measure string

// The measures of pockets (diameter, depth), of stands (flatness, tilt, height, and at
// their rims pit and drop)
// and of a solid on its plate (plan, height).
const (
	OfDiameter Measure = "diameter"
	OfDepth    Measure = "depth"
	OfFlatness Measure = "flatness"
	OfTilt     Measure = "tilt"
	OfHeight   Measure = "height"
	OfPlan     Measure = "plan"
	OfPit      Measure = "pit"
	OfDrop     Measure = "drop"
)
