package parts

import "fmt"

// Printer is the machine that the scene is printed on, as far as the scene
// tells of it. Across and Up fill in what it leaves out.
type Printer struct {
	Process string   `key:"process" type:"word" words:"resin,filament,vat photopolymerisation,material extrusion" default:"resin" doc:"how it prints: resin is vat photopolymerisation, filament is material extrusion" source:"terms of ISO/ASTM 52900:2021"`
	Pixel   *float64 `key:"pixel" type:"machine" min:"0.01" max:"0.2" doc:"resin: side of one pixel on the plate, the longer one where it is not square; left out: 0.05" source:"0.022 to 0.05 for masked displays: course notes, practice"`
	Nozzle  *float64 `key:"nozzle" type:"machine" min:"0.1" max:"1.2" doc:"filament: width of the nozzle; left out: 0.4" source:"bureau design-rule charts are for 0.4"`
	Layer   *float64 `key:"layer" type:"machine" min:"0.01" max:"1" doc:"height of one layer: at most 0.2 for resin, the nozzle for filament; left out: 0.05 for resin, half the nozzle for filament" source:"0.05: NIOSH, Buildings 2022, 12(8), 1222; the rest is common practice, no source"`
}

// What a printer has where the scene does not say, in mm: the sizes that the
// keys of Printer name with their sources.
const (
	usualPixel      = 0.05
	usualNozzle     = 0.4
	usualResinLayer = 0.05
	nozzlesOfLayer  = 0.5 // usual layer of a filament printer, of its nozzle
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

// Check gives what of the printer does not go together; the keys of the faults
// are those of Printer.
func (p Printer) Check() (faults []Fault) {
	if p.Extrudes() {
		if p.Pixel != nil {
			faults = append(faults, Fault{Key: "pixel", Text: "a filament printer has no pixels", Allowed: `nozzle, or process = "resin"`})
		}
		if most := p.Across().Size; p.Up().Size > most {
			faults = append(faults, Fault{Key: "layer", Text: fmt.Sprintf("%g mm is thicker than the nozzle is wide", *p.Layer),
				Allowed: fmt.Sprintf("at most the nozzle, %g mm", most)})
		}
		return faults
	}
	if p.Nozzle != nil {
		faults = append(faults, Fault{Key: "nozzle", Text: "a resin printer has no nozzle", Allowed: `process = "filament", or pixel in place of nozzle`})
	}
	if p.Up().Size > thickestResinLayer {
		faults = append(faults, Fault{Key: "layer", Text: fmt.Sprintf("%g mm is too thick for a layer of resin", *p.Layer),
			Allowed: fmt.Sprintf("at most %g mm, or process = \"filament\"", thickestResinLayer)})
	}
	return faults
}
