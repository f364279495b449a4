package compare

import (
	"context"
	"fmt"
	"image"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/piece"
	"socle/out/page"
	"socle/out/picture"
	"socle/sdf"
	"socle/sdf/mesh"
)

// Sizes of the pictures of a comparison, in pixels: of each of the two beside one
// another. The page shows them smaller.
const (
	comparedWidth  = 900
	comparedHeight = 700
)

const (
	// surelyMoved is how far a surface lies off the other solid's at least to be told
	// apart in a picture, mm, over what meshing may move it.
	surelyMoved = 0.02
	// tonedEdge is the longest edge of what has one tone, mm, and tonedShare the share of the
	// picture that it may have if that is more: large triangles are split, so that
	// what changed shows on flat ground too.
	tonedEdge, tonedShare = 0.4, 1.0 / 160
	// mostToned bounds the triangles that are drawn of a base.
	mostToned = 4_000_000
)

// draw draws a base that is not the same on both sides, A on the left.
func (c *Comparison) draw(ctx context.Context, p *pair, b *Base, made [2]*piece.Result) error {
	if b.Result != Differs && b.Result != OnlyInA && b.Result != OnlyInB {
		return nil
	}
	frame := frameOf(made)
	var cells []picture.Cell
	for i, m := range made {
		if m == nil {
			continue
		}
		side := c.Sides[i]
		shown := picture.Mesh{Vertices: m.Solid.Vertices, Triangles: m.Solid.Triangles}
		detail := side.Site.Title
		if b.Result == Differs {
			shown = finely(m.Solid, max(tonedEdge, tonedShare*max(frame.Max.X-frame.Min.X, frame.Max.Y-frame.Min.Y)))
			var err error
			within := surelyMoved + c.Sides[0].Resolution.Tolerance + c.Sides[1].Resolution.Tolerance
			if shown.Tones, err = changedTones(ctx, shown, p.pieces[i].Field, p.pieces[1-i].Field, within, i); err != nil {
				return err
			}
			detail = tonesInWords(shown.Tones, i)
		}
		img := picture.NewSubject(shown).Draw(picture.Options{
			Width: comparedWidth, Height: comparedHeight, View: picture.ThreeQuarter, Focus: &frame, Legend: true,
		})
		cells = append(cells, picture.Cell{Image: img, Name: [2]string{"A: ", "B: "}[i] + side.asked, Detail: detail})
	}
	img := picture.ContactSheet(p.name, cells, len(cells))
	file, err := c.files.Add(p.name+".png", func(w io.Writer) error { return picture.WritePNG(w, img) })
	if err != nil {
		return &set.Failure{Kind: set.NotWritten, Err: err}
	}
	b.Picture = &file
	return c.keep(p.name, img, b)
}

// tonesInWords says what the tones on a side stand for, of those that are there.
func tonesInWords(tones []picture.Tone, side int) string {
	added, removed := slices.Contains(tones, picture.Added), slices.Contains(tones, picture.Removed)
	switch {
	case side == 0 && removed:
		return "pale: what B does not have"
	case side == 0:
		return "B has all of this"
	case added && removed:
		return "dark: what was added; pale: where something was taken away"
	case added:
		return "dark: what was added"
	case removed:
		return "pale: where something was taken away"
	}
	return "the change is too small to be seen"
}

// keep keeps a picture for the page.
func (c *Comparison) keep(name string, img image.Image, b *Base) error {
	if c.images == nil {
		c.images = map[string]page.Picture{}
	}
	size := img.Bounds().Size()
	small, err := look.ForPage(picture.Shrink(img, size.X*look.SmallShare/100, size.Y*look.SmallShare/100), "", fmt.Sprintf("%s as it is in A, and beside it in B: %s", name, b.Words()))
	c.images[name] = small
	return err
}

// frameOf is what fills both pictures, so that they are of one size.
func frameOf(made [2]*piece.Result) (box r3.Box) {
	first := true
	for _, m := range made {
		if m == nil {
			continue
		}
		b := m.Solid.Proof.Box
		if first {
			box, first = b, false
			continue
		}
		box.Min = r3.Vec{X: min(box.Min.X, b.Min.X), Y: min(box.Min.Y, b.Min.Y), Z: min(box.Min.Z, b.Min.Z)}
		box.Max = r3.Vec{X: max(box.Max.X, b.Max.X), Y: max(box.Max.Y, b.Max.Y), Z: max(box.Max.Z, b.Max.Z)}
	}
	return box
}

