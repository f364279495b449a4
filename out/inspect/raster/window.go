package raster

// Window is a box of a raster, cut out of it; what is outside the box is empty.
type Window struct {
	*Raster
	Lo [3]int // the pixel of the raster that is its first
}

// NewWindow gives an empty window on the pixels from lo to hi, hi not included.
func NewWindow(r *Raster, lo, hi [3]int) Window {
	size := [3]int{hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2]}
	origin := r.Place(float64(lo[0]), float64(lo[1]), float64(lo[2]))
	return Window{New(origin, r.Pixel, r.Layer, size, r.Limit), lo}
}

// Same gives an empty window on the same box.
func (w Window) Same() Window {
	return Window{New(w.Origin, w.Pixel, w.Layer, w.Size, w.Limit), w.Lo}
}

// CopyOf copies into the window what a raster has there.
func (w Window) CopyOf(r *Raster) {
	room := r.NewRow()
	for k := range w.Size[2] {
		for j := range w.Size[1] {
			copy(w.Row(j, k), r.ReadRow(j+w.Lo[1], k+w.Lo[2], room)[w.Lo[0]/64:])
		}
	}
}

// Widen gives into out what is in the window, and its neighbours: those in the
// layer where level is set, those above and below, of either, where rise is.
func (w Window) Widen(out, room Window, level, rise bool) {
	flat := w
	if level {
		flat = room
		for k := range w.Size[2] {
			for j := range w.Size[1] {
				to := flat.Row(j, k)
				for at := range to {
					word := uint64(0)
					for y := max(j-1, 0); y <= min(j+1, w.Size[1]-1); y++ {
						row := w.Row(y, k)
						word |= row[at] | row[at]<<1 | row[at]>>1 | wordOf(row, at-1)>>63 | wordOf(row, at+1)<<63
					}
					to[at] = word
				}
			}
		}
	}
	layer := w.Stride * w.Size[1]
	copy(out.Bits, flat.Bits)
	if rise {
		for at := layer; at < len(out.Bits); at++ {
			out.Bits[at] |= flat.Bits[at-layer]
			out.Bits[at-layer] |= flat.Bits[at]
		}
	}
}
