package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"socle/sdf/workers"
)

// Unsupported looks at what every layer has that the layer below has not, and
// gives, layer by layer from the plate up:
//
//   - each Island: a region (8-connected) that shares no pixel with the layer
//     below; a corner over a corner is no contact. Layer 0 stands on the plate;
//   - each Overhang and Bridge whose reach is at least that given, in mm: an
//     unsupported region that touches supported pixels of its layer. Its reach
//     is how far its furthest pixel is from those that it touches, as a true
//     distance, so a ledge of n pixels has a reach of n. It is a bridge where
//     that pixel, or one less than a pixel nearer, has no half plane free of
//     equally near support (within a pixel); the span is twice its distance,
//     within a pixel of the true one. With a reach under bridgePixels the pixels
//     cannot tell, and it is an overhang.
//
// It is an error where reach is not more than 0, and where the memory would
// pass the raster's limit (*MemoryError).
func (r *Raster) Unsupported(ctx context.Context, reach float64) ([]Finding, error) {
	if !(reach > 0) {
		return nil, fmt.Errorf("overhangs from %g mm: the reach must be more than 0", reach)
	}
	runs, pixels, err := r.loosest(ctx)
	if err != nil {
		return nil, err
	}
	worker := (layerBytes*float64(r.Size[0]+2)+columnBytes)*float64(r.Size[1]+2) +
		looseRunBytes*float64(runs) + loosePixelBytes*float64(pixels)*min(1, 4*r.Pixel/reach) // so many are on a ridge
	need := float64(r.Bytes()) + float64(workers.Count(r.Size[2]))*worker
	if err := r.checkLimit(need, "islands and overhangs"); err != nil {
		return nil, err
	}
	found := make([][]Finding, r.Size[2])
	rooms := make([][4]plane, workers.Count(r.Size[2]-1))
	err = workers.ForEach(ctx, r.Size[2]-1, func(w, n int) error {
		found[n+1] = r.unsupported(n+1, reach, &rooms[w])
		return nil
	})
	if err != nil {
		return nil, err
	}
	return slices.Concat(found...), nil
}

// What a worker can need, at most, where what grows may be half empty. A run of
// n pixels touches no more than 2 n + 6.
const (
	layerBytes      = 8.0 / 8                   // for a pixel of the layer: eight bits
	columnBytes     = 64 * 8                    // for a row: the distances of a word of it
	looseRunBytes   = 2 * (2*16 + 4 + 96 + 6*8) // for an unsupported run: itself twice, its tree, its region; bearings
	loosePixelBytes = 2 * (24 + 2*8)            // for an unsupported pixel on a ridge: its place; bearings
)

// loosest gives the most runs, and the most pixels, that a layer has and the
// layer below has not.
func (r *Raster) loosest(ctx context.Context) (runs, pixels int, err error) {
	counts := make([][2]int, r.Size[2])
	rooms := make([][2]plane, workers.Count(r.Size[2]-1))
	err = workers.ForEach(ctx, r.Size[2]-1, func(w, n int) error {
		layer, below := r.layer(n+1, &rooms[w][0]), r.layer(n, &rooms[w][1])
		last := uint64(0) // the word before it in the row
		for w, word := range layer.bits {
			if w%layer.stride == 0 {
				last = 0
			}
			word &^= below.bits[w]
			counts[n][0] += bits.OnesCount64(word &^ (word<<1 | last>>63))
			counts[n][1] += bits.OnesCount64(word)
			last = word
		}
		return nil
	})
	for _, c := range counts {
		runs, pixels = max(runs, c[0]), max(pixels, c[1])
	}
	return runs, pixels, err
}

// bridgePixels is the reach, in pixels, from which a bridge is told from an
// overhang. Below it the pixels of an inner corner already lie all around: at 2
// pixels from both walls, those within 3 span 180 degrees; at 3 pixels, 157.
const bridgePixels = 3

// unsupported gives the findings of layer k >= 1.
func (r *Raster) unsupported(k int, reach float64, rooms *[4]plane) (found []Finding) {
	layer, below := r.layer(k, &rooms[0]), r.layer(k-1, &rooms[1])
	if rooms[2].bits == nil {
		rooms[2], rooms[3] = layer.empty(), layer.empty()
	}
	held, loose := rooms[2], rooms[3]
	for w, word := range layer.bits {
		held.bits[w] = word & below.bits[w]
		loose.bits[w] = word &^ below.bits[w]
	}
	if !slices.ContainsFunc(loose.bits, func(word uint64) bool { return word != 0 }) {
		return nil
	}
	// After n steps from the held pixels through loose ones, each to one of eight
	// neighbours, one is at most n sqrt(2) from a held pixel that the region
	// touches. What is reached before that can be the reach is left alone.
	steps := int(math.Ceil(min(reach/r.Pixel/math.Sqrt2, float64(r.Size[0]+r.Size[1])))) - 1
	near := held.grown(loose, steps)

	for _, g := range loose.regions() {
		f := Finding{
			Kind:  Island,
			At:    r.place(float64(g.middleX)+0.5, float64(g.middleY)+0.5, float64(k)),
			Size:  [3]float64{float64(g.x1-g.x0) * r.Pixel, float64(g.y1-g.y0) * r.Pixel, r.Layer},
			Layer: k,
			Value: float64(g.area) * r.Pixel * r.Pixel,
		}
		switch {
		case !g.touches(held):
			found = append(found, f)
		case !g.within(near):
			ledge := measureLedge(g, held)
			if f.Value = ledge.reach * r.Pixel; f.Value < reach*(1-1e-12) {
				continue
			}
			f.Kind, f.At = Overhang, r.place(float64(ledge.x)+0.5, float64(ledge.y)+0.5, float64(k))
			if ledge.bridge {
				f.Kind, f.Value = Bridge, 2*f.Value
			}
			found = append(found, f)
		}
	}
	return found
}

