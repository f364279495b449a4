package picture

import "gonum.org/v1/gonum/spatial/r3"

// Survey tells where places lie on a picture, without drawing it.
type Survey struct{ s *scene }

// On tells whether a place lies on the picture, in front of the camera.
func (v *Survey) On(at r3.Vec) bool { return v.s.locate(at).in }

// Hidden tells whether something stands before a place, or it is not on the
// picture at all. What lies less than 0.4 mm behind the surface counts as seen.
func (v *Survey) Hidden(at r3.Vec) bool {
	w := v.s.locate(at)
	return !w.in || w.hidden
}
