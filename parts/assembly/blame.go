package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// scenery is what a piece is made of, part by part, in the piece's coordinates:
// the same solids as in the piece's own field, each still with the part that it
// is of, so that a place on the piece can be put down to one.
type scenery struct {
	bodies []body
}

// body is one solid of a piece with all that bounds it. It is inside where every
// face of it is negative.
type body struct {
	faces []face
	rim   bool // of a rim that damage leaves whole
	floor bool // of what a base keeps under all damage
}

// face is a field that bounds a body, with the part whose surface it is.
type face struct {
	part  parts.Part
	field sdf.Field
	sign  float64 // -1 where the field is what is taken away
}

func (f *face) value(p r3.Vec) float64 { return f.sign * f.field.Value(p) }

// Nearest gives the value of the body at p and the part whose surface it is.
func (b *body) Nearest(p r3.Vec) (float64, parts.Part) {
	most, owner := math.Inf(-1), parts.Part(nil)
	for i := range b.faces {
		if v := b.faces[i].value(p); v >= most {
			most, owner = v, b.faces[i].part
		}
	}
	return most, owner
}

// outOfReach is how far from a piece a part may lie and still be left out, mm:
// what is on the piece is nearer to it than that.
const outOfReach = 1.0

const (
	// sameSurface is how near two surfaces are that coincide, mm.
	sameSurface = 1e-6
	// heldWithin is how deep a place lies to be in a part and not on it, mm.
	heldWithin = 0.05
)

// sceneryOf takes the piece apart. It is made once for each piece.
func (sc *Scene) sceneryOf(p Piece) *scenery {
	sc.asking.Lock()
	defer sc.asking.Unlock()
	if have := sc.scenery[p.Name]; have != nil {
		return have
	}
	b, at, s := p.Base, p.berth, sc.site
	near := newNearby(p.Pose, p.Box)
	zero := p.Pose.Apply(r3.Vec{}).Z
	high := p.Box.Max.Z
	all := &scenery{}

	take := func(f sdf.Field) face { return face{b, f, -1} }
	within := func(f sdf.Field) face { return face{b, f, 1} }
	column := b.Column(at.Footprint, high)
	seating := b.Seating(s, at.Spot)
	var under []face // what bounds every body, pads too
	for _, f := range b.Hollowed(s) {
		under = append(under, take(f))
	}
	under = append(under, within(column))
	over := slices.Clone(under) // what bounds every body but the pads
	for _, f := range seating.Over {
		over = append(over, take(f))
	}
	var trims []face
	for _, k := range sc.keep {
		trims = append(trims, face{k.part, near.bring(k.field), 1})
	}

	type struck struct {
		*blow
		number int
		cut    sdf.Field
		box    r3.Box
	}
	var blows []struck // that reach the piece
	for i, f := range sc.damage.cuts {
		if f = near.bring(f); reaches(f, column, p.Box) {
			blows = append(blows, struck{&sc.damage.blows[i], i, f, f.Bounds()})
		}
	}
	// cuts are those of the blows that touch work of these names, and of one more, but not
	// of those that broke it; a blow that is clear of the work does not count.
	cuts := func(own parts.Part, broke *broken, work sdf.Field, names ...string) (out []face) {
		box := work.Bounds()
		for _, w := range blows {
			if broke != nil && slices.Contains(broke.blows, w.number) {
				continue
			}
			if (w.Touches(names...) || own == parts.Part(w.Damager)) && boxesNear(box, w.box, outOfReach) {
				out = append(out, face{w.Damager, w.cut, -1})
			}
		}
		return out
	}
	add := func(part parts.Part, f sdf.Field, bounds ...[]face) *body {
		faces := []face{{part, f, 1}}
		for _, more := range bounds {
			faces = append(faces, more...)
		}
		all.bodies = append(all.bodies, body{faces: faces})
		return &all.bodies[len(all.bodies)-1]
	}

	var ring []face // of a rim left whole
	if b.Rim == "whole" {
		ring = []face{take(b.Within(at.Footprint, s.Print.Wall, high)), within(sdf.HalfSpace(sdf.V(0, 0, 1), b.Height))}
	}
	for _, w := range sc.shares {
		f := near.bring(w.field)
		if !reaches(f, column, p.Box) {
			continue
		}
		var taken []face
		switch w.part.(type) {
		case parts.Damager:
			if w.fallen {
				break
			}
			taken = cuts(w.part, nil, f, sc.damage.ground...)
		case parts.Solider:
			taken = cuts(nil, w.broken, f, w.part.Label())
			if ring != nil {
				add(w.part, f, ring, over).rim = true
			}
		}
		if w.broken == nil {
			add(w.part, f, taken, trims, over)
			continue
		}
		for _, r := range w.broken.remains {
			left := near.bring(r.Work)
			if !reaches(left, column, p.Box) {
				continue
			}
			var torn []face
			for k, t := range r.Taken {
				if t == nil {
					continue
				}
				if t = near.bring(t); reaches(t, column, p.Box) {
					torn = append(torn, face{sc.damage.blows[w.broken.blows[k]].Damager, t, -1})
				}
			}
			add(w.part, left, torn, taken, trims, over)
		}
	}
	bed := sc.rawBed(b, at, zero, near)
	add(b, bed, cuts(nil, nil, bed, append([]string{b.Name}, sc.damage.ground...)...), over)
	if ring != nil {
		add(b, bed, ring, over).rim = true
	}
	for _, f := range b.Kept(s) {
		add(b, f, over).floor = true
	}
	for _, a := range seating.Around {
		add(a.Part, a.Field, cuts(nil, nil, a.Field, sc.namesOf(a.Part)...), trims, over)
	}
	for _, f := range seating.Under {
		add(b, f, under)
	}
	if sc.scenery == nil {
		sc.scenery = map[string]*scenery{}
	}
	sc.scenery[p.Name] = all
	return all
}

