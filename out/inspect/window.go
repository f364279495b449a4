package inspect

// window is a box of a raster, cut out of it; what is outside the box is empty.
type window struct {
	*Raster
	lo [3]int // the pixel of the raster that is its first
}

// newWindow gives an empty window on the pixels from lo to hi, hi not included.
func newWindow(r *Raster, lo, hi [3]int) window {
	size := [3]int{hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2]}
	origin := r.place(float64(lo[0]), float64(lo[1]), float64(lo[2]))
	return window{newRaster(origin, r.Pixel, r.Layer, size, r.limit), lo}
}

// same gives an empty window on the same box.
func (w window) same() window {
	return window{newRaster(w.Origin, w.Pixel, w.Layer, w.Size, w.limit), w.lo}
}

// copyOf copies into the window what a raster has there.
func (w window) copyOf(r *Raster) {
	room := r.room()
	for k := range w.Size[2] {
		for j := range w.Size[1] {
			copy(w.row(j, k), r.line(j+w.lo[1], k+w.lo[2], room)[w.lo[0]/64:])
		}
	}
}

// widen gives into out what is in the window, and its neighbours: those in the
// layer where level is set, those above and below, of either, where rise is.
func (w window) widen(out, room window, level, rise bool) {
	flat := w
	if level {
		flat = room
		for k := range w.Size[2] {
			for j := range w.Size[1] {
				to := flat.row(j, k)
				for at := range to {
					word := uint64(0)
					for y := max(j-1, 0); y <= min(j+1, w.Size[1]-1); y++ {
						row := w.row(y, k)
						word |= row[at] | row[at]<<1 | row[at]>>1 | wordOf(row, at-1)>>63 | wordOf(row, at+1)<<63
					}
					to[at] = word
				}
			}
		}
	}
	layer := w.stride * w.Size[1]
	copy(out.bits, flat.bits)
	if rise {
		for at := layer; at < len(out.bits); at++ {
			out.bits[at] |= flat.bits[at-layer]
			out.bits[at-layer] |= flat.bits[at]
		}
	}
}
