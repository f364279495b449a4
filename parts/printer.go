package parts

import (
	"fmt"
	"math"
)

// Printer is the machine that the scene is printed on: what it is, what its plate
// holds, how long it takes, and the least sizes that it can make. What would be
// smaller at the scene's scale is drawn at Pin, Wall, Gap, Emboss and Engrave.
type Printer struct {
	Process string   `key:"process" type:"word" words:"resin,filament,vat photopolymerisation,material extrusion" default:"resin" doc:"how it prints: resin is vat photopolymerisation, filament is material extrusion" source:"terms of ISO/ASTM 52900:2021"`
	Pixel   *float64 `key:"pixel" type:"machine" min:"0.01" max:"0.2" doc:"resin: side of one pixel on the plate, the longer one where it is not square; left out: 0.05" source:"0.022 to 0.05 for masked displays: course notes, practice"`
	Nozzle  *float64 `key:"nozzle" type:"machine" min:"0.1" max:"1.2" doc:"filament: width of the nozzle; left out: 0.4" source:"bureau design-rule charts are for 0.4"`
	Layer   *float64 `key:"layer" type:"machine" min:"0.01" max:"1" doc:"height of one layer: at most 0.2 for resin, the nozzle for filament; left out: 0.05 for resin, half the nozzle for filament" source:"0.05: NIOSH, Buildings 2022, 12(8), 1222; the rest is common practice, no source"`

	Plate   *[2]float64 `key:"plate" type:"bed" min:"20" max:"2000" doc:"what the plate holds, [width, depth]; left out: not checked"`
	Tallest *float64    `key:"tallest" type:"machine" min:"10" max:"2000" doc:"how tall a print may be; left out: not checked"`

	Exposure      *float64 `key:"exposure" type:"number" unit:"s" min:"0.1" max:"600" doc:"resin: how long a layer is exposed; left out: 2.5 is assumed for the time" source:"2 to 3 at layers of 0.05: common practice, no source"`
	FirstExposure *float64 `key:"first-exposure" type:"number" unit:"s" min:"0.1" max:"1800" doc:"resin: how long each of the first layers is exposed; left out: the same as exposure or, if that is left out too, 30" source:"20 to 40: common practice, no source"`
	FirstLayers   int      `key:"first-layers" type:"count" default:"6" filament:"1" min:"0" max:"100" doc:"how many layers on the plate are exposed longer, or squeezed, and swell" source:"4 to 8 for resin: common practice, no source"`
	Lift          *float64 `key:"lift" type:"number" unit:"s" min:"0" max:"120" doc:"resin: time from the end of one exposure to the start of the next; left out: 6 is assumed for the time" source:"5 to 8: common practice, no source"`
	Speed         *float64 `key:"speed" type:"number" unit:"mm/s" min:"1" max:"1000" doc:"filament: how fast a line is laid; left out: 50 is assumed for the time" source:"40 to 60: common practice, no source"`
	Line          *float64 `key:"line" type:"machine" min:"0.1" max:"2" doc:"filament: width of a line; left out: 1.1 nozzles" source:"0.4 to 0.45 from a nozzle of 0.4: common practice, no source"`

	Pin            float64  `key:"pin" type:"machine" default:"0.8" filament:"3" min:"0.1" max:"10" doc:"least thickness of a pin: a baluster, a post, a bar" source:"resin 0.5, 0.8 to survive handling, filament 3: bureau design-rule charts; 0.8 is practice"`
	Wall           float64  `key:"wall" type:"machine" default:"1" filament:"1.2" min:"0.1" max:"10" doc:"least thickness of a free-standing wall or slab" source:"resin 1, filament 0.8 to 1.2: bureau design-rule charts"`
	Joined         *float64 `key:"joined" type:"machine" min:"0.1" max:"10" doc:"least thickness of a wall held on two sides or more; left out: 0.5 for resin, 0.8 for filament, and no more than wall" source:"bureau design-rule charts; 0.8 is two lines"`
	Emboss         float64  `key:"emboss" type:"machine" default:"0.3" filament:"0.6" min:"0.05" max:"5" doc:"least height of raised relief" source:"resin 0.3 to 0.5, filament 0.6 wide: bureau design-rule charts"`
	Engrave        float64  `key:"engrave" type:"machine" default:"0.3" filament:"0.6" min:"0.05" max:"5" doc:"least depth of sunk relief" source:"resin 0.3 to 0.5, filament 0.6 wide: bureau design-rule charts"`
	Gap            float64  `key:"gap" type:"machine" default:"0.3" filament:"0.6" min:"0.05" max:"5" doc:"least width of a joint or gap that stays open" source:"common practice, no source"`
	Clearance      float64  `key:"clearance" type:"machine" default:"0.15" filament:"0.3" min:"0" max:"0.5" doc:"what the pocket of a magnet adds to its diameter" source:"resin 0.1 to 0.2, filament 0.2 to 0.4: bureau fit tables"`
	ClearanceDepth float64  `key:"clearance-depth" type:"machine" default:"0.15" filament:"0.2" min:"0" max:"0.5" doc:"what the pocket of a magnet adds to its height" source:"0.1 to 0.2: common practice, no source"`
	Hair           *float64 `key:"hair" type:"machine" min:"0.02" max:"10" doc:"thickness below which a pin does not form at all; left out: 0.5 for resin, the nozzle for filament, and no more than pin" source:"resin 0.5: bureau design-rule charts; the rest is common practice, no source"`
	Vent           float64  `key:"vent" type:"machine" default:"2" min:"0.5" max:"10" doc:"least width of a hole that drains" source:"2 to 3 usual for miniatures: common practice, no source; bureau charts say 2.5 to 4"`
}