// boxesNear says whether two boxes come within a distance of each other.
func boxesNear(a, b r3.Box, far float64) bool {
	return a.Min.X <= b.Max.X+far && b.Min.X <= a.Max.X+far &&
		a.Min.Y <= b.Max.Y+far && b.Min.Y <= a.Max.Y+far &&
		a.Min.Z <= b.Max.Z+far && b.Min.Z <= a.Max.Z+far
}

// reaches says whether a field, brought to the piece, may have solid on the column
// that holds the piece, or within outOfReach of it.
func reaches(f, column sdf.Field, box r3.Box) bool {
	const fine = 1.0 // mm: in a smaller cube it may
	middle := r3.Scale(0.5, r3.Add(box.Min, box.Max))
	radius := r3.Norm(r3.Sub(box.Max, middle))
	values := [2]float64{f.Value(middle), column.Value(middle)}
	switch far := math.Max(values[0], values[1]); {
	case far > radius+outOfReach:
		return false
	case far <= outOfReach || radius < fine:
		return true
	}
	for i := range 8 {
		half := r3.Box{Min: box.Min, Max: middle}
		if i&1 != 0 {
			half.Min.X, half.Max.X = middle.X, box.Max.X
		}
		if i&2 != 0 {
			half.Min.Y, half.Max.Y = middle.Y, box.Max.Y
		}
		if i&4 != 0 {
			half.Min.Z, half.Max.Z = middle.Z, box.Max.Z
		}
		if reaches(f, column, half) {
			return true
		}
	}
	return false
}

// Nearest gives the part that the surface of a piece is of at a place, in the
// piece's coordinates: a part of the scene; damage where the surface is a cut, or
// what the damage threw up; a trim; or the base itself for its sides, underside,
// body, pockets and pads. Inside the solid, or off it, it is the part whose
// surface is nearest by its field. Of surfaces that coincide it is that of the
// later part in the order of work. What a place lies in goes before what it lies
// beside: the foot of a post is the post's, however near the ground. It is nil for a piece that no scene has cut. It
// may be asked from several places at once.
func (sc *Scene) Nearest(p Piece, at r3.Vec) parts.Part {
	if p.berth == nil || at != at {
		return nil
	}
	least, owner, held := math.Inf(1), parts.Part(nil), false
	all := sc.sceneryOf(p)
	for i := range all.bodies {
		v, part := all.bodies[i].Nearest(at)
		d := math.Abs(v)
		if in := v < -heldWithin; in != held {
			if held {
				continue
			}
			least, owner, held = math.Inf(1), nil, true
		}
		if d < least-sameSurface || d <= least+sameSurface && !laterThan(owner, part) {
			least, owner = math.Min(least, d), part
		}
	}
	return owner
}

// Holding gives the part of the scene whose solid a place of a piece lies in, the later
// in the order of work where there are several; nil where it lies in none, or in the
// base's own body.
func (sc *Scene) Holding(p Piece, at r3.Vec) parts.Part {
	var owner parts.Part
	if p.berth == nil {
		return nil
	}
	all := sc.sceneryOf(p)
	for i := range all.bodies {
		b := &all.bodies[i]
		first := b.faces[0].part
		if v, _ := b.Nearest(at); v < 0 && first != parts.Part(p.Base) && (owner == nil || !laterThan(owner, first)) {
			owner = first
		}
	}
	return owner
}

// laterThan says whether the part a comes after b in the order of work.
func laterThan(a, b parts.Part) bool { return a != nil && parts.StageOf(a) > parts.StageOf(b) }
