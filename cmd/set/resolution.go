package set

import (
	"fmt"
	"math"
	"strings"

	"socle/parts"
	"socle/parts/assembly"
	"socle/sdf/mesh"
)

// The settings of a build, and what its report calls a cell of the user's own.
const (
	SettingDraft = "draft" // for looking
	SettingFine  = "fine"  // for printing
	settingGiven = "given" // by --cell
)

// The rules of the settings. They are common practice, no source, where a line
// does not name one.
const (
	// marksOfCell is the cell of a fine build for a resin printer, of its larger
	// mark, pixel or layer. Cells are halved up to three times where an edge
	// or something thin needs it, well below what a print can show.
	marksOfCell = 2.0
	// nozzlesOfCell is the cell for a filament printer. Its lines are as wide as
	// the nozzle and laid more finely than that, so that half of it will do.
	nozzlesOfCell = 0.5
	// leastFineCell and mostFineCell, in mm, hold the cell to what a build can
	// afford and to what still shows the sculpting.
	leastFineCell = 0.05
	mostFineCell  = 0.4
	// marksOfTolerance is the tolerance of a fine build, of the printer's smaller
	// mark: a tenth of a mark cannot be seen on the print.
	marksOfTolerance = 0.1
	// leastFineTolerance and mostFineTolerance, in mm, are the range of a chord
	// error: an inscribed 126-gon to 40-gon on a round of 32.
	leastFineTolerance = 0.005
	mostFineTolerance  = 0.05

	// draftCell, in mm, is as wide as the least gap of a print (references.md section 11), so
	// that the corners of the cells see the joints, but for very shallow ones; seconds for
	// a base.
	draftCell        = 0.3
	cellsOfTolerance = 40 // a cell by this is the tolerance where only the cell is set, as mesh.Options has it
)

// Resolution is how finely a build is meshed, and why so.
type Resolution struct {
	Setting         string
	Cell, Tolerance float64 // mm
	cellWhy         string
	toleranceWhy    string
}

// resolve applies a setting to a printer. A cell or a tolerance that is given
// goes before the setting's; with the cell alone, the tolerance follows that.
func resolve(setting string, p parts.Printer, cell, tolerance *float64) (Resolution, error) {
	r := fine(p)
	switch setting {
	case SettingFine:
	case SettingDraft:
		r = draft(r)
	default:
		return r, fmt.Errorf("--setting %q: allowed: %s, %s", setting, SettingDraft, SettingFine)
	}
	if cell != nil {
		if !(*cell >= mesh.LeastCell && *cell <= mesh.MostCell) {
			return r, fmt.Errorf("--cell %v: allowed: %v to %v mm", *cell, mesh.LeastCell, mesh.MostCell)
		}
		r = Resolution{settingGiven, *cell, *cell / cellsOfTolerance, "set by --cell", "a fortieth of it"}
	}
	if tolerance != nil {
		if !(*tolerance >= 0 && *tolerance <= r.Cell) {
			return r, fmt.Errorf("--tolerance %v: allowed: 0 to the cell of %v mm", *tolerance, r.Cell)
		}
		r.Tolerance, r.toleranceWhy = *tolerance, "set by --tolerance"
	}
	return r, nil
}

// Coarse says that it is coarser than a fine build for the printer, and so for
// looking.
func (r Resolution) Coarse(p parts.Printer) bool { return r.Cell > fine(p).Cell }

// Caution goes with what was found on a mesh that is not to be printed.
func (r Resolution) Caution(p parts.Printer) string {
	return fmt.Sprintf("This mesh is too coarse for printing: its cells are %g mm, and those of a fine build are %g mm.\n"+
		"A fine build may have other findings: thin walls, pins, gaps and flat pads most of all\n"+
		"look different in coarse cells.", r.Cell, fine(p).Cell)
}

// fine gives the resolution for printing.
func fine(p parts.Printer) Resolution {
	across, up := p.Across(), p.Up()
	large, small := across, up
	if up.Size >= across.Size {
		large, small = up, across
	}
	r := Resolution{Setting: SettingFine}
	if p.Extrudes() {
		r.Cell, r.cellWhy = withinRange(nozzlesOfCell, across, "half", leastFineCell, mostFineCell, p)
	} else {
		r.Cell, r.cellWhy = withinRange(marksOfCell, large, "twice", leastFineCell, mostFineCell, p)
	}
	r.Tolerance, r.toleranceWhy = withinRange(marksOfTolerance, small, "a tenth of", leastFineTolerance, mostFineTolerance, p)
	return r
}

// draft gives the resolution for looking, never finer than the one for printing.
func draft(fine Resolution) Resolution {
	r := Resolution{SettingDraft, draftCell, draftCell / cellsOfTolerance, "for looking", "a fortieth of it"}
	if fine.Cell > r.Cell {
		r.Cell, r.cellWhy = fine.Cell, fine.cellWhy
		r.Tolerance = r.Cell / cellsOfTolerance
	}
	if fine.Tolerance > r.Tolerance {
		r.Tolerance, r.toleranceWhy = fine.Tolerance, fine.toleranceWhy
	}
	return r
}

// withinRange gives a share of a printer's size, within a range, and says so in words.
func withinRange(share float64, of parts.PrinterSize, word string, least, most float64, p parts.Printer) (v float64, why string) {
	const perMM = 1e6 // rounds to a nanometre, so that what the binary product adds is not shown
	v = math.Round(share*of.Size*perMM) / perMM
	why = fmt.Sprintf("%s the printer's %s of %g mm", word, of.Word, of.Size)
	if !of.Given {
		kind := "resin"
		if p.Extrudes() {
			kind = "filament"
		}
		why = fmt.Sprintf("%s a %s printer's usual %s of %g mm", word, kind, of.Word, of.Size)
	}
	switch {
	case v < least:
		return least, "the least: " + why + " would be finer"
	case v > most:
		return most, "the most: " + why + " would be coarser"
	}
	return v, why
}

// String says on two lines which setting, cell and tolerance a build takes and
// why.
func (r Resolution) String() string {
	return fmt.Sprintf("%s: cell %g mm, %s\n%s  tolerance %g mm, %s",
		r.Setting, r.Cell, r.cellWhy, strings.Repeat(" ", len(r.Setting)), r.Tolerance, r.toleranceWhy)
}

// options are the mesher's for any piece.
func (r Resolution) options() mesh.Options {
	o := mesh.Options{Cell: r.Cell, Tolerance: r.Tolerance}
	if r.Tolerance == 0 {
		o.Tolerance = -1 // which keeps every triangle
	}
	return o
}

// MeshOptions are the mesher's options for a piece of the set. All that is meshed of a
// set, its keys and its forecasts go by these: they must agree, or the cache lies.
func (s *Set) MeshOptions(p *assembly.Piece) mesh.Options {
	o := s.Resolution.options()
	o.KeepLoose = s.Site.Inspect.Crumbs == "keep"
	return OptionsFor(p, o)
}

// OptionsFor completes options for a piece.
func OptionsFor(p *assembly.Piece, o mesh.Options) mesh.Options {
	o.Box, o.Heights = p.Box, p.Heights
	return o
}

// FinestVolume is the edge of the cells that volumes are taken with, mm, at the
// least: they are told to a tenth of a mm3, and finer cells would take longer than the
// meshing.
const FinestVolume = 0.3