// changedTones tells, of each triangle of one solid, by its middle, how it lies to the
// other solid; both are fields. Outside the other is what only this one has, inside it
// is where the other has more. In A (side 0) the one is what will go; in B (side 1)
// the one came, and at the other something was taken away. What meshing did to the
// surface is not told: how far the place is off this one's own field is taken off.
func changedTones(ctx context.Context, m picture.Mesh, own, other sdf.Field, within float64, side int) ([]picture.Tone, error) {
	tones := make([]picture.Tone, len(m.Triangles))
	outside, inside := picture.Removed, picture.Clay
	if side == 1 {
		outside, inside = picture.Added, picture.Removed
	}
	at := look.Middles(m)
	away := make([]float64, len(at)) // from the other's surface
	err := everyPlace(ctx, other, at, func(f sdf.Field, i int) {
		if v := f.Value(at[i]); math.Abs(v) > within*leastRise { // as on most of a base it is not
			away[i] = distance(f, at[i])
		}
	})
	if err != nil {
		return nil, err
	}
	var doubtful []r3.Vec
	var of []int
	for i, d := range away {
		if math.Abs(d) > within {
			doubtful, of = append(doubtful, at[i]), append(of, i)
		}
	}
	err = everyPlace(ctx, own, doubtful, func(f sdf.Field, i int) {
		switch d := away[of[i]] - distance(f, doubtful[i]); {
		case d > within:
			tones[of[i]] = outside
		case d < -within:
			tones[of[i]] = inside
		}
	})
	return tones, err
}

// leastRise is the least that a field is taken to rise in a mm: it may rise more slowly
// than the distance.
const leastRise = 0.1

// distance is how far a place is from the surface that it is near, mm.
func distance(f sdf.Field, at r3.Vec) float64 {
	d, g := f.Gradient(at)
	if l := r3.Norm(g); l > leastRise {
		d /= l
	}
	return d
}

// finely splits the edges of a solid in halves until none is longer than so many mm.
// Both triangles at an edge split it alike, so that it stays closed.
func finely(s *mesh.Solid, longest float64) picture.Mesh {
	m := picture.Mesh{Vertices: append([][3]float32(nil), s.Vertices...), Triangles: s.Triangles}
	for range 16 {
		half := map[[2]uint32]uint32{}
		split := func(a, b uint32) (uint32, bool) {
			if a > b {
				a, b = b, a
			}
			p, q := m.Vertices[a], m.Vertices[b]
			if math.Hypot(math.Hypot(float64(p[0]-q[0]), float64(p[1]-q[1])), float64(p[2]-q[2])) <= longest {
				return 0, false
			}
			k := [2]uint32{a, b}
			at, known := half[k]
			if !known {
				at = uint32(len(m.Vertices))
				half[k] = at
				m.Vertices = append(m.Vertices, [3]float32{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2, (p[2] + q[2]) / 2})
			}
			return at, true
		}
		var next [][3]uint32
		for _, t := range m.Triangles {
			next = splitTriangle(next, t, split)
		}
		done := len(next) == len(m.Triangles)
		m.Triangles = next
		if done || len(next) > mostToned/4 {
			break
		}
	}
	return m
}

// splitTriangle appends a triangle, parted where its edges are split.
func splitTriangle(to [][3]uint32, t [3]uint32, split func(a, b uint32) (uint32, bool)) [][3]uint32 {
	var at [3]uint32 // on the edge from corner i to the next
	var is [3]bool
	n := 0
	for i := range 3 {
		if at[i], is[i] = split(t[i], t[(i+1)%3]); is[i] {
			n++
		}
	}
	turn := func(i int) (a, b, c, ab, bc, ca uint32) { // beginning with corner i
		j, k := (i+1)%3, (i+2)%3
		return t[i], t[j], t[k], at[i], at[j], at[k]
	}
	switch n {
	case 0:
		return append(to, t)
	case 3:
		a, b, c, ab, bc, ca := turn(0)
		return append(to, [3]uint32{a, ab, ca}, [3]uint32{ab, b, bc}, [3]uint32{ca, bc, c}, [3]uint32{ab, bc, ca})
	case 1:
		i := 0
		for !is[i] {
			i++
		}
		a, b, c, ab, _, _ := turn(i)
		return append(to, [3]uint32{a, ab, c}, [3]uint32{ab, b, c})
	}
	i := 0
	for is[(i+2)%3] {
		i++
	}
	// The edge from the last corner back to the first is whole.
	a, b, c, ab, bc, _ := turn(i)
	return append(to, [3]uint32{ab, b, bc}, [3]uint32{a, ab, bc}, [3]uint32{a, bc, c})
}
