package inspection

import (
	"fmt"

	"socle/parts/assembly"
	"socle/sdf/mesh"
)

// slack is how far a solid may reach over the box that it was cut in, mm: what
// rounding to float32 and the mesher's tolerance may do.
const slack = 0.01

// Fits sees that a proven solid stands on z = 0, within the box that it was cut
// in, and no taller than its base asks. The message says by how much it does not, to
// the last step of the lattice that its points lie on.
func Fits(p *assembly.Piece, s *mesh.Solid) error {
	box := s.Proof.Box
	if box.Min.Z != 0 {
		return fmt.Errorf("does not fit: its foot is at z = %.6f mm, not at 0", box.Min.Z)
	}
	if top := p.Base.Top; top != nil && box.Max.Z > *top {
		return fmt.Errorf("does not fit: it is %.6g mm tall, and the top asked for is %g mm", box.Max.Z, *top)
	}
	for _, over := range []struct {
		by    float64
		where string
	}{
		{p.Box.Min.X - box.Min.X, "west"}, {box.Max.X - p.Box.Max.X, "east"},
		{p.Box.Min.Y - box.Min.Y, "south"}, {box.Max.Y - p.Box.Max.Y, "north"},
	} {
		if over.by > slack {
			return fmt.Errorf("does not fit: it reaches %.4f mm over its footprint in the %s", over.by, over.where)
		}
	}
	return nil
}
