package compare

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/report"
	"socle/parts/assembly"
	"socle/sdf"
	"socle/sdf/mesh"
)

// What comes of a base.
const (
	Same           = "same"            // the same solid, byte for byte
	Differs        = "differs"         // another shape
	OtherTriangles = "other-triangles" // the same shape, meshed otherwise, as where a level elsewhere was moved
	OnlyInA        = "only-in-a"
	OnlyInB        = "only-in-b"
	NotMade        = "not-made" // it could not be proven on one side
)

// Base is what became of one base. Lengths are in mm, volumes in mm3.
type Base struct {
	Name    string       `json:"name"`
	Result  string       `json:"result"`
	Unmade  bool         `json:"unmade"` // nothing that it depends on has changed, so that it was not made to see
	Added   *float64     `json:"added_mm3,omitempty"`
	Removed *float64     `json:"removed_mm3,omitempty"`
	Cell    float64      `json:"volume_cell,omitempty"` // that the two were taken with
	Moved   *movedBase   `json:"moved,omitempty"`       // over the scene
	A       *solidSide   `json:"a,omitempty"`
	B       *solidSide   `json:"b,omitempty"`
	Picture *output.File `json:"picture,omitempty"`

	Gained []ChangedFinding `json:"gained"`
	Lost   []ChangedFinding `json:"lost"`
}

// solidSide is a base as one of the two scenes has it.
type solidSide struct {
	Footprint string      `json:"footprint"`
	Box       *report.Box `json:"bbox,omitempty"`
	Volume    float64     `json:"volume_mm3,omitempty"`
	Triangles int         `json:"triangles,omitempty"`
	Why       string      `json:"why,omitempty"` // it could not be proven
}

// movedBase is how a base lies otherwise on the scene.
type movedBase struct {
	By   [3]float64 `json:"by"`   // of its foot, mm
	Turn float64    `json:"turn"` // degrees, counter-clockwise, -180 to 180
}

// movedBetween tells how a base was moved; nil where it was not.
func movedBetween(a, b *assembly.Piece) *movedBase {
	by := r3.Sub(b.Pose.Apply(r3.Vec{}), a.Pose.Apply(r3.Vec{}))
	x, y := a.Pose.Rotate(r3.Vec{X: 1}), b.Pose.Rotate(r3.Vec{X: 1})
	turn := math.Atan2(x.X*y.Y-x.Y*y.X, x.X*y.X+x.Y*y.Y) * 180 / math.Pi
	const still = 1e-9
	if r3.Norm(by) < still && math.Abs(turn) < still {
		return nil
	}
	return &movedBase{By: finding.Triple(by), Turn: turn}
}

// pair is one base of the two scenes.
type pair struct {
	name   string
	pieces [2]*assembly.Piece // nil where that scene has none of the name
	same   bool               // by what they depend on
}

// pairs puts the pieces of both scenes together by their names, in order.
func pairs(a, b []assembly.Piece) (all []pair) {
	at := map[string]int{}
	for side, pieces := range [2][]assembly.Piece{a, b} {
		for i := range pieces {
			p := &pieces[i]
			n, known := at[p.Name]
			if !known {
				n = len(all)
				at[p.Name] = n
				all = append(all, pair{name: p.Name})
			}
			all[n].pieces[side] = p
		}
	}
	slices.SortStableFunc(all, func(x, y pair) int { return cmp.Compare(x.name, y.name) })
	return all
}

// surelySame says whether nothing has changed that the two pieces, and what is told of
// them, depend on. Where a part cannot be told by its content, it may have.
func (c *Comparison) surelySame(ctx context.Context, p *pair) bool {
	if p.pieces[0] == nil || p.pieces[1] == nil {
		return false
	}
	var keys [2]sdf.Digest
	for i, side := range c.Sides {
		key, err := piece.SolidKey(ctx, side.Set, p.pieces[i], side.MeshOptions(p.pieces[i]))
		if err != nil {
			return false
		}
		keys[i] = key
	}
	return keys[0] == keys[1]
}

// sameBytes says whether two solids are the same down to the last bit.
func sameBytes(a, b *mesh.Solid) bool {
	return slices.Equal(a.Triangles, b.Triangles) && slices.EqualFunc(a.Vertices, b.Vertices, func(v, w [3]float32) bool {
		for i := range v {
			if math.Float32bits(v[i]) != math.Float32bits(w[i]) {
				return false
			}
		}
		return true
	})
}

// compareBase compares a pair once it has been made; what is not there is nil.
func (c *Comparison) compareBase(ctx context.Context, p *pair, made [2]*piece.Result) (*Base, error) {
	b := &Base{Name: p.name, Result: NotMade, Gained: []ChangedFinding{}, Lost: []ChangedFinding{}}
	var concerns [2][]finding.Finding
	for i, m := range made {
		if p.pieces[i] == nil {
			continue
		}
		s := &solidSide{Footprint: p.pieces[i].Footprint}
		*[2]**solidSide{&b.A, &b.B}[i] = s
		switch {
		case m == nil:
		case m.Err != nil:
			s.Why = m.Err.Error()
		default:
			proof := &m.Solid.Proof
			s.Box = &report.Box{Min: finding.Triple(proof.Box.Min), Max: finding.Triple(proof.Box.Max)}
			s.Volume, s.Triangles = proof.Volume, len(m.Solid.Triangles)
			concerns[i] = m.Inspection.Findings
			c.findings[i] = append(c.findings[i], concerns[i]...)
		}
	}
	switch {
	case p.same:
		b.Result, b.Unmade = Same, true
		return b, nil
	case b.A == nil:
		b.Result = OnlyInB
	case b.B == nil:
		b.Result = OnlyInA
	default:
		b.Moved = movedBetween(p.pieces[0], p.pieces[1])
	}
	if b.A != nil && b.A.Why != "" || b.B != nil && b.B.Why != "" {
		b.Result = NotMade
		return b, nil
	}
	b.Gained, b.Lost = findingsBetween(concerns[0], concerns[1])
	if b.A == nil || b.B == nil {
		return b, nil
	}
	if sameBytes(made[0].Solid, made[1].Solid) {
		b.Result = Same
		return b, nil
	}
	b.Result = Differs
	if err := c.volumes(ctx, p, b); err != nil {
		return nil, err
	}
	if *b.Added == 0 && *b.Removed == 0 {
		b.Result = OtherTriangles
	}
	return b, nil
}

// volumes takes what b has and a has not, and what a has and b has not, from the
// fields, each in the base's own coordinates.
func (c *Comparison) volumes(ctx context.Context, p *pair, b *Base) error {
	one, other := p.pieces[0], p.pieces[1]
	box := r3.Box{
		Min: r3.Vec{X: min(one.Box.Min.X, other.Box.Min.X), Y: min(one.Box.Min.Y, other.Box.Min.Y), Z: min(one.Box.Min.Z, other.Box.Min.Z)},
		Max: r3.Vec{X: max(one.Box.Max.X, other.Box.Max.X), Y: max(one.Box.Max.Y, other.Box.Max.Y), Z: max(one.Box.Max.Z, other.Box.Max.Z)},
	}
	b.Cell = max(set.FinestVolume, c.Sides[0].Resolution.Cell, c.Sides[1].Resolution.Cell)
	added, removed, err := sdf.VolumeBetween(ctx, one.Field, other.Field, box, b.Cell)
	b.Added, b.Removed = &added, &removed
	return err
}
