package raster

import "math/bits"

// packed is a layer of a raster in little memory: of its words only those that are
// partly solid are held. A word is 64 pixels of a row, so what is left is where the
// outline of the layer passes.
type packed struct {
	mixed, full []uint64 // a bit for every word of a row, so many words to a row
	first       []int32  // of every row, the number of its first mixed word
	words       []uint64
}

// pack packs a layer.
func pack(p Plane) *packed {
	marks := marksOf(p.Stride)
	l := &packed{mixed: make([]uint64, marks*p.Ny), full: make([]uint64, marks*p.Ny), first: make([]int32, p.Ny)}
	n := 0
	for _, word := range p.Bits {
		if word+1 > 1 {
			n++
		}
	}
	l.words = make([]uint64, 0, n)
	for j := range p.Ny {
		l.first[j] = int32(len(l.words))
		for w, word := range p.Row(j) {
			switch at := j*marks + w/64; word {
			case 0:
			case ^uint64(0):
				l.full[at] |= 1 << (w % 64)
			default:
				l.mixed[at] |= 1 << (w % 64)
				l.words = append(l.words, word)
			}
		}
	}
	return l
}

// joinPacked joins bands of rows of a layer, the lowest first.
func joinPacked(bands []*packed) *packed {
	if len(bands) == 1 {
		return bands[0]
	}
	all := &packed{}
	words := 0
	for _, l := range bands {
		words += len(l.words)
	}
	all.words = make([]uint64, 0, words)
	for _, l := range bands {
		for _, n := range l.first {
			all.first = append(all.first, int32(len(all.words))+n)
		}
		all.mixed, all.full = append(all.mixed, l.mixed...), append(all.full, l.full...)
		all.words = append(all.words, l.words...)
	}
	return all
}

// marksOf is how many words it takes to have a bit for each of so many words.
func marksOf(stride int) int { return (stride + 63) / 64 }

// word gives word w of row j.
func (l *packed) word(j, w, marks int) uint64 {
	at, bit := j*marks+w/64, uint64(1)<<(w%64)
	if l.mixed[at]&bit == 0 {
		if l.full[at]&bit != 0 {
			return ^uint64(0)
		}
		return 0
	}
	n := int(l.first[j]) + bits.OnesCount64(l.mixed[at]&(bit-1))
	for m := j * marks; m < at; m++ {
		n += bits.OnesCount64(l.mixed[m])
	}
	return l.words[n]
}

// line unpacks row j.
func (l *packed) line(j, marks int, row []uint64) {
	n := int(l.first[j])
	for m := range marks {
		mixed, full := l.mixed[j*marks+m], l.full[j*marks+m]
		part := row[m*64 : min((m+1)*64, len(row))]
		switch {
		case mixed == 0 && full == 0:
			clear(part)
			continue
		}
		for w := range part {
			switch {
			case mixed>>w&1 == 1:
				part[w] = l.words[n]
				n++
			case full>>w&1 == 1:
				part[w] = ^uint64(0)
			default:
				part[w] = 0
			}
		}
	}
}

func (l *packed) bytes() int64 {
	return 8*int64(len(l.mixed)+len(l.full)+len(l.words)) + 4*int64(len(l.first))
}

// Word gives 64 pixels of a row, those from 64 w on; none beside the raster.
func (r *Raster) Word(j, k, w int) uint64 {
	switch {
	case w < 0 || w >= r.Stride:
		return 0
	case r.packed != nil:
		return r.packed[k].word(j, w, marksOf(r.Stride))
	}
	return r.Bits[(k*r.Size[1]+j)*r.Stride+w]
}

// ReadRow gives a row to be read, in the room if that is needed.
func (r *Raster) ReadRow(j, k int, room []uint64) []uint64 {
	if r.packed == nil {
		return r.Row(j, k)
	}
	r.packed[k].line(j, marksOf(r.Stride), room)
	return room
}

// NewRow is a row of its own.
func (r *Raster) NewRow() []uint64 { return make([]uint64, r.Stride) }

// ReadPlane gives a layer to be read, in the room if that is needed; a room that is
// not there is made.
func (r *Raster) ReadPlane(k int, room *Plane) Plane {
	if r.packed == nil {
		return r.Plane(k)
	}
	if room.Bits == nil {
		*room = NewPlane(r.Size[0], r.Size[1])
	}
	for j := range r.Size[1] {
		r.packed[k].line(j, marksOf(r.Stride), room.Row(j))
	}
	return *room
}