// touches tells whether a region is next to a pixel of p, by side or corner.
func (g *region) touches(p plane) bool {
	for _, s := range g.runs {
		for j := max(int(s.row)-1, 0); j <= min(int(s.row)+1, p.ny-1); j++ {
			to := min(int(s.to)+1, p.nx)
			if find(p.row(j), to, max(int(s.from)-1, 0), 0) < to {
				return true
			}
		}
	}
	return false
}

// within tells whether all of a region is in p.
func (g *region) within(p plane) bool {
	for _, s := range g.runs {
		if find(p.row(int(s.row)), int(s.to), int(s.from), ^uint64(0)) < int(s.to) {
			return false
		}
	}
	return true
}

// ledge is how an unsupported region hangs, in pixels.
type ledge struct {
	x, y   int // the pixel that tells it
	reach  float64
	bridge bool
}

// away is a pixel, and how far it is from support.
type away struct {
	x, y int
	by   float64
}

// measureLedge measures a region from those held pixels that it touches.
func measureLedge(g region, held plane) ledge {
	// A window around the region, one pixel wider all round.
	left, low := g.x0-1, g.y0-1
	contact := newPlane(g.x1-g.x0+2, g.y1-g.y0+2)
	for _, s := range g.runs {
		for j := max(int(s.row)-1, 0); j <= min(int(s.row)+1, held.ny-1); j++ {
			for i := max(int(s.from)-1, 0); i < min(int(s.to)+1, held.nx); i++ {
				if held.at(i, j) {
					fill(contact.row(j-low), i-left, i-left+1)
				}
			}
		}
	}
	inside := contact.empty()
	for _, s := range g.runs {
		fill(inside.row(int(s.row)-low), int(s.from)-left, int(s.to)-left)
	}
	// The pixels that are further than any before, or less than a pixel nearer.
	var ridge []away
	var l ledge
	for w := range inside.stride {
		inside.distances(w, contact, func(i, j int, square float64) {
			if by := math.Sqrt(square); by > l.reach-1 {
				l.reach = max(l.reach, by)
				ridge = append(ridge, away{i + left, j + low, by})
			}
		})
		ridge = slices.DeleteFunc(ridge, func(a away) bool { return a.by <= l.reach-1 })
	}
	slices.SortFunc(ridge, func(a, b away) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.x, b.x)) })
	furthest := ridge[slices.IndexFunc(ridge, func(a away) bool { return a.by == l.reach })]
	l.x, l.y = furthest.x, furthest.y
	if l.reach < bridgePixels {
		return l
	}
	// A long ridge is alike along its length: a sample of it will do.
	const most = 64
	for n := 0; n < len(ridge) && !l.bridge; n += (len(ridge) + most - 1) / most {
		if p := ridge[n]; surrounded(contact, p.x-left, p.y-low, p.by+1) {
			l.x, l.y, l.bridge = p.x, p.y, true
		}
	}
	return l
}

// surrounded tells whether no open half plane through a pixel is free of those
// pixels of p that are at most so far from it.
func surrounded(p plane, x, y int, far float64) bool {
	var bearings []float64
	n := int(far)
	for j := max(y-n, 0); j <= min(y+n, p.ny-1); j++ {
		row := p.row(j)
		for i := find(row, p.nx, max(x-n, 0), 0); i <= min(x+n, p.nx-1); i = find(row, p.nx, i+1, 0) {
			if dx, dy := float64(i-x), float64(j-y); dx*dx+dy*dy <= far*far*(1+1e-12) {
				bearings = append(bearings, math.Atan2(dy, dx))
			}
		}
	}
	if len(bearings) == 0 {
		return false
	}
	slices.Sort(bearings)
	gap := bearings[0] + 2*math.Pi - bearings[len(bearings)-1]
	for n := 1; n < len(bearings); n++ {
		gap = max(gap, bearings[n]-bearings[n-1])
	}
	return gap <= math.Pi*(1+1e-12)
}
