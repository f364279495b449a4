package parts

import "socle/sdf"

// Bite is what a damage does to built work that breaks in its own way.
type Bite struct {
	Gone  sdf.Field // where work is gone: a plain region, without roughness
	Slits sdf.Field // what it splits besides: cracks; nil for none
	Rough sdf.Field // its Cut: for work of which it is too narrow to break a whole piece
	Wide  float64   // from side to side of it, mm
	Seed  uint64    // picks how things break
}

// Biter is a Damager that gives, beside the Cut for ground and for all that knows no
// better, a Bite for work that knows how it breaks.
type Biter interface {
	Damager
	Bite(s *Site) Bite
}

// Remains are what damage leaves of some work: Work, with what has shifted in it, less
// what each of the bites took, nil for nothing.
type Remains struct {
	Work  sdf.Field
	Taken []sdf.Field
}

// Left is the solid that remains.
func (r Remains) Left() sdf.Field {
	var taken []sdf.Field
	for _, f := range r.Taken {
		if f != nil {
			taken = append(taken, f)
		}
	}
	return sdf.Difference(r.Work, taken...)
}

// Breaker is a Solider that knows how it breaks. Bitten is what bites that come near
// leave of it; under is what they left of all that was built before it, which carries
// it. Far from the bites the remains have the bits of the solid.
type Breaker interface {
	Solider
	Bitten(s *Site, bites []Bite, under sdf.Field) []Remains
}

// Slumper is a Damager beside which a part of a floor may have slumped: broken off, it
// hangs or leans into the hole. Slump is that part, nil for none, made of the floors as
// they were; left is what damage left of all work.
type Slumper interface {
	Damager
	Slump(s *Site, floors, left sdf.Field) sdf.Field
}
