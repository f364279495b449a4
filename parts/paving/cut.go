package paving

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// slab is a stone's place after it is cut to the area: the stone is what is
// left of its cell, less half a joint on every side.
type slab struct {
	cell
	outline []r2.Vec     // of the stone: convex, anticlockwise; nil where a corner of the area runs into it
	plan    planar.Shape // of the stone, where outline is nil
	cutArea float64      // mm2 of the cell within the area, where the outline is convex
	cut     bool
}

// cutter cuts cells to an area, all in the frame of the courses.
type cutter struct {
	outline []r2.Vec
	shape   planar.Shape
	sides   []planar.Side
	convex  bool
	joint   float64 // mm
	least   float64 // least width of a cut stone, mm
}

func newCutter(outline []r2.Vec, joint, least float64) *cutter {
	c := &cutter{outline: outline, sides: planar.SidesOf(outline), convex: planar.IsConvex(outline), joint: joint, least: least}
	if c.convex {
		c.shape = planar.NewConvex(outline)
	} else {
		c.shape = planar.Polygon(outline)
	}
	return c
}

// What becomes of a cell at the area's edge.
type cutResult int

const (
	cutAway   cutResult = iota // nothing of it lies in the area
	cutKept                    // a stone is left
	cutSliver                  // what is left is too thin to be a stone
)

// cutTo cuts one cell to the area.
func (c *cutter) cutTo(place cell) (slab, cutResult) {
	mid := planar.Centroid(place.corners)
	reach := 0.0
	for _, p := range place.corners {
		reach = max(reach, r2.Norm(r2.Sub(p, mid)))
	}
	s := slab{cell: place}
	d := c.shape.At(mid)
	switch {
	case d >= reach:
		return s, cutAway
	case d <= -reach:
		s.cutArea = planar.SignedArea(place.corners)
		s.outline = planar.InsetConvex(place.corners, c.joint/2)
		return s, cutKept
	}
	lines, straight := c.linesThrough(place.corners)
	if !straight {
		return c.cutRagged(s)
	}
	if len(lines) == 0 && d > 0 {
		return s, cutAway
	}
	left := place.corners
	for _, l := range lines {
		if left = planar.ClipLine(left, l.Normal, l.Offset); left == nil {
			return s, cutAway
		}
	}
	s.cutArea = planar.SignedArea(left)
	s.cut = s.cutArea < planar.SignedArea(place.corners)-1e-6
	s.outline = planar.InsetConvex(left, c.joint/2)
	if s.outline == nil || s.cut && 2*planar.Inradius(s.outline) < c.least {
		s.outline = left
		return s, cutSliver
	}
	return s, cutKept
}

// linesThrough gives the sides of the area that run through a cell. straight
// is false where cutting by their lines would not give the cell's share of
// the area: a corner of the area that turns inward lies in the cell, or two
// separate stretches of its edge do.
func (c *cutter) linesThrough(corners []r2.Vec) (lines []*planar.Side, straight bool) {
	var met []int
	for i := range c.sides {
		s := &c.sides[i]
		a, b := s.A, c.sides[(i+1)%len(c.sides)].A
		if segmentEnters(corners, a, b) {
			met = append(met, i)
			lines = append(lines, s)
		}
	}
	if c.convex || len(met) == 0 {
		return lines, true
	}
	// The sides met must be one stretch of the outline, turning left throughout.
	n := len(c.sides)
	gaps := 0
	for k, i := range met {
		next := met[(k+1)%len(met)]
		if len(met) > 1 && next != (i+1)%n {
			gaps++
			continue
		}
		if len(met) > 1 && r2.Cross(c.sides[i].Along, c.sides[next].Along) < 0 {
			return lines, false
		}
	}
	return lines, gaps <= 1 && len(met) < n
}

// segmentEnters says whether a segment runs through the inside of a convex outline.
func segmentEnters(corners []r2.Vec, a, b r2.Vec) bool {
	const touch = 1e-9
	t0, t1 := 0.0, 1.0
	for i, p := range corners {
		e := r2.Sub(corners[(i+1)%len(corners)], p)
		l := planar.Norm2(e)
		if l == 0 {
			continue
		}
		n := r2.Vec{X: e.Y / l, Y: -e.X / l}
		da, db := planar.Dot2(n, r2.Sub(a, p))+touch, planar.Dot2(n, r2.Sub(b, p))+touch
		switch {
		case da >= 0 && db >= 0:
			return false
		case da > 0:
			t0 = max(t0, da/(da-db))
		case db > 0:
			t1 = min(t1, da/(da-db))
		}
	}
	return t1 > t0
}

// cutRagged cuts a cell that a corner of the area runs into.
func (c *cutter) cutRagged(s slab) (slab, cutResult) {
	s.cut = true
	s.plan = &planar.Inset{F: &planar.Common{A: planar.NewConvex(s.corners), B: c.shape}, D: c.joint / 2}
	_, depth := planar.Widest(s.plan, planar.Bounds(s.corners), c.least/20)
	switch {
	case depth > c.least/2:
		return s, cutKept
	case depth > -c.joint/2:
		return s, cutSliver
	}
	return s, cutAway
}
