package theme

import "math"

// floorManner is how one floor of a place is laid.
type floorManner struct {
	name, bond string
	surface    string     // of the stones; "" for the paving's own
	stone      [2]float64 // mm on the print
	turn       float64
	thickness  float64 // mm; 0 for the paving's own
	wear       float64
	note       string
}

// mostStones is about how many stones the floors of a place have, at most: a scene
// may be of 200,000 pieces, and a bond lays some beyond its area.
const mostStones = 20_000

// floor lays paving on the lower level from y0 to y1, over the whole width.
func (w *work) floor(level string, f floorManner, y0, y1 float64) {
	if y1-y0 < 1 {
		return
	}
	// A very large place gets larger stones, so that they stay countable.
	most := float64(mostStones)
	if f.bond == "random" {
		most /= 6 // its small stones are counted for all
	}
	larger := math.Max(1, math.Sqrt(w.size.X*w.size.Y/(f.stone[0]*f.stone[1]*most)))
	turn, thickness, surface := line{}, line{}, line{}
	if f.surface != "" {
		surface = line{"surface", str(f.surface), ""}
	}
	if f.turn != 0 {
		turn = line{"turn", mm(f.turn), ""}
	}
	if f.thickness > 0 {
		thickness = line{"thickness", mm(f.thickness), ""}
	}
	w.page.table(finishes, "paving", f.note,
		line{"name", str(f.name), ""},
		line{"level", str(level), ""},
		line{"area", rect(0, y0, w.size.X, y1), ""},
		line{"bond", str(f.bond), ""},
		line{"stone", w.stone(larger*f.stone[0], larger*f.stone[1]), w.once("stone", "full size, drawn large enough to read")},
		surface, turn, thickness,
		line{"wear", mm(f.wear), w.once("wear", "0 new .. 1 ruinous")},
	)
}

// platform builds the upper level from y0 to the north end.
func (w *work) platform(name, note string, y0 float64, more ...line) {
	w.page.table(structure, "deck", note, append([]line{
		{"name", str(name), ""},
		{"level", str(w.theme.manner.high), ""},
		{"area", rect(0, y0, w.size.X, w.size.Y), ""},
	}, more...)...)
}

// sink lowers the ground from y0 to y1, over the whole width; bank is its slope
// in degrees, 90 for sheer sides.
func (w *work) sink(note string, y0, y1, bank float64) {
	text := &page{}
	slope, of := line{}, line{}
	if m := w.theme.manner; m.bed != "" {
		of = line{"of", str(m.bed), ""}
	}
	if bank < 90 {
		slope = line{"bank", mm(bank), "degrees against the horizontal"}
	}
	text.table(structure, "ground.sunk", note,
		line{"area", rect(0, y0, w.size.X, y1), ""},
		line{"level", str(w.theme.manner.sunk), ""},
		slope, of,
	)
	w.sunk = append(w.sunk, text.chapters[structure].String())
}

// raiseGround raises the ground to the upper level from y0 to the north end, with a bank of
// so many degrees.
func (w *work) raiseGround(note string, y0, bank float64) {
	text, of, slope := &page{}, line{}, line{}
	if m := w.theme.manner; m.shelf != "" {
		of = line{"of", str(m.shelf), ""}
	}
	if bank < 90 {
		slope = line{"bank", mm(bank), ""}
	}
	text.table(structure, "ground.raised", note,
		line{"area", rect(0, y0, w.size.X, w.size.Y), ""},
		line{"level", str(w.theme.manner.high), ""},
		slope, of,
	)
	w.sunk = append(w.sunk, text.chapters[structure].String())
}

// edgeOf is where the upper level begins: at the line of its edge, else where its
// own area does; the north end where it is not used.
func (w *work) edgeOf(edge, high *zone) (y float64, there bool) {
	switch {
	case used(edge):
		return edge.at, true
	case used(high):
		return high.y0 - 2, true
	}
	return w.size.Y, false
}