// What a printer has where the scene does not say, in mm unless it is a factor:
// the sizes that the keys of Printer name with their sources.
const (
	usualPixel          = 0.05
	usualNozzle         = 0.4
	usualResinLayer     = 0.05
	nozzlesOfLayer      = 0.5 // usual layer of a filament printer, of its nozzle
	nozzlesOfLine       = 1.1 // usual width of a line, of the nozzle
	usualResinJoined    = 0.5
	usualFilamentJoined = 0.8
	usualResinHair      = 0.5
)

// thickestResinLayer is the most that one layer of resin may be, in mm: common
// practice, no source. A layer of filament is no thicker than its nozzle is wide.
const thickestResinLayer = 0.2

// PrinterSize is one of the sizes of a printer.
type PrinterSize struct {
	Word  string  // "pixel", "nozzle" or "layer"
	Size  float64 // mm
	Given bool    // by the scene; else it is what such printers usually have
}

func sizeOr(word string, given *float64, usual float64) PrinterSize {
	if given != nil {
		return PrinterSize{word, *given, true}
	}
	return PrinterSize{word, usual, false}
}

func orElse(given *float64, usual float64) float64 {
	if given != nil {
		return *given
	}
	return usual
}

// Extrudes says that the printer lays lines of filament; else it cures resin.
func (p Printer) Extrudes() bool {
	return p.Process == "filament" || p.Process == "material extrusion"
}

// Across is the size of the least mark that the printer makes within a layer:
// the pixel of a resin printer, the nozzle of a filament printer.
func (p Printer) Across() PrinterSize {
	if p.Extrudes() {
		return sizeOr("nozzle", p.Nozzle, usualNozzle)
	}
	return sizeOr("pixel", p.Pixel, usualPixel)
}

// Up is the height of one layer.
func (p Printer) Up() PrinterSize {
	if p.Extrudes() {
		return sizeOr("layer", p.Layer, nozzlesOfLayer*p.Across().Size)
	}
	return sizeOr("layer", p.Layer, usualResinLayer)
}

// LineWidth is the width of one line of a filament printer, mm.
func (p Printer) LineWidth() float64 { return orElse(p.Line, nozzlesOfLine*p.Across().Size) }

// JoinedWall is the least thickness, in mm, of a wall that is held on two sides
// or more. It is never more than Wall.
func (p Printer) JoinedWall() float64 {
	usual := usualResinJoined
	if p.Extrudes() {
		usual = usualFilamentJoined
	}
	return orElse(p.Joined, math.Min(usual, p.Wall))
}

// LeastPin is the thickness, in mm, below which a pin is not formed at all. It is
// never more than Pin.
func (p Printer) LeastPin() float64 {
	usual := usualResinHair
	if p.Extrudes() {
		usual = p.Across().Size
	}
	return orElse(p.Hair, math.Min(usual, p.Pin))
}

// What a print is taken to go at where the scene does not say, as the keys of Printer
// have it: common practice, no source.
const (
	usualExposure      = 2.5  // s
	usualFirstExposure = 30.0 // s
	usualLift          = 6.0  // s
	usualSpeed         = 50.0 // mm/s
)

// Pace is what the time of a print follows from; 0 for what its process has not.
type Pace struct {
	Exposure, FirstExposure, Lift float64  // s
	Speed                         float64  // mm/s
	Assumed                       []string // of these the ones that the scene does not give: "lift 6 s"
}

// Pace gives that of the printer, with what is usual in place of what is not given.
func (p Printer) Pace() (pace Pace) {
	take := func(word, unit string, given *float64, usual float64) float64 {
		if given != nil {
			return *given
		}
		pace.Assumed = append(pace.Assumed, fmt.Sprintf("%s %g %s", word, usual, unit))
		return usual
	}
	if p.Extrudes() {
		pace.Speed = take("speed", "mm/s", p.Speed, usualSpeed)
		return pace
	}
	pace.Exposure = take("exposure", "s", p.Exposure, usualExposure)
	if p.Exposure != nil && p.FirstExposure == nil {
		pace.FirstExposure = pace.Exposure
	} else {
		pace.FirstExposure = take("first-exposure", "s", p.FirstExposure, usualFirstExposure)
	}
	pace.Lift = take("lift", "s", p.Lift, usualLift)
	return pace
}

// Drawn gives the least sizes that the parts draw with.
func (p Printer) Drawn() Print {
	return Print{Pin: p.Pin, Wall: p.Wall, Gap: p.Gap, Relief: math.Max(p.Emboss, p.Engrave)}
}

// Check gives what of the printer does not go together; the keys of the faults
// are those of Printer, and only those that were given.
func (p Printer) Check() (faults []Fault) {
	fault := func(key, text, allowed string) {
		faults = append(faults, Fault{Key: key, Text: text, Allowed: allowed})
	}
	if p.Extrudes() {
		if p.Pixel != nil {
			fault("pixel", "a filament printer has no pixels", `nozzle, or process = "resin"`)
		}
		if most := p.Across().Size; p.Up().Size > most {
			fault("layer", fmt.Sprintf("%g mm is thicker than the nozzle is wide", *p.Layer), fmt.Sprintf("at most the nozzle, %g mm", most))
		}
		for _, k := range []struct {
			word  string
			given *float64
		}{{"exposure", p.Exposure}, {"first-exposure", p.FirstExposure}, {"lift", p.Lift}} {
			if k.given != nil {
				fault(k.word, "a filament printer has no exposure", `speed and line, or process = "resin"`)
			}
		}
	} else {
		if p.Nozzle != nil {
			fault("nozzle", "a resin printer has no nozzle", `process = "filament", or pixel in place of nozzle`)
		}
		if p.Up().Size > thickestResinLayer {
			fault("layer", fmt.Sprintf("%g mm is too thick for a layer of resin", *p.Layer),
				fmt.Sprintf("at most %g mm, or process = \"filament\"", thickestResinLayer))
		}
		for _, k := range []struct {
			word  string
			given *float64
		}{{"speed", p.Speed}, {"line", p.Line}} {
			if k.given != nil {
				fault(k.word, "a resin printer lays no lines", `exposure and lift, or process = "filament"`)
			}
		}
	}
	if p.Joined != nil && *p.Joined > p.Wall {
		fault("joined", fmt.Sprintf("%g mm is more than a free-standing wall needs", *p.Joined), fmt.Sprintf("at most wall, %g mm", p.Wall))
	}
	if p.Hair != nil && *p.Hair > p.Pin {
		fault("hair", fmt.Sprintf("%g mm is more than the least pin", *p.Hair), fmt.Sprintf("at most pin, %g mm", p.Pin))
	}
	return faults
}
